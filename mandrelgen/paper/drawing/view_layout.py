"""Views put in place on the paper: the main view at its top, everything else round it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from mandrelgen.paper.drawing.frame import Paper
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
from mandrelgen.paper.drawing.segments import Box, overlap
from mandrelgen.paper.drawing.text_block import Block, extent
from mandrelgen.paper.drawing.view_set import Views

# Where the main row may stand across the paper, in order of preference.
SIDES = (0.5, 0.0, 1.0)
# So many more orders are tried to keep the thread's table in its place.
ORDERS = 40
# A detail's own title stands between it and what is above; this much between them will do before
# two heads point at one place, mm.
LEAST_GAP = 1.0
# What is named where the main view has no room.
MAIN = "main view"


def room(paper: Paper) -> float:
    """Width for views inside the frame, mm."""
    return paper.frame[2] - paper.frame[0] - 2 * INSET


def placed_main(
    main: Block, paper: Paper, side: float, top: float = 4.0
) -> tuple[Point, list[Drawn]]:
    """The main view at the top of the paper, and where its origin is then (see `_origin`)."""
    origin = _origin(main, paper, side, top)
    return origin, list(main.shifted(*origin))


def _origin(main: Block, paper: Paper, side: float, top: float) -> Point:
    """Where the origin of the main view is at the top of the paper, so much more than the inset
    below its frame; ``side``: 0 at the left of the paper, 1 at its right."""
    x0, _, x1, y1 = paper.frame
    return (
        x0 + INSET + (x1 - x0 - main.width - 2 * INSET) * side - main.box[0],
        y1 - INSET - top - main.box[3],
    )


class Arranged(NamedTuple):
    """The main view and everything beside it, in place; ``clash`` names what found none beside the
    main view."""

    origin: Point
    main: list[Drawn]
    small: list[Drawn]
    clash: list[str]


def arranged(views: Views, stands: Sequence[MainStand], title: Box) -> Arranged:
    """The main view in one of its places, and the rest round it, so that the details are as large
    as one of these allows; among equals with the thread's table where every sheet has it (on the
    ``title`` block), then with the picture of use at full size."""
    places = [p for p in stands if not p.crowded]
    # Where the main view has no room, nothing beside it needs any.
    for (details, gap), section in _choices(views) if places else ():
        reading = [*details, *section]
        failed = [n for b in reading for n in b.failed]
        for full in (*[[b] for b in views.full_pictures], []):
            extra = () if full else views.pictures
            found = _anchored([*reading, *full], views.threads, places, title, gap, extra)
            found = found or _beside([*reading, *views.threads, *full], places, gap, extra)
            if found is not None:
                at, small = found
                return Arranged(at.origin, at.main, small, failed)
    at = least_crowded(stands)
    corner = (at.paper.frame[0] + INSET, at.paper.frame[1] + INSET)
    rest = [*views.details[-1], *_sections(views)[0], *views.threads]
    drawn = [d for b in rest for d in b.at(*corner)]
    return Arranged(at.origin, at.main, drawn, ["view"] * len(rest))


def _sections(views: Views) -> list[list[Block]]:
    """The section through the flats at the sheet's scale, else at a smaller one of its own."""
    if views.section is None:
        return [[]]
    return [[views.section], *[[b] for b in views.smaller_sections]]


Choice = tuple[tuple[tuple[Block, ...], float], list[Block]]
"""Details with their gap, and the section."""


def _choices(views: Views) -> Iterator[Choice]:
    """Details with their gap and the section, the largest first; those in which two heads point at
    nearly one place come behind all others. What is not asked for is not laid out."""
    muddled = []
    for choice in _by_size(views):
        if any(d.muddled for d in choice[0][0]):
            muddled.append(choice)
        else:
            yield choice
    if muddled:
        for gap in (NARROW_GAP, LEAST_GAP):
            yield from (((views.clear_details, gap), section) for section in _sections(views))
    yield from muddled


def _by_size(views: Views) -> Iterator[Choice]:
    first, *smaller = _sections(views)
    yield from (((details, GAP), first) for details in views.details)
    last = (views.details[-1], NARROW_GAP)
    yield last, first
    if views.low_details:
        last = (views.low_details, NARROW_GAP)
        yield from (((last[0], gap), first) for gap in (GAP, NARROW_GAP))
    yield from ((last, section) for section in smaller)


@dataclass(frozen=True)
class MainStand:
    """A main view in its place: its origin, what is taken beside it, what it meets there. Where
    everything is exactly is worked out when it is asked for: the first place is mostly the last."""

    view: Block
    paper: Paper
    taken: list[Box]
    origin: Point
    crowded: list[str]

    @cached_property
    def main(self) -> list[Drawn]:
        """The main view as it is drawn there."""
        return list(self.view.shifted(*self.origin))

    @property
    def tops(self) -> tuple[float, float]:
        """How high other views may reach: below its axis, and up to the frame."""
        return self.origin[1] - INSET, self.paper.frame[3]

    @cached_property
    def homes(self) -> Homes:
        """The free places round it."""
        filled = [grown(extent([d]), 3.0) for d in self.main]
        return Homes(self.paper, outermost([*self.taken, *filled, *centring(self.paper)]))


def main_stands(views: Views, paper: Paper, taken: list[Box]) -> tuple[MainStand, ...]:
    """The main view in the middle of the paper, at its left and at its right."""
    return tuple(_stand(views, paper, taken, side) for side in SIDES)


def least_crowded(stands: Sequence[MainStand]) -> MainStand:
    """The first that meets nothing, else the first."""
    return next((s for s in stands if not s.crowded), stands[0])


def _stand(views: Views, paper: Paper, taken: list[Box], side: float) -> MainStand:
    crowded = [MAIN] if views.main.width > room(paper) else []
    for top in (4.0, 0.0):
        x, y = origin = _origin(views.main, paper, side, top)
        filled = [(a + x, b + y, c + x, d + y) for a, b, c, d in views.main_boxes]
        if not any(overlap(b, box) for b in filled for box in taken):
            break
    else:
        crowded.append(MAIN)  # it reaches down into the title block or the notes
    return MainStand(view=views.main, paper=paper, taken=taken, origin=origin, crowded=crowded)


def _anchored(
    blocks: list[Block],
    tables: Sequence[Block],
    at: list[MainStand],
    title: Box,
    gap: float,
    extra: Sequence[Block],
) -> tuple[MainStand, list[Drawn]] | None:
    """The thread's ``tables`` on the title block at its right end, where the eye expects them on
    every sheet, and ``blocks`` round the main view; None if that leaves one without a place."""
    # Clear of the centring mark in the frame's right edge.
    x = title[2] - 2 * INSET
    boxes: list[Box] = []
    for table in reversed(tables):
        spot = (x - table.width, title[3] + gap)
        boxes.append((*spot, x, spot[1] + table.height))
        x = spot[0] - gap
    if x + gap < at[0].paper.frame[0] + INSET:
        return None
    for one in at:
        homes = one.homes
        if any(overlap(grown(b, gap - 0.1), t) for b in boxes for t in homes.taken if t != title):
            continue
        free = Homes(homes.paper, [*homes.taken, *boxes])
        small = small_views(blocks, extra, free, one.tops, gap, ORDERS)
        if small is not None:
            fixed = zip(reversed(tables), boxes, strict=True)
            return one, [*(d for t, b in fixed for d in t.at(b[0], b[1])), *small]
    return None


def _beside(
    blocks: list[Block], at: list[MainStand], gap: float, extra: Sequence[Block]
) -> tuple[MainStand, list[Drawn]] | None:
    """``blocks`` round the main row in one of its places: in reading order under it, else anywhere
    in several orders; None if they find no place."""
    for one in at:
        small = small_views(blocks, extra, one.homes, one.tops, gap)
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
