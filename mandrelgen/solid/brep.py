"""Writes a solid's topology down: vertices, edges, curves on surfaces, faces. No boolean.

Every edge is a straight line in the unrolled part, so its 3D curve and its curve on each surface
share one parameter by construction. Two faces never share a surface object: the kernel keys an
edge's curves on surfaces by that object.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import Any

from OCP.BRep import BRep_Builder
from OCP.Geom import Geom_BSplineCurve, Geom_Circle, Geom_Line
from OCP.Geom2d import Geom2d_BSplineCurve, Geom2d_Circle, Geom2d_Line
from OCP.gp import (
    gp_Ax2,
    gp_Ax2d,
    gp_Circ,
    gp_Dir,
    gp_Dir2d,
    gp_Pnt,
    gp_Pnt2d,
)
from OCP.TColgp import TColgp_Array1OfPnt, TColgp_Array1OfPnt2d
from OCP.TColStd import TColStd_Array1OfInteger, TColStd_Array1OfReal
from OCP.TopAbs import TopAbs_FORWARD, TopAbs_REVERSED
from OCP.TopoDS import (
    TopoDS_Edge,
    TopoDS_Face,
    TopoDS_Shell,
    TopoDS_Solid,
    TopoDS_Vertex,
    TopoDS_Wire,
)

from mandrelgen.frozen import dataclass
from mandrelgen.patches import Point
from mandrelgen.solid import spline

TOLERANCE = 1e-7

UV = Callable[[Point], tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Edge:
    """An edge and the unrolled points it runs between; ``t0``…``t1`` is its parameter range."""

    shape: Any
    a: Point
    b: Point
    t0: float
    t1: float
    on_plane: Any

    def along(self, p: Point, q: Point) -> bool:
        """True if p → q is the edge's own direction."""
        if self.a.id == self.b.id:
            return (q.theta > p.theta) == (self.b.theta > self.a.theta)
        return p.id == self.a.id


class Brep:
    """A shell under construction. Points with equal ids become one vertex, sides one edge."""

    def __init__(self) -> None:
        self._build = BRep_Builder()
        self._shell = TopoDS_Shell()
        self._build.MakeShell(self._shell)
        self._vertices: dict[tuple[Any, ...], Any] = {}
        self._edges: dict[frozenset[tuple[Any, ...]], Edge] = {}

    def face(
        self, surface: Any, outward: bool, loops: Sequence[Sequence[Point]], uv: UV | None
    ) -> None:
        """Add a face bounded by ``loops`` of points, each closed by naming its first point again
        (its θ may differ by a turn). Loops run counter-clockwise about the surface's own normal,
        holes clockwise. ``uv`` maps points to parameters; None: the surface is z = const, with
        x and y as parameters. ``outward``: the surface's own normal leaves the material.
        """
        face = TopoDS_Face()
        self._build.MakeFace(face, surface, TOLERANCE)
        for loop in loops:
            sides = list(pairwise(loop))
            wire = TopoDS_Wire()
            self._build.MakeWire(wire)
            first: dict[frozenset[tuple[Any, ...]], Any] = {}
            for p, q in sides:
                edge = self._edge(p, q)
                forward = edge.along(p, q)
                if uv is None:
                    curve = edge.on_plane
                else:
                    ends = (uv(p), uv(q)) if forward else (uv(q), uv(p))
                    curve = _line2d(*ends, edge.t0, edge.t1)
                key = frozenset((p.id, q.id))
                if key in first:  # the seam, met for the second time
                    pair = (curve, first[key]) if forward else (first[key], curve)
                    self._build.UpdateEdge(edge.shape, *pair, face, TOLERANCE)
                else:
                    first[key] = curve
                    self._build.UpdateEdge(edge.shape, curve, face, TOLERANCE)
                way = TopAbs_FORWARD if forward else TopAbs_REVERSED
                self._build.Add(wire, edge.shape.Oriented(way))
            wire.Closed(True)
            self._build.Add(face, wire)
        self._build.Add(self._shell, face if outward else face.Reversed())

    def solid(self) -> TopoDS_Solid:
        """The finished solid."""
        self._shell.Closed(True)
        solid = TopoDS_Solid()
        self._build.MakeSolid(solid)
        self._build.Add(solid, self._shell)
        return solid

    def _vertex(self, p: Point) -> Any:
        if p.id not in self._vertices:
            vertex = TopoDS_Vertex()
            at = gp_Pnt(p.r * math.cos(p.theta), p.r * math.sin(p.theta), p.z)
            self._build.MakeVertex(vertex, at, TOLERANCE)
            self._vertices[p.id] = vertex
        return self._vertices[p.id]

    def _edge(self, p: Point, q: Point) -> Edge:
        key = frozenset((p.id, q.id))
        if key not in self._edges:
            self._edges[key] = self._make(p, q)
        return self._edges[key]

    def _make(self, p: Point, q: Point) -> Edge:
        if p.r == q.r == 0.0:
            return self._degenerate(p, q)
        flat = None
        if abs(p.theta - q.theta) < 1e-12:
            curve, length = _line(p, q)
            t0, t1 = 0.0, length
        elif p.z == q.z and p.r == q.r:
            if p.theta > q.theta:
                p, q = q, p
            axes = gp_Ax2(gp_Pnt(0, 0, p.z), gp_Dir(0, 0, 1), gp_Dir(1, 0, 0))
            curve = Geom_Circle(gp_Circ(axes, p.r))
            t0 = p.theta % math.tau
            t1 = t0 + q.theta - p.theta
            flat = Geom2d_Circle(gp_Ax2d(gp_Pnt2d(0, 0), gp_Dir2d(1, 0)), p.r)
        else:
            curve, flat, t1 = _spiral(p, q)
            t0 = 0.0
        shape = TopoDS_Edge()
        self._build.MakeEdge(shape, curve, TOLERANCE)
        self._build.Add(shape, self._vertex(p).Oriented(TopAbs_FORWARD))
        self._build.Add(shape, self._vertex(q).Oriented(TopAbs_REVERSED))
        self._build.Range(shape, t0, t1)
        return Edge(shape, p, q, t0, t1, flat)

    def _degenerate(self, p: Point, q: Point) -> Edge:
        shape = TopoDS_Edge()
        self._build.MakeEdge(shape)
        self._build.Degenerated(shape, True)
        self._build.Add(shape, self._vertex(p).Oriented(TopAbs_FORWARD))
        self._build.Add(shape, self._vertex(q).Oriented(TopAbs_REVERSED))
        self._build.Range(shape, 0.0, math.tau)
        return Edge(shape, p, q, 0.0, math.tau, None)


def _line(p: Point, q: Point) -> tuple[Any, float]:
    cos, sin = math.cos(p.theta), math.sin(p.theta)
    length = math.hypot(q.r - p.r, q.z - p.z)
    step = (q.r - p.r) / length
    way = gp_Dir(step * cos, step * sin, (q.z - p.z) / length)
    return Geom_Line(gp_Pnt(p.r * cos, p.r * sin, p.z), way), length


def knots(n: int, length: float, degree: int) -> tuple[Any, Any]:
    """Clamped uniform knots over 0…``length`` in ``n`` spans, and their multiplicities."""
    values, mults = TColStd_Array1OfReal(1, n + 1), TColStd_Array1OfInteger(1, n + 1)
    for j in range(n + 1):
        values.SetValue(j + 1, length * j / n)
        mults.SetValue(j + 1, degree + 1 if j in (0, n) else 1)
    return values, mults


def _spiral(p: Point, q: Point) -> tuple[Any, Any, float]:
    """3D curve, its projection on z = const, and the length of its parameter range."""
    turn = q.theta - p.theta
    n = spline.spans(turn)
    length = math.hypot(turn * (p.r + q.r) / 2, q.z - p.z, q.r - p.r)
    poles = spline.spiral(n, (p.theta, q.theta), (p.r, q.r)).tolist()
    points, flat = TColgp_Array1OfPnt(1, len(poles)), TColgp_Array1OfPnt2d(1, len(poles))
    for j, (xy, t) in enumerate(zip(poles, spline.greville(n), strict=True), 1):
        points.SetValue(j, gp_Pnt(xy.real, xy.imag, p.z + t * (q.z - p.z)))
        flat.SetValue(j, gp_Pnt2d(xy.real, xy.imag))
    clamped = (*knots(n, length, spline.DEGREE), spline.DEGREE)
    return Geom_BSplineCurve(points, *clamped), Geom2d_BSplineCurve(flat, *clamped), length


def _line2d(a: tuple[float, float], b: tuple[float, float], t0: float, t1: float) -> Any:
    """The straight line a → b over t0…t1."""
    du, dv = b[0] - a[0], b[1] - a[1]
    length = math.hypot(du, dv)
    if abs(length - (t1 - t0)) < 1e-12 * length:  # already at unit speed
        origin = gp_Pnt2d(a[0] - t0 * du / length, a[1] - t0 * dv / length)
        return Geom2d_Line(origin, gp_Dir2d(du, dv))
    poles = TColgp_Array1OfPnt2d(1, 2)
    poles.SetValue(1, gp_Pnt2d(*a))
    poles.SetValue(2, gp_Pnt2d(*b))
    ends, mults = TColStd_Array1OfReal(1, 2), TColStd_Array1OfInteger(1, 2)
    for j, t in ((1, t0), (2, t1)):
        ends.SetValue(j, t)
        mults.SetValue(j, 2)
    return Geom2d_BSplineCurve(poles, ends, mults, 1)
