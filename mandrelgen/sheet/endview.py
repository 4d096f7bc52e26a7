"""Views along the axis: the ends, and the cut through the spanner flats."""

from __future__ import annotations

import math

from mandrelgen.characteristic import Characteristic
from mandrelgen.mandrel import Flats, Mandrel, Stretch
from mandrelgen.sheet.block import Block, block
from mandrelgen.sheet.dimensions import PITCH, horizontal
from mandrelgen.sheet.labels import label_of
from mandrelgen.sheet.lettering import width_of
from mandrelgen.sheet.model import Arc, Drawn, Hatch, Line, Pen, Text
from mandrelgen.sheet.placing import Ground, place
from mandrelgen.sheet.views import ROOT_GAP, TOUCH, bores, radius_at


def end_view(mandrel: Mandrel, f: float, from_nose: bool) -> Block:
    """The mandrel seen along its axis, from the nose or from the rear; centre at (0, 0)."""
    outer = list(mandrel.outer)
    order = list(reversed(outer)) if from_nose else outer
    drawn: list[Drawn] = []
    reached = 0.0
    for s in order:
        near, far = (s.d1, s.d0) if from_nose else (s.d0, s.d1)
        for d in (near, far):
            if d / 2 > reached + TOUCH:
                reached = d / 2
                # ISO 6410-1: the chamfer's own circle is left out in front of a thread.
                if not _before_thread(order, s, d):
                    drawn.append(Arc((0.0, 0.0), reached * f, Pen.OUTLINE))
        if s.thread is not None and abs(s.d0 / 2 - reached) < TOUCH:
            crest = s.d0 / 2 * f
            drawn.append(_three_quarters(min(s.thread.root_diameter / 2 * f, crest - ROOT_GAP)))
    drawn += _holes(mandrel, f, from_nose)
    r = max(max(s.d0, s.d1) for s in outer) / 2 * f + 4
    drawn.append(Line(((-r, 0.0), (r, 0.0)), Pen.CENTRE))
    drawn.append(Line(((0.0, -r), (0.0, r)), Pen.CENTRE))
    return block(drawn)


def _before_thread(order: list[Stretch], s: Stretch, d: float) -> bool:
    i = order.index(s)
    if abs(s.d1 - s.d0) < TOUCH or i + 1 >= len(order):
        return False
    return order[i + 1].thread is not None and d < max(s.d0, s.d1) - TOUCH


def _three_quarters(radius: float) -> Arc:
    """The root of a thread seen from its end: open in the upper right quadrant, its ends a little
    off the centre lines."""
    return Arc((0.0, 0.0), radius, Pen.THREAD, 95.0, 355.0)


def _holes(mandrel: Mandrel, f: float, from_nose: bool) -> list[Drawn]:
    ends = mandrel.outer[-1].z1 if from_nose else mandrel.outer[0].z0
    drawn: list[Drawn] = []
    for row in bores(mandrel):
        z = row[-1].z1 if from_nose else row[0].z0
        if abs(z - ends) > TOUCH:
            continue
        seen = math.inf
        for s in reversed(row) if from_nose else row:
            near, far = (s.d1, s.d0) if from_nose else (s.d0, s.d1)
            for d in (near, far):
                if TOUCH < d / 2 < seen - TOUCH:
                    seen = d / 2
                    drawn.append(Arc((0.0, 0.0), seen * f, Pen.OUTLINE))
            if s.thread is not None and abs(s.d0 / 2 - seen) < TOUCH:
                crest = s.d0 / 2 * f
                drawn.append(_three_quarters(max(s.thread.root_diameter / 2 * f, crest + ROOT_GAP)))
    return drawn


def cut_at(mandrel: Mandrel, flats: Flats) -> float:
    """Where the flats are cut: in their middle half, as far from every station as can be."""
    spots = [flats.z0 + t * (flats.z1 - flats.z0) for t in (0.5, 0.4, 0.6, 0.3, 0.7)]
    return max(
        spots, key=lambda z: min((abs(z - s) for s in mandrel.stations.values()), default=0.0)
    )


def flats_section(
    mandrel: Mandrel, across: tuple[Characteristic, ...], f: float, numbers: dict[str, int]
) -> Block | None:
    """Section B–B through the spanner flats with the size across them."""
    flats = mandrel.flats
    if flats is None or not across:
        return None
    z = cut_at(mandrel, flats)
    r, a = radius_at(mandrel, z) * f, flats.across / 2 * f
    half = math.degrees(math.acos(min(1.0, a / r)))
    h = math.sqrt(max(r * r - a * a, 0.0))
    arc = [
        (r * math.cos(math.radians(t)), r * math.sin(math.radians(t)))
        for t in [half + i * (180 - 2 * half) / 24 for i in range(25)]
    ]
    ring = (*arc, *[(-x, -y) for x, y in arc])
    inner = [s for s in mandrel.inner if s.z0 <= z <= s.z1]
    loops: list[tuple[tuple[float, float], ...]] = [ring]
    drawn: list[Drawn] = [
        Arc((0.0, 0.0), r, Pen.OUTLINE, half, 180 - half),
        Arc((0.0, 0.0), r, Pen.OUTLINE, 180 + half, 360 - half),
        Line(((a, -h), (a, h)), Pen.OUTLINE),
        Line(((-a, -h), (-a, h)), Pen.OUTLINE),
    ]
    for s in inner:
        ri = s.d0 / 2 * f
        drawn.append(Arc((0.0, 0.0), ri, Pen.OUTLINE))
        loops.append(
            tuple(
                (ri * math.cos(t * math.pi / 24), ri * math.sin(t * math.pi / 24))
                for t in range(48)
            )
        )
    drawn.insert(0, Hatch(tuple(loops), 2.5))
    e = r + 3
    drawn += [Line(((-e, 0.0), (e, 0.0)), Pen.CENTRE), Line(((0.0, -e), (0.0, e)), Pen.CENTRE)]
    ground = Ground(solids=[(-r, -r, r, r)])
    wishes = [
        horizontal(
            label_of(c, numbers), (-a, -h), (a, -h), [-r - 6 - PITCH * k for k in range(6)], f
        )
        for c in across
    ]
    placed = place(ground, wishes, attempts=1)
    for chosen in placed.chosen:
        drawn += chosen.build()
    title = "B–B"
    drawn.append(Text((-width_of(title, 5.0) / 2, r + 5), title, 5.0))
    return block(drawn, placed.failed)
