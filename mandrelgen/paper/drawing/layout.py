"""From a mandrel to a finished drawing: choose paper, scale, and one sheet or two."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from mandrelgen.model.balloon_numbers import numbered
from mandrelgen.model.half_section import Profile
from mandrelgen.model.mandrel import Issue, Mandrel
from mandrelgen.paper.drawing.frame import PAPERS
from mandrelgen.paper.drawing.model import Sheet
from mandrelgen.paper.drawing.one_sheet import Begun, begun
from mandrelgen.paper.drawing.part_picture import pictured
from mandrelgen.paper.drawing.sheet_frame import DrawingJob
from mandrelgen.paper.drawing.text_block import Block
from mandrelgen.paper.drawing.view_layout import room
from mandrelgen.paper.drawing.view_set import Seen, Views
from mandrelgen.paper.reports.characteristic_tables import tables

SCALES = (10.0, 5.0, 2.0, 1.0, 0.5)
# A longer part has no room on A3, mm.
LONGEST = room(PAPERS[-1])
# The least share of the first of two sheets that the main view has, if that can be.
QUARTER = 0.25


def drawing(
    mandrel: Mandrel,
    profile: Profile,
    issue: Issue,
    mass_g: float | None = None,
    behind: int = 0,
    wires: tuple[float, ...] = (),
) -> Sheet:
    """Lay out the drawing of ``mandrel``: the largest standard scale (ISO 5455) at which nothing
    meets anything else on A4 or A3, then the smallest paper. Only where no single A3 holds it, the
    enlarged details and the thread go to a second sheet. ``mass_g`` in grams;
    ``behind``: pages that follow the drawing; ``wires``: the
    turner's measuring wires, mm. What found no free place is named in
    ``Sheet.crowded``."""
    job = DrawingJob(
        mandrel=mandrel,
        profile=profile,
        issue=issue,
        mass_g=mass_g,
        behind=behind,
        numbers=numbered(mandrel),
    )
    length = mandrel.outer[-1].z1 - mandrel.outer[0].z0
    known: dict[float, Views] = {}
    details: dict[Seen, Block] = {}

    def views(f: float) -> Views:
        if f not in known:
            known[f] = Views(mandrel, profile, f, job.numbers, job.third, wires, details)
        return known[f]

    one = _one(job, views, length)
    found = one
    if one.crowded:
        found = _two(job, views, length, one) or one
    return replace(pictured(found, mandrel), tables=tables(mandrel, job.numbers))


def _one(job: DrawingJob, views: Callable[[float], Views], length: float) -> Sheet:
    """Everything on one sheet: the largest scale without a clash, or the least clash there is."""
    crowded: list[Begun | Sheet] = []
    for f in SCALES:
        if length * f > LONGEST and f > SCALES[-1]:
            continue
        if views(f).main.failed and f > SCALES[-1]:
            continue
        for paper in PAPERS:
            if views(f).main.width > room(paper) and paper is not PAPERS[-1]:
                continue
            started = begun(job, paper, views(f))
            if started.crowded:
                # Nothing beside the main view need be laid out, unless no sheet is better.
                crowded.append(started)
                continue
            sheet = started.finished()
            if not sheet.crowded:
                return sheet
            crowded.append(sheet)
    every = [s if isinstance(s, Sheet) else s.finished() for s in crowded]
    return min(every, key=lambda s: len(s.crowded))


def _two(
    job: DrawingJob, views: Callable[[float], Views], length: float, one: Sheet
) -> Sheet | None:
    """Two sheets with the main view at the largest scale that has its quarter of the free space,
    else at the largest there is; None if that leads nowhere either."""
    from mandrelgen.paper.drawing.two_sheets import two_sheets

    for least in (QUARTER, 0.0):
        for f in SCALES:
            if length * f > room(PAPERS[-1]) or f < one.scale:
                continue
            found = two_sheets(job, views(f), least)
            if found is not None:
                return found
    return None
