"""The order's strict request as a title and tables of text."""

from __future__ import annotations

from mandrelgen.paper.reports.quotation import Request
from mandrelgen.paper.reports.turning_pages import Grid, GridPage


def request_page(r: Request) -> GridPage:
    """The request for quotation, one page."""
    items = tuple(
        (f"{i.number} {i.revision}".strip() or "not issued", i.title, i.thread, str(i.quantity), "")
        for i in r.items
    )
    heads = ("number", "what", "thread", "off", "price")
    return GridPage(
        "request",
        r.title,
        (
            Grid("Items", heads, (0.14, 0.34, 0.28, 0.06, 0.18), items),
            Grid("What goes for all", ("", ""), (0.2, 0.8),
                 tuple((p.subject, p.text) for p in r.points)),
            Grid("Please answer", ("", ""), (0.62, 0.38), tuple((q, "") for q in r.questions)),
        ),
    )  # fmt: skip
