"""Measures a solid from its faces alone: volume, and threads in axial sections.

Nothing of the construction is used: two half-planes through the axis cut the solid, flanks are
found as straight lines that repeat along the axis, and lead and hand come from how far they move
between the two half-planes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import fmean
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from OCP.TopoDS import TopoDS_Shape

# First half-plane, and how far the second is turned from it. 8° tells up to 20 starts apart.
_THETA = math.radians(11.3)
_TURN = math.radians(8.0)
# Radii that agree within this are one diameter (mm).
_SAME = 1e-4

Line = tuple[float, float, float, float]  # z, r at the smaller radius, then at the larger


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreadSection:
    """One thread as found in the section, mm; ``z0``…``z1`` spans its complete flanks."""

    z0: float
    z1: float
    external: bool
    pitch: float
    lead: float
    starts: int
    left_hand: bool
    major: float
    minor: float
    pitch_diameter: float
    flank_angle: float


def volume(solid: TopoDS_Shape) -> float:
    """Volume in mm³ by the kernel's plain Gauss integration.

    On strips cut at half turns it is within 0.001 ppm. The kernel's adaptive integration stops
    early on end cones whose edge folds back: up to 40 ppm off, at any tolerance.
    """
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(solid, properties, True, False, False)
    return float(properties.Mass())


def bounding_box(solid: TopoDS_Shape) -> tuple[float, float, float, float, float, float]:
    """x, y, z of the lowest, then of the highest corner, mm, without the tolerance gap."""
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib

    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(solid, box, False, False)
    x0, y0, z0, x1, y1, z1 = box.Get()
    return x0, y0, z0, x1, y1, z1


def count_solids(shape: TopoDS_Shape) -> int:
    """How many solids a shape holds."""
    from OCP.TopAbs import TopAbs_SOLID
    from OCP.TopExp import TopExp_Explorer

    found, count = TopExp_Explorer(shape, TopAbs_SOLID), 0
    while found.More():
        count += 1
        found.Next()
    return count


def section(solid: TopoDS_Shape, theta: float) -> list[Line]:
    """Straight lines in which the half-plane at ``theta`` (radians, on no seam) cuts the faces.

    Each edge is cut by bisection; the cuts of one face, paired along the section, bound its
    lines. A line whose middle does not lie on the face is no straight section and is left out.
    """
    from OCP.BRep import BRep_Tool
    from OCP.gp import gp_Pnt
    from OCP.ShapeAnalysis import ShapeAnalysis_Surface
    from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    lines: list[Line] = []
    faces = TopExp_Explorer(solid, TopAbs_FACE)
    while faces.More():
        face = TopoDS.Face_s(faces.Current())
        faces.Next()
        cuts: list[tuple[float, float]] = []
        edges = TopExp_Explorer(face, TopAbs_EDGE)
        while edges.More():
            edge = TopoDS.Edge_s(edges.Current())
            edges.Next()
            if not BRep_Tool.Degenerated_s(edge):
                cuts += _crossings(edge, theta)
        if len(cuts) < 2 or len(cuts) % 2:
            continue
        spread = [max(c[k] for c in cuts) - min(c[k] for c in cuts) for k in (0, 1)]
        cuts.sort(key=lambda c: c[spread[1] > spread[0]])
        surface = ShapeAnalysis_Surface(BRep_Tool.Surface_s(face))
        for a, b in zip(cuts[::2], cuts[1::2], strict=True):
            r, z = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
            middle = gp_Pnt(r * math.cos(theta), r * math.sin(theta), z)
            surface.ValueOfUV(middle, 1e-7)
            if surface.Gap() < _SAME / 10:
                (r0, z0), (r1, z1) = sorted((a, b))
                lines.append((z0, r0, z1, r1))
    return lines


def _crossings(edge: Any, theta: float) -> list[tuple[float, float]]:
    """(r, z) where an edge of up to a full turn crosses the half-plane."""
    from OCP.BRepAdaptor import BRepAdaptor_Curve

    curve = BRepAdaptor_Curve(edge)
    cos, sin = math.cos(theta), math.sin(theta)

    def off(t: float) -> float:
        p = curve.Value(t)
        return float(p.Y()) * cos - float(p.X()) * sin

    t0, t1 = curve.FirstParameter(), curve.LastParameter()
    marks = [t0 + (t1 - t0) * k / 12 for k in range(13)]
    found = []
    for (a, fa), (b, fb) in pairwise([(t, off(t)) for t in marks]):
        if fa * fb >= 0:
            continue
        while b - a > 1e-13 * (t1 - t0):
            middle = (a + b) / 2
            if middle in (a, b):
                break
            value = off(middle)
            if (value > 0) == (fa > 0):
                a = middle
            else:
                b = middle
        p = curve.Value(a)
        r = float(p.X()) * cos + float(p.Y()) * sin
        if r > 0:
            found.append((r, float(p.Z())))
    return found


def section_report(solid: TopoDS_Shape) -> tuple[ThreadSection, ...]:
    """Every thread of three or more complete turns of flank, by falling major diameter."""
    first, second = _flanks(section(solid, _THETA)), _flanks(section(solid, _THETA + _TURN))
    found = []
    for (low, high), (up, down) in first.items():
        match = next(
            (k for k in second if abs(k[0] - low) < _SAME and abs(k[1] - high) < _SAME), None
        )
        if match is not None:
            found.append(_thread(solid, (low, high), (up, down), second[match][0]))
    return tuple(sorted(found, key=lambda t: -t.major))


def _flanks(lines: Sequence[Line]) -> dict[tuple[float, float], tuple[list[Line], list[Line]]]:
    """Slanted lines that repeat between the same two radii: rising and falling with z."""
    groups: dict[tuple[float, float], tuple[list[Line], list[Line]]] = {}
    for line in lines:
        z0, r0, z1, r1 = line
        if r1 - r0 < _SAME or abs(z1 - z0) < _SAME:
            continue
        key = next((k for k in groups if abs(k[0] - r0) < _SAME and abs(k[1] - r1) < _SAME), None)
        pair = groups.setdefault(key or (r0, r1), ([], []))
        pair[z1 < z0].append(line)
    return {k: p for k, p in groups.items() if min(len(p[0]), len(p[1])) >= 2}


def _thread(
    solid: TopoDS_Shape,
    radii: tuple[float, float],
    flanks: tuple[list[Line], list[Line]],
    turned: list[Line],
) -> ThreadSection:
    rising, falling = (sorted(f) for f in flanks)
    pitch = fmean(b[0] - a[0] for a, b in pairwise(rising))
    # The pattern at the second half-plane is the first one moved by lead · turn, modulo a pitch.
    moves = [(b[0] - rising[0][0] + pitch / 2) % pitch - pitch / 2 for b in turned]
    lead = fmean(moves) * math.tau / _TURN
    slope = fmean((line[2] - line[0]) / (line[3] - line[1]) for line in rising)
    back = fmean((line[2] - line[0]) / (line[3] - line[1]) for line in falling)
    # Axial distance from a rising to the next falling flank at the smaller radius; at r it is
    # `ridge` − (slope − back)·(r − low), and half a pitch on the pitch cylinder.
    ridge = fmean((b[0] - rising[0][0]) % pitch for b in falling)
    pitch_radius = radii[0] + (ridge - pitch / 2) / (slope - back)
    every = [*rising, *falling]
    z0 = min(min(line[0], line[2]) for line in every)
    z1 = max(max(line[0], line[2]) for line in every)
    return ThreadSection(
        z0=z0,
        z1=z1,
        external=_inside(solid, radii[0] - 10 * _SAME, (z0 + z1) / 2),
        pitch=pitch,
        lead=abs(lead),
        starts=round(abs(lead) / pitch),
        left_hand=lead < 0,
        major=2 * radii[1],
        minor=2 * radii[0],
        pitch_diameter=2 * pitch_radius,
        flank_angle=math.degrees(math.atan(slope)),
    )


def _inside(solid: TopoDS_Shape, r: float, z: float) -> bool:
    from OCP.BRepClass3d import BRepClass3d_SolidClassifier
    from OCP.gp import gp_Pnt
    from OCP.TopAbs import TopAbs_IN

    at = gp_Pnt(r * math.cos(_THETA), r * math.sin(_THETA), z)
    return bool(BRepClass3d_SolidClassifier(solid, at, 1e-7).State() == TopAbs_IN)
