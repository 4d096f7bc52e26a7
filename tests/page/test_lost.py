"""What is lost is said on its page, is ordered again, and is tried as another piece; what is found
again is the same. A fixture's files are at hand on its page."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from mandrelgen.workflows import booking
from mandrelgen.workflows.booking import Said
from tests.support.archived import publish_pen
from tests.support.page_client import client_of, words

AT = "/archive/MG-0001-A"
ARRIVED = "/pens/heron/arrived"
TODAY = str(datetime.date.today())
HAND = {**{f"screws.{n}": "yes" for n in (1, 2, 3)}, "seats": "4", "clamps": "yes"}


@pytest.fixture
def page(folder: Path) -> TestClient:
    """The cap's plug ordered, come, tried and in use."""
    publish_pen(folder / "output", "heron")
    booking.book(folder / "output", "MG-0001", "ordered", "2026-05-01", Said(whom="the mill"))
    page = client_of(folder)
    page.post(f"{ARRIVED}/came?piece=MG-0001-A")
    check(page)
    return page


def check(page: TestClient) -> str:
    for key, value in {**HAND, "shank.diameter": "13.98"}.items():
        page.post(f"{ARRIVED}/answer?piece=MG-0001-A", data={"key": key, "value": value})
    return page.post(f"{ARRIVED}/keep?piece=MG-0001-A").text


def test_what_is_lost_is_said_and_may_be_found_again(page: TestClient) -> None:
    assert "I have lost it" in page.get(AT).text
    text = page.post(f"{AT}/lost").text
    assert f"MG-0001 A is lost since {TODAY}" in text
    assert "I have lost it" not in text
    assert '<a href="/pens/heron/order">Order another</a>' in text
    assert "order cap-mouth-plug" in words(page.get("/pens/heron/mandrels").text)
    text = page.post(f"{AT}/found").text
    assert f"MG-0001 A is in use again since {TODAY}" in text
    assert "I have lost it" in text


def test_a_day_that_cannot_be_is_told_at_its_box(page: TestClient) -> None:
    for said, told in (("last week", "that is no day"), ("2026-01-01", "is before")):
        text = page.post(f"{AT}/lost", data={"on": said}).text
        assert f'value="{said}"' in text
        assert told in text.split('id="way-on"')[1].split("</div>")[0]
    assert "I have lost it" in page.get(AT).text


def test_what_cannot_follow_is_refused_in_words(page: TestClient) -> None:
    assert "found again" not in page.get(AT).text
    text = page.post(f"{AT}/found").text
    assert "in use" in words(text)
    assert page.post("/archive/MG-0002-A/lost").status_code == 200  # it never came
    assert "I have lost it" not in page.get("/archive/MG-0002-A").text


def test_the_next_one_is_not_judged_with_what_was_read_of_the_lost_one(
    page: TestClient, folder: Path
) -> None:
    page.post(f"{AT}/lost")
    booking.book(folder / "output", "MG-0001", "ordered", TODAY, Said(whom="the mill"))
    text = page.get(f"{ARRIVED}?piece=MG-0001-A").text
    assert "was 13.98" not in words(text)
    page.post(f"{ARRIVED}/came?piece=MG-0001-A")
    data = {"key": "shank.diameter", "value": "13.97"}
    text = words(page.post(f"{ARRIVED}/answer?piece=MG-0001-A", data=data).text)
    assert "not yet" in text
    assert "Keep the check: use it" not in text
    for key, value in HAND.items():
        page.post(f"{ARRIVED}/answer?piece=MG-0001-A", data={"key": key, "value": value})
    text = words(page.post(f"{ARRIVED}/keep?piece=MG-0001-A").text)
    assert "use it" in text


def test_the_checks_of_the_piece_before_are_said_to_be_its_own(
    page: TestClient, folder: Path
) -> None:
    earlier = f"Kept on {TODAY}, of the piece before"
    assert earlier not in words(page.get(AT).text)
    page.post(f"{AT}/lost")
    assert earlier not in words(page.get(AT).text)  # one that is found again is the same
    booking.book(folder / "output", "MG-0001", "ordered", TODAY, Said(whom="the mill"))
    assert words(page.get(AT).text).count(earlier) == 1
    page.post(f"{ARRIVED}/came?piece=MG-0001-A")
    check(page)
    text = words(page.get(AT).text)
    assert text.count(earlier) == 1
    assert text.index(f"Kept on {TODAY}: use it") < text.index(earlier)


def test_every_file_that_was_published_can_be_kept(page: TestClient, folder: Path) -> None:
    """Of a record alone there is none; a file that is none of the program's is not given."""
    place = folder / "output" / "MG-0001" / "A"
    (place / "MG-0001_A_nominal.stl").write_bytes(b"solid")
    (place / "note.txt").write_bytes(b"mine")
    text = page.get(AT).text
    assert "note.txt" not in text
    found = page.get(f"{AT}/files/MG-0001_A_nominal.stl")
    assert found.content == b"solid"
    assert "attachment" in found.headers["content-disposition"]
    for name in ("note.txt", "record.json", "..%2f..%2fevents", "MG-0001_A_none.stl"):
        assert page.get(f"{AT}/files/{name}").status_code == 404
