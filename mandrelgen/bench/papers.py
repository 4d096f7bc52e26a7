"""The request for quotation, as values and as a plain text for e-mail."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

from mandrelgen.bench import inspection
from mandrelgen.mandrel import Mandrel
from mandrelgen.spec.shop import Shop
from mandrelgen.standards import materials

BREAKS = (1, 2, 5)
WIDTH = 76


@dataclass(frozen=True, slots=True)
class Item:
    """One fixture of the request. ``number``/``revision`` empty: not issued."""

    number: str
    revision: str
    title: str
    thread: str
    material: str
    standard: str
    quantity: int
    thread_order: str


@dataclass(frozen=True, slots=True)
class Point:
    """A subject of the request and what it says."""

    subject: str
    text: str


@dataclass(frozen=True, slots=True)
class Request:
    """The whole request for quotation, one page."""

    title: str
    date: str
    owner: str
    items: tuple[Item, ...]
    points: tuple[Point, ...]
    questions: tuple[str, ...]


ORDERED = {
    "single-point": "single-pointed to the limits on the drawing",
    "my-tool": "cut with my own tool, sent along",
    "blank": "left as a blank at the size on the drawing, not threaded",
}
QUESTIONS = (
    f"Price for each of {', '.join(str(n) for n in BREAKS)} pieces of every item, tooling apart",
    "Lead time after order",
    "What you would rather change: material, tolerance, how the thread is made",
    "How you will measure the threads and the run-out",
    "How long the offer stands",
)


def item(mandrel: Mandrel, number: str = "", revision: str = "") -> Item:
    """A fixture as an item of the request."""
    m = materials.material(mandrel.ordering.material)
    threads = ", ".join(
        f"{t.limits.designation.text}-{t.limits.tolerance_class}"
        if not t.limits.designation.tolerance_class
        else t.limits.designation.text
        for t in mandrel.threads
    )
    orders = {t.order for t in mandrel.threads}
    return Item(
        number,
        revision,
        mandrel.title,
        threads or "plain",
        m.name,
        m.standard,
        mandrel.ordering.quantity,
        "; ".join(ORDERED[o] for o in sorted(orders)) or "no thread",
    )


def request(
    title: str, owner: str, date: str, mandrels: Sequence[tuple[Mandrel, str, str]], shop: Shop
) -> Request:
    """The request for fixtures (mandrel, number, revision); ``date`` ISO 8601."""
    items = tuple(item(m, n, r) for m, n, r in mandrels)
    return Request(
        f"Request for quotation: mandrels for {title}",
        date,
        owner,
        items,
        tuple(_points([m for m, _, _ in mandrels], shop)),
        QUESTIONS,
    )


def _points(mandrels: Sequence[Mandrel], shop: Shop) -> list[Point]:
    out = [
        Point(
            "documents",
            "drawing (PDF, DXF) and model (STEP) of the same number and revision; the drawing "
            "decides. Say if you cannot open one of them",
        ),
        Point("quantities", "as listed; please also quote " + ", ".join(map(str, BREAKS))),
        Point(
            "material",
            "grade and condition as on the drawing; a substitute only after asking. Certificate: "
            "EN 10204 2.1 will do",
        ),
        Point("treatment", "none; sizes are finished sizes"),
        Point(
            "edges and marks",
            "as on the drawing; centre holes as stated there; no collet marks on the shank, no "
            "longitudinal marks",
        ),
        _samples(mandrels),
        Point("inspection report", _report(mandrels, shop)),
        Point("first piece", "if more than two are ordered, please show me the first"),
        Point("marking", "the number, on the neck or the shank's end, not on shank or seat"),
        Point("packing", "oiled, singly wrapped; threads and seats must not touch each other"),
        Point("delivery", "to: ____________________   wanted by: __________"),
    ]
    return out


def _samples(mandrels: Sequence[Mandrel]) -> Point:
    tools = sorted(
        {
            ("die" if t.limits.external else "tap") + " " + t.limits.designation.text
            for m in mandrels
            for t in m.threads
            if t.order == "my-tool"
        }
    )
    parts = sorted({m.part for m in mandrels})
    text = f"sample parts as gauges, to be returned: {', '.join(parts)}"
    if tools:
        text += f"; tools sent along, to be returned: {', '.join(tools)}"
    return Point("sent along", text)


def _report(mandrels: Sequence[Mandrel], shop: Shop) -> str:
    asked = sorted(
        {
            line.what.removeprefix("b.").replace("spigot1", "spigot")
            for m in mandrels
            for line in inspection.sheet(m, shop)
            if line.proof == "shop" and line.functional
        }
    )
    if not asked:
        return "not needed: I can prove every functional size"
    return f"measured values, and with what, of what I cannot prove: {'; '.join(asked)}"


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
    out += ["", "With thanks", r.owner or "", r.date]
    return "\n".join(line.rstrip() for line in out) + "\n"


def _wrapped(text: str, indent: str = "") -> list[str]:
    lead = text[: len(text) - len(text.lstrip())]
    return textwrap.wrap(
        text.strip(), WIDTH, initial_indent=lead, subsequent_indent=indent,
        break_long_words=False, break_on_hyphens=False,
    )  # fmt: skip
