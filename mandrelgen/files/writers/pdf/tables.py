"""Table pages: A4 upright, header and footer on each, a ruler on the first."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Any, NamedTuple

from mandrelgen.files.writers.pdf.canvas import MM, letters, rule
from mandrelgen.paper.drawing.model import Table
from mandrelgen.paper.drawing.text_width import clean, fitted, width_of, wrapped

WIDTH, HEIGHT = 210.0, 297.0
LEFT, RIGHT, TOP, BOTTOM = 20.0, 200.0, 277.0, 24.0
TEXT = 2.5
# Half as much again as the capitals' height: ISO 3098's closest pitch of lines without accents.
LINE = 3.75
# Space under a table, mm; rows kept together where a table is cut; the share of a page that is
# little enough to leave empty rather than to cut a table.
GAP = 5.0
TOGETHER = 2
LITTLE = 0.35
# A last page with less than this share filled is nearly empty.
BARE = 0.2
# Tried in turn where all would go on fewer pages.
TIGHTER = (0.2, 0.1, 0.0)

Row = list[list[str]]


class TablePiece(NamedTuple):
    """A table's part on one page: title, wrapped heads (empty: none) and wrapped rows."""

    title: str
    table: Table
    heads: Row
    rows: list[Row]

    @property
    def height(self) -> float:
        """With the space under it, mm."""
        return _above(self.heads) + sum(_height(r) for r in self.rows) + GAP


@lru_cache(maxsize=8)
def pages_of(tables: tuple[Table, ...]) -> list[list[TablePiece]]:
    """Cut tables into pages, not to be changed: remembered, since the title block, the contents and
    the pages all ask.

    A table that does not fit begins on the next page if little of the present one is left; where
    it is cut, at least two rows stay together on both sides. Where tables that are cut earlier save
    a page, they are; no small table stands alone on a last page if another cut can be had.
    """
    found = _laid(tables, LITTLE)
    filled = sum(p.height for page in found for p in page)
    if len(found) > math.ceil(filled / (TOP - BOTTOM)) or _bare(found):
        closer = [_laid(tables, share) for share in TIGHTER]
        found = min((found, *closer), key=lambda pages: (len(pages), _bare(pages)))
    return found


def _bare(pages: list[list[TablePiece]]) -> bool:
    """The last of several pages is nearly empty."""
    return len(pages) > 1 and sum(p.height for p in pages[-1]) < BARE * (TOP - BOTTOM)


def _laid(tables: tuple[Table, ...], share: float) -> list[list[TablePiece]]:
    """As :func:`pages_of`, with ``share`` of a page counted as little."""
    pages: list[list[TablePiece]] = [[]]
    room = TOP - BOTTOM
    for table in tables:
        heads = _wrapped(table, table.heads) if any(table.heads) else []
        rows = [_wrapped(table, row) for row in table.rows]
        title = table.title
        if table.new_page and pages[-1]:
            pages.append([])
            room = TOP - BOTTOM
        while rows or title == table.title:
            fit = _fitting(heads, rows, room)
            little = fit < len(rows) and room < share * (TOP - BOTTOM)
            if pages[-1] and (little or fit == 0 < len(rows)):
                pages.append([])
                room = TOP - BOTTOM
                fit = _fitting(heads, rows, room)
            piece = TablePiece(title, table, heads, rows[: max(fit, 1)])
            pages[-1].append(piece)
            room -= piece.height
            rows = rows[max(fit, 1) :]
            title = f"{table.title} (continued)"
            if rows:
                pages.append([])
                room = TOP - BOTTOM
    return pages


def _fitting(heads: Row, rows: list[Row], room: float) -> int:
    """How many rows go into ``room`` mm: all, none, or so that two stay together on both sides."""
    room -= _above(heads)
    n = 0
    for row in rows:
        room -= _height(row)
        if room < 0:
            break
        n += 1
    if n == len(rows):
        return n
    n = min(n, len(rows) - TOGETHER)
    return n if n >= TOGETHER else 0


def _above(heads: Row) -> float:
    """Title and heads, mm."""
    return 7.0 + (_height(heads) + 0.4 if heads else 0.0)


def _height(row: Row) -> float:
    return max((len(cell) for cell in row), default=1) * LINE + 1.2


def columns(table: Table) -> list[float]:
    """Left edges of the columns and the right edge, mm."""
    total = sum(table.widths)
    edges = [LEFT]
    for w in table.widths:
        edges.append(edges[-1] + (RIGHT - LEFT) * w / total)
    return edges


def _wrapped(table: Table, row: tuple[str, ...]) -> Row:
    edges = columns(table)
    out = []
    for i, cell in enumerate(row):
        # An identity such as thread.pitch_diameter may break after its dots and underscores.
        text = clean(cell)
        wide = edges[i + 1] - edges[i] - 1.6
        out.append(wrapped(text, TEXT, wide) or [""])
    return out


def paint(canvas: Any, page: list[TablePiece]) -> None:
    """Paint one page's tables."""
    y = TOP
    for piece in page:
        edges = columns(piece.table)
        letters(canvas, LEFT, y - 4.0, *fitted(piece.title, 3.5, RIGHT - LEFT))
        y -= 7.0
        top = y
        rule(canvas, LEFT, y, RIGHT, y, 0.35)
        if piece.heads:
            y = _lines(canvas, edges, piece.heads, y, 4.2) - 0.4
            rule(canvas, LEFT, y, RIGHT, y, 0.35)
        for row in piece.rows:
            y = _lines(canvas, edges, row, y, 3.7)
            rule(canvas, LEFT, y, RIGHT, y, 0.13)
        for x in edges:
            rule(canvas, x, top, x, y, 0.13)
        y -= GAP


def _lines(canvas: Any, edges: list[float], row: Row, y: float, first: float) -> float:
    """Letter one row whose upper edge is at ``y``; returns its lower edge, mm."""
    for cell, x in zip(row, edges, strict=False):
        for k, line in enumerate(cell):
            letters(canvas, x + 0.8, y - first - k * LINE, line, TEXT)
    return y - _height(row)


def furniture(canvas: Any, left: str, right: str, title: str) -> None:
    """Header and footer of a table page, cut where they would run off it."""
    letters(canvas, LEFT, 284.0, *fitted(title, 3.5, RIGHT - LEFT))
    rule(canvas, LEFT, 281.0, RIGHT, 281.0, 0.5)
    rule(canvas, LEFT, 16.0, RIGHT, 16.0, 0.35)
    room = RIGHT - LEFT - width_of(clean(right), 2.5) - 4.0
    letters(canvas, LEFT, 11.0, *fitted(left, 2.5, room))
    letters(canvas, RIGHT, 11.0, right, 2.5, "right")


SIZE = (WIDTH * MM, HEIGHT * MM)
