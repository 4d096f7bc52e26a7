"""Views along the axis: the ends, and the cut through the spanner flats."""

from __future__ import annotations

import math
from dataclasses import dataclass

from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.mandrel import Flats, Mandrel, Stretch
from mandrelgen.paper.drawing.dimension_labels import label_of
from mandrelgen.paper.drawing.dimensions import PITCH, horizontal, vertical
from mandrelgen.paper.drawing.label_placement import Ground, place
from mandrelgen.paper.drawing.model import Arc, Drawn, Hatch, Line, LineStyle, Text
from mandrelgen.paper.drawing.text_block import Block, block
from mandrelgen.paper.drawing.text_width import width_of
from mandrelgen.paper.drawing.views import ROOT_GAP, TOUCH, bores, radius_at

# Circles nearer to each other than this on paper would print as one.
APART = 0.65
# An end view beside the others is not wider, mm.
LARGEST = 80.0
# Cylinders that serve nothing by themselves.
ASIDE = ("neck", "relief", "runin", "groove", "centre", "bore", "pilot")
# The section through the flats is not larger than the main view, nor than a large coin on paper.
SECTION_SCALES = (10.0, 5.0, 2.0, 1.0)
COIN = 60.0


@dataclass(frozen=True, slots=True)
class EndView:
    """A view along the axis, its centre at (0, 0); ``whole``: no circle of a feature that serves
    (a spigot, a seat, a thread's root) had to be left out at this scale."""

    block: Block
    whole: bool


@dataclass(frozen=True, slots=True)
class _Edge:
    """A circle that may be seen: its radius in mm, and how far back it stands where circles would
    run into one another: 0 a cylinder that serves, 1 another one, 2 a cone's end."""

    radius: float
    rank: int


def end_view(mandrel: Mandrel, f: float, from_nose: bool) -> EndView:
    """The mandrel seen along its axis, from the nose or from the rear. Of circles that would run
    into one another on paper, chamfers and run-outs are left out first, then what serves least."""
    outer = list(mandrel.outer)
    threads, plain = _seen_outside(list(reversed(outer)) if from_nose else outer, from_nose)
    more_threads, more_plain = _seen_inside(mandrel, from_nose)
    every = [*[(s, True) for s in threads], *[(s, False) for s in more_threads]]
    largest = max((e.radius for e in plain), default=0.0)
    kept = [largest * f, *[s.d0 / 2 * f for s, _ in every]]
    lost = False
    for e in sorted([*plain, *more_plain], key=lambda e: (e.rank, -e.radius)):
        if all(abs(e.radius * f - k) >= APART for k in kept):
            kept.append(e.radius * f)
        elif e.rank == 0 and all(abs(e.radius * f - k) > TOUCH for k in kept):
            lost = True
    clear = [r for i, r in enumerate(kept) if r > 0.0 and all(abs(r - k) > TOUCH for k in kept[:i])]
    drawn: list[Drawn] = [Arc((0.0, 0.0), r, LineStyle.OUTLINE) for r in clear]
    for s, external in every:
        root = _root(s, external, f, kept)
        lost = lost or root is None
        drawn += [] if root is None else [_three_quarters(root)]
    r = max(max(s.d0, s.d1) for s in outer) / 2 * f + 4
    drawn.append(Line(((-r, 0.0), (r, 0.0)), LineStyle.CENTRE))
    drawn.append(Line(((0.0, -r), (0.0, r)), LineStyle.CENTRE))
    return EndView(block(drawn), not lost)


def enlarged(mandrel: Mandrel, f: float, from_nose: bool) -> tuple[Block, float] | None:
    """The view at the next standard scale above ``f`` at which it is whole, with that scale; None
    if it would be larger than a view beside others may be."""
    for larger in sorted(s for s in SECTION_SCALES if s > f):
        view = end_view(mandrel, larger, from_nose)
        if view.whole:
            return (view.block, larger) if view.block.width <= LARGEST else None
    return None


def _root(s: Stretch, external: bool, f: float, kept: list[float]) -> float | None:
    """The radius of a thread's root on paper, clear of its crest and of other circles; between the
    two where the next circle lies on it; None if there is no room: a visible outline goes before
    a narrow line (ISO 128-2)."""
    assert s.thread is not None
    crest, true = s.d0 / 2 * f, s.thread.root_diameter / 2 * f
    root = min(true, crest - ROOT_GAP) if external else max(true, crest + ROOT_GAP)
    if all(abs(root - k) >= APART for k in kept):
        return root
    beside = [k for k in kept if (k < crest - TOUCH if external else k > crest + TOUCH)]
    middle = (crest + (max(beside) if external else min(beside))) / 2
    return middle if all(abs(middle - k) >= APART for k in kept) else None


def _rank(s: Stretch) -> int:
    if abs(s.d1 - s.d0) > TOUCH:
        return 2
    return 1 if any(name in s.feature for name in ASIDE) else 0


def _seen_outside(order: list[Stretch], from_nose: bool) -> tuple[list[Stretch], list[_Edge]]:
    """Threads and edges seen outside, nearest first. ISO 6410-1: the circle of a chamfer in front
    of a thread is left out."""
    threads: list[Stretch] = []
    plain: list[_Edge] = []
    reached = 0.0
    for s in order:
        near, far = (s.d1, s.d0) if from_nose else (s.d0, s.d1)
        if s.thread is not None and s.d0 / 2 > reached - TOUCH:
            reached = s.d0 / 2
            plain = [e for e in plain if abs(e.radius - reached) > TOUCH]
            threads.append(s)
            continue
        for d in (near, far):
            if d / 2 > reached + TOUCH:
                reached = d / 2
                if not _before_thread(order, s, d):
                    plain.append(_Edge(reached, _rank(s)))
            elif abs(d / 2 - reached) <= TOUCH and plain and plain[-1].radius >= reached - TOUCH:
                # A chamfer's wide end is the cylinder behind it.
                plain[-1] = _Edge(reached, min(plain[-1].rank, _rank(s)))
    return threads, plain


def _seen_inside(mandrel: Mandrel, from_nose: bool) -> tuple[list[Stretch], list[_Edge]]:
    """The same of the bores that open at the end looked at."""
    end = mandrel.outer[-1].z1 if from_nose else mandrel.outer[0].z0
    threads: list[Stretch] = []
    plain: list[_Edge] = []
    for row in bores(mandrel):
        z = row[-1].z1 if from_nose else row[0].z0
        if abs(z - end) > TOUCH:
            continue
        seen = math.inf
        for s in reversed(row) if from_nose else row:
            near, far = (s.d1, s.d0) if from_nose else (s.d0, s.d1)
            if s.thread is not None and s.d0 / 2 < seen + TOUCH:
                seen = s.d0 / 2
                plain = [e for e in plain if abs(e.radius - seen) > TOUCH]
                threads.append(s)
                continue
            for d in (near, far):
                if TOUCH < d / 2 < seen - TOUCH:
                    seen = d / 2
                    plain.append(_Edge(seen, _rank(s)))
                elif abs(d / 2 - seen) <= TOUCH and plain:
                    plain[-1] = _Edge(seen, min(plain[-1].rank, _rank(s)))
    return threads, plain


def _before_thread(order: list[Stretch], s: Stretch, d: float) -> bool:
    i = order.index(s)
    if abs(s.d1 - s.d0) < TOUCH or i + 1 >= len(order):
        return False
    return order[i + 1].thread is not None and d < max(s.d0, s.d1) - TOUCH


def _three_quarters(radius: float) -> Arc:
    """The root of a thread seen from its end: open in the upper right quadrant, its ends a little
    off the centre lines."""
    return Arc(centre=(0.0, 0.0), radius=radius, pen=LineStyle.THREAD, start=95.0, end=355.0)


def cut_at(mandrel: Mandrel, flats: Flats, f: float) -> float:
    """Where the flats are cut: clear of every station's extension line by half the letter's width
    at the main view's scale ``f``."""
    spots = [
        flats.z0 + t * (flats.z1 - flats.z0)
        for t in (0.68, 0.32, 0.74, 0.26, 0.6, 0.4, 0.82, 0.18, 0.5)
    ]

    def clear(z: float) -> float:
        apart = min((abs(z - s) for s in mandrel.stations.values()), default=math.inf)
        return min(apart * f, 2.6)

    return max(spots, key=clear)


def flats_section(
    mandrel: Mandrel,
    across: tuple[Characteristic, ...],
    f: float,
    numbers: dict[str, int],
    scaled: bool = False,
) -> Block | None:
    """Section B–B through the spanner flats with the size across them; ``scaled``: its title says
    the scale even if it is the main view's."""
    flats = mandrel.flats
    if flats is None or not across:
        return None
    z = cut_at(mandrel, flats, f)
    main, width = f, radius_at(mandrel, z)
    f = next((s for s in SECTION_SCALES if s <= main and 2 * width * s <= COIN), main)
    r, a = width * f, flats.across / 2 * f
    holes = [s.d0 / 2 * f for s in mandrel.inner if s.z0 <= z <= s.z1]
    drawn = _flatted(r, a, holes)
    e = r + 3
    drawn += [
        Line(((-e, 0.0), (e, 0.0)), LineStyle.CENTRE),
        Line(((0.0, -e), (0.0, e)), LineStyle.CENTRE),
    ]
    h = math.sqrt(max(r * r - a * a, 0.0))
    ground = Ground(solids=[(-r, -r, r, r)])
    wishes = []
    for c in across:
        label = label_of(c, numbers)
        if c.kind is Kind.DIAMETER:
            levels = [r + 6 + PITCH * k for k in range(4)]
            # Beside the section: on the centre line it would seem a part of it.
            wishes.append(vertical(label, [0.0], r, levels, f, shifts=(r + 6.0,)))
        else:
            rows = [-r - 6 - PITCH * k for k in range(6)]
            wishes.append(horizontal(label, (-a, -h), (a, -h), rows, f))
    placed = place(ground, wishes, attempts=1)
    for chosen in placed.chosen:
        drawn += chosen.build()
    high = max([e, *[b[3] for c in placed.chosen for b in c.boxes]])
    title = "B–B" if f == main and not scaled else f"B–B ({f:g}:1)"
    drawn.append(Text((-width_of(title, 5.0) / 2, high + 4), title, 5.0))
    return block(drawn, placed.failed)


def _flatted(r: float, a: float, holes: list[float]) -> list[Drawn]:
    """A round of radius ``r`` with flats ``a`` from its middle, cut, with round ``holes`` (radii);
    all in mm on paper."""
    half = math.degrees(math.acos(min(1.0, a / r)))
    h = math.sqrt(max(r * r - a * a, 0.0))
    arc = [
        (r * math.cos(math.radians(t)), r * math.sin(math.radians(t)))
        for t in [half + i * (180 - 2 * half) / 24 for i in range(25)]
    ]
    loops: list[tuple[tuple[float, float], ...]] = [(*arc, *[(-x, -y) for x, y in arc])]
    for hole in holes:
        turns = [t * math.pi / 24 for t in range(48)]
        loops.append(tuple((hole * math.cos(t), hole * math.sin(t)) for t in turns))
    return [
        Hatch(tuple(loops), 2.5),
        Arc(centre=(0.0, 0.0), radius=r, pen=LineStyle.OUTLINE, start=half, end=180 - half),
        Arc(centre=(0.0, 0.0), radius=r, pen=LineStyle.OUTLINE, start=180 + half, end=360 - half),
        Line(((a, -h), (a, h)), LineStyle.OUTLINE),
        Line(((-a, -h), (-a, h)), LineStyle.OUTLINE),
        *[Arc((0.0, 0.0), hole, LineStyle.OUTLINE) for hole in holes],
    ]
