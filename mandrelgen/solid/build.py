"""Profile -> solid: planes, cylinders, cones and the threads' strips, face by face."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from mandrelgen.patches import (
    Cuts,
    Point,
    Unrolled,
    Zone,
    cuts,
    flat_bounds,
    rim,
    strip_polygons,
    unroll,
)
from mandrelgen.profile import Face, Profile

if TYPE_CHECKING:
    from OCP.TopoDS import TopoDS_Solid

    from mandrelgen.solid.brep import Brep

# Half a turn: uncut strips pass the kernel's checker, yet mesh slowly and give wrong volumes.
CUTS_PER_TURN = 2


def build(profile: Profile) -> TopoDS_Solid:
    """The solid of a profile, threads modelled, flats cut; axis +Z = the profile's z, mm.

    Raises ValueError, naming the feature, if a thread cannot be modelled (see patches.unroll).
    """
    from mandrelgen.solid.brep import Brep

    unrolled = unroll(profile)
    cut = {i: cuts(zone, CUTS_PER_TURN) for i, zone in unrolled.zones.items()}
    brep = Brep()
    for i, face in enumerate(profile.faces):
        if i in unrolled.zones:
            _thread(brep, unrolled.zones[i], cut[i])
            continue
        entry, leave = _rim(profile, unrolled, cut, i), _rim(profile, unrolled, cut, i + 1)
        if face.kind == "plane":
            _plane(brep, face, entry, leave)
        else:
            _turned(brep, face, entry, leave)
    solid = brep.solid()
    return _cut_flats(solid, profile) if profile.flats is not None else solid


def build_plain(profile: Profile) -> TopoDS_Solid:
    """As ``build``, with every thread a plain cylinder at its crest: major diameter outside,
    minor diameter inside."""
    faces = tuple(replace(face, thread=None) for face in profile.faces)
    return build(replace(profile, faces=faces))


def _rim(profile: Profile, unrolled: Unrolled, cut: dict[int, Cuts], joint: int) -> list[Point]:
    """The closed curve between faces ``joint`` − 1 and ``joint``, once round by rising θ."""
    count = len(profile.faces)
    if profile.closed:
        sides = [(joint - 1) % count, joint % count]
    else:
        sides = [i for i in (joint - 1, joint) if 0 <= i < count]
    for i in sides:
        if i in unrolled.zones:
            leaves = (i + 1) % count == joint % count
            rising = profile.faces[i].z0 < profile.faces[i].z1
            points = rim(unrolled.zones[i], cut[i], int(leaves == rising))
            turn = math.tau * math.floor(points[0].theta / math.tau)
            return [replace(p, theta=p.theta - turn) for p in points]
    seam = next((unrolled.seams[i] for i in sides if profile.faces[i].kind != "plane"), 0.0)
    face, last = profile.faces[joint % count], profile.faces[-1]
    z, r = (face.z0, face.r0) if joint < count or profile.closed else (last.z1, last.r1)
    start = Point(("joint", joint % count if profile.closed else joint, 0, 0, 0), seam, z, r)
    return [start, replace(start, theta=seam + math.tau)]


def _plane(brep: Brep, face: Face, entry: list[Point], leave: list[Point]) -> None:
    from OCP.Geom import Geom_Plane
    from OCP.gp import gp_Ax3, gp_Dir, gp_Pnt

    inner, outer = sorted((entry, leave), key=lambda points: points[-1].r)
    loops = [outer] if inner[0].r == 0.0 else [outer, inner[::-1]]
    axes = gp_Ax3(gp_Pnt(0, 0, face.z0), gp_Dir(0, 0, 1), gp_Dir(1, 0, 0))
    brep.face(Geom_Plane(axes), face.r1 < face.r0, loops, None)


def _turned(brep: Brep, face: Face, entry: list[Point], leave: list[Point]) -> None:
    """A cylinder or cone face with its seam."""
    rising = face.z0 < face.z1
    low, high = (entry, leave) if rising else (leave, entry)
    loop = [*low, *high[::-1], low[0]]
    surface, uv = _surface(face, low[0].theta)
    brep.face(surface, rising, [loop], uv)


def _surface(face: Face, seam: float) -> tuple[Any, Any]:
    from OCP.Geom import Geom_ConicalSurface, Geom_CylindricalSurface
    from OCP.gp import gp_Ax3, gp_Dir, gp_Pnt

    if face.kind == "cylinder":
        axes = gp_Ax3(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1), gp_Dir(1, 0, 0))
        return Geom_CylindricalSurface(axes, face.r0), lambda p: (p.theta, p.z)
    # The axis points where the cone widens, so that its angle is positive, as STEP demands.
    way = 1.0 if (face.r1 > face.r0) == (face.z1 > face.z0) else -1.0
    z, r = max(((face.z0, face.r0), (face.z1, face.r1)), key=lambda end: end[1])
    half = math.atan2(abs(face.r1 - face.r0), abs(face.z1 - face.z0))
    axes = gp_Ax3(gp_Pnt(0, 0, z), gp_Dir(0, 0, way), gp_Dir(1, 0, 0))
    cos, sin = math.cos(half), math.sin(half)
    turn = 0.0 if way > 0 else math.tau * math.ceil(seam / math.tau + 1)

    def uv(p: Point) -> tuple[float, float]:
        return turn + way * p.theta, (p.r - r) * sin + way * (p.z - z) * cos

    return Geom_ConicalSurface(axes, half, r), uv


def _thread(brep: Brep, zone: Zone, cut: Cuts) -> None:
    """All strips of a thread: flanks as splines, crests and roots as cylinders."""
    for strip in range(zone.strips):
        for polygon in strip_polygons(zone, cut, strip):
            band = cut.band(sum(p.theta for p in polygon) / len(polygon))
            surface, uv = _strip(zone, strip, cut.at(band), cut.step)
            brep.face(surface, zone.form.external, [[*polygon, polygon[0]]], uv)


def _strip(zone: Zone, strip: int, theta: float, turn: float) -> tuple[Any, Any]:
    """The surface of one strip over ``turn`` from ``theta``, and its parameters."""
    from OCP.Geom import Geom_CylindricalSurface
    from OCP.gp import gp_Ax3, gp_Dir, gp_Pnt

    r0, r1 = zone.boundary(strip)[1], zone.boundary(strip + 1)[1]
    if r0 != r1:
        surface = _flank(zone, strip, theta, turn)
        return surface, lambda p: (p.theta - theta, (p.r - r0) / (r1 - r0))
    axes = gp_Ax3(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1), gp_Dir(1, 0, 0))
    start = math.tau * math.floor(theta / math.tau)
    return Geom_CylindricalSurface(axes, r0), lambda p: (p.theta - start, p.z)


def _flank(zone: Zone, strip: int, theta: float, turn: float) -> Any:
    """The ruled spline surface of one flank over ``turn`` from ``theta``; u = angle, v = 0…1."""
    from OCP.Geom import Geom_BSplineSurface
    from OCP.gp import gp_Pnt
    from OCP.TColgp import TColgp_Array2OfPnt

    from mandrelgen.solid import spline
    from mandrelgen.solid.brep import knots

    n = spline.spans(turn)
    along = spline.greville(n)
    poles = TColgp_Array2OfPnt(1, n + spline.DEGREE, 1, 2)
    for v in (0, 1):
        xi, r = zone.boundary(strip + v)
        curve = spline.spiral(n, (theta, theta + turn), (r, r)).tolist()
        for u, (xy, t) in enumerate(zip(curve, along, strict=True), 1):
            z = xi + zone.slope * (theta + t * turn)
            poles.SetValue(u, v + 1, gp_Pnt(xy.real, xy.imag, z))
    u_knots, u_mults = knots(n, turn, spline.DEGREE)
    v_knots, v_mults = knots(1, 1.0, 1)
    return Geom_BSplineSurface(poles, u_knots, v_knots, u_mults, v_mults, spline.DEGREE, 1)


def _cut_flats(solid: TopoDS_Solid, profile: Profile) -> TopoDS_Solid:
    """Cut two flats, normal to X, with one boolean."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox
    from OCP.gp import gp_Pnt
    from OCP.TopAbs import TopAbs_SOLID
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS
    from OCP.TopTools import TopTools_ListOfShape

    low, high, half = flat_bounds(profile)
    far = 2 + max(max(f.r0, f.r1) for f in profile.faces)
    tools, bodies = TopTools_ListOfShape(), TopTools_ListOfShape()
    bodies.Append(solid)
    for a, b in ((half, far), (-far, -half)):
        tools.Append(BRepPrimAPI_MakeBox(gp_Pnt(a, -far, low), gp_Pnt(b, far, high)).Shape())
    operation = BRepAlgoAPI_Cut()
    operation.SetArguments(bodies)
    operation.SetTools(tools)
    operation.Build()
    found = TopExp_Explorer(operation.Shape(), TopAbs_SOLID)
    if not operation.IsDone() or not found.More():
        raise ValueError(f"the spanner flats, {2 * half:g} mm across, cannot be cut")
    return TopoDS.Solid_s(found.Current())
