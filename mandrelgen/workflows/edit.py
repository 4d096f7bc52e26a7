"""A change of a pen or shop file from the page: comments kept, nobody's change lost.

Bytes are read and replaced under the file's lock and compared once more before they are renamed;
what was replaced is given back, so that it can be undone.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from mandrelgen.archive.disk import files
from mandrelgen.archive.disk.locks import held_file
from mandrelgen.core.errors import DiskError, Finding, InputError, Level
from mandrelgen.core.frozen import dataclass
from mandrelgen.spec.read import read_pen, read_shop
from mandrelgen.workflows.read_inputs import LIMIT, SHOP

Transform = Callable[[str], str]
_BOM = b"\xef\xbb\xbf"
TRIES = 20


@dataclass(frozen=True, slots=True)
class Edited:
    """A file's bytes before a change and after it. ``doubt``: what the disk said though the new
    bytes stand: that they might not outlast a power cut."""

    before: bytes
    after: bytes
    doubt: DiskError | None = None


def change(path: Path, transform: Transform) -> Edited:
    """Write what ``transform`` makes of the file's present text.

    Raises InputError, and writes nothing, if the new text is no pen (or shop) that can be read;
    ValueError as ``transform`` does; DiskError.
    """
    for _ in range(TRIES):
        with held_file(path) as held:
            if not held:
                if not files.exists(path):
                    break
                continue
            before = files.read_file(path, LIMIT)
            after = _changed(before, transform)
            if after == before:
                return Edited(before, after)
            checked(path.name, after)
            if files.read_file(path, LIMIT) != before:
                continue
            return Edited(before, after, _written(path, after))
    raise DiskError(f"{path.name} is not there any more", "reload the page to see what is")


def _written(path: Path, data: bytes) -> DiskError | None:
    """Write a file. Raises DiskError if the old bytes still stand."""
    try:
        files.write_file(path, data)
    except DiskError as e:
        if files.read_file(path, LIMIT) != data:
            raise
        return e
    return None


def exchange(path: Path, expected: bytes, new: bytes) -> Edited:
    """Write ``new`` over ``expected``. Raises InputError if the file holds something else,
    DiskError."""
    for _ in range(TRIES):
        with held_file(path) as held:
            if not held:
                if not files.exists(path):
                    break
                continue
            if files.read_file(path, LIMIT) != expected:
                raise InputError([Finding(
                    level=Level.ERROR, code="edit.changed", where=path.name,
                    message="the file was changed elsewhere since; taking a change back would "
                    "lose that",
                    remedy="change the value itself",
                )])  # fmt: skip
            return Edited(expected, new, _written(path, new))
    raise DiskError(f"{path.name} is not there any more", "reload the page to see what is")


def checked(name: str, data: bytes) -> None:
    """Read a file as its name says. Raises InputError."""
    (read_shop if name == SHOP else read_pen)(data, name)


def _changed(data: bytes, transform: Transform) -> bytes:
    bom = _BOM if data.startswith(_BOM) else b""
    return bom + transform(data.decode("utf-8-sig")).encode("utf-8")
