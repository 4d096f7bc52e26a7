"""The bench's pages and verdicts as text for a person and as JSON; nothing is computed here."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from mandrelgen.assess.words import Word
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.paper.reports import plain_request, quotation, turning_pages
from mandrelgen.paper.reports.pieces_card import pieces_page
from mandrelgen.paper.reports.route_card import route_page
from mandrelgen.workflows.answers import plain
from mandrelgen.workflows.cards import pieces_of, route_of
from mandrelgen.workflows.check import worded
from mandrelgen.workflows.order import contact
from mandrelgen.workshop.home.reference_pieces import ReferencePieces
from mandrelgen.workshop.home.route import Route
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


def lathe_view(checked: Checked, only: str | None) -> dict[str, Any]:
    """The same as plain values."""
    shop = checked.inputs.shop
    return {
        "turner": [
            plain.view(turner_card(d.mandrel, shop))
            for d in checked.designed
            if d.mandrel is not None and only in (None, d.mandrel.id)
        ]
    }


def papers_text(checked: Checked, date: str) -> str:
    """The e-mail asking for a quotation, in the plain manner, the pen maker's route card and the
    card of the test pieces."""
    pages = (route_page(_route(checked)), pieces_page(_pieces(checked)))
    return "\n".join((_letter(checked, date), *map(page_text, pages)))


def papers_view(checked: Checked, date: str) -> dict[str, Any]:
    """The same as plain values."""
    return {
        "request": plain.view(_request(checked, date)),
        "email": _letter(checked, date),
        "email_strict": quotation.email(_request(checked, date)),
        "route": plain.view(_route(checked)),
        "test_pieces": plain.view(_pieces(checked)),
    }


def _route(checked: Checked) -> Route:
    return route_of(checked, worded(checked, {}))


def _pieces(checked: Checked) -> ReferencePieces:
    return pieces_of(checked, worded(checked, {}))


def _ordered(checked: Checked) -> list[Mandrel]:
    """What is to be ordered: nothing that a fault holds back, nothing that is not needed."""
    order = {a.planned for a in worded(checked, {}) if a.word is Word.ORDER}
    return [
        d.mandrel for d in checked.designed if d.mandrel is not None and d.planned.id in order
    ]  # fmt: skip


def _letter(checked: Checked, date: str) -> str:
    """The plain request as an e-mail."""
    who = contact(checked.inputs.pen, checked.inputs.shop)
    return plain_request.email(
        plain_request.plain_request(_request(checked, date), _ordered(checked), who)
    )


def _request(checked: Checked, date: str) -> quotation.Request:
    """The request for what is to be ordered."""
    title = checked.inputs.pen.pen
    mandrels = [(m, "", "") for m in _ordered(checked)]
    return quotation.request(title.name, title.owner, date, mandrels, checked.inputs.shop)


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
