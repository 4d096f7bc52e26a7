"""A published revision as one row of the index: what it is, what it holds, where it stands."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import astuple, fields, replace
from typing import Any, NamedTuple

from mandrelgen.archive.disk.files import exists
from mandrelgen.archive.events import Status, events_of, status_of_entry
from mandrelgen.archive.mandrel_json import NAME, damaged, read_mandrel
from mandrelgen.archive.manifest import MANIFEST
from mandrelgen.archive.reading_history import checks_of_piece, readings
from mandrelgen.archive.record_files import Entry, entries
from mandrelgen.archive.records import Event, Manifest, load
from mandrelgen.archive.root import Archive
from mandrelgen.archive.states import history, owned
from mandrelgen.core.errors import DiskError
from mandrelgen.core.frozen import dataclass
from mandrelgen.model.feature import FeatureKind
from mandrelgen.model.mandrel import ADOPTED, Mandrel, Ordering, body_is_bar, collar_diameter
from mandrelgen.standards.threads import ThreadLimits
from mandrelgen.workshop.receipt.as_made import as_made
from mandrelgen.workshop.receipt.readings import Reading

PEN_FILE = "pen.toml"
# Plain sizes the index can be asked for, by characteristic: end b of a double-ended one too.
_K = FeatureKind
SIZES = (_K.SHANK, _K.COLLAR, _K.NECK, _K.REGISTER, _K.SPIGOT)
"""Features whose diameters the archive is searched by, under these words."""


@dataclass(frozen=True, slots=True)
class ThreadRow:
    """A thread of the fixture: its canonical text, and in numbers (mm)."""

    text: str
    diameter: float
    pitch: float
    starts: int
    left_hand: bool
    external: bool
    tolerance_class: str


@dataclass(frozen=True, slots=True)
class SizeRow:
    """Limits of one plain diameter, mm; as made where it was measured."""

    name: str
    low: float
    high: float


class IndexRow(NamedTuple):
    """One revision, as the index's columns hold it. ``folder`` relative to the archive;
    ``checked``: day and ``verdict`` of the last readings (empty: none); ``owned``: it exists or is
    on its way (asked to in use, `states.owned`); ``state``: a `State`'s word; ``pen_hash``:
    SHA-256 of the pen file stored with it; ``text``: the words it is found by; the last two hold
    threads and sizes as JSON, read only when they are asked for."""

    number: str
    revision: str
    draft: int
    folder: str
    status: str
    newest: bool
    kind: str
    title: str
    pen: str
    part: str
    end: str
    role: str
    date: str
    material: str
    collet: str
    checked: str
    verdict: str
    owned: bool
    state: str
    design_hash: str
    pen_hash: str
    text: str
    threads_json: str
    sizes_json: str

    @property
    def stands(self) -> str:
        """How it stands, in one word: its state while it is current, else why it is not."""
        current = self.status in (Status.IN_PREPARATION.value, Status.RELEASED.value)
        return self.state.replace("-", " ") if current else self.status

    @property
    def threads(self) -> tuple[ThreadRow, ...]:
        """Its threads. Raises DiskError if the index is damaged."""
        return tuple(ThreadRow(*x) for x in _lists(self.threads_json, len(fields(ThreadRow))))

    @property
    def sizes(self) -> tuple[SizeRow, ...]:
        """Its plain diameters. Raises DiskError if the index is damaged."""
        return tuple(SizeRow(*x) for x in _lists(self.sizes_json, len(fields(SizeRow))))

    @property
    def whole(self) -> bool:
        """False if its threads or sizes are damaged in the index."""
        try:
            _ = self.threads, self.sizes
        except DiskError:
            return False
        return True

    @property
    def name(self) -> str:
        """``MG-0007 A``."""
        return f"{self.number} {self.revision}" + (f".{self.draft}" if self.draft > 1 else "")

    @property
    def adopted(self) -> bool:
        """True if it was entered from measurements."""
        return self.role == ADOPTED

    def size(self, name: str) -> SizeRow | None:
        """The first size of that name."""
        return next((s for s in self.sizes if s.name == name), None)


def _lists(text: str, length: int) -> list[list[Any]]:
    try:
        found = json.loads(text)
        if all(isinstance(x, list) and len(x) == length for x in found):
            return list(found)
    except (ValueError, TypeError, RecursionError):
        pass
    raise DiskError("The archive's index is damaged.", "Run `mandrelgen reindex` on the archive.")


def _json(rows: Iterable[ThreadRow | SizeRow]) -> str:
    return json.dumps([astuple(r) for r in rows], ensure_ascii=False, allow_nan=False)


def describe(archive: Archive, number: str) -> tuple[IndexRow, ...]:
    """Every revision of a number, oldest first. Raises DiskError if a record is damaged."""
    family = entries(archive.root, number)
    if not family:
        return ()
    happened = events_of(archive, number)
    return tuple(_row(archive, e, e is family[-1], happened) for e in family)


def _row(archive: Archive, entry: Entry, newest: bool, happened: tuple[Event, ...]) -> IndexRow:
    record = entry.record
    mandrel = read_mandrel(entry.folder) if exists(entry.folder / NAME) else None
    status = status_of_entry(archive, entry)
    past = history(happened, entry)
    done = checks_of_piece(happened, entry.revision, entry.draft)
    ordering = Ordering("") if mandrel is None else mandrel.ordering
    threads: tuple[ThreadRow, ...] = ()
    sizes: tuple[SizeRow, ...] = ()
    words = [
        record.number, record.title, record.kind, record.slot.pen, record.slot.part,
        record.slot.end, ordering.material, ordering.marking,
        *(h.text for h in record.history),
        *(e.note for e in happened if e.revision == entry.revision),
    ]  # fmt: skip
    if mandrel is not None:
        try:
            threads = tuple(_thread(t.limits) for t in mandrel.threads)
        except ArithmeticError as exc:
            raise damaged(entry.folder, f"threads: {exc}") from exc
        sizes = _sizes(mandrel, readings(happened, entry.revision, entry.draft))
        words += [mandrel.purpose, *mandrel.notes, *(t.text for t in threads)]
        words += [spelled for t in mandrel.threads for spelled in t.limits.designation.also]
    return IndexRow(
        number=record.number,
        revision=record.revision,
        draft=record.draft,
        folder=entry.folder.relative_to(archive.root).as_posix(),
        status=status.value,
        newest=newest,
        kind=record.kind,
        title=record.title,
        pen=record.slot.pen,
        part=record.slot.part,
        end=record.slot.end,
        role=record.slot.role,
        date=record.date,
        material=ordering.material,
        collet=ordering.collet,
        checked=done[-1].date if done else "",
        verdict=str(done[-1].data.get("verdict", "")) if done else "",
        owned=status in (Status.RELEASED, Status.IN_PREPARATION) and owned(past),
        state=past[-1][0].value,
        design_hash=record.design_hash,
        pen_hash=_pen_hash(entry),
        text=" ".join(w for w in words if w).casefold(),
        threads_json=_json(threads),
        sizes_json=_json(sizes),
    )


def _thread(limits: ThreadLimits) -> ThreadRow:
    d, klass = limits.designation, limits.tolerance_class
    return ThreadRow(
        text=replace(d, tolerance_class=klass).text,
        diameter=float(d.diameter),
        pitch=float(d.pitch),
        starts=d.starts,
        left_hand=d.left_hand,
        external=limits.external,
        tolerance_class=klass,
    )


def _sizes(mandrel: Mandrel, read: tuple[Reading, ...]) -> tuple[SizeRow, ...]:
    wanted, body = [], collar_diameter(mandrel) if body_is_bar(mandrel) else None
    for c in mandrel.characteristics:
        if c.id == c.feature.size("diameter") and c.feature.kind in SIZES:
            wanted.append(c)
    found = []
    for c in as_made(wanted, read):
        if c.lower is not None and c.upper is not None:
            found.append(SizeRow(c.feature.kind.value, c.lower, c.upper))
            if body is not None and c.id == body.id:
                found.append(SizeRow(_K.COLLAR.value, c.lower, c.upper))
    return tuple(found)


def _pen_hash(entry: Entry) -> str:
    if not exists(entry.folder / MANIFEST):
        return ""
    mark = load(Manifest, entry.folder / MANIFEST).files.get(PEN_FILE)
    return mark.sha256 if mark else ""
