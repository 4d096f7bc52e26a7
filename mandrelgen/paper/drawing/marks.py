"""Marks on the main view: datum, detail circles, cutting plane."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace
from functools import cache

from mandrelgen.model.characteristic import Characteristic
from mandrelgen.model.mandrel import Flats, Mandrel, Stretch
from mandrelgen.paper.drawing.details import centre_of
from mandrelgen.paper.drawing.dimension_assignment import Allotment
from mandrelgen.paper.drawing.flats_section import cut_at
from mandrelgen.paper.drawing.hatching import left_free
from mandrelgen.paper.drawing.label_ground import Candidate, Ground, Ways
from mandrelgen.paper.drawing.label_placement import Annotation
from mandrelgen.paper.drawing.model import (
    Arc,
    Dimension,
    Drawn,
    Fill,
    Hatch,
    Line,
    LineStyle,
    Mark,
    Point,
    Text,
)
from mandrelgen.paper.drawing.packing import grown
from mandrelgen.paper.drawing.segments import PARALLEL, Box, Segment, meets, runs_along
from mandrelgen.paper.drawing.symbols import H, arrow, datum_feature
from mandrelgen.paper.drawing.text_width import width_of
from mandrelgen.paper.drawing.views import cut_zones, radius_at

LETTER = 5.0
# Kept between a section's letter and the lines on either side, mm.
LETTER_CLEAR = 1.0
# Its own box is so much larger than it is, mm: it has no line of its own that keeps others away.
AIR = 0.3
# Where a detail's letter may stand: mm off its circle, degrees round it.
AWAY = (0.8, 5.0, 10.0, 16.0, 24.0, 33.0)
AROUND = (45, 135, 60, 120, 30, 150, 90, 75, 105, 15, 165, -45, -135, -30, -150)
# A letter this near a text on its line would read as a part of it, mm.
WORDS = 5.0
# Hatching ends so far from an arrow head, mm.
HEAD_CLEAR = 0.6


def datum_stretch(parts: Allotment) -> tuple[Characteristic, Stretch] | None:
    """The diameter whose axis is the datum: the shank's, else the first shown."""
    if not any(ch.isalpha() for c in parts.frames for ch in c.datum):
        return None
    first = parts.diameters[0] if parts.diameters else None
    return next((p for p in parts.diameters if p[0].id == "shank.diameter"), first)


def datum_x(s: Stretch, f: float) -> float:
    return (s.z0 + 0.4 * (s.z1 - s.z0)) * f


def datum_mark(mandrel: Mandrel, parts: Allotment, f: float, ground: Ground) -> list[Drawn]:
    """Datum A on the axis of the shank: the triangle stands in line with the dimension."""
    letters = sorted({ch for c in parts.frames for ch in c.datum if ch.isalpha()})
    shank = datum_stretch(parts)
    if shank is None:
        return []
    _, s = shank
    x = datum_x(s, f)
    items, far = datum_feature(letters[0], (x, -s.d0 / 2 * f), down=True, stem=6.0)
    ground.boxes.append((x - H, far, x + H, -s.d0 / 2 * f - 1.0))
    return [Mark("datum", "", items)]


def detail_circles(
    mandrel: Mandrel, parts: Allotment, f: float, ground: Ground
) -> tuple[list[Drawn], list[Annotation]]:
    """A circle round what is shown enlarged, and its letter, which takes what room is left."""
    drawn: list[Drawn] = []
    letters: list[Annotation] = []
    shown = [(w, cs) for w, cs in parts.details if cs]
    rings: list[tuple[str, Point, float, bool]] = []
    for letter, (window, _) in zip("XYZWVU", shown, strict=False):
        z, r = centre_of(mandrel, window)
        y = (r if window.external else -r) * f
        radius = (window.z1 - window.z0) / 2 * f
        drawn.append(Arc((z * f, y), radius, LineStyle.NARROW))
        ring = [
            (z * f + radius * math.cos(math.tau * i / 16), y + radius * math.sin(math.tau * i / 16))
            for i in range(17)
        ]
        ground.lines += [(*a, *b) for a, b in itertools.pairwise(ring)]
        rings.append((letter, (z * f, y), radius, window.external))
    for one in rings:
        others = [(at, r) for name, at, r, _ in rings if name != one[0]]
        letters.append(_letter(*one, others))
    return drawn, letters


def _letter(
    letter: str, centre: Point, radius: float, up: bool, others: list[tuple[Point, float]]
) -> Annotation:
    """A letter beside its circle, on a short line if it stands off; not beside one of ``others``
    (centre, radius)."""
    w = width_of(letter, LETTER)
    out = []
    sign = 1.0 if up else -1.0
    for i, away in enumerate(AWAY):
        for j, angle in enumerate(AROUND):
            c, s = math.cos(math.radians(sign * angle)), math.sin(math.radians(sign * angle))
            foot = (centre[0] + radius * c, centre[1] + radius * s)
            tip = (centre[0] + (radius + away) * c, centre[1] + (radius + away) * s)
            # Clear of the line's end on the side it comes from.
            k = 1.0 / max(abs(c), abs(s))
            mid = (tip[0] + k * c * (w / 2 + 0.6), tip[1] + k * s * (LETTER / 2 + 0.6))
            at = (mid[0] - w / 2, mid[1] - LETTER / 2)
            line = ((*foot, *tip),) if away > 1 else ()

            def build(
                at: Point = at, foot: Point = foot, tip: Point = tip, off: bool = away > 1
            ) -> tuple[Drawn, ...]:
                text = Text(at, letter, LETTER)
                return (Line((foot, tip), LineStyle.NARROW), text) if off else (text,)

            strange = any(math.dist(mid, at) < r + LETTER for at, r in others)
            cost = 2.0 * i + 0.1 * j + 4.0 * strange
            # Two letters side by side would read as one word; in a crowd that is the lesser evil.
            for pad, more in ((2.1, 0.0), (AIR, 12.0)):
                box = (at[0] - pad, at[1] - AIR, at[0] + w + pad, at[1] + LETTER + AIR)
                out.append(Candidate((box,), line, cost + more, build))
    return Annotation(f"detail {letter}", Ways.of(out))


def kept_clear(letters: list[Annotation], ground: Ground) -> list[Annotation]:
    """``letters`` such that they do not read on from a text on their line, and their short lines
    neither run along another line nor across the part; where they cannot, the lesser evil."""

    def cost(c: Candidate) -> float:
        b = c.boxes[0]
        beside = any(
            t[1] < b[3] and b[1] < t[3] and max(t[0] - b[2], b[0] - t[2]) < WORDS
            for t in ground.boxes
        )
        over = any(meets(s, solid, 0.0) for s in c.lines for solid in ground.solids)
        return 8.0 * (beside + any(along(s) for s in c.lines)) + 3.0 * over

    @cache
    def along(s: Segment) -> bool:
        x0, x1 = min(s[0], s[2]) - PARALLEL, max(s[0], s[2]) + PARALLEL
        y0, y1 = min(s[1], s[3]) - PARALLEL, max(s[1], s[3]) + PARALLEL
        for t in ground.lines:
            tx0, ty0, tx1, ty1 = t
            # Most lines lie far off.
            if (tx0 < x0 and tx1 < x0) or (tx0 > x1 and tx1 > x1):
                continue
            if (ty0 < y0 and ty1 < y0) or (ty0 > y1 and ty1 > y1):
                continue
            if runs_along(s, t):
                return True
        return False

    return [replace(w, candidates=w.candidates.dearer(cost)) for w in letters]


def arrow_boxes(drawn: Sequence[Drawn]) -> list[Box]:
    """The boxes of all arrow heads."""
    items = [i for d in drawn for i in (d.items if isinstance(d, Dimension | Mark) else (d,))]
    heads = [i.points for i in items if isinstance(i, Fill)]
    return [
        (min(p[0] for p in h), min(p[1] for p in h), max(p[0] for p in h), max(p[1] for p in h))
        for h in heads
    ]


def hatching_off_heads(drawn: Sequence[Drawn]) -> list[Drawn]:
    """``drawn`` with its hatching broken off round the arrow heads that stand in it."""
    heads = [grown(b, HEAD_CLEAR) for b in arrow_boxes(drawn)]
    return [
        replace(d, loops=left_free(d.loops, heads)) if isinstance(d, Hatch) else d for d in drawn
    ]


def section_marks(mandrel: Mandrel, parts: Allotment, f: float, ground: Ground) -> list[Drawn]:
    """The cutting plane through the flats, with arrows and letters; the flats themselves where
    the view cuts them away."""
    flats = mandrel.flats
    if flats is None or not parts.across:
        return []
    z = cut_at(mandrel, flats, f)
    x, r = z * f, radius_at(mandrel, z) * f
    drawn = _in_front(mandrel, flats, f)
    # Between the extension lines of short flats a letter as high as the sizes still stands clear.
    between = (flats.z1 - flats.z0) * f
    high = LETTER if width_of("B", LETTER) + 2 * LETTER_CLEAR <= between else H
    for sign in (1, -1):
        a, b = sign * (r + 1.0), sign * (r + 5.5)
        drawn.append(Line(((x, a), (x, b)), LineStyle.OUTLINE))
        drawn.append(Line(((x - 5, b), (x, b)), LineStyle.DIM))
        drawn.append(arrow((x, b), 0))
        w = width_of("B", high)
        low = b + 1.5 if sign > 0 else b - 1.5 - high
        drawn.append(Text((x - w / 2, low), "B", high))
        ground.boxes.append((x - w / 2, min(low, a), x + w / 2, max(low + high, a)))
        ground.lines.append((x - 5, b, x, b))
    return drawn


def _in_front(mandrel: Mandrel, flats: Flats, f: float) -> list[Drawn]:
    """The outline of flats that a section has cut away: what lies in front of the cutting plane is
    drawn in long-dashed double-dotted narrow lines (ISO 128-2, line 05.1)."""
    middle = (flats.z0 + flats.z1) / 2
    if not any(a <= middle <= b for a, b in cut_zones(mandrel, f)):
        return []
    half = math.sqrt(max(radius_at(mandrel, middle) ** 2 - flats.across**2 / 4, 0.0)) * f
    a, b = flats.z0 * f, flats.z1 * f
    return [
        Line(((a, -half), (b, -half), (b, half), (a, half)), LineStyle.PHANTOM_SMALL, closed=True)
    ]
