"""A view with everything round it, as one box that the layout moves about."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

from mandrelgen.paper.drawing.model import Arc, Drawn, Fill, Item, Line, Point, Text, flat
from mandrelgen.paper.drawing.segments import Box


class Block(NamedTuple):
    """Drawn things and the box they fill, mm on paper; ``failed`` names what found no place,
    ``muddled`` counts heads of two sizes that point at nearly one place."""

    drawn: tuple[Drawn, ...]
    box: Box
    failed: tuple[str, ...] = ()
    muddled: int = 0

    @property
    def width(self) -> float:
        """Width, mm."""
        return self.box[2] - self.box[0]

    @property
    def height(self) -> float:
        """Height, mm."""
        return self.box[3] - self.box[1]

    def at(self, left: float, bottom: float) -> tuple[Drawn, ...]:
        """The block with its lower left corner there."""
        return self.shifted(left - self.box[0], bottom - self.box[1])

    def shifted(self, dx: float, dy: float) -> tuple[Drawn, ...]:
        """The block moved by (dx, dy)."""
        return tuple(d.moved(dx, dy) for d in self.drawn)


def block(drawn: Iterable[Drawn], failed: Iterable[str] = (), muddled: int = 0) -> Block:
    """A block with the box its content fills."""
    every = tuple(drawn)
    return Block(every, extent(every), tuple(failed), muddled)


def extent(drawn: Iterable[Drawn]) -> Box:
    """The box round ``drawn``, mm; lettering counts with its full height."""
    x0 = y0 = math.inf
    x1 = y1 = -math.inf
    for item in flat(tuple(drawn)):
        for x, y in _outer_points(item):
            # Plain comparisons: this is done for every point of a sheet, many times.
            if x < x0:
                x0 = x
            if x > x1:
                x1 = x
            if y < y0:
                y0 = y
            if y > y1:
                y1 = y
    return (x0, y0, x1, y1) if x0 <= x1 else (0.0, 0.0, 0.0, 0.0)


def _outer_points(item: Item) -> Iterable[Point]:
    if isinstance(item, Line | Fill):
        return item.points
    if isinstance(item, Text):
        return item.corners()
    if isinstance(item, Arc):
        (x, y), r = item.centre, item.radius
        return (x - r, y - r), (x + r, y + r)
    return [p for loop in item.loops for p in loop]
