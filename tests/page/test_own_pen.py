"""A maker's own pen on the page: what is pressed is what is read, a person's shop stays theirs, and
every step says the same of a mandrel in words that can be followed."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from mandrelgen.assess.mandrel_remedies import _sharper
from mandrelgen.design.plan import Hold
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.starters import starter
from tests.page.test_work import Tags, button_of, client_of
from tests.support.reed_pen import begun, set_box

CHUCK = {"chuck": "taper", "max_speed": "2400", "nut_diameter": "42", "nut_length": "9"}
SHOP = {"lathe": "1", "name": "Sedge", "system": "ISO 15488-32", "sizes": ["10", "12", "14"],
        "tailstock": "1", **CHUCK, "taps": "M9.5x0.75", "dies": ""}  # fmt: skip


@pytest.fixture
def page(tmp_path: Path) -> Iterator[TestClient]:
    with client_of(tmp_path) as client:
        begun(client)
        yield client


def words(text: str) -> str:
    return " ".join(Tags(text).text.split())


# -- what is pressed is what is read
def test_a_button_whose_words_are_not_what_it_would_do_changes_nothing(
    page: TestClient, tmp_path: Path
) -> None:
    path = tmp_path / "reed.toml"
    shown = page.get("/pens/reed/joints").text
    press = button_of(shown, "pen.bottoms")
    before = path.read_bytes()
    for said in ("bore \u2300 1", "", press["says"] + " "):
        answer = page.post("/pens/reed/joints/mend", data={**press, "says": said})
        assert path.read_bytes() == before
        assert "Nothing was changed" in words(answer.text)
    page.post("/pens/reed/joints/mend", data=press)
    assert path.read_bytes() != before


# -- my shop
@pytest.mark.parametrize("whole", ["heron", "wren", "bittern"])
def test_a_whole_pen_to_begin_with_brings_no_shop(tmp_path: Path, whole: str) -> None:
    with client_of(tmp_path) as page:
        page.post("/pens", data={"whole": whole})
        shown = words(page.get(f"/pens/{whole}/mandrels").text)
        assert [p.name for p in tmp_path.iterdir()] == [f"{whole}.toml"]
    assert "Which collets do you have?" in shown
    said = tomllib.loads((tmp_path / f"{whole}.toml").read_text("utf-8")).get("shop", {})
    assert set(said) <= {"instruments"}  # what its sizes were measured with, no lathe


def test_an_emptied_box_of_the_shop_takes_its_key_out(tmp_path: Path) -> None:
    path = tmp_path / "shop.toml"
    with client_of(tmp_path) as page:
        page.post("/shop", data=SHOP)
        full = tomllib.loads(path.read_text("utf-8"))
        page.post("/shop", data={**SHOP, **dict.fromkeys(CHUCK, ""), "name": ""})
        empty = tomllib.loads(path.read_text("utf-8"))
        shown = [a for t, a in Tags(page.get("/shop").text).tags if t == "input"]
        page.post("/shop", data={"lathe": "1", **dict.fromkeys(CHUCK, ""), "system": ""})
        none = tomllib.loads(path.read_text("utf-8"))
    assert full["collets"][0]["nut_diameter"] == 42
    assert full["lathe"] == {"chuck": "taper", "max_speed": 2400, "tailstock": True}
    assert empty["lathe"] == {"tailstock": True}
    assert set(empty["collets"][0]) == {"system", "sizes"}
    assert "name" not in empty
    assert [a["value"] for a in shown if a.get("name") in CHUCK] == ["", "", ""]
    assert "collets" not in none


# -- what a remedy says
def test_a_remedy_names_its_part_and_sets_depths_by_tenths(page: TestClient) -> None:
    shown = page.get("/pens/reed/joints").text
    press = button_of(shown, "pen.bottoms")
    # The tenon is 9 long and the tap leaves two pitches of 0.8 unformed at the bottom: 10.6 less
    # the tenon's chamfer, which is worn off the last turn.
    deep = re.fullmatch(r"tap the cap's mouth (\d+(?:\.\d)?) deep \(now 9\)", press["says"])
    assert deep, press
    assert 9.9 <= float(deep[1]) <= 10.6
    assert "make the tenon of the barrel's mouth" in words(shown)
    assert f"Done: {press['says']}" in words(page.post("/pens/reed/joints/mend", data=press).text)


def test_an_assumed_length_of_thread_that_decides_is_named(page: TestClient) -> None:
    said = "incomplete thread at the bottom taken as 1.6, two pitches: say yours"  # 2 × 0.8
    assert said in words(page.get("/pens/reed/joints").text)
    shown = set_box(page, "parts.cap.ends.mouth.internal.tap_lead", "1.6")
    assert said not in words(shown)


def test_a_remedy_of_nothing_is_not_offered() -> None:
    """An edge of 0.2 that would have to lose all of it: a sharp edge is no remedy."""
    end = Pen.model_validate(tomllib.loads(starter("pen", "heron").decode())).parts["cap"]
    pen = Pen.model_validate(tomllib.loads(starter("pen", "heron").decode()))
    edge = float(end.ends["mouth"].edge_break)
    hold = Hold("cap", "mouth", "internal")
    assert not list(_sharper(hold, pen, edge))
    (one,) = _sharper(hold, pen, edge - 0.1)
    assert one.changes[0].value == 0.1
