"""The archive's own questions: find, compare, what a fixture holds, old fixtures, in and out."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from mandrelgen import __version__
from mandrelgen.archive import (
    bundle as unpacking,
)
from mandrelgen.archive import compare as comparing
from mandrelgen.archive import (
    export,
    root,
)
from mandrelgen.archive import (
    import_ as taking,
)
from mandrelgen.archive import (
    index as records_index,
)
from mandrelgen.archive import query as searching
from mandrelgen.archive.disk import store
from mandrelgen.archive.index_rows import PEN_FILE, IndexRow, describe
from mandrelgen.archive.naming import MARKER
from mandrelgen.core.clock import date_of
from mandrelgen.core.errors import Finding, InputError, Level
from mandrelgen.files.writers.listing import Cell, csv_bytes, xlsx_bytes
from mandrelgen.files.writers.pdf import labels as labels_pdf
from mandrelgen.paper.reports import drawer_labels
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.read import effective_shop, read_pen
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.designation import Designation, parse
from mandrelgen.standards.tables import NotHeldError
from mandrelgen.workflows import adopt_record as adopting
from mandrelgen.workflows import reuse_judging
from mandrelgen.workflows.read_inputs import read_inputs, read_shop_file

LARGEST = 1 << 20
COLUMNS = (
    "number", "revision", "status", "kind", "pen", "part", "end", "thread", "spigot", "collar",
    "shank", "material", "collet", "date", "checked", "verdict", "title",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Found:
    """The fixtures found, and what could not be read meanwhile."""

    rows: tuple[IndexRow, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Holds:
    """A fixture and every end of the pens looked at that it holds."""

    row: IndexRow
    held: tuple[reuse_judging.HeldEnd, ...]
    pens: tuple[str, ...]


def archive_of(folder: Path) -> root.Archive:
    """The archive in a folder. Raises InputError if there is none, DiskError."""
    if not store.exists(folder / MARKER):
        raise _fault("archive.none", str(folder), "there is no archive here",
                     "name an archive's folder with --to, or make a pen first")  # fmt: skip
    return root.open_root(folder)


def thread_of(text: str) -> Designation:
    """A thread in any notation. Raises InputError."""
    try:
        return parse(text)
    except NotHeldError as e:
        raise _fault("find.thread", "thread", e.message, e.remedy) from e


def range_of(text: str) -> tuple[float, float]:
    """``7.5..7.7`` or ``7.6`` in mm. Raises InputError."""
    low, dots, high = text.replace(",", ".").partition("..")
    try:
        found = float(low), float(high if dots else low)
    except ValueError:
        found = (1.0, 0.0)
    if not 0 <= found[0] <= found[1] < float("inf"):
        raise _fault("find.range", "--spigot", f"'{text[:30]}' is no range of sizes",
                     "write 7.5..7.7 in mm, the smaller first, or one size")  # fmt: skip
    return found if dots else (found[0] - 0.05, found[0] + 0.05)


def day_of(text: str | None) -> str:
    """A day, or nothing. Raises InputError."""
    return "" if not text else date_of(text)


def find(folder: Path, query: searching.Query) -> Found:
    """The fixtures of an archive that answer a query. Raises InputError, DiskError."""
    with records_index.opened(archive_of(folder)) as index:
        rows = searching.find_whole(index, query)
        faults = tuple(
            Finding(
                level=Level.WARNING,
                code="archive.unread",
                where=str(folder),
                message=message,
                remedy="run `mandrelgen verify` on the archive",
            )
            for message in index.faults()
        )
    return Found(rows, faults)


def reindex(folder: Path) -> int:
    """Make the index again; how many revisions it holds. What killed runs left behind is swept.

    Raises InputError, DiskError.
    """
    archive = archive_of(folder)
    store.sweep(archive.root)
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
        raise _fault("find.file", path.name, "the ending says how it is written",
                     "name a file that ends in .csv or .xlsx")  # fmt: skip
    _create(path, data)


def compare(folder: Path, first: str, second: str) -> comparing.Comparison:
    """Two revisions or fixtures. Raises InputError, DiskError."""
    archive = archive_of(folder)
    a, b = comparing.resolve(archive, first), comparing.resolve(archive, second)
    return comparing.compare(archive, a, b)


def adopt(folder: Path, path: Path, date: str | None, reason: str | None) -> adopting.Adopted:
    """Enter an old fixture from its file. Raises InputError, DiskError."""
    data = _read(path)
    return adopting.adopt(
        root.open_root(folder), data, path.name, date_of(date), f"mandrelgen {__version__}",
        reason or "",
    )  # fmt: skip


def holds(
    folder: Path, number: str, pens: Sequence[Path] = (), shop_path: Path | None = None
) -> Holds:
    """Which ends of the pens named (none: of every pen of the archive) a fixture holds, as made.

    Raises InputError, DiskError.
    """
    archive = archive_of(folder)
    row = _described(archive, number)
    with records_index.opened(archive) as index:
        mandrel, _ = reuse_judging.as_made(index, row)
        if pens:
            inputs = [read_inputs(p, shop_path, folder) for p in pens]
            looked = [(i.pen, i.shop) for i in inputs]
        else:
            looked = _archived_pens(index, read_shop_file(shop_path, folder))
    found = [h for pen, shop in looked for h in reuse_judging.held_by(mandrel, pen, shop)]
    return Holds(row, tuple(found), tuple(pen.pen.id for pen, _ in looked))


def _described(archive: root.Archive, name: str) -> IndexRow:
    entry = comparing.resolve(archive, name)
    return next(
        r
        for r in describe(archive, entry.number)
        if (r.revision, r.draft) == (entry.revision, entry.draft)
    )


def _archived_pens(index: records_index.Index, shop: Shop) -> list[tuple[Pen, Shop]]:
    """The newest file of every pen of the archive."""
    found: dict[str, tuple[Pen, Shop]] = {}
    sql = (
        "SELECT folder FROM fixture WHERE newest AND pen_hash != '' GROUP BY pen_hash "
        "ORDER BY max(date), max(id)"
    )
    for (place,) in index.ask(sql):
        path = index.archive.root / str(place) / PEN_FILE
        pen = read_pen(store.read_file(path, LARGEST), f"{place}/{PEN_FILE}")
        found[pen.pen.id] = pen, effective_shop(shop, pen)
    return list(found.values())


def folder_or_numbers(folder: Path, names: Sequence[str]) -> tuple[Path, tuple[str, ...]]:
    """The archive meant and the numbers: one name that is an archive's folder stands for it."""
    if len(names) == 1 and store.exists(Path(names[0]) / MARKER):
        return Path(names[0]), ()
    return folder, tuple(names)


def grid_of(text: str, margin: float, gap: float, first: int) -> drawer_labels.LabelGrid:
    """A sheet's grid by name or as ``3x8``. Raises InputError if its labels would be too small."""
    match = re.fullmatch(r"([1-9][0-9]?)[x×]([1-9][0-9]?)", text)
    size = (int(match[1]), int(match[2])) if match else drawer_labels.GRIDS.get(text)
    if size is None:
        raise _fault("labels.grid", "--grid", f"'{text[:30]}' is no grid of labels",
                     f"write {', '.join(drawer_labels.GRIDS)}, or columns x rows: 3x8")  # fmt: skip
    grid = drawer_labels.LabelGrid(*size, margin, gap, first)
    if not (grid.usable and margin >= 0 and gap >= 0):
        w, h = grid.label
        raise _fault(
            "labels.grid", "--grid", f"{size[0]} x {size[1]} labels of {w:.1f} x {h:.1f} mm, "
            f"beginning at place {first}, do not go on the sheet: a label needs "
            f"{drawer_labels.LEAST[0]:g} x {drawer_labels.LEAST[1]:g}",
            "ask for fewer columns or rows, a smaller margin or gap, a first place on the sheet",
        )  # fmt: skip
    return grid


def labels(folder: Path, names: Sequence[str], grid: drawer_labels.LabelGrid, path: Path) -> int:
    """Write labels of the fixtures named (MG-0007, MG-0007:B; none: of every fixture in use) as a
    PDF; how many. Raises InputError, DiskError."""
    archive = archive_of(folder)
    if names:
        rows = tuple(_described(archive, name) for name in names)
    else:
        with records_index.opened(archive) as index:
            rows = tuple(
                r for r in searching.find_whole(index, searching.Query())
                if r.status in ("in preparation", "released")
            )  # fmt: skip
    if not rows:
        raise _fault("labels.none", str(folder), "there is no fixture to label",
                     "make a pen or adopt a fixture first")  # fmt: skip
    sheets = drawer_labels.pages([_labelled(r) for r in rows], grid)
    _create(path, labels_pdf.write(sheets, "Labels", grid.margin))
    return len(rows)


def _labelled(row: IndexRow) -> drawer_labels.Labelled:
    part = f"id {row.part}" if row.adopted else f"{row.pen}: {row.part}, {row.end}"
    threads = [t.text for t in row.threads] or ["no thread"]
    return drawer_labels.Labelled(row.number, row.revision, (*threads, part, row.title))


def export_to(folder: Path, names: Sequence[str], path: Path) -> int:
    """Write an export; its size in bytes. Raises InputError, DiskError."""
    data = export.export(archive_of(folder), names)
    _create(path, data)
    return len(data)


def take(folder: Path, path: Path) -> tuple[taking.Taken, ...]:
    """Take an export in; a new archive takes its prefix. Raises InputError, DiskError."""
    if not store.is_plain_file(path):
        raise _fault("file.unreadable", path.name, "there is no such file", "name an export's zip")
    bundle = unpacking.read_bundle(store.read_file(path, export.MAX_BYTES), path.name)
    new = not store.exists(folder / MARKER)
    return taking.take(root.open_root(folder, bundle.prefix if new else None), bundle)


def _read(path: Path) -> bytes:
    if not store.is_plain_file(path):
        raise _fault("file.unreadable", path.name or str(path), "there is no such file",
                     "name a TOML file with the fixture's measurements")  # fmt: skip
    return store.read_file(path, LARGEST)


def _create(path: Path, data: bytes) -> None:
    if store.exists(path) or not store.create_file(path, data):
        raise _fault("file.exists", str(path), "the file is there, and nothing is overwritten",
                     "name another file, or move it away")  # fmt: skip


def _fault(code: str, where: str, message: str, remedy: str) -> InputError:
    return InputError(
        [Finding(level=Level.ERROR, code=code, where=where, message=message, remedy=remedy)]
    )
