"""Taking an export into an archive: nothing that is here is touched, nothing comes in twice.

* The same fixture in the same state: left as it is.
* The same fixture, further on there (more revisions or events): what is missing is added.
* Its number is another fixture's here, or its slot is filled here, or its archive numbers with
  another prefix: it comes in under the next free number. Its papers keep the number they were
  printed with, and its record says which; its slot gets a mark, where the slot is filled.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from enum import StrEnum
from pathlib import Path

from mandrelgen.archive import journal
from mandrelgen.archive.bundle import Bundle, Fixture
from mandrelgen.archive.disk.files import (
    create_file,
    exists,
    is_folder,
    make_folder,
    read_file,
    remove_empty,
)
from mandrelgen.archive.disk.store import reserve_number, staged, sweep
from mandrelgen.archive.events import event_names
from mandrelgen.archive.manifest import MANIFEST, make_manifest
from mandrelgen.archive.naming import EVENTS, ORDERS, number_count, number_text
from mandrelgen.archive.numbering import sweep_reserved
from mandrelgen.archive.orders import ORDER, assign_order, make_order, remember
from mandrelgen.archive.record_files import entries, numbers, revision_folders
from mandrelgen.archive.records import Event, Order, OrderItem, Record, Slot, parse
from mandrelgen.archive.root import Archive, clear, held
from mandrelgen.core.errors import DiskError
from mandrelgen.core.frozen import dataclass

RECORD = "record.json"
IMPORTED = "imported"


class What(StrEnum):
    """What became of a fixture or an order."""

    NEW = "taken in"
    SAME = "already here"
    ADDED = "added to"
    RENUMBERED = "taken in under a new number"


@dataclass(frozen=True, slots=True)
class Taken:
    """A fixture or order of the export, its name here, and what became of it."""

    given: str
    here: str
    what: What


@dataclass(frozen=True, slots=True)
class _Plan:
    taken: Taken
    packages: dict[Path, dict[str, bytes]]
    events: dict[str, bytes]
    manifests: dict[str, str]  # revision folder -> hash of its manifest here


def take(archive: Archive, bundle: Bundle) -> tuple[Taken, ...]:
    """Take a checked export in: its packages all or none. Events that a fixture lacks here follow
    one by one; if the disk fails between them, the same import adds the rest. Raises DiskError."""
    reserved: list[Path] = []
    try:
        make_folder(archive.root)
        sweep(archive.root)
        sweep_reserved(archive)
        with held(archive):
            known = _known(archive)
            plans = [_plan(archive, bundle, f, known, reserved) for f in bundle.fixtures]
            orders = [_order(archive, id, files, plans) for id, files in bundle.orders.items()]
            packages: dict[Path, dict[str, bytes]] = {}
            for p in (*plans, *orders):
                packages |= p.packages
            _write(archive, plans, packages)
        return tuple(p.taken for p in (*plans, *orders))
    finally:
        clear(archive, [*reserved, archive.root / ORDERS])


def _write(
    archive: Archive, plans: list[_Plan], packages: Mapping[Path, Mapping[str, bytes]]
) -> None:
    journal.note(archive.root, [p.taken.here for p in plans if p.packages or p.events])
    for folder in packages:
        make_folder(folder.parent)
    with staged(packages, archive.root) as stage:
        stage.commit(packages)
        remember(archive)
    for p in plans:
        folder = archive.root / p.taken.here / EVENTS
        for name, data in p.events.items():
            make_folder(folder)
            try:
                create_file(folder / name, data, archive.root)
            except BaseException:
                remove_empty([folder])
                raise


@dataclass(frozen=True, slots=True)
class _Known:
    """What is here: slot → number, and (archive, number) an import came from → number."""

    slots: dict[Slot, str]
    origins: dict[tuple[str, str], str]


def _known(archive: Archive) -> _Known:
    slots: dict[Slot, str] = {}
    origins: dict[tuple[str, str], str] = {}
    for number in numbers(archive.root, archive.prefix):
        for entry in entries(archive.root, number)[-1:]:
            slots.setdefault(entry.record.slot, number)
            origin = entry.record.proof.get(IMPORTED)
            if isinstance(origin, dict):
                origins[str(origin.get("archive")), str(origin.get("number"))] = number
    return _Known(slots, origins)


def _plan(
    archive: Archive, bundle: Bundle, f: Fixture, known: _Known, reserved: list[Path]
) -> _Plan:
    before = known.origins.get((bundle.archive, f.number))
    if before is not None:
        moved = _renamed(bundle, f, before, _slot_here(archive, before))
        merged = _merged(archive, moved, f.number)
        if merged is None:
            raise DiskError(
                f"{f.number} came in before as {before}, and both went on since.",
                "Keep both archives apart, or withdraw one of the two.",
            )
        return merged
    slot, own = f.records[0].slot, bundle.prefix == archive.prefix
    if own and exists(archive.root / f.number):
        merged = _merged(archive, f, f.number)
        if merged is not None:
            return merged
        own = False
    filled = slot in known.slots
    if own and not filled:
        known.slots[slot] = f.number
        _reserve(archive.root / f.number, reserved)
        return _new(archive, f, Taken(f.number, f.number, What.NEW))
    number = _next(archive, bundle, reserved)
    if filled:
        slot = Slot(
            pen=slot.pen, part=slot.part, end=slot.end,
            role=f"{slot.role[:40]}-from-{bundle.archive[:8]}-{f.number}",
        )  # fmt: skip
    known.slots[slot] = number
    moved = _renamed(bundle, f, number, slot)
    return _new(archive, moved, Taken(f.number, number, What.RENUMBERED))


def _reserve(folder: Path, reserved: list[Path]) -> None:
    if not reserve_number(folder):
        raise DiskError(f"{folder} was taken by another run.", "Run the command again.")
    reserved.append(folder)


def _next(archive: Archive, bundle: Bundle, reserved: list[Path]) -> str:
    """The next number that is free here and not one of the export's own."""
    taken = [number_count(archive.prefix, n) or 0 for n in numbers(archive.root, archive.prefix)]
    theirs = [number_count(archive.prefix, f.number) or 0 for f in bundle.fixtures]
    number = number_text(archive.prefix, max([0, *taken, *theirs]) + 1)
    _reserve(archive.root / number, reserved)
    return number


def _slot_here(archive: Archive, number: str) -> Slot:
    return entries(archive.root, number)[-1].record.slot


def _new(archive: Archive, f: Fixture, taken: Taken) -> _Plan:
    folder = archive.root / taken.here
    packages = {folder / name: files for name, files in f.revisions.items()}
    if f.events:
        packages[folder / EVENTS] = f.events
    return _Plan(taken, packages, {}, _manifests(f))


def _manifests(f: Fixture) -> dict[str, str]:
    return {
        name: hashlib.sha256(files[MANIFEST]).hexdigest() for name, files in f.revisions.items()
    }


def _merged(archive: Archive, f: Fixture, given: str) -> _Plan | None:
    """What has to be added to the same fixture here; None: it is another one, or both went on."""
    folder = archive.root / f.number
    if not is_folder(folder):
        return None
    here = revision_folders(folder)
    for name in here:
        theirs = f.revisions.get(name)
        if theirs is not None and read_file(folder / name / MANIFEST) != theirs[MANIFEST]:
            return None
    if not (set(here) <= set(f.revisions) or set(f.revisions) <= set(here)) or not here:
        return None
    mine = {name: read_file(folder / EVENTS / name) for name in event_names(folder / EVENTS)}
    common = set(mine) & set(f.events)
    if any(mine[n] != f.events[n] for n in common) or len(common) < min(len(mine), len(f.events)):
        return None
    packages = {folder / n: files for n, files in f.revisions.items() if n not in here}
    events = {n: data for n, data in f.events.items() if n not in mine}
    what = What.ADDED if packages or events else What.SAME
    return _Plan(Taken(given, f.number, what), packages, events, _manifests(f))


def _renamed(bundle: Bundle, f: Fixture, number: str, slot: Slot) -> Fixture:
    """The fixture under another number; everything but record, manifest and events as it is."""
    origin = {"archive": bundle.archive, "number": f.number}
    records, revisions = [], {}
    for (name, files), old in zip(f.revisions.items(), f.records, strict=True):
        changes = {"number": number, "slot": slot, "proof": {**old.proof, IMPORTED: origin}}
        record: Record = old.model_copy(update=changes)
        package = {n: data for n, data in files.items() if n not in (RECORD, MANIFEST)}
        package[RECORD] = record.to_bytes()
        package[MANIFEST] = make_manifest(package).to_bytes()
        records.append(record)
        revisions[name] = package
    events = {
        name: parse(Event, data, Path(name)).model_copy(update={"number": number}).to_bytes()
        for name, data in f.events.items()
    }
    return Fixture(number, revisions, tuple(records), events)


def _order(archive: Archive, id: str, files: dict[str, bytes], plans: list[_Plan]) -> _Plan:
    """An order with its fixtures' names here; the same content has the same id everywhere."""
    old = parse(Order, files[ORDER], Path(ORDERS, id, ORDER))
    by_number = {p.taken.given: p for p in plans}
    items = tuple(_items(old, by_number))
    plan = assign_order(archive, old.pen, items, old.facts, old.date if "_" in id else "")
    what = What.SAME if plan.existing else What.NEW if plan.id == id else What.RENUMBERED
    taken = Taken(f"{ORDERS}/{id}", f"{ORDERS}/{plan.id}", what)
    if plan.existing is not None:
        return _Plan(taken, {}, {}, {})
    package = dict(files)
    if plan.id != id:
        package = {n: data for n, data in files.items() if n not in (ORDER, MANIFEST)}
        package[ORDER] = make_order(plan, old.date, old.program, old.replaces).to_bytes()
        package[MANIFEST] = make_manifest(package).to_bytes()
    return _Plan(taken, {plan.folder: package}, {}, {})


def _items(old: Order, by_number: Mapping[str, _Plan]) -> Iterator[OrderItem]:
    for item in old.items:
        p = by_number[item.number]
        name = item.revision if item.draft == 1 else f"{item.revision}.{item.draft}"
        yield item.model_copy(update={"number": p.taken.here, "manifest_sha256": p.manifests[name]})
