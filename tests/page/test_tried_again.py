"""What hangs on another box: refused values tried again when it changes, a bore through the part
that goes with its length, groups of two boxes, what a hole's manner leaves behind."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.support.page_client import client_of, put, words

MOUTH = "parts.cap.ends.mouth.internal.counterbore"
BARREL = "parts.barrel.ends.mouth.internal.counterbore"


@pytest.fixture
def page(folder: Path) -> Iterator[TestClient]:
    with client_of(folder) as client:
        yield client


def said(folder: Path) -> dict[str, Any]:
    return tomllib.loads((folder / "heron.toml").read_text("utf-8"))["parts"]


def wrong(shown: str) -> list[str]:
    """What stands in red at boxes."""
    return [words(p) for p in re.findall(r'<p class="wrong".*?</p>', shown, re.DOTALL)]


def test_a_thread_that_was_too_wide_for_its_counterbore_is_taken_when_that_grows(
    page: TestClient, folder: Path
) -> None:
    joint = "joint.barrel.mouth-cap.mouth"
    shown = put(page, joint, "M13.5x0.8 3 starts", "joints").text
    assert any("12.4 is less than" in w for w in wrong(shown))
    shown = put(page, f"{MOUTH}.diameter", "13.7", "joints").text
    assert wrong(shown) == []
    assert "Taken too, since it can stand now" in words(shown)
    ends = said(folder)
    assert ends["cap"]["ends"]["mouth"]["internal"]["thread"] == "M13.5xPh2.4P0.8-6H"
    assert ends["barrel"]["ends"]["mouth"]["external"]["thread"] == "M13.5xPh2.4P0.8-6g"


def test_a_value_nothing_mends_stays_refused_with_its_newest_reason(
    page: TestClient, folder: Path
) -> None:
    shown = put(page, "joint.barrel.mouth-cap.mouth", "M13.5x0.8 3 starts", "joints").text
    assert len(wrong(shown)) == 1
    (still,) = wrong(put(page, f"{MOUTH}.diameter", "13", "joints").text)
    assert "13 is less than" in still
    assert said(folder)["cap"]["ends"]["mouth"]["internal"]["counterbore"]["diameter"] == 13.0


def test_a_counterbore_is_said_and_left_out_box_by_box(page: TestClient, folder: Path) -> None:
    before = (folder / "heron.toml").read_bytes()
    for first, second in (("diameter", "depth"), ("depth", "diameter")):
        sizes = {"diameter": "10.2", "depth": "1"}
        shown = put(page, f"{BARREL}.{first}", sizes[first], "joints").text
        assert wrong(shown) == [f"say the counterbore {second} too"]
        shown = put(page, f"{BARREL}.{second}", sizes[second], "joints").text
        assert wrong(shown) == []
        there = said(folder)["barrel"]["ends"]["mouth"]["internal"]["counterbore"]
        assert there == {"diameter": 10.2, "depth": 1.0}
        shown = put(page, f"{BARREL}.{first}", "", "joints").text
        assert wrong(shown) == [
            f"empty the counterbore {second} too, and the counterbore is taken out"
        ]
        shown = put(page, f"{BARREL}.{second}", "", "joints").text
        assert wrong(shown) == []
        assert "counterbore" not in said(folder)["barrel"]["ends"]["mouth"]["internal"]
    for _ in range(4):
        page.post("/pens/heron/joints/undo")
    assert (folder / "heron.toml").read_bytes() == before


def test_depths_from_the_floor_of_a_counterbore_that_goes_count_from_the_face(
    page: TestClient, folder: Path
) -> None:
    path = folder / "heron.toml"
    text = path.read_text("utf-8").replace(
        "depth = 9.0  ", 'depth_from = "floor"\ndepth = 7.8  ', 1
    )
    path.write_text(text, "utf-8")
    put(page, f"{MOUTH}.diameter", "", "joints")
    put(page, f"{MOUTH}.depth", "", "joints")
    thread = said(folder)["cap"]["ends"]["mouth"]["internal"]
    assert thread["depth"] == 9.0
    assert "counterbore" not in thread
    assert "depth_from" not in thread


def test_a_bore_through_the_part_goes_with_its_length_and_one_undo_brings_both_back(
    page: TestClient, folder: Path
) -> None:
    before = (folder / "heron.toml").read_bytes()
    shown = put(page, "parts.section.length", "24").text
    assert wrong(shown) == []
    assert "The bore through the part goes along: 24 deep." in words(shown)
    ends = said(folder)["section"]["ends"]
    assert [e["bore"][-1]["depth"] for e in ends.values()] == [24.0, 24.0]
    page.post("/pens/heron/pen/undo")
    assert (folder / "heron.toml").read_bytes() == before


def test_a_step_of_a_bore_through_stays_where_it_is_in_the_part(
    page: TestClient, folder: Path
) -> None:
    """Seen from the front 8 deep, from the rear the rest; the part grows at its rear."""
    path = folder / "heron.toml"
    old = '[{ diameter = 6.0, depth = 29.0, made = "drilled" }]'
    rear = "[{ diameter = 6.0, depth = 21 }, { diameter = 6.1, depth = 29, undercut = true }]"
    front = "[{ diameter = 6.1, depth = 8 }, { diameter = 6.0, depth = 29 }]"
    text = path.read_text("utf-8")
    assert text.count(old) == 2
    text = text.replace(old, rear, 1).replace(old, front)
    path.write_text(text, "utf-8")
    put(page, "parts.section.length", "32")
    ends = said(folder)["section"]["ends"]
    assert [s["depth"] for s in ends["rear"]["bore"]] == [21, 32.0]
    assert [s["depth"] for s in ends["front"]["bore"]] == [11.0, 32.0]


def test_a_bore_that_ends_in_the_part_stays_as_deep(page: TestClient, folder: Path) -> None:
    put(page, "parts.barrel.length", "90")
    depths = [s["depth"] for s in said(folder)["barrel"]["ends"]["mouth"]["bore"]]
    assert depths == [24.0, 72.0]
    shown = put(page, "parts.barrel.length", "70").text
    (told,) = wrong(shown)
    assert "the bore goes 72 deep into a part 70 long" in told


def test_a_reamers_class_is_seen_and_goes_with_the_reamer(page: TestClient, folder: Path) -> None:
    shown = page.get("/pens/heron/joints").text
    assert 'value="H8"' in shown
    assert "Hole 1: tolerance class" in words(shown)
    assert "hole 1, ⌀7.761 (the middle of the limits said for ⌀7.75), gives" in words(shown)
    shown = put(page, "parts.barrel.ends.mouth.bore.0.made", "drilled", "joints").text
    assert "The tolerance class H8 of the hole as it was made before is taken out" in words(shown)
    assert "tolerance" not in said(folder)["barrel"]["ends"]["mouth"]["bore"][0]
    shown = put(page, "parts.barrel.ends.mouth.bore.0.diameter", "7.8", "joints").text
    assert "hole 1, ⌀7.8," in words(shown)


def test_a_holes_reading_is_seen_and_can_be_taken_out(page: TestClient, folder: Path) -> None:
    path = folder / "heron.toml"
    text = path.read_text("utf-8").replace(
        'tolerance = "H8"', "measured = { value = 7.77, uncertainty = 0.02 }", 1
    )
    path.write_text(text, "utf-8")
    shown = page.get("/pens/heron/joints").text
    assert "Hole 1: as measured" in words(shown)
    put(page, "parts.barrel.ends.mouth.bore.0.measured.value", "", "joints")
    assert "measured" not in said(folder)["barrel"]["ends"]["mouth"]["bore"][0]


def test_a_pitch_diameter_is_kept_under_the_name_the_file_has(
    page: TestClient, folder: Path
) -> None:
    key = "parts.finial.ends.root.external.measured"
    put(page, f"{key}.pitch_diameter", "6.62", "joints")
    assert said(folder)["finial"]["ends"]["root"]["external"]["measured"] == {
        "pitch_diameter": 6.62
    }
    path = folder / "heron.toml"
    path.write_text(path.read_text("utf-8").replace("pitch_diameter =", "pitch ="), "utf-8")
    assert 'value="6.62"' in page.get("/pens/heron/joints").text
    put(page, f"{key}.pitch", "", "joints")
    assert "measured" not in said(folder)["finial"]["ends"]["root"]["external"]


def test_a_value_refused_in_a_box_that_is_gone_is_forgotten(page: TestClient) -> None:
    put(page, "parts.cap.ends.mouth.bore.1.depth", "900", "joints")
    at = {"part": "cap", "end": "mouth", "number": "1"}
    page.post("/pens/heron/joints/drop-hole", data=at)
    row = {"part": "cap", "end": "mouth", "diameter": "10", "depth": "50"}
    shown = page.post("/pens/heron/joints/hole", data=row).text
    assert wrong(shown) == []
    assert 'value="900"' not in shown
