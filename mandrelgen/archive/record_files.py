"""Records on the disk: which numbers there are, and what their revisions say."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from mandrelgen.archive.disk.files import is_folder, list_folder
from mandrelgen.archive.naming import EVENTS, numbers_among, parse_revision_folder, revision_order
from mandrelgen.archive.records import Event, EventKind, Record, Slot, load
from mandrelgen.core.errors import DiskError
from mandrelgen.core.frozen import dataclass

RECORD = "record.json"
_RENAMED = f"-{EventKind.RENAMED.value}.json"


@dataclass(frozen=True, slots=True)
class Entry:
    """A published revision: where it stands and what its record says."""

    folder: Path
    record: Record

    @property
    def number(self) -> str:
        """The fixture's number."""
        return self.record.number

    @property
    def revision(self) -> str:
        """The revision's letters."""
        return self.record.revision

    @property
    def draft(self) -> int:
        """Which draft of the revision, from 1."""
        return self.record.draft


def numbers(root: Path, prefix: str) -> tuple[str, ...]:
    """Every number taken in the archive, published or only reserved, ascending."""
    return numbers_among(prefix, list_folder(root))


def revision_folders(folder: Path) -> tuple[str, ...]:
    """The names of a number's revision folders, in the order they were published."""
    parsed = {
        name: key
        for name in list_folder(folder)
        if (key := parse_revision_folder(name)) and is_folder(folder / name)
    }
    return tuple(sorted(parsed, key=lambda name: revision_order(*parsed[name])))


def _entry(folder: Path) -> Entry:
    record = load(Record, folder / RECORD)
    if (record.revision, record.draft) != parse_revision_folder(folder.name) or (
        record.number != folder.parent.name
    ):
        raise DiskError(
            f"{folder / RECORD} names {record.number} {record.revision}, but stands elsewhere.",
            "Put the folder back where it was; run `mandrelgen verify` on the archive.",
        )
    return Entry(folder, record)


def entries(root: Path, number: str) -> tuple[Entry, ...]:
    """Every published revision and draft of a number, oldest first. Raises DiskError."""
    folder = root / number
    if not is_folder(folder):
        return ()
    found = tuple(_entry(folder / name) for name in revision_folders(folder))
    if (slot := _moved_to(folder / EVENTS)) is None:
        return found
    return tuple(Entry(e.folder, e.record.model_copy(update={"slot": slot})) for e in found)


def _moved_to(events: Path) -> Slot | None:
    """The slot a number fills since an id of its pen file was changed; None: it never was."""
    names = [n for n in list_folder(events) if n.endswith(_RENAMED)]
    if not names:
        return None
    return renamed_to(load(Event, events / max(names, key=lambda n: (len(n), n))))


def renamed_to(event: Event) -> Slot | None:
    """The slot that an event says the number fills from then on; None: it says nothing of that.
    Raises DiskError if it is damaged."""
    if event.kind is not EventKind.RENAMED:
        return None
    try:
        return Slot.model_validate(event.data.get("slot"))
    except ValueError as exc:
        raise DiskError(
            f"An event of {event.number} is damaged: it names no slot.",
            "Run `mandrelgen verify` on the archive, then put the file back from a backup.",
        ) from exc


def _all(root: Path, prefix: str) -> Iterator[tuple[Entry, ...]]:
    for number in numbers(root, prefix):
        found = entries(root, number)
        if found:
            yield found


def find_slot(root: Path, prefix: str, slot: Slot) -> tuple[Entry, ...]:
    """Every revision of the fixture that fills a slot, oldest first; empty if there is none. Reads
    every record: `slots` asks the index first.

    Raises DiskError, also for a damaged record: passing over it could give its slot a second
    number.
    """
    for found in _all(root, prefix):
        if found[-1].record.slot == slot:
            return found
    return ()
