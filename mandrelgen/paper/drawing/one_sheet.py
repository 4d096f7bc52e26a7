"""Everything of a mandrel on one sheet of paper."""

from __future__ import annotations

import math
from typing import NamedTuple

from mandrelgen.paper.drawing.frame import Paper
from mandrelgen.paper.drawing.model import Drawn, Sheet
from mandrelgen.paper.drawing.packing import GAP, grown
from mandrelgen.paper.drawing.segments import Box
from mandrelgen.paper.drawing.sheet_frame import (
    HIGHEST,
    DrawingJob,
    Place,
    finished,
    notes_for,
    notes_widths,
    surround,
)
from mandrelgen.paper.drawing.text_block import Block, extent
from mandrelgen.paper.drawing.view_layout import (
    MainStand,
    arranged,
    field_of,
    least_crowded,
    main_stands,
)
from mandrelgen.paper.drawing.view_set import Views, scale_text


class Begun(NamedTuple):
    """A sheet with its frame (``drawn``, with the title block), its notes, and the places where the
    main view may stand: enough to see on most papers that not everything finds room. ``title`` and
    ``said``: the boxes of title block and notes."""

    job: DrawingJob
    place: Place
    views: Views
    drawn: tuple[Drawn, ...]
    title: Box
    said: Box
    notes: Block
    stands: tuple[MainStand, ...]

    @property
    def crowded(self) -> tuple[str, ...]:
        """What has no free place, whatever place the details find."""
        _, y0, _, y1 = self.place.paper.frame
        high = ("notes",) if self.notes.height > (y1 - y0) * HIGHEST else ()
        return (*self.views.main.failed, *high, *least_crowded(self.stands).crowded)

    def finished(self) -> Sheet:
        """The whole sheet; what found no free place is named in its ``crowded``."""
        views = self.views
        found = arranged(views, self.stands, self.title)
        crowded = (*self.crowded, *found.clash)
        # What is left free below is shared out: everything above moves down by half of it.
        low = min(extent(found.small)[1] if found.small else math.inf, extent(found.main)[1])
        taken = max(b[3] for b in taken_by(self.title, self.said))
        down = 0.0 if crowded else max(0.0, (low - taken - GAP) * 0.45)
        drawn = [*self.drawn, *self.notes.at(*self.said[:2])]
        drawn += [d.moved(0.0, -down) for d in (*found.main, *found.small)]
        origin = (found.origin[0], found.origin[1] - down)
        a, b, c, d = field_of(views.main, views.f)
        main = (a + origin[0], b + origin[1], c + origin[0], d + origin[1])
        fields = (self.title, self.said)
        return finished(self.job, self.place, origin, drawn, crowded, fields, main)


def begun(job: DrawingJob, paper: Paper, views: Views) -> Begun:
    """The sheet on ``paper`` before details, sections and tables are placed; the notes as they read
    best, or wider and lower where the main view would meet them."""
    place = Place(paper, views.f, scale_text(views.f))
    drawn, title = surround(job, place, bool(views.parts.roughness))
    for widest in notes_widths(paper):
        notes, at = notes_for(job, views.parts, paper, title, widest=widest)
        said = (*at, at[0] + notes.width, at[1] + notes.height)
        stands = main_stands(views, paper, taken_by(title, said))
        if not least_crowded(stands).crowded:
            break
    return Begun(
        job=job, place=place, views=views, drawn=tuple(drawn), title=title, said=said, notes=notes,
        stands=stands,
    )  # fmt: skip


def taken_by(title: Box, said: Box) -> list[Box]:
    """The boxes that views keep off: title block and notes."""
    return [title, grown(said, 2.0)]


def one_sheet(job: DrawingJob, paper: Paper, views: Views) -> Sheet:
    """The sheet on ``paper``; what found no free place is named in its ``crowded``."""
    return begun(job, paper, views).finished()
