"""A published revision as one row of the index: what it is, what it holds, where it stands."""

from __future__ import annotations

import dataclasses
import json
from dataclasses import dataclass
from typing import Any

from mandrelgen import store
from mandrelgen.archive.asmade import checks, readings
from mandrelgen.archive.events import Status, events_of, status_of_entry
from mandrelgen.archive.index import Entry, entries
from mandrelgen.archive.manifest import MANIFEST
from mandrelgen.archive.records import MAX_JSON, Event, Manifest, load
from mandrelgen.archive.reviving import NAME, revive
from mandrelgen.archive.root import Archive
from mandrelgen.bench.asmade import as_made
from mandrelgen.bench.readings import Reading
from mandrelgen.characteristic import Characteristic
from mandrelgen.errors import DiskError

ADOPTED = "adopted"
PEN_FILE = "pen.toml"
# Plain sizes the index can be asked for, by characteristic: end b of a double-ended one too.
SIZES = {"shank": "shank", "collar": "collar", "neck": "neck", "register": "register"}


@dataclass(frozen=True, slots=True)
class ThreadRow:
    """A thread of the fixture: as written, and in numbers (mm)."""

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


@dataclass(frozen=True, slots=True)
class Row:
    """One revision. ``folder`` relative to the archive; ``checked``: day and ``verdict`` of the
    last readings (empty: none); ``owned``: it exists or is ordered (released, received or entered
    from measurements); ``pen_hash``: SHA-256 of the pen file stored with it."""

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
    design_hash: str
    pen_hash: str
    text: str
    threads: tuple[ThreadRow, ...]
    sizes: tuple[SizeRow, ...]

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

    def to_json(self) -> str:
        """As one line of JSON, for the index."""
        return json.dumps(dataclasses.asdict(self), ensure_ascii=False, allow_nan=False)


def row_from_json(text: str) -> Row:
    """The row :meth:`Row.to_json` wrote. Raises ValueError, KeyError or TypeError if it is not."""
    found = revive(Row, json.loads(text))
    assert isinstance(found, Row)
    return found


def describe(archive: Archive, number: str) -> tuple[Row, ...]:
    """Every revision of a number, oldest first. Raises DiskError if a record is damaged."""
    family = entries(archive.root, number)
    if not family:
        return ()
    happened = events_of(archive, number)
    return tuple(_row(archive, e, e is family[-1], happened) for e in family)


def _row(archive: Archive, entry: Entry, newest: bool, happened: tuple[Event, ...]) -> Row:
    record = entry.record
    raw = _mandrel(entry)
    status = status_of_entry(archive, entry)
    done = checks(happened, entry.revision, entry.draft)
    ordering = raw.get("ordering") or {}
    try:
        threads = tuple(_thread(t["limits"]) for t in raw.get("threads", ()))
        sizes = _sizes(raw, readings(happened, entry.revision, entry.draft))
    except (KeyError, TypeError, ValueError) as exc:
        raise DiskError(
            f"{entry.folder / NAME} cannot be read as a mandrel: {exc}.",
            "Run `mandrelgen verify` on the archive, then put the file back from a backup.",
        ) from exc
    words = [
        record.number, record.title, record.kind, record.slot.pen, record.slot.part,
        record.slot.end, str(ordering.get("material", "")), str(raw.get("purpose", "")),
        str(ordering.get("marking", "")), *(str(n) for n in raw.get("notes", ())),
        *(t.text for t in threads), *(h.text for h in record.history),
        *(e.note for e in happened if e.revision == entry.revision),
    ]  # fmt: skip
    return Row(
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
        material=str(ordering.get("material", "")),
        collet=str(ordering.get("collet", "")),
        checked=done[-1].date if done else "",
        verdict=str(done[-1].data.get("verdict", "")) if done else "",
        owned=status is Status.RELEASED
        or (status is Status.IN_PREPARATION and (bool(done) or record.slot.role == ADOPTED)),
        design_hash=record.design_hash,
        pen_hash=_pen_hash(entry),
        text=" ".join(w for w in words if w).casefold(),
        threads=threads,
        sizes=sizes,
    )


def _mandrel(entry: Entry) -> dict[str, Any]:
    """``mandrel.json`` as plain values; nothing if the record has none."""
    path = entry.folder / NAME
    if not store.exists(path):
        return {}
    try:
        raw = json.loads(store.read_file(path, MAX_JSON))
    except (ValueError, RecursionError):
        raw = None
    if not isinstance(raw, dict):
        raise DiskError(
            f"{path} is damaged: it is no JSON.",
            "Run `mandrelgen verify` on the archive, then put the file back from a backup.",
        )
    return raw


def _thread(limits: dict[str, Any]) -> ThreadRow:
    d = limits["designation"]
    hand, series = "-LH" if d["left_hand"] else "", str(d["series"])
    diameter, pitch, starts = float(d["diameter"]), float(d["pitch"]), int(d["starts"])
    lead = f"Ph{pitch * starts:.10g}P{pitch:.10g}" if starts > 1 else f"{pitch:.10g}"
    klass = str(limits["tolerance_class"])
    text = f"M{diameter:.10g}x{lead}-{klass}{hand}"
    if d["system"] == "UN":
        count = f" ({starts} starts)" if starts > 1 else ""
        text = f"{diameter / 25.4:.10g}-{25.4 / pitch:.6g} {series}-{klass}{hand}{count}"
    return ThreadRow(
        text, diameter, pitch, starts, bool(d["left_hand"]), bool(limits["external"]), klass
    )


def _sizes(raw: dict[str, Any], read: tuple[Reading, ...]) -> tuple[SizeRow, ...]:
    wanted = []
    for c in raw.get("characteristics", ()):
        feature = str(c["feature"]).removeprefix("b.")
        plain = c["id"] == f"{c['feature']}.diameter"
        if plain and (feature in SIZES or feature.startswith("spigot")):
            wanted.append(revive(Characteristic, c))
    found = []
    for c in as_made(wanted, read):
        name = c.feature.removeprefix("b.")
        if c.lower is not None and c.upper is not None:
            found.append(SizeRow(SIZES.get(name, "spigot"), c.lower, c.upper))
    return tuple(found)


def _pen_hash(entry: Entry) -> str:
    if not store.exists(entry.folder / MANIFEST):
        return ""
    mark = load(Manifest, entry.folder / MANIFEST).files.get(PEN_FILE)
    return mark.sha256 if mark else ""
