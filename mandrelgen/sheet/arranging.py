"""Views put in place on the paper: the main row at its top, everything else round it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from mandrelgen.sheet.block import Block, block, extent
from mandrelgen.sheet.contents import Views
from mandrelgen.sheet.frame import Paper
from mandrelgen.sheet.model import Dimension, Drawn, Line, Point, Text
from mandrelgen.sheet.packing import (
    GAP,
    INSET,
    NARROW_GAP,
    Homes,
    centring,
    grown,
    outermost,
    packed,
)
from mandrelgen.sheet.placing import Box, overlap
from mandrelgen.sheet.symbols import SMALL

NOSE, REAR = "View from the nose", "View from the rear"
# Where the main row may stand across the paper, in order of preference.
SIDES = (0.5, 0.0, 1.0)


@dataclass(frozen=True, slots=True)
class Row:
    """The main view, what stands left and right of it in one row, and the end views that find no
    room there, named."""

    main: Block
    left: Block | None
    right: Block | None
    apart: tuple[Block, ...]

    @property
    def blocks(self) -> tuple[Block, ...]:
        """The row, left to right."""
        return tuple(b for b in (self.left, self.main, self.right) if b is not None)

    @property
    def width(self) -> float:
        """Width with the gaps between, mm."""
        return sum(b.width for b in self.blocks) + 2 * GAP * (len(self.blocks) - 1)


def room(paper: Paper) -> float:
    """Width for views inside the frame, mm."""
    return paper.frame[2] - paper.frame[0] - 2 * INSET


def named(b: Block, text: str) -> Block:
    """``b`` with its name over it."""
    return block([*b.drawn, Text((0.0, b.box[3] + 2.0), text, SMALL, "middle")])


def row_of(views: Views, main: Block, paper: Paper) -> Row:
    """The main row; where it is too long for the paper, its end views stand elsewhere, named."""
    # First angle: what is seen from the nose (right) stands on the left.
    left, right = (views.rear, views.nose) if views.third else (views.nose, views.rear)
    row = Row(main, left, right, ())
    if row.width <= room(paper):
        return row
    ends = [(views.nose, NOSE)] + ([(views.rear, REAR)] if views.rear is not None else [])
    return Row(main, None, None, tuple(named(b, text) for b, text in ends))


def placed_row(row: Row, paper: Paper, side: float) -> tuple[Point, list[Drawn]]:
    """The row on a common axis at the top of the paper, and where the main view's origin is then;
    ``side``: 0 at the left of the paper, 1 at its right."""
    x0, _, x1, y1 = paper.frame
    axis = y1 - INSET - 4 - max(b.box[3] for b in row.blocks)
    x = x0 + INSET + (x1 - x0 - row.width - 2 * INSET) * side
    origin = (0.0, 0.0)
    drawn: list[Drawn] = []
    for b in row.blocks:
        dx = x - b.box[0]
        if b is row.main:
            origin = (dx, axis)
        drawn += b.shifted(dx, axis)
        x += b.width + 2 * GAP
    return origin, drawn


@dataclass(frozen=True, slots=True)
class Arranged:
    """The main row and everything beside it, in place; ``clash`` names what found none."""

    origin: Point
    main: list[Drawn]
    small: list[Drawn]
    clash: list[str]


def arranged(views: Views, row: Row, paper: Paper, taken: list[Box]) -> Arranged:
    """The main row in the middle of the paper, at its left or its right, and the rest round it, so
    that the details are as large as one of the three allows; among equals with the picture of use
    at full size, if it finds a place."""
    rows = []
    for side in SIDES:
        crowded = ["main view"] if row.width > room(paper) else []
        origin, main = placed_row(row, paper, side)
        if any(overlap(extent([d]), box) for d in main for box in taken):
            crowded.append("main view")  # it reaches down into the title block or the notes
        boxes = [*taken, *[grown(extent([d]), 3.0) for d in main], *centring(paper)]
        rows.append((origin, main, Homes(paper, outermost(boxes)), crowded))
    section = [] if views.section is None else [views.section]
    for details, gap in [(d, GAP) for d in views.details] + [(views.details[-1], NARROW_GAP)]:
        reading = [*details, *section, *views.threads, *row.apart]
        failed = [n for b in reading for n in b.failed]
        for extra, needed in ((views.full_pictures, True), (views.pictures, False)):
            if needed and not extra:
                continue
            for origin, main, homes, crowded in rows:
                small = small_views(reading, extra, needed, homes, origin[1] - INSET, gap)
                if small is not None:
                    return Arranged(origin, main, small, [*crowded, *failed])
    origin, main, _, crowded = rows[0]
    corner = (paper.frame[0] + INSET, paper.frame[1] + INSET)
    drawn = [d for b in reading for d in b.at(*corner)]
    return Arranged(origin, main, drawn, [*crowded, *["view"] * len(reading)])


def small_views(
    reading: list[Block],
    extra: Sequence[Block],
    needed: bool,
    homes: Homes,
    below: float,
    gap: float,
) -> list[Drawn] | None:
    """Everything beside the main row: in reading order under it (``below``), else anywhere in
    several orders; None if it finds no place. ``needed``: one of ``extra`` must find one too."""
    if not homes.for_each(reading, gap):
        return None
    y1 = homes.paper.frame[3]
    for order, top in (
        (reading, below),
        (sorted(reading, key=lambda b: -b.height), y1),
        (sorted(reading, key=lambda b: -b.width), y1),
        (sorted(reading, key=lambda b: -b.width * b.height), y1),
        (reading[::-1], y1),
    ):
        small = packed(order, extra, homes.paper, homes.taken, top, gap, needed)
        if small is not None:
            return small
    return None


def field_of(main: Block, f: float) -> Box:
    """The main view's field: the part and its dimension lines at ``f``, in the block's own mm."""
    points = [
        p
        for d in main.drawn
        if isinstance(d, Dimension) and abs(d.per_mm - f) < 1e-9
        for i in d.items
        if isinstance(i, Line)
        for p in i.points
    ]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return (min(xs), min(ys), max(xs), max(ys))
