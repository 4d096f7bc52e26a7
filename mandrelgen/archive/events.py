"""What happened to a revision after it was published: one new file per event, beside it.

A revision's status is worked out from its events and from what was published after it, so that a
single new file changes it and no crash can leave two released revisions:

* withdrawn, superseded: its last event says so; a lost one is withdrawn;
* released: it was ordered, and no later revision of the number was (then superseded);
* a draft that was replaced by a later draft of the same revision is superseded;
* everything else is in preparation.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from enum import StrEnum
from pathlib import Path
from typing import Any

from mandrelgen.archive import journal
from mandrelgen.archive.disk.files import append_numbered, list_folder, remove_empty
from mandrelgen.archive.manifest import check_folder
from mandrelgen.archive.migrations import OLD_LABELS
from mandrelgen.archive.naming import EVENTS, number_count
from mandrelgen.archive.pieces import of_last_piece
from mandrelgen.archive.record_files import Entry, entries
from mandrelgen.archive.records import Event, EventKind, Slot, load
from mandrelgen.archive.root import Archive, held
from mandrelgen.core.errors import DiskError, Finding, InputError, Level

# Readings; what ends a fixture; what speaks of the number, not of a fixture.
READ = (EventKind.RECEIVED, EventKind.MEASURED)
_ENDS = {
    EventKind.WITHDRAWN: "withdrawn", EventKind.LOST: "withdrawn",
    EventKind.SUPERSEDED: "superseded",
}  # fmt: skip
_NO_FIXTURE = (EventKind.WITHDRAWN, EventKind.SUPERSEDED, EventKind.RENAMED)
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


def name_fits(name: str, count: int, event: Event) -> bool:
    """Whether an event's file is named by its place (from 1) and its kind, or an older word."""
    number, _, label = name.removesuffix(".json").partition("-")
    return number == f"{count:04d}" and OLD_LABELS.get(label, label) == event.kind.value


def events_of(archive: Archive, number: str) -> tuple[Event, ...]:
    """The events of a number, oldest first. Raises DiskError."""
    folder = archive.root / number / EVENTS
    return tuple(load(Event, folder / name) for name in event_names(folder))


def status_of_entry(archive: Archive, entry: Entry) -> Status:
    """The status of one published revision. Raises DiskError, also if its folder is gone."""
    silent = (*READ, EventKind.RENAMED)
    events = [e for e in events_of(archive, entry.number) if e.kind not in silent]
    own = [e.kind for e in events if (e.revision, e.draft) == (entry.revision, entry.draft)]
    if own and own[-1] in _ENDS:
        return Status(_ENDS[own[-1]])
    family = entries(archive.root, entry.number)
    place = next((i for i, e in enumerate(family) if e.folder == entry.folder), None)
    if place is None:
        raise DiskError(
            f"{entry.folder} was removed meanwhile.",
            "Put it back from a backup, then run `mandrelgen reindex` on the archive.",
        )
    later = family[place + 1 :]
    released = {(e.revision, e.draft) for e in events if e.kind is EventKind.ORDERED}
    if EventKind.ORDERED in own:
        replaced = any((e.revision, e.draft) in released for e in later)
        return Status.SUPERSEDED if replaced else Status.RELEASED
    replaced = any(e.revision == entry.revision for e in later)
    return Status.SUPERSEDED if replaced else Status.IN_PREPARATION


def is_frozen(archive: Archive, number: str, revision: str, draft: int | None = None) -> bool:
    """Whether a paper of this revision (of its drafts this one) ever left, or a fixture marked with
    it exists: no other may carry the same mark then. Raises DiskError."""
    return any(
        e.kind not in _NO_FIXTURE and e.revision == revision and draft in (None, e.draft)
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


def append_event(archive: Archive, event: Event) -> None:
    """Add an event beside its revision; the archive's lock is held. Raises DiskError."""
    folder = archive.root / event.number / EVENTS
    journal.note(archive.root, [event.number])
    try:
        append_numbered(folder, event.kind.value, event.to_bytes(), archive.root)
    except BaseException:
        remove_empty([folder])
        raise


def release(archive: Archive, number: str, date: str, by: str = "", note: str = "") -> Entry:
    """Note that the newest revision of a number is ordered; a second time changes nothing.

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
                        message=f"the revision is {status.value} and cannot be ordered",
                        remedy="build the pen again with a change, and order what comes of it",
                    )
                ]
            )
        faults = tuple(check_folder(archive.root, entry.folder))
        if faults:
            raise DiskError(
                f"{number} {entry.revision} is damaged and was not ordered: {faults[0].line()}.",
                "Put the files back from a backup.",
            )
        append_event(archive, event_for(entry, EventKind.ORDERED, date, by, note))
        return entry


def withdraw(archive: Archive, number: str, date: str, by: str = "", note: str = "") -> Entry:
    """Withdraw the newest revision of a number; a second time changes nothing.

    Raises InputError (unknown), DiskError.
    """
    current(archive, number)
    with held(archive):
        entry = current(archive, number)
        if status_of_entry(archive, entry) is not Status.WITHDRAWN:
            append_event(archive, event_for(entry, EventKind.WITHDRAWN, date, by, note))
        return entry


def rename(archive: Archive, number: str, slot: Slot, date: str) -> Entry:
    """Note that a number fills another slot from now on, since an id was changed; once it does, a
    second time changes nothing. Raises InputError (unknown), DiskError."""
    with held(archive):
        entry = current(archive, number)
        if entry.record.slot != slot:
            data = {"slot": slot.model_dump(), "was": entry.record.slot.model_dump()}
            append_event(archive, event_for(entry, EventKind.RENAMED, date, data=data))
    return current(archive, number)


def measured(
    archive: Archive, entry: Entry, date: str, data: Mapping[str, Any], by: str = "",
    once: bool = False,
) -> Event:  # fmt: skip
    """Store readings of a fixture beside its record: ``received`` the first time for a piece
    (`pieces`), ``measured`` from then on. ``once``: what was stored last, said with the same
    words, stays (so a call that was killed is finished by the same call). The status stays. Raises
    DiskError."""
    with held(archive):
        before = events_of(archive, entry.number)
        own = of_last_piece(before, entry.revision, entry.draft)
        checks = [e for e in own if e.kind in READ]
        kind = EventKind.MEASURED if checks else EventKind.RECEIVED
        event = event_for(entry, kind, date, by, "", data)
        if once and checks and same_check(checks[-1], event):
            return checks[-1]
        append_event(archive, event)
    return event


def same_check(a: Event, b: Event) -> bool:
    """Whether two checks of a fixture say the very same, as a file keeps it."""
    mine, other = ((e.draft, e.date, e.by, json.loads(json.dumps(e.data))) for e in (a, b))
    return mine == other


def readings_of(entry: Entry, date: str, data: Mapping[str, Any], by: str = "") -> Event:
    """The event :func:`measured` would store, without storing it."""
    return event_for(entry, EventKind.MEASURED, date, by, "", data)


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


def event_for(
    entry: Entry,
    kind: EventKind,
    date: str,
    by: str = "",
    note: str = "",
    data: Mapping[str, Any] | None = None,
) -> Event:
    """What happened to this revision on that day (ISO 8601)."""
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
