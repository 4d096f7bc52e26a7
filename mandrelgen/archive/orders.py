"""Orders: sets of published fixtures with their cover page and request.

An order's id is made from what it asks for (pen, fixtures by number, revision and hash, facts such
as quantities), so that the same content finds the same order, another content gets another id,
and two runs need no counter.
"""

from __future__ import annotations

import contextlib
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from mandrelgen.archive import rounds
from mandrelgen.archive.design_hash import canonical_hash
from mandrelgen.archive.disk.files import (
    create_file,
    digest_file,
    exists,
    is_folder,
    list_folder,
    make_folder,
    remove_empty,
)
from mandrelgen.archive.disk.messages import check_names
from mandrelgen.archive.disk.store import Staged, staged, sweep
from mandrelgen.archive.events import events_of
from mandrelgen.archive.manifest import MANIFEST, make_manifest
from mandrelgen.archive.naming import ORDERED, ORDERS, revision_folder
from mandrelgen.archive.record_files import RECORD, Entry
from mandrelgen.archive.records import EventKind, Order, OrderItem, Record, load
from mandrelgen.archive.root import Archive, clear, held
from mandrelgen.archive.states import OWNED, State, history, owned
from mandrelgen.core.errors import DiskError
from mandrelgen.core.frozen import dataclass

ORDER = "order.json"
_SHORTEST, _SHORTEST_OLD = 6, 10


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderPlan:
    """Under which id an order will be published, or the order that already says the same."""

    id: str
    pen: str
    items: tuple[OrderItem, ...]
    facts: dict[str, Any]
    order_hash: str
    folder: Path
    date: str = ""
    existing: Order | None = None


def order_item(entry: Entry, quantity: int = 1) -> OrderItem:
    """A published fixture as an order names it. Raises DiskError."""
    digest, _ = digest_file(entry.folder / MANIFEST)
    return OrderItem(
        number=entry.number,
        revision=entry.revision,
        draft=entry.draft,
        design_hash=entry.record.design_hash,
        manifest_sha256=digest,
        quantity=quantity,
    )


def assign_order(
    archive: Archive, pen: str, items: Sequence[OrderItem], facts: Mapping[str, Any] | None = None,
    date: str = "",
) -> OrderPlan:  # fmt: skip
    """The id for an order of these fixtures, ``2026-05-31_heron_1a2b3c``; writes nothing.

    ``facts``: what else makes it another order (plain JSON values, no day of a run; the day a set
    is wanted by does make it another). ``date`` (ISO 8601): the day in a new order's name; empty:
    a name as they were before they had one. Raises DiskError.
    """
    facts = dict(facts or {})
    content = {"pen": pen, "items": [i.model_dump(mode="json") for i in items], "facts": facts}
    full = canonical_hash(content)
    named = {o.id: o for o in _named(archive, pen)}
    found = next((o for o in named.values() if o.order_hash == full), None)
    head, shortest = (f"{date}_{pen}_", _SHORTEST) if date else (f"{pen}-", _SHORTEST_OLD)
    names = (f"{head}{full[:length]}" for length in range(shortest, len(full) + 1))
    name = found.id if found else next(n for n in names if n not in named)
    check_names([name])
    return OrderPlan(
        id=name,
        pen=pen,
        items=tuple(items),
        facts=facts,
        order_hash=full,
        folder=archive.root / ORDERS / name,
        date=date,
        existing=found,
    )


def make_order(plan: OrderPlan, date: str, program: str, replaces: Sequence[str] = ()) -> Order:
    """The order's record; ``date`` ISO 8601, ``program`` name and version; ``replaces``: the
    orders whose place it takes."""
    return Order(
        id=plan.id,
        pen=plan.pen,
        items=plan.items,
        facts=plan.facts,
        replaces=tuple(replaces),
        order_hash=plan.order_hash,
        date=date,
        program=program,
    )


def publish_order(
    archive: Archive, plan: OrderPlan, files: Mapping[str, bytes], order: Order
) -> Path:
    """Publish an order's folder; if the same order is there, that one, untouched.

    Raises DiskError.
    """
    if (order.id, order.order_hash) != (plan.id, plan.order_hash):
        raise ValueError(f"{plan.id}: the order does not fit its plan")
    if {ORDER, MANIFEST} & {name.lower() for name in files}:
        raise ValueError(f"{ORDER} and {MANIFEST} are written by the archive")
    if plan.existing is not None:
        return plan.folder
    package = {**files, ORDER: order.to_bytes()}
    package[MANIFEST] = make_manifest(package).to_bytes()
    try:
        make_folder(archive.root)
        sweep(archive.root)
        with staged({plan.folder: package}, archive.root) as stage, held(archive):
            again = assign_order(archive, plan.pen, plan.items, plan.facts, plan.date)
            if again.existing is None:
                _commit(archive, stage, plan.folder)
        return again.folder
    finally:
        clear(archive)


def _commit(archive: Archive, stage: Staged, folder: Path) -> None:
    try:
        make_folder(folder.parent)
        stage.commit([folder])
        remember(archive)
    except BaseException:
        remove_empty([folder.parent])
        raise


def remember(archive: Archive) -> None:
    """Write down the names of the orders that are there, so that one that goes is missed. Never
    raises: a name that could not be written now is written with the next order."""
    with contextlib.suppress(DiskError):
        known = set(list_folder(archive.root / ORDERED))
        folder = archive.root / ORDERS
        new = [n for n in list_folder(folder) if n not in known and is_folder(folder / n)]
        if new:
            make_folder(archive.root / ORDERED)
        for name in new:
            create_file(archive.root / ORDERED / name, b"", archive.root)


def pens_of(archive: Archive, pen: str, entries: Sequence[Entry]) -> tuple[str, ...]:
    """The ids under which a pen's orders may stand: its own, and those its fixtures were made for
    before an id was changed. Raises DiskError."""
    found = [pen]
    for e in entries:
        for event in events_of(archive, e.number):
            if event.kind is EventKind.RENAMED:
                found.append(str(event.data.get("was", {}).get("pen", pen)))
    return tuple(dict.fromkeys(found))


def asked_for(
    archive: Archive, pens: Sequence[str], entries: Sequence[Entry]
) -> Counter[tuple[str, str]]:
    """How many of each fixture (number, design hash) are asked for or there, as far as these need
    not be ordered again: they are owned, or stand in an order of these pens of which something was
    sent. The largest quantity counts. Raises DiskError."""
    found: Counter[tuple[str, str]] = Counter()
    for e in entries:
        if owned(history(events_of(archive, e.number), e)):
            found[e.number, e.record.design_hash] = 1
    for order, states in _standing(archive, pens):
        sent = any(s is not State.DESIGNED for s in states.values())
        for item in order.items:
            state = states[item.number]
            if state in OWNED or (sent and state is State.DESIGNED):
                key = item.number, item.design_hash
                found[key] = max(found[key], item.quantity)
    return found


def item_history(archive: Archive, item: OrderItem) -> rounds.Past:
    """The states of a fixture that an order names, whatever order they belong to; designed, if its
    folder is gone. Raises DiskError."""
    place = archive.root / item.number / revision_folder(item.revision, item.draft)
    if not exists(place / RECORD):
        return ((State.DESIGNED, None),)
    entry = Entry(place, load(Record, place / RECORD))
    return history(events_of(archive, item.number), entry)


def past_in(
    archive: Archive, order: str, item: OrderItem, shared: Mapping[rounds.Item, Sequence[str]]
) -> rounds.Past:
    """The states of a fixture as far as they belong to the order of that id; ``shared``: as
    `rounds.shared` gives it. Raises DiskError."""
    past, holding = item_history(archive, item), shared.get(rounds.item_key(item), ())
    return rounds.by_order(past, holding)[order] if order in holding else past


def _standing(archive: Archive, pens: Sequence[str]) -> Iterator[tuple[Order, dict[str, State]]]:
    """The live orders of these pens and how each one's fixtures stand in it, by number."""
    live = [o for pen in pens for o in live_orders(archive, pen)]
    shared = rounds.shared(live, ())
    for o in live:
        yield o, {i.number: past_in(archive, o.id, i, shared)[-1][0] for i in o.items}


def repeats(archive: Archive, pens: Sequence[str], items: Iterable[OrderItem]) -> int:
    """How many live orders of these pens hold one of the fixtures and were ordered: another order
    of them is a new one, be it for the very same. Raises DiskError."""
    wanted = {rounds.item_key(i) for i in items}
    open_ = (State.DESIGNED, State.ASKED, State.QUOTED, State.DECLINED)
    return sum(
        any(rounds.item_key(i) in wanted and states[i.number] not in open_ for i in o.items)
        for o, states in _standing(archive, pens)
    )


def of_pen(archive: Archive, pen: str, among: Sequence[str] | None = None) -> tuple[Order, ...]:
    """A pen's orders, by name; the others are not read. Raises DiskError."""
    return tuple(o for o in _named(archive, pen, among) if o.pen == pen)


def live_orders(
    archive: Archive, pen: str, among: Sequence[str] | None = None
) -> tuple[Order, ...]:
    """A pen's orders that no other one takes the place of, by name. Raises DiskError."""
    mine = of_pen(archive, pen, among)
    gone = {id for o in mine for id in o.replaces}
    return tuple(o for o in mine if o.id not in gone)


def unsent(archive: Archive, pens: Sequence[str]) -> tuple[str, ...]:
    """The live orders of these pens of which nothing was asked for yet: a new one takes their
    place. Raises DiskError."""
    return tuple(o.id for o in _unsent(archive, pens))


def replaced_by(archive: Archive, pens: Sequence[str], plan: OrderPlan) -> tuple[str, ...]:
    """The unsent orders whose place a new one takes: all, but where one of the two orders
    something again, only those of which it holds all. Raises DiskError."""
    mine = {rounds.item_key(i) for i in plan.items}
    anew = bool(plan.facts.get(rounds.AGAIN))
    return tuple(
        o.id for o in _unsent(archive, pens)
        if not (anew or rounds.again(o)) or {rounds.item_key(i) for i in o.items} <= mine
    )  # fmt: skip


def _unsent(archive: Archive, pens: Sequence[str]) -> Iterator[Order]:
    for o, states in _standing(archive, pens):
        if all(s is State.DESIGNED for s in states.values()):
            yield o


def order_holding(
    archive: Archive, pen: str, number: str, revision: str, draft: int,
    among: Sequence[str] | None = None,
) -> str:  # fmt: skip
    """The live order of a pen that names this fixture; empty: none. ``among``: the names of all
    orders (see `names_of_orders`), where somebody asks for many. Raises DiskError."""
    for o in live_orders(archive, pen, among):
        if any((i.number, i.revision, i.draft) == (number, revision, draft) for i in o.items):
            return o.id
    return ""


def names_of_orders(archive: Archive) -> tuple[str, ...]:
    """What stands in the folder of orders. Raises DiskError."""
    return list_folder(archive.root / ORDERS)


def _named(archive: Archive, pen: str, among: Sequence[str] | None = None) -> Iterator[Order]:
    """The orders whose folder's name speaks of a pen: the others are not read."""
    folder = archive.root / ORDERS
    name_of = re.compile(rf"(?:[0-9-]{{10}}_{re.escape(pen)}_|{re.escape(pen)}-)[0-9a-f]+")
    for name in names_of_orders(archive) if among is None else among:
        if pen in name and name_of.fullmatch(name) and is_folder(folder / name):
            yield load(Order, folder / name / ORDER)


def orders(archive: Archive) -> Iterator[Order]:
    """Every published order, by id. Raises DiskError."""
    folder = archive.root / ORDERS
    for name in list_folder(folder):
        if is_folder(folder / name):
            yield load(Order, folder / name / ORDER)
