"""For people who script: read a pen, design, assess, write files as bytes, look into an archive.

Everything here is reached as ``mandrelgen.read_pen`` and so on. Sizes are mm and degrees, z = 0 at
the seat. Nothing is written to the disk but an archive's index, which is only a cache.
"""

from __future__ import annotations

from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING

from mandrelgen.archive import index, mandrel_json, query, record_files, root
from mandrelgen.archive.disk.files import exists
from mandrelgen.archive.index_rows import IndexRow
from mandrelgen.archive.naming import MARKER
from mandrelgen.core.clock import date_of
from mandrelgen.core.errors import DesignError, DiskError, Finding, InputError
from mandrelgen.core.frozen import dataclass
from mandrelgen.files.formats import write
from mandrelgen.model.mandrel import Issue, Mandrel
from mandrelgen.workflows.build import Build, own_of, signed, wires_of
from mandrelgen.workflows.check import Checked, check, worded
from mandrelgen.workflows.cost import cost_tables
from mandrelgen.workflows.make_options import chosen_formats
from mandrelgen.workflows.order import papers_beside
from mandrelgen.workflows.read_inputs import Inputs, read_inputs

if TYPE_CHECKING:
    import cadquery

__all__ = [
    "Checked", "DesignError", "DiskError", "Finding", "InputError", "Inputs", "Mandrel",
    "OpenedArchive", "assess_pen", "design_pen", "open_archive", "read_pen", "to_cadquery",
    "write_bytes",
]  # fmt: skip


def read_pen(pen: str | PathLike[str], shop: str | PathLike[str] | None = None) -> Inputs:
    """Read a pen file with its shop: the one named, else ``shop.toml`` beside the pen, else none.

    Raises InputError with every fault of both files, each with file, line and how to mend it.
    """
    return read_inputs(Path(pen), None if shop is None else Path(shop))


def assess_pen(pen: Inputs) -> Checked:
    """Design every mandrel and judge it: ``designed`` (each with ``mandrel`` and ``verdict``),
    ``findings``, ``failed``. A mandrel that cannot be designed is None there, and a finding says
    why."""
    return check(pen)


def design_pen(pen: Inputs) -> tuple[Mandrel, ...]:
    """The mandrels alone. Raises DesignError with every finding if none can be designed."""
    checked = check(pen)
    found = tuple(d.mandrel for d in checked.designed if d.mandrel is not None)
    if not found:
        raise DesignError(checked.findings)
    return found


def write_bytes(
    checked: Checked, mandrel: str, *formats: str, date: str | None = None
) -> dict[str, bytes]:
    """The files of one mandrel (its id), by file name, marked NOT ISSUED as ``make --only`` does.

    ``formats``: as ``make --only`` names them, ``"step"``, ``"pdf"`` …; ``date`` (2026-05-31)
    stands on the paper, default: the pen's, else today. Same arguments, same bytes; the files are
    not read back, as ``make`` does. Raises InputError for an unknown mandrel or format, and where
    a format needs the CAD kernel and it is missing. A card is written of what the maker makes only.
    """
    wished = chosen_formats(",".join(formats)) or ()
    made = next((d for d in checked.designed if d.mandrel and d.mandrel.id == mandrel), None)
    if made is None or made.mandrel is None:
        known = ", ".join(d.mandrel.id for d in checked.designed if d.mandrel) or "none"
        said = f"there is no mandrel '{mandrel}'"
        raise InputError.of("write.mandrel", "mandrel", said, f"mandrels are {known}")
    title = signed(checked.inputs.pen.pen, checked.inputs.shop)
    issue = Issue(
        number="NOT ISSUED",
        revision="-",
        date=date_of(date, title.date),
        status="in preparation",
        owner=title.owner,
        drawn_by=title.drawn_by,
        approved_by=title.approved_by,
        projection=title.projection,
        issued=False,
    )
    turner, inspection = papers_beside(made.mandrel, checked.inputs.shop)
    build = Build(
        mandrel=made.mandrel,
        issue=issue,
        extra=turner,
        verdicts=tuple(v for v in (made.verdict, made.verdict_b) if v is not None),
        inspection=inspection,
        wires=wires_of(checked.inputs.shop),
        own=own_of(checked, worded(checked, {})).get(mandrel) if "card" in wished else None,
        costs=cost_tables(checked).get(mandrel, ()) if "mine" in wished else (),
    )
    return write(build, wished)


def to_cadquery(mandrel: Mandrel) -> cadquery.Workplane:
    """A mandrel as a cadquery workplane with its one solid, threads modelled, mm, z = 0 at the
    seat. Needs ``mandrelgen[cad]``: without it InputError says how to install it."""
    from mandrelgen.geometry import kernel

    kernel.require("to_cadquery")
    from mandrelgen.geometry.kernel.assembly import mandrel_body

    return mandrel_body(mandrel)


@dataclass(frozen=True, slots=True)
class OpenedArchive:
    """An archive to look into; every question sees what is published by then."""

    archive: root.Archive

    def numbers(self) -> tuple[str, ...]:
        """The numbers that fixtures have, in order."""
        return record_files.numbers(self.archive.root, self.archive.prefix)

    def find(
        self, *, thread: str = "", pen: str = "", part: str = "", words: str = ""
    ) -> tuple[IndexRow, ...]:
        """The newest revisions that answer all that is asked, by number; of each ``number``,
        ``revision``, ``status``, ``title`` and more; a thread by crest and pitch alone has any
        number of starts. Raises InputError for a thread that cannot be read, DiskError."""
        from mandrelgen.workflows.search import asked_of

        said = asked_of(thread) if thread else None
        threads, more = (said.threads, said.words) if said else ((), ())
        if not exists(self.archive.root / MARKER):  # nothing was published yet
            return ()
        asked = query.Query(threads=threads, pen=pen, part=part, words=(*words.split(), *more))
        with index.opened(self.archive) as opened:
            return query.find(opened, asked)

    def mandrel(self, number: str, revision: str | None = None) -> Mandrel:
        """A published fixture as it was designed; ``revision`` None: the newest. Raises InputError
        if there is none, DiskError if its file is damaged."""
        found = record_files.entries(self.archive.root, number)
        kept = [e for e in found if revision in (None, e.revision)]
        if not kept:
            known = ", ".join(e.revision for e in found)
            helps = f"revisions are {known}" if known else "see numbers()"
            named = " ".join(filter(None, (number, revision)))
            raise InputError.of("archive.number", number, f"there is no fixture {named}", helps)
        return mandrel_json.read_mandrel(kept[-1].folder)


def open_archive(folder: str | PathLike[str] = "output") -> OpenedArchive:
    """The archive in ``folder``, or an empty one if there is none yet; changes nothing. Raises
    DiskError for a damaged one."""
    return OpenedArchive(root.open_root(Path(folder)))
