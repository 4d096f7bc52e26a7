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
from html.parser import HTMLParser
from pathlib import Path

import httpx
import pytest
from starlette.testclient import TestClient

from mandrelgen.page.app import application
from mandrelgen.page.desk import Desk
from mandrelgen.page.gate import Door, Gate
from mandrelgen.spec.read import read_pen, read_shop
from tests.support.bench_page import folder_with


def client_of(folder: Path) -> TestClient:
    """The page in this process, through its gate."""
    door = Door(8123)
    app = Gate(application(Desk.at(folder, None)), door)
    client = TestClient(app, base_url="http://127.0.0.1:8123", raise_server_exceptions=False)
    client.cookies.set(door.cookie_name, door.cookie)
    client.headers.update({"origin": "http://127.0.0.1:8123", "sec-fetch-site": "same-origin"})
    return client


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return folder_with(tmp_path / "pens", "heron")


@pytest.fixture
def page(folder: Path) -> Iterator[TestClient]:
    with client_of(folder) as client:
        yield client


def put(page: TestClient, key: str, value: str, step: str = "pen", **more: str) -> httpx.Response:
    head = {"hx-request": "true"}
    data = {"key": key, "value": value, **more}
    return page.post(f"/pens/heron/{step}/set", data=data, headers=head)


class Tags(HTMLParser):
    """Every tag with its attributes, and the text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.text += data


def button_of(text: str, code: str) -> dict[str, str]:
    """What the first button of a finding sends."""
    sent: dict[str, str] = {}
    for _, a in Tags(text).tags:
        name, value = str(a.get("name")), str(a.get("value"))
        if name == "code":
            sent = {}
        if name in ("code", "where", "says"):
            sent[name] = value
        if name == "says" and sent["code"] == code:
            return sent
    raise AssertionError(f"no button for {code}")


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


@pytest.mark.parametrize("kind", ["cap", "barrel", "section", "finial"])
def test_one_part_one_thread_two_sizes_make_a_pen_that_the_command_reads(
    tmp_path: Path, kind: str
) -> None:
    with client_of(tmp_path) as page:
        form = {"kind": kind, "thread": "m12 x 0,8", "diameter": "14.5", "length": "60",
                "name": "Reed one"}  # fmt: skip
        answer = page.post("/pens", data=form)
        assert answer.status_code == 200
    pen = read_pen((tmp_path / "reed-one.toml").read_bytes(), "reed-one.toml")
    assert list(pen.parts) == [kind]
    assert "# taken as" in (tmp_path / "reed-one.toml").read_text("utf-8")


JOINED = "the section's rear in the barrel's mouth"


def test_a_second_part_is_screwed_to_the_first_where_its_thread_fits(tmp_path: Path) -> None:
    with client_of(tmp_path) as page:
        form = {"kind": "barrel", "thread": "M9x0.75", "diameter": "13", "length": "80",
                "name": "reed"}  # fmt: skip
        page.post("/pens", data=form)
        more = {"kind": "section", "thread": "M9x0.75", "diameter": "11", "length": "28"}
        page.post("/pens/reed/pen/part", data=more)
        assert JOINED in Tags(page.get("/pens/reed/joints").text).text


def test_a_thread_that_is_added_screws_into_its_counterpart(tmp_path: Path) -> None:
    """A cap, then a barrel with its own thread for the section; the cap's thread is cut on the
    barrel afterwards. Another hand, pitch or number of starts is no counterpart."""
    with client_of(tmp_path) as page:
        cap = {"kind": "cap", "thread": "M12.5x0.75 3 starts", "diameter": "14.5", "length": "60",
               "name": "reed"}  # fmt: skip
        page.post("/pens", data=cap)
        barrel = {"kind": "barrel", "thread": "M10x0.75", "diameter": "13.5", "length": "75"}
        page.post("/pens/reed/pen/part", data=barrel)
        for thread, joined in (
            ("M12.5x0.75", False),
            ("12.5 x 0.75 3 starts LH", False),
            ("12.5 x 0.75 3 starts", True),
        ):  # fmt: skip
            row = {"part": "barrel", "end": "mouth", "side": "external", "reach": "10"}
            page.post("/pens/reed/joints/thread", data=row | {"thread": thread})
            shown = Tags(page.get("/pens/reed/joints").text).text
            assert ("the barrel's mouth in the cap's mouth" in shown) is joined
            if not joined:
                page.post("/pens/reed/joints/undo")


def test_a_name_that_is_taken_or_leads_elsewhere_writes_nothing(tmp_path: Path) -> None:
    with client_of(folder_with(tmp_path, "heron")) as page:
        before = {p.name: p.read_bytes() for p in tmp_path.iterdir()}
        for name in ("heron", "../x", "a/b", "", "con", "x" * 60, "shop.toml"):
            form = {"kind": "cap", "thread": "M9x0.75", "diameter": "13", "length": "40",
                    "name": name}  # fmt: skip
            page.post("/pens", data=form)
        assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == before


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


def test_threads_left_apart_are_told_with_a_button_and_no_step_says_ready(tmp_path: Path) -> None:
    with client_of(tmp_path) as page:
        form = {"kind": "cap", "thread": "M12x0.8", "diameter": "14.5", "length": "60",
                "name": "reed"}  # fmt: skip
        page.post("/pens", data=form)
        more = {"kind": "section", "thread": "M11x0.75", "diameter": "16", "length": "40"}
        page.post("/pens/reed/pen/part", data=more)
        key = "parts.section.ends.rear.external.thread"
        shown = page.post("/pens/reed/joints/set", data={"key": key, "value": "M12x0.8"}).text
        steps = " ".join(Tags(shown).text.split())
        assert "1 pair not joined" in steps
        assert "join the threads first" in steps
        assert "screw the section's rear into the cap's mouth" in steps
        mend = button_of(shown, "pen.not_joined")
        done = " ".join(Tags(page.post("/pens/reed/joints/mend", data=mend).text).text.split())
        assert "the section's rear in the cap's mouth" in done
        assert "not joined" not in done


def test_a_joint_that_does_not_close_is_not_counted_as_closed(tmp_path: Path) -> None:
    with client_of(tmp_path) as page:
        form = {"kind": "barrel", "thread": "M9x0.75", "diameter": "13", "length": "80",
                "name": "reed"}  # fmt: skip
        page.post("/pens", data=form)
        more = {"kind": "section", "thread": "M9x0.75", "diameter": "11", "length": "28"}
        page.post("/pens/reed/pen/part", data=more)
        text = page.get("/pens/reed/joints").text
        shown = " ".join(Tags(text).text.split())
        assert "Joints and holes 1 of 1 does not close" in shown
        assert "does not close" in shown.partition("Thread of joint 1")[2]
        mend = button_of(text, "pen.shoulder")
        done = page.post("/pens/reed/joints/mend", data=mend).text
        shown = " ".join(Tags(done).text.split())
        assert "Joints and holes closes" in shown
        assert "does not close" not in shown


def test_what_the_page_put_in_is_said_as_taken_until_the_person_says_it(tmp_path: Path) -> None:
    """The small form asks for neither a tapped depth nor the outside at the mouth."""
    with client_of(tmp_path) as page:
        form = {"kind": "cap", "thread": "M12x0.8", "diameter": "14.5", "length": "60",
                "name": "reed"}  # fmt: skip
        page.post("/pens", data=form)
        depth = "parts.cap.ends.mouth.internal.depth"
        for step, key, took in (
            ("joints", depth, "9"), ("pen", "parts.cap.ends.mouth.diameter", "14.5"),
        ):  # fmt: skip
            found = Tags(page.get(f"/pens/reed/{step}").text)
            box = next(a for t, a in found.tags if t == "input" and a.get("data-key") == key)
            assert box["value"] == ""
            assert box["data-taken"] == took
            assert f"taken as {took}: say yours" in found.text
        found = Tags(page.post("/pens/reed/joints/set", data={"key": depth, "value": "9"}).text)
        box = next(a for t, a in found.tags if t == "input" and a.get("data-key") == depth)
        assert box["value"] == "9"
        assert "taken as 9" not in found.text
        page.post("/pens/reed/joints/undo")
        assert "taken as 9: say yours" in Tags(page.get("/pens/reed/joints").text).text
        text = (tmp_path / "reed.toml").read_text("utf-8")
        assert "depth = 9.0" in text


def test_the_start_says_by_which_end_each_part_is_held(page: TestClient) -> None:
    words = " ".join(Tags(page.get("/").text).text.split())
    assert "barrel by the thread inside its mouth, for the section" in words
    assert "cap by the thread inside its mouth, for the barrel" in words


@pytest.mark.parametrize("written_out", [True, False])
def test_the_other_end_of_a_part_takes_holes_and_threads_too(
    tmp_path: Path, written_out: bool
) -> None:
    """The small form speaks of one end: a cap's crown is tapped for its finial all the same."""
    with client_of(tmp_path) as page:
        form = {"kind": "cap", "thread": "M12x0.8", "diameter": "14.5", "length": "60",
                "name": "reed"}  # fmt: skip
        page.post("/pens", data=form)
        if not written_out:  # keys of one table, dotted
            path = tmp_path / "reed.toml"
            head = path.read_text("utf-8").split("[parts.cap.ends")[0]
            path.write_text(
                head + 'ends.mouth.internal = { thread = "M12x0.8", depth = 9 }\n', "utf-8"
            )
        finial = {"kind": "finial", "thread": "M7x0.5", "diameter": "11", "length": "9"}
        page.post("/pens/reed/pen/part", data=finial)
        assert "cap, crown" in Tags(page.get("/pens/reed/joints").text).text
        at = {"part": "cap", "end": "crown"}
        page.post("/pens/reed/joints/hole", data={**at, "diameter": "6.5", "depth": "10"})
        row = {**at, "side": "internal", "thread": "M7x0.5", "reach": "8"}
        done = Tags(page.post("/pens/reed/joints/thread", data=row).text).text
        assert "the finial's root in the cap's crown" in done
        pen = read_pen((tmp_path / "reed.toml").read_bytes(), "reed.toml")
        crown = pen.parts["cap"].ends["crown"]
        assert crown.internal is not None
        assert [float(b.diameter) for b in crown.bore] == [6.5]
        for end in ("mouth2", "../x", "", "top"):
            answer = page.post("/pens/reed/joints/hole", data={
                "part": "cap", "end": end, "diameter": "5", "depth": "4"})  # fmt: skip
            assert answer.status_code == 404
