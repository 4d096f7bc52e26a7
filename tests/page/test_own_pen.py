"""A maker's own pen on the page: what is pressed is what is read, a person's shop stays theirs, and
every step says the same of a mandrel in words that can be followed."""

from __future__ import annotations

import datetime
import re
import time
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from mandrelgen.assess.mandrel_remedies import _sharper
from mandrelgen.assess.words import Word
from mandrelgen.core.resources import template_path
from mandrelgen.design.plan import Hold
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.starters import starter
from tests.support.bench_page import folder_with
from tests.support.page_client import Tags, button_of, client_of, first_part, next_part, words
from tests.support.reed_pen import begun, set_box

TICKED = re.compile(r'name="take" value="([^"]+)" checked')
CHUCK = {"chuck": "taper-draw-bar", "max_speed": "2400", "nut_diameter": "42", "nut_length": "9"}
SHOP = {"lathe": "1", "name": "Sedge", "system": "ISO 15488-32", "sizes": ["10", "12", "14"],
        "tailstock": "1", **CHUCK, "taps": "M9.5x0.75", "dies": ""}  # fmt: skip


@pytest.fixture
def page(tmp_path: Path) -> Iterator[TestClient]:
    with client_of(tmp_path) as client:
        begun(client)
        yield client


def with_room(page: TestClient) -> None:
    """The threads as deep as the joints need them."""
    set_box(page, "parts.cap.ends.mouth.internal.depth", "10.1")
    set_box(page, "parts.barrel.ends.mouth.internal.depth", "10.1")


# -- what is pressed is what is read
def test_a_button_whose_words_are_not_what_it_would_do_changes_nothing(
    page: TestClient, tmp_path: Path
) -> None:
    path = tmp_path / "reed.toml"
    shown = page.get("/pens/reed/joints").text
    press = button_of(shown, "pen.bottoms")
    before = path.read_bytes()
    for said in ("bore \u2300 1", "", press["says"] + " "):
        answer = page.post("/pens/reed/joints/mend", data={**press, "says": said})
        assert path.read_bytes() == before
        assert "Nothing was changed" in words(answer.text)
    page.post("/pens/reed/joints/mend", data=press)
    assert path.read_bytes() != before


# -- my shop
@pytest.mark.parametrize("whole", ["heron", "wren", "bittern"])
def test_a_whole_pen_to_begin_with_brings_no_shop(tmp_path: Path, whole: str) -> None:
    with client_of(tmp_path) as page:
        page.post("/pens", data={"whole": whole})
        shown = words(page.get(f"/pens/{whole}/mandrels").text)
        assert [p.name for p in tmp_path.iterdir()] == [f"{whole}.toml"]
    assert "Which collets do you have?" in shown
    said = tomllib.loads((tmp_path / f"{whole}.toml").read_text("utf-8")).get("shop", {})
    assert set(said) <= {"instruments"}  # what its sizes were measured with, no lathe


def test_an_emptied_box_of_the_shop_takes_its_key_out(tmp_path: Path) -> None:
    path = tmp_path / "shop.toml"
    with client_of(tmp_path) as page:
        page.post("/shop", data=SHOP)
        full = tomllib.loads(path.read_text("utf-8"))
        page.post("/shop", data={**SHOP, **dict.fromkeys(CHUCK, ""), "name": ""})
        empty = tomllib.loads(path.read_text("utf-8"))
        shown = [a for t, a in Tags(page.get("/shop").text).tags if t == "input"]
        page.post("/shop", data={"lathe": "1", **dict.fromkeys(CHUCK, ""), "system": ""})
        none = tomllib.loads(path.read_text("utf-8"))
    assert full["collets"][0]["nut_diameter"] == 42
    assert full["lathe"] == {"chuck": "taper-draw-bar", "max_speed": 2400, "tailstock": True}
    assert empty["lathe"] == {"tailstock": True}
    assert set(empty["collets"][0]) == {"system", "sizes"}
    assert "name" not in empty
    assert [a["value"] for a in shown if a.get("name") in CHUCK] == ["", "", ""]
    assert "collets" not in none


# -- what a remedy says
def test_a_remedy_names_its_part_and_sets_depths_by_tenths(page: TestClient) -> None:
    shown = page.get("/pens/reed/joints").text
    press = button_of(shown, "pen.bottoms")
    # The tenon is 9 long and the tap leaves two pitches of 0.8 unformed at the bottom: 10.6 less
    # the tenon's chamfer, which is worn off the last turn.
    deep = re.fullmatch(r"tap the cap's mouth (\d+(?:\.\d)?) deep \(now 9\): .*", press["says"])
    assert deep, press
    assert 9.9 <= float(deep[1]) <= 10.6
    # What it leaves is said before it is pressed, not found afterwards.
    assert press["says"].endswith(
        ": mends this, leaves incomplete threads that may hold the joint open by 1.07"
    )
    assert "make the tenon of the barrel's mouth" in words(shown)
    said = press["says"].replace("(now 9)", "(was 9)")  # when it is done, it is not now any more
    assert f"Done: {said}" in words(page.post("/pens/reed/joints/mend", data=press).text)


def test_an_assumed_length_of_thread_that_decides_is_named(page: TestClient) -> None:
    said = "incomplete thread at the bottom taken as 1.6, two pitches: say yours"  # 2 × 0.8
    assert said in words(page.get("/pens/reed/joints").text)
    shown = set_box(page, "parts.cap.ends.mouth.internal.tap_lead", "1.6")
    assert said not in words(shown)


def test_a_remedy_of_nothing_is_not_offered() -> None:
    """An edge of 0.2 that would have to lose all of it: a sharp edge is no remedy."""
    end = Pen.model_validate(tomllib.loads(starter("pen", "heron").decode())).parts["cap"]
    pen = Pen.model_validate(tomllib.loads(starter("pen", "heron").decode()))
    edge = float(end.ends["mouth"].edge_break)
    hold = Hold("cap", "mouth", "internal")
    assert not list(_sharper(hold, pen, edge))
    (one,) = _sharper(hold, pen, edge - 0.1)
    assert one.changes[0].value == 0.1


# -- the same word everywhere
def made(page: TestClient, take: str) -> str:
    """The heron's order, made; its page."""
    page.post("/pens/heron/make", data={"take": [take]})
    for _ in range(300):
        shown = page.get("/pens/heron/order").text
        if 'hx-trigger="load' not in shown:
            break
        time.sleep(0.1)
    return shown


def test_what_was_asked_for_is_asked_on_every_step(tmp_path: Path) -> None:
    with client_of(folder_with(tmp_path / "pens", "heron")) as page:
        shown = made(page, "barrel-mouth-plug")
        (order,) = set(re.findall(r'name="order" value="([^"]+)"', shown))
        page.post("/pens/heron/sent", data={"order": order, "whom": "Willow Turning"})
        mandrels = page.get("/pens/heron/mandrels").text
        ordered = words(page.get("/pens/heron/order").text)
        archive = words(page.get("/archive").text)
        sheet = words(page.get("/pens/heron/sheet/barrel-mouth-plug").text)
    card = words(mandrels.partition('id="m-barrel-mouth-plug"')[2].partition("</article>")[0])
    assert "asked barrel-mouth-plug" in card
    assert "is asked (Willow Turning, since " in card
    assert "have barrel-mouth-plug" not in card
    assert "1 asked" in words(mandrels).partition("3 Mandrels")[2].partition("4 Order")[0]
    assert "Stands as: asked (Willow Turning, since " in ordered
    assert re.search(r"MG-0001 A?\W*asked", archive), archive
    assert "in preparation" not in archive
    assert "NOT ISSUED" not in sheet
    assert "MG-0001" in sheet


def test_only_what_is_to_be_ordered_is_ticked_and_what_one_makes_has_its_card(
    page: TestClient,
) -> None:
    with_room(page)
    page.post("/shop", data={**SHOP, "taps": "", "dies": "M9.5x0.75"})
    shown = page.get("/pens/reed/order").text
    ticks = {a["value"]: "checked" in a for _, a in Tags(shown).tags if a.get("name") == "take"}
    assert ticks == {"cap-mouth-plug": True, "barrel-mouth-plug": False}
    assert "To make yourself, nothing to order" in words(shown)
    # The mandrel has the cap's counter thread.
    assert (
        "You will send a test piece for each thread with the order (M13.5xPh2.4P0.8): a ring with "
        "the thread, cut with the tap that cuts it in your pen. The turner tries the mandrel with "
        "it. Your taps and dies stay with you." in words(shown)
    )
    for where in ("card/barrel-mouth-plug/pdf", "test-pieces/pdf"):
        assert f"/pens/reed/{where}" in shown
        assert page.get(f"/pens/reed/{where}").content.startswith(b"%PDF")
    assert page.get("/pens/reed/card/cap-mouth-plug/pdf").status_code == 404
    card = page.get("/pens/reed/mandrels").text.partition('id="m-barrel-mouth-plug"')[2]
    assert card.index("card/barrel-mouth-plug/pdf") < card.index("sheet/barrel-mouth-plug")
    page.post("/shop", data={**SHOP, "dies": "M9.5x0.75\nM13.5xPh2.4P0.8"})
    none = page.get("/pens/reed/order").text
    assert "There is nothing to order." in words(none)
    assert "4 Order nothing to order" in words(none)
    assert not [a for _, a in Tags(none).tags if a.get("name") == "take" and "checked" in a]


def test_a_lip_that_bursts_is_said_on_the_card_and_before_the_order(page: TestClient) -> None:
    """A cap of casting resin (30 MPa), 15.3 over its thread of 13.5."""
    with_room(page)
    for key, value in (("diameter", "15.3"), ("ends.mouth.diameter", "15.3"),
                       ("material", "casting-resin")):  # fmt: skip
        set_box(page, f"parts.cap.{key}", value, "pen")
    burst = "the pen's lip bursts over the plug: stress"
    card = page.get("/pens/reed/mandrels").text.partition('id="m-cap-mouth-plug"')[2]
    head = words(card.partition("<figure")[0])
    assert f"But it would spoil the part: {burst}" in head
    order = words(page.get("/pens/reed/order").text)
    assert f"cap-mouth-plug, which holds cap, mouth: {burst}" in order
    assert "4 Order can be ordered; look at " in order
    assert "Order ready" not in order


def test_no_card_has_a_class_that_hides_it() -> None:
    style = template_path("page/style.css").read_text("utf-8")
    hides = [r.partition("{")[0] for r in style.split("}") if "clip-path: inset" in r]
    hidden = {c for heads in hides for c in re.findall(r"[.]([a-z]+)(?=[ ,])", heads)}
    assert "hid" in hidden
    assert not hidden & {w.value for w in Word}


# -- asked in the open, in words
def test_a_day_that_is_none_is_refused_in_words_with_a_day_to_come(page: TestClient) -> None:
    with_room(page)
    data = {"wanted_by": "15 January", "take": ["cap-mouth-plug"]}
    shown = page.post("/pens/reed/make", data=data).text
    (day,) = re.findall(r"could be two: write year-month-day, as (\d{4}-\d\d-\d\d)", shown)
    assert datetime.date.fromisoformat(day) > datetime.date.today()
    assert "--" not in words(shown)
    assert 'value="15 January"' in shown


@pytest.mark.usefixtures("drawn_anew")
def test_a_day_with_its_months_name_is_read_and_shown_as_it_was_typed(page: TestClient) -> None:
    with_room(page)
    day = datetime.date.today() + datetime.timedelta(days=40)
    said = f"{day.day} {day:%B %Y}"
    data = {"wanted_by": said, "take": ["cap-mouth-plug"]}
    shown = page.post("/pens/reed/make", data=data).text
    assert f'value="{said}"' in shown
    assert "that is no day" not in words(shown)
    page.post("/pens/reed/stop")


def test_a_day_that_is_over_is_refused_with_what_is_allowed(page: TestClient) -> None:
    with_room(page)
    today = datetime.date.today()
    over = str(today - datetime.timedelta(days=1))
    whole = page.get("/pens/reed/order").text
    shown = page.post("/pens/reed/make", data={"wanted_by": over, "take": ["cap-mouth-plug"]}).text
    # What was ticked stays so, and nothing else.
    assert TICKED.findall(whole) != ["cap-mouth-plug"] == TICKED.findall(shown)
    said = words(shown)
    assert f"{over} is over: nothing can be made by then" in said
    assert re.search(r"→ \d{4}-\d\d-\d\d or a later day, or leave it out", said)
    assert f'value="{over}"' in shown
    assert "Making" not in said


def test_material_is_asked_in_the_open(page: TestClient) -> None:
    shown = page.get("/pens/reed/pen").text
    cap = shown[shown.index('id="f-parts-cap-length"') :]
    assert cap.index('id="f-parts-cap-material"') < cap.index("<details")
    assert words(cap.partition("<details")[0]).count("taken as cast acrylic: say yours") == 1


def test_what_holds_a_joint_open_is_said(page: TestClient) -> None:
    with_room(page)
    # 1.6 unformed (two pitches), less the nut's countersink.
    said = "the incomplete thread at the shoulder may hold it open by up to 1.07 mm"
    assert said in words(page.get("/pens/reed/joints").text)


def test_a_barrel_is_asked_for_the_thread_its_cap_screws_onto(tmp_path: Path) -> None:
    with client_of(tmp_path) as page:
        first_part(page, "barrel", "M9.5x0.75", 13.8, 78)
        alone = page.get("/pens/reed/joints").text
        next_part(page, "cap", "M13.5xPh2.4P0.8", 15.5, 62)
        shown = page.get("/pens/reed/joints").text
    assert re.search(
        r"<details open><summary>Add a hole or thread.*?t1-external\"", alone, re.DOTALL
    )
    asked = {str(a["href"]).partition("#")[2] for t, a in Tags(shown).tags
             if t == "a" and "#t" in str(a.get("href"))}  # fmt: skip
    assert asked == {"t1-external"}  # the barrel's mouth, for the cap
