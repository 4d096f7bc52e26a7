"""Fixtures of the archive that would do what a new mandrel is designed for, best first."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from mandrelgen.archive.events import revision_of
from mandrelgen.archive.index import Index
from mandrelgen.archive.index_rows import IndexRow
from mandrelgen.archive.query import candidates
from mandrelgen.archive.reading_history import mandrel_as_made
from mandrelgen.assess.choose_tolerances import neighbours_of, situated
from mandrelgen.assess.fitting import Fitting, fitting, nearly
from mandrelgen.assess.setup import Situated
from mandrelgen.core.errors import DiskError
from mandrelgen.core.frozen import dataclass
from mandrelgen.design import ends
from mandrelgen.design.designed import Designed
from mandrelgen.design.plan import Hold, Planned
from mandrelgen.model.mandrel import Mandrel, MandrelKind
from mandrelgen.spec.pen import MandrelType, Pen
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.designation import Designation
from mandrelgen.standards.tables import NotHeldError
from mandrelgen.standards.thread_spelling import read_thread
from mandrelgen.workshop.receipt.readings import Reading

# So many are judged for each mandrel; they come with the likeliest first.
JUDGED = 12
# A step larger by no more is as good as a new mandrel's: nobody turns or feels that, mm (own rule).
AS_GOOD = 0.005
# No collar is wider, mm.
ANY_COLLAR = 1e4
KINDS = {
    MandrelKind.PLUG: MandrelType.PLUG,
    MandrelKind.CUP: MandrelType.CUP,
    MandrelKind.SPIGOT: MandrelType.SPIGOT,
    MandrelKind.DOUBLE_ENDED: MandrelType.DOUBLE_ENDED,
    MandrelKind.BUTTON: MandrelType.BUTTON,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """A fixture that would do for the mandrel ``planned``; ``new_step``: the step a new one would
    give (mm; None: it cannot be made); ``weaker``: what would give way that holds in a new one;
    ``read``: the readings that went in."""

    planned: str
    row: IndexRow
    fitting: Fitting
    new_step: float | None
    weaker: tuple[str, ...] = ()
    read: tuple[Reading, ...] = ()

    @property
    def as_good(self) -> bool:
        """True if nothing is lost by not ordering a new one."""
        near = self.new_step is not None and self.fitting.step <= self.new_step + AS_GOOD
        return not self.weaker and (self.fitting.met or near)


def offers(
    index: Index,
    pen: Pen,
    shop: Shop,
    designed: Sequence[Designed],
    unread: list[str] | None = None,
) -> tuple[Offer, ...]:
    """For every planned mandrel the fixtures that would do, ranked by their joint step. A fixture
    whose files are damaged is passed over, and why is added to ``unread``.

    The fixture that fills the very slot is none of them: ``make`` brings its record back by itself.
    Raises DiskError.
    """
    near = neighbours_of({d.planned.id: situated(d, pen, shop) for d in designed})
    found: list[Offer] = []
    for d in designed:
        rows = rows_for(index, pen, shop, d.planned)
        mine: list[Offer] = []
        judged: dict[str, Fitting] = {}
        for row in rows:
            try:
                mine += _offer(index, pen, shop, d, row, near, judged)
            except DiskError as e:
                if unread is not None:
                    unread.append(f"{row.number}: {e}")
        # Of equal steps the one checked last comes first: the sort is stable.
        mine.sort(key=lambda o: o.row.checked, reverse=True)
        found += sorted(
            mine, key=lambda o: (not o.as_good, not o.row.owned, round(o.fitting.step, 6))
        )
    return tuple(found)


def _offer(
    index: Index, pen: Pen, shop: Shop, d: Designed, row: IndexRow, near: Mapping[str, Situated],
    judged: dict[str, Fitting],
) -> Iterator[Offer]:  # fmt: skip
    """The fixture of a row, if it would do; ``judged``: what was found of designs so far, since
    pens that share a mandrel keep one each. One that was measured is judged by its readings."""
    p = d.planned
    if _own_slot(row, pen, p):
        return
    mandrel, read = as_made(index, row)
    known_fit = None if read else judged.get(row.design_hash)
    fit = known_fit or fitting(mandrel, pen, shop, p, near, d.mandrel, d.wishes)
    if row.design_hash and not read:
        judged[row.design_hash] = fit
    if fit.fits:
        new = [v for v in (d.verdict, d.verdict_b) if v is not None]
        steps = [v.truth.step.states.tight.statistical for v in new]
        step = max(steps) if steps else None
        known = {c.label for v in new for c in v.checks if not c.passes}
        weaker = tuple(
            c.label for v in fit.verdicts for c in v.checks if not c.passes and c.label not in known
        )
        yield Offer(planned=p.id, row=row, fitting=fit, new_step=step, weaker=weaker, read=read)


@dataclass(frozen=True, slots=True)
class Miss:
    """A fixture with the thread of a planned mandrel that would not do, and the first reason."""

    planned: str
    row: IndexRow
    why: str


def misses(
    index: Index, pen: Pen, shop: Shop, designed: Sequence[Designed], offered: Sequence[Offer],
    unread: list[str],
) -> tuple[Miss, ...]:  # fmt: skip
    """Of the fixtures with the very thread (or spigots for a plain bore) those that would not do,
    each with what hinders it first. A record that cannot be read is named in ``unread``."""
    near = neighbours_of({d.planned.id: situated(d, pen, shop) for d in designed})
    does = {(o.planned, o.row.number) for o in offered}
    found = []
    for d in designed:
        p = d.planned
        for row in rows_for(index, pen, shop, p, whole=True):
            if (p.id, row.number) in does or _own_slot(row, pen, p):
                continue
            try:
                mandrel = as_made(index, row)[0]
            except DiskError as e:
                if (said := f"{row.number}: {e}") not in unread:
                    unread.append(said)
                continue
            fit = fitting(mandrel, pen, shop, p, near, d.mandrel, d.wishes)
            if not fit.fits:
                found.append(Miss(p.id, row, fit.hinders[0]))
    return tuple(found)


def _own_slot(row: IndexRow, pen: Pen, p: Planned) -> bool:
    mine = (pen.pen.id, p.hold.part, p.hold.end, p.kind.value)
    return (row.pen, row.part, row.end, row.role) == mine


def as_made(index: Index, row: IndexRow) -> tuple[Mandrel, tuple[Reading, ...]]:
    """The mandrel of a row with its readings. Raises DiskError."""
    return mandrel_as_made(index.archive, revision_of(index.archive, row.number, row.revision))


def rows_for(
    index: Index, pen: Pen, shop: Shop, p: Planned, whole: bool = False
) -> tuple[IndexRow, ...]:
    """The fixtures to judge for ``p``, by what the index can say: thread, spigot, collar; with
    ``whole`` by the thread alone. Raises DiskError."""
    try:
        wanted = _wanted(pen, shop, p.hold)
    except (NotHeldError, ValueError):
        return ()
    if wanted is None:
        return ()
    thread, external, spigot, collar = wanted
    if whole:
        spigot, collar = None, ANY_COLLAR
    plain = MandrelKind.BUTTON if p.kind is MandrelType.BUTTON else MandrelKind.SPIGOT
    return candidates(index, thread, external, spigot, collar, JUDGED, plain.value)


def _wanted(
    pen: Pen, shop: Shop, hold: Hold
) -> tuple[Designation | None, bool, float | None, float] | None:
    part = pen.parts[hold.part]
    end = part.ends[hold.end]
    if hold.by == "internal" and end.internal is not None:
        tapped = ends.tapped_end(part, end, shop)
        return read_thread(end.internal.thread), True, tapped.thread.minor.min, tapped.ring.outer
    if hold.by == "external" and end.external is not None:
        tenon = ends.tenon_end(end, shop)
        return read_thread(end.external.thread), False, None, tenon.ring.outer
    if hold.by == "bore":
        holes, _, _ = ends.plain_holes(part, end, shop)
        cap, inner = ends.passage(end, holes, shop)
        if holes:
            below = min(cap, max(h.size.lower for h in holes))
            return None, False, below, ends.face_ring(end, inner, shop).outer
    return None


@dataclass(frozen=True, slots=True)
class HeldEnd:
    """An end of a pen's part that a fixture holds, and how."""

    pen: str
    name: str
    hold: Hold
    fitting: Fitting


def held_by(m: Mandrel, pen: Pen, shop: Shop) -> tuple[HeldEnd, ...]:
    """Every end of a pen's parts that a mandrel holds or nearly holds (then its fitting says what
    hinders it); the neighbours are taken as true."""
    found = []
    for part_id, part in pen.parts.items():
        for end_id, end in part.ends.items():
            sides = [("internal", end.internal), ("external", end.external), ("bore", end.bore)]
            for by, there in sides:
                if not there:
                    continue
                hold = Hold(part_id, end_id, by)
                kind = KINDS[m.kind]
                p = Planned(
                    id=m.id, kind=kind, hold=hold, other=None, request=None, why="asked for"
                )
                fit = fitting(m, pen, shop, p, {})
                if fit.fits or nearly(m, pen, shop, hold):
                    found.append(HeldEnd(pen.pen.id, pen.pen.name, hold, fit))
    return tuple(found)
