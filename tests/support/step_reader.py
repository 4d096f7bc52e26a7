"""A second reader of STEP files, for tests: grammar of ISO 10303-21, geometry of ISO 10303-42.

Nothing of the CAD kernel and nothing of our writer is used; splines are scipy's. It reads what our
files hold and checks what both standards ask of a solid: edges end in their vertices, curves on
surfaces lie on the curves in space, every edge bounds two faces in opposite ways. The volume comes
from the faces by the divergence theorem, each face's integral from its boundary by Green's.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.interpolate import BSpline

# ISO 10303-21: reals have a point, strings double their apostrophes and backslashes.
REAL = r"[+-]?\d+\.\d*(?:E[+-]?\d+)?"
STRING = (
    r"'(?:[^'\\\x00-\x1f\x7f-\U0010ffff]|''|\\\\"
    r"|\\X2\\(?:[0-9A-F]{4})+\\X0\\|\\X4\\(?:[0-9A-F]{8})+\\X0\\)*'"
)
TOKEN = re.compile(
    rf"\s*(?:(?P<name>\#\d+)|(?P<real>{REAL})|(?P<integer>[+-]?\d+)|(?P<string>{STRING})"
    r"|(?P<enum>\.[A-Z0-9_]+\.)|(?P<word>[A-Z][A-Z0-9_]*)|(?P<mark>[()=;,$*]))"
)
GAUSS = np.polynomial.legendre.leggauss(8)
# Cuts of each edge for the integrals: arcs of 22.5° or less.
PANELS = 16

Array = Any
Pair = tuple[Array, Array]


@dataclass(frozen=True)
class Entity:
    """One instance, or one part of a complex one."""

    kind: str
    args: tuple[Any, ...]


class Text:
    """The data section: instances by name."""

    def __init__(self, data: bytes) -> None:
        text = data.decode("ascii")
        head, rest = re.split(r"(?<=ENDSEC;)\s*DATA;", text, maxsplit=1)
        assert re.fullmatch(
            r"ISO-10303-21;\s*HEADER;\s*FILE_DESCRIPTION\(.*\);\s*FILE_NAME\(.*\);"
            r"\s*FILE_SCHEMA\(.*\);\s*ENDSEC;",
            head,
            re.DOTALL,
        )
        body, end = rest.split("ENDSEC;")
        assert end.strip() == "END-ISO-10303-21;"
        self._tokens = list(_tokens(body))
        self._at = 0
        self.all: dict[str, tuple[Entity, ...]] = {}
        while self._at < len(self._tokens):
            name = self._take("name")
            assert name not in self.all
            self._take("mark", "=")
            self.all[name] = self._instance()
            self._take("mark", ";")
        named = {a for parts in self.all.values() for e in parts for a in _names(e.args)}
        assert named <= self.all.keys(), "a name without an instance"

    def __getitem__(self, name: str) -> Entity:
        (entity,) = self.all[name]
        return entity

    def of_kind(self, kind: str) -> list[Entity]:
        """Every instance of one type."""
        return [p[0] for p in self.all.values() if len(p) == 1 and p[0].kind == kind]

    def _take(self, kind: str, text: str | None = None) -> str:
        found, value = self._tokens[self._at]
        assert found == kind, (found, value)
        assert text in (None, value)
        self._at += 1
        return value

    def _peek(self) -> str:
        return self._tokens[self._at][1]

    def _instance(self) -> tuple[Entity, ...]:
        if self._peek() != "(":
            return (self._entity(),)
        self._take("mark", "(")
        parts = []
        while self._peek() != ")":
            parts.append(self._entity())
        self._take("mark", ")")
        # ISO 10303-21, 10.2.5.3: the parts of a complex instance stand in alphabetical order.
        assert [p.kind for p in parts] == sorted(p.kind for p in parts)
        return tuple(parts)

    def _entity(self) -> Entity:
        return Entity(self._take("word"), self._list())

    def _list(self) -> tuple[Any, ...]:
        self._take("mark", "(")
        items: list[Any] = []
        while self._peek() != ")":
            if items:
                self._take("mark", ",")
            items.append(self._value())
        self._take("mark", ")")
        return tuple(items)

    def _value(self) -> Any:
        kind, value = self._tokens[self._at]
        if kind == "word":
            return self._entity()
        if value == "(":
            return self._list()
        self._at += 1
        if kind == "real":
            return float(value)
        return int(value) if kind == "integer" else value


def _tokens(text: str) -> Iterator[tuple[str, str]]:
    at, end = 0, len(text.rstrip())
    while at < end:
        found = TOKEN.match(text, at)
        assert found is not None, text[at : at + 60]
        assert found.lastgroup is not None
        yield found.lastgroup, found[found.lastgroup]
        at = found.end()


def _names(args: Any) -> Iterator[str]:
    for a in args:
        if isinstance(a, Entity):
            yield from _names(a.args)
        elif isinstance(a, tuple):
            yield from _names(a)
        elif isinstance(a, str) and a.startswith("#"):
            yield a


def _spline(poles: Array, mults: Any, knots: Any, degree: int) -> BSpline:
    assert len(mults) == len(knots)
    assert sum(mults) == len(poles) + degree + 1
    assert mults[0] == mults[-1] == degree + 1
    return BSpline(np.repeat(np.array(knots), mults), np.array(poles), degree)


class Geometry:
    """Points, curves and surfaces of a file."""

    def __init__(self, text: Text) -> None:
        self.text = text

    def vector(self, name: str) -> Array:
        """A point or a unit direction."""
        entity = self.text[name]
        value = np.array(entity.args[1])
        assert entity.kind in ("CARTESIAN_POINT", "DIRECTION")
        assert entity.kind == "CARTESIAN_POINT" or abs(np.linalg.norm(value) - 1) < 1e-11
        return value

    def axes(self, name: str) -> tuple[Array, Array, Array, Array]:
        """Origin, x, y and z of a placement."""
        at, z, x = (self.vector(a) for a in self.text[name].args[1:])
        assert abs(x @ z) < 1e-11
        return at, x, np.cross(z, x), z

    def curve(self, name: str) -> tuple[str, Callable[[Array], Array], Any]:
        """Kind, points at given parameters, and what finds a point's parameter."""
        entity = self.text[name]
        args = entity.args
        if entity.kind == "LINE":
            at, vector = self.vector(args[1]), self.text[args[2]]
            way = self.vector(vector.args[1]) * vector.args[2]
            return "LINE", lambda t: at + np.multiply.outer(t, way), (at, way)
        if entity.kind == "CIRCLE":
            radius = args[2]
            if self.text[args[1]].kind == "AXIS2_PLACEMENT_2D":
                at, x = (self.vector(a) for a in self.text[args[1]].args[1:])
                y = np.array([-x[1], x[0]])
            else:
                at, x, y, _ = self.axes(args[1])

            def circle(t: Array) -> Array:
                turned = np.multiply.outer(np.cos(t), x) + np.multiply.outer(np.sin(t), y)
                return at + radius * turned

            return "CIRCLE", circle, (at, x, y)
        assert entity.kind == "B_SPLINE_CURVE_WITH_KNOTS", entity
        degree, poles, _, closed, _, mults, knots, _ = args[1:]
        assert closed == ".F."
        spline = _spline([self.vector(p) for p in poles], mults, knots, degree)
        return "SPLINE", spline, knots

    def surface(self, name: str) -> Callable[[Array, Array], tuple[Array, Array, Array]]:
        """Point and both derivatives at given parameters (arrays)."""
        entity = self.text[name]
        if entity.kind == "B_SPLINE_SURFACE_WITH_KNOTS":
            return self._ruled(entity)
        at, x, y, z = self.axes(entity.args[1])

        def place(a: Array, b: Array, c: Array) -> Array:
            return sum(np.multiply.outer(s, e) for s, e in ((a, x), (b, y), (c, z)))

        if entity.kind == "PLANE":
            return lambda u, v: (at + place(u, v, 0 * u), place(u**0, 0 * u, 0 * u),
                                 place(0 * u, u**0, 0 * u))  # fmt: skip
        radius = entity.args[2]
        slope = 0.0 if entity.kind == "CYLINDRICAL_SURFACE" else entity.args[3]
        assert entity.kind in ("CYLINDRICAL_SURFACE", "CONICAL_SURFACE")
        assert 0 < slope < math.pi / 2 or entity.kind == "CYLINDRICAL_SURFACE"
        tan = math.tan(slope)  # ISO 10303-42 counts a cone's v along the axis

        def turned(u: Array, v: Array) -> tuple[Array, Array, Array]:
            r, c, s = radius + v * tan, np.cos(u), np.sin(u)
            return (at + place(r * c, r * s, v), place(-r * s, r * c, 0 * u),
                    place(tan * c, tan * s, u**0))  # fmt: skip

        return turned

    def _ruled(self, entity: Entity) -> Callable[[Array, Array], tuple[Array, Array, Array]]:
        degree, one, poles, _, _, _, _, mults, ends, knots, v_knots, _ = entity.args[1:]
        assert (one, ends, v_knots) == (1, (2, 2), (0.0, 1.0))
        rows = [[self.vector(row[k]) for row in poles] for k in (0, 1)]
        low, high = (_spline(row, mults, knots, degree) for row in rows)
        low_u, high_u = low.derivative(), high.derivative()

        def at(u: Array, v: Array) -> tuple[Array, Array, Array]:
            a, b, w = low(u), high(u), np.asarray(v)[..., None]
            return a + w * (b - a), low_u(u) * (1 - w) + high_u(u) * w, b - a

        return at


@dataclass(frozen=True)
class Read:
    """What a file holds. ``gap``: the worst distance (mm) of curve and vertex, or of curve on
    surface and curve in space."""

    volume: float
    gap: float
    faces: int
    edges: int
    vertices: int


def read(data: bytes) -> Read:
    """Read a file with one solid; AssertionError where it breaks a standard's rule."""
    return _Solid(Text(data)).read()


class _Solid:
    def __init__(self, text: Text) -> None:
        self._text = text
        self._geometry = Geometry(text)
        self._gap = 0.0
        self._edges: dict[str, tuple[Callable[[Array], Array], float, float]] = {}
        self._uses: dict[str, list[bool]] = {}

    def read(self) -> Read:
        text = self._text
        (solid,) = text.of_kind("MANIFOLD_SOLID_BREP")
        shell = text[solid.args[1]]
        assert shell.kind == "CLOSED_SHELL"
        assert len(shell.args[1]) == len(text.of_kind("ADVANCED_FACE"))
        volume = sum(self._face(text[name]) for name in shell.args[1])
        for name, ways in self._uses.items():
            assert sorted(ways) == [False, True], f"edge {name} does not join two faces"
        ends = {v for name in self._uses for v in text[name].args[1:3]}
        assert len(self._uses) == len(text.of_kind("EDGE_CURVE"))
        return Read(
            volume=volume,
            gap=self._gap,
            faces=len(shell.args[1]),
            edges=len(self._uses),
            vertices=len(ends),
        )

    def _face(self, face: Entity) -> float:
        bounds, surface, sense = face.args[1:]
        assert sum(self._text[b].kind == "FACE_OUTER_BOUND" for b in bounds) <= 1
        volume = 0.0
        for name in bounds:
            bound = self._text[name]
            along = bound.args[2] == ".T."
            runs = [self._text[e] for e in self._text[bound.args[1]].args[1]]
            steps = []
            for run in runs:
                way = run.args[4] == ".T."
                assert run.args[1:3] == ("*", "*")
                self._uses.setdefault(run.args[3], []).append(way == along)
                steps.append((run.args[3], way))
            for (a, way), (b, next_way) in zip(steps, [*steps[1:], steps[0]], strict=True):
                ends = self._text[a].args[1:3], self._text[b].args[1:3]
                assert ends[0][way] == ends[1][not next_way], "a loop with a gap"
            # Outward volume: the face's sense, times that of its loop about the surface's normal.
            volume += self._loop(surface, steps) * (1 if along else -1)
        assert sense in (".T.", ".F.")
        return volume

    def _loop(self, surface: str, steps: list[tuple[str, bool]]) -> float:
        """Volume under the part of a surface that a loop goes round counter-clockwise."""
        at = self._geometry.surface(surface)
        ruled = self._text[surface].kind.startswith("B_SPLINE")
        curves = self._pcurves(surface, steps)
        total = 0.0
        for (name, way), pcurve in zip(steps, curves, strict=True):
            curve, t0, t1 = self._edge(name)
            t, weight = _panels(t0, t1)
            uv, rate = pcurve(t), _rate(pcurve, t, t1 - t0)
            u, v = uv[:, 0], uv[:, 1]
            self._gap = max(self._gap, float(np.abs(at(u, v)[0] - curve(t)).max()))
            under = _along(at, u, v, over_v=ruled)
            share = -rate[:, 0] if ruled else rate[:, 1]
            total += float((under * share * weight).sum()) * (1 if way else -1)
        return total

    def _edge(self, name: str) -> tuple[Callable[[Array], Array], float, float]:
        """An edge's curve in space and the parameters of its ends."""
        if name in self._edges:
            return self._edges[name]
        a, b, geometry, sense = self._text[name].args[1:]
        assert sense == ".T."
        kind, curve, way = self._geometry.curve(self._text[geometry].args[1])
        points = [self._geometry.vector(self._text[v].args[1]) for v in (a, b)]
        if kind == "LINE":
            t0, t1 = (float((p - way[0]) @ way[1]) for p in points)
        elif kind == "CIRCLE":
            at, x, y = way
            t0, t1 = (math.atan2((p - at) @ y, (p - at) @ x) % math.tau for p in points)
            t1 += math.tau * (a == b or t1 < t0)
        else:
            t0, t1 = way[0], way[-1]
        assert t1 > t0
        ends = curve(np.array([t0, t1]))
        self._gap = max(self._gap, float(np.abs(ends - np.array(points)).max()))
        self._edges[name] = curve, t0, t1
        return self._edges[name]

    def _pcurves(self, surface: str, steps: list[tuple[str, bool]]) -> list[Any]:
        """Each step's curve on the surface; of a seam's two the ones that close the loop."""
        found: list[list[Any]] = []
        for name, _ in steps:
            on = self._text[self._text[name].args[3]]
            assert on.kind in ("SURFACE_CURVE", "SEAM_CURVE")
            mine = [c for c in map(self._text.__getitem__, on.args[2]) if c.args[1] == surface]
            assert len(mine) == (2 if on.kind == "SEAM_CURVE" else 1)
            names = [self._text[c.args[2]].args[1][0] for c in mine]
            found.append([self._geometry.curve(n)[1] for n in names])
        # Of a seam's two curves either is the one of the forward use.
        ways = (
            [c[0] if way == first else c[-1] for c, (_, way) in zip(found, steps, strict=True)]
            for first in (True, False)
        )
        return min(ways, key=lambda curves: self._open(steps, curves))

    def _open(self, steps: list[tuple[str, bool]], curves: list[Any]) -> float:
        """How far the ends of successive curves on a surface lie apart, in all."""
        ends = []
        for (name, way), curve in zip(steps, curves, strict=True):
            _, t0, t1 = self._edge(name)
            pair = curve(np.array([t0, t1]))
            ends.append(pair if way else pair[::-1])
        return sum(
            float(np.abs(a[1] - b[0]).sum())
            for a, b in zip(ends, [*ends[1:], ends[0]], strict=True)
        )


def _panels(t0: float, t1: float) -> Pair:
    """Gauss points and weights over t0…t1."""
    x, w = GAUSS
    edges = np.linspace(t0, t1, PANELS + 1)
    half = np.diff(edges)[:, None] / 2
    return (edges[:-1, None] + half * (1 + x)).ravel(), (half * w).ravel()


def _rate(curve: Any, t: Array, length: float) -> Array:
    if isinstance(curve, BSpline):
        return curve.derivative()(t)
    h = 1e-3 * length  # lines and circles: central differences of eighth order
    steps = ((1, 4 / 5), (2, -1 / 5), (3, 4 / 105), (4, -1 / 280))
    return sum(c * (curve(t + k * h) - curve(t - k * h)) for k, c in steps) / h


def _along(at: Any, u: Array, v: Array, over_v: bool) -> Array:
    """∫ S · (S_u × S_v) / 3 from 0 to each point, over v or over u."""
    x, w = GAUSS
    share = (1 + x) / 2
    us = u[:, None] if over_v else np.multiply.outer(u, share)
    vs = np.multiply.outer(v, share) if over_v else v[:, None]
    point, by_u, by_v = at(us, vs)
    inner = (point * np.cross(by_u, by_v)).sum(axis=-1) / 3
    return (inner * w / 2).sum(axis=1) * (v if over_v else u)
