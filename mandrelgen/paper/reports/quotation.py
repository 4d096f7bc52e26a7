"""The request for quotation, as values and as a plain text for e-mail."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from mandrelgen.core.frozen import dataclass
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.shop import Shop
from mandrelgen.standards import materials
from mandrelgen.workshop.turning import inspection_plan
from mandrelgen.workshop.turning.acceptance import rule_of
from mandrelgen.workshop.turning.names import asked

BREAKS = (1, 2, 5)
WIDTH = 76
CERTIFICATE = "EN 10204 2.1"


@dataclass(frozen=True, slots=True)
class Asked:
    """A characteristic to be reported: its balloon, id and name."""

    balloon: int
    id: str
    what: str


@dataclass(frozen=True, slots=True)
class Sent:
    """What travels with the order and comes back."""

    samples: tuple[str, ...]
    tools: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One fixture of the request. ``number``/``revision`` empty: not issued. ``thread_order``: how
    the thread is ordered; ``judged_by``: the limits or the test piece, for each thread;
    ``report``: the characteristics asked of the shop, which home instruments cannot prove, with
    their balloons."""

    number: str
    revision: str
    part: str
    title: str
    thread: str
    material: str
    standard: str
    quantity: int
    thread_order: str
    judged_by: tuple[str, ...]
    report: tuple[Asked, ...]
    place: int = 0

    @property
    def name(self) -> str:
        """Number and revision, else its place in the request."""
        return f"{self.number} {self.revision}".strip() or f"item {self.place}"


@dataclass(frozen=True, slots=True)
class RequestPoint:
    """A subject of the request and what it says."""

    subject: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Request:
    """The whole request for quotation, one page."""

    title: str
    date: str
    owner: str
    items: tuple[Item, ...]
    points: tuple[RequestPoint, ...]
    questions: tuple[str, ...]
    sent: Sent
    breaks: tuple[int, ...] = BREAKS
    certificate: str = CERTIFICATE
    wanted_by: str = ""


ORDERED = {
    "single-point": "screwcut to the limits on the drawing",
    "stock-tap": "tapped with a stock tap of the shop's, to the limits on the drawing",
    "my-tool": "cut with my own {tool}, enclosed",
    "blank": "left as a blank at the size on the drawing, not threaded",
}
"""How a thread is ordered, as it is read and as orders' records have it."""
QUESTIONS = (
    f"Price for each of {', '.join(str(n) for n in BREAKS)} pieces of every item, tooling apart",
    "Lead time after order",
    "What you would rather change: material, tolerance, how the thread is made",
    "How you will measure the threads and the run-out",
    "Validity of the quotation",
)


def item(mandrel: Mandrel, shop: Shop, number: str = "", revision: str = "") -> Item:
    """A fixture as an item of the request."""
    m = materials.material(mandrel.ordering.material)
    threads = ", ".join(
        f"{t.limits.designation.text}-{t.limits.tolerance_class}"
        if not t.limits.designation.tolerance_class
        else t.limits.designation.text
        for t in mandrel.threads
    )
    orders = {t.order for t in mandrel.threads}
    outside = sorted({t.limits.external for t in mandrel.threads}, reverse=True)
    tools = " and ".join("die" if external else "tap" for external in outside)
    return Item(
        number=number,
        revision=revision,
        part=mandrel.part,
        title=mandrel.title,
        thread=threads or "plain",
        material=m.name,
        standard=m.standard,
        quantity=mandrel.ordering.quantity,
        thread_order="; ".join(ORDERED[o].format(tool=tools) for o in sorted(orders))
        or "no thread",
        judged_by=tuple(rule_of(t, mandrel).judge for t in mandrel.threads),
        report=tuple(
            Asked(line.number, line.id, asked(mandrel.characteristic(line.id)))
            for line in inspection_plan.sheet(mandrel, shop)
            if line.proof == "shop" and line.inspected
        ),
    )


def request(
    title: str, owner: str, date: str, mandrels: Sequence[tuple[Mandrel, str, str]], shop: Shop,
    wanted_by: str = "",
) -> Request:  # fmt: skip
    """The request for fixtures (mandrel, number, revision); ``date`` and ``wanted_by`` (may be
    empty) ISO 8601."""
    items = tuple(
        replace(item(m, shop, n, r), place=place) for place, (m, n, r) in enumerate(mandrels, 1)
    )
    sent = _sent([m for m, _, _ in mandrels])
    who = owner or shop.name
    known = [x for x in (who or "____________________", shop.address, shop.phone, date) if x]
    head = [RequestPoint("from", ", ".join(known))]
    points = _points([m for m, _, _ in mandrels], items, sent, wanted_by, shop.address)
    return Request(
        title=f"Request for quotation: mandrels for {title}",
        date=date,
        owner=who,
        items=items,
        points=(*head, *points),
        questions=QUESTIONS,
        sent=sent,
        wanted_by=wanted_by,
    )


def _points(
    mandrels: Sequence[Mandrel], items: Sequence[Item], sent: Sent, wanted_by: str, address: str
) -> list[RequestPoint]:
    return [
        RequestPoint(
            "documents",
            "drawing (PDF, DXF), model (STEP, nominal sizes, threads at mid-limits) and outline "
            "(DXF, every size at mid-limits) of the same number and revision; the drawing takes "
            "precedence. Say if you cannot open one of them",
        ),
        RequestPoint("quantities", "as listed; please also quote " + ", ".join(map(str, BREAKS))),
        *_materials(items),
        *_threads(mandrels, items),
        RequestPoint(
            "edges and marks",
            "as on the drawing; centre holes as stated there; no scores lengthwise on the shank",
        ),
        RequestPoint("enclosed, on loan", _sent_text(sent)),
        RequestPoint("inspection report", _report(items)),
        RequestPoint("first-off", "if more than two are ordered, send me the first for approval"),
        RequestPoint(
            "marking", "as the drawing says; not on the shank's cylinder, not on the seat"
        ),
        RequestPoint(
            "packing", "oiled, singly wrapped; threads and seats must not touch each other"
        ),
        RequestPoint(
            "delivery",
            f"to: {address or '____________________'}; required by: {wanted_by or '__________'}",
        ),
    ]


def _materials(items: Sequence[Item]) -> list[RequestPoint]:
    """Each material with its condition, and which fixtures are made of it."""
    by: dict[str, list[str]] = {}
    for i in items:
        by.setdefault(f"{i.material} ({i.standard})", []).append(i.name)
    said = "; ".join(
        text if len(by) == 1 else f"{', '.join(names)}: {text}" for text, names in by.items()
    )
    return [
        RequestPoint(
            "material",
            f"{said}; no treatment, sizes are finished sizes; a substitute only after asking. "
            f"Certificate: {CERTIFICATE} will do",
        )
    ]


def _threads(mandrels: Sequence[Mandrel], items: Sequence[Item]) -> list[RequestPoint]:
    """How each thread is made, what judges it and who brings the gauge; alike ones together."""
    by: dict[str, list[str]] = {}
    for m, i in zip(mandrels, items, strict=True):
        for t in m.threads:
            rule = rule_of(t, m)
            by.setdefault(f"{rule.text}; {rule.supply}", []).append(i.name)
    return [
        RequestPoint(f"threads of {', '.join(dict.fromkeys(names))}", text)
        for text, names in by.items()
    ]


def _sent(mandrels: Sequence[Mandrel]) -> Sent:
    tools = sorted(
        {
            ("die" if t.limits.external else "tap") + " " + t.limits.designation.text
            for m in mandrels
            for t in m.threads
            if t.order == "my-tool"
        }
    )
    return Sent(tuple(sorted({m.part for m in mandrels})), tuple(tools))


def _sent_text(sent: Sent) -> str:
    text = f"customer's test pieces for {', '.join(sent.samples)}"
    return text + (f"; in holders: {', '.join(sent.tools)}" if sent.tools else "")


def _report(items: Sequence[Item]) -> str:
    """What home instruments cannot prove, by the balloons of each drawing; what several fixtures
    are asked alike is named once."""
    by: dict[str, list[str]] = {}
    for i in items:
        for a in i.report:
            by.setdefault(a.what, []).append(f"{i.number or i.name} no. {a.balloon}")
    if not by:
        return "not needed: I can prove every inspected size"
    said = "; ".join(f"{what} ({', '.join(where)})" for what, where in by.items())
    return f"measured values with their uncertainty, and with what, of what I cannot prove: {said}"


def facts(r: Request) -> dict[str, Any]:
    """What the request asks for, as plain JSON values for the order's record."""
    return {
        "items": [
            {
                "number": i.number, "revision": i.revision, "part": i.part, "thread": i.thread,
                "thread_order": i.thread_order, "judged_by": list(i.judged_by),
                "material": i.material, "standard": i.standard, "quantity": i.quantity,
                "report": [{"balloon": a.balloon, "id": a.id} for a in i.report],
            }
            for i in r.items
        ],
        "also_quoted": list(r.breaks),
        "certificate": r.certificate,
        "sent_along": {"samples": list(r.sent.samples), "tools": list(r.sent.tools)},
        "wanted_by": r.wanted_by or None,
    }  # fmt: skip


def email(r: Request) -> str:
    """The request as plain text, at most 76 characters a line."""
    out = [r.title, ""]
    out += _wrapped("Good day,")
    out += _wrapped("please quote for the following turned parts:")
    out.append("")
    for n, i in enumerate(r.items, 1):
        name = f"{i.number} {i.revision}".strip() or "not issued"
        out += _wrapped(f"{n}. {name}: {i.title}, {i.quantity} off", "   ")
        out += _wrapped(f"   {i.thread}; thread {i.thread_order}", "   ")
        out += _wrapped(f"   {i.material} ({i.standard})", "   ")
    out.append("")
    for p in r.points:
        out += _wrapped(f"- {p.subject}: {p.text}", "  ")
    out += ["", *_wrapped("Please answer:")]
    for q in r.questions:
        out += _wrapped(f"- {q}.", "  ")
    out += ["", "With thanks", *([r.owner] if r.owner else []), r.date]
    return "\n".join(line.rstrip() for line in out) + "\n"


def _wrapped(text: str, indent: str = "") -> list[str]:
    lead = text[: len(text) - len(text.lstrip())]
    return textwrap.wrap(
        text.strip(), WIDTH, initial_indent=lead, subsequent_indent=indent,
        break_long_words=False, break_on_hyphens=False,
    )  # fmt: skip
