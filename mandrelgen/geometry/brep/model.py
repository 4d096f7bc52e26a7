"""Vertices, edges with their curves, and faces with surfaces and loops; nothing can be changed.

Lengths are mm, angles radians. Every edge's curve in space and its curves on surfaces run over the
same parameters ``t0``…``t1``. The parameters of the surfaces are the kernel's: a plane's along its
x and y, a cylinder's angle about +Z and height, a cone's angle about its axis and length along the
generator (ISO 10303-42 counts the latter along the axis).
"""

from __future__ import annotations

from mandrelgen.core.frozen import dataclass

Vector = tuple[float, float, float]
Pair = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Line:
    """``origin`` + t · ``way``, a unit vector."""

    origin: Vector
    way: Vector


@dataclass(frozen=True, slots=True)
class Circle:
    """About the part's axis at ``z``; t is the angle from +X, turning about +Z."""

    z: float
    radius: float


@dataclass(frozen=True, slots=True)
class Spline:
    """A B-spline: knots clamped at both ends, simple between."""

    poles: tuple[Vector, ...]
    knots: tuple[float, ...]
    degree: int


@dataclass(frozen=True, slots=True)
class Line2d:
    """``origin`` + t · ``way``, a unit vector."""

    origin: Pair
    way: Pair


@dataclass(frozen=True, slots=True)
class Circle2d:
    """About the origin; t is the angle."""

    radius: float


@dataclass(frozen=True, slots=True)
class Spline2d:
    """As ``Spline``, in a surface's parameters."""

    poles: tuple[Pair, ...]
    knots: tuple[float, ...]
    degree: int


Curve = Line | Circle | Spline
Curve2d = Line2d | Circle2d | Spline2d


@dataclass(frozen=True, slots=True)
class Plane:
    """Through ``origin``, square to ``normal``; x runs along ``x``, y along normal × x."""

    origin: Vector
    normal: Vector
    x: Vector


@dataclass(frozen=True, slots=True)
class Cylinder:
    """About the part's axis."""

    radius: float


@dataclass(frozen=True, slots=True)
class Cone:
    """About the part's axis, ``radius`` at ``z``, widening along ``way`` (+1: +Z, −1: −Z) by
    ``half`` (the angle to the axis, above 0 as STEP demands)."""

    z: float
    radius: float
    half: float
    way: float


@dataclass(frozen=True, slots=True)
class Ruled:
    """Straight lines between two B-splines of the same knots: v = 0 is ``low``, v = 1 ``high``."""

    low: tuple[Vector, ...]
    high: tuple[Vector, ...]
    knots: tuple[float, ...]
    degree: int


Surface = Plane | Cylinder | Cone | Ruled


@dataclass(frozen=True, slots=True, kw_only=True)
class Edge:
    """From vertex ``start`` (at ``t0``) to vertex ``end`` (at ``t1``), by number. Without a curve
    the edge is a cone's tip: a point in space, a line in the cone's parameters."""

    start: int
    end: int
    curve: Curve | None
    t0: float
    t1: float


@dataclass(frozen=True, slots=True)
class EdgeUse:
    """An edge in a face's loop, along its own direction or against it, and its curve there. A
    face's seam is used twice, once each way."""

    edge: int
    forward: bool
    curve: Curve2d


@dataclass(frozen=True, slots=True)
class Face:
    """Part of a surface. Loops run counter-clockwise about the surface's own normal, holes
    clockwise; the outer loop comes first. ``outward``: that normal leaves the material."""

    surface: Surface
    outward: bool
    loops: tuple[tuple[EdgeUse, ...], ...]


@dataclass(frozen=True, slots=True)
class Brep:
    """One closed shell round one solid. Each edge is used twice, once each way."""

    vertices: tuple[Vector, ...]
    edges: tuple[Edge, ...]
    faces: tuple[Face, ...]
