"""What was read on a fixture since it arrived, and the mandrel with these sizes in its limits."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from mandrelgen.archive.events import READ, events_of
from mandrelgen.archive.mandrel_json import read_mandrel
from mandrelgen.archive.pieces import of_last_piece
from mandrelgen.archive.record_files import Entry
from mandrelgen.archive.records import Event
from mandrelgen.archive.root import Archive
from mandrelgen.core.frozen import dataclass
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.standards.iso_14253 import Conformity
from mandrelgen.workshop.receipt import as_made
from mandrelgen.workshop.receipt.home_tests import HomeTest, Standing
from mandrelgen.workshop.receipt.readings import Reading


def checks(events: Iterable[Event], revision: str, draft: int) -> tuple[Event, ...]:
    """The events that hold readings of one draft of a revision, the oldest day first; of one day,
    in the order they were entered. A replaced draft's readings are another fixture's."""
    found = (e for e in events if e.kind in READ and (e.revision, e.draft) == (revision, draft))
    return tuple(sorted(found, key=lambda e: e.date))


def checks_of_piece(events: Iterable[Event], revision: str, draft: int) -> tuple[Event, ...]:
    """Of :func:`checks`, those of the piece that came last (`pieces`): what was read of the one
    before it says nothing of it. ``events`` in the order they were entered."""
    return checks(of_last_piece(events, revision, draft), revision, draft)


def readings(events: Iterable[Event], revision: str, draft: int) -> tuple[Reading, ...]:
    """The readings that count: of every size those of the last day it was read (wear)."""
    rows = latest(checks_of_piece(events, revision, draft)).values()
    return tuple(r for row in rows for r in row.of)


@dataclass(frozen=True, slots=True)
class Last:
    """The last readings of one size, and their day."""

    date: str
    of: tuple[Reading, ...]


def latest(checks: Iterable[Event]) -> dict[str, Last]:
    """By characteristic, what was read of it last; ``checks`` with the oldest first."""
    newest: dict[str, Last] = {}
    for event in checks:
        of_event: dict[str, list[Reading]] = {}
        rows = event.data.get("readings", ())
        for raw in rows if isinstance(rows, list | tuple) else ():
            reading = _reading(raw)
            if reading is not None:
                of_event.setdefault(reading.id, []).append(reading)
        newest |= {id: Last(event.date, tuple(row)) for id, row in of_event.items()}
    return newest


def latest_tests(checks: Iterable[Event]) -> dict[str, HomeTest]:
    """By its id, every test at home as it was last done, its day among what it shows; ``checks``
    with the oldest first. What a test measured stands among the readings."""
    newest: dict[str, HomeTest] = {}
    for event in checks:
        home = event.data.get("home")
        rows = home.get("tests", ()) if isinstance(home, dict) else ()
        for raw in rows if isinstance(rows, list | tuple) else ():
            test = _test(raw, event.date)
            if test is not None and test.state is not Standing.NOT_DONE:
                newest[test.id] = test
    return newest


def _test(raw: Any, date: str) -> HomeTest | None:
    try:
        u = raw["uncertainty"]
        return HomeTest(
            id=str(raw["id"]),
            text=str(raw["text"]),
            answers=tuple((str(q), str(a)) for q, a in raw["answers"]),
            state=Standing(raw["state"]),
            stands_for=tuple(str(i) for i in raw["stands_for"]),
            balloons=tuple(int(n) for n in raw["balloons"]),
            shows=f"{raw['shows']} ({date})",
            uncertainty=None if u is None else float(u),
        )
    except (KeyError, TypeError, ValueError):  # written by hand or by another program
        return None


def _reading(raw: Any) -> Reading | None:
    try:
        value = raw["value"]
        return Reading(
            id=str(raw["id"]),
            value=None if value is None else float(value),
            uncertainty=float(raw["uncertainty"]),
            instrument=str(raw["instrument"]),
            verdict=Conformity(raw["verdict"]),
            raw=None if raw.get("read") is None else float(raw["read"]),
            wire=None if raw.get("wire") is None else float(raw["wire"]),
        )
    except (KeyError, TypeError, ValueError):  # written by hand or by another program
        return None


def mandrel_as_made(archive: Archive, entry: Entry) -> tuple[Mandrel, tuple[Reading, ...]]:
    """A published mandrel as it is now, and the readings that say so. Raises DiskError."""
    read = readings(events_of(archive, entry.number), entry.revision, entry.draft)
    return as_made.mandrel_as_made(read_mandrel(entry.folder), read), read
