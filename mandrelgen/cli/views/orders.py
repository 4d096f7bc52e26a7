"""What ``book`` and ``orders`` print."""

from __future__ import annotations

from collections.abc import Sequence

from mandrelgen.archive.record_files import Entry
from mandrelgen.archive.states import State
from mandrelgen.workflows.booking import Booked, OrderLine, OrderStanding


def booked_text(b: Booked) -> str:
    """One line a fixture."""
    lines = [f"{_name(e)} is {b.state.said}" for e in b.changed]
    lines += [f"{_name(e)} was {b.state.said} already" for e in b.kept]
    return "\n".join(lines)


def _name(e: Entry) -> str:
    return f"{e.number} {e.revision}" + (f".{e.draft}" if e.draft > 1 else "")


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
    text += f", {x.told_whom}" if x.whom else ""
    text += f", {x.price}" if x.price else ""
    return text + (f", promised for {x.promised}" if x.promised else "")
