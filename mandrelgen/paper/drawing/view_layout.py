"""Views put in place on the paper: the main row at its top, everything else round it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from mandrelgen.paper.drawing.frame import Paper
from mandrelgen.paper.drawing.label_placement import Box, overlap
from mandrelgen.paper.drawing.model import Dimension, Drawn, Line, LineStyle, Point
from mandrelgen.paper.drawing.packing import (
    GAP,
    INSET,
    NARROW_GAP,
    Homes,
    centring,
    grown,
    orders,
    outermost,
    packed,
)
from mandrelgen.paper.drawing.text_block import Block, extent
from mandrelgen.paper.drawing.view_set import AxialView, Views

# Where the main row may stand across the paper, in order of preference.
SIDES = (0.5, 0.0, 1.0)
# So many more orders are tried for what is wished for but not needed.
ORDERS = 40


@dataclass(frozen=True, slots=True)
class ViewRow:
    """The main view with the end views beside it, left to right, and those that stand elsewhere,
    named."""

    main: Block
    blocks: tuple[Block, ...]
    apart: tuple[Block, ...]

    @property
    def width(self) -> float:
        """Width with the gaps between, mm."""
        return sum(b.width for b in self.blocks) + 2 * GAP * (len(self.blocks) - 1)


def room(paper: Paper) -> float:
    """Width for views inside the frame, mm."""
    return paper.frame[2] - paper.frame[0] - 2 * INSET


def row_of(views: Views, main: Block, paper: Paper, large: bool = False) -> ViewRow:
    """The main row; where it is too long for the paper, its end views stand elsewhere, named, and
    so do those that are shown larger (``large``)."""
    # First angle: what is seen from the nose (right) stands on the left.
    left, right = (views.rear, views.nose) if views.third else (views.nose, views.rear)

    def beside(end: AxialView | None) -> tuple[Block, ...]:
        return () if end is None or (large and end.enlarged is not None) else (end.block,)

    apart = tuple(e.enlarged for e in views.ends if large and e.enlarged is not None)
    row = ViewRow(main, (*beside(left), main, *beside(right)), apart)
    if row.width <= room(paper):
        return row
    apart = tuple((large and e.enlarged) or e.named(scale=False) for e in views.ends)
    return ViewRow(main, (main,), apart)


def placed_row(row: ViewRow, paper: Paper, side: float) -> tuple[Point, list[Drawn]]:
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


def arranged(views: Views, paper: Paper, taken: list[Box]) -> Arranged:
    """The main row in the middle of the paper, at its left or its right, and the rest round it, so
    that the details are as large as one of the three allows; among equals with the picture of use
    at full size, and the end views so large that no circle is left out, if these find a place."""
    places = _Places(paper, taken)
    plain = row_of(views, views.main, paper)
    rows = [plain]
    if any(e.enlarged for e in views.ends):
        rows.insert(0, row_of(views, views.main, paper, large=True))
    fixed = [*([] if views.section is None else [views.section]), *views.threads]
    for details, gap in [(d, GAP) for d in views.details] + [(views.details[-1], NARROW_GAP)]:
        reading = [*details, *fixed]
        failed = [n for b in (*reading, *plain.apart) for n in b.failed]
        found = _beside([*reading, *plain.apart], places.of(plain), gap, views.pictures)
        if found is None:
            continue
        wishes = [(row, [b]) for row in rows for b in views.full_pictures]
        for row, full in [*wishes, *[(row, []) for row in rows[:-1]]]:
            blocks, extra = [*reading, *row.apart, *full], () if full else views.pictures
            better = _beside(blocks, places.of(row), gap, extra, ORDERS)
            if better is not None:
                found = better
                break
        at, small = found
        return Arranged(at.origin, at.main, small, [*at.crowded, *failed])
    at = places.of(plain)[0]
    corner = (paper.frame[0] + INSET, paper.frame[1] + INSET)
    drawn = [d for b in (*reading, *plain.apart) for d in b.at(*corner)]
    clash = ["view"] * (len(reading) + len(plain.apart))
    return Arranged(at.origin, at.main, drawn, [*at.crowded, *clash])


@dataclass(frozen=True, slots=True)
class _Placed:
    """A main row in its place: its origin, what is drawn, the free places round it."""

    origin: Point
    main: list[Drawn]
    homes: Homes
    crowded: list[str]


class _Places:
    """A row in the middle, at the left and at the right of a paper, worked out once."""

    def __init__(self, paper: Paper, taken: list[Box]) -> None:
        self.paper, self.taken = paper, taken
        self._known: dict[int, list[_Placed]] = {}

    def of(self, row: ViewRow) -> list[_Placed]:
        """The row's three places, the middle first."""
        if id(row) not in self._known:
            self._known[id(row)] = [self._placed(row, side) for side in SIDES]
        return self._known[id(row)]

    def _placed(self, row: ViewRow, side: float) -> _Placed:
        crowded = ["main view"] if row.width > room(self.paper) else []
        origin, main = placed_row(row, self.paper, side)
        filled = [extent([d]) for d in main]
        if any(overlap(b, box) for b in filled for box in self.taken):
            crowded.append("main view")  # it reaches down into the title block or the notes
        boxes = [*self.taken, *[grown(b, 3.0) for b in filled], *centring(self.paper)]
        return _Placed(origin, main, Homes(self.paper, outermost(boxes)), crowded)


def _beside(
    blocks: list[Block], at: list[_Placed], gap: float, extra: Sequence[Block], more: int = 0
) -> tuple[_Placed, list[Drawn]] | None:
    """``blocks`` round the main row in one of its places: in reading order under it, else anywhere
    in several orders (``more`` than five); None if they find no place."""
    for one in at:
        below, y1 = one.origin[1] - INSET, one.homes.paper.frame[3]
        small = small_views(blocks, extra, one.homes, (below, y1), gap, more)
        if small is not None:
            return one, small
    return None


def small_views(
    blocks: list[Block],
    extra: Sequence[Block],
    homes: Homes,
    tops: tuple[float, float],
    gap: float,
    more: int = 0,
) -> list[Drawn] | None:
    """``blocks`` in reading order below the first of ``tops``, else below the second in several
    orders; then the first of ``extra`` that finds a place. None if a block finds none."""
    if not homes.for_each(blocks, gap):
        return None
    for n, order in enumerate(orders(blocks, more)):
        small = packed(order, extra, homes.paper, homes.taken, tops[min(n, 1)], gap)
        if small is not None:
            return small
    return None


def field_of(main: Block, f: float) -> Box:
    """The main view's field: the part with its dimension lines at ``f``, without lettering, frames
    and callouts; in the block's own mm."""
    sizes = [d for d in main.drawn if isinstance(d, Dimension) and abs(d.per_mm - f) < 1e-9]
    lines = [i for d in sizes for i in d.items if isinstance(i, Line)]
    return extent([*lines, *[d for d in main.drawn if _outline(d)]])


def _outline(d: Drawn) -> bool:
    return isinstance(d, Line) and d.pen is LineStyle.OUTLINE
