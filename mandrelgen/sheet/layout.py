"""From a mandrel to a finished sheet: choose paper and scale, make the views, put them in place."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from mandrelgen.balloons import numbered
from mandrelgen.mandrel import Issue, Mandrel
from mandrelgen.profile import Profile
from mandrelgen.sheet.block import Block, block, extent
from mandrelgen.sheet.contents import Views
from mandrelgen.sheet.frame import PAPERS, Paper, frame
from mandrelgen.sheet.lettering import clean
from mandrelgen.sheet.model import Drawn, Mark, Sheet, Text
from mandrelgen.sheet.notes import notes_block
from mandrelgen.sheet.packing import (
    GAP,
    INSET,
    NARROW_GAP,
    Homes,
    centring,
    grown,
    outermost,
    packed,
)
from mandrelgen.sheet.pages import tables
from mandrelgen.sheet.placing import Box, overlap
from mandrelgen.sheet.titleblock import WIDTH, TitleData, title_block
from mandrelgen.standards import materials
from mandrelgen.standards.tables import NotHeldError
from mandrelgen.toleranced import text_of

SCALES = (10.0, 5.0, 2.0, 1.0, 0.5)
# A longer view leaves no room for its dimensions on A3, mm.
LONGEST = 300.0


def drawing(
    mandrel: Mandrel,
    profile: Profile,
    issue: Issue,
    mass_g: float | None = None,
    sheets: str = "1/1",
) -> Sheet:
    """Lay out the sheet of ``mandrel``: the largest standard scale (ISO 5455) at which nothing
    meets anything else on A4 or A3, then the smallest paper. ``mass_g`` in grams; ``sheets`` is
    the title block's sheet field. What found no free place is named in ``Sheet.crowded``."""
    numbers = numbered(mandrel)
    length = mandrel.outer[-1].z1 - mandrel.outer[0].z0
    best: Sheet | None = None
    for f in SCALES:
        if length * f > LONGEST and f > SCALES[-1]:
            continue
        views = Views(mandrel, profile, f, numbers, issue.projection == "third")
        if views.failed and f > SCALES[-1]:
            continue
        for paper in PAPERS:
            if views.main[0].width > paper.width and paper is not PAPERS[-1]:
                continue
            sheet = _compose(mandrel, issue, mass_g, sheets, paper, f, views, numbers)
            if not sheet.crowded:
                return sheet
            if best is None or len(sheet.crowded) < len(best.crowded):
                best = sheet
    assert best is not None
    return best


def _compose(
    mandrel: Mandrel,
    issue: Issue,
    mass_g: float | None,
    sheets: str,
    paper: Paper,
    f: float,
    views: Views,
    numbers: dict[str, int],
) -> Sheet:
    x0, y0, x1, y1 = paper.frame
    drawn = frame(paper, x1 - WIDTH)
    title = title_block(issue, _title_data(mandrel, mass_g, sheets, f, paper, views))
    corner = title.at(x1 - WIDTH, y0)
    drawn += corner
    taken = [extent(corner)]
    crowded = list(views.failed)
    mark = f"{issue.number} {issue.revision}" if issue.issued else ""
    taken, more = _notes(mandrel, views, numbers, paper, taken, crowded, mark)
    drawn += more
    bottom = max(taken[0][3], taken[1][3])
    row, apart = _fitting_row(views, paper)
    origin, main, small, clash = _arranged(views, row, apart, paper, taken)
    crowded += clash
    # What is left free below is shared out: everything above moves down by half of it.
    low = min(extent(small)[1] if small else math.inf, extent(main)[1])
    down = 0.0 if crowded else max(0.0, (low - bottom - GAP) * 0.45)
    drawn += [d.moved(0.0, -down) for d in (*main, *small)]
    origin = (origin[0], origin[1] - down)
    if not issue.issued:
        drawn.append(Mark("status", "", (Text((x0 + 2, y1 + 0.0 - 5.5), "NOT ISSUED", 3.5),)))
    return _sheet(mandrel, issue, paper, f, origin, tuple(drawn), tuple(crowded), numbers)


class _Arranged(NamedTuple):
    """The main row and everything beside it, in place; ``clash`` names what found none."""

    origin: tuple[float, float]
    main: list[Drawn]
    small: list[Drawn]
    clash: list[str]


def _arranged(
    views: Views, row: Sequence[Block], apart: tuple[Block, ...], paper: Paper, taken: list[Box]
) -> _Arranged:
    """The main row in the middle of the paper, at its left or its right, and the rest round it, so
    that the details are as large as one of the three allows; among equals with the picture of use
    at full size, if it finds a place."""
    rows = []
    for side in (0.5, 0.0, 1.0):
        crowded: list[str] = []
        origin, main = _main_row(row, paper, crowded, side)
        filled = [extent([d]) for d in main]
        if any(overlap(b, box) for b in filled for box in taken):
            crowded.append("main view")  # it reaches down into the title block or the notes
        boxes = [*taken, *[grown(b, 3.0) for b in filled], *centring(paper)]
        rows.append((origin, main, Homes(paper, outermost(boxes)), crowded))
    for details, gap in [(d, GAP) for d in views.details] + [(views.details[-1], NARROW_GAP)]:
        reading = [*details, *views.tables, *apart]
        failed = [n for b in reading for n in b.failed]
        for extra, needed in ((views.full, True), (views.extra, False)):
            if needed and not extra:
                continue
            for origin, main, homes, crowded in rows:
                small = _small_views(reading, extra, needed, homes, origin[1] - INSET, gap)
                if small is not None:
                    return _Arranged(origin, main, small, [*crowded, *failed])
    origin, main, _, crowded = rows[0]
    corner = (paper.frame[0] + INSET, paper.frame[1] + INSET)
    drawn = [d for b in reading for d in b.at(*corner)]
    return _Arranged(origin, main, drawn, [*crowded, *["view"] * len(reading)])


def _small_views(
    reading: list[Block],
    extra: Sequence[Block],
    needed: bool,
    homes: Homes,
    below: float,
    gap: float,
) -> list[Drawn] | None:
    """Everything beside the main row: in reading order under it (``below``), else anywhere in
    several orders; None if it finds no place. ``needed``: one of ``extra`` must find one too."""
    if not homes.for_each(reading, gap):
        return None
    y1 = homes.paper.frame[3]
    for order, top in (
        (reading, below),
        (sorted(reading, key=lambda b: -b.height), y1),
        (sorted(reading, key=lambda b: -b.width), y1),
        (sorted(reading, key=lambda b: -b.width * b.height), y1),
        (reading[::-1], y1),
    ):
        small = packed(order, extra, homes.paper, homes.taken, top, gap, needed)
        if small is not None:
            return small
    return None


def _title_data(
    mandrel: Mandrel, mass_g: float | None, sheets: str, f: float, paper: Paper, views: Views
) -> TitleData:
    order = mandrel.ordering
    try:
        held = materials.material(order.material)
        name, standard = held.name, held.standard
    except NotHeldError:
        name, standard = order.material, ""
    return TitleData(
        title=mandrel.title,
        subtitle=f"{mandrel.pen}, {mandrel.part}, {mandrel.end}".strip(", "),
        material=name,
        standard=standard,
        mass="" if mass_g is None else f"{text_of(mass_g, 1)} g",
        quantity=str(order.quantity),
        scale=scale_text(f),
        paper=paper.name,
        sheets=sheets,
        surface="Ra 3.2",
        exceptions=bool(views.parts.roughness),
    )


def scale_text(f: float) -> str:
    """``2:1`` or ``1:2``."""
    return f"{f:g}:1" if f >= 1 else f"1:{1 / f:g}"


def _notes(
    mandrel: Mandrel,
    views: Views,
    numbers: dict[str, int],
    paper: Paper,
    taken: list[Box],
    crowded: list[str],
    mark: str,
) -> tuple[list[Box], list[Drawn]]:
    """Notes beside the title block where there is room, else on top of it."""
    x0, y0, x1, y1 = paper.frame
    beside = x1 - WIDTH - x0 - 2 * INSET
    if beside >= 70:
        b = notes_block(mandrel, views.parts.others, numbers, min(beside, 150.0), mark)
        spot = (x0 + INSET, y0 + INSET)
    else:
        b = notes_block(mandrel, views.parts.others, numbers, x1 - x0 - 2 * INSET, mark)
        spot = (x0 + INSET, taken[0][3] + INSET)
    if b.height > (y1 - y0) * 0.6:
        crowded.append("notes")
    return [*taken, grown((*spot, spot[0] + b.width, spot[1] + b.height), 2.0)], list(b.at(*spot))


def _fitting_row(views: Views, paper: Paper) -> tuple[tuple[Block, ...], tuple[Block, ...]]:
    """The main row; where it is too long for the paper, its end views stand elsewhere, named."""
    room = paper.frame[2] - paper.frame[0] - 2 * INSET
    if sum(b.width for b in views.main) + 2 * GAP * (len(views.main) - 1) <= room:
        return views.main, ()
    main = max(views.main, key=lambda b: len(b.drawn))
    at = views.main.index(main)
    named = []
    for i, b in enumerate(views.main):
        if b is not main:
            text = "View from the nose" if (i < at) is not views.third else "View from the rear"
            title = Text((0.0, b.box[3] + 2.0), text, 2.5, "middle")
            named.append(block([*b.drawn, title]))
    return (main,), tuple(named)


def _main_row(
    row: Sequence[Block], paper: Paper, crowded: list[str], side: float
) -> tuple[tuple[float, float], list[Drawn]]:
    """Main view and end views in one row on a common axis, at the top of the sheet."""
    x0, _, x1, y1 = paper.frame
    gap = 2 * GAP
    total = sum(b.width for b in row) + gap * (len(row) - 1)
    if total > x1 - x0 - 2 * INSET:
        crowded.append("main view")
    axis = y1 - INSET - 4 - max(b.box[3] for b in row)
    x = x0 + INSET + (x1 - x0 - total - 2 * INSET) * side
    main = max(row, key=lambda b: len(b.drawn))
    origin = (0.0, 0.0)
    drawn: list[Drawn] = []
    for b in row:
        dx = x - b.box[0]
        if b is main:
            origin = (dx, axis)
        drawn += b.shifted(dx, axis)
        x += b.width + gap
    return origin, drawn


def _sheet(
    mandrel: Mandrel,
    issue: Issue,
    paper: Paper,
    f: float,
    origin: tuple[float, float],
    drawn: tuple[Drawn, ...],
    crowded: tuple[str, ...],
    numbers: dict[str, int],
) -> Sheet:
    return Sheet(
        number=clean(issue.number) if issue.issued else "NOT ISSUED",
        revision=clean(issue.revision),
        date=clean(issue.date),
        title=clean(mandrel.title),
        subject=clean(mandrel.purpose),
        owner=clean(issue.owner),
        author=clean(issue.drawn_by),
        paper=paper.name,
        width=paper.width,
        height=paper.height,
        frame=paper.frame,
        scale=f,
        scale_text=scale_text(f),
        origin=origin,
        drawn=drawn,
        tables=tables(mandrel, numbers),
        issued=issue.issued,
        status=clean(issue.status),
        crowded=crowded,
    )
