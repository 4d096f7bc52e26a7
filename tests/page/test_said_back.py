"""What the page says of a change: what was taken back, what a button set and what stood before,
that the drawing's outside moved; and where a person's own pen begins."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from mandrelgen.workflows.answers.changes_said import changes_said
from tests.support.page_client import Tags, client_of, put, words


@pytest.fixture
def page(folder: Path) -> Iterator[TestClient]:
    with client_of(folder) as client:
        yield client


def post(page: TestClient, way: str, **data: str) -> str:
    return words(page.post(f"/pens/heron/joints/{way}", data=data).text)


def test_undo_and_redo_say_what_they_change(page: TestClient) -> None:
    put(page, "parts.cap.length", "66.5")
    assert "Taken back: cap, length 66.5 → 65." in post(page, "undo")
    assert "Made again: cap, length 65 → 66.5." in post(page, "redo")
    put(page, "pen.name", "Kestrel 62")
    assert "Taken back: pen, name Kestrel 62 → Heron." in post(page, "undo")
    post(page, "drop-hole", part="cap", end="mouth", number="1")
    assert "Taken back: cap, mouth, holes changed." in post(page, "undo")
    page.post("/pens/heron/pen/drop-part", data={"part": "finial"})
    said = post(page, "undo")
    assert "finial there again" in said
    assert "cap, crown, internal thread, mates not said → finial.root" in said


def test_undo_in_the_shop_says_what_it_changes(page: TestClient) -> None:
    page.post("/shop", data={"name": "Sallow Lane"})
    shown = words(page.post("/shop/undo").text)
    assert "Taken back: name Sallow Lane → Reedbed Bench, Withymere." in shown


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        (b"a = 1\n", b"a = 1\n# more\n", ""),
        (b"a = 1\n", b"a = \n", ""),
        (b"pale = true\n", b"pale = false\n", "pale yes → no"),
        (b"[t]\na = 1\n", b"[t]\na = 1\nb = 2.50\n", "t, b not said → 2.5"),
        (b"a = 1\nb = 1\nc = 1\nd = 1\ne = 1\n", b"a = 2\nb = 2\nc = 2\nd = 2\ne = 2\n",
         "a 1 → 2; b 1 → 2; c 1 → 2; and 2 more"),
        (b"[parts.cap.ends.mouth]\nbore = [{ depth = 3 }, { depth = 4.0 }]\n",
         b"[parts.cap.ends.mouth]\nbore = [{ depth = 3 }, { depth = 5.5 }]\n",
         "cap, mouth, hole 2, depth 4 → 5.5"),
        (b"[[collets]]\nsizes = [6]\n", b"[[collets]]\nsizes = [6, 8]\n",
         "collets, sizes changed"),
    ],
)  # fmt: skip
def test_what_differs_is_named_the_first_few(before: bytes, after: bytes, said: str) -> None:
    assert changes_said(before, after) == said


def test_a_button_says_what_stood_before_as_past(page: TestClient) -> None:
    shown = put(page, "parts.barrel.ends.mouth.internal.depth", "9", "joints").text
    forms = [f.partition("</form>")[0] for f in shown.split("<form")[1:] if "(now 9)" in f]
    tags = [a for _, a in Tags(forms[0]).tags]
    sent = {str(a["name"]): str(a["value"]) for a in tags if a.get("name")}
    assert "(now 9)" in sent["says"]
    said = post(page, "mend", **sent)
    done = said.partition("Done: ")[2].partition("Undo takes it back")[0]
    assert done.endswith("deep (was 9). ")
    assert "Taken back: barrel, mouth, internal thread, depth 10 → 9." in post(page, "undo")


def test_that_the_drawings_outside_moves_with_a_hole_is_said(page: TestClient) -> None:
    """The cap's outside is not said between its ends: it follows the deeper hole."""
    said = post(page, "drop-hole", part="cap", end="mouth", number="1")
    assert "The drawing's outside has moved with it" in said
    said = post(page, "hole", part="barrel", end="tail", diameter="5", depth="4")
    assert "The drawing's outside has moved with it" in said
    said = post(page, "drop-hole", part="section", end="rear", number="0")
    assert "outside has moved" not in said  # bored through from the front: as before


def test_start_says_where_a_pen_of_ones_own_begins_and_parts_are_added_there(
    tmp_path: Path,
) -> None:
    from tests.support.page_client import first_part, next_part

    with client_of(tmp_path) as page:
        said = words(page.get("/").text)
        assert "A pen of your own begins with one part" in said
        first_part(page, "cap", "M12x0.8", 14.5, 60)
        assert "One more part" in words(page.get("/pens/reed/pen").text)
        next_part(page, "barrel", "M9x0.75", 13, 80)
        assert "2 parts" in words(page.get("/pens/reed/pen").text)
