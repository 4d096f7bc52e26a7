"""Nothing on a sheet lies on anything else: boxes, lines, and rendered dots."""

from __future__ import annotations

import io
from collections import Counter
from dataclasses import replace
from statistics import mean

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from PIL import Image
from shapely.geometry import Point, box

from mandrelgen.assess.settled import designs
from mandrelgen.files.writers import png
from mandrelgen.files.writers.pdf import document
from mandrelgen.model.balloon_numbers import numbered
from mandrelgen.model.half_section import outline
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.paper.drawing.frame import PAPERS
from mandrelgen.paper.drawing.layout import drawing
from mandrelgen.paper.drawing.model import Dimension, Line, Mark, Sheet, Text
from mandrelgen.paper.drawing.model import LineStyle as Pens
from mandrelgen.paper.drawing.one_sheet import one_sheet
from mandrelgen.paper.drawing.sheet_frame import DrawingJob
from mandrelgen.paper.drawing.text_width import fitted
from mandrelgen.paper.drawing.two_sheets import two_sheets
from mandrelgen.paper.drawing.view_set import Views
from mandrelgen.spec.pen import Pen
from tests.paper.test_dimensions import MANDRELS
from tests.support import sheet_ink
from tests.support.randompens import SHOP, pens
from tests.support.samples_sheet import ISSUE, SAMPLES
from tests.support.sheet_clearances import too_near, used

EVERY = MANDRELS | {name: make() for name, make in SAMPLES.items()}
DPI = 150


def sheet_of(mandrel: Mandrel, projection: str = "first") -> Sheet:
    issue = replace(ISSUE, projection=projection)
    return drawing(mandrel, outline(mandrel), issue, 45.3, 3)


def check_ink(drawing: Sheet) -> None:
    for sheet in drawing.sheets:
        assert sheet.crowded == ()
        assert sheet_ink.text_on_text(sheet) == []
        assert sheet_ink.text_on_lines(sheet) == []
        assert sheet_ink.outside_the_frame(sheet) == []
        assert sheet_ink.leaders_that_cross(sheet) == []
        assert min(t.height for t in sheet.texts()) >= 2.5
        assert sheet.paper in ("A4", "A3")


def check_space(drawing: Sheet, mandrel: Mandrel) -> None:
    """Two sheets only where no one holds the drawing, and the fields of title block and notes hold
    them alone."""
    if drawing.more:
        job = job_of(mandrel)
        for f in (0.5, 1.0):
            views = Views(mandrel, job.profile, f, job.numbers, False)
            assert one_sheet(job, PAPERS[-1], views).crowded
    for sheet in drawing.sheets:
        texts = {t.text: t for t in sheet.texts()}
        title = box(*sheet.fields[0])
        assert title.covers(Point(texts["Identification number"].at))
        assert title.area <= 180.0 * 82.0
        if "Notes" in texts:
            assert box(*sheet.fields[1]).covers(Point(texts["Notes"].at))
        views = [d for d in sheet.drawn if isinstance(d, Dimension)]
        ink = [i.points[0] for d in views for i in d.items if isinstance(i, Line)]
        assert not any(box(*f).contains(Point(p)) for f in sheet.fields for p in ink)


@pytest.mark.parametrize("projection", ["first", "third"])
@pytest.mark.parametrize("name", sorted(EVERY))
def test_no_ink_on_ink(name: str, projection: str) -> None:
    sheet = sheet_of(EVERY[name], projection)
    check_ink(sheet)
    check_space(sheet, EVERY[name])


def test_no_ink_on_ink_of_random_mandrels() -> None:
    mix: Counter[str] = Counter()
    near: Counter[str] = Counter()
    shares: list[float] = []

    # The same examples every time: tests/long goes on to others. A pen that fails is printed as
    # it is: making it smaller takes ten times as long as the whole test.
    @settings(
        max_examples=10, deadline=None, derandomize=True, database=None, phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    @given(pens())
    def each(pen: Pen) -> None:
        for made in designs(pen, SHOP):
            mix["asked"] += 1
            if made.mandrel is not None:
                mix["drawn"] += 1
                mix[made.mandrel.kind.value] += 1
                sheet = sheet_of(made.mandrel)
                mix[f"{len(sheet.sheets)} sheets"] += 1
                # Flats take views of their own; with centre holes in both ends besides, all that
                # can be asked for stands on one mandrel: it may need a second sheet.
                m = made.mandrel
                full = m.flats is not None and len(m.centre_holes) == 2
                mix["full"] += full
                mix["1 sheet, not full"] += len(sheet.sheets) == 1 and not full
                shares.append(used(sheet))
                near.update(too_near(sheet))
                check_ink(sheet)
                check_space(sheet, made.mandrel)
                check_scale(sheet, made.mandrel)

    each()
    print(dict(mix), dict(near), mean(shares))
    assert mix["drawn"] >= 0.6 * mix["asked"]
    # One A3 holds nearly everything: and `tests.long` counts 500.
    assert mix["1 sheets"] >= 0.85 * mix["drawn"]
    assert mix["drawn"] - mix["full"] >= 0.5 * mix["drawn"]
    assert mix["1 sheet, not full"] >= 0.95 * (mix["drawn"] - mix["full"])
    assert mean(shares) >= 0.5
    # Sizes are counted as too near to another's in few places alone: none on another's lettering.
    assert near["text near text"] == 0
    assert near["text in hatching"] == 0
    assert near["text near head"] == 0
    assert near["text near line"] <= 2
    assert near["head on head"] <= 4


def test_a_view_as_high_as_the_sheet_leaves_takes_the_last_millimetres() -> None:
    """All that can be asked for on one mandrel: its lengths reach down to the title block, unless
    the view stands at the very top of the frame."""
    end = {
        "diameter": 31.9,
        "internal": {"thread": "M25.7xPh4.8P0.8-LH", "depth": 17.3, "tap_lead": 1.2},
        "bore": [{"diameter": 24.9, "depth": 26.4, "made": "drilled"}],
    }
    asked = {
        "fit": "close", "flats": True, "thread_order": "my-tool", "centre_holes": "both",
        "soft_washer": 0.5,
    }  # fmt: skip
    tree = {
        "schema": 1,
        "pen": {"id": "random", "name": "Random"},
        "parts": {"body": {"length": 62.3, "diameter": 31.9, "ends": {"mouth": end}}},
        "mandrels": {"defaults": asked, "requests": [{"holds": "body.mouth"}]},
    }
    (made,) = designs(Pen.model_validate(tree), SHOP)
    assert made.mandrel is not None
    sheet = sheet_of(made.mandrel)
    check_ink(sheet)
    check_space(sheet, made.mandrel)


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
    sheet = drawing(mandrel, outline(mandrel), issue, 45.3, 4320)
    texts = {t.text for t in sheet.texts()}
    subtitle = f"{mandrel.pen}, {mandrel.part}, {mandrel.end}"
    assert (len(subtitle), len(mandrel.title), len(issue.number)) == (25, 25, 16)
    for said in (issue.number, issue.revision, issue.drawn_by, issue.approved_by, issue.date,
                 mandrel.title, subtitle, "1/4321"):  # fmt: skip
        assert said in texts, said
    check_ink(sheet)
    # The sheet's field is 24 mm wide; what does not fit at full height is lettered lower.
    text, height = fitted("1234/4321", 3.5, 24.0 - 2.0)
    assert (text, height >= 2.5) == ("1234/4321", True)


@pytest.mark.parametrize("name", sorted(MANDRELS))
def test_no_larger_scale_would_have_done(name: str) -> None:
    check_scale(sheet_of(MANDRELS[name]), MANDRELS[name])


def job_of(mandrel: Mandrel) -> DrawingJob:
    return DrawingJob(
        mandrel=mandrel,
        profile=outline(mandrel),
        issue=ISSUE,
        mass_g=45.3,
        behind=3,
        numbers=numbered(mandrel),
    )


def check_scale(sheet: Sheet, mandrel: Mandrel) -> None:
    """No larger standard scale would have done: the part, or its view with its dimensions, is
    larger than A3's frame or finds no room beside title block and notes; or, where one sheet is
    enough, not everything finds a place on one."""
    length = mandrel.outer[-1].z1 - mandrel.outer[0].z0
    job = job_of(mandrel)
    for f in (2.0, 5.0, 10.0):
        if f <= sheet.scale or length * f > 390.0:
            continue
        views = Views(mandrel, job.profile, f, job.numbers, False)
        if sheet.more:
            assert two_sheets(job, views, 0.25) is None
        else:
            assert views.main.failed or all(one_sheet(job, p, views).crowded for p in PAPERS)


def dots(sheet: Sheet, page: int = 0) -> np.ndarray:
    """True where the rendered page is inked."""
    data = png.from_pdf(document.write(replace(sheet, tables=())), page, DPI)
    return np.asarray(Image.open(io.BytesIO(data)).convert("L")) < 128


def only(sheet: Sheet, letters: bool) -> Sheet:
    """The sheet's lettering alone, or everything else alone."""

    def keep(d: object) -> object:
        if isinstance(d, Dimension | Mark):
            return replace(d, items=tuple(i for i in d.items if isinstance(i, Text) is letters))
        return d if isinstance(d, Text) is letters else None

    drawn = tuple(k for d in sheet.drawn if (k := keep(d)) is not None)
    more = tuple(only(m, letters) for m in sheet.more)
    return replace(sheet, drawn=drawn, more=more)  # type: ignore[arg-type]


@pytest.mark.parametrize("name", ["heron-cap-mouth-plug", "wren-section-rear-cup", "double"])
def test_no_dot_is_both_letter_and_line_and_none_lies_outside(name: str) -> None:
    drawing = sheet_of(EVERY[name])
    texts, rest = only(drawing, True), only(drawing, False)
    for page, sheet in enumerate(drawing.sheets):
        letters, lines = dots(texts, page), dots(rest, page)
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
