"""Entering an old fixture: it gets a number and a record like every other, and counts as owned."""

from __future__ import annotations

from pathlib import Path

from mandrelgen import __version__
from mandrelgen.archive import numbering, publish, root
from mandrelgen.archive.design_hash import design_hash, mandrel_json, slot_of_old
from mandrelgen.archive.events import release
from mandrelgen.archive.record_files import Entry
from mandrelgen.archive.root import Archive
from mandrelgen.core.clock import date_of
from mandrelgen.core.frozen import dataclass
from mandrelgen.design.from_measurements import mandrel_of
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.old_fixture import read_old
from mandrelgen.workflows.archives import read

FILE = "fixture.toml"
NOTE = "entered from measurements"


@dataclass(frozen=True, slots=True)
class Adopted:
    """The record; ``existed``: the same measurements were there already."""

    entry: Entry
    mandrel: Mandrel
    existed: bool


def adopt_file(folder: Path, path: Path, date: str | None, reason: str | None) -> Adopted:
    """Enter an old fixture from its file. Raises InputError, DiskError."""
    data = read(path, "name a TOML file with the fixture's measurements")
    return adopt(
        root.open_root(folder), data, path.name, date_of(date), f"mandrelgen {__version__}",
        reason or "",
    )  # fmt: skip


def adopt(
    archive: Archive, data: bytes, name: str, date: str, program: str, reason: str = ""
) -> Adopted:
    """Enter the fixture described by a TOML file; ``date`` ISO 8601, used if the file has none.

    The same file again brings the same record back; other measurements under the same id make the
    next revision, which needs a ``reason``. Raises InputError, DiskError.
    """
    fixture = read_old(data, name)
    mandrel = mandrel_of(fixture)
    day = fixture.date.isoformat() if fixture.date is not None else date
    plans: list[numbering.NumberPlan] = []
    with numbering.clearing(archive, plans):
        plan = numbering.assign(archive, slot_of_old(fixture.id), design_hash(mandrel), reason)
        plans.append(plan)
        files = {FILE: data, "mandrel.json": mandrel_json(mandrel)}
        record = (
            plan.existing.record
            if plan.existing is not None
            else publish.make_record(plan, mandrel, day, program)
        )
        entry = publish.publish(archive, plan, files, record)
    # It is in the drawer already: nobody has to release it to an order first.
    release(archive, entry.number, day, note=NOTE)
    return Adopted(entry, mandrel, plan.existing is not None)
