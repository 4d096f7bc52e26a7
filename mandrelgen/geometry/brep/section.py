"""Discs across the axis, whole or cut by two flats, and the plane faces between two of them.

Where a part's cross-section changes at one z, the plane faces there are what one section has and
the other has not. Both are discs about the axis, cut at x = ±``half`` or whole, so their outlines
are arcs and chords that meet in points known beforehand.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from mandrelgen.core.frozen import dataclass
from mandrelgen.geometry.brep.sewing import StripSide
from mandrelgen.geometry.thread_surface import Point

# Two lengths that differ by less count as one (mm): a circle that touches a chord, for one.
TOUCHING = 1e-7


@dataclass(frozen=True, slots=True)
class Section:
    """A disc whose outline passes the points of ``ring``, once round by rising θ, the first again
    at the end; ``cut``: only what lies between x = ±``half``."""

    radius: float
    half: float
    cut: bool
    ring: tuple[Point, ...]

    def holds(self, x: float, y: float) -> float:
        """How deep a point lies inside, mm; below 0 outside, near 0 on the outline."""
        depth = self.radius - math.hypot(x, y)
        return min(depth, self.half - abs(x)) if self.cut else depth

    def arcs(self) -> Iterator[StripSide]:
        """The outline on the circle, counter-clockwise."""
        for p, q in pairwise(self.ring):
            if not (self.cut and beyond(p, q, self.half)):
                yield StripSide(p, q)

    def chords(self, points: Sequence[Point]) -> Iterator[StripSide]:
        """The outline on the flats, counter-clockwise, stopping at each of ``points`` on it."""
        if not self.cut:
            return
        reach = math.sqrt(self.radius**2 - self.half**2) + TOUCHING
        for sign in (1, -1):
            on = {
                p.id: p
                for p in points
                if abs(_xy(p)[0] - sign * self.half) < TOUCHING and abs(_xy(p)[1]) < reach
            }
            rising = sorted(on.values(), key=lambda p: sign * _xy(p)[1])
            yield from (StripSide(p, q, chord=True) for p, q in pairwise(rising))


def beyond(p: Point, q: Point, half: float) -> bool:
    """True if the arc p → q bulges out of the flats at x = ±``half``."""
    return p.r * abs(math.cos((p.theta + q.theta) / 2)) > half + TOUCHING


def difference(a: Section | None, b: Section | None) -> list[list[list[StripSide]]]:
    """What section ``a`` has and ``b`` has not: for each piece its loops, the outer one first and
    counter-clockwise, holes clockwise. None is an empty section."""
    if a is None:
        return []
    points = [*a.ring, *(b.ring if b else ())]
    sides = [s for s in _outline(a, points) if b is None or b.holds(*_middle(s)) < -_DEEP]
    if b is not None:
        sides += [s.back for s in _outline(b, points) if a.holds(*_middle(s)) > _DEEP]
    loops = linked(sides)
    outer = [run for run in loops if _area(run) > 0]
    holes = [run for run in loops if _area(run) <= 0]
    # The circles share their centre: whatever has a hole is one piece.
    assert not holes or len(outer) == 1
    return [[run, *holes] for run in outer]


# Deeper than rounding, and shallower than a circle's middle under a chord that it does not touch.
_DEEP = 1e-9


def _outline(section: Section, points: Sequence[Point]) -> list[StripSide]:
    return [*section.arcs(), *section.chords(points)]


def linked(sides: Sequence[StripSide]) -> list[list[StripSide]]:
    """``sides`` joined end to end into closed loops. Where two loops touch at y = 0 each stays on
    its own side."""
    left = list(sides)
    loops = []
    while left:
        run = [left.pop(0)]
        while run[-1].q.id != run[0].p.id:
            at = [s for s in left if s.p.id == run[-1].q.id]
            way = math.copysign(1, _middle(run[-1])[1])
            nxt = at[0] if len(at) == 1 else next(s for s in at if way * _middle(s)[1] > 0)
            left.remove(nxt)
            run.append(nxt)
        loops.append(run)
    return loops


def _xy(p: Point) -> tuple[float, float]:
    return p.r * math.cos(p.theta), p.r * math.sin(p.theta)


def _middle(side: StripSide) -> tuple[float, float]:
    (ax, ay), (bx, by) = _xy(side.p), _xy(side.q)
    if side.chord or abs(side.p.theta - side.q.theta) < 1e-12:
        return (ax + bx) / 2, (ay + by) / 2
    theta = (side.p.theta + side.q.theta) / 2
    return side.p.r * math.cos(theta), side.p.r * math.sin(theta)


def _area(run: Sequence[StripSide]) -> float:
    """Twice the area that a loop of arcs and chords goes round, below 0 if clockwise."""
    total = 0.0
    for side in run:
        (ax, ay), (bx, by) = _xy(side.p), _xy(side.q)
        total += ax * by - ay * bx if side.chord else side.p.r**2 * (side.q.theta - side.p.theta)
    return total
