"""A corrected id is no other fixture: which numbers fill a slot under the name it had before.

An id counts as changed when the old one is gone from this pen file and the design is the same. Two
like ends of one pen are two slots, since both are there.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache, partial
from pathlib import Path

from mandrelgen.archive import design_hash, events, root
from mandrelgen.archive.disk.files import exists, is_plain_file, list_folder, read_file
from mandrelgen.archive.index import Index, opened
from mandrelgen.archive.index_rows import PEN_FILE, IndexRow
from mandrelgen.archive.naming import MARKER
from mandrelgen.archive.query import pens_of_design, same_design
from mandrelgen.archive.records import Slot
from mandrelgen.core.errors import DiskError, Finding, InputError, Level
from mandrelgen.core.frozen import dataclass
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.read import read_pen
from mandrelgen.workflows.archives import LARGEST
from mandrelgen.workflows.check import Checked
from mandrelgen.workflows.make_options import MakeOptions

Ask = Callable[[str], bool]
# An id as a pen file writes it.
_ID = re.compile(r"""^\s*id\s*=\s*["']([^"']*)["']""", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class ChangedId:
    """A fixture of the archive that a planned mandrel is the same as, but for an id."""

    planned: str
    row: IndexRow
    slot: Slot

    @property
    def question(self) -> str:
        """What a person is asked."""
        old, new = self.row, self.slot
        was, now = f"{old.pen} {old.part} {old.end}", f"{new.pen} {new.part} {new.end}"
        return f"{self.planned} is the same design as {old.name}, made for {was}; is {now} that one"


def changed_ids(checked: Checked, folder: Path, file: Path) -> tuple[ChangedId, ...]:
    """The planned mandrels of the pen in ``file`` that the archive holds under an id that is gone.
    Raises DiskError."""
    if not exists(folder / MARKER):
        return ()
    pen = checked.inputs.pen
    beside = cache(partial(ids_beside, file))
    found: list[ChangedId] = []
    with opened(root.open_root(folder)) as index:
        for d in checked.designed:
            if d.mandrel is None:
                continue
            slot = design_hash.slot_of(d.mandrel)
            if _filled(index, slot):
                continue
            digest = design_hash.design_hash(d.mandrel)
            # A batch shares its fixtures with all its other pens, whose files stand beside this.
            pens = [p for p in pens_of_design(index, digest) if p == slot.pen or p not in beside()]
            taken = {c.row.number for c in found}
            for row in same_design(index, digest, pens) if pens else ():
                if row.number not in taken and _gone(index, row, slot, pen):
                    found.append(ChangedId(d.planned.id, row, slot))
                    break
    return tuple(found)


def _filled(index: Index, slot: Slot) -> bool:
    return bool(
        index.ask(
            "SELECT 1 FROM fixture WHERE pen = ? AND part = ? AND end = ? AND role = ? LIMIT 1",
            (slot.pen, slot.part, slot.end, slot.role),
        )
    )


def _gone(index: Index, row: IndexRow, slot: Slot, pen: Pen) -> bool:
    """Whether the id that a fixture was made for is gone: the part's or the end's from this pen; or
    it is the pen's own, and the pen file kept with the fixture is this one but for its id. (No pen
    file beside it has the old one: that is another pen, which shares the mandrel.)"""
    if row.role != slot.role:
        return False
    if row.pen == slot.pen:
        return row.part not in pen.parts or row.end not in pen.parts[row.part].ends
    path = index.archive.root / row.folder / PEN_FILE
    if (row.part, row.end) != (slot.part, slot.end) or not is_plain_file(path):
        return False
    try:
        kept = read_pen(read_file(path, LARGEST), PEN_FILE)
    except InputError:
        return False
    return (kept.parts, kept.mandrels, kept.pen.name) == (pen.parts, pen.mandrels, pen.pen.name)


def ids_beside(file: Path) -> frozenset[str]:
    """The ids in the other pen files of the folder of ``file``."""
    found: set[str] = set()
    folder = file.absolute().parent
    for name in list_folder(folder):
        other = folder / name
        if not name.endswith(".toml") or other == file.absolute() or not is_plain_file(other):
            continue
        try:
            found.update(_ID.findall(read_file(other, LARGEST).decode("utf-8", "replace")))
        except DiskError:
            continue  # not readable, so no pen of ours
    return frozenset(found)


def settle(checked: Checked, file: Path, options: MakeOptions, ask: Ask | None = None) -> None:
    """Note which fixtures go on under a new id, as ``options.same_as`` says or a person answers;
    none with ``options.again``.

    Raises InputError if nobody can be asked, or a number named is none of them; DiskError.
    """
    if options.again:
        return
    found = changed_ids(checked, options.folder, file)
    same = [c for c in found if c.row.number in options.same_as]
    _check_named(checked, options, found)
    left = [c for c in found if c not in same]
    if left and ask is None:
        raise InputError([_unanswered(c) for c in left])
    same += [c for c in left if ask is not None and ask(c.question)]
    day = options.day(checked.inputs.pen.pen.date)
    for c in same:
        events.rename(root.open_root(options.folder), c.row.number, c.slot, day)


def _unanswered(c: ChangedId) -> Finding:
    return Finding(
        level=Level.ERROR,
        code="id.changed",
        where=c.planned,
        message=c.question + "?",
        remedy=f"if it is, --same-as {c.row.number}: nothing is made or ordered twice; if another "
        "one is wanted, --again",
    )


def _check_named(checked: Checked, options: MakeOptions, found: tuple[ChangedId, ...]) -> None:
    """A number named that is none of them: told, unless it fills one of this pen's slots by now."""
    known = {c.row.number for c in found}
    for number in options.same_as:
        if number in known:
            continue
        slots = [design_hash.slot_of(d.mandrel) for d in checked.designed if d.mandrel is not None]
        archive = root.open_root(options.folder)
        if events.current(archive, number).record.slot not in slots:
            raise InputError(
                [
                    Finding(
                        level=Level.ERROR,
                        code="same-as",
                        where="--same-as",
                        message=f"{number} is no fixture whose id was changed in this pen file",
                        remedy=f"name {', '.join(sorted(known))}"
                        if known
                        else "leave --same-as out",
                    ),
                ]
            )
