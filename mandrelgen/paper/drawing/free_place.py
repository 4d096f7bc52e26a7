"""The largest place a finished sheet leaves free, for what is shown only where there is room."""

from __future__ import annotations

import math
from collections.abc import Iterable

from mandrelgen.paper.drawing.model import Box, Drawn, Line, LineStyle, Point, Text, flat
from mandrelgen.paper.drawing.packing import INSET
from mandrelgen.paper.drawing.text_block import extent

# Side of the squares the sheet is searched in, mm.
CELL = 2.0
RINGS = (LineStyle.EDGE, LineStyle.GRID)


class FreeSquares:
    """The squares inside ``frame`` that nothing drawn is nearer to than ``gap``, a row as the bits
    of a number; what stands in one of ``fields`` is taken with the whole of it, and nothing that
    begins there reaches out of it; ``views`` are taken as well."""

    def __init__(
        self,
        frame: Box,
        drawn: Iterable[Drawn],
        fields: Iterable[Box],
        gap: float,
        views: Iterable[Box] = (),
    ) -> None:
        self.x0, self.y0 = frame[0] + INSET, frame[1] + INSET
        self.across = int((frame[2] - INSET - self.x0) / CELL)
        self.taken = [0] * int((frame[3] - INSET - self.y0) / CELL)
        boxes = tuple(fields)
        for item in flat(tuple(drawn)):
            # The rings round the sheet; centring marks count.
            if isinstance(item, Line) and item.closed and item.pen in RINGS:
                continue
            # Most lettering stands in title block and notes, and its boxes take time.
            if not isinstance(item, Text) or not any(_within(item.at, b) for b in boxes):
                self._take(extent([item]), gap)
        for box in (*boxes, *views):
            self._take(box, gap)

    def _take(self, b: Box, gap: float) -> None:
        left = max(0, int((b[0] - gap - self.x0) // CELL))
        right = min(self.across, math.ceil((b[2] + gap - self.x0) / CELL))
        if right > left:
            bits = (1 << right) - (1 << left)
            low = max(0, int((b[1] - gap - self.y0) // CELL))
            for k in range(low, min(len(self.taken), math.ceil((b[3] + gap - self.y0) / CELL))):
                self.taken[k] |= bits

    def place(self, wide: float, high: float) -> tuple[float, float] | None:
        """The lower left corner, mm, of the free place of that size nearest the upper right corner
        of the frame; None if there is none."""
        n, rows = math.ceil(wide / CELL), math.ceil(high / CELL)
        best: tuple[int, int, int] | None = None
        for low in range(len(self.taken) - rows, -1, -1):
            above = len(self.taken) - rows - low
            if best is not None and above >= best[0]:
                break
            left = self._rightmost(low, rows, n)
            if left is not None:
                off = above + self.across - left
                best = min(best, (off, left, low)) if best else (off, left, low)
        return None if best is None else (self.x0 + best[1] * CELL, self.y0 + best[2] * CELL)

    def _rightmost(self, low: int, rows: int, n: int) -> int | None:
        """The last column from which ``n`` squares are free in each of ``rows`` rows."""
        free = (1 << self.across) - 1
        for row in self.taken[low : low + rows]:
            free &= ~row
        # After this a bit stands for n free squares from its own on.
        have = 1
        while have < n and free:
            step = min(have, n - have)
            free &= free >> step
            have += step
        return free.bit_length() - 1 if free else None


def _within(p: Point, b: Box) -> bool:
    return b[0] <= p[0] <= b[2] and b[1] <= p[1] <= b[3]
