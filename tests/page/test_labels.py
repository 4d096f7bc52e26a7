"""Labels for the drawers from the page: of all that is in hand, of one fixture."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest
from click.testing import CliRunner
from pypdf import PdfReader
from starlette.testclient import TestClient

from mandrelgen.cli.app import main
from mandrelgen.workflows import booking
from mandrelgen.workflows.booking import Said
from tests.support.archived import publish_pen
from tests.support.page_client import client_of, words

ALL = "/archive/labels/pdf"


@pytest.fixture
def page(folder: Path) -> TestClient:
    publish_pen(folder / "output", "heron")
    return client_of(folder)


def book(folder: Path, number: str, *states: str) -> None:
    for s in states:
        booking.book(folder / "output", number, s, None, Said(whom="the mill", again=True))


def numbers(page: TestClient, at: str = ALL) -> list[str]:
    """The numbers on the labels of a download."""
    answer = page.get(at)
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/pdf"
    pages = PdfReader(io.BytesIO(answer.content)).pages
    return sorted(set(re.findall(r"MG-\d{4}", " ".join(p.extract_text() for p in pages))))


def test_the_labels_of_all_in_hand_leave_out_what_is_not_there(
    page: TestClient, folder: Path
) -> None:
    assert ALL not in page.get("/archive").text
    assert page.get(ALL).status_code == 404
    book(folder, "MG-0001", "ordered", "arrived")
    book(folder, "MG-0002", "ordered")
    text = page.get("/archive").text
    assert f'<a href="{ALL}" download>Drawer label for the one in hand (PDF)</a>' in text
    assert numbers(page) == ["MG-0001"]
    book(folder, "MG-0002", "arrived", "in-use")
    book(folder, "MG-0003", "ordered", "arrived", "sent-back")
    assert "Drawer labels for the 2 in hand (PDF)" in words(page.get("/archive").text)
    assert numbers(page) == ["MG-0001", "MG-0002"]


def test_what_is_in_hand_has_its_label_while_another_is_on_its_way(
    page: TestClient, folder: Path
) -> None:
    book(folder, "MG-0001", "ordered", "arrived", "in-use", "ordered")
    book(folder, "MG-0002", "ordered", "arrived", "sent-back", "asked")
    assert numbers(page) == ["MG-0001"]


def test_one_fixtures_label_is_the_one_the_command_makes(page: TestClient, folder: Path) -> None:
    at = "/archive/MG-0002-A/labels"
    assert f'<a href="{at}" download>' in page.get("/archive/MG-0002-A").text
    assert numbers(page, at) == ["MG-0002"]
    answer = page.get(at)
    named = 'attachment; filename="labels_MG-0002-A.pdf"'
    assert answer.headers["content-disposition"] == named
    made = folder / "one.pdf"
    asked = ["labels", "MG-0002", "--to", str(folder / "output"), "--file", str(made)]
    assert CliRunner().invoke(main, asked).exit_code == 0
    assert made.read_bytes() == answer.content


def test_no_label_is_made_of_what_the_archive_does_not_hold_and_no_file_is_left(
    page: TestClient, folder: Path
) -> None:
    there = sorted(p for p in folder.rglob("*") if not p.match("*index*"))
    for other in ("MG-9999-A", "MG-0001-Z", "x", "..%2Fx-A", "-"):
        assert page.get(f"/archive/{other}/labels").status_code == 404
    page.get("/archive/MG-0001-A/labels")
    assert sorted(p for p in folder.rglob("*") if not p.match("*index*")) == there


def test_labels_pass_the_gate_like_every_other_page(page: TestClient) -> None:
    page.cookies.clear()
    assert page.get(ALL).status_code == 403
    assert page.get("/archive/MG-0001-A/labels").status_code == 403
