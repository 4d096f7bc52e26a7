"""``labels``: labels to stick on drawers, as PDF."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

from mandrelgen.archive import index as records_index
from mandrelgen.archive import query as searching
from mandrelgen.archive.disk.files import exists
from mandrelgen.archive.events import events_of
from mandrelgen.archive.index_rows import IndexRow
from mandrelgen.archive.naming import MARKER
from mandrelgen.archive.record_files import Entry, entries
from mandrelgen.archive.rounds import Item
from mandrelgen.archive.states import AWAITED, State, had_before, history
from mandrelgen.files.writers.pdf import labels as labels_pdf
from mandrelgen.paper.reports import drawer_labels
from mandrelgen.workflows.archives import archive_of, create, fault
from mandrelgen.workflows.numbers_said import numbers
from mandrelgen.workflows.search import described

USUAL = "drawer", 10.0, 2.0, 1
"""The usual sheet, as `grid_of` takes it: its name, margin and gap in mm, first place."""
_IN_HAND = (State.ARRIVED, State.IN_USE, State.REWORKED)


def folder_or_numbers(folder: Path, names: Sequence[str]) -> tuple[Path, tuple[str, ...]]:
    """The archive meant and the numbers: one name that is an archive's folder stands for it."""
    if len(names) == 1 and exists(Path(names[0]) / MARKER):
        return Path(names[0]), ()
    return folder, tuple(names)


def grid_of(text: str, margin: float, gap: float, first: int) -> drawer_labels.LabelGrid:
    """A sheet's grid by name or as ``3x8``. Raises InputError if its labels would be too small."""
    match = re.fullmatch(r"([1-9][0-9]?)[x×]([1-9][0-9]?)", text)
    size = (int(match[1]), int(match[2])) if match else drawer_labels.GRIDS.get(text)
    if size is None:
        raise fault("labels.grid", "--grid", f"'{text[:30]}' is no grid of labels",
                     f"write {', '.join(drawer_labels.GRIDS)}, or columns x rows: 3x8")  # fmt: skip
    grid = drawer_labels.LabelGrid(*size, margin, gap, first)
    if not (grid.usable and margin >= 0 and gap >= 0):
        w, h = grid.label
        raise fault(
            "labels.grid", "--grid", f"{size[0]} x {size[1]} labels of {w:.1f} x {h:.1f} mm, "
            f"beginning at place {first}, do not go on the sheet: a label needs "
            f"{drawer_labels.LEAST[0]:g} x {drawer_labels.LEAST[1]:g}",
            "ask for fewer columns or rows, a smaller margin or gap, a first place on the sheet",
        )  # fmt: skip
    return grid


def labels(folder: Path, names: Sequence[str], grid: drawer_labels.LabelGrid, path: Path) -> int:
    """Write labels of the fixtures named (MG-0007, MG-0007:B; none: of every fixture that is not
    superseded or withdrawn) as a PDF; how many. Raises InputError, DiskError."""
    archive = archive_of(folder)
    if names:
        rows = tuple(described(archive, name) for name in numbers(archive, names))
    else:
        with records_index.opened(archive) as index:
            rows = tuple(
                r for r in searching.find_whole(index, searching.Query())
                if r.status in ("in preparation", "released")
            )  # fmt: skip
    create(path, _pdf(folder, rows, grid))
    return len(rows)


def labels_of(folder: Path, name: str = "") -> bytes:
    """The same as a PDF's bytes, on the usual sheet: of one fixture (``MG-0007:B``), or of all that
    are in hand. Raises InputError, DiskError."""
    archive = archive_of(folder)
    if name:
        rows: tuple[IndexRow, ...] = (described(archive, name),)
    else:
        held = set(in_hand(folder))
        with records_index.opened(archive) as index:
            every = searching.find_whole(index, searching.Query(all_revisions=True))
        rows = tuple(r for r in every if (r.number, r.revision, r.draft) in held)
    return _pdf(folder, rows, grid_of(*USUAL))


def in_hand(folder: Path) -> tuple[Item, ...]:
    """The fixtures that have come and are there, by number, revision and draft, be it that another
    one is ordered; what was sent back is at the turner's. Raises InputError, DiskError."""
    archive = archive_of(folder)
    with records_index.opened(archive) as index:
        rows = index.ask("SELECT number, revision, draft, state FROM fixture ORDER BY number")
    found = []
    for number, revision, draft, said in rows:
        item, state = (str(number), str(revision), int(draft)), State(said)
        if state in (*AWAITED, State.DECLINED):
            (entry,) = (e for e in entries(archive.root, item[0]) if _item(e) == item)
            state = had_before(history(events_of(archive, item[0]), entry)) or state
        if state in _IN_HAND:
            found.append(item)
    return tuple(found)


def _item(entry: Entry) -> Item:
    return entry.number, entry.revision, entry.draft


def _pdf(folder: Path, rows: Sequence[IndexRow], grid: drawer_labels.LabelGrid) -> bytes:
    if not rows:
        raise fault("labels.none", str(folder), "there is no fixture to label",
                     "make a pen or adopt a fixture first")  # fmt: skip
    sheets = drawer_labels.pages([_labelled(r) for r in rows], grid)
    return labels_pdf.write(sheets, "Labels", grid.margin)


def _labelled(row: IndexRow) -> drawer_labels.Labelled:
    part = f"id {row.part}" if row.adopted else f"{row.pen}: {row.part}, {row.end}"
    threads = [t.text for t in row.threads] or ["no thread"]
    return drawer_labels.Labelled(row.number, row.revision, (*threads, part, row.title))
