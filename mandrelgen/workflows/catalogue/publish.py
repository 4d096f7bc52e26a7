"""What lets the parts turn on the page: a light model a part, and the library that shows them.

They are derived, like the index: never hashed, safe to delete, made anew by ``catalogue`` alone,
since a model takes longer than all else on the page. A model is named by its part's shape. Models
are written first; then the page takes the old one's place in one step; then those go that no
fixture has. So at any moment the page that stands there finds its models.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

from mandrelgen.archive import front as marks
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
from mandrelgen.archive.mandrel_json import NAME, read_mandrel
from mandrelgen.archive.naming import FRONT
from mandrelgen.core.errors import DiskError, Finding, InputError
from mandrelgen.core.frozen import dataclass
from mandrelgen.core.resources import template_path
from mandrelgen.workflows.archives import archive_of
from mandrelgen.workflows.catalogue import front, page, shape

# The page of older versions, and how it says whose it is.
OLD_PAGE = "index.html"
OLD_MARK = b'<meta name="generator" content="mandrelgen catalogue">'
LIBRARY = "three.js"
_MODEL = re.compile(r"[0-9a-f]{16}\.js")
LARGEST = 512 * 1024 * 1024


@dataclass(frozen=True, slots=True)
class Written:
    """Where the page is, how much it shows, and what could not be read for it."""

    path: Path
    fixtures: int
    models: int
    findings: tuple[Finding, ...]


def catalogue(folder: Path) -> Written:
    """Write models for every fixture of an archive, and its page anew.

    Raises InputError if there is no archive or the page's name is taken, DiskError.
    """
    archive = archive_of(folder)
    with records_index.opened(archive) as index:
        rows = index.rows(f"SELECT {COLUMNS} FROM fixture f WHERE f.newest")
        faults = index.faults()
    models = _models(archive.root, rows)
    made = _write(archive, models)
    said = (*made.findings, *messages.unread(folder, faults))
    return Written(folder / FRONT, made.count, len(models), said)


def _models(base: Path, rows: tuple[IndexRow, ...]) -> dict[str, bytes]:
    """The models' scripts, by their files' names; a record that cannot be read has none."""
    found: dict[str, bytes] = {}
    for row in rows:
        if not exists(base / row.folder / NAME):
            continue
        try:
            model = shape.model(read_mandrel(base / row.folder))
        except DiskError:
            continue  # the card's reading of it tells
        if model is not None:
            found[model.name + ".js"] = model.script
    return found


def _write(archive: root.Archive, models: Mapping[str, bytes]) -> front.Made:
    folder = archive.root / page.FOLDER
    missing = missing_folders(archive.root / front.MODELS)
    new: list[Path] = []
    library = template_path(f"{page.FOLDER}/{LIBRARY}").read_bytes()
    try:
        with root.held(archive):
            if not marks.place_is_ours(archive.root):
                raise _foreign()
            make_folder(archive.root / front.MODELS)
            _write_scripts(archive.root / front.MODELS, models, new)
            _write_scripts(folder, {LIBRARY: library}, new)
            made = front.written(archive, anew=True)
            assert made is not None, "the place is ours"
            new = []
            _sweep(archive.root / front.MODELS, models)
            _remove_old_page(folder / OLD_PAGE)
        return made
    except BaseException:
        for path in new:
            remove_file(path)
        remove_empty(missing)
        raise


def _foreign() -> InputError:
    return InputError.of(
        "catalogue.foreign", FRONT, front.FOREIGN, "move it away; nothing was changed"
    )


def _write_scripts(folder: Path, files: Mapping[str, bytes], new: list[Path]) -> None:
    """Scripts that are missing or damaged; the paths of those that were missing go to ``new``."""
    there = set(list_folder(folder))
    for name, data in files.items():
        path = folder / name
        if name not in there:
            if create_file(path, data):
                new.append(path)
        elif read_file(path, LARGEST) != data:
            write_file(path, data)


def _sweep(folder: Path, models: Mapping[str, bytes]) -> None:
    sweep(folder)
    for name in list_folder(folder):
        if _MODEL.fullmatch(name) and name not in models:
            remove_file(folder / name)


def _remove_old_page(path: Path) -> None:
    """What an older version wrote would name models that are gone."""
    if exists(path) and not is_folder(path) and OLD_MARK in read_file(path, LARGEST):
        remove_file(path)
