"""Angular dimensions of cones."""

from __future__ import annotations

import itertools
import math
from typing import NamedTuple

from mandrelgen.model.characteristic import Characteristic
from mandrelgen.model.mandrel import Stretch
from mandrelgen.paper.drawing.dimensions import APART, Label, middle_of, strip, written
from mandrelgen.paper.drawing.label_ground import Candidate, Ways
from mandrelgen.paper.drawing.label_placement import Annotation
from mandrelgen.paper.drawing.model import Arc, Dimension, Drawn, Item, Line, LineStyle, Point
from mandrelgen.paper.drawing.segments import Segment
from mandrelgen.paper.drawing.symbols import ARROW, arrow

# Radius of the smallest arc, mm on paper; how long arcs' radii are, of the cone's length.
SMALLEST = 4.5
ALONG = (0.65, 1.3, 1.8)


def angle_wish(
    c: Characteristic,
    label: Label,
    s: Stretch,
    view: tuple[float, float, float, float],
    levels: list[float],
    clip: float = 1e9,
) -> Annotation:
    """The angle of cone ``s`` against the axis (or, if ``c.nominal`` is the whole cone's, the
    whole); ``view`` is z and y of the origin, scale, and +1 (upper side) or −1; its arc stays
    within ``clip`` mm of the vertex."""
    z, axis, f, sign = view
    lean = math.degrees(math.atan2((s.d1 - s.d0) / 2, s.z1 - s.z0))
    a = ((s.z0 - z) * f, axis + sign * s.d0 / 2 * f)
    b = ((s.z1 - z) * f, axis + sign * s.d1 / 2 * f)
    # The vertex is the cone's corner away from the material, so that the legs end in free air: one
    # along the axis, one along the cone, and the measured angle is the lean.
    vertex, top = (b, a) if (s.d1 >= s.d0) == (sign > 0) else (a, b)
    along = (top[0], vertex[1])
    size = abs(lean)
    whole = abs(c.nominal - 2 * size) < abs(c.nominal - size)
    if whole:
        along = (top[0], 2 * vertex[1] - top[1])
    # Anticlockwise from p to q is the angle.
    p, q = along, top
    turn = (
        math.atan2(q[1] - vertex[1], q[0] - vertex[0])
        - math.atan2(p[1] - vertex[1], p[0] - vertex[0])
    ) % math.tau
    if turn > math.pi:
        p, q = q, p
    # In front of the cone alone: the ground at its foot is left to other leaders.
    slant = math.dist(vertex, top)
    costs: list[float] = []
    ways: list[tuple[_Bow, float, int, float, float]] = []
    for i, share in enumerate(ALONG):
        radius = min(max(slant * share, SMALLEST), clip * 0.8)
        bow = _bow(label, p, q, vertex, radius)
        for k, y in enumerate(levels):
            for j, shift in enumerate((0.0, 4.0, -4.0, 8.0, -8.0, 13.0, -13.0, 18.0, -18.0)):
                for side in (1, -1):
                    if shift * side < 0:
                        continue  # the leader would run through its own text
                    cost = k + 0.15 * j + 0.1 * i
                    costs.append(cost)
                    ways.append((bow, y, side, cost, shift))
    found = Ways(costs, lambda n: _candidate(*ways[n]))
    # After the diameters, whose leaders it has to keep clear of.
    return Annotation(name=label.id, candidates=found, paths=(), rank=1.0, second=-1.0)


class _Bow(NamedTuple):
    """An angle's arc wherever its text stands: from ``a`` to ``b`` degrees round ``vertex``; the
    leader begins at ``foot``; ``chords`` stand for the arc where lines are kept apart."""

    label: Label
    p: Point
    q: Point
    vertex: Point
    radius: float
    a: float
    b: float
    foot: Point
    chords: tuple[Segment, ...]
    # Of the text with its leader's shelf.
    width: float


def _bow(label: Label, p: Point, q: Point, vertex: Point, radius: float) -> _Bow:
    a = math.degrees(math.atan2(p[1] - vertex[1], p[0] - vertex[0]))
    b = math.degrees(math.atan2(q[1] - vertex[1], q[0] - vertex[0]))
    if b < a:
        b += 360
    mid = math.radians((a + b) / 2)
    foot = (vertex[0] + radius * math.cos(mid), vertex[1] + radius * math.sin(mid))
    points = [_on(vertex, radius, a + (b - a) * i / 4) for i in range(5)]
    chords = tuple((*u, *v) for u, v in itertools.pairwise(points))
    return _Bow(
        label=label,
        p=p,
        q=q,
        vertex=vertex,
        radius=radius,
        a=a,
        b=b,
        foot=foot,
        chords=chords,
        width=label.width + 1.5,
    )


def _candidate(bow: _Bow, y: float, side: int, cost: float, shift: float) -> Candidate:
    label, foot, w = bow.label, bow.foot, bow.width
    end = foot[0] + shift
    left = end + 1.0 if side > 0 else end - w + 0.5

    def build() -> tuple[Drawn, ...]:
        texts, more = written(label, left, y, side > 0)
        leader = Line((foot, (end, y), (end + side * w, y)), LineStyle.DIM)
        items = (*_arc(bow.vertex, bow.radius, bow.a, bow.b), leader)
        dim = Dimension(
            id=label.id,
            p=bow.p,
            q=bow.q,
            at=foot,
            angle=0.0,
            per_mm=1.0,
            before=label.before,
            value=label.value,
            after=label.after,
            text=label.text,
            text_at=middle_of(label, texts),
            items=(*items, *texts),
            kind="angular",
            vertex=bow.vertex,
            stack=label.stack,
            tail=label.tail,
        )
        return (dim, *more)

    # Others keep their arrows off the arc where they can.
    return Candidate(
        boxes=(strip(left, y, label),),
        lines=((*foot, end, y), (end, y, end + side * w, y), *bow.chords),
        cost=cost,
        build=build,
        apart=APART,
        leader=2,
        heads=(_on(bow.vertex, bow.radius, bow.a), _on(bow.vertex, bow.radius, bow.b)),
    )


def _on(vertex: Point, radius: float, angle: float) -> Point:
    t = math.radians(angle)
    return (vertex[0] + radius * math.cos(t), vertex[1] + radius * math.sin(t))


def _arc(vertex: Point, radius: float, a: float, b: float) -> list[Item]:
    """The dimension's arc from ``a`` to ``b`` degrees with its arrows and the two legs. A short arc
    has its arrows outside, pointing at each other."""
    short = math.radians(b - a) * radius < 2.5 * ARROW
    tail, turn = (math.degrees(5.0 / radius), -90.0) if short else (0.0, 90.0)
    return [
        Arc(centre=vertex, radius=radius, pen=LineStyle.DIM, start=a - tail, end=b + tail),
        arrow(_on(vertex, radius, a), a - turn),
        arrow(_on(vertex, radius, b), b + turn),
        *[Line((vertex, _on(vertex, 1.25 * radius, angle)), LineStyle.DIM) for angle in (a, b)],
    ]
