"""Enlarged details of grooves, with their own dimensions."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable
from dataclasses import replace

from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.half_section import complete
from mandrelgen.model.mandrel import Mandrel, Stretch
from mandrelgen.paper.drawing.angles import angle_wish
from mandrelgen.paper.drawing.callouts import (
    feature_of,
    frame_wish,
    in_front,
    roughness_wish,
    texture_of,
)
from mandrelgen.paper.drawing.dimension_assignment import FRAME_KINDS, Window, stretch_of
from mandrelgen.paper.drawing.dimension_labels import dimension_label
from mandrelgen.paper.drawing.dimensions import PITCH, Label, Tip, horizontal, vertical
from mandrelgen.paper.drawing.label_ground import Ground
from mandrelgen.paper.drawing.label_placement import Annotation, place
from mandrelgen.paper.drawing.model import Arc, Drawn, Hatch, Line, LineStyle, Point, Text
from mandrelgen.paper.drawing.text_block import Block, block
from mandrelgen.paper.drawing.text_width import width_of
from mandrelgen.paper.drawing.views import ROOT_GAP, TOUCH, bores

SCALES = (20.0, 10.0, 5.0, 2.0)
RADII = (31.0, 22.0, 15.0, 10.0)
# So far beside a corner the ground counts that is next to it, mm.
STEP = 0.01
# z of the window's middle, y of the axis, scale, +1 (outside) or -1 (a bore), the circle's radius.
View = tuple[float, float, float, float, float]


def detail_scale(window: Window, main: float, largest: float = RADII[0]) -> float:
    """The largest standard scale (ISO 5455) at which the window's circle has a radius of at most
    ``largest`` mm; larger than the main view's in any case."""
    half = (window.z1 - window.z0) / 2
    larger = [s for s in SCALES if s > main] or [SCALES[0]]
    return next((s for s in larger if half * s <= largest), larger[-1])


def centre_of(mandrel: Mandrel, window: Window) -> Point:
    """The middle of the window on the outline: z and r, mm."""
    row = _row(mandrel, window)
    z = (window.z0 + window.z1) / 2
    rs = [d / 2 for s in row for zz, d in ((s.z0, s.d0), (s.z1, s.d1)) if window.shows(zz)]
    return z, (min(rs) + max(rs)) / 2 if rs else 0.0


def _row(mandrel: Mandrel, window: Window) -> list[Stretch]:
    if window.external:
        return list(mandrel.outer)
    return next(
        row
        for row in bores(mandrel)
        if row[0].z0 <= window.z1
        and row[-1].z1 >= window.z0
        and window.features <= {s.feature for s in row}
    )


def detail(
    mandrel: Mandrel,
    window: Window,
    cs: tuple[Characteristic, ...],
    letter: str,
    main: float,
    numbers: dict[str, int],
    largest: float = RADII[0],
    low: bool = False,
) -> Block:
    """The detail as a block; its own origin is z = window's middle, the axis far below (outside)
    or above (a bore, whose lower side is shown). ``low``: nothing stands below a bore."""
    f = detail_scale(window, main, largest)
    row = _row(mandrel, window)
    z, r = centre_of(mandrel, window)
    sign = 1.0 if window.external else -1.0
    radius = (window.z1 - window.z0) / 2 * f
    axis = -sign * r * f
    outside = _chain(mandrel.outer, z, axis, f, -1.0)
    drawn = _picture(row, outside, (z, axis, f, sign), radius)
    ground = Ground(solids=[(-radius, -radius, radius, radius)])
    wishes = _wishes(mandrel, cs, numbers, row, (z, axis, f, sign, radius), low)
    placed = place(ground, wishes)
    for c in placed.chosen:
        drawn += c.build()
    title = f"{letter} ({f:g}:1)"
    high = max([radius, *[b[3] for c in placed.chosen for b in c.boxes]])
    drawn.append(Text((-width_of(title, 5.0) / 2, high + 4), title, 5.0))
    return block(drawn, placed.failed, placed.muddled)


def _picture(
    row: list[Stretch],
    outside: list[Point],
    view: tuple[float, float, float, float],
    radius: float,
) -> list[Drawn]:
    z, axis, f, sign = view
    drawn: list[Drawn] = [Arc((0.0, 0.0), radius, LineStyle.NARROW)]
    chain = _chain(row, z, axis, f, sign)
    for a, b in itertools.pairwise(chain):
        drawn += _clipped(a, b, radius, LineStyle.OUTLINE)
    for s in row:
        if s.thread is not None:
            # The root lies deeper in the material, which is below the outline in both cases.
            crest = axis + sign * s.d0 / 2 * f
            root = axis + sign * s.thread.root_diameter / 2 * f
            y = min(root, crest - ROOT_GAP)
            start, end = _root_ends(row, s, sign * (y - axis) / f)
            drawn += _clipped(((start - z) * f, y), ((end - z) * f, y), radius, LineStyle.THREAD)
    if sign > 0:
        for p in chain:
            drawn += _clipped((p[0], p[1]), (p[0], -radius * 2), radius, LineStyle.OUTLINE)
    else:
        drawn += _wall(chain, outside, radius)
        for p in chain[1:-1]:
            drawn += _clipped((p[0], p[1]), (p[0], radius * 2), radius, LineStyle.OUTLINE)
    return drawn


def _root_ends(row: list[Stretch], s: Stretch, root: float) -> tuple[float, float]:
    """Where the root line of thread ``s`` begins and ends, z in mm: as in the main view it runs on
    into a chamfer or a relief's flank up to the outline (ISO 6410-1). ``root``: the radius it is
    drawn at, mm."""
    i = row.index(s)
    both = (row[i - 1] if i else None, row[i + 1] if row[i + 1 :] else None)
    ends = list(complete(both[0], s, both[1]))
    for k, beside in enumerate(both):
        if beside is None or abs(beside.d1 - beside.d0) < TOUCH:
            continue
        t = (2 * root - beside.d0) / (beside.d1 - beside.d0)
        if 0.0 <= t <= 1.0:
            ends[k] = beside.z0 + t * (beside.z1 - beside.z0)
    return ends[0], ends[1]


def _chain(row: Iterable[Stretch], z: float, axis: float, f: float, sign: float) -> list[Point]:
    """The outline of ``row`` in the detail's own coordinates."""
    chain: list[Point] = []
    for s in row:
        for zz, d in ((s.z0, s.d0), (s.z1, s.d1)):
            p = ((zz - z) * f, axis + sign * d / 2 * f)
            if not chain or math.dist(chain[-1], p) > 1e-9:
                chain.append(p)
    return chain


def _wall(chain: list[Point], outside: list[Point], radius: float) -> list[Drawn]:
    """The cut wall between a bore and the outside, with the outside and its end faces."""
    drawn: list[Drawn] = []
    axis = max(p[1] for p in chain)
    # A blind bore starts on the axis: material goes on behind its bottom.
    behind = [(outside[0][0], axis)] if chain[0][0] > outside[0][0] + TOUCH else []
    ahead = [(outside[-1][0], axis)] if chain[-1][0] < outside[-1][0] - TOUCH else []
    ring = [*behind, *chain, *ahead, *reversed(outside)]
    cut = _inside(ring, radius)
    if len(cut) > 2:
        drawn.append(Hatch((tuple(cut),), 2.5))
    faces = [
        *([] if behind else [(chain[0], outside[0])]),
        *([] if ahead else [(chain[-1], outside[-1])]),
    ]
    for a, b in [*itertools.pairwise(outside), *faces]:
        drawn += _clipped(a, b, radius, LineStyle.OUTLINE)
    return drawn


def _clipped(a: Point, b: Point, radius: float, pen: LineStyle) -> list[Line]:
    """The piece of a–b inside the circle round the origin."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    qa = dx * dx + dy * dy
    if qa < 1e-18:
        return []
    qb = 2 * (a[0] * dx + a[1] * dy)
    qc = a[0] ** 2 + a[1] ** 2 - radius**2
    root = qb * qb - 4 * qa * qc
    if root <= 0:
        return []
    t0 = max(0.0, (-qb - math.sqrt(root)) / (2 * qa))
    t1 = min(1.0, (-qb + math.sqrt(root)) / (2 * qa))
    if t1 - t0 < 1e-9:
        return []
    return [Line(((a[0] + t0 * dx, a[1] + t0 * dy), (a[0] + t1 * dx, a[1] + t1 * dy)), pen)]


def _inside(ring: list[Point], radius: float) -> list[Point]:
    """A polygon cut to the circle (72 sides), one half plane after the other."""
    n = 72
    for k in range(n):
        a = 2 * math.pi * (k + 0.5) / n
        nx, ny, d = math.cos(a), math.sin(a), radius * math.cos(math.pi / n)
        out: list[Point] = []
        for p, q in zip(ring, [*ring[1:], ring[0]], strict=True):
            sp, sq = p[0] * nx + p[1] * ny - d, q[0] * nx + q[1] * ny - d
            if sp <= 0:
                out.append(p)
            if sp * sq < 0:
                t = sp / (sp - sq)
                out.append((p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])))
        ring = out
        if not ring:
            break
    return ring


def _surface(row: list[Stretch], x: float, sign: float) -> float:
    """The outline's highest point at z = ``x`` as sign × r, mm."""
    best = -math.inf
    for s in row:
        if s.z0 - TOUCH <= x <= s.z1 + TOUCH:
            t = (x - s.z0) / (s.z1 - s.z0) if s.z1 - s.z0 > TOUCH else 0.0
            best = max(best, sign * (s.d0 + t * (s.d1 - s.d0)) / 2)
    return best


def _wishes(
    mandrel: Mandrel,
    cs: tuple[Characteristic, ...],
    numbers: dict[str, int],
    row: list[Stretch],
    view: View,
    low: bool,
) -> list[Annotation]:
    """How every characteristic of ``cs`` may be drawn; a frame bears its surface's roughness.
    ``low``: nothing stands below a bore."""
    radius = view[4]
    rows = [radius + 5 + PITCH * k for k in range(9)]
    levels = [-radius - 5 - PITCH * k for k in range(7)]
    out: list[Annotation] = []
    riders = {c.feature: texture_of(mandrel, c) for c in cs if c.kind is Kind.ROUGHNESS}
    outside = view[3] > 0
    for c in cs:
        if c.kind in FRAME_KINDS:
            tips = _tips(mandrel, c, view)
            frame = frame_wish(c, tips, numbers, rows, riders.pop(c.feature, None))
            # A frame rises over the rows of the lengths.
            out.append(replace(frame, rank=2.0, second=2000.0))
    for c in cs:
        if c.kind in FRAME_KINDS:
            continue
        if c.kind is Kind.ROUGHNESS:
            if c.feature in riders and riders[c.feature].need is c:
                tips = _tips(mandrel, c, view)
                out.append(roughness_wish(riders[c.feature], tips, numbers, rows))
        elif c.between is not None and c.kind in (Kind.LENGTH, Kind.CHAMFER):
            # Below a bore, where no leader that comes through it crosses the length's line.
            under = [-radius - PITCH * (k + 1) for k in range(9)]
            places = rows if outside or low else under
            out.append(_length(mandrel, c, c.between, numbers, row, view, places))
        else:
            s = stretch_of(mandrel, c)
            assert s is not None
            label = dimension_label(mandrel, c, numbers)
            if c.kind is Kind.ANGLE:
                # Below, or above where the leader would cross another.
                both = [*levels[:3], *rows[:4], *levels[3:]]
                out.append(_angle(c, label, s, row, view, both if outside else rows))
            else:
                # A bore's size comes through the bore: from below it would cross the cut wall.
                places = levels if outside else rows
                out.append(_half_diameter(mandrel, c, label, s, row, view, places))
    return out


def _length(
    mandrel: Mandrel,
    c: Characteristic,
    between: tuple[str, str],
    numbers: dict[str, int],
    row: list[Stretch],
    view: View,
    rows: list[float],
) -> Annotation:
    """A length over the outline, or through the wall under a bore."""
    z, axis, f, sign, _ = view
    label = dimension_label(mandrel, c, numbers)
    ends = sorted(mandrel.stations[n] for n in between)
    p, q = (((e - z) * f, axis + _surface(row, e, sign) * f) for e in ends)
    return horizontal(label, p, q, rows, f, abs(q[0] - p[0]))


def _angle(
    c: Characteristic,
    label: Label,
    s: Stretch,
    row: list[Stretch],
    view: View,
    levels: list[float],
) -> Annotation:
    """The angle of the cone ``s``."""
    z, axis, f, sign, radius = view
    return angle_wish(c, label, s, (z, axis, f, sign), levels, radius)


def _half_diameter(
    mandrel: Mandrel,
    c: Characteristic,
    label: Label,
    s: Stretch,
    row: list[Stretch],
    view: View,
    levels: list[float],
) -> Annotation:
    """A diameter of which only the near side is in sight: one arrow, the other end off the view."""
    z, axis, f, sign, _ = view
    spots = _spots(s, view) or [(s.z0 + s.z1) / 2]
    shifts: tuple[float, ...] = (0.0,)
    if abs(s.d1 - s.d0) > TOUCH:
        spots = [s.z0 if abs(s.d0 - c.nominal) < 1e-4 else s.z1]
        shifts = _off_the_edge(mandrel, row, spots[0], sign)
    xs = [(e - z) * f for e in spots]
    half = c.nominal / 2 * f
    near, far = axis + sign * half, axis - sign * half
    return vertical(
        label, xs, half, levels, f, one_sided=True, surface=near, far=far, shifts=shifts
    )


def _off_the_edge(
    mandrel: Mandrel, row: list[Stretch], at: float, sign: float
) -> tuple[float, ...]:
    """How far beside a corner at z = ``at`` its diameter's line may stand, mm on paper: over the
    ground next to it that is no higher, or in the air before an end, where it does not run along
    the edge's own line."""
    here = _surface(row, at, sign)
    ends = (mandrel.outer[0].z0, mandrel.outer[-1].z1)
    air = any(abs(at - end) < TOUCH for end in ends)
    for side in (1.0, -1.0):
        beside = _surface(row, at + side * STEP, sign)
        if beside < here + TOUCH and (air or beside > -math.inf):
            return tuple(side * d for d in (3.5, 5.0, 7.0, 2.0))
    return (0.0,)


def _tips(mandrel: Mandrel, c: Characteristic, view: View) -> list[Tip]:
    """Where a leader touches the cylinder of ``c`` inside the circle, from above, or its extension
    line in the air before the end: a lip of half a millimetre has no room for two arrows."""
    z, axis, f, sign, radius = view
    s = feature_of(mandrel, c)
    assert s is not None
    y = axis + sign * s.d0 / 2 * f
    on = [Tip(((e - z) * f, y), 270.0) for e in _spots(s, view)]
    before = in_front(mandrel, s, (z, axis, f, sign))
    return [*on, *(t for t in before if math.hypot(*t.at) < radius)]


def _spots(s: Stretch, view: View) -> list[float]:
    """Places (z) along a stretch inside the circle, the likeliest first."""
    z, _, f, _, radius = view
    places = [s.z0 + t * (s.z1 - s.z0) for t in (0.5, 0.3, 0.7, 0.15, 0.85)]
    return [e for e in places if abs(e - z) * f < radius * 0.9]
