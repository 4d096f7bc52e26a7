"""The written order: the e-mail that orders what a request asked for, at the price and for the day
that were booked, and so releases its drawings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from mandrelgen.archive.disk.files import exists
from mandrelgen.archive.mandrel_json import NAME, read_mandrel
from mandrelgen.archive.naming import revision_folder
from mandrelgen.archive.states import HAD, State
from mandrelgen.core.clock import date_of
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.paper.reports import quotation
from mandrelgen.paper.reports.plain_request import Agreed, order_email
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.shop import Shop
from mandrelgen.workflows.archives import archive_of, fault
from mandrelgen.workflows.booking import OrderLine, OrderStanding, standing
from mandrelgen.workflows.order import contact


def order_in_writing(folder: Path, id: str, pen: Pen, shop: Shop) -> str:
    """What orders the order ``id`` of the archive ``folder``, as an e-mail. Raises InputError where
    ``pen`` has no such order or no price is booked of it, DiskError."""
    every = standing(folder, pen.pen.id)
    found = next((s for s in every if s.order.id == id), None)
    if found is None:
        of_pen = ", ".join(s.order.id for s in every[-3:])
        raise fault("order.unknown", id[:80], f"the pen {pen.pen.id} has no order of that name",
                    f"its orders: {of_pen}" if every else
                    "make the pen first, or name its archive with --to")  # fmt: skip
    letter = order_letter(folder, found, pen, shop)
    if not letter:
        raise fault("order.no_price", id, "no price is booked of it, so nothing is to be ordered",
                    f"book what was quoted: mandrelgen book {id} quoted --price 48.50")  # fmt: skip
    return letter


def order_letter(folder: Path, s: OrderStanding, pen: Pen, shop: Shop) -> str:
    """What orders an order of the archive, once a price was said or it is ordered; empty before,
    and where a fixture's folder is gone. ``pen`` and ``shop`` say who orders. Raises InputError,
    DiskError."""
    ordered = [x for x in s.lines if x.state is State.ORDERED]
    told = [x for x in s.lines if x.state in (State.ORDERED, *HAD, State.LOST)]
    if not ordered:
        told = [x for x in s.lines if x.state is State.QUOTED and x.price]
    if not told:
        return ""
    root, mandrels = archive_of(folder).root, list[Mandrel]()
    for x in told:
        place = root / x.number / revision_folder(x.revision, x.draft)
        if not exists(place / NAME):
            return ""
        mandrels.append(read_mandrel(place))
    wanted = str(s.order.facts.get("wanted_by") or "")
    named = [(m, x.number, x.revision) for m, x in zip(mandrels, told, strict=True)]
    title = pen.pen
    r = quotation.request(title.name, title.owner, s.order.date, named, shop, wanted)
    items = (replace(i, quantity=x.quantity) for i, x in zip(r.items, told, strict=True))
    agreed = Agreed(
        order=s.order.id, price=_price(told, len(s.lines)), promised=_promised(told),
        date=ordered[0].since if ordered else date_of(None),
    )  # fmt: skip
    return order_email(replace(r, items=tuple(items)), mandrels, contact(pen, shop), agreed)


def _price(lines: Sequence[OrderLine], every: int) -> str:
    """One for all of it, or each one's own, as it was said; ``every``: how many parts were asked
    for, since a price of all says nothing of some."""
    if every == 1:
        return lines[0].price
    whole = all(x.price_of_all for x in lines) and len(lines) == every
    if whole and len({x.price for x in lines}) == 1:
        return f"{lines[0].price} for all of it"
    return ", ".join(f"{x.name} {x.price}" for x in lines if x.price and not x.price_of_all)


def _promised(lines: Sequence[OrderLine]) -> str:
    """One day for all, or each one's own."""
    if len({x.promised for x in lines}) == 1:
        return lines[0].promised
    return ", ".join(f"{x.name} {x.promised}" for x in lines if x.promised)
