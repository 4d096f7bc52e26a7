"""Section lines: parallel lines cut to what lies inside closed loops."""

from __future__ import annotations

import math

_Point = tuple[float, float]
_Loop = tuple[_Point, ...]
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
