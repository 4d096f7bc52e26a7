"""The request as one asks a one-man shop: ten lines, as an e-mail text and as a page. What the
buyer's check list adds stands in the strict one (`quotation`)."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import text_of
from mandrelgen.design.stock_taps import CLASS
from mandrelgen.model.characteristic import Kind
from mandrelgen.model.feature import FeatureKind
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.paper.reports.grids import Grid, GridPage, pairs
from mandrelgen.paper.reports.quotation import ORDERED, WIDTH, Item, Request
from mandrelgen.standards import materials
from mandrelgen.workshop.turning.acceptance import go_gauge, special_gauge

OFF = (1, 2)
"""How many of each a price is asked for."""

_AT = {FeatureKind.SEAT: "locating face"}
_WAYS = {
    "single-point": ORDERED["single-point"],
    "stock-tap": f"tapped with a stock tap of yours, class {CLASS}",
    "my-tool": "cut with my own {tool}, which I send with the order",
    "blank": "left as a plain blank: I cut it myself",
}
Named = Sequence[tuple[str, Mandrel]]
"""Mandrels with their number and revision."""


@dataclass(frozen=True, slots=True)
class Contact:
    """Who asks: name, address, phone; empty where nothing is known."""

    name: str = ""
    address: str = ""
    phone: str = ""

    @property
    def lines(self) -> tuple[str, ...]:
        """Those that are known."""
        return tuple(x for x in (self.name, self.address, self.phone) if x)


@dataclass(frozen=True, slots=True)
class PlainRequest:
    """The plain request: its subject line, the items, what matters, what is asked."""

    subject: str
    items: tuple[tuple[str, str, str, str, str], ...]
    points: tuple[str, ...]
    questions: tuple[str, ...]
    contact: Contact
    date: str


def plain_request(
    r: Request, mandrels: Sequence[Mandrel], contact: Contact, before: str = ""
) -> PlainRequest:
    """The plain manner of the request ``r`` for these mandrels; ``before``: what is to be said of
    those that were made before (empty: nothing)."""
    names = [i.name for i in r.items]
    off = sum(i.quantity for i in r.items)
    part = "turned part" if off == 1 else "turned parts"
    shown = names if len(names) <= 3 else [names[0], "…", names[-1]]
    named = tuple(zip(names, mandrels, strict=True))
    points = [
        p
        for p in (before, _thread(named), _test_pieces(mandrels), _gauges(mandrels), _runout(named))
        if p
    ]
    if r.wanted_by:
        points.append(f"I need {'it' if off == 1 else 'them'} by {r.wanted_by}.")
    return PlainRequest(
        subject=f"Price for {off} {part}: {', '.join(shown)}",
        items=tuple(
            (i.name, i.title, i.thread, _material(i, m), str(i.quantity))
            for i, m in zip(r.items, mandrels, strict=True)
        ),
        points=tuple(points),
        questions=(
            f"your price for {_or(OFF)} off" + " of each" * (len(r.items) > 1),
            "your lead time",
            "what you would change to make it cheaper",
        ),
        contact=contact,
        date=r.date,
    )  # fmt: skip


def _material(i: Item, m: Mandrel) -> str:
    """The material with its number and what a shop calls it: ``stainless steel X8CrNiS18-9 (1.4305,
    303)``."""
    held = materials.material(m.ordering.material)
    if held.kind != "metal":
        return i.material
    codes = [c for c in (held.id, held.said) if c and c not in held.name]
    return f"{i.material} ({', '.join(codes)})" if codes else i.material


def _or(counts: Sequence[int]) -> str:
    return " and for ".join(map(str, counts))


def _thread(named: Named) -> str:
    """How the threads are made; each way with its parts where there are several."""
    ways: dict[str, list[str]] = {}
    for name, m in named:
        for t in m.threads:
            tool = "die" if t.limits.external else "tap"
            ways.setdefault(_WAYS[t.order].format(tool=tool), []).append(name)
    said = [
        f"{_and(dict.fromkeys(names))} {way}" if len(ways) > 1 else way
        for way, names in ways.items()
    ]
    return f"Threads: {'; '.join(said)}." if said else ""


_PIECE = {
    "tap": "a ring with the thread cut with my tap",
    "die": "a stud with the thread cut with my die",
}


def _test_pieces(mandrels: Sequence[Mandrel]) -> str:
    """What the thread is tried with: pieces cut as the pen's parts are."""
    tried = [t for m in mandrels for t in m.threads if t.order != "blank"]
    tools = sorted({"tap" if t.limits.external else "die" for t in tried}, reverse=True)
    if not tried:
        return ""
    which = "the thread" if len(tried) == 1 else "each thread"
    starts = " in every start" if any(t.form.starts > 1 for t in tried) else ""
    return (
        f"A test piece for {which}, {' or '.join(_PIECE[t] for t in tools)}, comes with the "
        f"order: it must screw home by hand{starts} and seat all round."
    )


def _gauges(mandrels: Sequence[Mandrel]) -> str:
    """What decides where no shop has a gauge; see `acceptance.rule_of`."""
    special = [(m, t) for m in mandrels for t in m.threads if special_gauge(t, m)]
    if not special:
        return ""
    tried = [t for m in mandrels for t in m.threads if t.order != "blank"]
    names = ", ".join(dict.fromkeys(t.limits.designation.text for _, t in special))
    if len(special) == len(tried):
        names = "this thread" if len(tried) == 1 else "these threads"
    gauge = "a GO gauge you turn or the" if any(go_gauge(t, m) for m, t in special) else "the"
    return (
        f"No shop has a gauge for {names}; buy none: {gauge} test piece, screwing home without "
        "shake, decides, the limits guide. If a piece within them does not, that is mine: ask."
    )


def _runout(named: Named) -> str:
    """The run-outs asked for, as the drawings have them; each with its parts where not all have
    it."""
    found: dict[tuple[str, float], list[str]] = {}
    for name, m in named:
        for c in m.characteristics:
            if c.kind in (Kind.RUNOUT, Kind.FACE_RUNOUT) and c.upper is not None:
                at = _AT.get(c.subject, c.feature.word)
                found.setdefault((at, c.upper), []).append(name)
    said = [
        f"{at} {text_of(value)}" + (f" ({_and(names)})" if len(names) < len(named) else "")
        for (at, value), names in sorted(found.items())
    ]
    return f"Run-out to the shank at most, as drawn (mm, TIR): {', '.join(said)}." if said else ""


def _and(names: Iterable[str]) -> str:
    *first, last = names
    return f"{', '.join(first)} and {last}" if first else last


def email(p: PlainRequest) -> str:
    """The request as plain text, at most 76 characters a line, its subject on top."""
    one = len(p.items) == 1
    out = [f"Subject: {p.subject}", "", "Good day,", ""]
    out += _wrap(
        f"please quote for {'this turned part' if one else 'these turned parts'}; the drawing "
        "(PDF), a STEP model (nominal, threads at mid-limits) and an outline DXF (mid-limits) "
        f"{'are' if one else 'of each are'} enclosed. The drawing takes precedence."
    )
    out += _listed(p.items)
    for point in p.points:
        out += _wrap(point)
    *first, last = p.questions
    out += _wrap(f"Please tell me {', '.join(first)}, and {last}.")
    out += ["", "With thanks", *p.contact.lines, p.date]
    return "\n".join(out) + "\n"


def _listed(items: Sequence[tuple[str, str, str, str, str]]) -> list[str]:
    """The parts, numbered, between empty lines."""
    out = [""]
    for n, (name, title, thread, material, quantity) in enumerate(items, 1):
        thread = "no thread" if thread == "plain" else thread
        out += _wrap(f"{n}. {name}: {title}, {thread}, {material}, {quantity} off", "   ")
    return [*out, ""]


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreed:
    """What was agreed on before an order, as it was booked: ``price`` and day ``promised`` in words
    (empty: not said), ``date``: of the order (ISO 8601)."""

    order: str
    price: str
    promised: str
    date: str


def order_email(r: Request, mandrels: Sequence[Mandrel], contact: Contact, agreed: Agreed) -> str:
    """What orders the parts of the request ``r``, as plain text: it releases their drawings."""
    p = plain_request(r, mandrels, contact)
    names = [i.name for i in r.items]
    named = tuple(zip(names, mandrels, strict=True))
    one = len(names) == 1
    out = [f"Subject: Order {agreed.order}", "", "Good day,", ""]
    out += _wrap(f"I order, by my request of {r.date} and the papers sent with it:")
    out += _listed(p.items)
    if agreed.price:
        out += _wrap(f"Price as agreed: {agreed.price}.")
    if agreed.promised:
        out += _wrap(f"Delivery as agreed: {agreed.promised}.")
    elif r.wanted_by:
        out += _wrap(f"Required by {r.wanted_by}.")
    out += _wrap(
        f"This order releases the {'drawing' if one else 'drawings'} {_and(names)}, in "
        f"{'this revision' if one else 'these revisions'} and no other."
    )
    for point in (_thread(named), _test_pieces(mandrels), _gauges(mandrels)):
        out += _wrap(point)
    out += ["Please confirm it.", "", "With thanks", *p.contact.lines, agreed.date]
    return "\n".join(out) + "\n"


def _wrap(text: str, indent: str = "") -> list[str]:
    return textwrap.wrap(
        text, WIDTH, subsequent_indent=indent, break_long_words=False, break_on_hyphens=False
    )


def page(p: PlainRequest) -> GridPage:
    """The request as one page."""
    contact = ", ".join(p.contact.lines) or "____________________"
    points = (
        *p.points,
        "Enclosed: of each part the drawing (PDF), a STEP model (nominal sizes, threads at "
        "mid-limits) and an outline DXF (every size at mid-limits). The drawing takes precedence.",
    )
    return GridPage(
        "request",
        p.subject,
        (
            pairs("From", (("customer", contact), ("date", p.date))),
            Grid("Parts", ("number", "what", "thread", "material", "qty"),
                 (0.14, 0.32, 0.26, 0.22, 0.06), p.items),
            Grid("What matters", ("",), (1.0,), tuple((x,) for x in points)),
            Grid("Please tell me", ("", ""), (0.5, 0.5), tuple((q, "") for q in p.questions)),
        ),
    )  # fmt: skip
