"""What happened to a revision after it was published: one new file per event, beside it.

A revision's status is worked out from its events and from what was published after it, so that a
single new file changes it and no crash can leave two released revisions:

* withdrawn, superseded: its last event of that kind says so;
* released: it has that event, and no later revision of the number was released (then superseded);
* a draft that was replaced by a later draft of the same revision is superseded;
* everything else is in preparation.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from enum import StrEnum
from pathlib import Path
from typing import Any

from mandrelgen.archive import journal
from mandrelgen.archive.disk.files import append_numbered, list_folder, remove_empty
from mandrelgen.archive.manifest import check_folder
from mandrelgen.archive.naming import EVENTS, number_count
from mandrelgen.archive.record_files import Entry, entries
from mandrelgen.archive.records import Event, EventKind, load
from mandrelgen.archive.root import Archive, held
from mandrelgen.core.errors import DiskError, Finding, InputError, Level

# Kinds that leave the status as it is.
_SILENT = (EventKind.RECEIVED, EventKind.MEASURED)
_EVENT_NAME = re.compile(r"([0-9]{4,})-[a-z-]+\.json")


class Status(StrEnum):
    """The state of a revision, in the words of a title block (ISO 7200)."""

    IN_PREPARATION = "in preparation"
    RELEASED = "released"
    SUPERSEDED = "superseded"
    WITHDRAWN = "withdrawn"


def event_names(folder: Path) -> tuple[str, ...]:
    """The names of the event files in a number's events folder, oldest first."""
    found = (_EVENT_NAME.fullmatch(name) for name in list_folder(folder))
    return tuple(m[0] for m in sorted((m for m in found if m), key=lambda m: int(m[1])))


def events_of(archive: Archive, number: str) -> tuple[Event, ...]:
    """The events of a number, oldest first. Raises DiskError."""
    folder = archive.root / number / EVENTS
    return tuple(load(Event, folder / name) for name in event_names(folder))


def status_of_entry(archive: Archive, entry: Entry) -> Status:
    """The status of one published revision. Raises DiskError, also if its folder is gone."""
    events = [e for e in events_of(archive, entry.number) if e.kind not in _SILENT]
    own = [e.kind for e in events if (e.revision, e.draft) == (entry.revision, entry.draft)]
    if own and own[-1] is not EventKind.RELEASED:
        return Status(own[-1].value)
    family = entries(archive.root, entry.number)
    place = next((i for i, e in enumerate(family) if e.folder == entry.folder), None)
    if place is None:
        raise DiskError(
            f"{entry.folder} was removed meanwhile.",
            "Put it back from a backup, then run `mandrelgen reindex` on the archive.",
        )
    later = family[place + 1 :]
    released = {(e.revision, e.draft) for e in events if e.kind is EventKind.RELEASED}
    if own:
        replaced = any((e.revision, e.draft) in released for e in later)
        return Status.SUPERSEDED if replaced else Status.RELEASED
    replaced = any(e.revision == entry.revision for e in later)
    return Status.SUPERSEDED if replaced else Status.IN_PREPARATION


def is_frozen(archive: Archive, number: str, revision: str, draft: int | None = None) -> bool:
    """Whether this revision (of its drafts this one) was ever released, or made and received: a
    fixture marked with it exists then, and no other may carry the same mark. Raises DiskError."""
    kinds = (EventKind.RELEASED, *_SILENT)
    return any(
        e.kind in kinds and e.revision == revision and draft in (None, e.draft)
        for e in events_of(archive, number)
    )


def current(archive: Archive, number: str) -> Entry:
    """The newest revision of a number. Raises InputError if there is none, DiskError."""
    if number_count(archive.prefix, number) is not None:
        family = entries(archive.root, number)
        if family:
            return family[-1]
    raise InputError(
        [
            Finding(
                level=Level.ERROR,
                code="number-unknown",
                where=str(archive.root),
                message=f"nothing was published under the number {number!r}",
                remedy="look the number up in the archive's folders; they are named by number",
            )
        ]
    )


def status_of(archive: Archive, number: str) -> Status:
    """The status of a number's newest revision. Raises InputError, DiskError."""
    return status_of_entry(archive, current(archive, number))


def _append(archive: Archive, event: Event) -> None:
    folder = archive.root / event.number / EVENTS
    journal.note(archive.root, [event.number])
    try:
        append_numbered(folder, event.kind.value, event.to_bytes(), archive.root)
    except BaseException:
        remove_empty([folder])
        raise


def release(archive: Archive, number: str, date: str, by: str = "", note: str = "") -> Entry:
    """Release the newest revision of a number; a second time changes nothing.

    Its files are compared with their manifest first. Raises InputError (unknown or withdrawn),
    DiskError (damaged).
    """
    current(archive, number)
    with held(archive):
        entry = current(archive, number)
        status = status_of_entry(archive, entry)
        if status is Status.RELEASED:
            return entry
        if status is not Status.IN_PREPARATION:
            raise InputError(
                [
                    Finding(
                        level=Level.ERROR,
                        code="not-releasable",
                        where=f"{number} {entry.revision}",
                        message=f"the revision is {status.value} and cannot be released",
                        remedy="build the pen again with a change, and release what comes of it",
                    )
                ]
            )
        faults = tuple(check_folder(archive.root, entry.folder))
        if faults:
            raise DiskError(
                f"{number} {entry.revision} is damaged and was not released: {faults[0].line()}.",
                "Put the files back from a backup.",
            )
        _append(archive, _event(entry, EventKind.RELEASED, date, by, note))
        return entry


def withdraw(archive: Archive, number: str, date: str, by: str = "", note: str = "") -> Entry:
    """Withdraw the newest revision of a number; a second time changes nothing.

    Raises InputError (unknown), DiskError.
    """
    current(archive, number)
    with held(archive):
        entry = current(archive, number)
        if status_of_entry(archive, entry) is not Status.WITHDRAWN:
            _append(archive, _event(entry, EventKind.WITHDRAWN, date, by, note))
        return entry


def measured(
    archive: Archive, entry: Entry, date: str, data: Mapping[str, Any], by: str = ""
) -> Event:
    """Store readings of a fixture beside its record: ``received`` the first time for a revision,
    ``measured`` from then on. The status stays. Raises DiskError."""
    with held(archive):
        before = events_of(archive, entry.number)
        again = any(e.kind in _SILENT and e.revision == entry.revision for e in before)
        kind = EventKind.MEASURED if again else EventKind.RECEIVED
        event = _event(entry, kind, date, by, "", data)
        _append(archive, event)
    return event


def readings_of(entry: Entry, date: str, data: Mapping[str, Any], by: str = "") -> Event:
    """The event :func:`measured` would store, without storing it."""
    return _event(entry, EventKind.MEASURED, date, by, "", data)


def revision_of(archive: Archive, number: str, revision: str) -> Entry:
    """The newest draft of one revision. Raises InputError naming those there are, DiskError."""
    current(archive, number)
    family = entries(archive.root, number)
    found = [e for e in family if e.revision == revision]
    if found:
        return found[-1]
    raise InputError(
        [
            Finding(
                level=Level.ERROR,
                code="revision-unknown",
                where=number,
                message=f"there is no revision {revision!r}",
                remedy=f"there are: {', '.join(dict.fromkeys(e.revision for e in family))}",
            )
        ]
    )


def _event(
    entry: Entry,
    kind: EventKind,
    date: str,
    by: str,
    note: str,
    data: Mapping[str, Any] | None = None,
) -> Event:
    return Event(
        number=entry.number,
        revision=entry.revision,
        draft=entry.draft,
        kind=kind,
        date=date,
        by=by,
        note=note,
        data=dict(data or {}),
    )
