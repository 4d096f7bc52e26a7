"""A mandrel's PDFs: the drawing alone; what goes with it for whoever cuts it; what stays with the
maker; the card of one that the maker makes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Any, NamedTuple

from mandrelgen.files.writers.pdf import tables
from mandrelgen.files.writers.pdf.backend import show
from mandrelgen.files.writers.pdf.canvas import MM, letters, new_canvas, ruler
from mandrelgen.paper.drawing.model import Page, Sheet, Table


class _Page(NamedTuple):
    """One A4 page: what to list in the contents, and what paints it."""

    titles: tuple[str, ...]
    paint: Callable[[Any], None]


def write(sheet: Sheet) -> bytes:
    """The drawing's sheets in their own sizes, and nothing else."""
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
    canvas.save()
    return stream.getvalue()


def page_count(sheet: Sheet) -> int:
    """How many pages :func:`write` makes."""
    return len(sheet.sheets)


def making(sheet: Sheet) -> bytes:
    """The turner's pages: every size with its limits, threads, sequence, gears, wires."""
    return _write(sheet, "Making", _table_pages((*sheet.tables, *sheet.behind)))


def mine(sheet: Sheet) -> bytes:
    """The maker's pages: what to do, what it bears, decisions, inspection sheet."""
    leaves = [_Page((f.title,) if f.title else (), partial(_paint_leaf, f)) for f in sheet.leaves]
    pages = [*_table_pages(sheet.first), *leaves, *_table_pages(sheet.own)]
    return _write(sheet, "Mine", pages or [_Page((), _paint_nothing)])


def card(sheet: Sheet, leaves: tuple[Page, ...]) -> bytes:
    """The card of a mandrel that the maker makes; its title stands in the head."""
    pages = [_Page((f.title,) if f.title else (), partial(_paint_leaf, f)) for f in leaves]
    return _write(replace(sheet, title=leaves[0].title), "Card", pages, ruled=False)


def _write(sheet: Sheet, what: str, pages: list[_Page], ruled: bool = True) -> bytes:
    """A4 pages of one paper, each with the drawing's name and its own number; ``ruled``: with a
    ruler to check the print by."""
    name = f"{sheet.number} rev. {sheet.revision}".strip()
    info = {"title": f"{what}: {name} {sheet.title}", "author": sheet.author,
            "keywords": f"{sheet.number}, {sheet.owner}, {sheet.date}"}  # fmt: skip
    canvas, stream = new_canvas(tables.WIDTH, tables.HEIGHT, info)
    _bookmark(canvas, f"{what}: {name}", 0)
    for i, page in enumerate(pages, 1):
        for title in page.titles:
            _bookmark(canvas, title, 1)
        tables.furniture(
            canvas, f"{name}   {sheet.date}", f"sheet {i} of {len(pages)}",
            f"{name}   {sheet.title}",
        )  # fmt: skip
        page.paint(canvas)
        if ruled:
            ruler(canvas, tables.LEFT, 18.0)
        canvas.showPage()
    canvas.save()
    return stream.getvalue()


def _paint_nothing(canvas: Any) -> None:
    letters(canvas, tables.LEFT, tables.TOP - 6.0, "Nothing is kept of it beside the drawing.", 2.5)


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
