"""The PDF and its picture read back: pages, name, table rows by id, sizes on the drawing."""

from __future__ import annotations

import ctypes
import io
import math
import re
import zlib
from typing import Any

from mandrelgen.files.proof import dimension_text
from mandrelgen.files.proof.report import Case
from mandrelgen.files.proof.text_boxes import Cell, joined, references, title_block
from mandrelgen.model.characteristic import Characteristic

MM = 25.4 / 72.0
# ISO 216: A4 to A1, long side first, mm.
PAPERS = ((297.0, 210.0), (420.0, 297.0), (594.0, 420.0), (841.0, 594.0))
DPI = 150
# Capitals of the lettering of sizes, mm, and their share of the font's size (its own measure).
LETTERING = 3.5
CAPITALS = 1493 / 2048
# Stacked deviations begin this near behind their number, mm.
_BEHIND = 5.0
# No line of text is longer, UTF-16 units.
_UNITS = 4096
_DEVIATION = re.compile(r"[+−]?\d+(?:\.\d+)?")
# A PDF's last three lines, and a stretch that holds them, bytes.
_TRAILER = re.compile(rb"startxref\s+\d+\s+%%EOF\s*\Z")
_TAIL = 64
_PNG = b"\x89PNG\r\n\x1a\n"


def check_drawing(case: Case) -> dict[str, Any]:
    """Compare sheets, paper, title block, references and sizes with what is expected."""
    pages, sizes = _read(case)
    expected = case.expected
    case.equal("pages", expected.pages, len(pages))
    for i, (width, height) in enumerate(sizes, 1):
        if not any(_close((width, height), p) for p in PAPERS):
            case.fault(f"page {i}", "A4, A3, A2 or A1", f"{width:.2f} × {height:.2f} mm")
        title_block(case, pages[i - 1], (i,))
    references(case, [c.text for cells in pages for c in cells])
    check_sizes(case, pages)
    return {"pages": len(pages), "page_1_mm": [round(v, 2) for v in sizes[0]]}


def check_making(case: Case) -> dict[str, Any]:
    """Compare the turner's pages: name and count on each, sizes with their limits, threads."""
    from mandrelgen.files.proof.tables import check_characteristics, check_threads

    pages = _furnished(case)
    rows = check_characteristics(case, pages)
    check_threads(case, pages)
    return {"pages": len(pages), "rows": rows}


def check_mine(case: Case) -> dict[str, Any]:
    """Compare the maker's pages: name and count on each, every decision once."""
    from mandrelgen.files.proof.tables import check_decisions

    pages = _furnished(case)
    rows = check_decisions(case, pages)
    return {"pages": len(pages), "decisions": rows}


def check_card(case: Case) -> dict[str, Any]:
    """Compare the maker's card: one page; each size's readings stand behind its letter, and inside
    the limits of its characteristic (a thread may end earlier)."""
    pages = _furnished(case)
    case.equal("pages", 1, len(pages))
    rows = {c.text: [d.text for d in pages[0] if abs(d.y - c.y) < 0.1 and d.x > c.x]
            for c in pages[0] if len(c.text) == 1}  # fmt: skip
    for id, mark, readings in case.expected.card:
        if not any(t.removesuffix(" *") == readings for t in rows.get(mark, ())):
            case.fault(id, f"{readings} behind {mark}", ", ".join(rows.get(mark, ())) or "nothing")
        low, to, high = readings.partition(" to ")
        c = case.expected.mandrel.characteristic(id)
        if not to or c.lower is None or c.upper is None or not _DEVIATION.fullmatch(high):
            continue
        if float(high) > c.upper + 1e-9 or (
            id != "thread.end" and float(low) < c.lower - 1e-9
        ):  # fmt: skip
            case.fault(id, f"readings between {c.lower:g} and {c.upper:g}", readings)
    return {"pages": len(pages), "sizes": len(case.expected.card)}


def _read(case: Case) -> tuple[list[list[Cell]], list[tuple[float, float]]]:
    """The lettering of every page, and its size in mm. PDFium mends a file cut short in its last
    lines without a word, so they are looked at here (ISO 32000-1:2008, 7.5.5)."""
    import pypdfium2

    if _TRAILER.search(case.data[-_TAIL:]) is None:
        case.fault("file", "startxref, an offset and %%EOF at its end", "a file cut short")
    document = pypdfium2.PdfDocument(case.data)
    try:
        pages = [_cells(document[i]) for i in range(len(document))]
        sizes = [document[i].get_size() for i in range(len(document))]
    finally:
        document.close()
    return pages, [(w * MM, h * MM) for w, h in sizes]


def _furnished(case: Case) -> list[list[Cell]]:
    """The pages of a paper that carry the drawing's name and a number each."""
    pages, sizes = _read(case)
    name = f"{case.expected.shown_number} rev. {case.expected.revision}"
    for i, (cells, size) in enumerate(zip(pages, sizes, strict=True), 1):
        if not _close(size, PAPERS[0]):
            case.fault(f"page {i}", "A4", f"{size[0]:.2f} × {size[1]:.2f} mm")
        if sum(1 for c in cells if c.text.startswith(name)) < 2:
            case.fault(f"page {i}", f"'{name}' in header and footer", "it missing")
        case.equal(f"page {i}, sheet", [f"sheet {i} of {len(pages)}"], _sheets(cells))
    if not pages:
        case.fault("pages", "one or more", "none")
    return pages


def _cells(page: Any) -> list[Cell]:
    """Every line of text on a page with its place in mm. Asked of PDFium itself, each text once:
    the package's own objects ask twice and cost as much again."""
    from pypdfium2 import raw

    texts = page.get_textpage()
    matrix, size, buffer = raw.FS_MATRIX(), ctypes.c_float(), (ctypes.c_ushort * _UNITS)()
    left, bottom, right, top = (ctypes.c_float() for _ in range(4))
    found = []
    for i in range(raw.FPDFPage_CountObjects(page)):
        o = raw.FPDFPage_GetObject(page, i)
        if raw.FPDFPageObj_GetType(o) != raw.FPDF_PAGEOBJ_TEXT:
            continue
        read = raw.FPDFTextObj_GetText(o, texts, buffer, 2 * _UNITS)
        if not (
            0 < read <= 2 * _UNITS
            and raw.FPDFPageObj_GetMatrix(o, matrix)
            and raw.FPDFTextObj_GetFontSize(o, size)
            and raw.FPDFPageObj_GetBounds(o, left, bottom, right, top)
        ):
            raise ValueError("a text of the page cannot be read")
        text = bytes(memoryview(buffer)[: read // 2 - 1]).decode("utf-16-le").strip()
        height = size.value * math.hypot(matrix.c, matrix.d) * MM * CAPITALS
        found.append(
            Cell(x=matrix.e * MM, y=matrix.f * MM, text=text, height=height, right=right.value * MM)
        )
    return found


def _size(number: Cell, cells: list[Cell]) -> str:
    """The text of a size, with the two smaller ones that stand one above the other behind it."""
    behind = [
        c
        for c in cells
        if c.height < number.height - 0.5
        and 0.0 < c.x - number.right < _BEHIND
        and -1.5 < c.y - number.y < 4.0
        and _DEVIATION.fullmatch(c.text)
    ]
    if len(behind) != 2:
        return number.text
    # What stands behind the deviations, on the number's own line.
    end = max(c.right for c in behind)
    tail = [
        c
        for c in cells
        if abs(c.height - number.height) < 0.1
        and abs(c.y - number.y) < 0.1
        and -0.5 < c.x - end < _BEHIND
        and c.text.lstrip().startswith("×")
    ]
    return joined([number, *behind, *tail])


def _sheets(cells: list[Cell]) -> list[str]:
    return [c.text for c in cells if re.fullmatch(r"sheet \d+ of \d+", c.text)]


def _close(size: tuple[float, float], paper: tuple[float, float]) -> bool:
    return abs(max(size) - paper[0]) < 0.1 and abs(min(size) - paper[1]) < 0.1


def check_sizes(case: Case, sheets: list[list[Cell]]) -> None:
    """Every size stands on one of the drawing's sheets: paper has no ids, so each characteristic
    takes a text that says all of it, and no text serves two. What another's callout says stands
    behind that one's size."""
    mandrel = case.expected.mandrel
    texts = [_size(c, cells) for cells in sheets for c in cells if abs(c.height - LETTERING) < 0.1]
    texts += [c.text.rpartition(": ")[2] for cells in sheets for c in cells if ": " in c.text]
    texts = [t for t in texts if dimension_text.read(t) is not None]
    for c in mandrel.characteristics:
        if c.kind not in dimension_text.SIZES or c.said_by:
            continue
        angles = [a for a in mandrel.characteristics if a.said_by == c.id]
        text = next((t for t in texts if _says(t, c, angles)), None)
        if text is None:
            for one in (c, *angles):
                case.fault(one.id, f"{one.nominal:g} with its tolerance on the drawing", "none")
        else:
            texts.remove(text)


def _says(text: str, c: Characteristic, angles: list[Characteristic]) -> bool:
    """True if ``text`` says the size ``c`` with its tolerance, and behind it ``angles`` and no
    other."""
    size = dimension_text.read(text)
    if size is None or any(dimension_text.mismatches(c, text)) or bool(size.lean) != bool(angles):
        return False
    return not any(m for a in angles for m in dimension_text.mismatches(a, size.lean))


def check_png(case: Case) -> dict[str, Any]:
    """A sound picture of a whole sheet at 150 dots per inch that is not blank."""
    from PIL import Image

    if not sound_png(case.data):
        case.fault("picture", "a sound PNG file", "a damaged one")
        return {}
    image = Image.open(io.BytesIO(case.data))
    width, height = image.size
    size = (width * 25.4 / DPI, height * 25.4 / DPI)
    if not any(abs(max(size) - p[0]) < 0.4 and abs(min(size) - p[1]) < 0.4 for p in PAPERS):
        case.fault("picture", f"A4, A3, A2 or A1 at {DPI} dpi", f"{width} × {height} dots")
    if case.sheet == 1:
        case.other_sheets()
    dark, light = (image if image.mode == "L" else image.convert("L")).getextrema()
    if dark == light:
        case.fault("picture", "a drawing", "an empty page")
    return {"width": width, "height": height}


def sound_png(data: bytes) -> bool:
    """True if the bytes are a whole PNG file with right check sums."""
    return data.startswith(_PNG) and _chunks_sound(data)


def _chunks_sound(data: bytes) -> bool:
    """True if the file is a row of chunks with right check sums, up to its end chunk."""
    at = len(_PNG)
    while at + 12 <= len(data):
        length = int.from_bytes(data[at : at + 4], "big")
        body, end = data[at + 4 : at + 8 + length], at + 12 + length
        if zlib.crc32(body) != int.from_bytes(data[end - 4 : end], "big"):
            return False
        if body[:4] == b"IEND":
            return end == len(data)
        at = end
    return False
