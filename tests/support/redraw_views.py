"""What is drawn and written in a drawing file, read off its DXF's bytes alone: contours of the main
view, details and how they lie on it. For ``tests.support.redraw``.
"""

from __future__ import annotations

import io
import math
import re
from dataclasses import dataclass, field
from itertools import pairwise, permutations

import ezdxf


@dataclass
class Side:
    """One straight piece of a contour: drawn ends, and what has been read of it."""

    x0: float
    y0: float
    x1: float
    y1: float
    angle: float | None = None
    r: float | None = None  # of a cylinder
    ends: dict[int, float] = field(default_factory=dict)  # radii at a cone's free ends

    @property
    def cone(self) -> bool:
        return abs(self.y1 - self.y0) > 1e-9


@dataclass
class View:
    """Where a detail lies: centres of its circle in the main view and of its own, mm for each mm
    drawn."""

    main: tuple[float, float]
    own: tuple[float, float]
    radius: float
    factor: float

    def to_main(self, p: tuple[float, float]) -> tuple[float, float]:
        return (
            self.main[0] + (p[0] - self.own[0]) * self.factor,
            abs(self.main[1] + (p[1] - self.own[1]) * self.factor),
        )


@dataclass
class Drawing:
    """Everything read from the file."""

    lines: list[tuple[float, float, float, float]] = field(default_factory=list)
    texts: list[tuple[str, float, float, float]] = field(default_factory=list)
    circles: list[tuple[float, float, float]] = field(default_factory=list)
    dims: list = field(default_factory=list)
    flats: list[float] = field(default_factory=list)
    thin: list[tuple[tuple[float, float], tuple[float, float]]] = field(default_factory=list)


def read(data: bytes) -> Drawing:
    out = Drawing()
    for e in ezdxf.read(io.StringIO(data.decode("utf-8"))).modelspace():
        kind, layer = e.dxftype(), e.dxf.layer
        if kind == "LINE" and layer == "OUTLINE":
            a, b = sorted([(e.dxf.start.x, e.dxf.start.y), (e.dxf.end.x, e.dxf.end.y)])
            out.lines.append((*a, *b))
        elif kind == "LWPOLYLINE" and layer in ("OUTLINE", "PHANTOM_SMALL") and e.closed:
            points = [p[:2] for p in e.get_points()]
            # Flats lie across the axis, cut away in front of a section or not.
            if abs(sum(p[1] for p in points)) < 1e-6:
                out.flats += [p[0] for p in points]
        elif kind == "LINE" and layer == "NARROW":
            ends = (e.dxf.start.x, e.dxf.start.y), (e.dxf.end.x, e.dxf.end.y)
            out.thin += [ends, ends[::-1]]
        elif kind == "CIRCLE" and layer == "NARROW":
            out.circles.append((e.dxf.center.x, e.dxf.center.y, e.dxf.radius))
        elif kind == "TEXT":
            at = e.get_placement()[1]
            out.texts.append((e.dxf.text, at.x, at.y, e.dxf.height))
        elif kind == "DIMENSION":
            out.dims.append(e)
    return out


def words(dim) -> str:
    """What stands at a dimension on paper: the text of its picture, without stacked deviations."""
    first, *more = [t.dxf.text for t in dim.get_geometry_block() if t.dxftype() == "TEXT"]
    return " ".join([first, *[t.strip() for t in more if t.strip().startswith("×")]])


def factor(dim) -> float:
    return float(dim.override().get("dimlfac", 1.0))


def contours(d: Drawing) -> tuple[list[Side], list[Side]]:
    """Upper outside contour and upper bore contour of the main view, left to right."""
    level = [x for x in d.dims if x.dimtype == 0 and x.dxf.angle == 0 and factor(x) == 1.0]
    spans = [sorted((x.dxf.defpoint2.x, x.dxf.defpoint3.x)) for x in level]
    left, right = max(spans, key=lambda s: s[1] - s[0])
    parts = [s for s in d.lines if left - 1e-6 <= s[0] and s[2] <= right + 1e-6]
    parts = _connected(parts, left)
    rising = [s for s in parts if s[2] - s[0] > 1e-9 and s[1] > -1e-9 and s[3] > -1e-9]
    xs = sorted({round(v, 9) for s in rising for v in (s[0], s[2])})
    outer: list[Side] = []
    inner: list[Side] = []
    for a, b in pairwise(xs):
        x = (a + b) / 2
        here = sorted(
            (s for s in rising if s[0] <= x <= s[2]),
            key=lambda s: -(s[1] + (s[3] - s[1]) * (x - s[0]) / (s[2] - s[0])),
        )
        for s, row in zip(here, (outer, inner), strict=False):
            if not row or (row[-1].x0, row[-1].y0) != (s[0], s[1]):
                row.append(Side(*s))
    return outer, inner


def _connected(parts, left: float):
    """The lines that hang together with the end of the part."""
    todo = [s for s in parts if abs(s[0] - left) < 1e-6 and abs(s[1]) < 60]
    found = set()

    def ends(s):
        return {(round(s[0], 5), round(s[1], 5)), (round(s[2], 5), round(s[3], 5))}

    by_end: dict = {}
    for s in parts:
        for e in ends(s):
            by_end.setdefault(e, []).append(s)
    # Edges across the axis hang on the outline by their ends.
    while todo:
        s = todo.pop()
        if s in found:
            continue
        found.add(s)
        for e in ends(s):
            todo += by_end[e]
    return found


def details(d: Drawing) -> list[View]:
    titles = [t for t in d.texts if re.fullmatch(r"[A-Z] \(\d+:\d+\)", t[0])]
    letters = [t for t in d.texts if re.fullmatch(r"[U-Z]", t[0])]
    own = {}
    for c in d.circles:
        above = [t for t in titles if abs(t[1] - c[0]) < 1.6 * c[2] + 30 and t[2] > c[1]]
        best = min(above, key=lambda t: math.dist((t[1], t[2]), c[:2]), default=None)
        if best is None:
            continue
        inside = [
            x for x in d.dims
            if x.dimtype == 0 and factor(x) != 1.0
            and math.dist((x.dxf.defpoint2.x, x.dxf.defpoint2.y), c[:2]) < 1.05 * c[2]
        ]  # fmt: skip
        angles = [
            x for x in d.dims
            if x.dimtype == 5
            and math.dist((x.dxf.defpoint4.x, x.dxf.defpoint4.y), c[:2]) < 1.05 * c[2]
        ]  # fmt: skip
        if inside:
            own[best[0][0]] = (c, factor(inside[0]))
        elif angles:
            # A detail of nothing but an angle: its scale stands in its title.
            own[best[0][0]] = (c, _scale(d) / _ratio(best[0][2:]))
    views: list[View] = []
    best_pairs = None
    main = [c for c in d.circles if c not in [v[0] for v in own.values()]]
    letters = [t for t in letters if t[0] in own]
    for order in permutations(main, len(letters)):
        pairs = list(zip(letters, order, strict=True))
        far = sum(_away(d, t, c) for t, c in pairs)
        if best_pairs is None or far < best_pairs[0]:
            best_pairs = (far, pairs)
    for (letter, *_), circle in best_pairs[1] if best_pairs else ():
        c, k = own[letter]
        views.append(View(circle[:2], c[:2], c[2], k))
    return views


def _ratio(text: str) -> float:
    """``10:1`` in a text."""
    over, under = re.search(r"(\d+):(\d+)", text).groups()
    return float(over) / float(under)


def _scale(d: Drawing) -> float:
    """The main view's scale, from the title block."""
    return next(_ratio(t[0]) for t in d.texts if re.fullmatch(r"\d+:\d+ \(A\d\)", t[0]))


def _away(d: Drawing, letter, circle) -> float:
    """How far a letter stands from a circle, or from the end of the line that leads off it."""
    at = (letter[1] + 0.35 * letter[3], letter[2] + letter[3] / 2)
    tips = [b for a, b in d.thin if abs(math.dist(a, circle[:2]) - circle[2]) < 1e-4]
    if tips:
        return min(math.dist(at, tip) for tip in tips)
    return abs(math.dist(at, circle[:2]) - circle[2])
