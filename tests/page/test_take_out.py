"""A thread is taken out by its button, and what is left of a joint is offered to go too."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.support.page_client import Tags, client_of, put, words

LEFT = "Nothing screws into the cap's crown any more: its M7x0.5-6H is still there."


@pytest.fixture
def page(folder: Path) -> Iterator[TestClient]:
    with client_of(folder) as client:
        yield client


def ends(folder: Path, part: str) -> dict[str, Any]:
    tree = tomllib.loads((folder / "heron.toml").read_text("utf-8"))
    found: dict[str, Any] = tree["parts"][part]["ends"]
    return found


def sent_by(shown: str, button: str) -> dict[str, str]:
    """What the form of a button sends: its hidden boxes."""
    form = next(f for f in shown.split("<form")[1:] if button in f.partition("</form>")[0])
    return {str(a["name"]): str(a["value"]) for _, a in Tags(form.partition("</form>")[0]).tags
            if a.get("type") == "hidden"}  # fmt: skip


def test_a_thread_is_taken_out_by_its_button_and_undo_brings_it_back(
    page: TestClient, folder: Path
) -> None:
    before = (folder / "heron.toml").read_bytes()
    shown = page.get("/pens/heron/joints").text
    at = sent_by(shown, "Take out this thread")
    assert at == {"part": "cap", "end": "mouth", "side": "internal"}
    shown = page.post("/pens/heron/joints/drop-thread", data=at).text
    said = words(shown)
    assert "Taken out: M12xPh2.4P0.8-6H. Undo brings it back." in said
    assert "Nothing screws onto the barrel's mouth any more" in said
    assert "internal" not in ends(folder, "cap")["mouth"]
    assert len(ends(folder, "cap")["mouth"]["bore"]) == 2
    page.post("/pens/heron/joints/undo")
    assert (folder / "heron.toml").read_bytes() == before


def test_a_part_that_goes_leaves_its_counterpart_by_name_and_a_button_takes_that_out_too(
    page: TestClient, folder: Path
) -> None:
    shown = page.post("/pens/heron/pen/drop-part", data={"part": "finial"}).text
    assert LEFT in words(shown)
    at = sent_by(shown, "Take out M7x0.5-6H too")
    assert at == {"part": "cap", "end": "crown", "side": "internal"}
    shown = page.post("/pens/heron/pen/drop-thread", data=at).text
    assert "internal" not in ends(folder, "cap")["crown"]
    assert LEFT not in words(shown)
    assert "any more" not in words(shown)


def test_a_part_whose_counterpart_fits_another_too_offers_nothing(tmp_path: Path) -> None:
    from tests.support.page_client import first_part, next_part

    with client_of(tmp_path) as page:
        first_part(page, "cap", "M12x0.8", 14.5, 60)
        next_part(page, "section", "M9x0.75", 11, 28)
        shown = page.post("/pens/reed/pen/drop-part", data={"part": "section"}).text
        assert "any more" not in words(shown)


def test_an_emptied_thread_says_which_button_takes_it_out(page: TestClient, folder: Path) -> None:
    key = "parts.cap.ends.crown.internal.thread"
    before = (folder / "heron.toml").read_bytes()
    said = words(put(page, key, "", "joints").text)
    assert "a value is needed here; “Take out this thread” takes it out" in said
    assert (folder / "heron.toml").read_bytes() == before


@pytest.mark.parametrize(
    "at",
    [("cap", "mouth", "external"), ("cap", "mouth", "bore"), ("cap", "tail", "internal"),
     ("x", "mouth", "internal"), ("cap", "mouth", "")],
)  # fmt: skip
def test_what_is_no_thread_is_nothing_to_take_out(
    page: TestClient, folder: Path, at: tuple[str, str, str]
) -> None:
    before = (folder / "heron.toml").read_bytes()
    data = dict(zip(("part", "end", "side"), at, strict=True))
    assert page.post("/pens/heron/joints/drop-thread", data=data).status_code == 404
    assert (folder / "heron.toml").read_bytes() == before
