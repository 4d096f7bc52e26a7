"""Orders: sets of published fixtures with their cover page, request, bench card.

An order's id is made from what it asks for (pen, fixtures by number, revision and hash, facts such
as quantities), so that the same content finds the same order, another content gets another id,
and two runs need no counter.
"""

from __future__ import annotations

import contextlib
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

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
from mandrelgen.archive.events import Status, is_frozen, status_of_entry
from mandrelgen.archive.manifest import MANIFEST, make_manifest
from mandrelgen.archive.naming import ORDERED, ORDERS, revision_folder
from mandrelgen.archive.record_files import RECORD, Entry
from mandrelgen.archive.records import Order, OrderItem, Record, load
from mandrelgen.archive.root import Archive, clear, held
from mandrelgen.core.errors import DiskError

ORDER = "order.json"
_SHORTEST = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderPlan:
    """Under which id an order will be published, or the order that already says the same."""

    id: str
    pen: str
    items: tuple[OrderItem, ...]
    facts: dict[str, Any]
    order_hash: str
    folder: Path
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
    archive: Archive, pen: str, items: Sequence[OrderItem], facts: Mapping[str, Any] | None = None
) -> OrderPlan:
    """The id for an order of these fixtures; writes nothing.

    ``facts``: what else makes it another order (plain JSON values, no day of a run; the day a set
    is wanted by does make it another). Raises DiskError.
    """
    facts = dict(facts or {})
    content = {"pen": pen, "items": [i.model_dump(mode="json") for i in items], "facts": facts}
    full = canonical_hash(content)
    for length in range(_SHORTEST, len(full) + 1):
        name = f"{pen}-{full[:length]}"
        check_names([name])
        folder = archive.root / ORDERS / name
        found = load(Order, folder / ORDER) if exists(folder) else None
        if found is None or found.order_hash == full:
            return OrderPlan(
                id=name,
                pen=pen,
                items=tuple(items),
                facts=facts,
                order_hash=full,
                folder=folder,
                existing=found,
            )
    raise AssertionError("two orders share a whole SHA-256")


def make_order(plan: OrderPlan, date: str, program: str) -> Order:
    """The order's record; ``date`` ISO 8601, ``program`` name and version."""
    return Order(
        id=plan.id,
        pen=plan.pen,
        items=plan.items,
        facts=plan.facts,
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
            again = assign_order(archive, plan.pen, plan.items, plan.facts)
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
        new = [n for n in list_folder(archive.root / ORDERS) if n not in known]
        if new:
            make_folder(archive.root / ORDERED)
        for name in new:
            create_file(archive.root / ORDERED / name, b"", archive.root)


def asked_for(archive: Archive, pen: str) -> Counter[tuple[str, str]]:
    """How many of each fixture (number, design hash) a pen's orders ask for, as far as it was
    released or received since and is not withdrawn: these need not be ordered again. The largest
    quantity counts: an order that names a draft again replaces the one before. Raises DiskError."""
    found: Counter[tuple[str, str]] = Counter()
    folder = archive.root / ORDERS
    for name in list_folder(folder):
        if not (name.startswith(f"{pen}-") and is_folder(folder / name)):
            continue
        for item in load(Order, folder / name / ORDER).items:
            if _stands(archive, item):
                key = item.number, item.design_hash
                found[key] = max(found[key], item.quantity)
    return found


def _stands(archive: Archive, item: OrderItem) -> bool:
    place = archive.root / item.number / revision_folder(item.revision, item.draft)
    frozen = is_frozen(archive, item.number, item.revision, item.draft)
    if not frozen or not exists(place / RECORD):
        return False
    entry = Entry(place, load(Record, place / RECORD))
    return status_of_entry(archive, entry) is not Status.WITHDRAWN


def orders(archive: Archive) -> Iterator[Order]:
    """Every published order, by id. Raises DiskError."""
    folder = archive.root / ORDERS
    for name in list_folder(folder):
        if is_folder(folder / name):
            yield load(Order, folder / name / ORDER)
