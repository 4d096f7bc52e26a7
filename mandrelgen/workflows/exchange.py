"""``export`` and ``import``: fixtures and orders out of an archive and into another."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from mandrelgen.archive import bundle as unpacking
from mandrelgen.archive import export, root
from mandrelgen.archive import import_ as taking
from mandrelgen.archive.disk.files import exists
from mandrelgen.archive.naming import MARKER
from mandrelgen.workflows.archives import archive_of, create, read


def export_to(folder: Path, names: Sequence[str], path: Path) -> int:
    """Write an export; its size in bytes. Raises InputError, DiskError."""
    data = export.export(archive_of(folder), names)
    create(path, data)
    return len(data)


def take(folder: Path, path: Path) -> tuple[taking.Taken, ...]:
    """Take an export in; a new archive takes its prefix. Raises InputError, DiskError."""
    data = read(path, "name an export's zip", export.MAX_BYTES)
    bundle = unpacking.read_bundle(data, path.name)
    new = not exists(folder / MARKER)
    return taking.take(root.open_root(folder, bundle.prefix if new else None), bundle)
