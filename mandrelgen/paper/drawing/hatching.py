"""Section lines: parallel lines cut to what lies inside closed loops, and kept off arrow heads."""

from __future__ import annotations

import math
from collections.abc import Iterable

_Point = tuple[float, float]
_Loop = tuple[_Point, ...]
_Box = tuple[float, float, float, float]
# A line that only touches a corner cuts off nothing, mm.
_TOUCH = 1e-6


def section_lines(
    loops: tuple[_Loop, ...], pitch: float, angle: float, through: _Point
) -> list[tuple[_Point, _Point]]:
    """The pieces inside ``loops`` (even-odd) of lines at ``angle`` degrees, ``pitch`` mm apart, one
    of which goes through the point ``through``; all in mm."""
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    x0, y0 = through
    # Where the k-th line meets the loops, mm along it.
    met: dict[int, list[float]] = {}
    for loop in loops:
        turned = [
            ((x - x0) * c + (y - y0) * s, ((y - y0) * c - (x - x0) * s) / pitch) for x, y in loop
        ]
        for (u0, v0), (u1, v1) in zip(turned, [*turned[1:], turned[0]], strict=True):
            # An edge owns its lower end and not its upper: through a corner a line goes once.
            for k in range(math.ceil(min(v0, v1)), math.ceil(max(v0, v1))):
                met.setdefault(k, []).append(u0 + (u1 - u0) * (k - v0) / (v1 - v0))

    def at(k: int, u: float) -> _Point:
        return (x0 + u * c - k * pitch * s, y0 + u * s + k * pitch * c)

    return [
        (at(k, a), at(k, b))
        for k, us in sorted(met.items())
        for a, b in zip(sorted(us)[::2], sorted(us)[1::2], strict=True)
        if b - a > _TOUCH
    ]


def left_free(loops: tuple[_Loop, ...], boxes: Iterable[_Box]) -> tuple[_Loop, ...]:
    """``loops`` (even-odd) with loops behind them that leave the ``boxes`` free: hatching is broken
    off for what is written into it (ISO 128-3, from memory). All in mm."""
    free = [_cut(loop, box) for box in _apart(boxes) for loop in loops]
    # A sliver counts too: left out, the little that it has in the box would be drawn.
    return (*loops, *[loop for loop in free if _area(loop) > 0])


def _apart(boxes: Iterable[_Box]) -> list[_Box]:
    """Boxes that share no area: those that do become the one round both."""
    out: list[_Box] = []
    for box in boxes:
        grown = box
        while shared := [b for b in out if _share(b, grown)]:
            out = [b for b in out if b not in shared]
            every = [grown, *shared]
            grown = (
                min(b[0] for b in every),
                min(b[1] for b in every),
                max(b[2] for b in every),
                max(b[3] for b in every),
            )
        out.append(grown)
    return out


def _share(a: _Box, b: _Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _cut(loop: _Loop, box: _Box) -> _Loop:
    """What of ``loop`` lies in ``box``, one side after the other."""
    ring = list(loop)
    for axis, limit, sign in ((0, box[0], 1), (0, box[2], -1), (1, box[1], 1), (1, box[3], -1)):
        out: list[_Point] = []
        for p, q in zip(ring, [*ring[1:], *ring[:1]], strict=True):
            a, b = sign * (p[axis] - limit), sign * (q[axis] - limit)
            if a >= 0:
                out.append(p)
            if a * b < 0:
                t = a / (a - b)
                out.append((p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])))
        ring = out
    return tuple(ring)


def _area(loop: _Loop) -> float:
    turned = zip(loop, [*loop[1:], *loop[:1]], strict=True)
    return abs(sum(p[0] * q[1] - q[0] * p[1] for p, q in turned)) / 2
