"""``compare``: two fixtures or revisions, by characteristic."""

from __future__ import annotations

from pathlib import Path

from mandrelgen.archive import compare as comparing
from mandrelgen.workflows.archives import archive_of


def compare(folder: Path, first: str, second: str) -> comparing.Comparison:
    """Two revisions or fixtures. Raises InputError, DiskError."""
    archive = archive_of(folder)
    a, b = comparing.resolve(archive, first), comparing.resolve(archive, second)
    return comparing.compare(archive, a, b)
