"""Measuring the mandrel's thread over wires: limits, how many wires, and whether they reach."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import ceil_to, floor_to, text_of
from mandrelgen.model.mandrel import Mandrel, Stretch, ThreadData
from mandrelgen.standards import wires
from mandrelgen.workshop.turning.acceptance import go_gauge, in_the_way, special_gauge
from mandrelgen.workshop.turning.tool_clearance import turned_to_nose

# Diameter of a micrometer's anvil and the air kept beside a collar, mm (common practice).
ANVIL, AIR = 6.35, 0.1
SMALL_ANVIL = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class OverWires:
    """Limits of the reading M over wires of ``wire`` mm, rounded inwards to 0.001; ``aim`` for the
    middle of the class. ``correction``: what the lead adds. ``count`` 2 or 3 wires."""

    wire: float
    best_wire: float
    lower: float
    upper: float
    aim: float
    correction: float
    count: int
    setting: str
    source: str


class Reach(NamedTuple):
    """Whether a flat anvil stands squarely over the wires. ``from_seat``: how near its middle can
    come to what stands wider (0: nothing does); ``first``/``last``: where the middle of the
    setting can lie, mm from the seat."""

    wires: bool
    anvil: float
    from_seat: float
    first: float
    last: float
    why: str
    instead: tuple[str, ...]


def over_wires(thread: ThreadData, owned: Sequence[float] = ()) -> OverWires | None:
    """Limits over wires of an external thread; None for an internal one or if no wire fits."""
    t, d = thread.limits, thread.limits.designation
    if not t.external or t.pitch.min is None or t.pitch.max is None:
        return None
    p, lead = float(d.pitch), d.lead
    wire = wires.choose(p, tuple(owned))
    if wire is None:
        return None

    def m(e: float) -> float:
        return wires.over_wires(e, wire, p, lead)

    aim = (t.pitch.min + t.pitch.max) / 2
    even = d.starts % 2 == 0
    setting = (
        "two wires, one each side, straight opposite (the grooves face each other), under a "
        "micrometer with parallel faces: the mean of two starts; or three, two of them a lead "
        "apart and one between them on the other side: all in one start"
        if even
        else "three wires: two in neighbouring grooves, one opposite"
    )
    if d.starts > 1:
        setting += f"; read all {d.starts} starts, the spread is unequal depth"
    return OverWires(
        wire=wire,
        best_wire=wires.best_wire(p),
        lower=ceil_to(m(t.pitch.min), 0.001),
        upper=floor_to(m(t.pitch.max), 0.001),
        aim=m(aim),
        correction=wires.lead_correction(aim, wire, lead),
        count=2 if even else 3,
        setting=setting,
        source=wires.SOURCE,
    )


def reach(
    mandrel: Mandrel, thread: ThreadData, anvil: float = ANVIL, owned: Sequence[float] = ()
) -> Reach:
    """Whether wires (or an anvil of that diameter, mm) reach this thread.

    The anvil's middle must stand over the wires; beside anything wider than the reading over the
    wires it comes no nearer than its radius. Wires lie in full grooves, a pitch away from the ends
    of the thread; two of three lie a pitch apart.
    """
    if not thread.limits.external:
        return Reach(
            wires=False,
            anvil=anvil,
            from_seat=0.0,
            first=0.0,
            last=0.0,
            why="an internal thread takes no wires",
            instead=_for_internal(mandrel, thread),
        )
    over = over_wires(thread, owned)
    top = over.lower if over is not None else thread.form.crest_diameter
    row = turned_to_nose(mandrel, thread.feature.end)
    own = next(s for s in row if s.feature == thread.feature)
    behind, ahead = _walls(row, own, top)
    p = thread.form.pitch
    half = 0.0 if thread.form.starts % 2 == 0 else p / 2  # from the middle to the outer wire
    # Where the thread runs out at the seat its grooves are not full yet.
    full = own.z0 + (own.thread.fade if own.thread is not None else 0.0)
    first, last = full + p + half, own.z1 - p - half
    near = anvil / 2 + AIR
    low = first if behind is None else max(first, behind[1] + near)
    high = last if ahead is None else min(last, ahead[1] - near)
    zone = f"full grooves {full + p:.1f} to {own.z1 - p:.1f} from the seat"
    if half:
        zone += f"; the two wires of one side lie {text_of(p)} apart, both in them"
    finds_room = low <= high + 1e-9
    instead: tuple[str, ...] = ()
    if not finds_room:
        small = None if anvil <= SMALL_ANVIL else reach(mandrel, thread, SMALL_ANVIL, owned)
        instead = _for_external(mandrel, thread, small)
    return Reach(
        wires=finds_room,
        anvil=anvil,
        from_seat=0.0 if behind is None else near,
        first=low,
        last=high,
        why=f"{_set_at(anvil, low, high, behind or ahead)}; {zone}",
        instead=instead,
    )


def _set_at(anvil: float, low: float, high: float, wall: tuple[str, float, float] | None) -> str:
    """Where the anvil's middle goes, ``low`` to ``high`` from the seat, or that it cannot."""
    if low <= high + 1e-9:
        clear = "" if wall is None else f", clear of the {wall[0]} (⌀{wall[2]:g})"
        return f"set the middle of a ⌀{anvil:g} anvil {low:.1f} to {high:.1f} from the seat{clear}"
    beside = "on so short a thread" if wall is None else f"beside the {wall[0]}"
    return (
        f"wires under an anvil of ⌀{anvil:g} do not reach {beside}: its middle stands at least "
        f"{low:.1f} from the seat and could stand at most {high:.1f}"
    )


def _walls(
    row: list[Stretch], own: Stretch, top: float
) -> tuple[tuple[str, float, float] | None, tuple[str, float, float] | None]:
    """What stands higher than the wires on the seat's side and on the nose's: its name, the z of
    its face and its diameter; None: nothing does."""
    high = [(s, max(s.d0, s.d1)) for s in row if max(s.d0, s.d1) > top - 1e-9]
    behind = [(s.feature.own, s.z1, d) for s, d in high if s.z1 <= own.z0 + 1e-9]
    ahead = [(s.feature.own, s.z0, d) for s, d in high if s.z0 >= own.z1 - 1e-9]
    return (
        max(behind, key=lambda w: w[1], default=None),
        min(ahead, key=lambda w: w[1], default=None),
    )


def _for_external(mandrel: Mandrel, thread: ThreadData, small: Reach | None) -> tuple[str, ...]:
    several = f" with {thread.form.starts} starts" if thread.form.starts > 1 else ""
    found: tuple[str, ...] = ()
    if small is not None and small.wires:
        # An even number of starts: groove faces groove, its point and notch cannot both seat.
        micrometer = (
            ""
            if thread.form.starts % 2 == 0
            else f"thread micrometer with small anvils (⌀{SMALL_ANVIL:g}), or "
        )
        found = (
            f"{micrometer}wires under blade anvils: "
            f"their middle {small.first:.1f} to {small.last:.1f} from the seat",
        )
    if special_gauge(thread, mandrel):
        found = (*found, *filter(None, (go_gauge(thread, mandrel),)))
    elif not in_the_way(thread, mandrel):
        found = (*found, f"go and not-go ring gauges (ISO 1502){several}")
    return (
        *found,
        "the customer's part: it must screw on to the seat by hand without shake",
    )


def _for_internal(mandrel: Mandrel, thread: ThreadData) -> tuple[str, ...]:
    special = special_gauge(thread, mandrel)
    return (
        go_gauge(thread, mandrel)
        if special
        else "go and not-go plug gauges (ISO 1502) with this lead and these starts",
        "pin gauges prove only the minor diameter",
        "the customer's tenon: it must screw in to the seat by hand",
    )
