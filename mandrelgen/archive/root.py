"""The archive root: its marker file, and the lock that lets one run publish at a time."""

from __future__ import annotations

import contextlib
import uuid
from collections.abc import Iterable, Iterator
from pathlib import Path

from mandrelgen.archive.disk.files import (
    create_file,
    exists,
    is_folder,
    list_folder,
    missing_folders,
    remove_empty,
    remove_file,
)
from mandrelgen.archive.disk.locks import forget, give_back, locked
from mandrelgen.archive.disk.store import sweep
from mandrelgen.archive.naming import DEFAULT_PREFIX, MARKER, ORDERS, check_prefix
from mandrelgen.archive.record_files import numbers
from mandrelgen.archive.records import Marker, load
from mandrelgen.core.errors import Finding, InputError, Level
from mandrelgen.core.frozen import dataclass


@dataclass(frozen=True, slots=True)
class Archive:
    """An opened archive root. ``missing``: the folders that did not exist when it was opened,
    innermost first; a run that fails takes them away again if they are empty."""

    root: Path
    prefix: str
    missing: tuple[Path, ...] = ()


def open_root(path: Path, prefix: str | None = None) -> Archive:
    """Open an archive, or a folder that will be one; changes nothing on the disk.

    A folder with foreign files is fine, they are never touched. ``prefix`` None: the archive's
    own, ``MG`` for a new one. Raises InputError for a prefix that is unfit or another than the
    archive's, DiskError for a damaged marker, one of a newer schema, or a file in the way.
    """
    root = Path(path).absolute()
    missing = missing_folders(root)
    marker = None if missing or not exists(root / MARKER) else load(Marker, root / MARKER)
    if marker is None:
        return Archive(root, check_prefix(DEFAULT_PREFIX if prefix is None else prefix), missing)
    if prefix not in (None, marker.prefix):
        raise _other_prefix(root, str(prefix), marker.prefix)
    return Archive(root, check_prefix(marker.prefix), missing)


def _other_prefix(root: Path, asked: str, found: str) -> InputError:
    return InputError(
        [
            Finding(
                level=Level.ERROR,
                code="prefix",
                where=str(root),
                message=f"the archive numbers its fixtures {found}-…, not {asked}-…",
                remedy=f"leave the prefix out, write {found}, or name another archive with --to",
            )
        ]
    )


@contextlib.contextmanager
def held(archive: Archive) -> Iterator[None]:
    """Hold the archive's lock; the marker is written if this is the first publish, and taken away
    again if the body fails. What killed runs left behind is swept first.

    Raises DiskError and InputError (another run founded the archive with another prefix).
    """
    path = archive.root / MARKER
    sweep(archive.root)
    with locked(archive.root):
        new = not exists(path)
        try:
            if new:
                marker = Marker(prefix=archive.prefix, id=uuid.uuid4().hex)
                create_file(path, marker.to_bytes())
            found = load(Marker, path)
            if found.prefix != archive.prefix:
                raise _other_prefix(archive.root, archive.prefix, found.prefix)
            yield
        except BaseException:
            if new and _bare(archive):
                remove_file(path)
            raise


def _bare(archive: Archive) -> bool:
    """Whether nothing has been published here."""
    names = (*numbers(archive.root, archive.prefix), ORDERS)
    folders = (archive.root / name for name in names)
    return not any(is_folder(f) and list_folder(f) for f in folders)


def clear(archive: Archive, folders: Iterable[Path] = ()) -> None:
    """Take away reserved numbers that stayed empty, and a new root if nothing was published.

    Never raises, never touches a folder with anything in it.
    """
    for folder in folders:
        remove_empty([folder])  # first: given back, another run could have taken it
        give_back(folder)
    if not exists(archive.root / MARKER):
        forget(archive.root)
    remove_empty(archive.missing)
