"""Table pages: A4 upright, header and footer on each, a ruler on the first."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from typing import Any

from mandrelgen.sheet.lettering import clean, wrapped
from mandrelgen.sheet.model import Table
from mandrelgen.writers.pdf.canvas import MM, letters, rule

WIDTH, HEIGHT = 210.0, 297.0
LEFT, RIGHT, TOP, BOTTOM = 20.0, 200.0, 277.0, 24.0
TEXT = 2.5
HEAD = 2.5
LINE = 4.2

Row = list[list[str]]


@lru_cache(maxsize=8)
def pages_of(tables: tuple[Table, ...]) -> list[list[tuple[str, Table, list[Row]]]]:
    """Cut tables into pages: each page a list of (title, table, wrapped rows), not to be changed.
    Remembered, since the title block, the contents and the pages all ask."""
    pages: list[list[tuple[str, Table, list[Row]]]] = [[]]
    y = TOP
    for table in tables:
        rows = [_wrapped(table, row) for row in table.rows]
        title = table.title
        start = 0
        while start < len(rows) or start == 0:
            room = y - BOTTOM - 14.0
            fit = _fitting(rows[start:], room)
            if fit == 0 and pages[-1]:
                pages.append([])
                y = TOP
                continue
            fit = max(fit, 1)
            part = rows[start : start + fit]
            pages[-1].append((title, table, part))
            y -= 14.0 + sum(_height(r) for r in part) + 5.0
            start += fit
            title = f"{table.title} (continued)"
            if start < len(rows):
                pages.append([])
                y = TOP
            if not rows:
                break
    return pages


def _fitting(rows: list[Row], room: float) -> int:
    n = 0
    for row in rows:
        room -= _height(row)
        if room < 0:
            break
        n += 1
    return n


def _height(row: Row) -> float:
    return max((len(cell) for cell in row), default=1) * LINE + 1.4


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


def paint(canvas: Any, page: list[tuple[str, Table, list[Row]]]) -> None:
    """Paint one page's tables."""
    y = TOP
    for title, table, rows in page:
        edges = columns(table)
        letters(canvas, LEFT, y - 4.0, title, 3.5)
        y -= 7.0
        top = y
        rule(canvas, LEFT, y, RIGHT, y, 0.35)
        if any(table.heads):
            for head, x in zip(table.heads, edges, strict=False):
                letters(canvas, x + 0.8, y - 4.2, head, HEAD)
            y -= 6.0
            rule(canvas, LEFT, y, RIGHT, y, 0.35)
        for row in rows:
            for cell, x in zip(row, edges, strict=False):
                for k, line in enumerate(cell):
                    letters(canvas, x + 0.8, y - 3.7 - k * LINE, line, TEXT)
            y -= _height(row)
            rule(canvas, LEFT, y, RIGHT, y, 0.13)
        for x in edges:
            rule(canvas, x, top, x, y, 0.13)
        y -= 6.0


def furniture(canvas: Any, left: str, right: str, title: str) -> None:
    """Header and footer of a table page."""
    letters(canvas, LEFT, 284.0, title, 3.5)
    rule(canvas, LEFT, 281.0, RIGHT, 281.0, 0.5)
    rule(canvas, LEFT, 16.0, RIGHT, 16.0, 0.35)
    letters(canvas, LEFT, 11.0, left, 2.5)
    letters(canvas, RIGHT, 11.0, right, 2.5, "right")


PageMaker = Callable[[Any], None]
SIZE = (WIDTH * MM, HEIGHT * MM)
