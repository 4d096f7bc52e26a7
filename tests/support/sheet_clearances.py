"""How near the lettering, leaders and arrow heads of one size stand to those of another, and how
much of a sheet is used: counted with shapely from what is drawn, by nothing of the layout."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from shapely import STRtree, set_precision
from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from mandrelgen.paper.drawing.model import (
    Arc,
    Dimension,
    Drawn,
    Fill,
    Hatch,
    Line,
    LineStyle,
    Mark,
    Sheet,
    Text,
)

# Lettering keeps this away from what belongs to another size, mm on paper.
NEAR = 1.0
# Side of the squares a sheet's drawing space is cut into, mm.
CELL = 10.0
# The tips of two sizes' heads are this far from one another, or meet tip to tip, mm on paper.
TIPS = 2.0
# Heads of a chain of dimensions touch at their tips: no more than this of a head lies on another.
TIP = 0.05


@dataclass(frozen=True, slots=True)
class Ink:
    """One thing on paper: ``kind`` is text, line, outline, head or hatch; ``who`` the size it
    belongs to ("": to none)."""

    kind: str
    who: str
    shape: BaseGeometry
    said: str = ""


def inks(sheet: Sheet) -> list[Ink]:
    """Everything drawn, with what it belongs to. A balloon belongs to its size."""
    return [i for d in sheet.drawn for i in _of(d, "")]


def _of(d: Drawn, who: str) -> Iterator[Ink]:
    if isinstance(d, Dimension | Mark):
        also = d.id if d.id else f"{type(d).__name__} {id(d)}"
        for item in d.items:
            yield from _of(item, also)
    elif isinstance(d, Hatch):
        rings = [Polygon(loop) for loop in d.loops]
        area = rings[0].buffer(0)
        for hole in rings[1:]:
            area = area.difference(hole.buffer(0))
        # Slivers of a millionth are no hatching, and GEOS before 3.12 stumbles over them.
        yield Ink("hatch", who, set_precision(area, 1e-6))
    elif isinstance(d, Line):
        points = (*d.points, d.points[0]) if d.closed else d.points
        kind = "line" if d.pen is LineStyle.DIM else "outline"
        yield Ink(kind, who, LineString(points))
    elif isinstance(d, Arc):
        angles = [math.radians(d.start + d.sweep * i / 48) for i in range(49)]
        ring = [
            (d.centre[0] + d.radius * math.cos(a), d.centre[1] + d.radius * math.sin(a))
            for a in angles
        ]
        yield Ink("line" if d.pen is LineStyle.DIM else "outline", who, LineString(ring))
    elif isinstance(d, Fill):
        yield Ink("head", who, Polygon(d.points).buffer(0))
    elif isinstance(d, Text) and d.text.strip():
        yield Ink("text", who, Polygon(d.corners()), d.text)


def too_near(sheet: Sheet) -> Counter[str]:
    """How many pairs of things of different sizes stand nearer than they may: lettering within
    ``NEAR`` of lettering or lines, heads on heads or on lines, anything of a size in hatching."""
    every = [i for i in inks(sheet) if not _border(i, sheet)]
    tree = STRtree([i.shape for i in every])
    found: Counter[str] = Counter()
    for a in (i for i in every if i.kind == "text" or (i.who and i.kind == "head")):
        reach = a.shape.buffer(NEAR - 0.01) if a.kind == "text" else a.shape
        for k in tree.query(reach):
            b = every[int(k)]
            if b.who == a.who or not reach.intersects(b.shape):
                continue
            if name := _named(a, b):
                found[name] += 1
    return found


def tips_too_near(sheet: Sheet) -> list[tuple[str, str]]:
    """Pairs of sizes whose arrow heads point at nearly one place: a reader cannot tell which means
    what. Heads that meet tip to tip on one line are a chain of dimensions; a datum's triangle
    stands where the dimension's head does."""
    every = [
        (who, f.points[0], _pointing(f))
        for n, d in enumerate(sheet.drawn)
        for who, f in _heads(d, n, sheet.drawn)
    ]
    return [
        (a, b)
        for (a, p, u), (b, q, v) in combinations(every, 2)
        if a != b
        and math.dist(p, q) < TIPS
        and not (math.dist(p, q) < 0.15 and u[0] * v[0] + u[1] * v[1] < -0.9)
    ]


def _heads(d: Drawn, n: int, drawn: tuple[Drawn, ...]) -> Iterator[tuple[str, Fill]]:
    """The arrow heads of a size. A frame's stands in front of it, with its leader."""
    if isinstance(d, Dimension) or (isinstance(d, Mark) and d.role == "centre hole"):
        yield from ((d.id, i) for i in d.items if isinstance(i, Fill))
    elif isinstance(d, Fill):
        yield next((m.id for m in drawn[n:] if isinstance(m, Mark) and m.id), str(n)), d


def _pointing(head: Fill) -> tuple[float, float]:
    tip, a, b = head.points
    x, y = tip[0] - (a[0] + b[0]) / 2, tip[1] - (a[1] + b[1]) / 2
    long = math.hypot(x, y)
    return x / long, y / long


def _border(i: Ink, sheet: Sheet) -> bool:
    """True of the frame and what stands in the title block."""
    return any(box(*f).buffer(0.5).contains(i.shape) for f in sheet.fields[:1])


def _named(a: Ink, b: Ink) -> str:
    """What the nearness of two things is called; empty where it is none."""
    if a.kind == "text":
        if b.kind == "text":
            return "text near text" if b.who == "" or a.who < b.who else ""
        if b.kind == "hatch":
            return "text in hatching" if b.shape.intersects(a.shape) else ""
        if b.kind == "head":
            return "text near head"
        return "text near line" if b.kind == "line" and b.who else ""
    if b.kind == "head" and b.who and a.who < b.who:
        return "head on head" if a.shape.intersection(b.shape).area > TIP else ""
    if b.kind == "hatch":
        return "head in hatching" if a.shape.intersection(b.shape).area > TIP else ""
    return ""


def used(sheet: Sheet) -> float:
    """The share of the squares of the drawing space with something in them: a line, lettering, or
    the inside of a table, of the title block or of the part."""
    x0, y0, x1, y1 = sheet.frame
    every = [i.shape for i in inks(sheet)]
    every = [s for s in every if not s.contains(box(x0 + 1, y0 + 1, x1 - 1, y1 - 1))]
    every += [box(*f) for f in sheet.fields]
    tree = STRtree(every)
    nx, ny = round((x1 - x0) / CELL), round((y1 - y0) / CELL)
    wide, high = (x1 - x0) / nx, (y1 - y0) / ny
    full = 0
    for i in range(nx):
        for j in range(ny):
            cell = box(
                x0 + i * wide + 0.6,
                y0 + j * high + 0.6,
                x0 + (i + 1) * wide - 0.6,
                y0 + (j + 1) * high - 0.6,
            )
            full += any(every[int(k)].intersects(cell) for k in tree.query(cell))
    return full / (nx * ny)
