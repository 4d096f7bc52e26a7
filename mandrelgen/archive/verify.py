"""Comparing an archive with what was published: every damaged file by name.

Named are changed, truncated, missing and extra files of published folders, revisions that must have
existed (a later one, an event or an order names them), damaged events, and whatever else stands in
the archive's own folders. Foreign files beside them are none of our business, gaps in the numbers
are legal. The manifest's seal finds accidents; it is no protection from somebody who means harm.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from pathlib import Path

from mandrelgen.archive import front
from mandrelgen.archive.disk.files import digest_file, exists, is_folder, list_folder
from mandrelgen.archive.disk.locks import abandoned
from mandrelgen.archive.disk.store import OLD_AFTER
from mandrelgen.archive.events import event_names, name_fits
from mandrelgen.archive.manifest import MANIFEST, Damage, Fault, check_folder
from mandrelgen.archive.naming import (
    DEFAULT_PREFIX,
    EVENTS,
    FIRST_REVISION,
    FRONT,
    MARKER,
    ORDERED,
    ORDERS,
    SUPERSEDED,
    next_revision,
    parse_revision_folder,
    prefix_of,
    revision_folder,
)
from mandrelgen.archive.orders import ORDER
from mandrelgen.archive.record_files import RECORD, numbers, revision_folders
from mandrelgen.archive.records import Event, NewerFormError, Order, Record, load
from mandrelgen.archive.root import Archive, open_root
from mandrelgen.core.errors import DiskError, InputError

RESERVED = (
    "it is empty: a run that was killed reserved it, and the next run takes it back; or its "
    "revisions were removed"
)


def verify(archive: Archive) -> tuple[Fault, ...]:
    """Every fault of the archive; none: all is as it was published. Changes nothing. What cannot
    be read is a fault too, and the rest is checked.

    Raises DiskError if the archive's own folder cannot be read.
    """
    return tuple(_faults(archive))


def verify_folder(folder: Path) -> tuple[Fault, ...] | None:
    """As `verify`, of a folder whose marker may be damaged or missing: the numbers in it tell the
    prefix then. None: there is neither a marker nor a number.

    Raises DiskError: the folder cannot be read, or its marker is of a newer version.
    """
    root = folder.absolute()
    prefixes = {p for name in list_folder(root) if (p := prefix_of(name)) and _ours(root / name)}
    if not exists(root / MARKER) and not prefixes:
        return None
    faults: list[Fault] = []
    try:
        if exists(root / MARKER):
            return verify(open_root(root))
    except NewerFormError:
        raise
    except (DiskError, InputError) as exc:
        faults.append(Fault(MARKER, Damage.CHANGED, str(exc)))
    for n, prefix in enumerate(sorted(prefixes) or [DEFAULT_PREFIX]):
        found = _faults(Archive(root, prefix))
        # The marker and the orders are told once, whatever the numbers are called.
        faults += [f for f in found if n == 0 or f.path.startswith(f"{prefix}-")]
    return tuple(faults)


def _ours(folder: Path) -> bool:
    """Whether a folder with a number's name looks as if an archive had made it."""
    return is_folder(folder) and bool(revision_folders(folder) or not list_folder(folder))


def _faults(archive: Archive) -> Iterator[Fault]:
    found = numbers(archive.root, archive.prefix)
    if not exists(archive.root / MARKER):
        yield Fault(MARKER, Damage.MISSING)
    for number in found:
        yield from _safely(number, _check_number(archive, number))
    yield from _safely(ORDERS, _check_orders(archive))
    yield from _safely(FRONT, front.check(archive.root, superseded(archive)))


def superseded(archive: Archive) -> dict[str, str]:
    """The orders that another took the place of, each with that other's name; orders that cannot
    be read are passed over. Raises DiskError."""
    folder = archive.root / ORDERS
    gone: dict[str, str] = {}
    for name in list_folder(folder):
        if is_folder(folder / name):
            with contextlib.suppress(DiskError):
                gone |= dict.fromkeys(load(Order, folder / name / ORDER).replaces, name)
    return gone


def _safely(shown: str, faults: Iterator[Fault]) -> Iterator[Fault]:
    """The faults, and as the last one that no more could be read."""
    try:
        yield from faults
    except DiskError as exc:
        yield Fault(shown, Damage.CHANGED, str(exc))


def _check_orders(archive: Archive) -> Iterator[Fault]:
    folder = archive.root / ORDERS
    there = list_folder(folder)
    for name in there:
        if is_folder(folder / name):
            yield from _safely(f"{ORDERS}/{name}", _check_order(archive, name))
        elif not name.endswith(SUPERSEDED):
            yield Fault(f"{ORDERS}/{name}", Damage.EXTRA)
    for name in list_folder(archive.root / ORDERED):
        if name not in there:
            yield Fault(f"{ORDERS}/{name}", Damage.MISSING, "it was published, and is gone")


def _check_number(archive: Archive, number: str) -> Iterator[Fault]:
    folder = archive.root / number
    if not is_folder(folder):
        yield Fault(number, Damage.EXTRA, "it has a number's name and is no folder")
        return
    there, revisions = list_folder(folder), revision_folders(folder)
    if not there:
        with abandoned(folder, OLD_AFTER) as free:
            if free:
                yield Fault(number, Damage.EXTRA, RESERVED)
        return
    for name in there:
        if name in revisions:
            shown = f"{number}/{name}"
            yield from _safely(shown, check_folder(archive.root, folder / name))
            yield from _safely(shown, _check_place(archive, number, name))
        elif name != EVENTS or not is_folder(folder / name):
            yield Fault(f"{number}/{name}", Damage.EXTRA)
    yield from _missing_revisions(number, revisions)
    yield from _check_events(archive, number, revisions)


def _check_place(archive: Archive, number: str, name: str) -> Iterator[Fault]:
    path = archive.root / number / name / RECORD
    if not exists(path):
        return  # named as missing by the manifest
    try:
        record = load(Record, path)
    except DiskError as exc:
        yield Fault(f"{number}/{name}/{RECORD}", Damage.CHANGED, str(exc))
        return
    if (record.number, revision_folder(record.revision, record.draft)) != (number, name):
        detail = f"it belongs to {record.number} {record.revision}, draft {record.draft}"
        yield Fault(f"{number}/{name}/{RECORD}", Damage.CHANGED, detail)


def _missing_revisions(number: str, revisions: tuple[str, ...]) -> Iterator[Fault]:
    """Gaps in the row of revisions and drafts, which has none by itself."""
    if not revisions:
        return
    parsed = [p for name in revisions if (p := parse_revision_folder(name))]
    last, newest = FIRST_REVISION, dict(parsed)
    while True:
        for draft in range(1, newest.get(last, 1) + 1):
            if (last, draft) not in parsed:
                yield Fault(f"{number}/{revision_folder(last, draft)}", Damage.MISSING)
        if last == parsed[-1][0]:
            return
        last = next_revision(last)


def _check_events(archive: Archive, number: str, revisions: tuple[str, ...]) -> Iterator[Fault]:
    folder = archive.root / number / EVENTS
    names = event_names(folder)
    for name in list_folder(folder):
        if name not in names:
            yield Fault(f"{number}/{EVENTS}/{name}", Damage.EXTRA)
    for count, name in enumerate(names, start=1):
        shown = f"{number}/{EVENTS}/{name}"
        try:
            event = load(Event, folder / name)
        except DiskError as exc:
            yield Fault(shown, Damage.CHANGED, str(exc))
            continue
        if not name_fits(name, count, event) or event.number != number:
            yield Fault(shown, Damage.CHANGED, "its name, or one before it, is not as written")
        named = revision_folder(event.revision, event.draft)
        if named not in revisions:
            yield Fault(f"{number}/{named}", Damage.MISSING, f"named by {shown}")


def _check_order(archive: Archive, name: str) -> Iterator[Fault]:
    folder = archive.root / ORDERS / name
    faults = tuple(check_folder(archive.root, folder))
    yield from faults
    if faults or not exists(folder / ORDER):
        return
    try:
        order = load(Order, folder / ORDER)
    except DiskError as exc:
        yield Fault(f"{ORDERS}/{name}/{ORDER}", Damage.CHANGED, str(exc))
        return
    for item in order.items:
        shown = f"{item.number}/{revision_folder(item.revision, item.draft)}/{MANIFEST}"
        if not exists(archive.root / shown):
            yield Fault(shown, Damage.MISSING, f"named by {ORDERS}/{name}")
            continue
        try:
            same = digest_file(archive.root / shown)[0] == item.manifest_sha256
        except DiskError as exc:
            yield Fault(shown, Damage.CHANGED, str(exc))
            continue
        if not same:
            yield Fault(shown, Damage.CHANGED, f"not what {ORDERS}/{name} names")
