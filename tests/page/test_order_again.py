"""A second order on the page: of what was sent back and of what is had, each order booked by
itself; the order in writing; what was typed beside the name."""

from __future__ import annotations

import datetime
import json
import re
from pathlib import Path

import jsonschema
import pytest
from starlette.testclient import TestClient

from mandrelgen.core.resources import template_path
from mandrelgen.page.runs import MakeRun
from mandrelgen.workflows import booking
from mandrelgen.workflows.booking import Said
from tests.support.killing import without_drawings
from tests.support.page_client import client_of, words

ORDER, MANDRELS = "/pens/heron/order", "/pens/heron/mandrels"
DAY = str(datetime.date.today() + datetime.timedelta(days=90))
LATER = str(datetime.date.today() + datetime.timedelta(days=120))


def make(page: TestClient, *take: str, day: str = "") -> str:
    """Press "Make", and wait; the step as it is then."""
    page.post("/pens/heron/make", data={"take": list(take), "wanted_by": day})
    run = page.app.app.state.desk.runs["heron"]  # type: ignore[attr-defined]
    assert isinstance(run, MakeRun)
    assert run.thread is not None
    run.thread.join(120)
    return page.get(ORDER).text


def sections(text: str) -> dict[str, str]:
    """What stands at each order, by its id, newest first."""
    found = re.findall(r'<section class="sent".*?</section>', text, re.DOTALL)
    return {m[1]: s for s in found if (m := re.search(r"<h2>Order of \S+: (\S+)</h2>", s))}


def ticked(text: str) -> list[str]:
    return re.findall(r'name="take" value="([^"]+)" checked', text)


def step(text: str) -> str:
    """The state of the order's step."""
    return words(text).partition("4 Order ")[2].partition(" 5 ")[0]


@pytest.fixture
def page(folder: Path, monkeypatch: pytest.MonkeyPatch) -> TestClient:
    without_drawings(monkeypatch)
    return client_of(folder)


def first_order(page: TestClient, folder: Path, *states: str) -> str:
    """All of the heron's made, sent, ordered at 148.50 EUR; then MG-0002 booked on."""
    text = make(page, *ticked(page.get(ORDER).text), day=DAY)
    (order,) = sections(text)
    page.post("/pens/heron/sent", data={"order": order, "whom": "the mill"})
    page.post(
        "/pens/heron/answered",
        data={"order": order, "state": "ordered", "price": "148.50 EUR", "promised": DAY},
    )
    for state in states:
        booking.book(folder / "output", "MG-0002", state, None, Said())
    return order


def test_what_was_sent_back_is_at_the_turners_and_nothing_is_ticked_to_be_paid_twice(
    page: TestClient, folder: Path
) -> None:
    first_order(page, folder, "arrived", "sent-back")
    card = words(page.get(MANDRELS).text)
    assert "sent back barrel-mouth-plugMG-0002 A, made for this very end, is sent back" in card
    assert "at the turner's (made by the mill, since" in card
    text = page.get(ORDER).text
    assert ticked(text) == []
    assert 'name="take" value="barrel-mouth-plug"' in text
    assert "tick it to order it new instead" in text
    assert f'name="wanted_by" value="{DAY}"' not in text
    assert "sent back" in step(text)
    drawn = page.get("/pens/heron/sheet/barrel-mouth-plug").text
    assert "NOT ISSUED" not in drawn
    assert "MG-0002" in drawn


def test_what_was_sent_back_can_be_ordered_new_and_each_order_is_booked_by_itself(
    page: TestClient, folder: Path
) -> None:
    old = first_order(page, folder, "arrived", "sent-back")
    text = make(page, "barrel-mouth-plug", day=LATER)
    new, second = sections(text)
    assert second == old
    assert step(text).startswith("1 more order made, not sent yet")
    at = sections(text)
    assert "MG-0002 A: Plug mandrel for barrel, M8.5x0.75-6g, 1 off" in words(at[new])
    assert "I have sent this" in at[new]
    assert 'name="whom" required maxlength="80" autocomplete="off" value="the mill"' in at[new]
    assert "Stands as" not in at[new]
    assert "148.50" not in at[new]
    assert "MG-0002 A: sent back (made by the mill" in words(at[old])
    text = page.post("/pens/heron/sent", data={"order": new, "whom": "the forge"}).text
    assert "Booked as asked for" in text
    at = sections(text)
    assert "Stands as: asked (the forge, since" in words(at[new])
    assert "148.50" not in at[new]
    assert "MG-0002 A: sent back (made by the mill" in words(at[old])
    told = {"order": new, "state": "ordered", "price": "61 EUR", "promised": LATER}
    text = page.post("/pens/heron/answered", data=told).text
    at = sections(text)
    assert f"61.00 EUR, promised for {LATER}" in at[new]
    assert "61.00" not in at[old]
    assert "MG-0001 A, MG-0003 A: ordered (the mill" in words(at[old])
    assert "is sent back; another is ordered (the forge" in words(page.get(MANDRELS).text)


def test_another_one_of_what_is_had_is_ordered_from_the_archive_or_its_card(
    page: TestClient, folder: Path
) -> None:
    old = first_order(page, folder, "arrived", "in-use")
    assert "/pens/heron/order?another=MG-0002" in page.get("/archive/MG-0002-A").text
    assert "Order another" not in page.get("/archive/MG-0001-A").text  # it is on its way
    assert page.get(MANDRELS).text.count("/pens/heron/order?another=") == 1
    form = page.get(f"{ORDER}?another=MG-0002").text
    assert "Another MG-0002" in form
    assert 'name="wanted_by" value=""' in form
    assert re.findall(r'name="take" value="([^"]+)"', form) == ["barrel-mouth-plug"]
    assert "MG-0001 cannot be ordered once more" in page.get(f"{ORDER}?another=MG-0001").text
    at = sections(make(page, "barrel-mouth-plug"))
    new, second = at
    assert second == old
    assert f'href="/pens/heron/orders/{new}"' in at[new]
    asked = {o: (folder / "output/orders" / o / "request.pdf").read_text("utf-8") for o in at}
    assert "MG-0002 A (" in asked[new]
    assert "was made to this drawing before and taken into use" in asked[new]
    assert "before" not in asked[old]
    page.post("/pens/heron/sent", data={"order": new, "whom": "the mill"})
    page.post("/pens/heron/answered", data={"order": new, "state": "declined"})
    card = words(page.get(MANDRELS).text)
    assert "have barrel-mouth-plugMG-0002 A, made for this very end, is in use; another is" in card
    # Who declined is not the last one to be asked.
    assert "I have sent this" in sections(page.get(ORDER).text)[new]


def test_the_very_same_order_once_more_is_a_new_one(page: TestClient, folder: Path) -> None:
    ids = []
    for _ in range(3):
        text = make(page, "barrel-mouth-plug")
        new = next(iter(sections(text)))
        assert next(iter(sections(make(page, "barrel-mouth-plug")))) == new  # pressed twice
        ids.append(new)
        page.post("/pens/heron/sent", data={"order": new, "whom": "the mill"})
        page.post("/pens/heron/answered", data={"order": new, "state": "ordered"})
        booking.book(folder / "output", "MG-0001", "arrived", None, Said())
        booking.book(folder / "output", "MG-0001", "in-use", None, Said())
    assert len(set(ids)) == 3
    judge = json.loads(template_path("schema/order.schema.json").read_text("utf-8"))
    for place in (folder / "output/orders").glob("*/order.json"):
        jsonschema.validate(json.loads(place.read_text("utf-8")), judge)
    assert list(sections(page.get(ORDER).text)) == ids[::-1]
    found = booking.standing(folder / "output", "heron")
    assert [s.state.value for s in found] == ["in-use"] * 3


def test_no_other_way_is_offered_for_what_is_had(page: TestClient, folder: Path) -> None:
    first_order(page, folder, "arrived", "in-use")
    assert "Take this" not in page.get("/pens/heron/ways/barrel-mouth-plug").text
    assert "Take this" in page.get("/pens/heron/ways/cap-mouth-plug").text


def test_the_order_stands_in_writing_once_a_price_was_said_with_what_was_booked(
    page: TestClient, folder: Path
) -> None:
    shop = folder / "shop.toml"
    shop.write_text(re.sub(r"(?m)^name = .*\n", "", shop.read_text()) + "\n")
    text = make(page, *ticked(page.get(ORDER).text), day=DAY)
    (order,) = sections(text)

    def written(text: str) -> str:
        found = re.search(r'<textarea id="order-[^>]*>(.*?)</textarea>', text, re.DOTALL)
        return " ".join(found[1].split()) if found else ""

    text = page.post("/pens/heron/sent", data={"order": order, "whom": "the mill"}).text
    assert written(text) == ""
    answer = {"order": order, "state": "quoted", "price": "148,50 EUR"}
    text = written(page.post("/pens/heron/answered", data=answer).text)
    assert f"Subject: Order {order}" in text
    assert "Price as agreed: 148.50 EUR for all of it." in text
    assert f"Required by {DAY}." in text
    answer = {"order": order, "state": "ordered", "promised": LATER}
    text = written(page.post("/pens/heron/answered", data=answer).text)
    assert "Price as agreed: 148.50 EUR for all of it." in text
    assert f"Delivery as agreed: {LATER}." in text
    assert "1. MG-0001 A: Plug mandrel for cap, M12xPh2.4P0.8-6f" in text
    released = "This order releases the drawings MG-0001 A, MG-0002 A and MG-0003 A, in these"
    assert f"{released} revisions and no other." in text
    assert "A test piece for each thread, " in text
    assert len(re.findall(r", 1 off", text)) == 3
    # What has come meanwhile was ordered for the same price.
    booking.book(folder / "output", "MG-0001", "arrived", None, Said())
    assert written(page.get(ORDER).text) == text
    # One price for all says nothing of one's own.
    booking.book(folder / "output", "MG-0002", "ordered", None, Said(price="50 EUR"))
    assert "Price as agreed: MG-0002 A 50.00 EUR." in written(page.get(ORDER).text)


def test_the_name_is_kept_and_what_was_typed_beside_it_stays(
    page: TestClient, folder: Path
) -> None:
    shop = folder / "shop.toml"
    shop.write_text(re.sub(r"(?m)^name = .*\n", "", shop.read_text()))
    one = ticked(page.get(ORDER).text)[:1]
    typed = {"name": "Reed & Rush", "wanted_by": DAY, "take": one}
    text = page.post("/pens/heron/name", data=typed).text
    assert "Kept: Reed &amp; Rush." in text
    assert f'name="wanted_by" value="{DAY}"' in text
    assert ticked(text) == one
    assert 'name = "Reed & Rush"' in shop.read_text()
    assert "it signs the e-mail" not in text


def test_a_name_that_was_typed_and_not_kept_signs_what_is_made(
    page: TestClient, folder: Path
) -> None:
    shop = folder / "shop.toml"
    shop.write_text(re.sub(r"(?m)^name = .*\n", "", shop.read_text()))
    page.post("/pens/heron/make", data={"take": "cap-mouth-plug", "name": "Reed & Rush"})
    assert 'name = "Reed & Rush"' in shop.read_text()
