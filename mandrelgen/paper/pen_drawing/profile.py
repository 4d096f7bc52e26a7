"""Chains of (z, r) points along a part: the highest of several stretches, and what lies between
two depths. Everything in mm."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from mandrelgen.core.frozen import dataclass

Point = tuple[float, float]
_NEAR = 1e-9


@dataclass(frozen=True, slots=True)
class Slope:
    """A straight stretch from (``z0``, ``r0``) to (``z1``, ``r1``), z0 < z1."""

    z0: float
    z1: float
    r0: float
    r1: float

    def at(self, z: float) -> float:
        """The radius at ``z``."""
        return self.r0 + (self.r1 - self.r0) * (z - self.z0) / (self.z1 - self.z0)


def slopes(points: Sequence[Point]) -> list[Slope]:
    """The stretches of a chain; upright pieces are left out."""
    return [Slope(a[0], b[0], a[1], b[1]) for a, b in pairwise(points) if b[0] - a[0] > _NEAR]


def highest(row: Iterable[Slope], start: float, end: float) -> tuple[Point, ...]:
    """The chain of the greatest radius from ``start`` to ``end``; 0 where nothing is.

    >>> highest([Slope(0, 4, 2, 2), Slope(0, 2, 3, 3)], 0, 4)
    ((0, 3.0), (2, 3.0), (2, 2.0), (4, 2.0))
    """
    row = [s for s in row if s.z1 - s.z0 > _NEAR]
    cuts = {start, end}
    cuts |= {z for s in row for z in (s.z0, s.z1) if start < z < end}
    cuts |= {z for i, s in enumerate(row) for t in row[:i] for z in _crossing(s, t)
             if start < z < end}  # fmt: skip
    places = sorted(cuts)
    out: list[Point] = []
    for a, b in pairwise(places):
        mid = (a + b) / 2
        here = [s for s in row if s.z0 - _NEAR <= a and b <= s.z1 + _NEAR]
        top = max(here, key=lambda s: s.at(mid), default=Slope(a, b, 0.0, 0.0))
        out += [(a, max(0.0, top.at(a))), (b, max(0.0, top.at(b)))]
    return _tidy(out)


def _crossing(s: Slope, t: Slope) -> list[float]:
    a, b = max(s.z0, t.z0), min(s.z1, t.z1)
    if b - a <= _NEAR:
        return []
    before, after = s.at(a) - t.at(a), s.at(b) - t.at(b)
    if before * after >= 0:
        return []
    return [a + (b - a) * before / (before - after)]


def _tidy(points: Sequence[Point]) -> tuple[Point, ...]:
    """Without repeated points and without points in the middle of a straight stretch."""
    out: list[Point] = []
    for p in points:
        if out and abs(out[-1][0] - p[0]) < _NEAR and abs(out[-1][1] - p[1]) < _NEAR:
            continue
        if len(out) > 1 and _straight(out[-2], out[-1], p):
            out.pop()
        out.append(p)
    return tuple(out)


def _straight(a: Point, b: Point, c: Point) -> bool:
    return abs((b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1])) < _NEAR


def radius_at(chain: Sequence[Point], z: float) -> float:
    """The radius of a chain at ``z``; on a step the greater one; 0 outside it."""
    found = [s.at(z) for s in slopes(chain) if s.z0 - _NEAR <= z <= s.z1 + _NEAR]
    return max(found, default=0.0)


def cut_out(chain: Sequence[Point], start: float, end: float) -> tuple[Point, ...]:
    """The chain between two depths, both ends on it."""
    row = [
        Slope(max(s.z0, start), min(s.z1, end), s.at(max(s.z0, start)), s.at(min(s.z1, end)))
        for s in slopes(chain)
        if min(s.z1, end) - max(s.z0, start) > _NEAR
    ]
    return _tidy([p for s in row for p in ((s.z0, s.r0), (s.z1, s.r1))])


def area(loop: Sequence[Point]) -> float:
    """Area of a closed loop, mm²."""
    total = 0.0
    for (z0, r0), (z1, r1) in zip(loop, [*loop[1:], loop[0]], strict=True):
        total += z0 * r1 - z1 * r0
    return abs(total) / 2
