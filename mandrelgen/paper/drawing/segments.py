"""Straight pieces and upright boxes on paper, mm: what meets, crosses or runs along what."""

from __future__ import annotations

import math
from collections.abc import Iterable

Box = tuple[float, float, float, float]
Segment = tuple[float, float, float, float]

# How far a line stays away from lettering, mm.
MARGIN = 1.0
# Ends of dimension lines nearer than this are one end; a shorter piece has no direction, mm.
SHARED = 0.05
# Parallel lines are this far apart at least (ISO 128-2), mm.
PARALLEL = 0.7


def overlap(a: Box, b: Box) -> bool:
    """True if two boxes share area."""
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def meets(s: Segment, b: Box, margin: float = MARGIN) -> bool:
    """True if a straight piece runs through a box widened by ``margin``."""
    return any_meets((s,), b, margin)


def any_meets(lines: Iterable[Segment], b: Box, margin: float = MARGIN) -> bool:
    """True if one of several straight pieces runs through a box widened by ``margin``."""
    x0, y0, x1, y1 = b[0] - margin, b[1] - margin, b[2] + margin, b[3] + margin
    for s in lines:
        sx0, sy0, sx1, sy1 = s
        # Most pieces lie wholly on one side.
        if (sx0 <= x0 and sx1 <= x0) or (sx0 >= x1 and sx1 >= x1):
            continue
        if (sy0 <= y0 and sy1 <= y0) or (sy0 >= y1 and sy1 >= y1):
            continue
        if _through(s, (x0, y0, x1, y1)):
            return True
    return False


def _through(s: Segment, b: Box) -> bool:
    """True if some of a straight piece lies inside a box (clipped one direction after the
    other)."""
    t0, t1 = 0.0, 1.0
    for p, d, low, high in ((s[0], s[2] - s[0], b[0], b[2]), (s[1], s[3] - s[1], b[1], b[3])):
        if abs(d) < 1e-12:
            if p <= low or p >= high:
                return False
            continue
        a, c = (low - p) / d, (high - p) / d
        if a > c:
            a, c = c, a
        t0, t1 = max(t0, a), min(t1, c)
        if t0 >= t1:
            return False
    return True


def cross(a: Segment, b: Segment) -> bool:
    """True if two straight pieces cross inside both."""
    ax0, ay0, ax1, ay1 = a
    bx0, by0, bx1, by1 = b
    dx, dy = ax1 - ax0, ay1 - ay0
    if (dx * (by0 - ay0) - dy * (bx0 - ax0)) * (dx * (by1 - ay0) - dy * (bx1 - ax0)) >= -1e-9:
        return False
    dx, dy = bx1 - bx0, by1 - by0
    return (dx * (ay0 - by0) - dy * (ax0 - bx0)) * (dx * (ay1 - by0) - dy * (ax1 - bx0)) < -1e-9


def passing(a: Segment, lines: list[Segment]) -> list[Segment]:
    """Those of ``lines`` that do not lie wholly on one side of a level or an upright piece, as most
    do: this is where a sheet's time goes. All of them for any other piece."""
    x, y = a[0], a[1]
    if y == a[3]:
        return [b for b in lines if (b[1] < y) is not (b[3] < y)]
    if x == a[2]:
        return [b for b in lines if (b[0] < x) is not (b[2] < x)]
    return lines


def crossing(a: Segment, lines: list[Segment]) -> int:
    """How many of ``lines`` cross ``a`` inside both."""
    return sum([cross(a, b) for b in passing(a, lines)])


def runs_on(a: Segment, b: Segment) -> bool:
    """True if two level or two upright pieces lie on one another."""
    level = a[1] == a[3] and b[1] == b[3] and abs(a[1] - b[1]) < 0.05
    if level and _overlap(a[0], a[2], b[0], b[2]) >= 0:
        return True
    upright = a[0] == a[2] and b[0] == b[2] and abs(a[0] - b[0]) < 0.05
    return upright and _overlap(a[1], a[3], b[1], b[3]) >= 0


def _overlap(a0: float, a1: float, b0: float, b1: float) -> float:
    """Length that two ranges of a line have in common; below zero if they lie apart."""
    return min(max(a0, a1), max(b0, b1)) - max(min(a0, a1), min(b0, b1))


def runs_along(a: Segment, b: Segment) -> bool:
    """True if two pieces are nearly parallel and nearer to each other than parallel lines may be,
    over more than a touch."""
    (ax, ay), (bx, by) = (a[2] - a[0], a[3] - a[1]), (b[2] - b[0], b[3] - b[1])
    la, lb = math.hypot(ax, ay), math.hypot(bx, by)
    if la < SHARED or lb < SHARED or abs(ax * by - ay * bx) > 0.26 * la * lb:
        return False
    ux, uy = bx / lb, by / lb
    ends = [(x - b[0], y - b[1]) for x, y in ((a[0], a[1]), (a[2], a[3]))]
    (t0, d0), (t1, d1) = sorted((x * ux + y * uy, y * ux - x * uy) for x, y in ends)
    low, high = max(t0, 0.0), min(t1, lb)
    if high - low < 0.5:
        return False
    near = [d0 + (d1 - d0) * (t - t0) / (t1 - t0) for t in (low, high)]
    return min(abs(d) for d in near) < PARALLEL or near[0] * near[1] < 0


def beside(a: Segment, b: Segment, apart: float) -> bool:
    """True if two upright pieces run side by side closer than ``apart``."""
    if a[0] != a[2] or b[0] != b[2] or abs(a[0] - b[0]) >= apart:
        return False
    return _overlap(a[1], a[3], b[1], b[3]) > 4.0
