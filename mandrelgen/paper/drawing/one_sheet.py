"""Everything of a mandrel on one sheet of paper."""

from __future__ import annotations

import math

from mandrelgen.paper.drawing.frame import Paper
from mandrelgen.paper.drawing.model import Sheet
from mandrelgen.paper.drawing.packing import GAP, grown
from mandrelgen.paper.drawing.sheet_frame import (
    HIGHEST,
    DrawingJob,
    Place,
    finished,
    notes_for,
    notes_widths,
    surround,
)
from mandrelgen.paper.drawing.text_block import extent
from mandrelgen.paper.drawing.view_layout import MAIN, arranged, field_of
from mandrelgen.paper.drawing.view_set import Views, scale_text


def one_sheet(job: DrawingJob, paper: Paper, views: Views) -> Sheet:
    """The sheet on ``paper``; what found no free place is named in its ``crowded``."""
    _, y0, _, y1 = paper.frame
    place = Place(paper, views.f, scale_text(views.f))
    drawn, title = surround(job, place, bool(views.parts.roughness))
    for widest in notes_widths(paper):
        notes, at = notes_for(job, views.parts, paper, title, widest=widest)
        said = (*at, at[0] + notes.width, at[1] + notes.height)
        taken = [title, grown(said, 2.0)]
        found = arranged(views, paper, taken)
        if MAIN not in found.clash:
            break
    crowded = [*views.main.failed, *(["notes"] if notes.height > (y1 - y0) * HIGHEST else [])]
    crowded += found.clash
    # What is left free below is shared out: everything above moves down by half of it.
    low = min(extent(found.small)[1] if found.small else math.inf, extent(found.main)[1])
    down = 0.0 if crowded else max(0.0, (low - max(b[3] for b in taken) - GAP) * 0.45)
    drawn += notes.at(*at)
    drawn += [d.moved(0.0, -down) for d in (*found.main, *found.small)]
    origin = (found.origin[0], found.origin[1] - down)
    a, b, c, d = field_of(views.main, views.f)
    main = (a + origin[0], b + origin[1], c + origin[0], d + origin[1])
    return finished(job, place, origin, drawn, crowded, (title, said), main)
