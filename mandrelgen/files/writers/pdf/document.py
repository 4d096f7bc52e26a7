"""A mandrel's PDF: the drawing, its tables, the maker's page, the turner's pages."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any

from mandrelgen.files.writers.pdf import tables
from mandrelgen.files.writers.pdf.backend import show
from mandrelgen.files.writers.pdf.canvas import MM, new_canvas, ruler
from mandrelgen.paper.drawing.model import Page, Sheet, Table


@dataclass(frozen=True, slots=True)
class _Page:
    """One A4 page: what to list in the contents, and what paints it."""

    titles: tuple[str, ...]
    paint: Callable[[Any], None]


def write(sheet: Sheet) -> bytes:
    """The drawing's sheets in their own sizes, then A4 pages with everything that goes with
    them."""
    name = f"{sheet.number} rev. {sheet.revision}".strip()
    canvas, stream = new_canvas(
        sheet.width,
        sheet.height,
        {
            "title": f"{name} {sheet.title}",
            "author": sheet.author,
            "subject": sheet.subject,
            "keywords": f"{sheet.number}, {sheet.owner}, {sheet.date}",
        },
    )
    for i, one in enumerate(sheet.sheets, 1):
        canvas.setPageSize((one.width * MM, one.height * MM))
        title = f"Drawing {name}" + (f", sheet {i}" if sheet.more else "")
        _bookmark(canvas, title, 0 if i == 1 else 1)
        show(canvas, one.drawn)
        canvas.showPage()
    pages = _pages(sheet)
    total = page_count(sheet)
    for i, page in enumerate(pages, len(sheet.sheets) + 1):
        canvas.setPageSize(tables.SIZE)
        for title in page.titles:
            _bookmark(canvas, title, 1)
        tables.furniture(
            canvas, f"{name}   {sheet.date}", f"sheet {i} of {total}", f"{name}   {sheet.title}"
        )
        page.paint(canvas)
        ruler(canvas, tables.LEFT, 18.0)
        canvas.showPage()
    canvas.save()
    return stream.getvalue()


def page_count(sheet: Sheet) -> int:
    """How many pages :func:`write` makes."""
    return len(sheet.sheets) + len(_pages(sheet))


def _pages(sheet: Sheet) -> list[_Page]:
    return [
        *_table_pages(sheet.tables),
        *(_Page((f.title,) if f.title else (), partial(_paint_leaf, f)) for f in sheet.leaves),
        *_table_pages(sheet.behind),
    ]


def _table_pages(found: tuple[Table, ...]) -> list[_Page]:
    return [
        _Page(
            tuple(p.title for p in page if not p.title.endswith("(continued)")),
            partial(_paint_tables, page),
        )
        for page in (tables.pages_of(found) if found else [])
    ]


def _paint_leaf(leaf: Page, canvas: Any) -> None:
    show(canvas, leaf.drawn)


def _paint_tables(page: list[tables.TablePiece], canvas: Any) -> None:
    tables.paint(canvas, page)


def _bookmark(canvas: object, title: str, level: int) -> None:
    key = f"b{level}-{title}"
    canvas.bookmarkPage(key)  # type: ignore[attr-defined]
    canvas.addOutlineEntry(title, key, level)  # type: ignore[attr-defined]
