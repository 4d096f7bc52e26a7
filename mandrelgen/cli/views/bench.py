"""The bench's pages and verdicts as text for a person; nothing is computed here."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import TYPE_CHECKING

from mandrelgen.paper.reports import turning_pages
from mandrelgen.paper.reports.pieces_card import pieces_page
from mandrelgen.paper.reports.route_card import route_page
from mandrelgen.workflows.answers import turner
from mandrelgen.workshop.turning.turner_card import turner_card

if TYPE_CHECKING:
    from mandrelgen.workflows.check import Checked

WIDTH = 100


def lathe_text(checked: Checked, only: str | None) -> str:
    """The turner's pages of every mandrel, or of one."""
    shop = checked.inputs.shop
    found = [
        turning_pages.tables(turner_card(d.mandrel, shop))
        for d in checked.designed
        if d.mandrel is not None and only in (None, d.mandrel.id)
    ]
    return "\n".join(page_text(p) for set_ in found for p in set_)


def papers_text(checked: Checked, date: str) -> str:
    """The e-mail asking for a quotation, in the plain manner, the pen maker's route card and the
    card of the test pieces."""
    pages = (route_page(turner.route(checked)), pieces_page(turner.pieces(checked)))
    return "\n".join((turner.letter(checked, date), *map(page_text, pages)))


def page_text(page: turning_pages.GridPage) -> str:
    """A page as plain text."""
    out = [page.title, "=" * len(page.title)]
    for grid in page.grids:
        out += ["", grid.title, "-" * len(grid.title)]
        rows = ([grid.heads] if any(grid.heads) else []) + list(grid.rows)
        out += [line for row in rows for line in _row(row, grid.widths)]
    out += ["", *(line for note in page.notes for line in textwrap.wrap(note, WIDTH)), ""]
    return "\n".join(out)


def _row(cells: Sequence[str], shares: Sequence[float]) -> list[str]:
    widths = [max(4, int(WIDTH * s) - 2) for s in shares]
    wrapped = [textwrap.wrap(c, w) or [""] for c, w in zip(cells, widths, strict=True)]
    lines = []
    for n in range(max(len(w) for w in wrapped)):
        parts = [
            (w[n] if n < len(w) else "").ljust(width)
            for w, width in zip(wrapped, widths, strict=True)
        ]
        lines.append("  ".join(parts).rstrip())
    return lines
