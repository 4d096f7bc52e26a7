"""What is booked on the page with its day: sent, ordered, arrived; how the archive tells it, and
how many are on their way."""

from __future__ import annotations

import datetime
import re
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from mandrelgen.archive.events import events_of
from mandrelgen.archive.root import open_root
from mandrelgen.archive.states import State
from mandrelgen.workflows import booking
from mandrelgen.workflows.booking import Said
from tests.page.test_order_again import make, sections, ticked
from tests.support.killing import without_drawings
from tests.support.page_client import client_of, values, words

ORDER, ARRIVED = "/pens/heron/order", "/pens/heron/arrived"
TODAY = datetime.date.today()
LATER = str(TODAY + datetime.timedelta(days=90))


def before(days: int) -> str:
    return str(TODAY - datetime.timedelta(days=days))


@pytest.fixture
def page(folder: Path, monkeypatch: pytest.MonkeyPatch) -> TestClient:
    without_drawings(monkeypatch)
    return client_of(folder)


def sent(page: TestClient, on: str = "", *take: str) -> str:
    """The heron's mandrels made and sent to the mill; the order's id."""
    text = make(page, *(take or ticked(page.get(ORDER).text)))
    order = next(iter(sections(text)))
    page.post("/pens/heron/sent", data={"order": order, "whom": "the mill", "on": on})
    return order


def answered(page: TestClient, order: str, on: str = "", **more: str) -> str:
    data = {"order": order, "state": "ordered", "on": on, **more}
    return page.post("/pens/heron/answered", data=data).text


def booked(folder: Path, number: str = "MG-0001") -> list[tuple[str, str]]:
    """Kind and day of every state booked."""
    found = events_of(open_root(folder / "output"), number)
    return [(e.kind.value, e.date) for e in found if e.kind.value in list(State)]


def in_words(day: str) -> str:
    said = datetime.date.fromisoformat(day)
    return f"{said.day} {said:%B %Y}"


def history(page: TestClient, piece: str) -> list[str]:
    text = page.get(f"/archive/{piece}").text
    section = text.partition("<h2>Its history</h2>")[2].partition("</section>")[0]
    return [words(row) for row in re.findall(r"<li>(.*?)</li>", section)]


def test_each_state_is_booked_on_the_day_that_was_said_in_any_spelling(
    page: TestClient, folder: Path
) -> None:
    order = sent(page, before(30))
    text = answered(page, order, in_words(before(20)))
    assert f"since {before(20)}" in text
    day = datetime.date.fromisoformat(before(3))
    text = page.post(f"{ARRIVED}/came?piece=MG-0001-A", data={"on": f"{day:%d.%m.%Y}"}).text
    assert f"Booked: MG-0001 A arrived on {before(3)}." in text
    days = [("asked", before(30)), ("ordered", before(20)), ("arrived", before(3))]
    assert booked(folder) == days
    assert booked(folder, "MG-0002") == days[:2]


def test_a_day_that_is_not_said_is_today(page: TestClient, folder: Path) -> None:
    order = sent(page)
    assert f'name="on" value="" placeholder="{TODAY}"' in page.get(ORDER).text
    answered(page, order)
    assert f'name="on" value="" placeholder="{TODAY}"' in page.get(ARRIVED).text
    page.post(f"{ARRIVED}/came?piece=MG-0001-A", data={})
    days = [("asked", str(TODAY)), ("ordered", str(TODAY)), ("arrived", str(TODAY))]
    assert booked(folder) == days


WRONG = (
    ("last week", "that is no day, or could be two"),
    ("2/3/2026", "that is no day, or could be two"),
    (str(TODAY + datetime.timedelta(days=1)), "is still to come → give the day it happened"),
    (before(11), f"{before(11)} is before {before(10)}, when it was asked → give a later day"),
)


@pytest.mark.parametrize(("typed", "says"), WRONG)
def test_a_day_that_cannot_be_the_orders_is_refused_at_its_box_and_nothing_is_booked(
    page: TestClient, folder: Path, typed: str, says: str
) -> None:
    order = sent(page, before(10))
    text = answered(page, order, typed, price="48 EUR", promised=LATER)
    box = text.partition(f'<label for="on-{order}"')[2].partition("</div>")[0]
    assert says in words(box)
    assert words(box).count(says) == 1  # three mandrels, one reason
    assert "data-refused" in box
    kept = values(text)
    assert (kept[f"on-{order}"], kept[f"price-{order}"]) == (typed, "48 EUR")
    assert text.count("data-refused") == 1
    assert booked(folder) == [("asked", before(10))]


@pytest.mark.parametrize(
    ("typed", "says"), [*WRONG[:3], (before(6), f"is before {before(5)}, when it was ordered")]
)
def test_a_day_on_which_it_cannot_have_arrived_is_refused_at_its_box(
    page: TestClient, folder: Path, typed: str, says: str
) -> None:
    answered(page, sent(page, before(10)), before(5))
    text = page.post(f"{ARRIVED}/came?piece=MG-0002-A", data={"on": typed}).text
    box = text.partition('<label for="came-on"')[2].partition("</div>")[0]
    assert says in words(box)
    assert values(text)["came-on"] == typed
    assert text.count("data-refused") == 1
    assert [s for s, _ in booked(folder, "MG-0002")] == ["asked", "ordered"]


def test_a_day_of_sending_that_is_refused_keeps_the_name_beside_it(
    page: TestClient, folder: Path
) -> None:
    order = sent(page, "soon")
    data = {"order": order, "whom": "the mill", "on": "soon"}
    text = page.post("/pens/heron/sent", data=data).text
    kept = values(text)
    assert (kept[f"whom-{order}"], kept[f"sent-on-{order}"]) == ("the mill", "soon")
    assert booked(folder) == []
    text = page.post("/pens/heron/sent", data={"order": order, "whom": " ", "on": before(1)}).text
    assert values(text)[f"sent-on-{order}"] == before(1)
    assert "whom was it asked of?" in words(text)


def test_what_is_promised_before_the_day_of_the_order_is_refused_at_its_own_box(
    page: TestClient, folder: Path
) -> None:
    order = sent(page, before(10))
    text = answered(page, order, before(5), promised=before(6))
    box = text.partition(f'<label for="promised-{order}"')[2].partition("</div>")[0]
    assert f"{before(6)} is before {before(5)}" in words(box)
    text = answered(page, order, before(5), promised="some day")
    box = text.partition(f'<label for="promised-{order}"')[2].partition("</div>")[0]
    assert "that is no day" in words(box)
    assert values(text)[f"on-{order}"] == before(5)
    answered(page, order, before(5), promised=before(4))
    assert booked(folder)[-1] == ("ordered", before(5))


def test_only_what_can_arrive_is_asked_when_it_arrived(page: TestClient, folder: Path) -> None:
    order = sent(page)
    assert 'id="came-on"' not in page.get(ARRIVED).text  # asked, not ordered
    answered(page, order)
    assert 'id="came-on"' in page.get(ARRIVED).text
    page.post(f"{ARRIVED}/came?piece=MG-0001-A")
    assert 'id="came-on"' not in page.get(f"{ARRIVED}?piece=MG-0001-A").text
    assert 'id="came-on"' in page.get(f"{ARRIVED}?piece=MG-0003-A").text


def test_the_history_tells_who_at_what_price_for_the_whole_order_and_promised_for_when(
    page: TestClient, folder: Path
) -> None:
    order = sent(page, before(30))
    page.post("/pens/heron/answered", data={"order": order, "state": "quoted", "on": before(25),
                                            "price": "148,50 EUR"})  # fmt: skip
    answered(page, order, before(20), promised=LATER)
    page.post(f"{ARRIVED}/came?piece=MG-0001-A", data={"on": before(2)})
    price = "148.50 EUR for the whole order"
    assert history(page, "MG-0001-A") == [
        "designed",
        f"asked, {before(30)}, the mill",
        f"quoted, {before(25)}, the mill, {price}",
        f"ordered, {before(20)}, the mill, {price}, promised for {LATER}",
        f"arrived, {before(2)}, made by the mill",
    ]
    assert history(page, "MG-0003-A")[3].endswith(f"{price}, promised for {LATER}")


def test_the_history_of_a_second_order_has_its_own_shop_and_price(
    page: TestClient, folder: Path
) -> None:
    answered(page, sent(page, before(30)), before(20), price="148.50 EUR", promised=LATER)
    booking.book(folder / "output", "MG-0001", "arrived", before(10), Said())
    text = make(page, "cap-mouth-plug")
    order = next(iter(sections(text)))
    data = {"order": order, "whom": "the forge", "on": before(8)}
    page.post("/pens/heron/sent", data=data)
    answered(page, order, before(7))
    assert history(page, "MG-0001-A")[-2:] == [
        f"asked, {before(8)}, the forge", f"ordered, {before(7)}, the forge",
    ]  # fmt: skip
    # A price said of one mandrel is its own; a lead time counts from the order.
    said = Said(price="50 EUR", lead=28)
    booking.book(folder / "output", "MG-0001", "ordered", before(6), said)
    due = datetime.date.fromisoformat(before(6)) + datetime.timedelta(days=28)
    told = f"ordered, {before(6)}, the forge, 50.00 EUR, promised for {due}"
    assert history(page, "MG-0001-A")[-1] == told


def step(page: TestClient) -> str:
    """The state of the step *Arrived*."""
    text = page.get(ORDER).text
    found = re.search(r"<b>Arrived</b> <small>(.*?)</small>", text)
    return found[1] if found else ""


HAND = {**{f"screws.{n}": "yes" for n in (1, 2, 3)}, "seats": "4", "clamps": "yes"}


def check(page: TestClient, piece: str, shank: str) -> None:
    for key, value in {**HAND, "shank.diameter": shank}.items():
        page.post(f"{ARRIVED}/answer?piece={piece}", data={"key": key, "value": value})
    page.post(f"{ARRIVED}/keep?piece={piece}")


def test_what_is_checked_and_ordered_once_more_is_on_its_way(
    page: TestClient, folder: Path
) -> None:
    order = sent(page, "", "cap-mouth-plug")
    assert step(page) == "nothing has come yet"
    answered(page, order)
    assert step(page) == "1 on its way"
    page.post(f"{ARRIVED}/came?piece=MG-0001-A")
    assert step(page) == "1 to check"
    check(page, "MG-0001-A", "13.98")
    assert step(page) == "all checked"
    order = sent(page, "", "cap-mouth-plug")
    assert step(page) == "all checked"  # asked: nobody makes it yet
    answered(page, order)
    assert step(page) == "all checked; 1 more on its way"
    page.post(f"{ARRIVED}/came?piece=MG-0001-A")
    assert step(page) == "1 to check"
    check(page, "MG-0001-A", "13.97")
    assert step(page) == "all checked"
    # A check that says by itself that the next has come.
    answered(page, sent(page, "", "cap-mouth-plug"))
    check(page, "MG-0001-A", "13.99")
    assert step(page) == "all checked"
