"""A joint whose thread is known by calipers alone: readings in, candidates out, one taken."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.support.bench_page import folder_with
from tests.support.page_client import client_of

JOINT = "joint.barrel.mouth-cap.mouth"
SECTION = "joint.section.rear-barrel.mouth"


@pytest.fixture(params=["heron", "dunlin"])
def pen(request: pytest.FixtureRequest) -> str:
    """With every end written out, and by its joints."""
    return str(request.param)


@pytest.fixture
def folder(tmp_path: Path, pen: str) -> Path:
    return folder_with(tmp_path / "pens", pen)


@pytest.fixture
def page(folder: Path) -> Iterator[TestClient]:
    with client_of(folder) as client:
        yield client


def tree(folder: Path, pen: str) -> dict[str, Any]:
    return tomllib.loads((folder / f"{pen}.toml").read_text("utf-8"))


def test_the_joints_page_offers_it_for_every_joint(page: TestClient, pen: str) -> None:
    text = page.get(f"/pens/{pen}/joints").text
    assert text.count("I only have calipers") == text.count('name="joint"') >= 2
    ids = re.findall(r' id="([^"]+)"', text)
    assert len(ids) == len(set(ids))


def test_readings_give_candidates_and_say_what_would_decide(page: TestClient, pen: str) -> None:
    at = f"/pens/{pen}/calipers"
    told = page.get(at, params={"joint": SECTION, "crest": "8.97", "starts": "1"}).text
    assert "Cannot decide" in told
    assert "length over ten crests parts" in told
    told = page.get(
        at, params={"joint": SECTION, "crest": "8,97 ± 0.02", "ten": "5.25 over 7", "starts": "1"}
    ).text
    assert "It is M9x0.75" in told
    assert re.search(r'name="thread" value="M9x0.75"', told)


@pytest.mark.parametrize(
    ("typed", "words"),
    [({}, "no diameter"), ({"crest": "nine", "ten": "x"}, "nine"), ({"crest": "0"}, "out of range"),
     ({"crest": "<b>"}, "&lt;b&gt;")],
)  # fmt: skip
def test_what_is_no_reading_is_told(
    page: TestClient, pen: str, typed: dict[str, str], words: str
) -> None:
    told = page.get(f"/pens/{pen}/calipers", params={"joint": SECTION, **typed}).text
    assert 'role="alert"' in told
    assert words in told
    assert page.get(f"/pens/{pen}/calipers", params={"joint": "joint.x"}).status_code == 404


def test_the_one_that_is_taken_goes_into_the_file_with_what_was_read(
    page: TestClient, folder: Path, pen: str
) -> None:
    before = (folder / f"{pen}.toml").read_bytes()
    typed = {"joint": SECTION, "thread": "M9x0.75", "crest": "8.97 ± 0.02", "minor": "8.3",
             "ten": "5.25 over 7"}  # fmt: skip
    head = {"hx-request": "true"}
    done = page.post(f"/pens/{pen}/joints/measured", data=typed, headers=head)
    assert done.status_code == 200
    assert "Taken: M9x0.75" in done.text
    ends = {k: v["ends"] for k, v in tree(folder, pen)["parts"].items() if "ends" in v}
    own = ends["section"]["rear"]["external"]["measured"]
    assert own == {"crest": 8.97, "uncertainty": 0.02}
    assert ends["barrel"]["mouth"]["internal"]["measured"] == {"crest": 8.3}
    shown = page.get(f"/pens/{pen}/joints").text
    assert 'value="M9x0.75"' in shown
    page.post(f"/pens/{pen}/joints/undo", headers=head)
    assert (folder / f"{pen}.toml").read_bytes() == before


def test_a_box_for_a_thread_takes_readings_that_decide(
    page: TestClient, folder: Path, pen: str
) -> None:
    head = {"hx-request": "true"}
    typed = {"key": SECTION, "value": "crest=8.97, ten=7.5, starts=1"}
    done = page.post(f"/pens/{pen}/joints/set", data=typed, headers=head)
    assert 'value="M9x0.75"' in done.text
    before = (folder / f"{pen}.toml").read_bytes()
    typed["value"] = "crest=8.97"
    done = page.post(f"/pens/{pen}/joints/set", data=typed, headers=head)
    assert "Cannot decide" in done.text
    assert (folder / f"{pen}.toml").read_bytes() == before
    form = {"name": "Small", "kind": "barrel", "thread": "minor=9.2, ten=7.5, starts=1",
            "diameter": "13", "length": "80"}  # fmt: skip
    assert page.post("/pens", data=form, headers=head).status_code in (204, 303)
    small = tree(folder, "small")["parts"]["barrel"]["ends"]["mouth"]["internal"]
    assert small["thread"] == "M10x0.75"


def test_readings_that_contradict_one_another_are_told(page: TestClient, pen: str) -> None:
    """A tenon of 9.0 in a hole of 9.4: it would fall through."""
    read = {"joint": SECTION, "crest": "9.0", "minor": "9.4"}
    told = page.get(f"/pens/{pen}/calipers", params=read).text
    assert "Two readings contradict one another by 0.40 mm" in told
    assert "the hole is smaller than the crests" in told
