"""The catalogue in its archive: ``catalogue/index.html`` and a model a part, made anew each time.

It is derived, like the index: never hashed, safe to delete. Models are named by their content and
written first; then the page takes the old one's place in one step; then models that no page names
go. So at any moment the page that stands there finds its models.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from mandrelgen.archive import index as records_index
from mandrelgen.archive import messages, root
from mandrelgen.archive.disk.files import (
    create_file,
    exists,
    is_folder,
    list_folder,
    make_folder,
    missing_folders,
    read_file,
    remove_empty,
    remove_file,
    write_file,
)
from mandrelgen.archive.disk.store import sweep
from mandrelgen.archive.index_rows import IndexRow
from mandrelgen.archive.index_schema import COLUMNS
from mandrelgen.archive.naming import number_count
from mandrelgen.core.errors import DiskError, Finding, InputError, Level
from mandrelgen.workflows.archives import archive_of
from mandrelgen.workflows.catalogue import cards, page

FOLDER = "catalogue"
PAGE = "index.html"
MODELS = "models"
_MODEL = re.compile(r"[0-9a-f]{16}\.js")
LARGEST = 512 * 1024 * 1024


@dataclass(frozen=True, slots=True)
class Written:
    """Where the page is, how much it shows, and what could not be read for it."""

    path: Path
    fixtures: int
    models: int
    findings: tuple[Finding, ...]


def catalogue(folder: Path, date: str) -> Written:
    """Write the catalogue of an archive; ``date`` ISO 8601.

    Raises InputError if there is no archive or the catalogue's place is taken, DiskError.
    """
    archive = archive_of(folder)
    made, findings, faults = newest_cards(archive)
    unread = [f.split(":", 1)[0] for f in faults]
    findings += messages.unread(folder, faults)
    models = {c.model.name + ".js": c.model.script for c in made if c.model is not None}
    html = page.render(made, [n for n in unread if number_count(archive.prefix, n)], date)
    _write(archive, html, models)
    return Written(folder / FOLDER / PAGE, len(made), len(models), tuple(findings))


def newest_cards(
    archive: root.Archive,
) -> tuple[list[cards.Card], list[Finding], tuple[str, ...]]:
    """A card for each number of the archive, findings, and what could not be read.

    Raises DiskError.
    """
    with records_index.opened(archive) as index:
        rows = index.rows(
            f"SELECT {COLUMNS} FROM fixture f ORDER BY length(f.number), f.number, f.id"
        )
        faults = index.faults()
    return *_cards(archive.root, rows), faults


def _cards(base: Path, rows: tuple[IndexRow, ...]) -> tuple[list[cards.Card], list[Finding]]:
    """A card for the newest revision of each number; the others are named on it."""
    found: list[cards.Card] = []
    findings: list[Finding] = []
    earlier: list[IndexRow] = []
    for row in rows:
        if not row.newest:
            earlier.append(row)
            continue
        older = tuple(r for r in earlier if r.number == row.number)
        made, said = cards.card(base, row, older)
        found.append(made)
        findings += said
        earlier = []
    return found, findings


def _write(archive: root.Archive, html: bytes, models: Mapping[str, bytes]) -> None:
    folder = archive.root / FOLDER
    _check_place(folder)
    missing = missing_folders(folder / MODELS)
    new: list[Path] = []
    try:
        make_folder(folder / MODELS)
        _write_models(folder / MODELS, models, new)
        # Two runs at once: the later page may need what the earlier one is about to sweep.
        with root.held(archive):
            _write_models(folder / MODELS, models, new)
            write_file(folder / PAGE, html)
            new = []
            _sweep(folder, models)
    except BaseException:
        for path in new:
            remove_file(path)
        remove_empty(missing)
        raise


def _check_place(folder: Path) -> None:
    """Whatever else stands in the catalogue's place stays there."""
    if exists(folder) and not is_folder(folder):
        raise DiskError(f"{folder} is a link or a file, where the catalogue's folder belongs.",
                        "Move it away.")  # fmt: skip
    path = folder / PAGE
    if exists(path) and page.MARK not in read_file(path, LARGEST):
        raise InputError(
            [
                Finding(
                    level=Level.ERROR,
                    code="catalogue.foreign",
                    where=f"{FOLDER}/{PAGE}",
                    message="this file was not written by mandrelgen",
                    remedy="move it away; nothing was changed",
                )
            ]
        )


def _write_models(folder: Path, models: Mapping[str, bytes], new: list[Path]) -> None:
    """Models that are missing or damaged; the names of those that were missing go to ``new``."""
    there = set(list_folder(folder))
    for name, data in models.items():
        path = folder / name
        if name not in there:
            if create_file(path, data):
                new.append(path)
        elif read_file(path, LARGEST) != data:
            write_file(path, data)


def _sweep(folder: Path, models: Mapping[str, bytes]) -> None:
    sweep(folder)
    sweep(folder / MODELS)
    for name in list_folder(folder / MODELS):
        if _MODEL.fullmatch(name) and name not in models:
            remove_file(folder / MODELS / name)
