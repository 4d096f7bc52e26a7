"""What is refused is told at the button that was pressed, and what was typed stays in its boxes."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from tests.support.page_client import Tags, client_of, first_part, refused, values, words


@pytest.fixture
def page(folder: Path) -> Iterator[TestClient]:
    with client_of(folder) as client:
        yield client


def test_a_hole_that_cannot_be_is_refused_at_its_button_and_its_sizes_stay(
    page: TestClient,
) -> None:
    sent = {"part": "barrel", "end": "tail", "diameter": "wide", "depth": "12,5"}
    shown = page.post("/pens/heron/joints/hole", data=sent).text
    (before,) = refused(shown)
    assert before.endswith("Hole: diametermm Hole: depth from the facemm Add the hole")
    assert 'class="faults"' not in shown
    box = next(i for i, v in values(shown).items() if v == "wide")
    assert values(shown)[box.removesuffix("-d") + "-z"] == "12,5"
    assert [v for i, v in values(shown).items() if re.match(r"h\d+-[dz]", i) and v] == [
        "wide", "12,5",
    ]  # fmt: skip
    assert '<details open><summary>Add a hole or thread<span class="hid"> barrel, tail' in shown


def test_a_thread_that_cannot_be_is_refused_at_its_button_and_stays(page: TestClient) -> None:
    sent = {"part": "barrel", "end": "tail", "side": "external", "thread": "M13x0.8x3",
            "reach": "9"}  # fmt: skip
    shown = page.post("/pens/heron/joints/thread", data=sent).text
    (before,) = refused(shown)
    assert before.endswith("Add the external thread")
    assert {"M13x0.8x3", "9"} <= set(values(shown).values())


def test_a_part_that_cannot_be_is_refused_at_its_button_and_stays(page: TestClient) -> None:
    sent = {"kind": "cap", "thread": "M13x0.8x3", "diameter": "14,2", "length": "62"}
    shown = page.post("/pens/heron/pen/part", data=sent).text
    (before,) = refused(shown)
    assert before.endswith("counted at the thread's end.")
    assert {"M13x0.8x3", "14,2", "62"} <= set(values(shown).values())
    ticked = [a["id"] for _, a in Tags(shown).tags if a.get("name") == "kind" and "checked" in a]
    assert ticked == ["p-cap"]


def test_a_first_part_that_cannot_be_is_refused_at_its_button_and_stays(page: TestClient) -> None:
    shown = first_part(page, "cap", "M13x0.8x3", 14.2, 62, "Reed two").text
    assert len(refused(shown)) == 1
    assert shown.index("data-refused") < shown.index("Draw it") < shown.index("data-refused") + 800
    assert {"M13x0.8x3", "14.2", "62", "Reed two"} <= set(values(shown).values())


def test_a_choice_that_cannot_be_is_told_at_its_list(page: TestClient) -> None:
    key = "parts.cap.ends.mouth.bottom"
    shown = page.post("/pens/heron/joints/set", data={"key": key, "value": "square"}).text
    after = shown.partition('id="f-parts-cap-ends-mouth-bottom"')[2].partition("</div>")[0]
    assert 'role="alert"' in after
    assert "choose one of the list" in after


def test_a_part_is_taken_out_with_its_joint_and_one_undo_brings_it_back(
    page: TestClient, folder: Path
) -> None:
    before = (folder / "heron.toml").read_bytes()
    shown = page.post("/pens/heron/pen/drop-part", data={"part": "finial"}).text
    said = words(shown)
    assert "Taken out: finial. Undo brings it back." in said
    tree = tomllib.loads((folder / "heron.toml").read_text("utf-8"))
    assert "finial" not in tree["parts"]
    assert "mates" not in tree["parts"]["cap"]["ends"]["crown"]["internal"]
    assert "M7x0.5" in shown  # the cap keeps its thread
    page.post("/pens/heron/pen/undo")
    assert (folder / "heron.toml").read_bytes() == before
