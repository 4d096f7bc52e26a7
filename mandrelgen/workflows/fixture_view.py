"""One fixture of the archive as it stands: its drawing, made again from the filed values, how its
states followed one another, its orders, and what was read and tried on it."""

from __future__ import annotations

from pathlib import Path

from mandrelgen.archive import events, orders, rounds, states
from mandrelgen.archive.disk.files import exists, list_folder, read_file
from mandrelgen.archive.index_rows import IndexRow, describe
from mandrelgen.archive.mandrel_json import NAME, read_mandrel
from mandrelgen.archive.record_files import Entry
from mandrelgen.archive.records import Event
from mandrelgen.archive.states import State
from mandrelgen.core.errors import InputError
from mandrelgen.core.frozen import dataclass
from mandrelgen.workflows import booking
from mandrelgen.workflows.arrived import build_of
from mandrelgen.workflows.build import Build
from mandrelgen.workflows.kept import Kept, kept
from mandrelgen.workflows.receive import fixture


@dataclass(frozen=True, slots=True)
class Stood:
    """A state, since when, whom it concerns, and what was booked with it: price (``price_of_all``:
    of the whole order) and the day promised. Empty: nothing was said. What is ordered has the price
    and the day that were said last, as its order has."""

    state: str
    day: str = ""
    whom: str = ""
    price: str = ""
    price_of_all: bool = False
    promised: str = ""


@dataclass(frozen=True, slots=True)
class FixtureView:
    """``build`` None: nothing was drawn of it (it was entered from its measurements)."""

    row: IndexRow
    states: tuple[Stood, ...]
    orders: tuple[str, ...]
    kept: tuple[Kept, ...]
    build: Build | None
    files: tuple[str, ...] = ()

    @property
    def may_be_lost(self) -> bool:
        """Whether it was there, so that it can be gone."""
        return self.row.state in states.HAD and State.LOST in states.MOVES[State(self.row.state)]

    @property
    def lost(self) -> bool:
        """Whether it is gone, and may be found again."""
        return self.row.state == State.LOST

    @property
    def repeatable(self) -> bool:
        """Whether it has come, so that another one may be ordered."""
        return self.row.newest and not self.row.adopted and self.row.state in states.HAD


def fixture_view(folder: Path, number: str, revision: str) -> FixtureView:
    """A revision of the archive. Raises InputError (there is none), DiskError."""
    archive, entry = fixture(folder, number, revision)
    row = next(
        r for r in describe(archive, number)
        if (r.revision, r.draft) == (entry.revision, entry.draft)
    )  # fmt: skip
    past = states.history(events.events_of(archive, number), entry)
    held = tuple(
        o.id for o in orders.orders(archive)
        if any((i.number, i.revision) == (number, revision) for i in o.items)
    )  # fmt: skip
    drawn = exists(entry.folder / NAME) and not row.adopted
    build = build_of(entry, read_mandrel(entry.folder)) if drawn else None
    return FixtureView(
        row=row,
        states=_stood(past),
        orders=held,
        kept=kept(folder, number, revision),
        build=build,
        files=_published(entry),
    )


def file_of(folder: Path, number: str, revision: str, name: str) -> bytes:
    """A file that was published of a fixture. Raises InputError (there is no such fixture or
    file), DiskError."""
    _, entry = fixture(folder, number, revision)
    if name not in _published(entry):
        raise InputError.of("file.none", name[:80], "there is no such file", "see its page")
    return read_file(entry.folder / name)


def _published(entry: Entry) -> tuple[str, ...]:
    """The files that people open: the program's own records are none."""
    return tuple(n for n in list_folder(entry.folder) if n.startswith(entry.number))


def _stood(past: rounds.Past) -> tuple[Stood, ...]:
    """The states as they followed one another; who was asked stands at all of an order's."""
    found = [Stood(past[0][0].said)]
    for _, row in rounds.cut(past):
        told: list[Event] = []
        for state, event in ((s, e) for s, e in row if e is not None):
            told.append(event)
            said = told if state is State.ORDERED else [event]
            by = [event] if state is State.WITHDRAWN else told  # that is the maker's own doing
            found.append(Stood(
                state=state.said, day=event.date,
                whom=state.told_of(booking.last_said(by, "whom")),
                price=booking.last_said(said, "price"), price_of_all=booking.for_all(said),
                promised=booking.promised_of(said),
            ))  # fmt: skip
    return tuple(found)
