"""Labels for drawers: the codes are read back by zxing-cpp (an independent reader of ISO/IEC 18004)
from the page at 300 dpi, the text by pdfplumber; nothing overlaps, nothing leaves its label."""

from __future__ import annotations

from pathlib import Path

import pdfplumber
import pypdfium2
import pytest
import zxingcpp
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from mandrelgen.archive import root
from mandrelgen.cli.app import main
from mandrelgen.files.writers.pdf import labels as writer
from mandrelgen.paper.drawing.text_width import width_of
from mandrelgen.paper.reports.drawer_labels import GRIDS, LabelGrid, Labelled, PlacedLabel, pages
from mandrelgen.workflows import adopt
from mandrelgen.workflows.labels import grid_of
from tests.support.archived import DAY, OLD_CUP, OLD_PLUG, OLD_SPIGOT, publish_pen

MM = 72 / 25.4
DPI = 300


@pytest.fixture(scope="module")
def archive(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("labels") / "a"
    publish_pen(folder, "heron")
    for text in (OLD_PLUG, OLD_CUP, OLD_SPIGOT):
        adopt.adopt(root.open_root(folder), text.encode(), "o.toml", DAY, "t")
    return folder


def run(*args: str, code: int = 0) -> str:
    done = CliRunner().invoke(main, ["labels", *args])
    assert done.exit_code == code, done.output
    return done.output


def read_codes(path: Path, page: int = 0) -> dict[str, tuple[float, float]]:
    """What the codes of a page say, and their middles in mm from the lower left corner."""
    image = pypdfium2.PdfDocument(path)[page].render(scale=DPI / 72, grayscale=True).to_pil()
    found = {}
    for code in zxingcpp.read_barcodes(image, formats=zxingcpp.BarcodeFormat.QRCode):
        p = code.position
        corners = (p.top_left, p.top_right, p.bottom_left, p.bottom_right)
        x, y = (sum(getattr(c, k) for c in corners) / 4 * 25.4 / DPI for k in ("x", "y"))
        found[code.text] = (x, 297 - y)
    return found


@pytest.mark.parametrize("grid", [*GRIDS, "1x3", "6x15"])
def test_every_code_says_the_number_that_stands_beside_it(
    archive: Path, tmp_path: Path, grid: str
) -> None:
    path = tmp_path / "l.pdf"
    assert "7 labels" in run(str(archive), "--file", str(path), "--grid", grid)
    g = grid_of(grid, 10.0, 2.0, 1)
    numbers = [f"MG-{n:04d}" for n in range(1, 8)]
    with pdfplumber.open(path) as pdf:
        for n, page in enumerate(pdf.pages):
            mine = numbers[n * g.columns * g.rows : (n + 1) * g.columns * g.rows]
            codes = read_codes(path, n)
            assert sorted(codes) == mine
            for i, number in enumerate(mine):
                row, column = divmod(i, g.columns)
                w, h = g.label
                x, top = 10 + column * (w + 2), 10 + row * (h + 2)
                assert x < codes[number][0] < x + w
                assert top < 297 - codes[number][1] < top + h
                box = (x * MM, top * MM, (x + w) * MM, (top + h) * MM)
                assert number in page.crop(box).extract_text()
        assert n == (len(numbers) - 1) // (g.columns * g.rows)


def test_a_label_names_revision_thread_and_part(archive: Path, tmp_path: Path) -> None:
    path = tmp_path / "l.pdf"
    run("MG-0001", "MG-0005:A", "--to", str(archive), "--file", str(path), "--grid", "box")
    with pdfplumber.open(path) as pdf:
        text = pdf.pages[0].extract_text()
    for word in ("MG-0001", "rev. A", "M12xPh2.4P0.8-6f", "heron: cap, mouth", "id tin-3",
                 "M8.5x0.75-6g", "Plug from the tea tin"):  # fmt: skip
        assert word in text
    assert "MG-0002" not in text
    assert sorted(read_codes(path)) == ["MG-0001", "MG-0005"]


def test_the_same_archive_gives_the_same_bytes_and_nothing_is_overwritten(
    archive: Path, tmp_path: Path
) -> None:
    for name in ("a.pdf", "b.pdf"):
        run(str(archive), "--file", str(tmp_path / name))
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()
    before = (tmp_path / "a.pdf").read_bytes()
    assert "nothing is overwritten" in run(
        "MG-0001", "--to", str(archive), "--file", str(tmp_path / "a.pdf"), code=2
    )
    assert (tmp_path / "a.pdf").read_bytes() == before


def test_what_is_out_of_use_is_labelled_only_by_name(archive: Path, tmp_path: Path) -> None:
    folder = tmp_path / "a"
    publish_pen(folder, "heron")
    done = CliRunner().invoke(main, ["withdraw", "MG-0002", "--to", str(folder), "--note", "bent"])
    assert "MG-0002 A is withdrawn" in done.output
    assert "3 labels" in run(str(folder), "--file", str(tmp_path / "l.pdf"))
    assert "1 label" in run("MG-0002", "--to", str(folder), "--file", str(tmp_path / "m.pdf"))


@pytest.mark.parametrize(
    "args",
    [("--grid", "huge"), ("--grid", "9x9"), ("--grid", "3x20"), ("--first", "25"),
     ("--first", "0"), ("--margin", "80"), ("--gap", "-1"), ("--margin", "nan"), ("--gap", "inf")],
)  # fmt: skip
def test_a_sheet_that_cannot_be_is_told(
    archive: Path, tmp_path: Path, args: tuple[str, ...]
) -> None:
    path = tmp_path / "l.pdf"
    assert "→" in run(str(archive), "--file", str(path), *args, code=2)
    assert not path.exists()


def test_the_widest_number_on_the_narrowest_label_is_whole_and_its_code_is_read(
    tmp_path: Path,
) -> None:
    """16 characters, the most ISO 7200 has room for."""
    grid, number = LabelGrid(6, 15, margin=5.0), "WWWWWWWWWW-00000"
    path = tmp_path / "l.pdf"
    sheets = pages([Labelled(number, "AA", ("M12xPh2.4P0.8-6f",))], grid)
    assert sheets[0][0].texts[0].text == number
    path.write_bytes(writer.write(sheets, "t", grid.margin))
    assert list(read_codes(path)) == [number]


def test_labels_begin_where_the_sheet_is_still_whole() -> None:
    (first, second) = pages([Labelled("MG-0001", "A", ())] * 5, LabelGrid(3, 8, first=22))
    assert len(first) == 3
    assert len(second) == 2
    assert first[0].y == pytest.approx(10)
    assert second[0].y + second[0].height == pytest.approx(287)


def boxes(p: PlacedLabel) -> list[tuple[float, float, float, float]]:
    """The code and each line with its highest letters and its tails, mm."""
    rows = [(p.code_x, p.code_y, p.code_x + p.code_side, p.code_y + p.code_side)]
    for t in p.texts:
        w = width_of(t.text, t.cap)
        rows.append((t.x, t.y - 0.3 * t.cap, t.x + w, t.y + 1.1 * t.cap))
    return rows


LINE = st.text(st.characters(exclude_categories=("Cs",)), max_size=60)


@settings(max_examples=150, deadline=None)
@given(
    st.integers(1, 6), st.integers(1, 16), st.floats(0, 15), st.floats(0, 5),
    st.from_regex(r"[A-Z]{1,10}-[0-9]{4}", fullmatch=True), st.lists(LINE, max_size=6),
)  # fmt: skip
def test_nothing_overlaps_and_nothing_leaves_its_label(
    columns: int, rows: int, margin: float, gap: float, number: str, lines: list[str]
) -> None:
    grid = LabelGrid(columns, rows, margin, gap)
    if not grid.usable:
        with pytest.raises(ValueError, match="no room"):
            pages([Labelled(number, "A", ())], grid)
        return
    ((p, *_),) = pages([Labelled(number, "AA", tuple(lines))], grid)
    assert p.texts[0].text == number  # the number is never cut
    found = boxes(p)
    for n, (x0, y0, x1, y1) in enumerate(found):
        assert p.x < x0 <= x1 < p.x + p.width
        assert p.y < y0 < y1 < p.y + p.height
        for a0, b0, a1, b1 in found[n + 1 :]:
            assert x1 <= a0 + 1e-6 or a1 <= x0 + 1e-6 or y1 <= b0 + 1e-6 or b1 <= y0 + 1e-6
    assert writer.write([[p]], "t", margin).startswith(b"%PDF")
