"""Sews faces together: equal points become one vertex, equal sides one edge.

Every side is a straight line in the unrolled part (or a chord of a plane face), so its curve in
space and its curve on each surface share one parameter by construction.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise

from mandrelgen.core.frozen import dataclass
from mandrelgen.geometry.brep import spline
from mandrelgen.geometry.brep.model import (
    Brep,
    Circle,
    Circle2d,
    Curve,
    Curve2d,
    Edge,
    EdgeUse,
    Face,
    Line,
    Line2d,
    Pair,
    Spline,
    Spline2d,
    Surface,
    Vector,
)
from mandrelgen.geometry.thread_surface import Point, PointId

UV = Callable[[Point], Pair]
Key = tuple[str, PointId, PointId]


@dataclass(frozen=True, slots=True)
class StripSide:
    """One side of a face from ``p`` to ``q``: straight in the unrolled part, or in space."""

    p: Point
    q: Point
    chord: bool = False

    @property
    def key(self) -> Key:
        """Equal for both directions, and for no other edge between the same two points."""
        a, b = self.p, self.q
        if self.chord or abs(a.theta - b.theta) < 1e-12:
            return "line", min(a.id, b.id), max(a.id, b.id)
        return ("turn", a.id, b.id) if a.theta < b.theta else ("turn", b.id, a.id)

    @property
    def back(self) -> StripSide:
        """The same side from ``q`` to ``p``."""
        return StripSide(self.q, self.p, self.chord)


def loop(points: Iterable[Point]) -> list[StripSide]:
    """Sides between ``points``; a closed loop names its first point again, maybe a turn on."""
    return [StripSide(p, q) for p, q in pairwise(points)]


@dataclass(frozen=True, slots=True)
class _Made:
    """An edge as it was first met; ``flat`` is its curve on a plane z = const."""

    number: int
    side: StripSide
    edge: Edge
    flat: Curve2d | None

    def along(self, side: StripSide) -> bool:
        """True if ``side`` is the edge's own direction."""
        a, b = self.side.p, self.side.q
        if a.id == b.id:
            return (side.q.theta > side.p.theta) == (b.theta > a.theta)
        return side.p.id == a.id


class Sewing:
    """A shell under construction."""

    def __init__(self) -> None:
        self._numbers: dict[PointId, int] = {}
        self._vertices: list[Vector] = []
        self._edges: dict[Key, _Made] = {}
        self._faces: list[Face] = []
        self._once: dict[Key, StripSide] = {}

    def face(
        self, surface: Surface, outward: bool, loops: Sequence[Sequence[StripSide]], uv: UV | None
    ) -> None:
        """Add a face; for ``outward`` and ``loops`` see model.Face. ``uv`` maps points to
        parameters; None: the surface is z = const, with x and y as parameters."""
        uses = []
        for sides in loops:
            run = []
            for side in sides:
                made = self._edge(side)
                forward = made.along(side)
                if uv is None:
                    assert made.flat is not None
                    curve = made.flat
                else:
                    ends = (uv(side.p), uv(side.q)) if forward else (uv(side.q), uv(side.p))
                    curve = _straight(*ends, made.edge.t0, made.edge.t1)
                run.append(EdgeUse(made.number, forward, curve))
                # What is met once is still open; a cone's tip has no other side.
                if made.edge.curve is not None and self._once.pop(side.key, None) is None:
                    self._once[side.key] = side.back if outward else side
            uses.append(tuple(run))
        self._faces.append(Face(surface, outward, tuple(uses)))

    def open_sides(self) -> list[StripSide]:
        """Sides that one face alone has so far, as the missing outward face runs along them."""
        return list(self._once.values())

    def brep(self) -> Brep:
        """The finished shell. Raises ValueError if it is not closed."""
        if self._once:
            raise ValueError(f"the shell has {len(self._once)} open edges")
        edges = tuple(made.edge for made in self._edges.values())
        return Brep(tuple(self._vertices), edges, tuple(self._faces))

    def _vertex(self, p: Point) -> int:
        if p.id not in self._numbers:
            self._numbers[p.id] = len(self._vertices)
            self._vertices.append(_place(p))
        return self._numbers[p.id]

    def _edge(self, side: StripSide) -> _Made:
        key = side.key
        if key not in self._edges:
            if key[0] == "turn" and side.p.theta > side.q.theta and _level(side):
                side = side.back  # a circle runs by rising angle
            curve, flat, t0, t1 = _curve(side)
            edge = Edge(
                start=self._vertex(side.p), end=self._vertex(side.q), curve=curve, t0=t0, t1=t1
            )
            self._edges[key] = _Made(len(self._edges), side, edge, flat)
        return self._edges[key]


def _level(side: StripSide) -> bool:
    return side.p.z == side.q.z and side.p.r == side.q.r


def _place(p: Point) -> Vector:
    return p.r * math.cos(p.theta), p.r * math.sin(p.theta), p.z


def _curve(side: StripSide) -> tuple[Curve | None, Curve2d | None, float, float]:
    """Curve in space, curve on z = const, and parameters of the ends."""
    p, q = side.p, side.q
    if p.r == q.r == 0.0:
        return None, None, 0.0, math.tau
    if side.key[0] == "line":
        a, b = _place(p), _place(q)
        length = math.dist(a, b)
        way = ((b[0] - a[0]) / length, (b[1] - a[1]) / length, (b[2] - a[2]) / length)
        return Line(a, way), Line2d(a[:2], way[:2]) if p.z == q.z else None, 0.0, length
    if _level(side):
        start = p.theta % math.tau
        return Circle(p.z, p.r), Circle2d(p.r), start, start + q.theta - p.theta
    return _spiral(p, q)


def _spiral(p: Point, q: Point) -> tuple[Spline, Spline2d, float, float]:
    turn = q.theta - p.theta
    n = spline.spans(turn)
    length = math.hypot(turn * (p.r + q.r) / 2, q.z - p.z, q.r - p.r)
    flat = tuple((c.real, c.imag) for c in spline.spiral(n, (p.theta, q.theta), (p.r, q.r)))
    dz = q.z - p.z
    poles = tuple((x, y, p.z + t * dz) for (x, y), t in zip(flat, spline.greville(n), strict=True))
    knots = spline.knots(n, length)
    degree = spline.DEGREE
    return Spline(poles, knots, degree), Spline2d(flat, knots, degree), 0.0, length


def _straight(a: Pair, b: Pair, t0: float, t1: float) -> Curve2d:
    """The straight line a → b over t0…t1."""
    du, dv = b[0] - a[0], b[1] - a[1]
    length = math.hypot(du, dv)
    if abs(length - (t1 - t0)) < 1e-12 * length:  # already at unit speed
        way = (du / length, dv / length)
        return Line2d((a[0] - t0 * way[0], a[1] - t0 * way[1]), way)
    return Spline2d((a, b), (t0, t1), 1)
