"""Which fixture fills a slot: asked of the index where there is one, else of every record.

The index only names the number; what counts is read from its records. An index is never made here,
so that a run that fails leaves nothing in the archive that was not there before.
"""

from __future__ import annotations

import contextlib

from mandrelgen.archive.disk.files import is_folder, is_plain_file
from mandrelgen.archive.index import Index, cache_path
from mandrelgen.archive.record_files import Entry, entries, find_slot
from mandrelgen.archive.records import Slot
from mandrelgen.archive.root import Archive

_QUESTION = (
    "SELECT number FROM fixture WHERE pen = ? AND part = ? AND end = ? AND role = ? AND newest "
    "ORDER BY id LIMIT 1"
)


def filled_by(archive: Archive, slot: Slot, locked: bool = False) -> tuple[Entry, ...]:
    """Every revision of the fixture that fills a slot, oldest first; empty if there is none.

    ``locked``: the caller holds the archive's lock. Raises DiskError, also for a damaged record:
    passing over it could give its slot a second number.
    """
    path = cache_path(archive.root)
    if not (is_folder(path.parent) and is_plain_file(path)):
        return find_slot(archive.root, archive.prefix, slot)
    with contextlib.closing(Index(archive, locked, passing=True)) as index:
        asked = (slot.pen, slot.part, slot.end, slot.role)
        found = index.ask(_QUESTION, asked)
        unread = index.ask("SELECT number FROM fault ORDER BY number")
    for (number,) in (*found, *unread):
        family = entries(archive.root, str(number))
        if family and family[-1].record.slot == slot:
            return family
    # The index names a number whose records say otherwise: somebody changed them by hand.
    return find_slot(archive.root, archive.prefix, slot) if found else ()
