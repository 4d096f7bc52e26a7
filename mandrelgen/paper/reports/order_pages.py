"""The order's papers as titles and tables of text: request for quotation, bench card."""

from __future__ import annotations

from mandrelgen.core.tolerance import text_of
from mandrelgen.paper.reports.bench_card import BenchCard, BenchHole, CardPart, TapOrDie
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


def bench_page(b: BenchCard) -> GridPage:
    """The pen maker's card, one page."""
    blanks = tuple(
        (x.part, text_of(x.length), f"⌀{text_of(x.diameter)} × {text_of(x.finished)}", x.made_of,
         x.why)
        for x in b.blanks
    )  # fmt: skip
    held = tuple(
        (str(x.order), x.part, x.number or x.mandrel or "none", x.collet,
         "-" if x.stand_off is None else text_of(x.stand_off, 1), _speed(x))
        for x in b.held
    )  # fmt: skip
    at = [*((h.part, h.end) for h in b.holes), *((c.part, c.end) for c in b.cuts)]
    worked = tuple(
        (f"{part}, {end}",
         ", ".join(_hole(h) for h in b.holes if (h.part, h.end) == (part, end)) or "-",
         "; ".join(_cut(c) for c in b.cuts if (c.part, c.end) == (part, end)) or "-")
        for part, end in dict.fromkeys(at)
    )  # fmt: skip
    return GridPage(
        "bench",
        f"Bench card: {b.pen}",
        (
            Grid("Blanks", ("part", "saw off", "finished", "of", "why"),
                 (0.13, 0.1, 0.17, 0.18, 0.42), blanks),
            Grid("Each end before the outside: holes ⌀ × depth, narrowest first; then threads",
                 ("end", "holes", "taps and dies"), (0.13, 0.44, 0.43), worked),
            Grid("On the mandrels, in this order; stand-off from the nut to the seat",
                 ("", "part", "mandrel", "collet", "stand-off", "highest speed, or how"),
                 (0.03, 0.12, 0.15, 0.2, 0.1, 0.4), held),
        ),
        (*b.cautions,
         "Counterbore before the tap; guide taps and dies by the tailstock, clear chips; "
         f"a tap's hole a pitch or two deeper if the wall allows. Allowances: {b.source}."),
    )  # fmt: skip


def _hole(h: BenchHole) -> str:
    note = f" ({h.note})" if h.note else ""
    return f"{h.tool} ⌀{text_of(h.diameter)} × {text_of(h.depth)}{note}"


def _cut(c: TapOrDie) -> str:
    note = f", {c.note}" if c.note else ""
    return f"{c.tool} {c.thread} × {text_of(c.length)}{note}"


def _speed(x: CardPart) -> str:
    """The highest safe speed with its reason; a mandrel that must not run says so first. Without a
    mandrel: how the part is turned instead."""
    if x.speed is None:
        return x.limited_by or "not turned on"
    if x.speed == 0:
        return f"DO NOT RUN: {x.limited_by}"
    start = f", start at {x.start}" if x.start is not None and x.start < x.speed else ""
    up = "tailstock up; " if x.tailstock else ""
    return f"{x.speed}/min{start} ({up}{x.limited_by})"
