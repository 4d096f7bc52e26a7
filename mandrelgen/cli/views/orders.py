"""What ``book`` and ``orders`` print."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from mandrelgen.archive.record_files import Entry
from mandrelgen.archive.states import State
from mandrelgen.workflows.booking import Booked, OrderLine, OrderStanding

View = dict[str, Any]


def booked_text(b: Booked) -> str:
    """One line a fixture."""
    lines = [f"{_name(e)} is {b.state.said}" for e in b.changed]
    lines += [f"{_name(e)} was {b.state.said} already" for e in b.kept]
    return "\n".join(lines)


def booked_view(b: Booked) -> View:
    """What ``book --json`` prints."""
    return {
        "state": b.state.value,
        "changed": [{"number": e.number, "revision": e.revision} for e in b.changed],
        "kept": [{"number": e.number, "revision": e.revision} for e in b.kept],
    }


def _name(e: Entry) -> str:
    return f"{e.number} {e.revision}" + (f".{e.draft}" if e.draft > 1 else "")


def orders_view(found: Sequence[OrderStanding]) -> View:
    """What ``orders --json`` prints: the orders that stand, and apart those superseded."""
    return {
        "orders": [_order(o) for o in found if not o.superseded_by],
        "superseded": [
            {**_order(o), "superseded_by": o.superseded_by} for o in found if o.superseded_by
        ],
    }


def _order(o: OrderStanding) -> View:
    return {
        "id": o.order.id,
        "pen": o.order.pen,
        "date": o.order.date,
        "state": o.state.value,
        "mandrels": [
            {
                "number": x.number, "revision": x.revision, "draft": x.draft,
                "quantity": x.quantity, "state": x.state.value, "whom": x.whom or None,
                "since": x.since or None, "promised": x.promised or None, "price": x.price or None,
            }
            for x in o.lines
        ],
    }  # fmt: skip


def orders_text(found: Sequence[OrderStanding], every: bool = False) -> str:
    """The orders with something outstanding or nothing asked yet, a line a fixture."""
    shown = [
        o for o in found
        if every or (not o.superseded_by
                     and any(x.outstanding or x.state is State.DESIGNED for x in o.lines))
    ]  # fmt: skip
    if not shown:
        return "nothing is outstanding" + ("" if every else "; --all lists every order")
    out = []
    for o in shown:
        head = f"{o.order.id}  ({o.order.pen})"
        if o.superseded_by:
            out.append(f"{head}  SUPERSEDED by {o.superseded_by}")
            continue
        if all(x.state is State.DESIGNED for x in o.lines):
            head += f"  not sent: `book {o.order.id} asked --whom …` once it is"
        out.append(head)
        out += [f"  {_line(x)}" for x in o.lines if every or x.outstanding]
    return "\n".join(out)


def _line(x: OrderLine) -> str:
    text = f"{x.name:12}  {x.quantity} off  {x.state.said}"
    text += f" since {x.since}" if x.since else ""
    text += f", {x.whom}" if x.whom else ""
    text += f", {x.price}" if x.price else ""
    return text + (f", promised for {x.promised}" if x.promised else "")
