"""What stands in an archive for people to begin at: its front page, and beside each order that
another took the place of a note that says so.

Both are derived, like the index: made anew by what changes the archive, safe to delete, in no
manifest. The page carries a hash of its own text, so that `verify` knows a damaged one.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Collection, Iterator, Mapping
from pathlib import Path

from mandrelgen.archive.disk.files import (
    create_file,
    exists,
    is_folder,
    is_plain_file,
    list_folder,
    make_folder,
    read_file,
    remove_file,
    write_file,
)
from mandrelgen.archive.disk.store import sweep
from mandrelgen.archive.manifest import Damage, Fault
from mandrelgen.archive.naming import FRONT, ORDERS, SUPERSEDED
from mandrelgen.core.errors import DiskError

BLANK = "0" * 64
"""Where the page has its seal; the template writes it so."""
_SEAL = re.compile(rb'<meta name="mandrelgen-seal" content="([0-9a-f]{64})">')
LARGEST = 256 * 1024 * 1024
BLOCKS = "catalogue/blocks"
"""Where the scripts stand in which a large archive's cards are, each named by its content."""
_BLOCK = re.compile(r"[0-9a-f]{16}\.js")
_NAMED = re.compile(rb'<script src="' + BLOCKS.encode() + rb'/([0-9a-f]{16}\.js)">')
ANEW = "it is made anew by the next run that changes the archive, or by `mandrelgen catalogue`"


def sealed(page: bytes) -> bytes:
    """The page with the hash of its text in the place of `BLANK`. Raises ValueError if it has no
    place for one."""
    found = _SEAL.search(page)
    if found is None or found[1] != BLANK.encode():
        raise ValueError("the page has no place for its seal")
    digest = hashlib.sha256(page).hexdigest().encode()
    return page[: found.start(1)] + digest + page[found.end(1) :]


def is_ours(page: bytes) -> bool:
    """Whether a page was written by this program, damaged or not."""
    return _SEAL.search(page) is not None


def sound(page: bytes) -> bool:
    """Whether a page is as it was written."""
    found = _SEAL.search(page)
    if found is None:
        return False
    blank = page[: found.start(1)] + BLANK.encode() + page[found.end(1) :]
    return hashlib.sha256(blank).hexdigest().encode() == found[1]


def place_is_ours(root: Path) -> bool:
    """False if somebody else's file has the page's name. Raises DiskError, also if another thing
    stands where the catalogue's folder belongs."""
    path, folder = root / FRONT, (root / BLOCKS).parent
    if exists(folder) and not is_folder(folder):
        raise DiskError(f"{folder} is a link or a file, where the catalogue's folder belongs.",
                        "Move it away.")  # fmt: skip
    return not exists(path) or (is_plain_file(path) and is_ours(read_file(path, LARGEST)))


def write_page(root: Path, page: bytes) -> None:
    """Put the page in its place, unless the same is there. Raises DiskError. The archive's lock is
    held, and the place is ours."""
    path = root / FRONT
    if not exists(path) or read_file(path, LARGEST) != page:
        write_file(path, page)


def block_name(data: bytes) -> str:
    """The name of a block of cards: a hash of what is in it."""
    return hashlib.sha256(data).hexdigest()[:16] + ".js"


def block_there(root: Path, name: str) -> bool:
    """Whether a block stands in its place."""
    return bool(name) and is_plain_file(root / BLOCKS / name)


def write_blocks(root: Path, blocks: Mapping[str, bytes]) -> None:
    """Put blocks in their place before the page that names them. Raises DiskError."""
    if blocks:
        make_folder(root / BLOCKS)
    for name, data in blocks.items():
        path = root / BLOCKS / name
        if not create_file(path, data) and read_file(path, LARGEST) != data:
            write_file(path, data)


def sweep_blocks(root: Path, named: Collection[str]) -> None:
    """Take away the blocks that the page does not name. Raises DiskError."""
    if is_folder(root / BLOCKS):
        sweep(root / BLOCKS)
    for name in list_folder(root / BLOCKS):
        if _BLOCK.fullmatch(name) and name not in named:
            remove_file(root / BLOCKS / name)


def note_superseded(root: Path, gone: Mapping[str, str]) -> None:
    """A note beside each order of ``gone`` (its name, the name of the one in its place), and none
    beside the others. Raises DiskError. The archive's lock is held."""
    folder = root / ORDERS
    there = list_folder(folder)
    notes = {f"{old}{SUPERSEDED}": _note(old, new) for old, new in gone.items() if old in there}
    for name in there:
        if name.endswith(SUPERSEDED) and name not in notes and is_plain_file(folder / name):
            remove_file(folder / name)
    for name, text in notes.items():
        if name not in there:
            write_file(folder / name, text)


def _note(old: str, new: str) -> bytes:
    return f"Do not send {old}: {new} took its place.\n".encode()


def check(root: Path, gone: Mapping[str, str]) -> Iterator[Fault]:
    """What is wrong with page, blocks and notes; page and notes are not missed. Raises
    DiskError."""
    if is_plain_file(root / FRONT):
        page = read_file(root / FRONT, LARGEST)
        if is_ours(page) and not sound(page):
            yield Fault(FRONT, Damage.CHANGED, ANEW)
        for name in {n.decode() for n in _NAMED.findall(page)}:
            yield from _check_block(root, name)
    for name in list_folder(root / ORDERS):
        path = root / ORDERS / name
        if name.endswith(SUPERSEDED) and not is_folder(path):
            old = name.removesuffix(SUPERSEDED)
            if old not in gone:
                yield Fault(f"{ORDERS}/{name}", Damage.EXTRA, "no order took that one's place")
            elif read_file(path) != _note(old, gone[old]):
                yield Fault(f"{ORDERS}/{name}", Damage.CHANGED, "delete it; " + ANEW)


def _check_block(root: Path, name: str) -> Iterator[Fault]:
    shown, path = f"{BLOCKS}/{name}", root / BLOCKS / name
    if not is_plain_file(path):
        yield Fault(shown, Damage.MISSING, ANEW)
    elif block_name(read_file(path, LARGEST)) != name:
        yield Fault(shown, Damage.CHANGED, "`mandrelgen catalogue` makes it anew")
