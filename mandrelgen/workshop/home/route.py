"""The route of a pen through the maker's lathe: every chucking, in its order. mm, rpm.

Common practice, no source: at an end the die comes before the drill, for a tenon twists off a
drilled core; the end that the mandrel holds is worked first, its face and thread in one chucking;
the outside comes last, on the mandrel. What the pen file does not say is named, not guessed.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from mandrelgen.assess.choose_tolerances import situated
from mandrelgen.assess.words import Answer, Word
from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import ceil_to
from mandrelgen.design.designed import Designed
from mandrelgen.mechanics.assessment_types import Assessment
from mandrelgen.mechanics.work_speed import Work, WorkSpeed, limits, work_speed
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.pen import FarEnd, Part, Pen
from mandrelgen.spec.shop import Shop
from mandrelgen.standards import material_names, stock
from mandrelgen.workshop.home.part_end import EndStep, end_steps

SOURCE = "common practice, no source"


@dataclass(frozen=True, slots=True, kw_only=True)
class Blank:
    """What a part takes of a rod: ``length`` = ``finished`` + saw, facing and centre (``saw``,
    ``facing``, ``centre``; 0: no pip), rounded up; ``rod``: its least diameter, a skin to polish
    included."""

    length: float
    rod: float
    diameter: float
    finished: float
    made_of: str
    saw: float
    facing: float
    centre: float


@dataclass(frozen=True, slots=True, kw_only=True)
class OnMandrel:
    """A part on its mandrel: in which collet, how far the seat stands in front of the nut, the
    highest safe speed of its verdict (0: it must not run, None: not known) with what limits it, and
    the speeds of each kind of work. ``number``: the fixture's, empty if not issued; ``tailstock``:
    up all the time; ``roughing_up``: up for roughing at least; ``first``: what to know before any
    speed."""

    mandrel: str
    number: str
    collet: str
    stand_off: float | None
    speed: int | None
    start: int | None
    limited_by: str
    work: tuple[WorkSpeed, ...]
    tailstock: bool
    roughing_up: bool
    far_end: FarEnd | None
    first: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Chucking:
    """One chucking. ``end``: the one that is worked in the rod ("" on the mandrel); ``first``: in
    the rod itself, to be parted off; ``whole``: the other end is worked too, and sets the length;
    ``steps`` in their order; ``turning``: speeds of the rod; ``mandrel``: what holds the part
    (None: the rod, or ``instead`` says how it is turned without one); ``pip``: the far end is
    closed, and a pip comes off last."""

    number: int
    end: str
    first: bool
    whole: bool
    steps: tuple[EndStep, ...]
    turning: WorkSpeed | None
    mandrel: OnMandrel | None
    instead: str
    pip: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PartRoute:
    """One part, from the rod to the polish."""

    part: str
    blank: Blank
    chuckings: tuple[Chucking, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Route:
    """The card. ``held_back``: parts that wait for the pen to be changed, and why."""

    pen: str
    tailstock: bool
    parts: tuple[PartRoute, ...]
    held_back: tuple[tuple[str, str], ...]
    cautions: tuple[str, ...]
    source: str = SOURCE


def route(
    pen: Pen,
    shop: Shop,
    designed: Sequence[Designed],
    numbers: Mapping[str, str] | None = None,
    without: Collection[str] = (),
    words: Sequence[Answer] = (),
) -> Route:
    """The route of a pen; ``numbers``: number and revision by mandrel id, where they are issued;
    ``without``: parts that a fault of the pen holds back; ``words``: what to do about each mandrel
    (without them a new one is used for each)."""
    said = {a.planned: a for a in words}
    parts, count = [], 0
    for name, part in pen.parts.items():
        if name in without:
            continue
        found = [d for d in designed if name in _held(d)]
        ways = _on(pen, shop, name, found, numbers, said)
        rows = _chuckings(name, part, shop, found, ways, count)
        count += len(rows)
        parts.append(PartRoute(part=part.name or name, blank=blank(part), chuckings=rows))
    waits = {h: a.reason for d in designed for h in _held(d)
             if (a := said.get(d.planned.id)) is not None and a.word is Word.CHANGE}  # fmt: skip
    return Route(
        pen=pen.pen.name,
        tailstock=shop.lathe.tailstock,
        parts=tuple(parts),
        held_back=tuple(
            (pen.parts[n].name or n, waits.get(n, "an error stands in its way"))
            for n in pen.parts
            if n in without
        ),
        cautions=_cautions(pen, [d.mandrel for d in designed if d.mandrel is not None]),
    )


def _held(d: Designed) -> tuple[str, ...]:
    """The parts that a mandrel holds."""
    p = d.planned
    return (p.hold.part,) if p.other is None else (p.hold.part, p.other.part)


def blank(part: Part) -> Blank:
    """What a part takes of a rod."""
    saw, facing, centre = (stock.blank_allowance(n) for n in ("saw", "facing", "centre"))
    closed = any(not e.bore and e.internal is None for e in part.ends.values())
    long = float(part.length)
    add = saw + 2 * facing + (centre if closed else 0.0)
    return Blank(
        length=ceil_to(long + add, 1.0),
        rod=float(part.diameter) + stock.blank_allowance("polish"),
        diameter=float(part.diameter),
        finished=long,
        made_of=material_names.spoken(part.material),
        saw=saw,
        facing=facing,
        centre=centre if closed else 0.0,
    )


@dataclass(frozen=True, slots=True)
class _Way:
    """How a part's outside is turned: on a mandrel, or as ``instead`` says; held by ``end``."""

    mandrel: OnMandrel | None
    instead: str
    end: str


def _on(
    pen: Pen, shop: Shop, part: str, found: Sequence[Designed],
    numbers: Mapping[str, str] | None, said: Mapping[str, Answer],
) -> tuple[_Way, ...]:  # fmt: skip
    """Every mandrel that holds the part, or how it is turned without one."""
    ways = []
    for d in found:
        a = said.get(d.planned.id)
        holds = [h for h in (d.planned.hold, d.planned.other) if h is not None]
        if a is not None and a.word is Word.SKIP and not a.uses:
            ways.append(_Way(None, a.reason, holds[0].end))
            continue
        other = a.uses if a is not None else ""
        number = (numbers or {}).get(other or d.planned.id, other)
        ends = situated(d, pen, shop)
        for s, v in zip(ends, (d.verdict, d.verdict_b), strict=False):
            if s.hold.part != part or s.collet_face is None:
                continue
            off = None if s.grip is None else -s.collet_face - s.grip.nut
            speed = None if v is None else v.speed
            on = OnMandrel(
                mandrel=s.mandrel.id, number=number, collet=s.mandrel.ordering.collet or "-",
                stand_off=off,
                speed=None if speed is None else speed.allowed,
                start=None if speed is None else speed.start,
                limited_by="" if speed is None else "; ".join(speed.refused) or speed.governing.why,
                work=() if v is None else v.work,
                tailstock=v is not None and v.tailstock,
                roughing_up=v is not None and v.roughing_up,
                far_end=s.loads.far_end,
                first=() if v is None else _first(v),
            )  # fmt: skip
            ways.append(_Way(on, "", s.hold.end))
    return tuple(ways)


def _first(v: Assessment) -> tuple[str, ...]:
    """What no speed mends: a part that forward running unscrews, and what a dig-in would break."""
    said = []
    if v.screwed is not None and not v.screwed.forward:
        said.append(
            "LEFT-HAND: forward running unscrews it; in reverse only, with a chuck that cannot "
            "unscrew and the tailstock up"
        )
    failing = sorted((c for c in v.checks if not c.passes), key=lambda c: c.factor / c.asked)
    if failing:
        said.append(f"LIGHT CUTS: in a dig-in the {failing[0].label.removeprefix('the ')}")
    return tuple(said)


def _chuckings(
    name: str, part: Part, shop: Shop, found: Sequence[Designed], ways: Sequence[_Way], count: int
) -> tuple[Chucking, ...]:
    """The ends in the rod, the one that is held first; then each mandrel, or what stands for it."""
    held = ways[0].end if ways else next(iter(part.ends))
    order = sorted(part.ends, key=lambda e: e != held)
    worked: list[tuple[str, tuple[EndStep, ...]]] = []
    drilled: set[float] = set()
    for end in order:
        steps = end_steps(part, part.ends[end], shop, drilled)
        if steps:
            worked.append((end, steps))
    turning = work_speed(
        Work.TURNING, part.material, float(part.diameter), limits(float(shop.lathe.max_speed), None)
    )
    pip = blank(part).centre > 0
    rows = [
        Chucking(
            number=count + n, end=end, first=n == 1, whole=len(worked) > 1, steps=steps,
            turning=turning, mandrel=None, instead="", pip=pip,
        )
        for n, (end, steps) in enumerate(worked, 1)
    ]  # fmt: skip
    for way in ways or (_Way(None, _unheld(found), ""),):
        rows.append(Chucking(
            number=count + len(rows) + 1, end="", first=False, whole=False, steps=(),
            turning=None, mandrel=way.mandrel, instead=way.instead, pip=pip,
        ))  # fmt: skip
    return tuple(rows)


def _unheld(found: Sequence[Designed]) -> str:
    return (
        "its mandrel cannot be made: see check" if found else "no mandrel is planned for this part"
    )


ALWAYS = (
    "Screw the part on to the seat by hand. Spindle stopped to measure, for a tap or die, and for "
    "a knock-out rod.",
)


def _cautions(pen: Pen, mandrels: Sequence[Mandrel]) -> tuple[str, ...]:
    rods = (
        f"{material_names.spoken(m)}: {'; '.join(said)}."
        for m in dict.fromkeys(p.material for p in pen.parts.values())
        if (said := material_names.cautions(m))
    )
    return tuple(dict.fromkeys([*ALWAYS, *rods, *(c for m in mandrels for c in m.cautions)]))
