"""Measuring the mandrel's thread over wires: limits, how many wires, and whether they reach."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from mandrelgen.mandrel import Mandrel, Stretch, ThreadData
from mandrelgen.standards import wires
from mandrelgen.toleranced import ceil_to, floor_to

# Diameter of a micrometer's anvil and the air kept beside a collar, mm (common practice).
ANVIL, AIR = 6.35, 0.1
SMALL_ANVIL = 2.0


@dataclass(frozen=True, slots=True)
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


@dataclass(frozen=True, slots=True)
class Reach:
    """Whether a flat anvil stands squarely over the wires. ``from_seat``: how near its middle can
    come to the collar's face (the face itself is 0); ``first``/``last``: where the wires can lie,
    mm from that face."""

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
        "micrometer with parallel faces; or three with one groove left free"
        if even
        else "three wires: two in neighbouring grooves, one opposite"
    )
    if d.starts > 1:
        setting += f"; read all {d.starts} starts, the spread is unequal depth"
    return OverWires(
        wire,
        wires.best_wire(p),
        ceil_to(m(t.pitch.min), 0.001),
        floor_to(m(t.pitch.max), 0.001),
        m(aim),
        wires.lead_correction(aim, wire, lead),
        2 if even else 3,
        setting,
        wires.SOURCE,
    )


def reach(mandrel: Mandrel, thread: ThreadData, anvil: float = ANVIL) -> Reach:
    """Whether wires (or an anvil of that diameter, mm) reach this thread.

    The anvil's middle must stand over the wires; beside a collar wider than the thread it comes no
    nearer than its radius. Wires lie in full grooves, a pitch away from the ends of the thread.
    """
    if not thread.limits.external:
        return Reach(
            False, anvil, 0.0, 0.0, 0.0, "an internal thread takes no wires", _for_internal()
        )
    first, last, walls = _zone(mandrel, thread)
    p = thread.form.pitch
    even = thread.form.starts % 2 == 0
    half = 0.0 if even else p / 2  # from the middle of the setting to its outer wire
    low, high = first + p + half, last - p - half
    near = anvil / 2 + AIR
    if walls[0]:
        low = max(low, near)
    if walls[1] is not None:
        high = min(high, walls[1] - near)
    at = near if walls[0] else 0.0
    if low <= high + 1e-9:
        why = f"the anvil stands over the wires {low:.1f} to {high:.1f} from the seat"
        return Reach(True, anvil, at, low, high, why, ())
    what = "beside the collar" if walls[0] or walls[1] is not None else "on so short a thread"
    why = (
        f"wires under an anvil of ⌀{anvil:g} do not reach {what}: full grooves end {last:.1f} from "
        f"the seat, {max(first + p + half, near if walls[0] else 0) + p + half:.1f} would be needed"
    )
    return Reach(False, anvil, at, low, high, why, _for_external(thread))


def _zone(mandrel: Mandrel, thread: ThreadData) -> tuple[float, float, tuple[bool, float | None]]:
    """The thread's full stretch counted from the collar's face, and the walls: whether a collar
    stands at 0, and how far off a wall on the nose's side stands (None: none)."""
    row = list(mandrel.outer)
    if thread.feature.startswith("b."):  # the second end: look at it from its own nose
        row = [Stretch(s.feature, -s.z1, -s.z0, s.d1, s.d0, s.thread) for s in reversed(row)]
    own = next(s for s in row if s.feature == thread.feature)
    wide = own.d0 + thread.form.pitch  # about what stands over the wires
    collars = [s.z1 for s in row if s.z1 <= own.z0 + 1e-9 and max(s.d0, s.d1) > wide]
    bumps = [s.z0 for s in row if s.z0 >= own.z1 - 1e-9 and max(s.d0, s.d1) > wide]
    seat = max(collars, default=own.z0)
    wall = min(bumps) - seat if bumps else None
    return own.z0 - seat, own.z1 - seat, (bool(collars), wall)


def _for_external(thread: ThreadData) -> tuple[str, ...]:
    several = f" with {thread.form.starts} starts" if thread.form.starts > 1 else ""
    return (
        f"thread micrometer with small anvils (⌀{SMALL_ANVIL:g}), or wires under blade anvils",
        f"go and not-go ring gauges (ISO 1502){several}",
        "the customer's part: it must screw on to the seat by hand without shake",
    )


def _for_internal() -> tuple[str, ...]:
    return (
        "go and not-go plug gauges (ISO 1502) with this lead and these starts",
        "pin gauges for the minor diameter",
        "the customer's tenon: it must screw in to the seat by hand",
    )
