"""The sheet of paper: frame, centring marks, grid reference (ISO 5457)."""

from __future__ import annotations

from typing import NamedTuple

from mandrelgen.paper.drawing.model import Drawn, Line, LineStyle, Text
from mandrelgen.paper.drawing.segments import Box

LEFT, OTHER = 20.0, 10.0
STRIP = 5.0
FIELD = 50.0
LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"


class Paper(NamedTuple):
    """A trimmed size, mm; ``grid_all``: grid reference on all sides (A4: top and right only)."""

    name: str
    width: float
    height: float
    grid_all: bool

    @property
    def frame(self) -> Box:
        """The drawing space."""
        return (LEFT, OTHER, self.width - OTHER, self.height - OTHER)


PAPERS = (
    Paper("A4", 210.0, 297.0, grid_all=False),
    Paper("A4", 297.0, 210.0, grid_all=False),
    Paper("A3", 420.0, 297.0, grid_all=True),
)


def frame(paper: Paper, title_left: float) -> list[Drawn]:
    """Frame, centring marks and grid reference of ``paper``; ``title_left`` is the title block's
    left edge: the lower centring mark ends at the frame where it would enter the block."""
    x0, y0, x1, y1 = paper.frame
    drawn: list[Drawn] = [
        Line(((x0, y0), (x1, y0), (x1, y1), (x0, y1)), LineStyle.EDGE, closed=True)
    ]
    out = (x0 - STRIP, y0 - STRIP, x1 + STRIP, y1 + STRIP)
    cx, cy = paper.width / 2, paper.height / 2
    # Centring marks: from the grid's outer border to 5 mm inside the frame.
    drawn += [
        Line(((cx, out[3]), (cx, y1 - 5)), LineStyle.EDGE),
        Line(((cx, out[1]), (cx, y0 if title_left <= cx else y0 + 5)), LineStyle.EDGE),
        Line(((out[0], cy), (x0 + 5, cy)), LineStyle.EDGE),
        Line(((out[2], cy), (x1 - 5, cy)), LineStyle.EDGE),
    ]
    drawn.append(
        Line(
            ((out[0], out[1]), (out[2], out[1]), (out[2], out[3]), (out[0], out[3])),
            LineStyle.GRID,
            closed=True,
        )
    )
    drawn += _numbers(paper, out)
    drawn += _letters(paper, out)
    return drawn


def _marks(centre: float, low: float, high: float) -> list[float]:
    """Field borders: 50 mm apart, counted from the centring mark outwards."""
    marks = [centre]
    k = 1
    while centre + k * FIELD < high - 5:
        marks.append(centre + k * FIELD)
        k += 1
    k = 1
    while centre - k * FIELD > low + 5:
        marks.append(centre - k * FIELD)
        k += 1
    return sorted(marks)


def _numbers(paper: Paper, out: Box) -> list[Drawn]:
    x0, y0, x1, y1 = paper.frame
    marks = _marks(paper.width / 2, x0, x1)
    strips = [(y1, out[3])] + ([(out[1], y0)] if paper.grid_all else [])
    drawn: list[Drawn] = []
    for low, high in strips:
        for m in marks:
            drawn.append(Line(((m, low), (m, high)), LineStyle.GRID))
        for i, (a, b) in enumerate(zip([x0, *marks], [*marks, x1], strict=True), 1):
            drawn.append(
                Text(
                    at=((a + b) / 2, low + 0.75),
                    text=str(i),
                    height=3.5,
                    align="middle",
                    pen=LineStyle.GRID,
                )
            )
    return drawn


def _letters(paper: Paper, out: Box) -> list[Drawn]:
    x0, y0, x1, y1 = paper.frame
    marks = _marks(paper.height / 2, y0, y1)
    strips = [(x1, out[2])] + ([(out[0], x0)] if paper.grid_all else [])
    drawn: list[Drawn] = []
    for low, high in strips:
        for m in marks:
            drawn.append(Line(((low, m), (high, m)), LineStyle.GRID))
        tops = [y1, *reversed(marks)]
        for letter, a, b in zip(LETTERS, tops, [*tops[1:], y0], strict=False):
            drawn.append(
                Text(
                    at=((low + high) / 2, (a + b) / 2 - 1.75),
                    text=letter,
                    height=3.5,
                    align="middle",
                    pen=LineStyle.GRID,
                )
            )
    return drawn
