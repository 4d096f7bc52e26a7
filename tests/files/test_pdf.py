"""The PDF read back by other eyes: pdfplumber, pypdf, pypdfium2."""

from __future__ import annotations

import io
from dataclasses import replace

import pdfplumber
import pypdf
import pytest
from PIL import Image

from mandrelgen.files.writers import png
from mandrelgen.files.writers.pdf import cover, document, tables
from mandrelgen.model.balloon_numbers import numbered
from mandrelgen.model.half_section import outline
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.paper.drawing.layout import drawing
from mandrelgen.paper.drawing.model import Sheet, Table
from mandrelgen.paper.reports.characteristic_tables import decisions
from mandrelgen.paper.reports.characteristic_tables import tables as tables_of
from mandrelgen.workshop.turning.names import what
from tests.support.samples_sheet import ISSUE, SAMPLES, plug

MM = 72 / 25.4
PAPERS = ("drawing", "making", "mine")


@pytest.fixture(scope="module")
def made() -> tuple[Mandrel, Sheet, bytes]:
    mandrel = plug()
    sheet = drawing(mandrel, outline(mandrel), ISSUE, 45.3)
    sheet = replace(
        sheet, tables=tables_of(mandrel, numbered(mandrel)), first=tuple(decisions(mandrel))
    )
    return mandrel, sheet, document.write(sheet)


@pytest.fixture(scope="module")
def beside(made: tuple[Mandrel, Sheet, bytes]) -> tuple[bytes, bytes]:
    """The other two papers of the same drawing: the turner's and the maker's."""
    return document.making(made[1]), document.mine(made[1])


def test_page_sizes(made: tuple[Mandrel, Sheet, bytes], beside: tuple[bytes, bytes]) -> None:
    """ISO 216: A3 is 420 × 297, A4 210 × 297 mm."""
    assert sizes_of(made[2]) == [pytest.approx((420, 297), abs=1e-3)]
    assert document.page_count(made[1]) == 1
    for data in beside:
        for size in sizes_of(data):
            assert size == pytest.approx((210, 297), abs=1e-3)


def sizes_of(data: bytes) -> list[tuple[float, float]]:
    """Width and height of every page, mm."""
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        return [(p.width / MM, p.height / MM) for p in pdf.pages]


def test_ruler_is_100_mm(beside: tuple[bytes, bytes]) -> None:
    """On every page beside the drawing, which shows its scale itself."""
    for data in beside:
        with pdfplumber.open(io.BytesIO(data)) as pdf:
            assert pdf.pages
            for page in pdf.pages:
                lines = [line for line in page.lines if abs(line["y0"] - line["y1"]) < 1e-6]
                lengths = [(line["x1"] - line["x0"]) / MM for line in lines]
                assert any(abs(length - 100.0) < 0.001 for length in lengths)


def test_main_view_prints_to_scale(made: tuple[Mandrel, Sheet, bytes]) -> None:
    """The frame is 390 mm wide (ISO 5457, A3) and the shank's outline is drawn at the scale."""
    mandrel, sheet, data = made
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        page = pdf.pages[0]
        lines = [
            (line["x0"] / MM, line["x1"] / MM, line["y0"] / MM, line["y1"] / MM)
            for line in page.lines
        ]
        boxes = [(r["width"] / MM, r["height"] / MM) for r in page.rects + page.curves]
    shank = next(s for s in mandrel.outer if s.feature == "shank")
    want = (shank.z1 - shank.z0) * sheet.scale
    y = sheet.origin[1] + shank.d0 / 2 * sheet.scale
    assert any(
        abs((x1 - x0) - want) < 0.001 and abs(y0 - y) < 0.001 and abs(y1 - y) < 0.001
        for x0, x1, y0, y1 in lines
    )
    assert any(abs(w - 390) < 0.001 and abs(h - 277) < 0.001 for w, h in boxes)


@pytest.mark.parametrize("paper", range(3), ids=PAPERS)
def test_fonts_are_embedded_and_only_ours(
    made: tuple[Mandrel, Sheet, bytes], beside: tuple[bytes, bytes], paper: int
) -> None:
    fonts, data = set(), (made[2], *beside)[paper]
    for page in pypdf.PdfReader(io.BytesIO(data)).pages:
        for font in (page["/Resources"].get("/Font") or {}).values():
            font = font.get_object()
            name = str(font["/BaseFont"])
            descriptor = font.get("/FontDescriptor")
            if descriptor is None:
                # reportlab declares its default face on every page; no text may use it.
                assert name == "/Helvetica"
                continue
            assert "/FontFile2" in descriptor.get_object()
            fonts.add(name.split("+")[-1].lstrip("/"))
    assert fonts == {"DejaVuSansCondensed"}
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        used = {c["fontname"].split("+")[-1] for p in pdf.pages for c in p.chars}
    assert used == {"DejaVuSansCondensed"}


def test_text_is_searchable_and_complete(
    made: tuple[Mandrel, Sheet, bytes], beside: tuple[bytes, bytes]
) -> None:
    mandrel, sheet, data = made
    drawing_text, making, mine = map(letters_of, (data, *beside))
    for text in sheet.texts():
        assert text.text.replace(" ", "") in drawing_text
    for c in mandrel.characteristics:
        assert what(c).replace(" ", "") in making
    for d in mandrel.decisions:
        assert d.what.replace(" ", "") in mine


def letters_of(data: bytes) -> str:
    """Every letter of every page, without spaces."""
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        return "".join(c["text"] for p in pdf.pages for c in p.chars).replace(" ", "")


@pytest.mark.parametrize("paper", range(3), ids=PAPERS)
def test_letter_heights_on_paper(
    made: tuple[Mandrel, Sheet, bytes], beside: tuple[bytes, bytes], paper: int
) -> None:
    """Capitals at least 2.5 mm: DejaVu's are 1493/2048 of the font size (read by fontTools in
    test_sheet)."""
    with pdfplumber.open(io.BytesIO((made[2], *beside)[paper])) as pdf:
        for page in pdf.pages:
            smallest = min(c["size"] for c in page.chars if c["text"].strip())
            assert smallest * 1493 / 2048 / MM >= 2.5 - 0.01


def test_metadata_and_bookmarks(made: tuple[Mandrel, Sheet, bytes]) -> None:
    reader = pypdf.PdfReader(io.BytesIO(made[2]))
    assert reader.metadata is not None
    assert ISSUE.number in str(reader.metadata.title)
    assert reader.metadata.author == ISSUE.drawn_by
    assert any("Drawing" in str(getattr(o, "title", "")) for o in reader.outline)


def test_footer_says_sheet_n_of_m(beside: tuple[bytes, bytes]) -> None:
    """Each paper beside the drawing counts its own sheets."""
    for data in beside:
        reader = pypdf.PdfReader(io.BytesIO(data))
        n = len(reader.pages)
        assert n
        for i, page in enumerate(reader.pages, 1):
            assert f"sheet {i} of {n}" in page.extract_text()


def test_same_bytes(made: tuple[Mandrel, Sheet, bytes], beside: tuple[bytes, bytes]) -> None:
    assert document.write(made[1]) == made[2]
    assert (document.making(made[1]), document.mine(made[1])) == beside


def test_hostile_names_are_shown_not_obeyed() -> None:
    issue = replace(ISSUE, owner="a)\\( <</JS>> \x00\x1b %%c", drawn_by="]]>&amp;")
    mandrel = SAMPLES["button"]()
    data = document.write(drawing(mandrel, outline(mandrel), issue))
    text = pypdf.PdfReader(io.BytesIO(data)).pages[0].extract_text()
    assert "<</JS>>" in text
    assert "]]>&amp;" in text


def test_png_is_the_page_at_150_dpi(made: tuple[Mandrel, Sheet, bytes]) -> None:
    data = png.from_pdf(made[2])
    assert data == png.from_pdf(made[2])
    image = Image.open(io.BytesIO(data))
    assert image.size == pytest.approx((420 / 25.4 * 150, 297 / 25.4 * 150), abs=1.5)
    assert image.getextrema()[0] < 40
    with pytest.raises(IndexError):
        png.from_pdf(made[2], 99)


def test_cover_lists_every_mandrel() -> None:
    profile = outline(plug())
    rows = tuple(
        cover.CoverRow(
            number=f"TM-{i:04d}",
            revision="A",
            title="Plug",
            part="cap",
            thread="M9x0.75",
            quantity=i,
            material="11SMn30",
            profile=profile,
        )
        for i in range(1, 12)
    )
    data = cover.cover("Heron", "2026-03-14", rows, "SET-0001")
    assert data == cover.cover("Heron", "2026-03-14", rows, "SET-0001")
    text = "".join(p.extract_text() for p in pypdf.PdfReader(io.BytesIO(data)).pages)
    for row in rows:
        assert row.number in text


def test_a_cover_says_all_that_was_accepted_on_as_many_pages_as_it_takes() -> None:
    """Every line stands once and over the footer, however many rows and lines there are."""
    row = cover.CoverRow(
        number="TM-0001",
        revision="A",
        title="Plug",
        part="cap",
        thread="M9x0.75",
        quantity=1,
        material="11SMn30",
        profile=outline(plug()),
    )
    for rows, lines, least, most in (
        (1, 0, 1, 1), (1, 1, 1, 1), (8, 0, 1, 1), (8, 1, 2, 2), (8, 2, 2, 2), (6, 90, 3, 5)
    ):  # fmt: skip
        known = tuple(
            (f"TM-{i:04d}, TM-9999", f"said{i:04d} " + "word " * 30) for i in range(lines)
        )
        data = cover.cover("Heron", "2026-03-14", (row,) * rows, "SET-0001", known)
        with pdfplumber.open(io.BytesIO(data)) as pdf:
            words = [w for p in pdf.pages for w in p.extract_words()]
            count = len(pdf.pages)
        said = [w["text"] for w in words if w["text"].startswith("said")]
        assert said == [f"said{i:04d}" for i in range(lines)]
        assert sum(w["text"] == "Accepted" for w in words) == (lines > 0)
        assert least <= count <= most
        low = (297.0 - 16.0) / 25.4 * 72  # the rule over the footer
        assert all(w["bottom"] < low for w in words if w["text"] == "word")


def _table(rows: int, lines: int = 1) -> Table:
    text = " ".join(["word"] * (20 * lines if lines > 1 else 1))
    return Table("Title", ("a", "b"), (0.2, 0.8), tuple((str(n), text) for n in range(rows)))


@pytest.mark.parametrize("first", range(0, 48, 3))
@pytest.mark.parametrize("second", [1, 2, 3, 4, 7, 30, 100])
def test_no_row_stands_alone_where_a_table_is_cut(first: int, second: int) -> None:
    """Two rows stay together at each end of a cut, nothing is lost, and every page holds what is
    on it."""
    given = (_table(first), _table(second), _table(3, 2))
    pages = tables.pages_of(given)
    for table in given:
        pieces = [p for page in pages for p in page if p.table is table]
        assert sum(len(p.rows) for p in pieces) == len(table.rows)
        assert [p.title for p in pieces][:1] == ["Title"]
        if len(pieces) > 1:
            assert all(len(p.rows) >= 2 for p in pieces)
    for page in pages:
        assert page
        assert sum(p.height for p in page) - tables.GAP <= tables.TOP - tables.BOTTOM + 1e-6
