"""The orders of a pen as its page shows them: what each holds, how it stands, what to send."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from mandrelgen.archive.disk import files
from mandrelgen.core.frozen import dataclass
from mandrelgen.page.desk import Desk
from mandrelgen.page.runs import MakeRun
from mandrelgen.page.seen import Seen
from mandrelgen.page.shown import Card
from mandrelgen.workflows.answers.texts import text

if TYPE_CHECKING:
    from mandrelgen.workflows.booking import OrderLine, OrderStanding


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderRow:
    """An order on the page. ``open``: nobody has it yet, or who had it declined; ``awaited``: an
    answer to it is; ``states``: how its fixtures stand; ``letter``: the request, ``order``: what
    orders it, as an e-mail, once a price was said or it is ordered; ``whom``: who was asked last,
    be it for another order."""

    id: str
    date: str
    numbers: tuple[str, ...]
    parts: tuple[str, ...]
    open: bool
    awaited: bool
    sent: bool
    states: tuple[str, ...]
    letter: str
    order: str
    whom: str


def orders(desk: Desk, seen: Seen) -> list[OrderRow]:
    """The orders of this pen that are in the archive, newest first. Raises DiskError."""
    from mandrelgen.archive.naming import MARKER
    from mandrelgen.workflows.booking import standing

    if not files.exists(desk.archive / MARKER):
        return []
    found = standing(desk.archive, seen.pen.pen.id)
    asked = [x.whom for s in found for x in s.lines if x.whom]
    return [_row(desk, seen, s, asked[-1] if asked else "") for s in found][::-1]


def _row(desk: Desk, seen: Seen, s: OrderStanding, whom: str) -> OrderRow:
    from mandrelgen.archive.naming import ORDERS
    from mandrelgen.archive.states import State
    from mandrelgen.workflows.order_letter import order_letter

    inputs = seen.look.checked.inputs
    o, states = s.order, [x.state for x in s.lines]
    place = desk.archive / ORDERS / o.id / "request.txt"
    # An order of an older version has none.
    letter = files.read_file(place) if files.exists(place) else b""
    return OrderRow(
        id=o.id,
        date=str(o.date),
        numbers=tuple(i.number for i in o.items),
        parts=_items(desk, s),
        open=any(x in (State.DESIGNED, State.DECLINED) for x in states),
        awaited=any(x in (State.ASKED, State.QUOTED) for x in states),
        sent=any(x is not State.DESIGNED for x in states),
        states=_states(s.lines),
        letter=letter.decode("utf-8"),
        order=order_letter(desk.archive, s, inputs.pen, inputs.shop),
        whom=whom,
    )


def _items(desk: Desk, s: OrderStanding) -> tuple[str, ...]:
    """Each fixture by its number, in words, how many."""
    from mandrelgen.workflows.booking import titles

    named = titles(desk.archive, s.order)
    return tuple(
        text("order.item", name=f"{i.number} {i.revision}", title=title, n=i.quantity)
        for i, title in zip(s.order.items, named, strict=True)
    )


def _states(lines: Sequence[OrderLine]) -> tuple[str, ...]:
    """How the fixtures stand, in words; which of them, where they differ."""
    said: dict[str, list[str]] = {}
    for x in lines:
        said.setdefault(_stands(x), []).append(x.name)
    if len(said) == 1:
        return tuple(said)
    return tuple(f"{', '.join(names)}: {state}" for state, names in sorted(said.items()))


def _stands(x: OrderLine) -> str:
    """How a fixture of an order stands: whose work it is, since when."""
    told = ", ".join(
        t
        for t in (
            x.told_whom,
            text("order.since", day=x.since) if x.since else "",
            x.price,
            text("order.promised_for", day=x.promised) if x.promised else "",
        )
        if t
    )
    return x.state.said + f" ({told})" * bool(told)


def wished_day(run: MakeRun | None, made: Sequence[OrderRow]) -> str:
    """The day the last run was asked for, as long as its order was not sent: it is no wish for the
    next one."""
    if run is None or any(o.id == run.order and o.sent for o in made):
        return ""
    return run.wanted_by


def another(seen: Seen, wanted: str) -> Card | None:
    """The mandrel of which another one is to be ordered: by its id, or by the number of
    the fixture that is had; None if it cannot be ordered as it is."""
    return next((c for c in seen.repeatable if wanted in (c.id, c.fixture)), None)
