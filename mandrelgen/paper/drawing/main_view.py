"""The main view with its dimensions, tolerance frames, callouts and marks, as one block."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import partial

from mandrelgen.core.tolerance import text_of
from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.feature import Feature
from mandrelgen.model.half_section import Profile
from mandrelgen.model.mandrel import Mandrel, Stretch
from mandrelgen.paper.drawing.angles import angle_wish
from mandrelgen.paper.drawing.callouts import (
    frame_wish,
    hole_wishes,
    roughness_wish,
    texture_of,
    tips_of,
)
from mandrelgen.paper.drawing.dimension_assignment import Allotment
from mandrelgen.paper.drawing.dimension_labels import dimension_label, label_of
from mandrelgen.paper.drawing.dimensions import PITCH, Label, Tip, horizontal, vertical
from mandrelgen.paper.drawing.label_ground import Candidate, Ground, Ways
from mandrelgen.paper.drawing.label_placement import Annotation, place
from mandrelgen.paper.drawing.marks import (
    arrow_boxes,
    datum_mark,
    datum_stretch,
    datum_x,
    detail_circles,
    kept_clear,
    section_marks,
)
from mandrelgen.paper.drawing.model import Arc, Drawn
from mandrelgen.paper.drawing.text_block import Block, block
from mandrelgen.paper.drawing.text_width import clean
from mandrelgen.paper.drawing.thread_view import thread_callout
from mandrelgen.paper.drawing.views import TOUCH, cut_zones, main_view, radius_at

LEVELS = 13
SHORT = 2.0
# What a text costs that stands towards the middle of the view.
INWARDS = 1.3
# What a cut leaves of a stretch holds a dimension from this length on, mm on paper.
ROOM = 5.0
# Short stretches between callouts whose diameter may be written below the view.
CROSSED = frozenset({"neck", "collar"})


def main_block(
    mandrel: Mandrel,
    profile: Profile,
    parts: Allotment,
    f: float,
    numbers: dict[str, int],
    reach: tuple[float, float] = (math.inf, math.inf),
) -> Block:
    """The main view at ``f``; its origin (0, 0) is z = 0 on the axis. Where it can, it reaches no
    more than ``reach`` mm on paper beyond the part's rear and nose."""
    drawn = main_view(mandrel, profile, f)
    ground = Ground()
    for s in mandrel.outer:
        half = max(s.d0, s.d1) / 2 * f
        ground.solids.append((s.z0 * f, -half, s.z1 * f, half))
    top = max(max(s.d0, s.d1) for s in mandrel.outer) / 2 * f
    drawn += section_marks(mandrel, parts, f, ground)
    drawn += datum_mark(mandrel, parts, f, ground)
    z0, z1 = mandrel.outer[0].z0 * f, mandrel.outer[-1].z1 * f
    ground.lines += [(z0 - 4, 0.0, z0, 0.0), (z1, 0.0, z1 + 4, 0.0)]
    circles, letters = detail_circles(mandrel, parts, f, ground)
    drawn += circles
    keep = partial(_keeping, z0 - reach[0], z1 + reach[1])
    above = keep(_above(mandrel, parts, f, numbers, top, circles))
    below = keep(_below(mandrel, parts, f, numbers, -top))
    overall = keep(_overall(mandrel, parts, f, -top - 9))
    # What is written below the view leaves the lengths' extension lines free.
    up = place(_reserving(ground, (*overall, *below)), above)
    for c in up.chosen:
        ground.take(c)
        drawn += c.build()
    down = place(_reserving(ground, overall), below)
    for c in down.chosen:
        ground.take(c)
        drawn += c.build()
    failed = [*up.failed, *down.failed]
    low = min([-top - 9 + PITCH, *[c.lines[0][1] for c in down.chosen]])
    last = place(ground, keep(_overall(mandrel, parts, f, low - PITCH)))
    for c in last.chosen:
        ground.take(c)
        drawn += c.build()
    letters = keep(kept_clear(letters, ground))
    free = ground.copy()
    free.boxes += arrow_boxes(drawn)
    lettered = place(free, letters)
    if lettered.failed:
        lettered = place(ground, letters)
    for c in lettered.chosen:
        drawn += c.build()
    return block(drawn, [*failed, *last.failed, *lettered.failed])


def _keeping(left: float, right: float, wishes: list[Annotation]) -> list[Annotation]:
    """``wishes`` with those of their candidates that stay between ``left`` and ``right``; one that
    has none keeps all."""
    if math.isinf(left):
        return wishes

    def inside(c: Candidate) -> bool:
        parts = (*c.boxes, *c.lines)
        return all(left <= min(p[0], p[2]) and max(p[0], p[2]) <= right for p in parts)

    kept = [[c for c in w.candidates if inside(c)] for w in wishes]
    return [
        replace(w, candidates=Ways.of(k)) if k else w for w, k in zip(wishes, kept, strict=True)
    ]


def _reserving(ground: Ground, wishes: Sequence[Annotation]) -> Ground:
    """``ground`` with the paths of ``wishes`` taken as well."""
    out = ground.copy()
    out.lines += [p for wish in wishes for p in wish.paths]
    return out


def _below(
    mandrel: Mandrel, parts: Allotment, f: float, numbers: dict[str, int], bottom: float
) -> list[Annotation]:
    rows = [bottom - 9 - PITCH * k for k in range(LEVELS)]
    out = []
    for c in parts.lengths:
        assert c.between is not None
        a, b = sorted(mandrel.stations[n] for n in c.between)
        label = dimension_label(mandrel, c, numbers)
        p, q = (a * f, -_start(mandrel, a) * f), (b * f, -_start(mandrel, b) * f)
        wish = horizontal(label, p, q, rows, f, rank=(b - a) * f)
        # A chamfer's text stands outwards of the part's end, where it is in nobody's way.
        at_end = min(a - mandrel.outer[0].z0, mandrel.outer[-1].z1 - b) < TOUCH
        out.append(replace(wish, second=-1.0) if at_end and b - a < SHORT else wish)
    return out


def _overall(mandrel: Mandrel, parts: Allotment, f: float, y: float) -> list[Annotation]:
    """The overall length, outermost. It is auxiliary: in brackets, without tolerance, and no
    characteristic; left out where a characteristic says the same."""
    z0, z1 = mandrel.outer[0].z0, mandrel.outer[-1].z1
    if not parts.lengths or any(abs(c.nominal - (z1 - z0)) < 1e-6 for c in parts.lengths):
        return []
    label = Label(id="", number=0, before="(", value=text_of(z1 - z0), after=")")
    p, q = (z0 * f, -_start(mandrel, z0) * f), (z1 * f, -_start(mandrel, z1) * f)
    return [horizontal(label, p, q, [y - PITCH * k for k in range(4)], f)]


def _start(mandrel: Mandrel, z: float) -> float:
    """Radius where the extension line at ``z`` leaves the part."""
    outer = [z2 for s in mandrel.outer for z2 in (s.z0, s.z1)]
    if any(abs(z - e) < TOUCH for e in outer):
        return radius_at(mandrel, z)
    inner = [
        max(s.d0, s.d1) / 2 for s in mandrel.inner if min(abs(z - s.z0), abs(z - s.z1)) < TOUCH
    ]
    return max(inner) if inner else radius_at(mandrel, z)


def _above(
    mandrel: Mandrel,
    parts: Allotment,
    f: float,
    numbers: dict[str, int],
    top: float,
    circles: list[Drawn],
) -> list[Annotation]:
    levels = [top + 7 + 8.0 * k for k in range(LEVELS)]
    out: list[Annotation] = []
    for c, s in parts.diameters:
        xs = _spots(mandrel, s, c, f, parts)
        half = c.nominal / 2 * f
        # Below the view only where there is no room above.
        rows = [*levels, *[-y for y in levels[:6]]] if c.feature in CROSSED else levels
        out.append(vertical(dimension_label(mandrel, c, numbers), xs, half, rows, f))
    for thread in mandrel.threads:
        out += _designation(mandrel, thread.feature, thread_callout(thread), parts, f, levels)
    riders = {c.feature: texture_of(mandrel, c) for c in parts.roughness}
    ridden = set()
    for c in parts.frames:
        rider = riders.get(c.feature) if c.feature not in ridden else None
        ridden.add(c.feature)
        out.append(frame_wish(c, _tips(mandrel, c, f, circles), numbers, levels, rider))
    for c in parts.roughness:
        if c.feature not in ridden or riders[c.feature].need is not c:
            tips = _tips(mandrel, c, f, circles)
            out.append(roughness_wish(texture_of(mandrel, c), tips, numbers, levels))
    for c, s in parts.angles:
        out.append(angle_wish(c, label_of(c, numbers), s, (0.0, 0.0, f, 1.0), levels))
    out += hole_wishes(mandrel, parts, f, numbers, levels)
    return _from_the_ends(out)


def _tips(mandrel: Mandrel, c: Characteristic, f: float, circles: list[Drawn]) -> list[Tip]:
    """Where a leader may end: not on a detail's circle, which it would seem to mean."""
    every = tips_of(mandrel, c, f)
    rings = [d for d in circles if isinstance(d, Arc)]
    clear = [
        t for t in every if all(abs(math.dist(t.at, r.centre) - r.radius) > 1.5 for r in rings)
    ]
    return clear or every


def _from_the_ends(wishes: list[Annotation]) -> list[Annotation]:
    """Ranked so that the outermost are placed first, nearest to the part, their texts outwards: the
    next ones rise past them, and a staircase of texts has room on both sides."""
    ordered = sorted(wishes, key=lambda w: w.candidates[0].lines[0][0])
    last = len(ordered) - 1
    out = []
    for i, w in enumerate(ordered):
        outwards = -1.0 if 2 * i < last else 1.0
        ways = w.candidates.dearer(partial(_inwards, outwards))
        out.append(replace(w, candidates=ways, rank=float(min(i, last - i))))
    return out


def _inwards(outwards: float, c: Candidate) -> float:
    """What more a text costs that stands beside its leader's foot on the side of the view's middle;
    ``outwards``: -1 where the other side is to the left."""
    beside = outwards * (c.boxes[0][0] + c.boxes[0][2] - 2 * c.lines[0][0])
    return 0.0 if beside > 0 else INWARDS


def _spots(
    mandrel: Mandrel, s: Stretch, c: Characteristic, f: float, parts: Allotment
) -> list[float]:
    """Where in its stretch a diameter may stand: the datum's in line with its triangle, others
    clear of the view's edges where they can be."""
    if abs(s.d1 - s.d0) > TOUCH:
        return [(s.z0 if abs(s.d0 - c.nominal) < 1e-4 else s.z1) * f]
    datum = datum_stretch(parts)
    if datum is not None and datum[0] is c:
        return [datum_x(s, f)]
    xs = [(s.z0 + t * (s.z1 - s.z0)) * f for t in (0.5, 0.38, 0.62, 0.25, 0.75, 0.12, 0.88)]
    edges = [z * f for e in [*mandrel.outer, *mandrel.inner] for z in (e.z0, e.z1)]
    # Outside sizes stand clear of what is cut open, where they would read as a bore's.
    cut = cut_zones(mandrel, f) if s in mandrel.outer else []
    xs = [*_uncut(s, cut, f), *xs]

    def bad(x: float) -> tuple[bool, bool]:
        return any(a * f <= x <= b * f for a, b in cut), any(abs(x - e) <= 1.2 for e in edges)

    return sorted(xs, key=bad)


def _uncut(s: Stretch, cut: list[tuple[float, float]], f: float) -> list[float]:
    """The middle of what a cut leaves of a stretch at either end, where a dimension has room."""
    out = []
    for a, b in cut:
        for left, right in ((s.z0, min(a, s.z1)), (max(b, s.z0), s.z1)):
            if (s.z0 < left or right < s.z1) and (right - left) * f >= ROOM:
                out.append((left + right) / 2 * f)
    return out


def _designation(
    mandrel: Mandrel, feature: Feature, text: str, parts: Allotment, f: float, levels: list[float]
) -> list[Annotation]:
    """The thread's name on its major diameter."""
    row = next(
        (
            s
            for s in [*mandrel.outer, *mandrel.inner]
            if s.thread is not None and s.feature == feature
        ),
        None,
    )
    if row is None:
        return []
    major = [
        c
        for c in parts.threads
        if c.kind is Kind.THREAD_MAJOR
        and (c.feature == feature or (c.end is feature.end and c.subject is feature.kind))
    ]
    size = major[0].nominal if major else row.d0
    label = Label(
        id=major[0].id if major else "",
        number=0,
        before="",
        value="",
        after="",
        override=clean(text),
    )
    xs = [(row.z0 + t * (row.z1 - row.z0)) * f for t in (0.5, 0.3, 0.7, 0.15, 0.85)]
    return [vertical(label, xs, size / 2 * f, levels, f, rank=-1.0)]
