"""The order on the page: what stays to be seen after it was made and sent, whose name stands where,
and what a later change of the pen means for what was asked for."""

from __future__ import annotations

import datetime
import re
import threading
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from mandrelgen.page import pens
from mandrelgen.page.runs import MakeRun
from mandrelgen.workflows import booking
from mandrelgen.workflows.booking import Said
from tests.support.archived import publish_pen
from tests.support.killing import without_drawings
from tests.support.page_client import client_of, words

ORDER = "/pens/heron/order"
DAY = str(datetime.date.today() + datetime.timedelta(days=90))
"""A day that is not over, whenever this runs."""


def ended(page: TestClient) -> None:
    """The run that makes, to its end."""
    run = page.app.app.state.desk.runs["heron"]  # type: ignore[attr-defined]
    assert isinstance(run, MakeRun)
    assert run.thread is not None
    run.thread.join(120)


def test_after_making_and_sending_nothing_contradicts_itself_and_the_test_pieces_stay(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    without_drawings(monkeypatch)
    shop = folder / "shop.toml"
    shop.write_text(re.sub(r"(?m)^name = .*\n", "", shop.read_text()))
    with client_of(folder) as page:
        text = page.get(ORDER).text
        takes = re.findall(r'name="take" value="([^"]+)" checked', text)
        assert "You will send a test piece for each thread with the order (" in text
        assert "it signs the e-mail" in text
        page.post("/pens/heron/make", data={"take": takes, "wanted_by": DAY})
        ended(page)
        text = page.get(ORDER).text
        assert f'name="wanted_by" value="{DAY}"' in text
        (written,) = (folder / "output/orders").glob("*/order.json")
        assert DAY in written.read_text("utf-8")
        order = re.findall(r'name="order" value="([^"]+)"', text)[0]
        text = page.post("/pens/heron/sent", data={"order": order, "whom": "the mill"}).text
        assert "Nothing yet." not in text
        assert "Nothing is left to make" in text
        assert "Card of the test pieces" in text
        assert page.get("/pens/heron/test-pieces/pdf").content[:5] == b"%PDF-"
        assert "Stands as: asked (the mill, since" in text
        answered = "/pens/heron/answered"
        wrong = {"order": order, "state": "quoted", "price": "dear", "promised": DAY}
        text = page.post(answered, data=wrong).text
        assert "is no price" in text.split('name="price"')[1].split('name="promised"')[0]
        assert f'name="promised" maxlength="60" autocomplete="off" value="{DAY}"' in text
        text = page.post(answered, data={**wrong, "price": "48,50 EUR", "promised": "soon"}).text
        assert "that is no day" in text.split('name="promised"')[1]
        text = page.post(answered, data={**wrong, "price": "48,50 EUR"}).text
        told = rf"quoted \(the mill, since [-0-9]+, 48.50 EUR, promised for {DAY}"
        assert re.search(f"Stands as: {told}", text)
        for bad in ({"state": "in-use"}, {"order": "../x"}):
            assert page.post(answered, data={**wrong, **bad}).status_code == 404
        text = page.post(answered, data={"order": order, "state": "ordered"}).text
        assert "Booked as ordered." in text
        assert "Stands as: ordered (the mill, since" in text
        assert "I have ordered it" not in text
        assert page.post(answered, data={"order": order, "state": "ordered"}).status_code == 404
        for state in ("arrived", "in-use"):
            booking.book(folder / "output", order, state, None, Said())
        assert "is in use (made by the mill, since" in page.get("/pens/heron/mandrels").text


def test_the_order_is_ready_then_made_then_asked_and_a_changed_pen_needs_its_papers_anew(
    folder: Path,
) -> None:
    """Of the heron's three mandrels to order, two hold its M8.5 thread, and all a shank of 14."""
    pen, made = folder / "heron.toml", "made, not sent yet"
    was = pen.read_text()
    with client_of(folder) as page:

        def order(old: str = "", new: str = "") -> str:
            pen.write_text(was.replace(old, new) if old else was)
            return words(page.get(ORDER).text).partition("4 Order ")[2].partition(" 5 ")[0]

        assert order() == "ready"
        publish_pen(folder / "output", "heron")
        assert order() == made
        assert order("M8.5x0.75", "M8.5x0.5").startswith(f"1 of 3 {made}; look at ")
        shank = "[mandrels.defaults]\nshank_diameter = 12.0"
        assert order("# [mandrels.defaults]", shank) == "ready"
        for number in ("MG-0001", "MG-0002", "MG-0003", "MG-0004"):
            assert order() == made
            booking.book(folder / "output", number, "asked", "2026-06-01", Said(whom="the mill"))
        assert order() == "asked"


def test_a_name_is_asked_once_and_an_e_mail_without_one_says_so(folder: Path) -> None:
    shop = folder / "shop.toml"
    shop.write_text(re.sub(r"(?m)^name = .*\n", "", shop.read_text()))
    with client_of(folder) as page:
        takes = re.findall(r'name="take" value="([^"]+)" checked', page.get(ORDER).text)
        page.post("/pens/heron/make", data={"take": takes[:1]})
        ended(page)
        assert "This e-mail ends without your name" in page.get(ORDER).text
        page.post("/shop", data={"name": "Reed & Rush", "back": "heron/order"})
        text = page.get(ORDER).text
        assert "it signs the e-mail" not in text
        assert "This e-mail ends without your name" in text  # it was written before
    assert 'name = "Reed & Rush"' in shop.read_text()


def test_what_my_shop_does_not_list_is_not_called_unowned(folder: Path) -> None:
    """The maker cuts the pen's thread with a tap of their own; a die for it is another tool."""
    with client_of(folder) as page:
        page.post("/shop", data={"taps": "", "dies": "M20x1"})
        mandrels = page.get("/pens/heron/mandrels").text
        order = page.get(ORDER).text
    assert "no die for M8.5x0.75 is listed under" in mandrels
    assert "no tap for M8.5x0.75 is listed under" in mandrels  # for the section's cup
    assert "you have no" not in mandrels
    assert "(M12xPh2.4P0.8, M8.5x0.75): a ring with the thread, cut with the tap" in order
    assert "or a stud with the thread, cut with the die that cuts it on your pen." in order


def test_many_pens_on_a_thread_wear_out_a_mandrel_of_ones_own_in_plain_words(folder: Path) -> None:
    pen = folder / "heron.toml"
    pen.write_text(pen.read_text() + "\n[mandrels.defaults]\npens = 25\n")
    with client_of(folder) as page:
        text = page.get("/pens/heron/mandrels").text
    assert "25 pens on this thread: a mandrel you cut yourself is worn out after about 5" in text


def changed(folder: Path, *texts: tuple[str, str], state: str = "asked") -> str:
    """The mandrels' page after MG-0001 was asked for and the pen's file was changed."""
    publish_pen(folder / "output", "heron")
    booking.book(folder / "output", "MG-0001", state, "2026-06-01", Said(whom="the mill"))
    pen = folder / "heron.toml"
    with client_of(folder) as page:
        assert "MG-0001 A for this end" not in page.get("/pens/heron/mandrels").text
        for old, new in texts:
            assert old in pen.read_text()
            pen.write_text(pen.read_text().replace(old, new))
        return page.get("/pens/heron/mandrels").text


def test_a_change_after_asking_is_said_at_the_mandrel_that_was_asked_for(folder: Path) -> None:
    """Heron's cap thread opened from M12 to M12.5: its plug is another one."""
    text = changed(folder, ("M12xPh2.4P0.8", "M12.5xPh2.4P0.8"), ("= 12.4, depth", "= 12.6, depth"))
    assert "MG-0001 A for this end is asked since 2026-06-01" in text
    why = "its thread is M12xPh2.4P0.8-6f, the part&#39;s M12.5xPh2.4P0.8-6H"
    assert f"MG-0001 A does not hold the part any more ({why}): tell the turner before" in text


@pytest.mark.parametrize(("state", "here"), [("ordered", False), ("arrived", True),
                                             ("in-use", True)])  # fmt: skip
def test_what_is_made_is_not_to_be_told_to_the_turner_before_it_is_cut(
    folder: Path, state: str, here: bool
) -> None:
    text = changed(folder, ("M12xPh2.4P0.8", "M12.5xPh2.4P0.8"), ("= 12.4, depth", "= 12.6, depth"),
                   state=state)  # fmt: skip
    assert ("before it is cut" in text) is not here
    assert ("and it is made: this end needs another one" in text) is here


def test_another_shank_after_asking_still_holds_and_says_so(folder: Path) -> None:
    """Asked for with a shank of 14: one of 12 is wished for since."""
    wish = "[mandrels.defaults]\nshank_diameter = 12.0"
    text = changed(folder, ("# [mandrels.defaults]", wish))
    assert "shank: diameter 12 instead of 14" in text
    assert "MG-0001 A would still hold the part" in text


def test_the_shank_that_was_asked_for_can_be_kept_with_one_press(folder: Path) -> None:
    """With the shank of 14 again all three are the very ones that were asked for."""
    changed(folder, ("# [mandrels.defaults]", "[mandrels.defaults]\nshank_diameter = 12.0"))
    with client_of(folder) as page:
        way = {"mandrel": "cap-mouth-plug", "kind": "shank", "end": ""}
        shown = page.get("/pens/heron/ways/cap-mouth-plug").text
        assert "Keep the shank of ⌀14, as it was asked for" in shown
        text = page.post("/pens/heron/mandrels/take", data=way).text
    assert "MG-0001 A for this end" not in text
    assert "MG-0001 A, made for this very end, is asked (the mill, since 2026-06-01)" in text
    assert "shank_diameter = 14" in (folder / "heron.toml").read_text()


def test_a_run_that_ends_while_its_page_is_put_together_is_asked_for_once_more(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its order was not in the archive yet when the page looked."""
    run = MakeRun(file=folder / "heron.toml", archive=folder / "output", ending=threading.Event())

    def none_yet(*_: object) -> list[dict[str, object]]:
        run.done = run.good = True
        return []

    with client_of(folder) as page:
        page.app.app.state.desk.runs["heron"] = run  # type: ignore[attr-defined]
        monkeypatch.setattr(pens, "orders", none_yet)
        assert 'hx-trigger="load' in page.get(ORDER).text
        assert 'hx-trigger="load' not in page.get(ORDER).text
