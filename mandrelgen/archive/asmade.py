"""What was read on a fixture since it arrived, and the mandrel with these sizes in its limits."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from mandrelgen.archive.events import events_of
from mandrelgen.archive.index import Entry
from mandrelgen.archive.records import Event, EventKind
from mandrelgen.archive.reviving import read_mandrel
from mandrelgen.archive.root import Archive
from mandrelgen.bench import asmade
from mandrelgen.bench.decision import Verdict
from mandrelgen.bench.readings import Reading
from mandrelgen.mandrel import Mandrel

READ = (EventKind.RECEIVED, EventKind.MEASURED)


def checks(events: Iterable[Event], revision: str) -> tuple[Event, ...]:
    """The events that hold readings of one revision, oldest first."""
    return tuple(e for e in events if e.kind in READ and e.revision == revision)


def readings(events: Iterable[Event], revision: str) -> tuple[Reading, ...]:
    """The readings that count: of every size those of the last time it was read (wear)."""
    newest: dict[str, list[Reading]] = {}
    for event in checks(events, revision):
        of_event: dict[str, list[Reading]] = {}
        for raw in event.data.get("readings", ()):
            reading = _reading(raw)
            if reading is not None:
                of_event.setdefault(reading.id, []).append(reading)
        newest |= of_event
    return tuple(r for rows in newest.values() for r in rows)


def _reading(raw: Any) -> Reading | None:
    try:
        value = raw["value"]
        return Reading(
            str(raw["id"]),
            None if value is None else float(value),
            float(raw["uncertainty"]),
            str(raw["instrument"]),
            Verdict(raw["verdict"]),
            None if raw.get("read") is None else float(raw["read"]),
        )
    except (KeyError, TypeError, ValueError):  # written by hand or by another program
        return None


def apply(mandrel: Mandrel, read: Sequence[Reading]) -> Mandrel:
    """The mandrel with every size that was read at its reading ± U; the threads' limits too."""
    made = asmade.as_made(mandrel.characteristics, read)
    threads = tuple(replace(t, limits=asmade.thread_as_made(t, made)) for t in mandrel.threads)
    return replace(mandrel, characteristics=made, threads=threads)


def mandrel_as_made(archive: Archive, entry: Entry) -> tuple[Mandrel, tuple[Reading, ...]]:
    """A published mandrel as it is now, and the readings that say so. Raises DiskError."""
    read = readings(events_of(archive, entry.number), entry.revision)
    return apply(read_mandrel(entry.folder), read), read
