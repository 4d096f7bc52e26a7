"""The sizes that a maker turns a mandrel to with calipers alone: the design's limits; where the fit
depends on the size, drawn in by what a caliper may be off. mm."""

from __future__ import annotations

from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import ceil_to, floor_to, text_of
from mandrelgen.design.mandrel_thread import MIN_PITCHES
from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.feature import FeatureKind
from mandrelgen.model.mandrel import Mandrel, ThreadData
from mandrelgen.spec.shop import InstrumentKind, Shop
from mandrelgen.standards import measuring

OUTSIDE, INSIDE, DEPTH = measuring.WHERE
# What a caliper's display shows, and the steps a maker aims at.
SHOWN, STEP = 0.01, 0.05
# A thread may end earlier than drawn as long as three full pitches carry, but by no more than this,
# so that most of it stays (common practice, no source).
SHORTER = 0.5
# Turned after or beside what the card makes: the shank is the rod, what lies inside a cup is
# drilled and tapped.
_NOT_TURNED = (
    FeatureKind.SHANK,
    FeatureKind.REAR,
    FeatureKind.CENTRE,
    FeatureKind.FLATS,
    FeatureKind.BORE,
    FeatureKind.PILOT,
    FeatureKind.FLOOR,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnSize:
    """One size to turn to. ``mark``: its letter in the picture; ``id``: the characteristic;
    ``stations``: what a length spans; ``fit``: the fit depends on it; ``low`` and ``high``: what a
    caliper may read; both None where no reading proves it, and ``by`` says what does."""

    mark: str
    id: str
    what: str
    diameter: bool
    fit: bool
    aim: float
    low: float | None
    high: float | None
    by: str
    stations: tuple[float, float]

    @property
    def text(self) -> str:
        """The size to aim at: ``⌀10.55``."""
        return ("⌀" if self.diameter else "") + text_of(self.aim, 2)

    @property
    def limits(self) -> str:
        """The readings that will do: ``10.53 to 10.57``; or what proves it instead."""
        if self.low is None or self.high is None:
            return self.by
        return f"{text_of(self.low, 2)} to {text_of(self.high, 2)}"


def caliper(shop: Shop, where: str) -> float:
    """How far a caliper's reading may be off (k = 2), mm: the maker's own, else the usual one."""
    own = [
        float(i.uncertainty)
        for i in shop.instruments.values()
        if i.kind is InstrumentKind.CALIPER and i.uncertainty is not None
    ]
    return min(own) if own else measuring.uncertainty("caliper", where)


def sizes(mandrel: Mandrel, thread: ThreadData, shop: Shop) -> tuple[OwnSize, ...]:
    """Every size in front of the shank, in the order of the drawing's balloons, lettered."""
    inside = {s.feature for s in mandrel.inner}
    found: list[OwnSize] = []
    for c in mandrel.characteristics:
        if c.feature.kind in _NOT_TURNED or c.subject in _NOT_TURNED or c.lower is None:
            continue
        bored = c.feature in inside
        if bored and c.feature.kind in (FeatureKind.THREAD, FeatureKind.RELIEF):
            continue
        if c.kind not in (Kind.DIAMETER, Kind.LENGTH, Kind.THREAD_MAJOR) or c.upper is None:
            continue
        low, high = c.lower, c.upper
        if c.id == "thread.end":
            spare = (thread.full_pitches - MIN_PITCHES) * thread.form.pitch
            low = max(low - max(spare, 0.0), high - SHORTER)
        u = caliper(shop, DEPTH if c.kind is Kind.LENGTH else INSIDE if bored else OUTSIDE)
        found.append(_size(mandrel, c, (low, high), u, chr(ord("A") + len(found))))
    return tuple(found)


def _size(
    mandrel: Mandrel, c: Characteristic, limits: tuple[float, float], u: float, mark: str
) -> OwnSize:
    zone = measuring.acceptance_zone(*limits, u if c.functional else 0.0)
    low, high = (ceil_to(zone[0], SHOWN), floor_to(zone[1], SHOWN)) if zone else (1.0, 0.0)
    fits = low <= high + 1e-9
    aim = _aim(low, high) if fits else round(sum(limits) / 2, 2)
    diameter = c.kind is not Kind.LENGTH
    return OwnSize(
        mark=mark,
        id=c.id,
        what=_WORDS.get(c.own_id, _word(c)),
        diameter=diameter,
        fit=c.functional,
        aim=aim,
        low=low if fits else None,
        high=high if fits else None,
        by="" if fits else _instead(diameter),
        stations=_span(mandrel, c),
    )


def _aim(low: float, high: float) -> float:
    """A step of the maker's inside the readings, the nearest to their middle; else their middle."""
    middle = (low + high) / 2
    near = round(round(middle / STEP) * STEP, 9)
    return near if low - 1e-9 <= near <= high + 1e-9 else round(middle, 2)


def _instead(diameter: bool) -> str:
    """What judges a size that a caliper cannot prove."""
    return "try it on your part" if diameter else "by the tool's travel"


def _span(mandrel: Mandrel, c: Characteristic) -> tuple[float, float]:
    """From where to where it stands along the axis, z from the seat."""
    if c.between is not None:
        a, b = (mandrel.stations[name] for name in c.between)
        return (a, b)
    row = [s for s in (*mandrel.outer, *mandrel.inner) if s.feature == c.feature]
    return (min(s.z0 for s in row), max(s.z1 for s in row))


def _word(c: Characteristic) -> str:
    name = c.feature.word
    return f"{name}, {'length' if c.kind is Kind.LENGTH else 'diameter'}"


_WORDS = {
    "collar.diameter": "collar",
    "collar.length": "collar, length",
    "neck.diameter": "neck",
    "neck.end": "seat to neck's end",
    "relief.diameter": "groove at the seat",
    "relief.width": "groove, width",
    "thread.major_diameter": "thread before the die",
    "thread.diameter": "thread before the die",
    "thread.end": "seat to thread's end",
    "chamfer.diameter": "45° chamfer down to",
    "nose.end": "seat to free end",
    "counterbore.diameter": "counterbore",
    "counterbore.depth": "counterbore, depth",
    "register.diameter": "register at the seat",
    "register.end": "register, length",
}
