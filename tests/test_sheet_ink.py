"""Nothing on a sheet lies on anything else: boxes, lines, and rendered dots."""

from __future__ import annotations

import io
from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from PIL import Image

from mandrelgen.design.designer import design
from mandrelgen.mandrel import Mandrel
from mandrelgen.profile import outline
from mandrelgen.sheet.layout import drawing
from mandrelgen.sheet.model import Dimension, Line, Mark, Sheet, Text
from mandrelgen.sheet.model import Pen as Pens
from mandrelgen.spec.pen import Pen
from mandrelgen.writers import png
from mandrelgen.writers.pdf import document
from tests import sheet_ink
from tests.randompens import SHOP, pens
from tests.samples_sheet import ISSUE, SAMPLES
from tests.test_dimensions import MANDRELS

EVERY = MANDRELS | {name: make() for name, make in SAMPLES.items()}
DPI = 150


def sheet_of(mandrel: Mandrel, projection: str = "first") -> Sheet:
    issue = replace(ISSUE, projection=projection)
    return drawing(mandrel, outline(mandrel), issue, 45.3, "1/4")


def check_ink(sheet: Sheet) -> None:
    assert sheet.crowded == ()
    assert sheet_ink.text_on_text(sheet) == []
    assert sheet_ink.text_on_lines(sheet) == []
    assert sheet_ink.outside_the_frame(sheet) == []
    assert sheet_ink.leaders_that_cross(sheet) == []
    assert min(t.height for t in sheet.texts()) >= 2.5
    assert sheet.paper in ("A4", "A3")


@pytest.mark.parametrize("projection", ["first", "third"])
@pytest.mark.parametrize("name", sorted(EVERY))
def test_no_ink_on_ink(name: str, projection: str) -> None:
    check_ink(sheet_of(EVERY[name], projection))


def test_no_ink_on_ink_of_random_mandrels() -> None:
    mix: Counter[str] = Counter()

    # The same examples every time: tests/long goes on to others.
    @settings(
        max_examples=40, deadline=None, derandomize=True, database=None,
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    @given(pens())
    def each(pen: Pen) -> None:
        for made in design(pen, SHOP):
            mix["asked"] += 1
            if made.mandrel is not None:
                mix["drawn"] += 1
                mix[made.mandrel.kind.value] += 1
                check_ink(sheet_of(made.mandrel))

    each()
    print(dict(mix))
    assert mix["drawn"] >= 0.6 * mix["asked"]


def test_two_leaders_that_cross_are_found() -> None:
    sheet = sheet_of(MANDRELS[min(MANDRELS)])
    at = sheet.origin
    bent = [
        Line(((at[0], at[1] + y), (at[0] + 5, at[1] + 5 - y), (at[0] + 9, at[1] + 5 - y)), Pens.DIM)
        for y in (0.0, 5.0)
    ]
    assert ("frame", "frame") in sheet_ink.leaders_that_cross(replace(sheet, drawn=tuple(bent)))


def test_title_block_holds_the_characters_of_iso_7200() -> None:
    """ISO 7200:2004, table of fields: identification number 16, title 25, supplementary title 25,
    creator and approval person 20, date 10, revision index 2, sheet 4 of 4 (by facts sheet)."""
    letters = "Abcdefghijklmnopqrstuvwxyz"
    issue = replace(
        ISSUE,
        number="MG-0123456789012",
        revision="AB",
        drawn_by=letters[:20],
        approved_by=letters[6:26],
        date="2026-12-28",
    )
    mandrel = replace(EVERY["button"], title="Mandrel for " + letters[:13], pen=letters[:8],
                      part=letters[8:16], end=letters[16:21])  # fmt: skip
    sheet = drawing(mandrel, outline(mandrel), issue, 45.3, "1234/4321")
    texts = {t.text for t in sheet.texts()}
    subtitle = f"{mandrel.pen}, {mandrel.part}, {mandrel.end}"
    assert (len(subtitle), len(mandrel.title), len(issue.number)) == (25, 25, 16)
    for said in (issue.number, issue.revision, issue.drawn_by, issue.approved_by, issue.date,
                 mandrel.title, subtitle, "1234/4321"):  # fmt: skip
        assert said in texts, said
    check_ink(sheet)


@pytest.mark.parametrize("name", sorted(MANDRELS))
def test_the_main_view_has_a_quarter_of_the_free_space(name: str) -> None:
    assert sheet_ink.main_view_share(sheet_of(MANDRELS[name])) >= 0.25


def dots(sheet: Sheet) -> np.ndarray:
    """True where the rendered page is inked."""
    page = png.from_pdf(document.write(replace(sheet, tables=())), dpi=DPI)
    return np.asarray(Image.open(io.BytesIO(page)).convert("L")) < 128


def only(sheet: Sheet, letters: bool) -> Sheet:
    """The sheet's lettering alone, or everything else alone."""

    def keep(d: object) -> object:
        if isinstance(d, Dimension | Mark):
            return replace(d, items=tuple(i for i in d.items if isinstance(i, Text) is letters))
        return d if isinstance(d, Text) is letters else None

    drawn = tuple(k for d in sheet.drawn if (k := keep(d)) is not None)
    return replace(sheet, drawn=drawn)  # type: ignore[arg-type]


@pytest.mark.parametrize("name", ["heron-cap-mouth-plug", "wren-section-rear-cup", "double"])
def test_no_dot_is_both_letter_and_line_and_none_lies_outside(name: str) -> None:
    sheet = sheet_of(EVERY[name])
    letters, lines = dots(only(sheet, True)), dots(only(sheet, False))
    assert letters.sum() > 10_000
    assert lines.sum() > 10_000
    assert not (letters & lines).any()
    # ISO 5457: outside the grid reference's border (5 mm beyond the frame) there is nothing.
    every = letters | lines
    x0, y0, x1, y1 = sheet.frame
    mm = DPI / 25.4
    inside = np.zeros_like(every)
    top, bottom = (sheet.height - y1 - 5.6) * mm, (sheet.height - y0 + 5.6) * mm
    inside[int(top) : int(bottom) + 1, int((x0 - 5.6) * mm) : int((x1 + 5.6) * mm) + 1] = True
    assert not (every & ~inside).any()


def test_a_text_on_a_line_is_noticed() -> None:
    """The measures above can fail: a word laid on the shank's outline is found by both."""
    sheet = sheet_of(EVERY["plug"])
    x, y = sheet.origin
    shank = next(s for s in EVERY["plug"].outer if s.feature == "shank")
    at = (x + (shank.z0 + 4) * sheet.scale, y + shank.d0 / 2 * sheet.scale - 1.2)
    spoilt = replace(sheet, drawn=(*sheet.drawn, Text(at, "SHANK", 3.5)))
    assert "SHANK" in sheet_ink.text_on_lines(spoilt)
    assert (dots(only(spoilt, True)) & dots(only(spoilt, False))).any()
