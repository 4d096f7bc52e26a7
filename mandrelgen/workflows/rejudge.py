"""A published fixture judged again on its own pen: as designed, and as made from its readings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from mandrelgen.archive import index as records_index
from mandrelgen.archive.disk.files import exists, read_file
from mandrelgen.archive.events import Status, revision_of
from mandrelgen.archive.query import Query, find
from mandrelgen.archive.reading_history import mandrel_as_made
from mandrelgen.archive.record_files import Entry
from mandrelgen.archive.root import Archive
from mandrelgen.assess.choose_tolerances import neighbours_of, situated
from mandrelgen.assess.end_assessment import judge
from mandrelgen.assess.settled import designs
from mandrelgen.core.errors import InputError
from mandrelgen.core.frozen import dataclass
from mandrelgen.design.designed import Designed
from mandrelgen.mechanics.assessment_types import Assessment
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.read import effective_shop, read_pen, read_shop
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.tables import NotHeldError
from mandrelgen.workshop.receipt.comparison import EndInUse, side

PEN, SHOP = "pen.toml", "shop.toml"
LIMIT = 1 << 20
LIVE = (Status.RELEASED.value, Status.IN_PREPARATION.value)


@dataclass(frozen=True, slots=True)
class Neighbour:
    """Another fixture of the same pen whose readings went in, and the day of its last check."""

    part: str
    number: str
    revision: str
    checked: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """What a fixture is used with: pen, shop, the pen's mandrels as designed, and those of them
    that were measured, as made; ``before``: the verdict on the fixture as drawn."""

    pen: Pen
    shop: Shop
    designed: tuple[Designed, ...]
    others: Mapping[str, Mandrel]
    before: tuple[Assessment, ...]
    neighbours: tuple[Neighbour, ...] = ()

    def sides(self, made: Mandrel) -> tuple[EndInUse, ...]:
        """Every working end of the fixture, as drawn and as ``made``, by the verdict a new design
        gets. Raises NotHeldError, ValueError (it cannot be judged)."""
        after = verdicts(
            self.pen, self.shop, self.designed, {**self.others, made.id: made}, made.id
        )
        return tuple(side(a, b) for a, b in zip(self.before, after, strict=True))


def verdicts(
    pen: Pen, shop: Shop, designed: Sequence[Designed], mandrels: Mapping[str, Mandrel], id: str
) -> tuple[Assessment, ...]:
    """The verdict on each end of one of a pen's mandrels, ``mandrels`` in place of those designed.
    Raises NotHeldError, ValueError (it cannot be judged)."""
    ends = {d.planned.id: situated(_with(d, mandrels), pen, shop) for d in designed}
    near = neighbours_of(ends)
    return tuple(judge(s, near, pen, shop) for s in ends[id])


@dataclass(frozen=True, slots=True)
class Rejudged:
    """Every working end side by side; none: ``why_not`` says what is missing."""

    sides: tuple[EndInUse, ...] = ()
    neighbours: tuple[Neighbour, ...] = ()
    why_not: str = ""


def inputs_of(entry: Entry) -> tuple[Pen, Shop] | None:
    """Pen and shop as they were when the fixture was published; None: it was entered from
    measurements alone. Raises DiskError, InputError (they are no longer read)."""
    folder = entry.folder
    if not exists(folder / PEN):
        return None
    pen = read_pen(read_file(folder / PEN, LIMIT), PEN)
    shop = Shop.model_validate({"schema": 1})
    if exists(folder / SHOP):
        shop = read_shop(read_file(folder / SHOP, LIMIT), SHOP)
    return pen, effective_shop(shop, pen)


def use_of(archive: Archive, entry: Entry, drawn: Mandrel) -> Use | str:
    """What the fixture of ``entry`` is used with; a text says why that is not known. Raises
    DiskError."""
    try:
        known = inputs_of(entry)
        if known is None:
            return "it has no pen file, so no joint is known"
        pen, shop = known
        designed = designs(pen, shop)
        if drawn.id not in {d.planned.id for d in designed}:
            return f"its pen file plans no mandrel '{drawn.id}' any more"
        others, neighbours = _others(archive, pen, designed, drawn.id)
        before = verdicts(pen, shop, designed, {drawn.id: drawn}, drawn.id)
        return Use(
            pen=pen, shop=shop, designed=tuple(designed), others=others, before=before,
            neighbours=tuple(neighbours),
        )  # fmt: skip
    except InputError as e:
        return f"its pen or shop file is no longer read: {e.findings[0].message}"
    except (NotHeldError, ValueError) as e:
        return f"it cannot be judged again: {e}"


def rejudge(archive: Archive, entry: Entry, drawn: Mandrel, made: Mandrel) -> Rejudged:
    """The fixture of ``entry`` in use, as ``drawn`` and as ``made``. The other mandrels of the pen
    are as designed in the first, and as made in the second where they were measured. Raises
    DiskError."""
    return rejudged(use_of(archive, entry, drawn), made)


def rejudged(use: Use | str, made: Mandrel) -> Rejudged:
    """The same, where it is known what the fixture is used with (a text: why not)."""
    if isinstance(use, str):
        return Rejudged(why_not=use)
    try:
        sides = use.sides(made)
    except (NotHeldError, ValueError) as e:
        return Rejudged(why_not=f"it cannot be judged again: {e}")
    met = {s.joint for s in sides if s.joint}
    used = tuple(n for n in use.neighbours if any(f"{n.part}." in j for j in met))
    return Rejudged(sides, used)


def _with(d: Designed, mandrels: Mapping[str, Mandrel]) -> Designed:
    return replace(d, mandrel=mandrels.get(d.planned.id, d.mandrel))


def _others(
    archive: Archive, pen: Pen, designed: Sequence[Designed], id: str
) -> tuple[dict[str, Mandrel], list[Neighbour]]:
    """The pen's other mandrels that were measured, as made."""
    planned = {
        (d.planned.hold.part, d.planned.hold.end, d.planned.kind.value): d.planned.id
        for d in designed
        if d.planned.id != id
    }
    found: dict[str, Mandrel] = {}
    told: list[Neighbour] = []
    with records_index.opened(archive) as index:
        rows = find(index, Query(pen=pen.pen.id))
    for row in rows:
        name = planned.get((row.part, row.end, row.role))
        if name is None or not row.checked or row.status not in LIVE:
            continue
        found[name], _ = mandrel_as_made(archive, revision_of(archive, row.number, row.revision))
        told.append(Neighbour(row.part, row.number, row.revision, row.checked))
    return found, told
