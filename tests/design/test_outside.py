"""The finished outside as the pen file gives it: by points, by bodies, from either end."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mandrelgen.assess.part_shape import shape
from mandrelgen.assess.pen_walls import walls
from mandrelgen.design.held import outline
from mandrelgen.design.outside import diameter_at, least, of_part
from mandrelgen.spec.pen import Part, Pen
from mandrelgen.spec.shop import Shop

SHOP = Shop.model_validate({"schema": 1})
STEPPED = [
    {"at": 0, "diameter": 14.0}, {"at": 20, "diameter": 14.0}, {"at": 20, "diameter": 13.0},
    {"at": 60, "diameter": 11.0},
]  # fmt: skip


def _part(**mouth: object) -> Part:
    thread = {"thread": "M9x0.75", "depth": 10}
    end = {"internal": thread, "bore": [{"diameter": 8.3, "depth": 50}], **mouth}
    tree = {
        "schema": 1, "pen": {"id": "x", "name": "x"},
        "parts": {"barrel": {"length": 60, "diameter": 14, "ends": {"mouth": end, "tail": {}}}},
    }  # fmt: skip
    return Pen.model_validate(tree).parts["barrel"]


@pytest.mark.parametrize(("z", "d"), [(0, 14), (19.9, 14), (20, 13), (40, 12), (60, 11), (99, 11)])
def test_straight_between_points_and_the_smaller_at_a_step(z: float, d: float) -> None:
    part = _part(outside=STEPPED)
    assert diameter_at(of_part(part, "mouth"), z) == pytest.approx(d)
    assert diameter_at(of_part(part, "tail"), 60 - z) == pytest.approx(d)


def test_a_body_begins_behind_the_thread() -> None:
    row = of_part(_part(diameter=12.6, body=13.8), "mouth")
    assert [diameter_at(row, z) for z in (0, 9.9, 30)] == [12.6, 12.6, pytest.approx(13.88)]


@given(st.floats(0, 60), st.floats(0, 60))
def test_the_least_is_no_more_than_any_between(a: float, b: float) -> None:
    row = of_part(_part(outside=STEPPED), "mouth")
    low, high = sorted((a, b))
    found = least(row, low, high)
    assert all(found <= diameter_at(row, low + (high - low) * i / 20) + 1e-9 for i in range(21))


def test_walls_bending_and_picture_use_the_real_body() -> None:
    part = _part(outside=STEPPED)
    pen = Pen.model_validate(
        {"schema": 1, "pen": {"id": "x", "name": "x"},
         "parts": {"barrel": part.model_dump(exclude_none=True)}}
    )  # fmt: skip
    body = next(w for w in walls(pen, SHOP) if w.kind == "body")
    assert body.outside == pytest.approx(11.5)  # where the bore ends, at 50
    seen = shape(part, "mouth", "internal", 0.0, SHOP)
    assert seen.said == "the outside as the pen file gives it"
    thick, thin = (seen.sections(0.0)[i].outer for i in (0, -1))
    assert (thick, thin) == (pytest.approx(14.0, abs=1e-3), pytest.approx(11.0, abs=1e-3))
    drawn = outline("barrel", part, part.ends["mouth"], "internal", 0.0).outline
    assert {(20.0, 7.0), (20.0, 6.5), (60.0, 5.5)} <= set(drawn)


def test_the_file_is_read_as_people_write_it() -> None:
    text = "outside = [{ at = 0, diameter = 14 }, { at = 30, diameter = 13.5 }]"
    assert len(_part(**tomllib.loads(text)).ends["mouth"].outside) == 2
