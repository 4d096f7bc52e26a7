"""The archive and the files a command names: opened, read, written; what is told if not there."""

from __future__ import annotations

from pathlib import Path

from mandrelgen.archive import root
from mandrelgen.archive.disk.files import create_file, exists, is_plain_file, read_file
from mandrelgen.archive.naming import MARKER
from mandrelgen.core.errors import InputError

LARGEST = 1 << 20


def fault(code: str, where: str, message: str, remedy: str) -> InputError:
    """One thing a person can mend, as the error that tells it."""
    return InputError.of(code, where, message, remedy)


def archive_of(folder: Path) -> root.Archive:
    """The archive in a folder. Raises InputError if there is none, DiskError."""
    if not exists(folder / MARKER):
        raise fault("archive.none", str(folder), "there is no archive here",
                     "name an archive's folder with --to, or make a pen first")  # fmt: skip
    return root.open_root(folder)


def read(path: Path, wanted: str, limit: int = LARGEST) -> bytes:
    """A file's bytes; ``wanted``: what should have been named. Raises InputError, DiskError."""
    if not is_plain_file(path):
        raise fault("file.unreadable", path.name or str(path), "there is no such file", wanted)
    return read_file(path, limit)


def create(path: Path, data: bytes) -> None:
    """Write a file, never over another. Raises InputError, DiskError."""
    if exists(path) or not create_file(path, data):
        raise fault("file.exists", str(path), "the file is there, and nothing is overwritten",
                     "name another file, or move it away")  # fmt: skip
