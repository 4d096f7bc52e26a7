"""What stands round the views of every sheet: frame, title block, notes; and the sheet's value."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from typing import NamedTuple

from mandrelgen.core.tolerance import text_of
from mandrelgen.model.half_section import Profile
from mandrelgen.model.inspected import marked
from mandrelgen.model.mandrel import NOT_ISSUED, Issue, Mandrel
from mandrelgen.paper.drawing.dimension_assignment import Allotment
from mandrelgen.paper.drawing.frame import Paper, frame
from mandrelgen.paper.drawing.marks import hatching_off_heads
from mandrelgen.paper.drawing.model import Drawn, Item, Line, LineStyle, Mark, Point, Sheet, Text
from mandrelgen.paper.drawing.notes import notes_block
from mandrelgen.paper.drawing.packing import INSET
from mandrelgen.paper.drawing.segments import Box
from mandrelgen.paper.drawing.symbols import H, heavy
from mandrelgen.paper.drawing.text_block import Block, block, extent
from mandrelgen.paper.drawing.text_width import clean, width_of, wrapped
from mandrelgen.paper.drawing.title_block import WIDTH, TitleData, title_block
from mandrelgen.standards import materials
from mandrelgen.standards.tables import NotHeldError

# Notes are wider than this only where they must be, mm; beside the title block they need so much.
NOTES, NARROWEST = 150.0, 70.0
# The share of the frame's height that notes may take.
HIGHEST = 0.6
REFERENCE_PITCH = 6.0


class DrawingJob(NamedTuple):
    """What is to be drawn: ``mass_g`` in grams, ``behind`` the pages that follow the drawing in
    its document, ``numbers`` the balloons."""

    mandrel: Mandrel
    profile: Profile
    issue: Issue
    mass_g: float | None
    behind: int
    numbers: dict[str, int]

    @property
    def third(self) -> bool:
        """Third angle projection."""
        return self.issue.projection == "third"

    @property
    def mark(self) -> str:
        """The number the fixture carries; empty if it has none yet."""
        return f"{self.issue.number} {self.issue.revision}" if self.issue.issued else ""


class Place(NamedTuple):
    """Which sheet of how many drawing sheets, on which paper, at which scale."""

    paper: Paper
    scale: float
    scale_text: str
    sheet: int = 1
    of: int = 1


def surround(job: DrawingJob, place: Place, exceptions: bool) -> tuple[list[Drawn], Box]:
    """Frame and title block, and the block's box. ``exceptions``: surfaces have symbols of their
    own. The list of revisions stands on the first sheet alone."""
    x0, y0, x1, y1 = place.paper.frame
    drawn = frame(place.paper, x1 - WIDTH)
    issue = job.issue if place.sheet == 1 else replace(job.issue, history=())
    corner = title_block(issue, _title_data(job, place, exceptions)).at(x1 - WIDTH, y0)
    if not job.issue.issued:
        drawn.append(Mark("status", "", (Text((x0 + 2, y1 - 5.5), NOT_ISSUED, H),)))
    return [*drawn, *corner], extent(corner)


def _title_data(job: DrawingJob, place: Place, exceptions: bool) -> TitleData:
    mandrel, order = job.mandrel, job.mandrel.ordering
    try:
        held = materials.material(order.material)
        name, standard = held.name + (f" ({held.said})" if held.said else ""), held.standard
    except NotHeldError:
        name, standard = order.material, ""
    return TitleData(
        title=mandrel.title,
        subtitle=f"{mandrel.pen}, {mandrel.part}, {mandrel.end}".strip(", "),
        material=name,
        standard=standard,
        mass="" if job.mass_g is None else f"{text_of(job.mass_g, 1)} g",
        quantity=str(order.quantity),
        scale=place.scale_text,
        paper=place.paper.name,
        sheets=f"{place.sheet}/{place.of + job.behind}",
        surface="Ra 3.2",
        exceptions=exceptions,
    )


def notes_widths(paper: Paper) -> tuple[float, ...]:
    """How wide notes may be on ``paper``, mm: as they read best, then all that is beside the title
    block, where they are lower."""
    beside = paper.frame[2] - WIDTH - paper.frame[0] - 2 * INSET
    return (NOTES, beside) if beside > NOTES else (NOTES,)


def notes_for(
    job: DrawingJob,
    parts: Allotment,
    paper: Paper,
    title: Box,
    reference: str = "",
    widest: float = NOTES,
) -> tuple[Block, Point]:
    """The notes and their lower left corner: beside the title block where there is room, at most
    ``widest`` mm, else on top of it; ``reference``: what a frame over them says of the other
    sheet."""
    x0, y0, x1, _ = paper.frame
    beside = x1 - WIDTH - x0 - 2 * INSET
    wide, at = min(beside, widest), (x0 + INSET, y0 + INSET)
    if beside < NARROWEST:
        wide, at = x1 - x0 - 2 * INSET, (x0 + INSET, title[3] + INSET)
    issue = job.issue
    notes = notes_block(job.mandrel, parts.others, job.numbers, wide, job.mark, issue.accepted)
    if reference:
        over = reference_block(reference, wide)
        notes = block([*over.at(0.0, 3.0), *notes.drawn])
    return notes, at


def reference_block(text: str, wide: float) -> Block:
    """``text`` in a frame that nobody overlooks, wrapped to ``wide`` mm."""
    lines = wrapped(text, H, wide - 4.0)
    across = max(width_of(line, H) for line in lines) + 4.0
    high = REFERENCE_PITCH * len(lines) + 1.0
    ring = ((0.0, 0.0), (across, 0.0), (across, high), (0.0, high))
    items: list[Item] = [Line(ring, LineStyle.SYMBOL, closed=True)]
    for i, line in enumerate(lines):
        items.append(Text((2.0, high - REFERENCE_PITCH * (i + 1) + 1.0), line, H))
    return block([Mark("reference", "", tuple(items))])


def _marked(drawn: Sequence[Drawn], ids: Collection[str]) -> list[Drawn]:
    """``drawn`` with heavy circles round the numbers of the inspected sizes ``ids``."""
    return [
        heavy(d) if isinstance(d, Mark) and d.role == "balloon" and d.id in ids else d
        for d in drawn
    ]


def finished(
    job: DrawingJob,
    place: Place,
    origin: Point,
    drawn: Sequence[Drawn],
    crowded: Sequence[str],
    fields: Sequence[Box],
    main: Box | None = None,
) -> Sheet:
    """The sheet's value; ``main`` is the main view's field, ``fields`` those of title block and
    notes."""
    issue, paper = job.issue, place.paper
    return Sheet(
        number=clean(issue.number) if issue.issued else NOT_ISSUED,
        revision=clean(issue.revision),
        date=clean(issue.date),
        title=clean(job.mandrel.title),
        subject=clean(job.mandrel.purpose),
        owner=clean(issue.owner),
        author=clean(issue.drawn_by),
        paper=paper.name,
        width=paper.width,
        height=paper.height,
        frame=paper.frame,
        scale=place.scale,
        scale_text=place.scale_text,
        origin=origin,
        drawn=tuple(_marked(hatching_off_heads(drawn), marked(job.mandrel))),
        issued=issue.issued,
        status=clean(issue.status),
        crowded=tuple(crowded),
        main=main,
        fields=tuple(fields),
    )
