"""A drawing on two sheets: the main view with the notes, then everything enlarged, and the thread.

A turner must not miss the second sheet: a framed line over the notes of the first names what
stands there, and one on the second leads back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from mandrelgen.paper.drawing.frame import PAPERS, Paper
from mandrelgen.paper.drawing.model import Drawn, Point, Sheet
from mandrelgen.paper.drawing.packing import (
    GAP,
    INSET,
    NARROW_GAP,
    Homes,
    centring,
    grown,
    outermost,
    spot,
)
from mandrelgen.paper.drawing.segments import Box, overlap
from mandrelgen.paper.drawing.sheet_frame import (
    HIGHEST,
    NARROWEST,
    DrawingJob,
    Place,
    finished,
    notes_for,
    reference_block,
    surround,
)
from mandrelgen.paper.drawing.shelves import shelves
from mandrelgen.paper.drawing.text_block import Block, extent
from mandrelgen.paper.drawing.title_block import WIDTH
from mandrelgen.paper.drawing.view_layout import (
    field_of,
    placed_main,
    room,
    small_views,
)
from mandrelgen.paper.drawing.view_set import Views, scale_text

# So far apart the sheets stand in the drawing file, mm on paper.
BETWEEN = 20.0
STATED = "as stated"


class Movable(NamedTuple):
    """A view that stands on the first sheet if there is room: how it looks ``here`` and
    ``elsewhere``, and what it is called."""

    here: Block
    elsewhere: Block
    name: str


class First(NamedTuple):
    """A first sheet, and what it leaves to the second: views, and whether the notes too."""

    sheet: Sheet
    left: tuple[Movable, ...]
    notes: bool


def two_sheets(job: DrawingJob, views: Views, least: float) -> Sheet | None:
    """Both sheets with the main view at the scale of ``views``, at least ``least`` of the first
    one's free space; None if there is no such pair. The notes stand on the first sheet if there is
    room on one of the papers, else on the second."""
    for notes in (True, False):
        for paper in PAPERS:
            for main in views.mains_within(room(paper)):
                first = _first(job, views, main, paper, notes)
                if first is not None and share(first.sheet) >= least:
                    second = _second(job, views, first)
                    if second is not None:
                        return replace(first.sheet, more=(second,))
    return None


def share(sheet: Sheet) -> float:
    """The main view's field as a share of the frame without title block and notes."""
    assert sheet.main is not None
    return _area(sheet.main) / (_area(sheet.frame) - sum(_area(b) for b in sheet.fields))


def _area(b: Box) -> float:
    return (b[2] - b[0]) * (b[3] - b[1])


def _first(job: DrawingJob, views: Views, main: Block, paper: Paper, notes: bool) -> First | None:
    """The main view and the section where there is room, the notes if they are to
    stand here; None if that crowds."""
    _, y0, _, y1 = paper.frame
    place = Place(paper=paper, scale=views.f, scale_text=scale_text(views.f), sheet=1, of=2)
    drawn, title = surround(job, place, bool(views.parts.roughness))
    optional = _movable(views)
    taken, under, at = _under(job, views, paper, title, notes, optional)
    if under.height > (y1 - y0) * HIGHEST:
        return None
    for top in (4.0, 0.0):
        origin, placed = placed_main(main, paper, 0.5, top)
        filled = [extent([d]) for d in placed]
        if not any(overlap(b, box) for b in filled for box in taken):
            break
    else:
        return None
    kept, left = _fitted(optional, paper, [*taken, *[grown(b, 3.0) for b in filled]])
    if left != optional:
        _, under, at = _under(job, views, paper, title, notes, left)
    found = [*placed, *kept]
    down = max(0.0, (extent(found)[1] - max(b[3] for b in taken) - GAP) * 0.45)
    drawn += [*under.at(*at), *[d.moved(0.0, -down) for d in found]]
    origin = (origin[0], origin[1] - down)
    field = _moved(field_of(main, views.f), origin)
    fields = [title, (*at, at[0] + under.width, at[1] + under.height)] if notes else [title]
    return First(finished(job, place, origin, drawn, (), fields, field), tuple(left), not notes)


def _movable(views: Views) -> list[Movable]:
    """The section through the flats."""
    if views.section is None or views.section_elsewhere is None:
        return []
    return [Movable(views.section, views.section_elsewhere, "section B–B")]


def _moved(b: Box, by: Point) -> Box:
    return (b[0] + by[0], b[1] + by[1], b[2] + by[0], b[3] + by[1])


def _under(
    job: DrawingJob, views: Views, paper: Paper, title: Box, notes: bool, left: Sequence[Movable]
) -> tuple[list[Box], Block, Point]:
    """What stands beside or on the title block: the line that names the second sheet, over the
    notes if they are here; with the boxes that are taken then."""
    text = _reference(views, left, notes)
    if notes:
        under, at = notes_for(job, views.parts, paper, title, text)
    else:
        under, at = _beside(text, paper, title)
    return [title, grown((*at, at[0] + under.width, at[1] + under.height), 2.0)], under, at


def _beside(text: str, paper: Paper, title: Box) -> tuple[Block, Point]:
    """A framed line beside the title block, or on it."""
    x0, y0, x1, _ = paper.frame
    wide = x1 - WIDTH - x0 - 2 * INSET
    if wide < NARROWEST:
        return reference_block(text, x1 - x0 - 2 * INSET), (x0 + INSET, title[3] + INSET)
    return reference_block(text, wide), (x0 + INSET, y0 + INSET)


def _reference(views: Views, left: Sequence[Movable], notes: bool) -> str:
    """What the second sheet shows, in one sentence."""
    said = [] if notes else ["notes"]
    for name, which in (("detail", tuple(views.letters)), ("thread", views.thread_names)):
        if which:
            said.append(f"{name}{'s' * (len(which) > 1)} {', '.join(dict.fromkeys(which))}")
    said += [m.name for m in left]
    return f"See sheet 2: {', '.join(said)}"


def _fitted(
    views: Sequence[Movable], paper: Paper, boxes: list[Box]
) -> tuple[list[Drawn], list[Movable]]:
    """Those of ``views`` that find a free place, drawn there, and the others."""
    taken = [*boxes, *centring(paper)]
    drawn: list[Drawn] = []
    left: list[Movable] = []
    low = min(b[1] for b in boxes[2:]) - GAP
    for view in views:
        b = view.here
        # Under the main view if there is room.
        at = spot(b, paper, taken, low, GAP) or spot(b, paper, taken, paper.frame[3], GAP)
        if at is None:
            left.append(view)
            continue
        taken.append((*at, at[0] + b.width, at[1] + b.height))
        drawn += b.at(*at)
    return drawn, left


def _second(job: DrawingJob, views: Views, first: First) -> Sheet | None:
    """The sheet with what the first leaves: the details as large as any paper allows, with the
    picture of use at full size where that has room, on the smallest paper; None if that crowds, or
    if neither details nor threads nor notes are left: the picture is worth no second sheet."""
    if not views.letters and not views.threads and not first.notes:
        return None
    left = [m.elsewhere for m in first.left]
    pictures = [*views.full_pictures, *[b for b in views.pictures if b not in views.full_pictures]]
    for details, gap in [(d, GAP) for d in views.details] + [(views.details[-1], NARROW_GAP)]:
        reading = [*details, *left, *views.threads]
        if any(b.failed for b in reading):
            continue
        for picture in (*pictures, None):
            for paper in PAPERS:
                shown = reading if picture is None else [*reading, picture]
                found = _on(job, views, first, paper, shown, gap)
                if found is not None:
                    return found
    return None


def _on(
    job: DrawingJob, views: Views, first: First, paper: Paper, reading: list[Block], gap: float
) -> Sheet | None:
    """The second sheet on ``paper``: in rows over title block and notes, else in any free places;
    None if something finds none."""
    place = Place(paper=paper, scale=views.f, scale_text=STATED, sheet=2, of=2)
    drawn, title = surround(job, place, bool(views.parts.roughness))
    text = "See sheet 1: main view"
    if first.notes:
        under, at = notes_for(job, views.parts, paper, title, text)
    else:
        under, at = _beside(text, paper, title)
    box = (*at, at[0] + under.width, at[1] + under.height)
    taken = [title, grown(box, 2.0)]
    x0, _, x1, y1 = paper.frame
    bottom = max(b[3] for b in taken)
    free = (x0 + INSET, bottom + GAP, x1 - INSET, y1 - INSET - 4)
    small = shelves(reading, free, gap) if reading else []
    if small is None:
        homes = Homes(paper, outermost([*taken, *centring(paper)]))
        small = small_views(reading, (), homes, (y1, y1), gap)
    if small is None:
        return None
    drawn += [*under.at(*at), *small]
    origin = (first.sheet.origin[0] - first.sheet.width - BETWEEN, first.sheet.origin[1])
    fields = [title, box] if first.notes else [title]
    return finished(job, place, origin, drawn, (), fields)
