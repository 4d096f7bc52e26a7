"""The work at one end of a pen's part, in its order, with the size to measure before each tap and
die. mm."""

from __future__ import annotations

from mandrelgen.core.frozen import dataclass
from mandrelgen.design import ends
from mandrelgen.mechanics.remedy import sold_drill
from mandrelgen.spec.pen import End, Manner, Part
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.thread_spelling import read_thread

# A tenon is turned this much under the thread's diameter before the die (common practice, no
# source).
UNDER_DIE = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class EndStep:
    """One step. ``what``: tenon, die, drill, ream, bore, counterbore, countersink or tap; its
    ``diameter`` (of a thread 0) and ``length`` or depth from the finished face. Of a die or a tap
    ``low`` to ``high``: the tenon or the hole measured before it (None: not known); ``unsaid``: the
    pen file does not say it; ``undercut``: wider than the hole in front of it."""

    what: str
    diameter: float
    length: float
    thread: str = ""
    low: float | None = None
    high: float | None = None
    through: bool = False
    unsaid: bool = False
    undercut: bool = False


def end_steps(part: Part, end: End, shop: Shop, drilled: set[float]) -> tuple[EndStep, ...]:
    """The steps at an end; () if it is only faced. ``drilled``: diameters of the holes that go
    through from the other end already; this end's are added."""
    return (*_outside(end, shop), *_holes(part, end, shop, drilled), *_mouth(part, end, shop))


def _outside(end: End, shop: Shop) -> tuple[EndStep, ...]:
    """Tenon and die, the core still solid."""
    spec = end.external
    if spec is None:
        return ()
    band = ends.part_thread(spec, external=True, shop=shop)[0].major
    d = read_thread(spec.thread)
    aim = float(d.diameter) - UNDER_DIE
    if band.min is not None and band.max is not None and not band.min <= aim <= band.max:
        aim = (band.min + band.max) / 2
    long = float(spec.length)
    return (
        EndStep(what="tenon", diameter=aim, length=long),
        EndStep(
            what="die", diameter=0.0, length=long, thread=d.text, low=band.min, high=band.max
        ),
    )  # fmt: skip


_MADE = {Manner.REAMED: "ream", Manner.BORED: "bore", Manner.SINGLE_POINT: "bore"}


def _holes(part: Part, end: End, shop: Shop, drilled: set[float]) -> tuple[EndStep, ...]:
    """Drills, narrowest first: a wide drill is led by the narrow hole."""
    out = []
    for s in sorted(end.bore, key=lambda s: (float(s.diameter), -float(s.depth))):
        through = float(s.depth) >= float(part.length) - 1e-9
        if through and float(s.diameter) in drilled:
            continue
        if through:
            drilled.add(float(s.diameter))
        out.append(EndStep(
            what=_MADE.get(s.made, "drill"), diameter=float(s.diameter), length=float(s.depth),
            through=through, undercut=bool(s.undercut),
        ))  # fmt: skip
    spec = end.internal
    if spec is None:
        return tuple(out)
    t = ends.part_thread(spec, external=False, shop=shop)[0]
    if spec.measured is not None and spec.measured.crest is not None:
        read = float(spec.measured.crest)
        # The hole was read under the thread: it stands there whatever the bore behind it is.
        if not any(float(s.diameter) >= (t.minor.min or read) - 1e-9 for s in end.bore):
            out.append(EndStep(what="bore", diameter=read, length=_depth(part, end, shop)))
    elif not end.bore:
        wanted = float(t.designation.diameter - t.designation.pitch)
        drill = sold_drill(wanted, t.minor.min or wanted, t.minor.max or wanted)
        out.append(
            EndStep(what="drill", diameter=drill, length=_depth(part, end, shop), unsaid=True)
        )  # fmt: skip
    return tuple(out)


def _depth(part: Part, end: End, shop: Shop) -> float:
    """How deep the tap goes: as given, else the last full turn and the tap's lead."""
    return ends.tapped_end(part, end, shop).tapped


def _mouth(part: Part, end: End, shop: Shop) -> tuple[EndStep, ...]:
    """Counterbore and countersink, then the tap."""
    spec = end.internal
    if spec is None:
        return ()
    out = []
    if spec.counterbore is not None:
        cb = spec.counterbore
        out.append(EndStep(what="counterbore", diameter=float(cb.diameter), length=float(cb.depth)))
    if spec.countersink is not None:
        out.append(EndStep(what="countersink", diameter=float(spec.countersink), length=0.0))
    elif spec.counterbore is None:
        # As the design takes it: a mandrel's corner would meet the edge of a mouth left sharp.
        broken = float(read_thread(spec.thread).diameter) + ends.MOUTH_BREAK
        out.append(EndStep(what="countersink", diameter=broken, length=0.0, unsaid=True))
    known = spec.measured is not None and spec.measured.crest is not None
    tapped = ends.tapped_end(part, end, shop)
    under = tapped.holes[0].size
    band = tapped.thread.minor
    return (
        *out,
        EndStep(
            what="tap", diameter=0.0, length=tapped.tapped, thread=read_thread(spec.thread).text,
            low=band.min if known else under.lower, high=band.max if known else under.upper,
        ),
    )  # fmt: skip
