"""Change gears: which wheels cut a lead exactly, else the nearest with what the error costs.

Everything is counted in whole teeth and fractions; a float appears only in the errors told.
The gearbox, if there is one, stands at 1 : 1, and the first gear turns with the spindle.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import combinations

from mandrelgen.core.frozen import dataclass
from mandrelgen.mechanics.fit import lead_difference, virtual_change
from mandrelgen.standards.gears import clearance_teeth, lead_of, usual_gears

KEPT = 4
# A train that misses the lead by more than this share is no answer (common practice, no source).
MISS = 0.02
# Nor one that takes more than this share of the fit.
OF_THE_FIT = 0.02
# The wheel that stands between inch and metric: rare in a box of gears, and dear.
TRANSLATING = 127
Pair = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Train:
    """Gears in the order of the drive: driver, driven (and driver, driven again).

    ``lead`` in mm is exact; ``error`` is the lead cut less the lead wanted over 25 mm of thread,
    mm; ``fit`` what the error takes from the pitch diameter over the engagement, mm.
    """

    gears: tuple[int, ...]
    lead: Fraction
    error: float
    fit: float

    @property
    def exact(self) -> bool:
        """True if the lead is cut without error."""
        return self.error == 0

    def indexes(self, starts: int) -> bool:
        """True if the first gear, which turns with the spindle, has whole teeth for each start."""
        return self.gears[0] % starts == 0

    @property
    def text(self) -> str:
        """``40/50`` or ``40/50 × 60/63``."""
        a, b, *rest = self.gears
        return f"{a}/{b}" + (f" × {rest[0]}/{rest[1]}" if rest else "")


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeGears:
    """Trains for a lead: ``exact`` (simplest first), ``near`` (smallest error first), from the
    gears ``owned``; ``assumed`` true if they are only a usual set. ``without_127``: the best
    train that does without that wheel, where all the exact ones need it; ``missing``: the usual
    wheel that would make the lead exact, where none is (None: no single wheel does)."""

    lead: float
    lead_screw: str
    engagement: float
    exact: tuple[Train, ...]
    near: tuple[Train, ...]
    owned: tuple[int, ...] = ()
    assumed: bool = False
    without_127: Train | None = None
    missing: int | None = None

    @property
    def best(self) -> Train | None:
        """The train to set; None if the gears make none."""
        return next(iter(self.exact + self.near), None)


def meshes(a: int, b: int, c: int, d: int, clearance: int) -> bool:
    """Whether a/b × c/d can be set up: c must pass the shaft of a, b the shaft of d."""
    return a + b >= c + clearance and c + d >= b + clearance


def find(
    lead: Fraction, lead_screw: str, gears: Sequence[int] = (), engagement: float = 0.0,
    starts: int = 1, fit: float | None = None,
) -> ChangeGears:  # fmt: skip
    """Trains that cut ``lead`` mm with a lead screw (``3 mm``, ``8 TPI``) and the gears owned
    (none given: the usual set); ``engagement`` in mm of the thread in its part. Of exact trains
    those come first whose first gear the ``starts`` divide: opened, it indexes them. ``fit``: the
    play of the two threads, mm (None: not known): what takes more than 2 % of it is not offered.

    Raises ValueError for a lead not above 0, a lead screw that cannot be read, or fewer than two
    gears.

    By hand: a lead screw of 8 threads to the inch moves 3.175 mm a turn, and 3.175 × 60/127 is
    1.5; of 3 mm, 3 × 40/50 is the lead 2.4 of a triple start of 0.8.

    >>> find(Fraction(3, 2), "8 TPI", (30, 60, 100, 127)).best.text
    '60/127'
    >>> find(Fraction(12, 5), "3 mm", (40, 50, 65)).best.text
    '40/50'
    """
    screw = lead_of(lead_screw)
    owned = sorted(gears or usual_gears())
    if lead <= 0 or len(owned) < 2 or owned[0] < 1:
        raise ValueError("give a lead above 0 and at least two gears")
    ratio = lead / screw
    trains = {*_two(owned), *_four(owned, ratio, clearance_teeth())}
    errors = {g: _error(g, ratio) for g in trains}
    exact = [g for g, e in errors.items() if e == 0]
    exact.sort(key=lambda g: (g[0] % starts != 0, *_simplest(g)))
    near = [g for g, e in errors.items() if e != 0 and _usable(g, screw, lead)]
    near = [g for g in near if _fits(g, screw, lead, engagement, fit)]
    near.sort(key=lambda g: (abs(errors[g]), *_simplest(g)))

    def told(chosen: list[tuple[int, ...]]) -> tuple[Train, ...]:
        return tuple(_train(g, screw, lead, engagement) for g in chosen[:KEPT])

    spare = [g for g in (*exact, *near) if TRANSLATING not in g]
    needs = bool(exact) and all(TRANSLATING in g for g in exact)
    return ChangeGears(
        lead=float(lead),
        lead_screw=lead_screw,
        engagement=engagement,
        exact=told(exact),
        near=told(_distinct(near)),
        owned=tuple(owned),
        assumed=not gears,
        without_127=next(iter(told(spare[:1])), None) if needs else None,
        missing=None if exact else _missing(owned, ratio),
    )


def _missing(owned: list[int], ratio: Fraction) -> int | None:
    """The usual wheel that, bought, makes the ratio exact; the smallest of them."""
    for wheel in sorted(set(usual_gears()) - set(owned)):
        more = sorted([*owned, wheel])
        every = (*_two(more), *_four(more, ratio, clearance_teeth()))
        if any(wheel in g and _error(g, ratio) == 0 for g in every):
            return wheel
    return None


def _fits(
    gears: tuple[int, ...], screw: Fraction, lead: Fraction, engagement: float, fit: float | None
) -> bool:
    return fit is None or _train(gears, screw, lead, engagement).fit <= OF_THE_FIT * fit


def _usable(gears: tuple[int, ...], screw: Fraction, lead: Fraction) -> bool:
    """Whether a train that is not exact misses the lead by no more than :data:`MISS`."""
    got = screw * Fraction(*_products(gears))
    return abs(float(got / lead) - 1) <= MISS


def _simplest(gears: tuple[int, ...]) -> tuple[int, int, int, tuple[int, ...]]:
    return len(gears), max(gears), sum(gears), gears


def _distinct(trains: list[tuple[int, ...]]) -> list[tuple[int, ...]]:
    """The first of those that cut the same lead."""
    seen: dict[Fraction, tuple[int, ...]] = {}
    for g in trains:
        seen.setdefault(Fraction(*_products(g)), g)
        if len(seen) == KEPT:
            break
    return list(seen.values())


def _products(gears: tuple[int, ...]) -> Pair:
    """Teeth of the drivers multiplied, and of the driven."""
    return math.prod(gears[::2]), math.prod(gears[1::2])


def _error(gears: tuple[int, ...], ratio: Fraction) -> float:
    """Lead cut less lead wanted over 25 mm of thread, mm; one rounding at the end."""
    driving, driven = _products(gears)
    wanted = driven * ratio.numerator
    return 25 * (driving * ratio.denominator - wanted) / wanted


def _train(gears: tuple[int, ...], screw: Fraction, lead: Fraction, engagement: float) -> Train:
    got = screw * Fraction(*_products(gears))
    fit = virtual_change(lead_difference(float(got), float(lead), engagement))
    return Train(gears, got, _error(gears, lead / screw), fit if got != lead else 0.0)


def _two(owned: list[int]) -> Iterator[tuple[int, ...]]:
    """Every pair, an idler of any size between them."""
    for a, b in combinations(owned, 2):
        yield a, b
        yield b, a


def _four(owned: list[int], ratio: Fraction, clearance: int) -> Iterator[tuple[int, ...]]:
    """For each pair of drivers every exact pair of driven gears, else the nearest on each side
    that can be set up. The nearest of all is always among them."""
    pairs = sorted({(x * y, (x, y)) for x, y in combinations(owned, 2)})
    # Compared in whole numbers: product of the drivers / product of the driven = ratio.
    products = [p * ratio.numerator for p, _ in pairs]
    for product, drivers in pairs:
        wanted = product * ratio.denominator
        at = bisect_left(products, wanted)
        above = at
        while above < len(pairs) and products[above] == wanted:
            found = _arranged(drivers, pairs[above][1], clearance)
            if found:
                yield found
            above += 1
        for walk in (range(above, len(pairs)), range(at - 1, -1, -1)):
            for i in walk:
                found = _arranged(drivers, pairs[i][1], clearance)
                if found:
                    yield found
                    break


def _arranged(drivers: Pair, driven: Pair, clearance: int) -> tuple[int, ...] | None:
    """The four gears in an order that can be set up; None if there is none."""
    if set(drivers) & set(driven):
        # A size that drives and is driven cancels out: that is a two-gear train.
        return None
    for a, c in (drivers, drivers[::-1]):
        for b, d in (driven, driven[::-1]):
            if meshes(a, b, c, d, clearance):
                return a, b, c, d
    return None
