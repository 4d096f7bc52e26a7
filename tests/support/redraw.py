"""Rebuilds a turned part from its drawing alone, as a turner would: the outline's *shape* is read
off the main view, every *number* off dimensions, thread tables and centre-hole designations.

Knows nothing of the designer. Reads only the DXF's bytes (``tests.support.redraw_views``).
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from itertools import combinations, pairwise

from tests.support.redraw_views import Drawing, Side, View, contours, details, factor, read, words

NUMBER = re.compile(r"^\(?⌀?(\d+(?:\.\d+)?)")
LEAN = re.compile(r"× (\d+(?:\.\d+)?)°(?: ±\d+(?:\.\d+)?°)?$")
HOLE = re.compile(r"ISO 6411 - [AB](\d+(?:\.\d+)?)/(\d+(?:\.\d+)?)")
NEAR = 0.02  # mm; how far apart two drawn points may be that mean the same corner


class UndimensionedError(Exception):
    """The paper does not say enough, or says something twice."""


@dataclass
class Reader:
    """Collects what the dimensions say, then works out every corner."""

    d: Drawing
    outer: list[Side]
    inner: list[Side]
    links: list[tuple[float, float, float]] = field(default_factory=list)
    holes: dict[str, tuple[float, float]] = field(default_factory=dict)

    def corner(self, x: float) -> float:
        """The drawn corner nearest to ``x``, the end of flats, or of a thread in full form."""
        every = {v for s in (*self.outer, *self.inner) for v in (s.x0, s.x1)} | set(self.d.flats)
        every |= {x0 for x0, _, x1, _ in self.d.lines if x0 == x1}
        best = min(every, key=lambda v: abs(v - x))
        if abs(best - x) > NEAR:
            raise UndimensionedError(f"a dimension ends at {x:.3f}, where no edge is drawn")
        return best

    def plain(self, x: float, y: float, r: float) -> Side | None:
        """The cylinder drawn at (x, y); None if the size stands at a cone's free end, which is
        then ``r`` in radius."""
        for s in (*self.outer, *self.inner):
            if s.x0 - NEAR <= x <= s.x1 + NEAR and not s.cone and abs(s.y0 - y) <= NEAR:
                return s
        for s in (*self.outer, *self.inner):
            for k, at in enumerate(((s.x0, s.y0), (s.x1, s.y1))):
                if s.cone and math.dist(at, (x, y)) <= 2 * NEAR:
                    s.ends[k] = _once(s.ends.get(k), r)
                    return None
        raise UndimensionedError(f"nothing is drawn at {x:.3f}, {y:.3f}")


def rebuild(data: bytes) -> tuple[list[tuple[float, float, float, float]], dict]:
    """Every cylinder and cone as (z0, r0, z1, r1), worked out from the printed numbers; and the
    centre holes by end: pilot and mouth. z = 0 where the drawing has its origin."""
    d = read(data)
    outer, inner = contours(d)
    reader = Reader(d, _without_seams(outer), _without_seams(inner))
    _centre_holes(reader)
    _sizes(reader, details(d))
    z = _positions(reader)
    return _solve(reader, z), reader.holes


def _without_seams(row: list[Side]) -> list[Side]:
    """What goes on behind its thread without a step is one: one drill made the hole, one cut the
    outside up to the seat."""
    out: list[Side] = []
    for s in row:
        if out and not s.cone and not out[-1].cone and (out[-1].x1, out[-1].y1) == (s.x0, s.y0):
            s = Side(out.pop().x0, s.y0, s.x1, s.y1)
        out.append(s)
    return out


def _centre_holes(r: Reader) -> None:
    """A centre hole is said by its designation: its drawn lines are left aside."""
    left, right = r.outer[0].x0, r.outer[-1].x1
    for text, x, _, _ in r.d.texts:
        m = HOLE.search(text)
        if m is None:
            continue
        rear = abs(x - left) < abs(x - right)
        end = left if rear else right
        mouth = float(m[2])
        r.holes["rear" if rear else "nose"] = (float(m[1]), mouth)
        r.inner = [
            s for s in r.inner
            if not (abs((s.x0 if rear else s.x1) - end) < 3 * mouth
                    and max(s.y0, s.y1) <= mouth / 2 + 1e-6)
        ]  # fmt: skip


def _sizes(r: Reader, views: list[View]) -> None:
    for dim in r.d.dims:
        p = (dim.dxf.defpoint2.x, dim.dxf.defpoint2.y)
        q = (dim.dxf.defpoint3.x, dim.dxf.defpoint3.y)
        text = words(dim)
        view = None
        if factor(dim) != 1.0 or dim.dimtype == 5:
            here = (v for v in views if math.dist(p, v.own) < 1.3 * v.radius)
            view = next(
                (v for v in here if dim.dimtype == 5 or abs(v.factor - factor(dim)) < 1e-9), None
            )
        if dim.dimtype == 5:
            _angle(r, dim, p, q, text, view)
        elif text.startswith("("):
            continue
        elif dim.dxf.angle == 0:
            if _across_flats(r, p, q, view):
                continue
            a, b = ((view.to_main(e) if view else e)[0] for e in (p, q))
            a, b = sorted((r.corner(a), r.corner(b)))
            r.links.append((a, b, float(NUMBER.match(text)[1])))
            lean = LEAN.search(text)
            if lean:
                cone = next(s for s in (*r.outer, *r.inner) if (s.x0, s.x1) == (a, b) and s.cone)
                cone.angle = _once(cone.angle, float(lean[1]))
        else:
            _diameter(r, p, q, text, view)


def _once(before: float | None, value: float) -> float:
    if before is not None:
        raise UndimensionedError(f"{before} and {value} say the same size twice")
    return value


def _across_flats(r: Reader, p, q, view) -> bool:
    """A level size off the main view and in no detail is the one across the flats."""
    if view is not None:
        return False
    top = max(max(s.y0, s.y1) for s in r.outer)
    return abs(p[1]) > top + 1 or not all(
        r.outer[0].x0 - 1e-6 <= x <= r.outer[-1].x1 + 1e-6 for x in (p[0], q[0])
    )


def _diameter(r: Reader, p, q, text: str, view) -> None:
    x, y = view.to_main(p) if view else (p[0], abs(p[1]))
    middle = (p[1] + q[1]) / 2
    if view is None and abs(middle) > 1e-6:
        # In the section B–B: the letters in the main view say where it is cut.
        cuts = [t for t in r.d.texts if t[0] == "B"]
        cut = next(a for a, b in combinations(cuts, 2) if abs(a[1] - b[1]) < 1e-6)
        x = cut[1] + 0.35 * cut[3]
        s = next(s for s in r.outer if s.x0 <= x <= s.x1)
    elif NUMBER.match(text) and text.startswith("⌀"):
        s = r.plain(x, y, float(NUMBER.match(text)[1]) / 2)
    else:
        # A thread's name stands on its nominal size; the crest is drawn a little off it.
        s = min(
            (s for s in (*r.outer, *r.inner) if s.x0 - NEAR <= x <= s.x1 + NEAR and not s.cone),
            key=lambda s: abs(s.y0 - y),
        )
        s.r = _once(s.r, _crest(r, text, s in r.outer))
        return
    if lean := LEAN.search(text):
        # The cone whose smaller end the size stands at.
        ends = [
            (c, at)
            for c in (*r.outer, *r.inner)
            if c.cone
            for at in ((c.x0, c.y0), (c.x1, c.y1))
            if math.dist(at, (x, y)) <= 2 * NEAR
        ]
        (cone, _), = ends  # fmt: skip
        cone.angle = _once(cone.angle, float(lean[1]))
    if s is None:
        return
    s.r = _once(s.r, float(NUMBER.match(text)[1]) / 2)


def _crest(r: Reader, name: str, external: bool) -> float:
    """Half the middle of the crest's limits, from the table under the thread's name."""
    label = "Major ⌀ d" if external else "Minor ⌀ D1"
    heads = [t for t in r.d.texts if t[0] == name]
    rows = [t for t in r.d.texts if t[0] == label]
    if not rows:
        raise UndimensionedError(f"no table for {name}")
    # The row under the name, not that of the table which ends above it.
    under = [(math.dist(t[1:3], h[1:3]), t) for t in rows for h in heads if t[2] < h[2]]
    _, (_, x, y, _) = min(under)
    cells = sorted(
        (t[1], t[0]) for t in r.d.texts
        if abs(t[2] - y) < 1e-6 and t[1] > x and re.fullmatch(r"\(?[\d.]+\)?", t[0])
    )  # fmt: skip
    return sum(float(c[1].strip("()")) for c in cells[:2]) / 4


def _angle(r: Reader, dim, p, q, text: str, view) -> None:
    v = (dim.dxf.defpoint4.x, dim.dxf.defpoint4.y)
    # The leg that is not level runs along the cone; its two ends are the cone's corners.
    top = p if abs(p[1] - v[1]) > 1e-6 else q
    a, b = sorted((view.to_main(e) if view else (e[0], abs(e[1])))[0] for e in (v, top))
    cone = min(
        (s for s in (*r.outer, *r.inner) if s.cone),
        key=lambda s: abs(s.x0 - a) + abs(s.x1 - b),
    )
    if abs(cone.x0 - a) + abs(cone.x1 - b) > 2 * NEAR:
        raise UndimensionedError(f"the angle {text} lies on no cone")
    cone.angle = _once(cone.angle, float(text.rstrip("°").split("°")[0]))


def _positions(r: Reader) -> dict[float, float]:
    """Axial positions along the dimensions, from the drawing's origin; a closed chain of
    dimensions says a size twice."""
    z = {r.corner(0.0): 0.0}
    left = list(r.links)
    while left:
        step = next((k for k in left if (k[0] in z) is not (k[1] in z)), None)
        if step is None:
            twice = [k for k in left if k[0] in z and k[1] in z]
            what = f"said twice: {twice}" if twice else f"hang on nothing: {left}"
            raise UndimensionedError(what)
        a, b, length = step
        if a in z:
            z[b] = z[a] + length
        else:
            z[a] = z[b] - length
        left.remove(step)
    return z


def _solve(r: Reader, z: dict[float, float]) -> list[tuple[float, float, float, float]]:
    """Ends of every piece; a corner nobody dimensioned follows from a cone's angle."""
    ends: dict[tuple[int, int], float] = {}  # (index of side, 0 or 1) -> radius
    sides = [*r.outer, *r.inner]
    for i, s in enumerate(sides):
        if not s.cone:
            if s.r is None:
                raise UndimensionedError(f"no diameter at {s.x0:.3f} to {s.x1:.3f}")
            ends[i, 0] = ends[i, 1] = s.r
        for k, radius in s.ends.items():
            ends[i, k] = radius
    neighbours = [
        (i, i + 1)
        for i, (a, b) in enumerate(pairwise(sides))
        if i + 1 != len(r.outer) and math.dist((a.x1, a.y1), (b.x0, b.y0)) < 1e-6
    ]
    for i, j in neighbours:
        for one, other in (((i, 1), (j, 0)), ((j, 0), (i, 1))):
            if one in ends and other not in ends:
                ends[other] = ends[one]
    for i, s in enumerate(sides):
        if s.cone and not _drill_point(s):
            _cone(i, s, ends, z)
    out = []
    for i, s in enumerate(sides):
        if _drill_point(s):
            continue
        missing = [x for x in (s.x0, s.x1) if x not in z]
        if missing and not (i >= len(r.outer) and _drill_point(sides[i - 1])):
            raise UndimensionedError(f"no position of the edge drawn at {missing}")
        out.append((z[s.x0], ends[i, 0], z[s.x1], ends[i, 1]))
    return out


def _drill_point(s: Side) -> bool:
    """Drill points are not dimensioned (ISO 6410-1)."""
    return s.cone and min(s.y0, s.y1) < 1e-6


def _cone(i: int, s: Side, ends: dict, z: dict[float, float]) -> None:
    if s.angle is None:
        raise UndimensionedError(f"no angle of the cone at {s.x0:.3f} to {s.x1:.3f}")
    slope = math.tan(math.radians(s.angle))
    sign = 1.0 if s.y1 > s.y0 else -1.0
    known = [(i, k) in ends for k in (0, 1)]
    placed = [x in z for x in (s.x0, s.x1)]
    if all(known) and all(placed):
        raise UndimensionedError(f"the cone at {s.x0:.3f} is said twice")
    if all(known) and any(placed):
        length = abs(ends[i, 1] - ends[i, 0]) / slope
        if placed[0]:
            z[s.x1] = z[s.x0] + length
        else:
            z[s.x0] = z[s.x1] - length
    elif any(known) and all(placed):
        rise = sign * (z[s.x1] - z[s.x0]) * slope
        if known[0]:
            ends[i, 1] = ends[i, 0] + rise
        else:
            ends[i, 0] = ends[i, 1] - rise
    else:
        raise UndimensionedError(f"the cone at {s.x0:.3f} to {s.x1:.3f} is not fixed")
