"""The cover page of a set: one row for each mandrel, with a small view."""

from __future__ import annotations

from itertools import zip_longest
from typing import Any

from mandrelgen.core.frozen import dataclass
from mandrelgen.files.writers.pdf.canvas import letters, new_canvas, rule, ruler
from mandrelgen.files.writers.pdf.tables import BOTTOM, HEIGHT, LEFT, RIGHT, TOP, WIDTH, furniture
from mandrelgen.model.half_section import Profile
from mandrelgen.paper.drawing.text_width import clean, fitted, wrapped

ROW = 27.0
PICTURE = (52.0, 19.0)
ENCLOSED = (
    ("request.pdf, .txt", "what is asked for"),
    ("…_drawing.pdf, .dxf", "the drawing: it takes precedence"),
    ("…_outline-mid-limits.dxf", "the outline at 1:1 for a CNC lathe, all sizes at mid-limits"),
    (".step, …_plain.step", "the model with its thread; with a plain cylinder in its place"),
)
"""The files of a folder, and what each is."""
# The lines under the rows: their pitch, and where what is said of a name stands, mm.
LINE, BESIDE = 4.0, 42.0
TailLine = tuple[str, str]


@dataclass(frozen=True, slots=True)
class CoverRow:
    """One mandrel of the set, ready to print; ``profile`` is drawn as the small view."""

    number: str
    revision: str
    title: str
    part: str
    thread: str
    quantity: int
    material: str
    profile: Profile


def cover(
    pen: str,
    date: str,
    rows: tuple[CoverRow, ...],
    order: str = "",
    known: tuple[tuple[str, str], ...] = (),
) -> bytes:
    """The cover of a set for ``pen``: A4 pages; ``order`` is the set's own number, or empty.
    ``known``: what the maker accepted, of which fixture and what."""
    title = f"Mandrels for {clean(pen)}"
    canvas, stream = new_canvas(WIDTH, HEIGHT, {"title": title, "keywords": order})
    per_page = int((TOP - 16.0 - BOTTOM - LINE * len(ENCLOSED)) // ROW)
    pages = [rows[i : i + per_page] for i in range(0, len(rows), per_page)] or [()]
    tails = _tails(_lines(known), TOP - 14.0 - ROW * len(pages[-1]))
    count = len(pages) + len(tails) - 1
    for n in range(1, count + 1):
        page = pages[n - 1] if n <= len(pages) else ()
        canvas.bookmarkPage(f"cover-{n}")
        if n == 1:
            canvas.addOutlineEntry(title, "cover-1", 0)
        furniture(canvas, f"{order}   {date}".strip(), f"sheet {n} of {count}", title)
        if page:
            _heads(canvas)
        for i, row in enumerate(page):
            _row(canvas, row, TOP - 8.0 - ROW * i)
        if n >= len(pages):
            _tail(canvas, tails[n - len(pages)], TOP - 14.0 - ROW * len(page))
        ruler(canvas, LEFT, 18.0)
        canvas.showPage()
    canvas.save()
    return stream.getvalue()


def _lines(known: tuple[tuple[str, str], ...]) -> list[TailLine]:
    """What each file is, for whoever opens the folder; and what the maker accepted."""
    lines = list(ENCLOSED)
    if known:
        lines += [("", ""), ("Accepted by the maker", "")]
    for number, text in known:
        names, said = wrapped(number, 2.5, BESIDE - 2.0), wrapped(text, 2.5, RIGHT - LEFT - BESIDE)
        lines += zip_longest(names, said, fillvalue="")
    return lines


def _tails(lines: list[TailLine], top: float) -> list[list[TailLine]]:
    """The lines as far as they find room under ``top`` mm, and the rest on pages of their own."""
    room = max(len(ENCLOSED), int((top - BOTTOM) // LINE))
    whole = int((TOP - 14.0 - BOTTOM) // LINE)
    rest = lines[room:]
    return [lines[:room], *(rest[i : i + whole] for i in range(0, len(rest), whole))]


def _tail(canvas: Any, lines: list[TailLine], top: float) -> None:
    for i, (name, what) in enumerate(lines):
        letters(canvas, LEFT, top - LINE * i, name, 2.5)
        letters(canvas, LEFT + BESIDE, top - LINE * i, what, 2.5)


_COLUMNS = (
    (0.0, "View, not to scale"), (56.0, "Number"), (86.0, "Part and thread"), (134.0, "Qty"),
    (145.0, "Material"),
)  # fmt: skip


def _heads(canvas: Any) -> None:
    for x, text in _COLUMNS:
        letters(canvas, LEFT + x, TOP - 4.0, text, 2.5)
    rule(canvas, LEFT, TOP - 7.0, RIGHT, TOP - 7.0, 0.35)


def _row(canvas: Any, row: CoverRow, top: float) -> None:
    """One row whose upper edge is at ``top`` mm."""
    _picture(canvas, row.profile, LEFT, top - ROW + 4.0)
    text, cap = fitted(row.number, 3.5, 28.0)
    letters(canvas, LEFT + 56.0, top - 8.0, text, cap)
    letters(canvas, LEFT + 56.0, top - 13.0, f"rev. {row.revision}", 2.5)
    y = top - 7.0
    for part in (row.title, row.part, row.thread):
        for line in wrapped(part, 2.5, 46.0)[:2]:
            letters(canvas, LEFT + 86.0, y, line, 2.5)
            y -= 4.0
    letters(canvas, LEFT + 134.0, top - 8.0, str(row.quantity), 3.5)
    y = top - 7.0
    for line in wrapped(row.material, 2.5, RIGHT - LEFT - 146.0)[:4]:
        letters(canvas, LEFT + 145.0, y, line, 2.5)
        y -= 4.0
    rule(canvas, LEFT, top - ROW, RIGHT, top - ROW, 0.13)


def _picture(canvas: Any, profile: Profile, x: float, y: float) -> None:
    """The outline, mirrored about the axis, as large as its field allows; not to a scale."""
    zs = [z for f in profile.faces for z in (f.z0, f.z1)]
    r = max(max(f.r0, f.r1) for f in profile.faces)
    k = min(PICTURE[0] / (max(zs) - min(zs)), PICTURE[1] / (2 * r))
    axis = y + PICTURE[1] / 2
    for face in profile.faces:
        for sign in (1.0, -1.0):
            rule(
                canvas,
                x + (face.z0 - min(zs)) * k,
                axis + sign * face.r0 * k,
                x + (face.z1 - min(zs)) * k,
                axis + sign * face.r1 * k,
                0.25,
            )
