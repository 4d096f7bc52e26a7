"""From a mandrel to a finished sheet: choose paper and scale, make the views, put them in place."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from mandrelgen.mandrel import Issue, Mandrel
from mandrelgen.profile import Profile
from mandrelgen.sheet.allot import Allotment, allot
from mandrelgen.sheet.block import Block, block, extent
from mandrelgen.sheet.details import RADIUS, SMALL_RADIUS, detail
from mandrelgen.sheet.endview import end_view, flats_section
from mandrelgen.sheet.frame import LAST_PAPER, PAPERS, Paper, frame
from mandrelgen.sheet.labels import numbered
from mandrelgen.sheet.lettering import clean
from mandrelgen.sheet.mainview import main_block
from mandrelgen.sheet.model import Drawn, Mark, Sheet, Text
from mandrelgen.sheet.notes import notes_block
from mandrelgen.sheet.pages import tables
from mandrelgen.sheet.placing import Box, overlap
from mandrelgen.sheet.threadview import of_thread, thread_profile, thread_table
from mandrelgen.sheet.titleblock import WIDTH, TitleData, title_block
from mandrelgen.sheet.usepicture import use_picture
from mandrelgen.toleranced import text_of

SCALES = (10.0, 5.0, 2.0, 1.0, 0.5)
LAST_SCALES = (2.0, 1.0)
# Beyond this length a view at more than 2:1 gains nothing but paper.
LARGE_VIEW = 120.0
GAP = 6.0
INSET = 6.0


@dataclass(frozen=True, slots=True)
class _Views:
    """Everything that depends on the scale but not on the paper."""

    parts: Allotment
    main: tuple[tuple[Block, float], ...]
    smaller: tuple[tuple[Block, ...], tuple[Block, ...]]
    extra: Block | None
    failed: tuple[str, ...]
    third: bool


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
    numbers = numbered(mandrel.characteristics)
    length = mandrel.outer[-1].z1 - mandrel.outer[0].z0
    best: tuple[tuple[int, float], Sheet] | None = None
    for f, papers in (*((f, PAPERS) for f in SCALES), *((f, (LAST_PAPER,)) for f in LAST_SCALES)):
        if (length * f > 300.0 and f > SCALES[-1]) or (f > 2 and length * f > LARGE_VIEW):
            continue
        views = _views(mandrel, profile, f, numbers, issue.projection == "third")
        for paper in papers:
            sheet = _compose(mandrel, issue, mass_g, sheets, paper, f, views, numbers)
            key = (len(sheet.crowded), -f)
            if not sheet.crowded:
                return sheet
            if best is None or key < best[0]:
                best = (key, sheet)
    assert best is not None
    return best[1]


def _views(
    mandrel: Mandrel, profile: Profile, f: float, numbers: dict[str, int], third: bool
) -> _Views:
    parts = allot(mandrel, f)
    main = main_block(mandrel, profile, parts, f, numbers)
    row = [(main, 0.0)]
    nose = end_view(mandrel, f, from_nose=True)
    double = sum(1 for t in mandrel.threads) > 1 and any(
        t.feature.startswith("b.") for t in mandrel.threads
    )
    # First angle: what is seen from the nose (right) stands on the left.
    row.insert(1 if third else 0, (nose, 0.0))
    if double:
        row.insert(0 if third else 2, (end_view(mandrel, f, from_nose=False), 0.0))
    smaller: list[Block] = []
    section = flats_section(mandrel, parts.across, f, numbers)
    if section is not None:
        smaller.append(section)
    for t in mandrel.threads:
        sizes = of_thread(parts.threads, t, mandrel.threads)
        if sizes:
            smaller.append(thread_profile(t))
            smaller.append(thread_table(t, sizes, numbers))
    large, small = (
        _details(mandrel, parts, f, numbers, radius) for radius in (RADIUS, SMALL_RADIUS)
    )
    failed = tuple(n for b in (main, *smaller, *large) for n in b.failed)
    return _Views(
        parts,
        tuple(row),
        ((*large, *smaller), (*small, *smaller)),
        use_picture(mandrel, profile),
        failed,
        third,
    )


def _details(
    mandrel: Mandrel, parts: Allotment, f: float, numbers: dict[str, int], radius: float
) -> tuple[Block, ...]:
    """The enlarged details, in circles of at most ``radius`` mm."""
    shown = [(w, cs) for w, cs in parts.details if cs]
    return tuple(
        detail(mandrel, window, cs, letter, f, numbers, radius)
        for letter, (window, cs) in zip("XYZWVU", shown, strict=False)
    )


def _compose(
    mandrel: Mandrel,
    issue: Issue,
    mass_g: float | None,
    sheets: str,
    paper: Paper,
    f: float,
    views: _Views,
    numbers: dict[str, int],
) -> Sheet:
    x0, y0, x1, y1 = paper.frame
    drawn = frame(paper, x1 - WIDTH)
    title = title_block(issue, _title_data(mandrel, mass_g, sheets, f, paper, views))
    corner = title.at(x1 - WIDTH, y0)
    drawn += corner
    taken = [extent(corner)]
    crowded = list(views.failed)
    taken, more = _notes(mandrel, views, numbers, paper, taken, crowded)
    drawn += more
    bottom = max(taken[0][3], taken[1][3])
    row, apart = _fitting_row(views, paper)
    origin, main = _main_row(row, paper, crowded)
    taken += [_grown(extent([d]), 3.0) for d in main]
    taken += _centring(paper)
    small: list[Drawn] = []
    clash: list[str] = []
    # First in reading order under the main view, then anywhere, then with smaller details.
    for blocks, top in (
        (views.smaller[0], origin[1] - INSET),
        (views.smaller[0], y1),
        (views.smaller[1], y1),
    ):
        small, clash = _packed((*blocks, *apart), views.extra, paper, taken, top)
        if not clash:
            break
    crowded += clash
    # What is left free below is shared out: everything above moves down by half of it.
    low = min(extent(small)[1] if small else math.inf, extent(main)[1])
    down = 0.0 if crowded else max(0.0, (low - bottom - GAP) * 0.45)
    drawn += [d.moved(0.0, -down) for d in (*main, *small)]
    origin = (origin[0], origin[1] - down)
    if not issue.issued:
        drawn.append(Mark("status", "", (Text((x0 + 2, y1 + 0.0 - 5.5), "NOT ISSUED", 3.5),)))
    return _sheet(mandrel, issue, paper, f, origin, tuple(drawn), tuple(crowded), numbers)


def _packed(
    blocks: Sequence[Block], extra: Block | None, paper: Paper, taken: list[Box], highest: float
) -> tuple[list[Drawn], list[str]]:
    """Find free places below ``highest`` for ``blocks``, then for ``extra`` if one is left; returns
    what is drawn and a name for every block without a place."""
    taken = list(taken)
    drawn: list[Drawn] = []
    clash: list[str] = []
    wanted = blocks if highest < paper.frame[3] else sorted(blocks, key=lambda b: -b.height)
    for b in [*wanted, *([extra] if extra is not None else [])]:
        spot = _spot(b, paper, taken, highest)
        if spot is None:
            if b is extra:
                continue
            clash.append("view")
            spot = (paper.frame[0] + INSET, paper.frame[1] + INSET)
        else:
            taken.append((spot[0], spot[1], spot[0] + b.width, spot[1] + b.height))
        drawn += b.at(*spot)
    return drawn, clash


def _title_data(
    mandrel: Mandrel, mass_g: float | None, sheets: str, f: float, paper: Paper, views: _Views
) -> TitleData:
    order = mandrel.ordering
    return TitleData(
        title=mandrel.title,
        subtitle=f"{mandrel.pen}, {mandrel.part}, {mandrel.end}".strip(", "),
        material=order.material,
        mass="" if mass_g is None else f"{text_of(mass_g, 1)} g",
        quantity=str(order.quantity),
        scale=scale_text(f),
        paper=paper.name,
        sheets=sheets,
        surface="Ra 3.2  (√)" if views.parts.roughness else "Ra 3.2",
    )


def scale_text(f: float) -> str:
    """``2:1`` or ``1:2``."""
    return f"{f:g}:1" if f >= 1 else f"1:{1 / f:g}"


def _notes(
    mandrel: Mandrel,
    views: _Views,
    numbers: dict[str, int],
    paper: Paper,
    taken: list[Box],
    crowded: list[str],
) -> tuple[list[Box], list[Drawn]]:
    """Notes beside the title block where there is room, else on top of it."""
    x0, y0, x1, y1 = paper.frame
    beside = x1 - WIDTH - x0 - 2 * INSET
    if beside >= 70:
        b = notes_block(mandrel, views.parts.others, numbers, min(beside, 150.0))
        spot = (x0 + INSET, y0 + INSET)
    else:
        b = notes_block(mandrel, views.parts.others, numbers, x1 - x0 - 2 * INSET)
        spot = (x0 + INSET, taken[0][3] + INSET)
    if b.height > (y1 - y0) * 0.6:
        crowded.append("notes")
    return [*taken, _grown((*spot, spot[0] + b.width, spot[1] + b.height), 2.0)], list(b.at(*spot))


def _fitting_row(
    views: _Views, paper: Paper
) -> tuple[tuple[tuple[Block, float], ...], tuple[Block, ...]]:
    """The main row; where it is too long for the paper, its end views stand elsewhere, named."""
    room = paper.frame[2] - paper.frame[0] - 2 * INSET
    if sum(b.width for b, _ in views.main) + 2 * GAP * (len(views.main) - 1) <= room:
        return views.main, ()
    main = max((b for b, _ in views.main), key=lambda b: len(b.drawn))
    at = next(i for i, (b, _) in enumerate(views.main) if b is main)
    named = []
    for i, (b, _) in enumerate(views.main):
        if b is not main:
            text = "View from the nose" if (i < at) is not views.third else "View from the rear"
            title = Text((0.0, b.box[3] + 2.0), text, 2.5, "middle")
            named.append(block([*b.drawn, title]))
    return ((main, 0.0),), tuple(named)


def _main_row(
    row: Sequence[tuple[Block, float]], paper: Paper, crowded: list[str]
) -> tuple[tuple[float, float], list[Drawn]]:
    """Main view and end views in one row on a common axis, at the top of the sheet."""
    x0, _, x1, y1 = paper.frame
    gap = 2 * GAP
    total = sum(b.width for b, _ in row) + gap * (len(row) - 1)
    if total > x1 - x0 - 2 * INSET:
        crowded.append("main view")
    axis = y1 - INSET - 4 - max(b.box[3] for b, _ in row)
    x = x0 + (x1 - x0 - total) / 2
    main = max((b for b, _ in row), key=lambda b: len(b.drawn))
    origin = (0.0, 0.0)
    drawn: list[Drawn] = []
    for b, _ in row:
        dx = x - b.box[0]
        if b is main:
            origin = (dx, axis)
        drawn += b.shifted(dx, axis)
        x += b.width + gap
    return origin, drawn


def _spot(b: Block, paper: Paper, taken: list[Box], highest: float) -> tuple[float, float] | None:
    """The highest, then leftmost free place for a block; None if there is none."""
    x0, y0, x1, y1 = paper.frame
    lefts = sorted({x0 + INSET, *[t[2] + GAP for t in taken]})
    tops = {min(highest, y1 - INSET - 4), *[t[1] - GAP for t in taken if t[1] - GAP <= highest]}
    for top in sorted(tops, reverse=True):
        for left in lefts:
            box = (left, top - b.height, left + b.width, top)
            if (
                left < x0 + INSET
                or box[2] > x1 - INSET
                or box[1] < y0 + INSET
                or box[3] > y1 - INSET
            ):
                continue
            wide = _grown(box, GAP - 0.1)
            if not any(overlap(wide, t) for t in taken):
                return left, top - b.height
    return None


def _grown(box: Box, by: float) -> Box:
    return (box[0] - by, box[1] - by, box[2] + by, box[3] + by)


def _centring(paper: Paper) -> list[Box]:
    """The centring marks inside the frame."""
    x0, _, x1, y1 = paper.frame
    cx, cy = paper.width / 2, paper.height / 2
    return [
        (cx - 1, y1 - 5, cx + 1, y1),
        (x0, cy - 1, x0 + 5, cy + 1),
        (x1 - 5, cy - 1, x1, cy + 1),
    ]


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
