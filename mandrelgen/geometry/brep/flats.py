"""Spanner flats as faces: two planes x = ±half over a stretch of z, cut into cylinders.

A cylinder loses what bulges out of the planes, a plane face across the axis changes its outline,
and where the flats end inside a cylinder two segments close them. So every corner is known in
closed form. A cone would be cut in a hyperbola; flats through cones and bores, which the designer
does not draw, are left to the kernel (``Beyond``).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from mandrelgen.core.frozen import dataclass
from mandrelgen.geometry.brep.model import Cylinder, Plane
from mandrelgen.geometry.brep.section import TOUCHING, Section, beyond, difference, linked
from mandrelgen.geometry.brep.sewing import Sewing, StripSide, loop
from mandrelgen.geometry.thread_surface import Point, Unrolled, flat_bounds
from mandrelgen.model.half_section import TOUCH, Profile, ProfileFace

# Seams of cut cylinders: half-way between the flats.
_SEAM = math.pi / 2


class Beyond(Exception):
    """The flats reach something that is no plain outer cylinder, or its end where no plane face
    is."""


@dataclass(frozen=True, slots=True)
class Notch:
    """The flats' stretch on one cylinder; ``at_low``, ``at_high``: they run out over its end."""

    z0: float
    z1: float
    at_low: bool
    at_high: bool

    @property
    def whole(self) -> bool:
        """True if nothing of the cylinder is left round: it has no seam."""
        return self.at_low and self.at_high


@dataclass(frozen=True, slots=True, kw_only=True)
class FlatCut:
    """What flats change of a profile: notches by cylinder, sections below and above each plane
    face they reach, circles that get more corners by joint, and where seams lie now."""

    half: float
    notches: Mapping[int, Notch]
    levels: Mapping[int, tuple[Section | None, Section | None]]
    rings: Mapping[int, tuple[Point, ...]]
    seams: tuple[float, ...]


def cut(profile: Profile, unrolled: Unrolled) -> FlatCut:
    """The flats of ``profile``, or none. Raises Beyond if they cannot be described, ValueError as
    patches.flat_bounds does."""
    if profile.flats is None:
        return FlatCut(half=0.0, notches={}, levels={}, rings={}, seams=unrolled.seams)
    low, high, half = flat_bounds(profile)
    faces, count = profile.faces, len(profile.faces)
    notches: dict[int, Notch] = {}
    for i, face in enumerate(faces):
        z0, z1 = sorted((face.z0, face.z1))
        apart = min(z1, high) - max(z0, low) < TOUCH
        if face.kind == "plane" or apart or max(face.r0, face.r1) <= half + TOUCHING:
            continue
        at = (low < z0 + TOUCH, high > z1 - TOUCH)
        beside = [faces[j % count] for j, met in zip((i - 1, i + 1), at, strict=True) if met]
        if face.kind == "cone" or face.z0 > face.z1 or any(f.kind != "plane" for f in beside):
            raise Beyond(f"the flats reach the {face.kind} of {face.feature}")
        notches[i] = Notch(z0 if at[0] else low, z1 if at[1] else high, *at)
    seams = _seams(profile, unrolled, notches)
    levels, rings = _levels(profile, notches, half, seams)
    return FlatCut(half=half, notches=notches, levels=levels, rings=rings, seams=seams)


def _seams(profile: Profile, unrolled: Unrolled, notches: Mapping[int, Notch]) -> tuple[float, ...]:
    """The seam of every face: half-way between the flats on a cut cylinder and on what shares a
    circle with it, an edge's chamfer for one. Raises Beyond if that is a thread."""
    seams, count = list(unrolled.seams), len(profile.faces)
    for i in notches:
        for way in (-1, 1):
            j = i
            while profile.faces[j].kind != "plane":
                if j in unrolled.zones:
                    raise Beyond(f"the flats share a circle with {profile.faces[j].feature}")
                seams[j] = _SEAM
                j = (j + way) % count
                if j == i:
                    break
    return tuple(seams)


def _levels(
    profile: Profile, notches: Mapping[int, Notch], half: float, seams: Sequence[float]
) -> tuple[dict[int, tuple[Section | None, Section | None]], dict[int, tuple[Point, ...]]]:
    """Sections beside every plane face that a notch reaches, and their circles by joint."""
    count = len(profile.faces)
    levels: dict[int, tuple[Section | None, Section | None]] = {}
    rings: dict[int, tuple[Point, ...]] = {}
    planes = {(i - 1) % count for i, n in notches.items() if n.at_low}
    planes |= {(i + 1) % count for i, n in notches.items() if n.at_high}
    for p in sorted(planes):
        sides = [i % count if profile.closed or 0 <= i < count else None for i in (p - 1, p + 1)]
        joints = (p, (p + 1) % count if profile.closed else p + 1)
        z = profile.faces[p].z0
        discs: list[Section | None] = []
        for upper, (i, joint) in enumerate(zip(sides, joints, strict=True)):
            if i is None or profile.faces[i].z0 > profile.faces[i].z1 - TOUCH:
                discs.append(None)  # nothing or a bore: the part ends here
                continue
            face = profile.faces[i]
            if face.thread is not None:
                raise Beyond(f"the flats end at the thread of {face.feature}")
            notch = notches.get(i)
            is_cut = notch is not None and (notch.at_low if upper else notch.at_high)
            start = Point(("joint", joint, 0, 0, 0), seams[i], z, face.r0 if upper else face.r1)
            ring = () if notch is not None and notch.whole else (start,)
            discs.append(Section(start.r, half, is_cut, (*ring, start)))
        below, above = _ringed(discs[0], discs[1]), _ringed(discs[1], discs[0])
        levels[p] = below, above
        rings |= {j: s.ring for j, s in zip(joints, levels[p], strict=True) if s is not None}
    return levels, rings


def _ringed(disc: Section | None, other: Section | None) -> Section | None:
    """``disc`` with every corner on its circle. It comes with its seam's point, alone if the circle
    has no seam."""
    if disc is None:
        return None
    start, seam = disc.ring[0], len(disc.ring) > 1
    reached = other is not None and other.cut and disc.radius < other.radius + TOUCHING
    corners: list[Point] = []
    if (disc.cut or reached) and disc.radius > disc.half + TOUCHING:
        corners = _corners(start, disc.half, ("flat", start.id[1], 0))
    elif reached and disc.radius > disc.half - TOUCHING:  # its circle touches the chords
        corners = [replace(start, id=("flat", start.id[1], k, 0, 0), theta=k * math.pi)
                   for k in (0, 1)]  # fmt: skip
    first = start if seam else corners[0]
    turned = [replace(c, theta=first.theta + (c.theta - first.theta) % math.tau) for c in corners]
    turned = [c for c in turned if _apart(c, first)]
    ring = (first, *sorted(turned, key=lambda c: c.theta), _on(first))
    return replace(disc, ring=ring)


def _apart(a: Point, b: Point) -> bool:
    turn = (a.theta - b.theta) % math.tau
    return min(turn, math.tau - turn) * a.r > TOUCHING


def _on(p: Point) -> Point:
    return replace(p, theta=p.theta + math.tau)


def _corners(at: Point, half: float, name: tuple[str, int, int]) -> list[Point]:
    """The four points of a circle on the flats, by rising θ."""
    a = math.acos(half / at.r)
    return [
        replace(at, id=(name[0], name[1], k, name[2], 0), theta=theta)
        for k, theta in enumerate((a, math.pi - a, math.pi + a, math.tau - a))
    ]


def cylinder(
    sewing: Sewing,
    face: ProfileFace,
    notch: Notch,
    half: float,
    low: list[Point],
    high: list[Point],
) -> None:
    """Add what the flats leave of a cylinder between its rims ``low`` and ``high``, and the
    segments where they end on it. Mid-level corners are named after the rims' joints."""
    surface = Cylinder(face.r0)

    def uv(p: Point) -> tuple[float, float]:
        return p.theta, p.z

    def inside(end: int) -> list[Point]:
        """The corners where the flats end on the cylinder, at their low or high end."""
        at = replace(low[0], z=notch.z1 if end else notch.z0)
        return _corners(at, half, ("flat", low[0].id[1], 1 + end))

    if notch.whole:
        for a, b in ((0.0, math.pi), (math.pi, math.tau)):
            lower, upper = ([p for p in _around(rim) if a < p.theta < b] for rim in (low, high))
            sewing.face(
                surface, outward=True, loops=[loop([*lower, *upper[::-1], lower[0]])], uv=uv
            )
        return
    lower = _stepped(low, half, inside(1)) if notch.at_low else low
    upper = _stepped(high, half, inside(0)) if notch.at_high else high
    loops = [loop([*lower, *upper[::-1], lower[0]])]
    if not (notch.at_low or notch.at_high):
        loops += [_window(inside(0), inside(1), k) for k in (1, 3)]
    sewing.face(surface, outward=True, loops=loops, uv=uv)
    for end, hidden in ((0, notch.at_low), (1, notch.at_high)):
        if not hidden:
            ring = inside(end)
            round_ = Section(face.r0, half, cut=False, ring=(*ring, _on(ring[0])))
            flat = replace(round_, cut=True)
            level(sewing, ring[0].z, (round_, flat) if end == 0 else (flat, round_), None)


def _around(rim: Sequence[Point]) -> Iterator[Point]:
    """The points of a rim with θ within 0…2π."""
    return (replace(p, theta=p.theta % math.tau) for p in rim[:-1])


def _stepped(rim: Sequence[Point], half: float, corners: Sequence[Point]) -> list[Point]:
    """A rim that leaves its circle at each notch and runs round it along ``corners``."""
    points = [rim[0]]
    for p, q in pairwise(rim):
        if beyond(p, q, half):
            # From corner 1 to 2 and from 3 to 0, a turn on.
            points += [replace(corners[x.id[2]], theta=x.theta) for x in (p, q)]
        points.append(q)
    return points


def _window(low: Sequence[Point], high: Sequence[Point], k: int) -> list[StripSide]:
    """A notch that reaches neither end: a hole between the corners ``k`` and ``k`` + 1."""
    a, b, c, d = low[k], low[(k + 1) % 4], high[(k + 1) % 4], high[k]
    if k == 3:
        b, c = _on(b), _on(c)
    return loop([a, d, c, b, a])


def level(
    sewing: Sewing,
    z: float,
    sections: tuple[Section | None, Section | None],
    hole: Sequence[Point] | None,
) -> None:
    """Add the plane faces at ``z`` between the section below and the one above; ``hole``: the rim
    of a bore that opens there."""
    plane = Plane((0.0, 0.0, z), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0))
    for up, pieces in ((True, difference(*sections)), (False, difference(*sections[::-1]))):
        for loops in pieces:
            sewing.face(plane, up, loops if hole is None else [*loops, loop(hole[::-1])], None)


def planes(sewing: Sewing, half: float) -> None:
    """Add the flats themselves: the faces that are missing once everything else is there."""
    open_sides = sewing.open_sides()
    for way in (1.0, -1.0):
        plane = Plane((way * half, 0.0, 0.0), (way, 0.0, 0.0), (0.0, way, 0.0))

        def uv(p: Point, way: float = way) -> tuple[float, float]:
            return way * p.r * math.sin(p.theta), p.z

        for run in linked([s for s in open_sides if way * math.cos(s.p.theta) > 0]):
            sewing.face(plane, outward=True, loops=[run], uv=uv)
