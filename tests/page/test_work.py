"""What boxes and buttons do to the files: comments kept, nothing lost, everything taken back."""

from __future__ import annotations

import io
import json
import re
import threading
import time
import tomllib
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from mandrelgen.spec.read import read_shop
from tests.support.bench_page import folder_with
from tests.support.page_client import Tags, button_of, client_of, put, words


@pytest.fixture
def page(folder: Path) -> Iterator[TestClient]:
    with client_of(folder) as client:
        yield client


def test_a_change_goes_into_the_file_and_its_comments_stay(page: TestClient, folder: Path) -> None:
    before = (folder / "heron.toml").read_text("utf-8")
    answer = put(page, "parts.cap.length", "66,5")
    assert answer.status_code == 200
    after = (folder / "heron.toml").read_text("utf-8")
    assert after == before.replace("length = 65.0 ", "length = 66.5 ", 1)
    assert "66.5" in answer.text


@pytest.mark.parametrize(
    ("typed", "kept"),
    [("66", 66.0), ("66.5 mm", 66.5), ("2 1/2 in", "2 1/2 in"), ("2.5 in", "2.5 in"),
     ("2.5\"", "2.5\"")],
)  # fmt: skip
def test_inches_are_kept_as_they_are_typed(
    page: TestClient, folder: Path, typed: str, kept: object
) -> None:
    put(page, "parts.cap.length", typed)
    tree = tomllib.loads((folder / "heron.toml").read_text("utf-8"))
    assert tree["parts"]["cap"]["length"] == kept


@pytest.mark.parametrize("typed", ["", "abc", "-5", "0", "1e99", "66;", "NaN", "<script>"])
def test_a_value_that_cannot_stand_is_told_beside_its_box_and_the_file_stays(
    page: TestClient, folder: Path, typed: str
) -> None:
    before = (folder / "heron.toml").read_bytes()
    answer = put(page, "parts.cap.length", typed)
    assert (folder / "heron.toml").read_bytes() == before
    found = Tags(answer.text)
    (box,) = [a for t, a in found.tags if t == "input" and a.get("id") == "f-parts-cap-length"]
    assert box["value"] == typed
    assert box["aria-invalid"] == "true"
    assert any(a.get("id") == box["aria-describedby"] for _, a in found.tags)


def test_what_was_refused_stays_in_its_box_while_others_change(
    page: TestClient, folder: Path
) -> None:
    before = (folder / "heron.toml").read_bytes()
    put(page, "parts.cap.length", "sixty")
    assert (folder / "heron.toml").read_bytes() == before
    answer = put(page, "parts.cap.diameter", "14.7")
    assert 'value="sixty"' in answer.text
    assert 'aria-invalid="true"' in page.get("/pens/heron/pen").text
    mended = put(page, "parts.cap.length", "66")
    assert "sixty" not in mended.text
    assert "aria-invalid" not in mended.text


def test_one_box_fills_both_threads_of_a_joint_and_keeps_their_classes(
    page: TestClient, folder: Path
) -> None:
    put(page, "joint.barrel.mouth-cap.mouth", "M11,8 x 0.8 three starts", "joints")
    ends = tomllib.loads((folder / "heron.toml").read_text("utf-8"))["parts"]
    assert ends["cap"]["ends"]["mouth"]["internal"]["thread"] == "M11.8xPh2.4P0.8-6H"
    assert ends["barrel"]["ends"]["mouth"]["external"]["thread"] == "M11.8xPh2.4P0.8-6g"


def test_undo_and_redo_give_the_very_bytes_back(page: TestClient, folder: Path) -> None:
    path = folder / "heron.toml"
    first = path.read_bytes()
    for key, value in (("parts.cap.length", "66"), ("parts.cap.diameter", "14.8"),
                       ("parts.barrel.ends.tail.band", "true")):  # fmt: skip
        put(page, key, value)
    third = path.read_bytes()
    for _ in range(3):
        page.post("/pens/heron/pen/undo")
    assert path.read_bytes() == first
    for _ in range(3):
        page.post("/pens/heron/pen/redo")
    assert path.read_bytes() == third


def test_typing_on_in_one_box_is_one_change(page: TestClient, folder: Path) -> None:
    first = (folder / "heron.toml").read_bytes()
    for text in ("6", "66", "66.", "66.5"):
        put(page, "parts.cap.length", text)
    page.post("/pens/heron/pen/undo")
    assert (folder / "heron.toml").read_bytes() == first


def test_an_edit_from_outside_stays_and_is_told(page: TestClient, folder: Path) -> None:
    path = folder / "heron.toml"
    shown = Tags(page.get("/pens/heron/pen").text)
    (stamp,) = [a["value"] for t, a in shown.tags if t == "input" and a.get("name") == "stamp"]
    path.write_text(
        path.read_text("utf-8").replace('name = "Heron"', 'name = "Heron two"'), "utf-8"
    )
    answer = put(page, "parts.cap.length", "66", stamp=str(stamp))
    assert "changed elsewhere" in answer.text
    text = path.read_text("utf-8")
    assert 'name = "Heron two"' in text
    assert "length = 66.0" in text


def test_undo_never_takes_an_edit_from_outside_with_it(page: TestClient, folder: Path) -> None:
    path = folder / "heron.toml"
    put(page, "parts.cap.length", "66")
    path.write_text(path.read_text("utf-8") + "\n# mine\n", "utf-8")
    outside = path.read_bytes()
    answer = page.post("/pens/heron/pen/undo", headers={"hx-request": "true"})
    assert path.read_bytes() == outside
    assert "would lose that" in answer.text


def test_two_tabs_at_once_lose_nothing(folder: Path, page: TestClient) -> None:
    """Twenty changes of different boxes from four threads: every one is in the file."""
    boxes = [f"parts.{p}.least_wall" for p in ("cap", "barrel", "section", "finial")]

    def tab(key: str) -> None:
        for n in range(1, 6):
            put(page, key, f"0.{n}")

    threads = [threading.Thread(target=tab, args=(k,)) for k in boxes]
    for t in threads:
        t.start()
    for t in threads:
        t.join()
    tree = tomllib.loads((folder / "heron.toml").read_text("utf-8"))
    assert {tree["parts"][k.split(".")[1]]["least_wall"] for k in boxes} == {0.5}


def test_a_file_that_somebody_broke_is_told_and_stays(page: TestClient, folder: Path) -> None:
    path = folder / "heron.toml"
    path.write_text("[pen]\nid = \n[parts.cap]\n", "utf-8")
    before = path.read_bytes()
    answer = page.get("/pens/heron/pen")
    assert answer.status_code == 200
    assert "cannot be read" in answer.text
    put(page, "parts.cap.length", "66")
    assert path.read_bytes() == before


def test_a_folder_that_may_not_be_written_is_told_where_the_person_is(
    page: TestClient, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from mandrelgen.archive.disk import files
    from mandrelgen.core.errors import DiskError

    def full(path: Path, data: bytes) -> None:
        raise DiskError("the disk is full", "make room")

    before = (folder / "heron.toml").read_bytes()
    monkeypatch.setattr(files, "write_file", full)
    answer = put(page, "parts.cap.length", "66")
    assert "the disk is full" in Tags(answer.text).text
    assert (folder / "heron.toml").read_bytes() == before


WORDS = ['"><script>alert(1)</script>', "<img src=x onerror=alert(1)>", "' onfocus='alert(1)",
         "{{ 7*7 }}", "javascript:alert(1)", "</textarea><svg onload=1>", "a&amp;b"]  # fmt: skip


@pytest.mark.parametrize("word", WORDS)
def test_no_word_of_a_file_becomes_markup(page: TestClient, folder: Path, word: str) -> None:
    """Names in the pen and the shop file, and what is typed: read back by a parser."""
    path = folder / "heron.toml"
    text = path.read_text("utf-8").replace('name = "Heron"', f"name = {json.dumps(word)}")
    text = text.replace('material = "cast-acrylic"', f"name = {json.dumps(word)}", 1)
    path.write_text(text, "utf-8")
    shop = folder / "shop.toml"
    shop.write_text(f"name = {json.dumps(word)}\n" + shop.read_text("utf-8").replace(
        'name = "Reedbed', 'title = "Reedbed').replace('title = ', "# "), "utf-8")  # fmt: skip
    read_shop(shop.read_bytes(), "shop.toml")
    answers = [page.get(p) for p in ("/pens/heron/pen", "/pens/heron/joints", "/shop",
               "/pens/heron/mandrels", "/pens/heron/order", "/")]  # fmt: skip
    answers.append(put(page, "parts.cap.length", word))
    form = {"kind": word, "thread": word, "diameter": word, "length": word, "name": word}
    answers.append(page.post("/pens", data=form))
    answers.append(page.post("/shop", data={"taps": word, "name": word}))
    answers.append(page.get("/archive", params={"words": word}))
    for answer in answers:
        assert answer.status_code == 200
        found = Tags(answer.text)
        assert [a for t, a in found.tags if t == "script" and "src" not in a] == []
        assert not [a for _, a in found.tags if any(n.startswith("on") or n == "style" for n in a)]
        for _, a in found.tags:
            assert not str(a.get("src", "")).startswith(("x", "javascript"))
            assert not str(a.get("href", "")).startswith("javascript")
    assert "49" not in Tags(page.get("/shop").text).text


def test_a_name_that_is_taken_writes_nothing_and_none_leads_elsewhere(tmp_path: Path) -> None:
    folder = folder_with(tmp_path / "pens", "heron")
    with client_of(folder) as page:
        before = {p.name: p.read_bytes() for p in folder.iterdir()}
        for name in ("heron", "../x", "a/b", "", "con", "x" * 60, "shop.toml", "shop"):
            form = {"kind": "cap", "thread": "M9x0.75", "diameter": "13", "length": "40",
                    "name": name}  # fmt: skip
            page.post("/pens", data=form)
        after = {p.name: p.read_bytes() for p in folder.iterdir()}
    assert {n: b for n, b in after.items() if n in before} == before
    new = {"x", "a-b", "pen", "pen-con", "x" * 28, "shop-toml", "pen-shop"}
    assert set(after) - set(before) == {f"{n}.toml" for n in new}
    assert [p.name for p in tmp_path.iterdir()] == ["pens"]


def test_a_remedy_is_a_button_that_mends_and_undo_takes_it_back(
    page: TestClient, folder: Path
) -> None:
    path = folder / "heron.toml"
    put(page, "parts.barrel.ends.mouth.bore.0.diameter", "10.6", "joints")
    bad = path.read_bytes()
    shown = page.get("/pens/heron/joints").text
    code = re.findall('name="code" value="([^"]*)"', shown)[0]
    answer = page.post("/pens/heron/joints/mend", data=button_of(shown, code))
    assert "Undo takes it back" in answer.text
    assert path.read_bytes() != bad
    page.post("/pens/heron/joints/undo")
    assert path.read_bytes() == bad


def test_a_hole_is_added_and_taken_out(page: TestClient, folder: Path) -> None:
    before = (folder / "heron.toml").read_bytes()
    at = {"part": "barrel", "end": "tail"}
    page.post("/pens/heron/joints/hole", data={**at, "diameter": "5", "depth": "4"})
    tree = tomllib.loads((folder / "heron.toml").read_text("utf-8"))
    assert tree["parts"]["barrel"]["ends"]["tail"]["bore"] == [{"diameter": 5.0, "depth": 4.0}]
    page.post("/pens/heron/joints/drop-hole", data={**at, "number": "0"})
    page.post("/pens/heron/joints/undo")
    page.post("/pens/heron/joints/undo")
    assert (folder / "heron.toml").read_bytes() == before


def test_the_shop_is_kept_with_its_comments(page: TestClient, folder: Path) -> None:
    path = folder / "shop.toml"
    before = path.read_text("utf-8")
    form = {"name": "Sedge", "system": "ISO 15488-25", "sizes": ["6", "8"], "taps": "M7 x 0.5",
            "lathe": "1", "tailstock": "1", "dies": ""}  # fmt: skip
    page.post("/shop", data=form)
    after = path.read_text("utf-8")
    shop = read_shop(after.encode(), "shop.toml")
    assert [float(s) for s in shop.collets[0].sizes] == [6.0, 8.0]
    assert [t.thread for t in shop.taps] == ["M7x0.5"]
    assert shop.dies == ()
    assert "# the size is on the holder" in after
    page.post("/shop/undo")
    assert path.read_text("utf-8") == before


def test_sheets_are_drawn_anew_as_svg_without_script_or_style(page: TestClient) -> None:
    answer = page.get("/pens/heron/sheet/cap-mouth-plug")
    assert answer.headers["content-type"].startswith("image/svg+xml")
    found = Tags(answer.text)
    assert not [t for t, _ in found.tags if t in ("script", "style", "foreignobject")]
    assert "NOT ISSUED" in found.text


def test_make_shows_its_progress_and_leaves_a_zip_that_another_program_opens(
    page: TestClient, folder: Path
) -> None:
    page.post("/pens/heron/make", data={"take": ["barrel-mouth-plug"]})
    for _ in range(300):
        shown = page.get("/pens/heron/order").text
        if 'hx-trigger="load' not in shown:
            break
        time.sleep(0.2)
    links = [a["href"] for t, a in Tags(shown).tags if "/orders/" in str(a.get("href"))]
    assert len(links) == 1, shown
    with zipfile.ZipFile(io.BytesIO(page.get(str(links[0])).content)) as archive:
        assert archive.testzip() is None
        assert any(n.endswith(".pdf") for n in archive.namelist())
    assert page.get("/archive").text.count("MG-0001") >= 1


@pytest.mark.usefixtures("drawn_anew")
def test_a_make_that_is_stopped_publishes_nothing(page: TestClient, folder: Path) -> None:
    page.post("/pens/heron/make", data={"take": ["barrel-mouth-plug", "cap-mouth-plug"]})
    page.post("/pens/heron/stop")
    for _ in range(200):
        shown = page.get("/pens/heron/order").text
        if 'hx-trigger="load' not in shown:
            break
        time.sleep(0.2)
    assert "stopped: nothing of it was published" in shown
    made = list((folder / "output").rglob("*.pdf")) if (folder / "output").exists() else []
    assert made == []


def test_the_start_says_by_which_end_each_part_is_held(page: TestClient) -> None:
    said = words(page.get("/").text)
    assert "barrel by the thread inside its mouth, for the section" in said
    assert "cap by the thread inside its mouth, for the barrel" in said
