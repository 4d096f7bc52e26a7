"""The finished outside of a part along its length, as far as the pen file says it."""

from __future__ import annotations

from itertools import pairwise

from mandrelgen.spec.pen import End, Part

Points = tuple[tuple[float, float], ...]
"""(from the end's face, diameter), mm, in order; two at one place are a step."""


def points(part: Part, end_name: str) -> Points:
    """The outside as said, seen from an end: its own ``outside``, else the other end's seen from
    here; empty if neither says it."""
    own = part.ends[end_name].outside
    if own:
        return tuple((float(p.at), float(p.diameter)) for p in own)
    length = float(part.length)
    for name, other in part.ends.items():
        if name != end_name and other.outside:
            seen = [(length - float(p.at), float(p.diameter)) for p in other.outside]
            return tuple(reversed(seen))
    return ()


def of_part(part: Part, end_name: str) -> Points:
    """The outside seen from an end: as said point by point, else over the ends' own diameters and
    their bodies'; empty if the file says neither."""
    end = part.ends[end_name]
    other = next((e for n, e in part.ends.items() if n != end_name), None)
    return points(part, end_name) or _with_bodies(part, end, other)


def _with_bodies(part: Part, end: End, other: End | None) -> Points:
    """Each end's own diameter over its thread, straight between the bodies behind."""
    if end.body is None and (other is None or other.body is None):
        return ()
    length, mine = float(part.length), threaded_length(end)
    row = [(0.0, float(end.diameter)), (mine, float(end.diameter))]
    row.append((mine, float(end.body or end.diameter)))
    if other is None:
        return (*row, (length, float(end.body or end.diameter)))
    theirs = max(length - threaded_length(other), mine)
    row += [(theirs, float(other.body or other.diameter)), (theirs, float(other.diameter))]
    return (*row, (length, float(other.diameter)))


def diameter_at(row: Points, z: float) -> float:
    """The diameter at ``z`` from the face, mm; at a step the smaller. Beyond the ends of the row
    the nearest. Raises ValueError for an empty row.

    >>> diameter_at(((0.0, 14.0), (10.0, 14.0), (10.0, 13.0), (20.0, 12.0)), 15.0)
    12.5
    """
    if not row:
        raise ValueError("no points")
    if z <= row[0][0]:
        return min(d for a, d in row if a <= row[0][0] + 1e-9)
    found = [
        d0 + (d1 - d0) * (z - a) / (b - a) if b - a > 1e-9 else min(d0, d1)
        for (a, d0), (b, d1) in pairwise(row)
        if a - 1e-9 <= z <= b + 1e-9
    ]
    return min(found, default=row[-1][1])


def least(row: Points, z0: float, z1: float) -> float:
    """The least diameter between two places, mm."""
    inside = (a for a, _ in row if z0 <= a <= z1)
    return min(diameter_at(row, z) for z in (z0, z1, *inside))


def threaded_length(end: End) -> float:
    """How deep the end's own diameter is kept where its body has another: over the thread in its
    bore, or to the tenon's shoulder, mm."""
    if end.external is not None:
        return float(end.external.length)
    if end.internal is not None:
        return float(end.internal.depth or end.internal.full_thread or 0.0)
    return 0.0
