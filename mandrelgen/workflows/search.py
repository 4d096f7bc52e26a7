"""``find`` and ``reindex``: the fixtures of an archive that answer a query, and their list."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from mandrelgen.archive import compare as comparing
from mandrelgen.archive import index as records_index
from mandrelgen.archive import messages, root
from mandrelgen.archive import query as searching
from mandrelgen.archive.disk.store import sweep
from mandrelgen.archive.index_rows import IndexRow, describe
from mandrelgen.archive.numbering import sweep_reserved
from mandrelgen.core.clock import date_of
from mandrelgen.core.errors import Finding
from mandrelgen.core.frozen import dataclass
from mandrelgen.files.writers.listing import Cell, csv_bytes, xlsx_bytes
from mandrelgen.standards.designation import Designation
from mandrelgen.standards.tables import NotHeldError
from mandrelgen.standards.thread_spelling import read_thread
from mandrelgen.workflows.archives import archive_of, create, fault
from mandrelgen.workflows.search_words import Asked, taken_apart

COLUMNS = (
    "number", "revision", "status", "kind", "pen", "part", "end", "thread", "spigot", "collar",
    "shank", "material", "collet", "date", "checked", "verdict", "title",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Found:
    """The fixtures found, and what could not be read meanwhile."""

    rows: tuple[IndexRow, ...]
    findings: tuple[Finding, ...]


def thread_of(text: str) -> Designation:
    """A thread in any notation. Raises InputError."""
    try:
        return read_thread(text)
    except NotHeldError as e:
        raise fault("find.thread", "thread", e.message, e.remedy) from e


def asked_of(text: str) -> Asked:
    """A thread in any notation, with words beside it. Raises InputError where no thread is said at
    all."""
    found = taken_apart(text)
    if not found.threads:
        thread_of(text)
    return found


def range_of(text: str) -> tuple[float, float]:
    """``7.5..7.7`` or ``7.6`` in mm. Raises InputError."""
    low, dots, high = text.replace(",", ".").partition("..")
    try:
        found = float(low), float(high if dots else low)
    except ValueError:
        found = (1.0, 0.0)
    if not 0 <= found[0] <= found[1] < float("inf"):
        raise fault("find.range", "--spigot", f"'{text[:30]}' is no range of sizes",
                     "write 7.5..7.7 in mm, the smaller first, or one size")  # fmt: skip
    return found if dots else (found[0] - 0.05, found[0] + 0.05)


def day_of(text: str | None) -> str:
    """A day, or nothing. Raises InputError."""
    return "" if not text else date_of(text)


def find(folder: Path, query: searching.Query) -> Found:
    """The fixtures of an archive that answer a query. Raises InputError, DiskError."""
    with records_index.opened(archive_of(folder)) as index:
        rows = searching.find_whole(index, query)
        return Found(rows, _unread(folder, index))


def unread(folder: Path) -> tuple[Finding, ...]:
    """What of an archive cannot be read. Raises InputError, DiskError."""
    with records_index.opened(archive_of(folder)) as index:
        return _unread(folder, index)


def _unread(folder: Path, index: records_index.Index) -> tuple[Finding, ...]:
    return tuple(messages.unread(folder, index.faults()))


def reindex(folder: Path) -> int:
    """Make the index again; how many revisions it holds. What killed runs left behind is swept.

    Raises InputError, DiskError.
    """
    archive = archive_of(folder)
    sweep(archive.root)
    sweep_reserved(archive)
    with records_index.opened(archive) as index:
        return index.rebuild()


def cells(row: IndexRow) -> tuple[Cell, ...]:
    """A row of the list; plain sizes are the middle of their limits, mm."""

    def size(name: str) -> Cell:
        found = row.size(name)
        return None if found is None else round((found.low + found.high) / 2, 4)

    revision = row.revision + (f".{row.draft}" if row.draft > 1 else "")
    return (
        row.number, revision, row.status, row.kind, row.pen, row.part, row.end,
        ", ".join(t.text for t in row.threads), size("spigot"), size("collar"), size("shank"),
        row.material, row.collet, row.date, row.checked, row.verdict, row.title,
    )  # fmt: skip


def write_list(rows: Sequence[IndexRow], path: Path, date: str) -> None:
    """The list as a file, CSV or XLSX by its ending; never over another file.

    Raises InputError, DiskError.
    """
    table = [cells(r) for r in rows]
    if path.suffix.lower() == ".xlsx":
        data = xlsx_bytes(COLUMNS, table, date, "Fixtures")
    elif path.suffix.lower() == ".csv":
        data = csv_bytes(COLUMNS, table)
    else:
        raise fault("find.file", path.name, "the ending says how it is written",
                     "name a file that ends in .csv or .xlsx")  # fmt: skip
    create(path, data)


def described(archive: root.Archive, name: str) -> IndexRow:
    """What the archive says of MG-0007 or MG-0007:B. Raises InputError, DiskError."""
    entry = comparing.resolve(archive, name)
    return next(
        r
        for r in describe(archive, entry.number)
        if (r.revision, r.draft) == (entry.revision, entry.draft)
    )
