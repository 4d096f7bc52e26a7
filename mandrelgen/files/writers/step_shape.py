"""A boundary as entities of ISO 10303-42: curves, curves on surfaces, faces, one closed shell."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from mandrelgen.core.frozen import dataclass
from mandrelgen.files.writers.part21 import Instances, listed, real, string
from mandrelgen.geometry.brep.model import (
    Brep,
    Circle,
    Circle2d,
    Cone,
    Curve,
    Curve2d,
    Cylinder,
    EdgeUse,
    Line,
    Line2d,
    Plane,
    Surface,
    Vector,
)

_Z, _X = (0.0, 0.0, 1.0), (1.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class _On:
    """A surface in the file: its name, and what a curve's v there is multiplied by."""

    name: str
    scale: float


def solid(data: Instances, brep: Brep, name: str) -> str:
    """Add the solid called ``name``; its instance name."""
    shape = _Shape(data, brep)
    shell = data.add(f"CLOSED_SHELL('',{listed(shape.faces())})")
    return data.add(f"MANIFOLD_SOLID_BREP({string(name)},{shell})")


class _Shape:
    """A boundary on its way into the file. An edge names its curves on both surfaces, so surfaces
    come first, then edges, then faces."""

    def __init__(self, data: Instances, brep: Brep) -> None:
        self._data = data
        self._brep = brep
        self._flat = data.add(
            "(GEOMETRIC_REPRESENTATION_CONTEXT(2)PARAMETRIC_REPRESENTATION_CONTEXT()"
            "REPRESENTATION_CONTEXT('2D SPACE',''))"
        )
        self._surfaces = [_surface(data, face.surface) for face in brep.faces]
        vertices = [data.add(f"VERTEX_POINT('',{_point(data, v)})") for v in brep.vertices]
        uses: list[list[tuple[_On, EdgeUse]]] = [[] for _ in brep.edges]
        for face, surface in zip(brep.faces, self._surfaces, strict=True):
            for loop in face.loops:
                for use in loop:
                    uses[use.edge].append((surface, use))
        self._edges: dict[int, str] = {}
        for i, edge in enumerate(brep.edges):
            if edge.curve is not None:  # a cone's tip is a vertex of its seam, no edge
                curve = self._on_surfaces(_curve(data, edge.curve), uses[i])
                ends = f"{vertices[edge.start]},{vertices[edge.end]}"
                self._edges[i] = data.add(f"EDGE_CURVE('',{ends},{curve},.T.)")

    def faces(self) -> Iterator[str]:
        """Add every face. A loop runs about its surface's normal, so that the bound takes the
        face's own sense."""
        data = self._data
        for face, surface in zip(self._brep.faces, self._surfaces, strict=True):
            sense = ".T." if face.outward else ".F."
            bounds = []
            for n, loop in enumerate(face.loops):
                sides = listed(self._side(u) for u in loop if u.edge in self._edges)
                run = data.add(f"EDGE_LOOP('',{sides})")
                kind = "FACE_BOUND" if n else "FACE_OUTER_BOUND"
                bounds.append(data.add(f"{kind}('',{run},{sense})"))
            yield data.add(f"ADVANCED_FACE('',{listed(bounds)},{surface.name},{sense})")

    def _side(self, use: EdgeUse) -> str:
        way = ".T." if use.forward else ".F."
        return self._data.add(f"ORIENTED_EDGE('',*,*,{self._edges[use.edge]},{way})")

    def _on_surfaces(self, curve: str, uses: Sequence[tuple[_On, EdgeUse]]) -> str:
        """The curve with its curves on the two surfaces it bounds, or twice on its seam's; there
        the one that the loop runs along comes first, as the kernel has it."""
        seam = uses[0][0] is uses[1][0]
        if seam and not uses[0][1].forward:
            uses = uses[::-1]
        curves = listed(self._pcurve(on, use.curve) for on, use in uses)
        kind = "SEAM" if seam else "SURFACE"
        return self._data.add(f"{kind}_CURVE('',{curve},{curves},.CURVE_3D.)")

    def _pcurve(self, on: _On, curve: Curve2d) -> str:
        shape = f"DEFINITIONAL_REPRESENTATION('',({self._curve2d(on, curve)}),{self._flat})"
        return self._data.add(f"PCURVE('',{on.name},{self._data.add(shape)})")

    def _curve2d(self, on: _On, curve: Curve2d) -> str:
        data = self._data
        if isinstance(curve, Line2d):
            (u, v), (du, dv) = curve.origin, curve.way
            return _line(data, (u, v * on.scale), (du, dv * on.scale))
        if isinstance(curve, Circle2d):
            at, x = _point(data, (0.0, 0.0)), _direction(data, (1.0, 0.0))
            axes = data.shared(f"AXIS2_PLACEMENT_2D('',{at},{x})")
            return data.add(f"CIRCLE('',{axes},{real(curve.radius)})")
        poles = [(u, v * on.scale) for u, v in curve.poles]
        return _spline(data, poles, curve.knots, curve.degree)


def _numbers(values: Sequence[float]) -> str:
    return listed(map(real, values))


def _point(data: Instances, at: Sequence[float]) -> str:
    return data.shared(f"CARTESIAN_POINT('',{_numbers(at)})")


def _direction(data: Instances, way: Sequence[float]) -> str:
    return data.shared(f"DIRECTION('',{_numbers(way)})")


def _axes(data: Instances, at: Vector, z: Vector, x: Vector) -> str:
    names = (_point(data, at), _direction(data, z), _direction(data, x))
    return data.shared(f"AXIS2_PLACEMENT_3D('',{','.join(names)})")


def _line(data: Instances, origin: Sequence[float], way: Sequence[float]) -> str:
    """The line origin + t · way."""
    length = math.hypot(*way)
    if abs(length - 1.0) < 1e-12:
        length = 1.0
    direction = _direction(data, [w / length for w in way])
    vector = data.shared(f"VECTOR('',{direction},{real(length)})")
    return data.add(f"LINE('',{_point(data, origin)},{vector})")


def _spline(
    data: Instances, poles: Sequence[Sequence[float]], knots: Sequence[float], degree: int
) -> str:
    points = listed(_point(data, p) for p in poles)
    return data.add(
        f"B_SPLINE_CURVE_WITH_KNOTS('',{degree},{points},.UNSPECIFIED.,.F.,.F.,"
        f"{_multiplicities(len(knots), degree)},{_numbers(knots)},.UNSPECIFIED.)"
    )


def _multiplicities(knots: int, degree: int) -> str:
    return listed([str(degree + 1), *["1"] * (knots - 2), str(degree + 1)])


def _curve(data: Instances, curve: Curve) -> str:
    if isinstance(curve, Line):
        return _line(data, curve.origin, curve.way)
    if isinstance(curve, Circle):
        axes = _axes(data, (0.0, 0.0, curve.z), _Z, _X)
        return data.add(f"CIRCLE('',{axes},{real(curve.radius)})")
    return _spline(data, curve.poles, curve.knots, curve.degree)


def _surface(data: Instances, surface: Surface) -> _On:
    if isinstance(surface, Plane):
        axes = _axes(data, surface.origin, surface.normal, surface.x)
        return _On(data.add(f"PLANE('',{axes})"), 1.0)
    if isinstance(surface, Cylinder):
        axes = _axes(data, (0.0, 0.0, 0.0), _Z, _X)
        return _On(data.add(f"CYLINDRICAL_SURFACE('',{axes},{real(surface.radius)})"), 1.0)
    if isinstance(surface, Cone):
        axes = _axes(data, (0.0, 0.0, surface.z), (0.0, 0.0, surface.way), _X)
        sizes = f"{real(surface.radius)},{real(surface.half)}"
        # ISO 10303-42 counts v along the axis.
        scale = math.cos(surface.half)
        return _On(data.add(f"CONICAL_SURFACE('',{axes},{sizes})"), scale)
    rows = zip(surface.low, surface.high, strict=True)
    poles = listed(listed(_point(data, p) for p in row) for row in rows)
    name = data.add(
        f"B_SPLINE_SURFACE_WITH_KNOTS('',{surface.degree},1,{poles},.UNSPECIFIED.,.F.,.F.,.F.,"
        f"{_multiplicities(len(surface.knots), surface.degree)},(2,2),{_numbers(surface.knots)},"
        "(0.,1.),.UNSPECIFIED.)"
    )
    return _On(name, 1.0)
