"""A boundary as plain data -> the kernel's topology, entity by entity. No boolean.

OCP directly: cadquery builds faces from wires and sews them, and has no door to write down edges
that neighbours share, each with its curve on either surface. Sweeping and sewing lost threads.

Two faces never share a surface object: the kernel keys an edge's curves on surfaces by that object.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import cadquery as cq
from OCP.BRep import BRep_Builder
from OCP.Geom import (
    Geom_BSplineCurve,
    Geom_BSplineSurface,
    Geom_Circle,
    Geom_ConicalSurface,
    Geom_CylindricalSurface,
    Geom_Line,
    Geom_Plane,
)
from OCP.Geom2d import Geom2d_BSplineCurve, Geom2d_Circle, Geom2d_Line
from OCP.gp import gp_Ax2, gp_Ax2d, gp_Ax3, gp_Circ, gp_Dir, gp_Dir2d, gp_Pnt, gp_Pnt2d
from OCP.TColgp import TColgp_Array1OfPnt, TColgp_Array1OfPnt2d, TColgp_Array2OfPnt
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

from mandrelgen.geometry.brep.model import (
    Brep,
    Circle,
    Circle2d,
    Cone,
    Curve,
    Curve2d,
    Cylinder,
    Edge,
    EdgeUse,
    Face,
    Line,
    Line2d,
    Plane,
    Surface,
)

TOLERANCE = 1e-7


def solid(brep: Brep) -> cq.Solid:
    """The solid inside ``brep``."""
    build = BRep_Builder()
    vertices = []
    for at in brep.vertices:
        vertex = TopoDS_Vertex()
        build.MakeVertex(vertex, gp_Pnt(*at), TOLERANCE)
        vertices.append(vertex)
    edges = [_edge(build, edge, vertices) for edge in brep.edges]
    shell = TopoDS_Shell()
    build.MakeShell(shell)
    for face in brep.faces:
        build.Add(shell, _face(build, face, edges))
    shell.Closed(True)
    made = TopoDS_Solid()
    build.MakeSolid(made)
    build.Add(made, shell)
    return cq.Solid(made)


def _edge(build: Any, edge: Edge, vertices: Sequence[Any]) -> Any:
    shape = TopoDS_Edge()
    if edge.curve is None:
        build.MakeEdge(shape)
        build.Degenerated(shape, True)
    else:
        build.MakeEdge(shape, _curve(edge.curve), TOLERANCE)
    build.Add(shape, vertices[edge.start].Oriented(TopAbs_FORWARD))
    build.Add(shape, vertices[edge.end].Oriented(TopAbs_REVERSED))
    build.Range(shape, edge.t0, edge.t1)
    return shape


def _face(build: Any, face: Face, edges: Sequence[Any]) -> Any:
    shape = TopoDS_Face()
    build.MakeFace(shape, _surface(face.surface), TOLERANCE)
    for loop in face.loops:
        wire = TopoDS_Wire()
        build.MakeWire(wire)
        first: dict[int, EdgeUse] = {}
        for use in loop:
            edge, other = edges[use.edge], first.setdefault(use.edge, use)
            if other is use:
                build.UpdateEdge(edge, _curve2d(use.curve), shape, TOLERANCE)
            else:  # the seam, met for the second time
                pair = (use, other) if use.forward else (other, use)
                curves = (_curve2d(u.curve) for u in pair)
                build.UpdateEdge(edge, *curves, shape, TOLERANCE)
            build.Add(wire, edge.Oriented(TopAbs_FORWARD if use.forward else TopAbs_REVERSED))
        wire.Closed(True)
        build.Add(shape, wire)
    return shape if face.outward else shape.Reversed()


def _curve(curve: Curve) -> Any:
    if isinstance(curve, Line):
        return Geom_Line(gp_Pnt(*curve.origin), gp_Dir(*curve.way))
    if isinstance(curve, Circle):
        axes = gp_Ax2(gp_Pnt(0, 0, curve.z), gp_Dir(0, 0, 1), gp_Dir(1, 0, 0))
        return Geom_Circle(gp_Circ(axes, curve.radius))
    poles = TColgp_Array1OfPnt(1, len(curve.poles))
    for j, pole in enumerate(curve.poles, 1):
        poles.SetValue(j, gp_Pnt(*pole))
    return Geom_BSplineCurve(poles, *_knots(curve.knots, curve.degree), curve.degree)


def _curve2d(curve: Curve2d) -> Any:
    if isinstance(curve, Line2d):
        return Geom2d_Line(gp_Pnt2d(*curve.origin), gp_Dir2d(*curve.way))
    if isinstance(curve, Circle2d):
        return Geom2d_Circle(gp_Ax2d(gp_Pnt2d(0, 0), gp_Dir2d(1, 0)), curve.radius)
    poles = TColgp_Array1OfPnt2d(1, len(curve.poles))
    for j, pole in enumerate(curve.poles, 1):
        poles.SetValue(j, gp_Pnt2d(*pole))
    return Geom2d_BSplineCurve(poles, *_knots(curve.knots, curve.degree), curve.degree)


def _surface(surface: Surface) -> Any:
    if isinstance(surface, Plane):
        axes = gp_Ax3(gp_Pnt(*surface.origin), gp_Dir(*surface.normal), gp_Dir(*surface.x))
        return Geom_Plane(axes)
    if isinstance(surface, Cylinder):
        axes = gp_Ax3(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1), gp_Dir(1, 0, 0))
        return Geom_CylindricalSurface(axes, surface.radius)
    if isinstance(surface, Cone):
        axes = gp_Ax3(gp_Pnt(0, 0, surface.z), gp_Dir(0, 0, surface.way), gp_Dir(1, 0, 0))
        return Geom_ConicalSurface(axes, surface.half, surface.radius)
    poles = TColgp_Array2OfPnt(1, len(surface.low), 1, 2)
    for v, row in enumerate((surface.low, surface.high), 1):
        for u, pole in enumerate(row, 1):
            poles.SetValue(u, v, gp_Pnt(*pole))
    (u_knots, u_mults), (v_knots, v_mults) = (
        _knots(surface.knots, surface.degree), _knots((0.0, 1.0), 1)
    )  # fmt: skip
    return Geom_BSplineSurface(poles, u_knots, v_knots, u_mults, v_mults, surface.degree, 1)


def _knots(knots: Sequence[float], degree: int) -> tuple[Any, Any]:
    """Clamped knots and their multiplicities."""
    last = len(knots) - 1
    values, mults = TColStd_Array1OfReal(1, last + 1), TColStd_Array1OfInteger(1, last + 1)
    for j, knot in enumerate(knots):
        values.SetValue(j + 1, knot)
        mults.SetValue(j + 1, degree + 1 if j in (0, last) else 1)
    return values, mults
