"""One fixture of the archive as it stands: its drawing, made again from the filed values, how its
states followed one another, its orders, and what was read and tried on it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from mandrelgen.archive import events, orders, states
from mandrelgen.archive.disk.files import exists
from mandrelgen.archive.index_rows import IndexRow, describe
from mandrelgen.archive.mandrel_json import NAME, read_mandrel
from mandrelgen.workflows.arrived import build_of
from mandrelgen.workflows.build import Build
from mandrelgen.workflows.kept import Kept, kept
from mandrelgen.workflows.receive import fixture


@dataclass(frozen=True, slots=True)
class Stood:
    """A state, since when, and whom it concerns (empty: nobody was named)."""

    state: str
    day: str
    whom: str


@dataclass(frozen=True, slots=True)
class FixtureView:
    """``build`` None: nothing was drawn of it (it was entered from its measurements)."""

    row: IndexRow
    states: tuple[Stood, ...]
    orders: tuple[str, ...]
    kept: tuple[Kept, ...]
    build: Build | None

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
    stood = tuple(
        Stood(s.said, "", "")
        if e is None
        else Stood(s.said, e.date, s.told_of(str(e.data.get("whom", ""))))
        for s, e in past
    )
    held = tuple(
        o.id for o in orders.orders(archive)
        if any((i.number, i.revision) == (number, revision) for i in o.items)
    )  # fmt: skip
    drawn = exists(entry.folder / NAME) and not row.adopted
    build = build_of(entry, read_mandrel(entry.folder)) if drawn else None
    return FixtureView(
        row=row,
        states=stood,
        orders=held,
        kept=kept(folder, number, revision),
        build=build,
    )
