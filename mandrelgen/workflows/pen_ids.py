"""A pen's id: made of its name, no other's in the folder and in the archive, and kept once anything
was made under it."""

from __future__ import annotations

import re
import tomllib
import unicodedata
from collections.abc import Callable
from pathlib import Path

from mandrelgen.archive import orders, root
from mandrelgen.archive.disk import files
from mandrelgen.archive.index import opened
from mandrelgen.archive.naming import MARKER
from mandrelgen.core.errors import Change
from mandrelgen.spec.patch import patched_text
from mandrelgen.workflows.edit import Transform
from mandrelgen.workflows.read_inputs import SHOP
from mandrelgen.workflows.same_as import ids_beside

DEVICES = re.compile(r"con|prn|aux|nul|(?:com|lpt)\d")
"""What Windows keeps for its devices, whatever stands behind it."""
LONGEST = 28
"""Letters of an id that a name gives: a number behind it stays within what an id may have."""


def file_name(name: str) -> str:
    """A pen's name in small letters, digits and dashes.

    >>> file_name("Peter's pen 2"), file_name("Kürbis Nº 3"), file_name("3 reeds"), file_name("笔")
    ('peters-pen-2', 'kurbis-no-3', 'pen-3-reeds', 'pen')
    """
    plain = unicodedata.normalize("NFKD", name.lower()).encode("ascii", "ignore").decode()
    id = re.sub(r"[^a-z0-9]+", "-", plain.replace("'", "")).strip("-")[:LONGEST].strip("-")
    free = id[:1].isalpha() and f"{id}.toml" != SHOP and not DEVICES.fullmatch(id)
    return id if free else f"pen-{id}".strip("-")


def made(archive: Path, id: str) -> bool:
    """Whether the archive holds a fixture or an order of the pen. Raises DiskError."""
    if not files.exists(archive / MARKER):
        return False
    there = root.open_root(archive)
    with opened(there) as index:
        if index.ask("SELECT 1 FROM fixture WHERE pen = ? LIMIT 1", (id,)):
            return True
    return bool(orders.of_pen(there, id))


def is_free(id: str, file: Path, archive: Path) -> bool:
    """Whether neither another pen file beside ``file`` nor the archive has the id. Raises
    DiskError."""
    return id not in ids_beside(file) and not made(archive, id)


def free_id(first: str, file: Path, archive: Path) -> str:
    """``first``, with a number behind it where another pen file beside ``file`` has it, or the
    archive knows a pen by it. Raises DiskError."""
    n, id = 1, first
    while not is_free(id, file, archive):
        n += 1
        id = f"{first[:LONGEST]}-{n}"
    return id


def set_name(name: str, file: Path, archive: Path, kept: Callable[[str], bool]) -> Transform:
    """The pen's name, and its id with it, as long as nothing is ``kept`` under the id it has."""

    def transform(text: str) -> str:
        changes = [Change(("pen", "name"), name)]
        old = str(tomllib.loads(text).get("pen", {}).get("id", ""))
        if not kept(old):
            changes.append(Change(("pen", "id"), free_id(file_name(name), file, archive)))
        return patched_text(text, changes)

    return transform
