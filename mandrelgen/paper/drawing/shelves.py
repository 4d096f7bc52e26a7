"""Views in rows under one another, as one reads: the order of a sheet that has no main view."""

from __future__ import annotations

from collections.abc import Sequence

from mandrelgen.paper.drawing.model import Drawn
from mandrelgen.paper.drawing.segments import Box
from mandrelgen.paper.drawing.text_block import Block

# Views stand no further apart than this where there is room to spare, mm.
WIDEST = 24.0


def shelves(blocks: Sequence[Block], free: Box, gap: float) -> list[Drawn] | None:
    """``blocks`` in rows inside ``free``, at least ``gap`` apart, what is left shared out between
    them; None if they need more."""
    rows = _rows(blocks, free[2] - free[0], gap)
    if rows is None:
        return None
    highs = [max(b.height for b in row) for row in rows]
    space, edge = _apart(free[3] - free[1], highs, gap)
    if space < gap:
        return None
    drawn: list[Drawn] = []
    top = free[3] - edge
    for row, high in zip(rows, highs, strict=True):
        across, x = _apart(free[2] - free[0], [b.width for b in row], gap)
        left = free[0] + x
        for b in row:
            drawn += b.at(left, top - (high + b.height) / 2)
            left += b.width + across
        top -= high + space
    return drawn


def _rows(blocks: Sequence[Block], wide: float, gap: float) -> list[list[Block]] | None:
    """As many in each row as it holds; None if one is too wide."""
    rows: list[list[Block]] = [[]]
    for b in blocks:
        if b.width > wide:
            return None
        if rows[-1] and sum(o.width + gap for o in rows[-1]) + b.width > wide:
            rows.append([])
        rows[-1].append(b)
    return rows


def _apart(length: float, sizes: Sequence[float], gap: float) -> tuple[float, float]:
    """The space between things of ``sizes`` on ``length``, and before the first of them; a space
    under ``gap`` says that they have no room."""
    left = length - sum(sizes)
    if left < gap * (len(sizes) - 1) - 1e-9:
        return -1.0, 0.0
    space = max(gap, min(WIDEST, left / (len(sizes) + 1)))
    return space, (left - space * (len(sizes) - 1)) / 2
