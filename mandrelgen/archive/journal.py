"""Which numbers changed since the index last looked: one line a change, in the cache's folder.

Whoever publishes or adds an event writes the number here *before* the change becomes visible, and
holds the archive's lock over both; whoever brings the index up to date holds the lock too. So a
line may speak of a change that never came (then a record is read once more), but no change comes
without its line. Without a cache folder there is no index that could be stale: nothing is written.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from mandrelgen.archive.disk.files import append, is_folder, read_from, remove_file
from mandrelgen.core.errors import DiskError

CACHE = ".cache"
JOURNAL = "journal"
INDEX = "index.sqlite3"


def note(root: Path, numbers: Iterable[str]) -> None:
    """Write that these numbers are about to change. Never raises: if it cannot be written, the
    index goes, and is made again when it is next asked."""
    folder = root / CACHE
    if not is_folder(folder):
        return
    lines = "".join(f"{number}\n" for number in dict.fromkeys(numbers))
    try:
        append(folder / JOURNAL, lines.encode("ascii", "replace"))
    except DiskError:
        remove_file(folder / INDEX)


def noted(root: Path, start: int) -> tuple[frozenset[str], int]:
    """The numbers written behind the first ``start`` bytes, and where the journal now ends.

    Raises DiskError.
    """
    data = read_from(root / CACHE / JOURNAL, start)
    return frozenset(data.decode("ascii", "replace").split()), start + len(data)
