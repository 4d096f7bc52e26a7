"""A PDF of table pages alone, such as the request for quotation; one of placed pages."""

from __future__ import annotations

from mandrelgen.files.writers.pdf import tables as table_pages
from mandrelgen.files.writers.pdf.backend import show
from mandrelgen.files.writers.pdf.canvas import new_canvas, ruler
from mandrelgen.paper.drawing.model import Page, Table


def write(title: str, footer: str, tables: tuple[Table, ...]) -> bytes:
    """A4 pages with ``tables``; ``footer`` stands at the lower left of each."""
    canvas, stream = new_canvas(
        table_pages.WIDTH, table_pages.HEIGHT, {"title": title, "keywords": footer}
    )
    pages = table_pages.pages_of(tables)
    for n, page in enumerate(pages, 1):
        key = f"page-{n}"
        canvas.bookmarkPage(key)
        canvas.addOutlineEntry(title if n == 1 else f"{title}, page {n}", key, 0)
        table_pages.furniture(canvas, footer, f"sheet {n} of {len(pages)}", title)
        table_pages.paint(canvas, page)
        ruler(canvas, table_pages.LEFT, 18.0)
        canvas.showPage()
    canvas.save()
    return stream.getvalue()


def write_leaves(title: str, footer: str, leaves: tuple[Page, ...]) -> bytes:
    """A4 pages that are placed already; ``footer`` stands at the lower left of each."""
    canvas, stream = new_canvas(
        table_pages.WIDTH, table_pages.HEIGHT, {"title": title, "keywords": footer}
    )
    for n, leaf in enumerate(leaves, 1):
        canvas.bookmarkPage(f"page-{n}")
        canvas.addOutlineEntry(title if n == 1 else f"{title}, page {n}", f"page-{n}", 0)
        table_pages.furniture(canvas, footer, f"sheet {n} of {len(leaves)}", title)
        show(canvas, leaf.drawn)
        canvas.showPage()
    canvas.save()
    return stream.getvalue()
