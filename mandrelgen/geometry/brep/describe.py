"""Profile -> boundary: planes, cylinders, cones, the threads' strips and flats, face by face."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

from mandrelgen.geometry.brep import flats, spline
from mandrelgen.geometry.brep.model import Brep, Cone, Cylinder, Pair, Plane, Ruled, Surface
from mandrelgen.geometry.brep.sewing import UV, Sewing, loop
from mandrelgen.geometry.thread_surface import (
    Cuts,
    Point,
    Unrolled,
    Zone,
    cuts,
    rim,
    run_out,
    strip_polygons,
    unroll,
)
from mandrelgen.model.half_section import NAMELESS, Profile, ProfileFace

# Half a turn: uncut strips pass the kernel's checker, yet mesh slowly and give wrong volumes.
CUTS_PER_TURN = 2


def describe(profile: Profile) -> Brep:
    """The boundary of a profile, threads modelled, flats cut; axis +Z = the profile's z, mm.

    Raises ValueError, naming the feature, if a thread cannot be modelled (see patches.unroll), and
    flats.Beyond if the flats reach what is left to the kernel.
    """
    unrolled = unroll(profile)
    cut = flats.cut(profile, unrolled)
    part = _Part(profile, replace(unrolled, seams=cut.seams), cut)
    for i in range(len(profile.faces)):
        part.add(i)
    if cut.notches:
        flats.planes(part.sewing, cut.half)
    return part.sewing.brep()


class _Part:
    """A profile on its way to a boundary."""

    def __init__(self, profile: Profile, unrolled: Unrolled, cut: flats.FlatCut) -> None:
        self.sewing = Sewing()
        self._profile = profile
        self._unrolled = unrolled
        self._flats = cut
        self._cuts = {i: cuts(zone, CUTS_PER_TURN) for i, zone in unrolled.zones.items()}

    def add(self, i: int) -> None:
        """Sew the faces that face ``i`` of the profile becomes."""
        if i in self._unrolled.zones:
            _thread(self.sewing, self._unrolled.zones[i], self._cuts[i])
            return
        face, entry, leave = self._profile.faces[i], self._rim(i), self._rim(i + 1)
        if i in self._flats.levels:
            sections = self._flats.levels[i]
            inner = entry if sections[0] is None else leave if sections[1] is None else None
            hole = inner if inner and inner[0].r > 0 else None
            flats.level(self.sewing, face.z0, sections, hole)
        elif i in self._flats.notches:
            flats.cylinder(
                self.sewing, face, self._flats.notches[i], self._flats.half, entry, leave
            )
        elif face.kind == "plane":
            _plane(self.sewing, face, entry, leave)
        else:
            _turned(self.sewing, face, entry, leave)

    def _rim(self, joint: int) -> list[Point]:
        """The closed curve between faces ``joint`` − 1 and ``joint``, once round by rising θ."""
        profile, unrolled = self._profile, self._unrolled
        count = len(profile.faces)
        if profile.closed:
            sides = [(joint - 1) % count, joint % count]
        else:
            sides = [i for i in (joint - 1, joint) if 0 <= i < count]
        name = joint % count if profile.closed else joint
        if name in self._flats.rings:
            return list(self._flats.rings[name])
        for i in sides:
            if i in unrolled.zones:
                leaves = (i + 1) % count == joint % count
                rising = profile.faces[i].z0 < profile.faces[i].z1
                points = rim(unrolled.zones[i], self._cuts[i], int(leaves == rising))
                turn = math.tau * math.floor(points[0].theta / math.tau)
                return [replace(p, theta=p.theta - turn) for p in points]
        seam = next((unrolled.seams[i] for i in sides if profile.faces[i].kind != "plane"), 0.0)
        face, last = profile.faces[joint % count], profile.faces[-1]
        z, r = (face.z0, face.r0) if joint < count or profile.closed else (last.z1, last.r1)
        start = Point(("joint", name, 0, 0, 0), seam, z, r)
        return [start, replace(start, theta=seam + math.tau)]


def _plane(sewing: Sewing, face: ProfileFace, entry: list[Point], leave: list[Point]) -> None:
    inner, outer = sorted((entry, leave), key=lambda points: points[-1].r)
    loops = [loop(outer)] if inner[0].r == 0.0 else [loop(outer), loop(inner[::-1])]
    surface = Plane((0.0, 0.0, face.z0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0))
    sewing.face(surface, face.r1 < face.r0, loops, None)


def _turned(sewing: Sewing, face: ProfileFace, entry: list[Point], leave: list[Point]) -> None:
    """A cylinder or cone face with its seam."""
    rising = face.z0 < face.z1
    low, high = (entry, leave) if rising else (leave, entry)
    surface, uv = _surface(face, low[0].theta)
    sewing.face(surface, rising, [loop([*low, *high[::-1], low[0]])], uv)


def _surface(face: ProfileFace, seam: float) -> tuple[Surface, UV]:
    if face.kind == "cylinder":
        return Cylinder(face.r0), lambda p: (p.theta, p.z)
    # The axis points where the cone widens, so that its angle is positive, as STEP demands.
    way = 1.0 if (face.r1 > face.r0) == (face.z1 > face.z0) else -1.0
    z, r = max(((face.z0, face.r0), (face.z1, face.r1)), key=lambda end: end[1])
    half = math.atan2(abs(face.r1 - face.r0), abs(face.z1 - face.z0))
    cos, sin = math.cos(half), math.sin(half)
    turn = 0.0 if way > 0 else math.tau * math.ceil(seam / math.tau + 1)

    def uv(p: Point) -> Pair:
        return turn + way * p.theta, (p.r - r) * sin + way * (p.z - z) * cos

    return Cone(z, r, half, way), uv


def _thread(sewing: Sewing, zone: Zone, cut: Cuts) -> None:
    """All strips of a thread: flanks as splines, crests and roots as cylinders."""
    for strip in range(zone.strips):
        for polygon in strip_polygons(zone, cut, strip):
            band = cut.band(sum(p.theta for p in polygon) / len(polygon))
            surface, uv = _strip(zone, strip, cut.at(band), cut.step)
            sewing.face(surface, zone.form.external, [loop([*polygon, polygon[0]])], uv)
    for end in (0, 1):
        if zone.ends[end].fades:
            _run_out(sewing, zone, cut, end)


def _run_out(sewing: Sewing, zone: Zone, cut: Cuts, end: int) -> None:
    """The cone on which the grooves run out."""
    z0, z1 = (zone.ends[end].z_at(r) for r in (zone.crest, zone.root))
    cone = ProfileFace(feature=NAMELESS, z0=z0, r0=zone.crest, z1=z1, r1=zone.root)
    for start in range(zone.form.starts):
        for polygon in run_out(zone, cut, end, start):
            turn = math.tau * math.floor(min(p.theta for p in polygon) / math.tau)
            points = [replace(p, theta=p.theta - turn) for p in polygon]
            if _clockwise(points):
                points.reverse()
            surface, uv = _surface(cone, points[0].theta)
            sewing.face(surface, zone.form.external, [loop([*points, points[0]])], uv)


def _clockwise(points: list[Point]) -> bool:
    """True if a polygon runs clockwise in (θ, z)."""
    sides = pairwise([*points, points[0]])
    return sum(p.theta * q.z - q.theta * p.z for p, q in sides) < 0


def _strip(zone: Zone, strip: int, theta: float, turn: float) -> tuple[Surface, UV]:
    """The surface of one strip over ``turn`` from ``theta``, and its parameters."""
    r0, r1 = zone.boundary(strip)[1], zone.boundary(strip + 1)[1]
    if r0 != r1:
        surface = _flank(zone, strip, theta, turn)
        return surface, lambda p: (p.theta - theta, (p.r - r0) / (r1 - r0))
    start = math.tau * math.floor(theta / math.tau)
    return Cylinder(r0), lambda p: (p.theta - start, p.z)


def _flank(zone: Zone, strip: int, theta: float, turn: float) -> Ruled:
    """The ruled spline surface of one flank over ``turn`` from ``theta``; u = angle, v = 0…1."""
    n = spline.spans(turn)
    rows = []
    for v in (0, 1):
        xi, r = zone.boundary(strip + v)
        curve = spline.spiral(n, (theta, theta + turn), (r, r))
        rows.append(
            tuple(
                (xy.real, xy.imag, xi + zone.slope * (theta + t * turn))
                for xy, t in zip(curve, spline.greville(n), strict=True)
            )
        )
    return Ruled(rows[0], rows[1], spline.knots(n, turn), spline.DEGREE)
