"""The maker's page read back by pdfplumber and pypdf, and measured against the verdict."""

from __future__ import annotations

import io
import re
from functools import cache
from typing import Any

import numpy as np
import pdfplumber
import pypdf
import pytest
from hypothesis import given, settings

from mandrelgen.assess.settled import designs
from mandrelgen.files.writers.pdf import document, tables
from mandrelgen.mechanics.assessment_types import Assessment
from mandrelgen.model.balloon_numbers import numbered
from mandrelgen.model.mandrel import Issue
from mandrelgen.paper.drawing.model import Arc, Hatch, Page, Text, flat
from mandrelgen.paper.reports import assessment_page, flow
from mandrelgen.paper.reports.assessment import TITLE, page
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.read import read_pen, read_shop
from mandrelgen.spec.starters import starter
from mandrelgen.workflows.build import Build
from mandrelgen.workflows.order import turner_tables
from tests.support.clear_pages import clear
from tests.support.randompens import SHOP, pens

MM = 72 / 25.4
STARTERS = (("heron", "bench"), ("wren", "bench"), ("bittern", "small"))
ISSUE = Issue(
    number="TM-0042",
    revision="A",
    date="2026-05-31",
    status="in preparation",
    owner="Owner",
    drawn_by="Drawer",
    approved_by="Approver",
)
# Capitals of the embedded font: 1493/2048 of its size (read by fontTools in test_sheet).
CAPITALS = 1493 / 2048
# Of each starter the mandrel whose page is taken apart letter by letter.
LOOKED_AT = ("heron/cap-mouth-plug", "wren/barrel-mouth-plug", "bittern/section-rear-cup")


@cache
def builds() -> dict[str, Build]:
    """Every mandrel of the starters with its verdicts and the turner's pages."""
    found = {}
    for pen, shop in STARTERS:
        read = read_pen(starter("pen", pen), pen), read_shop(starter("shop", shop), shop)
        for d in designs(*read):
            assert d.mandrel is not None
            assert d.verdict is not None
            verdicts = tuple(v for v in (d.verdict, d.verdict_b) if v is not None)
            extra = turner_tables(d.mandrel, read[1])
            found[f"{pen}/{d.mandrel.id}"] = Build(d.mandrel, ISSUE, extra, verdicts)
    return found


@cache
def leaf_numbers(name: str) -> tuple[int, ...]:
    """The maker's pages in the PDF, from 0: by their own titles and place."""
    sheet = builds()[name].papers
    first = len(tables.pages_of(sheet.first)) if sheet.first else 0
    return tuple(range(first, first + len(sheet.leaves)))


@cache
def read(name: str) -> list[dict[str, Any]]:
    """What pdfplumber sees on the maker's pages."""
    with pdfplumber.open(io.BytesIO(document.mine(builds()[name].papers))) as pdf:
        pages = [pdf.pages[i] for i in leaf_numbers(name)]
        return [
            {
                "text": p.extract_text(),
                "chars": [c for c in p.chars if c["text"].strip()],
                "filled": [s for s in p.rects + p.curves if s["fill"]],
                "curves": [s for s in p.curves if not s["fill"]],
                "size": (p.width / MM, p.height / MM),
            }
            for p in pages
        ]


def text_of(name: str) -> str:
    """All words of the maker's pages."""
    return "\n".join(p["text"] for p in read(name))


@pytest.mark.parametrize("name", sorted(builds()))
def test_three_papers_and_two_leaves_at_most_in_the_maker_s(name: str) -> None:
    build = builds()[name]
    reader = pypdf.PdfReader(io.BytesIO(document.mine(build.papers)))
    texts = [p.extract_text() for p in reader.pages]
    (start,) = [i for i, t in enumerate(texts) if TITLE in t]
    leaves = len(build.papers.leaves)
    assert 1 <= leaves <= 2
    assert start == leaf_numbers(name)[0]
    assert "Where someone can be hurt" in texts[start + leaves - 1]
    assert any("Decisions" in t for t in texts[:start])
    assert any(getattr(o, "title", "") == TITLE for o in _flat(reader.outline))
    for i, t in enumerate(texts, 1):
        assert f"sheet {i} of {len(texts)}" in t
    drawing = [p.extract_text() for p in pypdf.PdfReader(io.BytesIO(build.pdf)).pages]
    assert len(drawing) == document.page_count(build.sheet) <= 2
    for i, t in enumerate(drawing, 1):
        assert f"{i}/{len(drawing)}" in t
    making = pypdf.PdfReader(io.BytesIO(document.making(build.papers)))
    turner = "\n".join(p.extract_text() for p in making.pages)
    assert build.extra[-1].title in turner
    # Nothing of the maker's doubts or reasons in what leaves.
    for mine in (TITLE, "Decisions", "Where someone can be hurt"):
        assert mine not in turner
        assert mine not in "\n".join(drawing)


def _flat(outline: list[Any]) -> list[Any]:
    return [o for x in outline for o in (_flat(x) if isinstance(x, list) else [x])]


def _row(text: str, start: str) -> list[float]:
    """The numbers at the end of the line that begins with ``start``."""
    (line,) = [x for x in text.splitlines() if x.startswith(start)]
    found = re.findall(r"−?\d+(?:\.\d+)?", line.removeprefix(start))
    return [float(n.replace("−", "-")) for n in found]


@pytest.mark.parametrize("name", sorted(builds()))
def test_the_main_numbers_are_the_verdicts(name: str) -> None:
    """Printed to 0.001 mm: within half a step of the verdict's own floats."""
    (v,) = builds()[name].verdicts
    t, text = v.truth, text_of(name)
    step = t.step.states
    wanted = {
        f"Mismatch at joint {t.step.joint}": _four(step),
        "Repeatability when remounted": [t.remount.statistical, t.remount.worst],
        "… with the mandrel taken out too": [t.regripped.statistical, t.regripped.worst],
        "Run-out (total reading) at the seat": _four(t.runout_seat),
        "Run-out at the far end": [t.end_z, *_four(t.runout_end)],
    }
    for start, values in wanted.items():
        assert _row(text, start) == pytest.approx(values, abs=0.00051), start
    if t.wall is None:
        assert "Thinnest wall" not in text
    else:
        said = _row(text, "Thinnest wall")[-2:]
        assert said == pytest.approx([t.wall.statistical, t.wall.worst], abs=0.00051)


def _four(s: Any) -> list[float]:
    return [s.loose.statistical, s.loose.worst, s.tight.statistical, s.tight.worst]


@pytest.mark.parametrize("name", sorted(builds()))
def test_strength_begins_with_the_weakest_place_and_every_failing_one_is_listed(name: str) -> None:
    (v,) = builds()[name].verdicts
    text = text_of(name)
    listed = text.split("Place, the weakest first")[1].splitlines()[1:]
    worst = min(v.checks, key=lambda c: c.factor / c.asked)
    assert v.weakest == worst
    assert listed[0].startswith(worst.label)
    assert _row(listed[0], worst.label)[-2:] == pytest.approx([worst.factor, worst.asked], abs=0.01)
    for c in v.checks:
        if not c.passes:
            assert any(x.startswith(c.label) and x.endswith("NO") for x in listed), c.id


@pytest.mark.parametrize("name", sorted(builds()))
def test_speed_thread_assumptions_and_cautions_are_all_said(name: str) -> None:
    build = builds()[name]
    (v,) = build.verdicts
    said = _squeezed("".join(c["text"] for p in read(name) for c in p["chars"]))
    assert v.speed is not None
    assert v.screwed is not None
    assert f"Runat{v.speed.allowed:,}rpmatmost" in said
    for cap in v.speed.caps:
        assert _squeezed(cap.why) in said
    assert ("Runningforwardtightens" if v.screwed.forward else "Runninginreverse") in said
    assert _squeezed(f"{v.screwed.freeing_catch:.2f} N·m after a dig-in") in said
    # Columns are written one after the other, so each remark's letters stand together.
    for text in (*v.assumptions, *build.mandrel.cautions):
        assert _squeezed(text) in said, text
    assert "nothingmeasuredwasfound" in said
    assert "lathemaker'sinstructions" in said


def _squeezed(text: str) -> str:
    return re.sub(r"[\s–]", "", text)


@pytest.mark.parametrize("name", LOOKED_AT)
def test_bars_are_as_long_as_the_shares(name: str) -> None:
    """Measured on paper: length over share is one number for all bars."""
    (v,) = builds()[name].verdicts
    shares = sorted((s.of_variance for s in v.truth.step.budget.shares), reverse=True)
    shares = [s for s in shares if s >= 0.01]
    boxes = [s for s in read(name)[0]["filled"] if abs((s["bottom"] - s["top"]) / MM - 3.2) < 0.05]
    boxes.sort(key=lambda s: s["top"])
    lengths = [(s["x1"] - s["x0"]) / MM for s in boxes]
    assert len(lengths) == len(shares) >= 3
    assert len({round(s["x0"], 2) for s in boxes}) == 1
    for length, share in zip(lengths, shares, strict=True):
        assert length / lengths[0] == pytest.approx(share / shares[0], rel=2e-3)
    text = text_of(name)
    for s in v.truth.step.budget.shares:
        if s.of_variance >= 0.01:
            assert s.cause.id in text
            assert f"{s.of_variance:.0%}, " in text


@pytest.mark.parametrize("name", LOOKED_AT)
def test_the_bent_axes_are_drawn_to_the_stated_scales(name: str) -> None:
    """At the tool, the drawn deflection over the stated scale is the verdict's."""
    (v,) = builds()[name].verdicts
    assert v.stiffness is not None
    page0 = next(p for p in read(name) if "deflection" in p["text"] and "Along" in p["text"])
    scales = re.findall(r"Along ([\d.]+):1, deflection ([\d.]+):1", page0["text"])
    curves = sorted((c for c in page0["curves"] if len(c["pts"]) > 20), key=lambda c: c["x0"])
    bends = (v.stiffness.away, v.stiffness.up)
    assert len(scales) == len(curves) == 2
    for bend, curve, (along, across) in zip(bends, curves, scales, strict=True):
        points = [(x / MM, y / MM) for x, y in curve["pts"]]
        z = np.array([bend.shape[0][0] + (x - points[0][0]) / float(along) for x, _ in points])
        w = np.array([(y - points[0][1]) / float(across) for _, y in points])
        assert z[-1] == pytest.approx(bend.shape[-1][0], rel=0.01)
        assert float(np.interp(bend.tool_z, z, w)) == pytest.approx(bend.tool, rel=0.02)
        assert f"push it {round(bend.tool, 3):g} mm" in " ".join(page0["text"].split())


@pytest.mark.parametrize("name", LOOKED_AT)
def test_black_letters_of_our_font_at_least_2_5_mm_inside_the_page_none_over_another(
    name: str,
) -> None:
    for p in read(name):
        assert p["size"] == pytest.approx((210, 297), abs=1e-3)
        for c in p["chars"]:
            assert c["non_stroking_color"] in ((0,), (0, 0, 0), 0)
            assert c["fontname"].split("+")[-1] == "DejaVuSansCondensed"
            assert c["size"] * CAPITALS / MM >= 2.5 - 0.01
            assert c["x0"] / MM >= 19.9
            assert c["x1"] / MM <= 200.1
        # The font's own box (rise 0.928, fall 0.236 of the size) is taller than its letters:
        # capitals reach 0.729 of the size, so the box is cut to that and to the base line.
        size = np.array([c["size"] for c in p["chars"]])
        base = np.array([c["matrix"][5] for c in p["chars"]])
        x0, x1 = (np.array([c[k] for c in p["chars"]]) for k in ("x0", "x1"))
        top = base + CAPITALS * size
        wide = np.minimum(x1[:, None], x1) - np.maximum(x0[:, None], x0)
        high = np.minimum(top[:, None], top) - np.maximum(base[:, None], base)
        hit = (wide > 0.3) & (high > 0.1)
        np.fill_diagonal(hit, val=False)
        assert not hit.any(), [p["chars"][i]["text"] for i in np.argwhere(hit)[0]]


def _leaves(v: Assessment, build: Build, end_b: bool = False) -> tuple[Page, ...]:
    found = page(v, numbered(build.mandrel), build.mandrel.cautions, end_b)
    return assessment_page.leaves(found)


@pytest.mark.parametrize("name", sorted(builds()))
def test_nothing_overlaps_on_the_starters_pages(name: str) -> None:
    for leaf in builds()[name].papers.leaves:
        clear(leaf)


@settings(max_examples=25, deadline=None)
@given(pens())
def test_nothing_overlaps_on_pages_of_random_pens(pen: Pen) -> None:
    """All kinds of mandrel, both ends of double-ended ones, buttons, plain spigots."""
    for d in designs(pen, SHOP):
        for v in (d.verdict, d.verdict_b):
            if v is not None and d.mandrel is not None:
                build = Build(d.mandrel, ISSUE)
                found = _leaves(v, build, v is d.verdict_b)
                assert 1 <= len(found) <= 2
                for leaf in found:
                    clear(leaf)
                    assert not any(isinstance(i, Arc | Hatch) for i in flat(leaf.drawn))
                    assert all(i.angle == 0 for i in flat(leaf.drawn) if isinstance(i, Text))


def test_the_area_is_that_of_the_table_pages() -> None:
    area = (
        flow.LEFT,
        flow.RIGHT,
        flow.TOP,
        flow.BOTTOM,
    )
    assert area == (tables.LEFT, tables.RIGHT, tables.TOP, tables.BOTTOM)


def test_same_bytes() -> None:
    build = builds()[LOOKED_AT[0]]
    again = Build(build.mandrel, build.issue, build.extra, build.verdicts)
    assert again.pdf == build.pdf
    without = Build(build.mandrel, build.issue, build.extra)
    assert without.papers.leaves == ()
    assert document.mine(without.papers) != document.mine(build.papers)
    assert document.mine(again.papers) == document.mine(build.papers)
