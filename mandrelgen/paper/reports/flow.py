"""Blocks placed one under the other on A4: headings, paragraphs, small tables, pictures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from mandrelgen.paper.drawing.model import Drawn, Line, LineStyle, Page, Text
from mandrelgen.paper.drawing.text_width import fitted, wrapped
from mandrelgen.paper.reports.assessment import SmallTable
from mandrelgen.paper.reports.plots import LETTERS, PITCH, Placed

# The same area as the table pages': mm from the lower left corner of the paper.
LEFT, RIGHT, TOP, BOTTOM = 20.0, 200.0, 277.0, 24.0
HEADING = 3.5
_GAP = 1.8
_HEADING_TALL = 6.6
_BULLET = 4.0


@dataclass
class Flow:
    """Places blocks down a leaf to ``bottom``, mm; a heading stays with what it heads."""

    y: float = TOP
    bottom: float = BOTTOM
    pages: list[list[Drawn]] = field(default_factory=lambda: [[]])

    def section(self, title: str, blocks: Sequence[Placed], together: int = 1) -> None:
        """A heading (empty: none) and its blocks, of which the first ``together`` stay on one leaf
        with it."""
        blocks = [b for b in blocks if b[0] > 0]
        if not blocks:
            return
        if self.y - _HEADING_TALL - sum(tall for tall, _ in blocks[:together]) < self.bottom:
            self._turn()
        if title:
            self._head(title)
        for block in blocks:
            if self.y - block[0] < self.bottom:
                self._turn()
                self._head(f"{title} (continued)")
            self._place(block)
        self.y -= _GAP

    def _head(self, title: str) -> None:
        heading = Text((LEFT, -HEADING - 0.8), *fitted(title, HEADING, RIGHT - LEFT))
        under = Line(((LEFT, -_HEADING_TALL + 1.2), (RIGHT, -_HEADING_TALL + 1.2)), LineStyle.GRID)
        self._place((_HEADING_TALL, (heading, under)))

    def done(self, title: str) -> tuple[Page, ...]:
        """The leaves; only the first carries the title."""
        return tuple(Page("" if i else title, tuple(p)) for i, p in enumerate(self.pages))

    def _place(self, block: Placed) -> None:
        self.pages[-1] += [d.moved(0.0, self.y) for d in block[1]]
        self.y -= block[0]

    def _turn(self) -> None:
        self.pages.append([])
        self.y = TOP


def paragraph(text: str, x: float, width: float, bullet: str = "", pitch: float = PITCH) -> Placed:
    """Wrapped lines as one block; ``bullet`` hangs in front of the first; ``pitch``: from line to
    line, mm."""
    room = width - (_BULLET if bullet else 0.0)
    indent = x + (_BULLET if bullet else 0.0)
    lines = wrapped(text, LETTERS, room)
    drawn: list[Drawn] = [
        Text((indent, -LETTERS - 0.6 - i * pitch), line, LETTERS) for i, line in enumerate(lines)
    ]
    if bullet and lines:
        drawn.insert(0, Text((x, -LETTERS - 0.6), bullet, LETTERS))
    return len(lines) * pitch, tuple(drawn)


def lines(texts: Sequence[str], pitch: float = PITCH) -> list[Placed]:
    """A paragraph each, over the page's width; empty ones are left out."""
    return [paragraph(t, LEFT, RIGHT - LEFT, pitch=pitch) for t in texts if t]


def bullets(texts: Sequence[str], pitch: float = PITCH) -> list[Placed]:
    """The same, each with a dash in front."""
    return [paragraph(t, LEFT, RIGHT - LEFT, "–", pitch) for t in texts]


def numbered(texts: Sequence[str], pitch: float = PITCH) -> list[Placed]:
    """The same, each with its number in front."""
    return [paragraph(t, LEFT, RIGHT - LEFT, str(n), pitch) for n, t in enumerate(texts, 1)]


def columns(texts: Sequence[str]) -> list[Placed]:
    """Short remarks in two columns of about the same height, read down the left one first."""
    half = (RIGHT - LEFT - 4.0) / 2
    talls = [paragraph(t, LEFT, half, "–")[0] for t in texts]
    split = min(range(len(talls) + 1), key=lambda n: max(sum(talls[:n]), sum(talls[n:])))
    drawn: list[Drawn] = []
    for x, column in ((LEFT, texts[:split]), (LEFT + half + 4.0, texts[split:])):
        y = 0.0
        for text in column:
            tall, more = paragraph(text, x, half, "–")
            drawn += [d.moved(0.0, y) for d in more]
            y -= tall
    return [(max(sum(talls[:split]), sum(talls[split:])), tuple(drawn))]


def grid(
    table: SmallTable, left: float = LEFT, right: float = RIGHT, pitch: float = PITCH
) -> list[Placed]:
    """A table's head (if it has one) and rows between two edges, each a block ruled below."""
    total = sum(table.widths)
    edges = [left]
    for w in table.widths:
        edges.append(edges[-1] + (right - left) * w / total)
    rows = [_row(cells, edges, LineStyle.TABLE, pitch) for cells in table.rows]
    if any(table.heads):
        rows.insert(0, _row(table.heads, edges, LineStyle.GRID, pitch))
    # Air between the last line and what is said of the table; a head stays with its first row.
    rows[-1] = (rows[-1][0] + 1.0, rows[-1][1])
    if not any(table.heads) or len(rows) == 1:
        return rows
    (tall, head), (more, first) = rows[:2]
    return [(tall + more, (*head, *(d.moved(0.0, -tall) for d in first))), *rows[2:]]


def beside(*stacks: Sequence[Placed]) -> Placed:
    """Stacks of blocks side by side, each from the same top down, as one block."""
    drawn: list[Drawn] = []
    deepest = 0.0
    for stack in stacks:
        y = 0.0
        for tall, items in stack:
            drawn += [d.moved(0.0, y) for d in items]
            y -= tall
        deepest = max(deepest, -y)
    return deepest, tuple(drawn)


def _row(cells: tuple[str, ...], edges: Sequence[float], below: LineStyle, pitch: float) -> Placed:
    drawn: list[Drawn] = []
    tall = 0
    for cell, x0, x1 in zip(cells, edges[:-1], edges[1:], strict=True):
        lines = wrapped(cell, LETTERS, x1 - x0 - 2.0)
        tall = max(tall, len(lines))
        drawn += [
            Text((x0, -LETTERS - 1.0 - i * pitch), line, LETTERS) for i, line in enumerate(lines)
        ]
    height = tall * pitch + 1.0
    drawn.append(Line(((edges[0], -height), (edges[-1], -height)), below))
    return height, tuple(drawn)
