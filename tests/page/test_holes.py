"""Holes are added in any order, one through the part is said so, and a thread names its tapping
hole. The sizes of threads: ISO 965-1 by hand, drill charts' "% thread" = 76.98 (D - d)/P."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.support.page_client import button_of, client_of, first_part, next_part, values, words

HOLE = "/pens/reed/joints/hole"


@pytest.fixture
def page(tmp_path: Path) -> Iterator[TestClient]:
    with client_of(tmp_path) as client:
        first_part(client, "cap", "M13xPh2.4P0.8", 15.2, 62)
        next_part(client, "section", "M9x0.75", 11.2, 30)
        yield client


def add(page: TestClient, part: str, end: str, wide: str, deep: str, **more: str) -> str:
    sent = {"part": part, "end": end, "diameter": wide, "depth": deep, **more}
    return page.post(HOLE, data=sent).text


def end(folder: Path, part: str, name: str) -> Any:
    tree = tomllib.loads((folder / "reed.toml").read_text("utf-8"))
    return tree["parts"][part]["ends"][name]


def test_holes_are_added_in_any_order(page: TestClient, tmp_path: Path) -> None:
    add(page, "cap", "mouth", "11.5", "48")
    shown = add(page, "cap", "mouth", "12.2", "12")
    assert "data-refused" not in shown
    bore = end(tmp_path, "cap", "mouth")["bore"]
    assert bore == [{"diameter": 12.2, "depth": 12.0}, {"diameter": 11.5, "depth": 48.0}]


def test_two_holes_that_are_one_are_refused_at_the_button(page: TestClient) -> None:
    add(page, "cap", "mouth", "11.5", "48")
    shown = add(page, "cap", "mouth", "12.2", "50")
    assert "⌀12.2, 50 deep, leaves nothing of hole 1 (⌀11.5, 48 deep)" in words(shown)
    assert {"12.2", "50"} <= set(values(shown).values())
    assert "as deep and is as wide already" in words(add(page, "cap", "mouth", "11", "20"))
    wider = add(page, "cap", "mouth", "12.2", "50", undercut="true")
    assert "data-refused" not in wider
    assert 'id="f-parts-cap-ends-mouth-bore-1-undercut"' in wider


def test_a_hole_as_deep_as_the_part_goes_through_it_and_no_hole_stands_empty(
    page: TestClient, tmp_path: Path
) -> None:
    page.post(
        "/pens/reed/joints/thread",
        data={"part": "section", "end": "front", "side": "internal", "thread": "M7x0.5",
              "reach": "8"},
    )  # fmt: skip
    shown = add(page, "section", "front", "6.5", "31")
    front = end(tmp_path, "section", "front")
    assert (front["bore"], front["bottom"]) == ([{"diameter": 6.5, "depth": 30.0}], "through")
    assert "Must be mended section" not in words(shown)
    rear = shown.partition('aria-label="section, rear"')[2].partition("</section>")[0]
    assert "Hole 1" not in words(rear)
    assert "Bored right through the part: ⌀6.5." in words(rear)


def test_a_depth_that_becomes_the_parts_own_is_offered_through_the_part_first(
    page: TestClient, tmp_path: Path
) -> None:
    add(page, "section", "front", "6.5", "20")
    key = "parts.section.ends.front.bore.0.depth"
    shown = page.post("/pens/reed/joints/set", data={"key": key, "value": "30"}).text
    press = button_of(shown, "pen.crown")
    assert press["says"] == "bore the section's front through the part"
    done = page.post("/pens/reed/joints/mend", data=press).text
    assert "Must be mended section" not in words(done)
    assert end(tmp_path, "section", "front")["bottom"] == "through"
    deeper = page.post("/pens/reed/joints/set", data={"key": key, "value": "31"}).text
    assert "say 30 and choose “through the part” if it goes right through" in words(deeper)


def test_a_thread_names_its_tapping_hole_and_a_tight_one_has_a_button(
    page: TestClient, tmp_path: Path
) -> None:
    """M13 with P 0.8: D - P = 12.2. The least minor diameter of 6H is D - 1.0825 P = 12.134."""
    bare = words(page.get("/pens/reed/joints").text)
    assert "No tapping hole is said; ⌀12.2 is the usual drill." in bare
    add(page, "cap", "mouth", "11.5", "48")
    page.post("/pens/reed/joints/set",
              data={"key": "parts.cap.ends.mouth.bore.0.made", "value": "bored"})  # fmt: skip
    shown = page.get("/pens/reed/joints").text
    assert "Tapping hole: hole 1, ⌀11.5, is too small; ⌀12.2 is the usual drill." in words(shown)
    press = button_of(shown, "pen.tight_hole")
    assert press["says"] == "drill its tapping hole first: ⌀12.2, 9.8 deep"
    done = words(page.post("/pens/reed/joints/mend", data=press).text)
    assert "too small" not in done
    crest = 13 - 0.024 - 0.150 / 2  # 6g at P 0.8: es 24 µm, Td 150 µm, its middle
    share = round(76.98 * (crest - 12.2) / 0.8)
    assert f"Tapping hole: hole 1, ⌀12.2, gives {share} % thread." in done
    assert end(tmp_path, "cap", "mouth")["bore"] == [
        {"diameter": 12.2, "depth": 9.8},
        {"diameter": 11.5, "depth": 48.0, "made": "bored"},
    ]
