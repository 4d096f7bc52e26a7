"""The pen drawn to scale: every part is there, at its size; closed parts meet and overlap in their
threads alone; what the files show is read back by other programs."""

from __future__ import annotations

import io
import tomllib
import xml.etree.ElementTree as ET
from itertools import combinations
from typing import Any

import pdfplumber
import pytest
from hypothesis import given, reject, settings
from hypothesis import strategies as st
from shapely import Polygon, box
from shapely.validation import make_valid

from mandrelgen.assess.resolved import resolve
from mandrelgen.files.writers import pen_svg
from mandrelgen.files.writers.pdf import pen_page
from mandrelgen.paper.pen_drawing import labels, states
from mandrelgen.paper.pen_drawing.drawing import PenDrawing, draw
from mandrelgen.paper.pen_drawing.outline import outline, outlines
from mandrelgen.paper.pen_drawing.states import Placed
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.read import read_pen, read_shop
from mandrelgen.spec.shop import Shop
from mandrelgen.spec.starters import starter
from mandrelgen.standards.designation import ThreadTextError
from tests.support.randompens import SHOP, pens

PENS = ("heron", "wren", "bittern")


def pair(name: str) -> tuple[Pen, Shop]:
    shop = "small" if name == "bittern" else "bench"
    return read_pen(starter("pen", name), name), read_shop(starter("shop", shop), shop)


def drawing(name: str, state: str, dimensions: bool = True) -> PenDrawing:
    pen, shop = pair(name)
    return draw(pen, shop, resolve(pen, shop), state, dimensions)


def material(p: Placed) -> Any:
    """The cut half of a part as shapely sees it."""
    return make_valid(Polygon(p.points(p.outline.material)))


@pytest.mark.parametrize("name", PENS)
@pytest.mark.parametrize("state", ["apart", "capped"])
def test_every_part_is_drawn_once_at_its_length_and_diameter(name: str, state: str) -> None:
    pen, _ = pair(name)
    d = drawing(name, state)
    for part_id, part in pen.parts.items():
        (mark,) = [m for m in d.marks if m.id == f"parts.{part_id}" and "section" in m.role]
        (fill,) = mark.items
        xs = [x for x, _ in fill.points]
        ys = [y for _, y in fill.points]
        assert (max(xs) - min(xs)) / d.scale == pytest.approx(float(part.length))
        widest = max(float(part.diameter), *(float(e.diameter) for e in part.ends.values()))
        assert (max(ys) - d.axis) * 2 / d.scale == pytest.approx(widest, abs=0.45)


@settings(max_examples=60, deadline=None)
@given(pens())
def test_a_random_pen_apart_overlaps_nowhere_and_keeps_its_sizes(pen: Pen) -> None:
    try:
        parts = outlines(pen, SHOP)
    except ThreadTextError:  # a pitch that reading the file refuses
        reject()
    row = states.placed(pen, parts, states.APART)
    assert {p.outline.id for p in row} == set(pen.parts)
    for a, b in combinations(row, 2):
        assert a.span[1] <= b.span[0] or b.span[1] <= a.span[0]
    for p in row:
        assert p.outline.outer[0][0] == 0.0
        assert p.outline.outer[-1][0] == pytest.approx(p.outline.length)
        assert all(r >= 0 for _, r in (*p.outline.outer, *p.outline.inner))


@pytest.mark.parametrize("name", PENS)
def test_closed_parts_meet_at_the_shoulder_and_overlap_only_in_their_threads(name: str) -> None:
    """Judged by shapely: what two cut parts share lies within the depth of their thread."""
    pen, shop = pair(name)
    row = {p.outline.id: p for p in states.placed(pen, outlines(pen, shop), states.CAPPED)}
    closed = {frozenset((j.external.part, j.internal.part)): j
              for j in states.closed_joints(pen, states.CAPPED)}  # fmt: skip
    for a, b in combinations(row.values(), 2):
        shared = material(a).intersection(material(b))
        joint = closed.get(frozenset((a.outline.id, b.outline.id)))
        if joint is None:
            assert shared.area < 1e-6
            continue
        outside, inside = row[joint.external.part], row[joint.internal.part]
        shoulder = outside.z(outside.outline.ends[joint.external.end].shoulder)
        assert inside.z(inside.outline.ends[joint.internal.end].face) == pytest.approx(shoulder)
        (thread,) = [t for t in outside.outline.threads if t.external]
        crest = max(r for z, r in outside.outline.outer if thread.z0 <= z <= thread.z1)
        end = outside.outline.ends[joint.external.end]
        z0, z1 = sorted((outside.z(end.face), outside.z(end.shoulder)))
        room = box(z0 - 1e-6, thread.radius - 1e-6, z1 + 1e-6, crest + 1e-6)
        assert shared.difference(room).area < 1e-6
        assert shared.area > 0.5


def test_posted_is_known_only_where_the_file_names_a_thread_for_it() -> None:
    tree = tomllib.loads(starter("pen", "heron").decode())
    pen = Pen.model_validate(tree)
    assert states.known(pen) == ("apart", "capped")
    tree["parts"]["barrel"]["ends"]["tail"]["external"] = {
        "thread": "M12xPh2.4P0.8-6g", "length": 7.5, "mates": "cap.mouth",
    }  # fmt: skip
    pen = Pen.model_validate(tree)
    assert states.known(pen) == ("apart", "capped", "posted")
    parts = outlines(pen, SHOP)
    capped = {p.outline.id: p for p in states.placed(pen, parts, "capped")}
    posted = {p.outline.id: p for p in states.placed(pen, parts, "posted")}
    assert capped["cap"].span[0] < capped["barrel"].span[0]
    assert posted["cap"].turned != capped["cap"].turned
    assert posted["cap"].span[1] > posted["barrel"].span[1]


def test_a_wall_that_is_too_thin_is_marked_where_it_is_with_the_key_that_makes_it() -> None:
    text = starter("pen", "heron").decode()
    text = text.replace("diameter = 7.75\ndepth = 24.0", "diameter = 10.6\ndepth = 24.0")
    pen, shop = Pen.model_validate(tomllib.loads(text)), pair("heron")[1]
    d = draw(pen, shop, resolve(pen, shop), "apart")
    bad = [m for m in d.marks if m.role == "wall wall-error"]
    assert "parts.barrel.ends.mouth.bore.0.diameter" in {m.id for m in bad}
    good = drawing("heron", "apart")
    assert not [m for m in good.marks if m.role == "wall wall-error"]


@pytest.mark.parametrize("name", PENS)
def test_every_key_of_the_drawing_leads_to_a_value_of_the_file(name: str) -> None:
    tree = tomllib.loads(starter("pen", name).decode())
    for state in ("apart", "capped"):
        for mark in drawing(name, state).marks:
            here: Any = tree
            for step in mark.id.split(".") if mark.id else ():
                here = here[int(step)] if step.isdigit() else here[step]


def test_the_svg_is_read_back_with_its_classes_keys_and_sizes_and_no_style() -> None:
    d = drawing("heron", "capped")
    root = ET.fromstring(pen_svg.write(d))
    assert root.get("width") == f"{d.width:g}mm"
    every = list(root.iter())
    assert not [e for e in every if "style" in e.attrib or e.tag.endswith(("script", "style"))]
    groups = {(e.get("class"), e.get("data-key")) for e in every if e.get("data-key")}
    assert ("section part-0", "parts.cap") in groups
    assert ("joint joint-good", "parts.barrel.ends.mouth.external.length") in groups
    texts = [e.text for e in every if e.tag.endswith("text")]
    assert {"cap", "section", "barrel", "finial", "144.5"} <= set(texts)


def test_a_name_with_markup_stays_text() -> None:
    tree = tomllib.loads(starter("pen", "heron").decode())
    tree["pen"]["name"] = '<script>"&x'
    tree["parts"]["cap"]["name"] = "<b onload=1>"
    pen, shop = Pen.model_validate(tree), pair("heron")[1]
    d = draw(pen, shop, resolve(pen, shop), "apart")
    for data in (pen_svg.write(d).decode(), pen_svg.inline(d)):
        root = ET.fromstring(data)
        assert not [e for e in root.iter() if e.tag.endswith(("script", "b"))]
        assert "<b onload=1>" in [e.text for e in root.iter()]


def test_the_pdf_shows_each_state_on_a_page_at_the_scale_it_says() -> None:
    drawings = [drawing("heron", s) for s in ("apart", "capped")]
    with pdfplumber.open(io.BytesIO(pen_page.write(drawings, ["a line of words"]))) as pdf:
        assert len(pdf.pages) == 2
        for page, d in zip(pdf.pages, drawings, strict=True):
            text = page.extract_text()
            assert f"Heron: {d.state}" in text
            assert f"scale {d.scale_text}" in text
            assert "a line of words" in text
            # The dimension line of the overall length, or of the barrel, measured on the page.
            wanted = (144.5 if d.state == "capped" else 84.0) * d.scale / 25.4 * 72
            lines = [*page.lines, *page.curves]
            assert any(abs(x["width"] - wanted) < 0.05 and x["height"] < 0.1 for x in lines)


@given(
    st.lists(st.tuples(st.floats(0, 200), st.floats(1, 12)), min_size=1, max_size=8).map(
        lambda row: sorted(row)
    )
)
def test_texts_of_one_row_never_touch(row: list[tuple[float, float]]) -> None:
    middles = labels.spread([x for x, _ in row], [w for _, w in row], -300.0, 500.0)
    for (m, (_, w)), (n, (_, v)) in zip(
        zip(middles, row, strict=True), list(zip(middles, row, strict=True))[1:], strict=False
    ):
        assert n - v / 2 - (m + w / 2) >= labels.SPACE - 1e-6


def test_a_part_keeps_its_colour_when_another_is_taken_out() -> None:
    tree = tomllib.loads(starter("pen", "heron").decode())
    shop = pair("heron")[1]
    tree["parts"]["ring"] = {**tree["parts"]["barrel"], "ends": {"a": {}}}

    def tints() -> dict[str, str]:
        pen = Pen.model_validate(tree)
        marks = draw(pen, shop, resolve(pen, shop), "apart").marks
        return {m.id: m.role for m in marks if m.role.startswith("section ")}

    before = tints()
    assert len(set(before.values())) == 5
    del tree["parts"]["finial"]
    after = tints()
    assert after == {k: v for k, v in before.items() if k != "parts.finial"}


def test_the_outside_is_drawn_as_the_file_says_it_whatever_is_bored() -> None:
    tree = tomllib.loads(starter("pen", "heron").decode())
    shop = pair("heron")[1]
    mouth = tree["parts"]["cap"]["ends"]["mouth"]
    mouth["outside"] = [
        {"at": 0, "diameter": 14.2}, {"at": 40, "diameter": 14.6}, {"at": 65, "diameter": 11},
    ]  # fmt: skip

    def outer() -> dict[float, float]:
        pen = Pen.model_validate(tree)
        return {round(z, 6): r for z, r in outline("cap", pen.parts["cap"], shop).outer}

    # The mouth looks to the tail: its face lies at 65.
    said = outer()
    assert said[25.0] == pytest.approx(7.3)
    assert said[0.0] == pytest.approx(5.5 - 0.2)
    assert max(said.values()) == pytest.approx(7.3)
    del mouth["bore"][1]
    assert outer() == said
    mouth["outside"] = []
    mouth["body"] = 14.4
    bodied = outer()
    assert bodied[round(65 - 9.0, 6)] in (pytest.approx(7.1), pytest.approx(7.2))
