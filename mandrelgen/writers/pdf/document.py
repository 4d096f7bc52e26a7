"""A mandrel's PDF: the drawing, then its tables."""

from __future__ import annotations

from mandrelgen.sheet.model import Sheet
from mandrelgen.writers.pdf import tables
from mandrelgen.writers.pdf.canvas import new_canvas, ruler
from mandrelgen.writers.pdf.replay import replay


def write(sheet: Sheet) -> bytes:
    """The drawing page in its own size, then A4 pages with every table of ``sheet``."""
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
    _bookmark(canvas, f"Drawing {name}", 0)
    replay(sheet, canvas)
    canvas.showPage()
    pages = tables.pages_of(sheet.tables) if sheet.tables else []
    total = 1 + len(pages)
    for i, page in enumerate(pages):
        canvas.setPageSize(tables.SIZE)
        for title, _, _ in page:
            if not title.endswith("(continued)"):
                _bookmark(canvas, title, 1)
        tables.furniture(
            canvas, f"{name}   {sheet.date}", f"sheet {i + 2} of {total}", f"{name}   {sheet.title}"
        )
        tables.paint(canvas, page)
        ruler(canvas, tables.LEFT, 18.0)
        canvas.showPage()
    canvas.save()
    return stream.getvalue()


def page_count(sheet: Sheet) -> int:
    """How many pages :func:`write` makes."""
    return 1 + (len(tables.pages_of(sheet.tables)) if sheet.tables else 0)


def _bookmark(canvas: object, title: str, level: int) -> None:
    key = f"b{level}-{title}"
    canvas.bookmarkPage(key)  # type: ignore[attr-defined]
    canvas.addOutlineEntry(title, key, level)  # type: ignore[attr-defined]
