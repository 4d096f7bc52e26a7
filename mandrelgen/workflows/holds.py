"""``holds``: which ends of which pens a fixture of the archive holds."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from mandrelgen.archive import index as records_index
from mandrelgen.archive.disk.files import read_file
from mandrelgen.archive.index_rows import PEN_FILE, IndexRow
from mandrelgen.core.frozen import dataclass
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.read import effective_shop, read_pen
from mandrelgen.spec.shop import Shop
from mandrelgen.workflows import reuse_judging
from mandrelgen.workflows.archives import LARGEST, archive_of
from mandrelgen.workflows.read_inputs import read_inputs, read_shop_file
from mandrelgen.workflows.search import described


@dataclass(frozen=True, slots=True)
class Holds:
    """A fixture, every end of the pens looked at that it holds, and those it nearly holds."""

    row: IndexRow
    held: tuple[reuse_judging.HeldEnd, ...]
    pens: tuple[str, ...]
    near: tuple[reuse_judging.HeldEnd, ...] = ()


def holds(
    folder: Path, number: str, pens: Sequence[Path] = (), shop_path: Path | None = None
) -> Holds:
    """Which ends of the pens named (none: of every pen of the archive) a fixture holds, as made.

    Raises InputError, DiskError.
    """
    archive = archive_of(folder)
    row = described(archive, number)
    with records_index.opened(archive) as index:
        mandrel, _ = reuse_judging.as_made(index, row)
        if pens:
            inputs = [read_inputs(p, shop_path, folder) for p in pens]
            looked = [(i.pen, i.shop) for i in inputs]
        else:
            looked = _archived_pens(index, read_shop_file(shop_path, folder))
    found = [h for pen, shop in looked for h in reuse_judging.held_by(mandrel, pen, shop)]
    return Holds(
        row,
        tuple(h for h in found if h.fitting.fits),
        tuple(pen.pen.id for pen, _ in looked),
        tuple(h for h in found if not h.fitting.fits),
    )


def _archived_pens(index: records_index.Index, shop: Shop) -> list[tuple[Pen, Shop]]:
    """The newest file of every pen of the archive."""
    found: dict[str, tuple[Pen, Shop]] = {}
    sql = (
        "SELECT folder FROM fixture WHERE newest AND pen_hash != '' GROUP BY pen_hash "
        "ORDER BY max(date), max(id)"
    )
    for (place,) in index.ask(sql):
        path = index.archive.root / str(place) / PEN_FILE
        pen = read_pen(read_file(path, LARGEST), f"{place}/{PEN_FILE}")
        found[pen.pen.id] = pen, effective_shop(shop, pen)
    return list(found.values())
