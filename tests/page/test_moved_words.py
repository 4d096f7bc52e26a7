"""What a change does to the mandrels is told first, wherever it was made: which have another word,
come or go. What is offered instead does not contradict what the maker said."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from tests.support.page_client import client_of, put, words

PEN = """schema = 1
[pen]
id = "heron"
name = "Heron"
[parts.barrel]
length = 72.0
diameter = 13.2
material = "cast-acrylic"
[parts.barrel.ends.mouth]
side = "nib"
bore = [{diameter = 8.4, depth = 66.0}]
[parts.barrel.ends.mouth.internal]
thread = "M9x0.75"
depth = 10.0
[parts.barrel.ends.mouth.internal.counterbore]
diameter = 9.2
depth = 1.5
[parts.section]
length = 29.0
diameter = 10.8
material = "ebonite"
[parts.section.ends.rear]
side = "tail"
[parts.section.ends.rear.external]
thread = "M9x0.75"
length = 8.0
mates = "barrel.mouth"
[parts.section.ends.front]
bore = [{diameter = 7.1, depth = 12.0}, {diameter = 5.0, depth = 29.0}]
bottom = "through"
diameter = 9.6
[parts.section.ends.front.internal]
thread = "M7.6x0.5"
depth = 9.0
"""
TOOLS = {"back": "heron/mandrels", "taps": "M7.6x0.5\nM9x0.75", "dies": "M9x0.75"}
HELD = '[mandrels.hold]\nsection = "front"\n'
BY_REAR = '[mandrels.hold]\nsection = "rear"\n'
AT = "/pens/heron/mandrels"
MAKE = "barrel: now to make yourself; before: to order."
FRONT = "section: now held by its front, to order; before: held by its rear, change the pen first."
REAR = "section: now held by its rear, change the pen first; before: held by its front, to order."


@pytest.fixture
def page(tmp_path: Path) -> Iterator[TestClient]:
    """A section with a thread at both ends, the rear one without room for a seat."""
    (tmp_path / "heron.toml").write_text(PEN, "utf-8")
    (tmp_path / "shop.toml").write_text("schema = 1\n", "utf-8")
    with client_of(tmp_path) as client:
        yield client


def said(text: str) -> list[str]:
    """The lines of what a change did."""
    found = re.search(r'role="status" class="said">([^<]*)<', text)
    return [] if found is None else found[1].split("\n")


def test_what_the_taps_and_dies_change_is_told_on_the_step_one_comes_back_to_and_once(
    page: TestClient,
) -> None:
    page.get(AT)
    answer = page.post("/shop", data=TOOLS, headers={"hx-request": "true"})
    assert answer.headers["hx-redirect"] == AT
    lines = said(page.get(AT).text)
    assert lines[:2] == [MAKE, "Kept."]
    assert said(page.get(AT).text) == [""]


def test_my_shop_tells_it_of_the_pen_one_came_from(page: TestClient) -> None:
    form = {"came": "heron/mandrels", "taps": TOOLS["taps"], "dies": TOOLS["dies"]}
    assert MAKE in said(page.post("/shop", data=form).text)


def test_a_number_of_pens_tells_first_what_it_does_to_the_mandrels_and_undo_too(
    page: TestClient,
) -> None:
    page.post("/shop", data=TOOLS)
    page.get(AT)
    lines = said(put(page, "mandrels.defaults.pens", "30", "mandrels").text)
    assert lines[0] == "barrel: now to order; before: to make yourself."
    # The end that can be made holds the section, however many pens are made.
    assert all("section" not in line for line in lines)
    undone = said(page.post(f"{AT}/undo", headers={"hx-request": "true"}).text)
    assert undone[0] == MAKE
    assert undone[1].startswith("Taken back: ")


def test_another_end_to_hold_a_part_by_is_told_with_its_word_and_undo_too(
    page: TestClient, tmp_path: Path
) -> None:
    (tmp_path / "heron.toml").write_text(PEN + BY_REAR, "utf-8")
    way = {"mandrel": "section-rear-cup", "kind": "hold", "end": "front"}
    assert FRONT in said(page.post(f"{AT}/take", data=way).text)
    undone = said(page.post(f"{AT}/undo", headers={"hx-request": "true"}).text)
    assert undone[0] == REAR
    assert undone[1].startswith("Taken back: ")


def test_a_mandrel_that_goes_and_one_that_comes_are_told(page: TestClient) -> None:
    gone = said(page.post(f"{AT}/leave", data={"part": "barrel", "out": "1"}).text)
    assert gone[0] == "barrel: now no mandrel; before: held by its mouth, to order."
    back = said(page.post(f"{AT}/leave", data={"part": "barrel", "out": "0"}).text)
    assert back[0] == "barrel: now held by its mouth, to order; before: no mandrel."


def test_a_change_that_moves_no_word_tells_of_none(page: TestClient) -> None:
    lines = said(put(page, "parts.barrel.length", "73").text)
    assert not [line for line in lines if "; before: " in line]


def test_no_other_way_contradicts_the_number_of_pens_that_was_said(
    page: TestClient, tmp_path: Path
) -> None:
    (tmp_path / "heron.toml").write_text(PEN + HELD, "utf-8")
    page.post("/shop", data=TOOLS)
    for count, word in (("30", "order"), ("3", "make yourself")):
        put(page, "mandrels.defaults.pens", count, "mandrels")
        assert f"{word} barrel-mouth-plug" in words(page.get(AT).text)
        offered = page.get("/pens/heron/ways/barrel-mouth-plug").text
        assert not re.findall(r'value="(few|many)"', offered)
    put(page, "mandrels.defaults.pens", "", "mandrels")
    assert 'value="many"' in page.get("/pens/heron/ways/barrel-mouth-plug").text


def test_the_colour_of_another_way_says_better_or_worse(page: TestClient, tmp_path: Path) -> None:
    (tmp_path / "heron.toml").write_text(PEN + BY_REAR, "utf-8")
    page.post("/shop", data=TOOLS)
    put(page, "mandrels.defaults.pens", "30", "mandrels")
    ways = page.get("/pens/heron/ways/section-rear-cup").text
    assert re.findall(r'class="way (\w+)".*?value="hold".*?"word">(\w+)', ways, re.DOTALL) == [
        ("better", "order")
    ]
    (tmp_path / "heron.toml").write_text(PEN + HELD, "utf-8")
    ways = page.get("/pens/heron/ways/barrel-mouth-plug").text
    assert re.findall(r'class="way (\w+)".*?value="many".*?"word">(\w+)', ways, re.DOTALL) == [
        ("worse", "order")
    ]


def test_the_pens_steps_name_the_mandrel_that_has_no_room_and_why_in_short(
    page: TestClient, tmp_path: Path
) -> None:
    """(10.25 − 9.3) / 2 = 0.475 of seat and of wall; the card tells it once, with its buttons."""
    (tmp_path / "heron.toml").write_text(PEN + BY_REAR, "utf-8")
    for step in ("pen", "joints"):
        text = page.get(f"/pens/heron/{step}").text
        assert "Must be mended section-rear-cup: the mandrel's seat too narrow (0.475 of" in words(
            text
        )
        assert '<a href="/pens/heron/mandrels#m-section-rear-cup">' in text
    shown = words(page.get(AT).text)
    assert shown.count("leaves a seat of 0.475") == 1
    assert "1 to change first, 1 to order" in shown
