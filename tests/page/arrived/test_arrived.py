"""What arrived: every answer is judged at once by the rule of ``receive --home``, stays until it is
kept, can be taken back, and its word is booked."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path

import httpx
import pytest
from click.testing import CliRunner
from starlette.testclient import TestClient

from mandrelgen.archive import events, root, states
from mandrelgen.archive.states import State
from mandrelgen.cli.app import main
from mandrelgen.workflows import receive_home
from tests.support.archived import publish_pen
from tests.support.bench_page import folder_with
from tests.support.killing import without_drawings
from tests.support.page_client import Tags, client_of

AT = "/pens/heron/arrived"


def say(page: TestClient, key: str, value: str, also: str = "") -> str:
    """The page after an answer."""
    data = {"key": key, "value": value, "also": also}
    answer: httpx.Response = page.post(f"{AT}/answer?piece=MG-0001-A", data=data)
    assert answer.status_code == 200
    return answer.text


HAND = {**{f"screws.{n}": "yes" for n in (1, 2, 3)}, "seats": "4", "clamps": "yes"}
"""What decides without an indicator."""


def by_hand(page: TestClient) -> str:
    """The page after everything that decides without an indicator."""
    text = ""
    for key, value in HAND.items():
        text = say(page, key, value)
    return text


def grade(text: str, key: str) -> str:
    found = re.search(rf'<div class="answer ([^"]*)"[^>]*data-q="{re.escape(key)}"', text)
    assert found, key
    return found[1].strip()


def balloon(text: str, id: str) -> str:
    """The mark of a balloon on the drawing."""
    found = re.search(rf'class="balloon ?([a-z]*)" data-balloon="{re.escape(id)}"', text)
    assert found, id
    return found[1]


def test_each_reading_is_judged_at_once_as_the_command_judges_it(
    page: TestClient, folder: Path
) -> None:
    form = receive_home.home_form(folder / "output", "MG-0001")
    size = next(q for q in form.questions if q.id == "shank.diameter")
    low, high = (float(x) for x in re.findall(r"\d+\.?\d*", size.note))
    for value, wanted in (((low + high) / 2, "good"), (high + 0.3, "bad"), (high, "open")):
        verdict = receive_home.judge_home(
            folder / "output", "MG-0001", {size.id: f"{value:.3f}"}, "2026-06-01"
        )
        text = say(page, size.id, f"{value:.3f}")
        assert grade(text, size.id) == wanted, value
        assert f'<span class="word">{verdict.word}</span>' in text
        assert re.search(rf'class="balloon {wanted}" data-balloon="shank.diameter"', text)


def test_answers_stay_over_a_reload_and_can_be_taken_back_and_given_again(
    page: TestClient, folder: Path
) -> None:
    say(page, "shank.diameter", "13.98")
    with client_of(folder) as other:
        assert 'value="13.98"' in other.get(AT).text
        assert 'value="13.98"' not in other.post(f"{AT}/undo?piece=MG-0001-A").text
        assert 'value="13.98"' in other.post(f"{AT}/redo?piece=MG-0001-A").text


def test_what_is_no_answer_is_told_beside_its_box_and_the_others_are_judged(
    page: TestClient,
) -> None:
    say(page, "shank.diameter", "13.98")
    text = say(page, "seats", "7")
    assert "0 to 4" in text
    assert grade(text, "seats") == "bad"
    assert grade(text, "shank.diameter") == "good"


def test_one_run_out_alone_asks_for_the_other_and_both_give_the_mandrels_share(
    page: TestClient,
) -> None:
    text = say(page, "runout.seat.1", "0.03", "90")
    assert "turn the mandrel half round" in text
    text = say(page, "runout.seat.2", "0.02", "270")
    assert "the mandrel&#39;s share is" in text
    assert 'value="0.03"' in text
    assert 'value="90"' in text


ALONE = "amounts alone cannot tell a mandrel that leans from a collet that runs out"


def test_where_a_run_out_is_highest_is_asked_and_an_amount_alone_says_what_it_cannot_tell(
    page: TestClient,
) -> None:
    """|a − b| / 2 and (a + b) / 2 bound the mandrel's share: by hand, 0.005 to 0.025."""
    text = page.get(AT).text
    assert text.count("It stands highest at") == 4
    assert "may stay empty" not in text
    assert text.index("Both times: the mandrel") < text.index('data-q="runout.seat.1"')
    assert ALONE not in text
    by_hand(page)
    for n in (1, 2):
        say(page, f"runout.thread.{n}", "0.01", "90")
    assert ALONE in say(page, "runout.seat.1", "0.03")
    text = say(page, "runout.seat.2", "0.02")
    share = text.partition("share is ")[2].partition("±")[0].strip()
    assert share == "0.005 to 0.025"
    assert grade(text, "runout.seat.1") == "open"
    assert text.count(ALONE) == 3  # at both boxes, and in the word's reason
    assert "one test is not decided" in text
    assert 'class="verdict open"' in text
    assert "not decided, run-out on the locating face, along the axis:" in text
    say(page, "runout.seat.1", "0.03", "90")
    text = say(page, "runout.seat.2", "0.02", "90")
    assert ALONE not in text
    assert grade(text, "runout.seat.1") == "good"  # half of 0.03 − 0.02
    assert "not decided" not in text.split('class="marks"')[1].split("</ul>", 1)[1]
    assert 'class="verdict good"' in text


def test_a_direction_typed_before_its_amount_stays_and_the_amount_is_asked_for(
    page: TestClient,
) -> None:
    text = say(page, "runout.seat.1", "", "90")
    assert 'value="90"' in text
    assert grade(text, "runout.seat.1") == "bad"
    assert "total reading in mm" in text


def test_the_word_is_kept_and_booked_and_the_command_line_sees_it(
    page: TestClient, folder: Path
) -> None:
    say(page, "shank.diameter", "13.98", "micrometer")
    text = by_hand(page)
    assert 'class="verdict open"' in text  # what is not known is not green
    assert "Keep the check: use it, run-out not known" in text
    text = page.post(f"{AT}/keep?piece=MG-0001-A").text
    assert "booked as" in text
    assert "in use" in text
    rows = {t.strip() for t in re.findall(r"<(?:td|th)[^>]*>([^<]*)<", text)}
    assert {"shank: diameter", "13.98 ± 0.004, micrometer", "conforms", "yes, yes, yes"} <= rows
    assert "use it, run-out not known" in text.split('class="kept"')[1]
    archive = root.open_root(folder / "output")
    assert states.state_of(archive, events.current(archive, "MG-0001")) is State.IN_USE
    assert 'value="13.98"' not in page.get(f"{AT}?piece=MG-0001-A").text


def test_before_a_part_was_on_it_nothing_is_green_and_no_button_says_use_it(
    page: TestClient, folder: Path
) -> None:
    for key, value, also in (("shank.diameter", "13.99", "caliper"), ("clamps", "yes", "")):
        text = say(page, key, value, also)
        verdict = text.split('class="verdict ')[1].split("</section>")[0]
        assert verdict.startswith('"')
        assert '<span class="word">not yet</span>' in verdict
        assert "screws on by hand up to the locating face, in every start" in verdict
        assert "use it" not in verdict
        assert "Keep the readings so far" in verdict
    text = page.post(f"{AT}/keep?piece=MG-0001-A").text
    assert "Kept so far" in text
    assert "1 to check" in text  # a check that was begun is none that is done
    assert 'value="13.99"' in text  # the rest is typed beside it
    archive = root.open_root(folder / "output")
    assert states.state_of(archive, events.current(archive, "MG-0001")) is State.ARRIVED


def test_the_instrument_is_chosen_beside_each_reading(page: TestClient) -> None:
    """13.98 in ⌀14 h9 (0/−0.043): a caliper's 0.03 never decides it, the collet does; a micrometer
    decides the size too."""
    text = page.get(AT).text
    assert re.search(r'<select id="q-shank-diameter-t".*?</select>', text, re.DOTALL)
    assert ", with caliper" not in text
    text = say(page, "shank.diameter", "", "micrometer")
    assert grade(text, "shank.diameter") == ""  # chosen before it was read
    text = say(page, "shank.diameter", "13.98", "caliper")
    assert grade(text, "shank.diameter") == "noted"
    assert "<b>noted</b>: the collet decides; no size needed" in text
    assert "never decides" not in text
    assert balloon(text, "shank.diameter") == ""
    text = say(page, "clamps", "yes")
    assert grade(text, "shank.diameter") == "noted"
    assert balloon(text, "shank.diameter") == "half"
    text = say(page, "clamps", "no")  # now its size is asked for
    assert grade(text, "shank.diameter") == "open"
    assert "± 0.03 never decides limits 0.043 apart; what would decide: micrometer" in text
    assert balloon(text, "shank.diameter") == "bad"
    say(page, "clamps", "yes")
    text = say(page, "shank.diameter", "13.98", "micrometer")
    assert grade(text, "shank.diameter") == "good"
    assert re.search(r'<option value="micrometer" selected>', text)


def test_which_instruments_are_owned_is_asked_once_and_kept_in_the_shop(
    page: TestClient, folder: Path
) -> None:
    shop = folder / "shop.toml"
    head = shop.read_text().split("[instruments.caliper]")[0]
    shop.write_text(head)
    asked = "Which of these do you own?"
    assert asked in page.get(AT).text
    sent = {"instruments_asked": "1", "instruments": ["caliper", "indicator"],
            "back": "heron/arrived"}  # fmt: skip
    assert page.post("/shop", data=sent, follow_redirects=False).status_code == 303
    kept = tomllib.loads(shop.read_text())["instruments"]
    assert {name: i["kind"] for name, i in kept.items()} == {
        "caliper": "caliper", "indicator": "indicator"
    }  # fmt: skip
    text = page.get(AT).text
    assert asked not in text
    assert "run-out on the crest of the thread" in by_hand(page)  # with an indicator it is read
    shop_page = page.get("/shop").text
    assert re.search(r'value="indicator" checked', shop_page)
    assert not re.search(r'value="micrometer" checked', shop_page)


def test_what_is_missing_is_named_as_its_box_is(page: TestClient) -> None:
    by_hand(page)
    text = say(page, "runout.seat.1", "0.03", "90")
    assert 'class="verdict good"' not in text
    verdict = text.split('class="verdict ')[1].split("</section>")[0]
    assert "<button" not in verdict  # first mended, then kept
    assert "Run-out on the locating face, along the axis, mandrel turned half round" in verdict
    text = page.post(f"{AT}/keep?piece=MG-0001-A").text
    fault = text.split('class="faults"')[1].split("</div>")[0]
    assert "runout.seat" not in fault
    assert "Run-out on the locating face, along the axis, mandrel turned half round" in fault


def test_a_bad_one_has_its_sentence_to_the_turner_and_is_asked_about_before(
    page: TestClient,
) -> None:
    for n in (1, 2, 3):
        text = say(page, f"screws.{n}", "no")
    assert '<span class="word">not yet</span>' in text
    verdict = text.split('class="verdict ')[1].split("</section>")[0]
    assert verdict.startswith('open"')
    assert "Find out first" in verdict
    assert "nothing shows it outside its limits yet" in verdict
    sentence = text.split('id="sentence"')[1].split("</textarea>")[0]
    assert "MG-0001 A" in sentence
    assert "What did you read for thread major diameter" in sentence
    text = say(page, "thread.major_diameter", "12.1", "caliper")
    assert '<span class="word">send back</span>' in text
    assert "thread major diameter, 11.812 to 11.962: I read 12.1" in text


@pytest.mark.parametrize("piece", ["", "MG-9999-A", "../../x", "MG-0001", "MG-0001-B"])
def test_a_piece_that_there_is_none_takes_no_answer(page: TestClient, piece: str) -> None:
    for way in ("answer", "keep", "undo"):
        got = page.post(f"{AT}/{way}", params={"piece": piece}, data={"key": "x", "value": "1"})
        assert got.status_code == 404


def test_only_a_box_of_the_form_takes_an_answer(page: TestClient) -> None:
    data = {"key": "no.such", "value": "1"}
    assert page.post(f"{AT}/answer?piece=MG-0001-A", data=data).status_code == 404


def test_no_answer_becomes_markup(page: TestClient) -> None:
    text = say(page, "shank.diameter", "\"><script>x</script><img src=x onerror='y'>")
    tags = Tags(text).tags
    assert not any(
        a.get("onerror") or (t == "script" and not (a.get("src") or "").startswith("/assets/"))
        for t, a in tags
    )


def test_an_order_that_was_sent_counts_as_asked_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    without_drawings(monkeypatch)
    folder = folder_with(tmp_path / "pens", "heron")
    args = ["make", str(folder / "heron.toml"), "--to", str(folder / "output"), "--workers", "1"]
    done = CliRunner().invoke(main, args)
    assert done.exit_code == 0, done.output
    with client_of(folder) as page:
        text = page.get("/pens/heron/order").text
        order = re.findall(r'name="order" value="([^"]+)"', text)[0]
        assert "I have sent this" in text
        empty = page.post("/pens/heron/sent", data={"order": order, "whom": " "})
        assert "whom was it asked of" in empty.text
        text = page.post("/pens/heron/sent", data={"order": order, "whom": "K. Tern"}).text
        assert "Stands as: asked" in text
        wrong = page.post("/pens/heron/sent", data={"order": "../x", "whom": "K. Tern"})
        assert wrong.status_code == 404
    done = CliRunner().invoke(main, ["orders", str(folder / "output"), "--json"])
    assert [o["state"] for o in json.loads(done.stdout)["orders"]] == ["asked"]
    assert ", K. Tern" in (folder / "output" / "START-HERE.html").read_text("utf-8")


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("M12x0.8", True), ("M12x0.8 three starts", True), ("cap M12 three starts", True),
        ("M12xPh2.4P0.8", True), ("12 x 0,8 mm 3 starts", True), ("heron M12×0.8", True),
        ("M12x0.8 two starts", False), ("M12.5x0.8", False), ("barrel M12x0.8 ebony", False),
    ],
)  # fmt: skip
def test_the_archive_finds_a_thread_in_any_spelling_and_a_row_opens_the_fixture(
    page: TestClient, typed: str, found: bool
) -> None:
    """Heron's cap: M12 of three starts, 0.8 apart (the starter's own words)."""
    text = page.get("/archive", params={"words": typed}).text
    assert ('href="/archive/MG-0001-A"' in text) is found


def test_a_row_of_the_archive_shows_the_drawing_the_states_and_what_was_kept(
    page: TestClient,
) -> None:
    by_hand(page)
    page.post(f"{AT}/keep?piece=MG-0001-A")
    text = page.get("/archive/MG-0001-A").text
    assert 'data-balloon="shank.diameter"' in text  # drawn again
    assert re.search(r"in use, \d{4}-\d\d-\d\d", text)
    assert "yes, yes, yes" in text
    assert "use it, run-out not known" in text
    for other in ("MG-9999-A", "MG-0001-Z", "x", "..%2Fx-A"):
        assert page.get(f"/archive/{other}").status_code == 404


def test_a_fixture_leads_to_the_file_that_is_of_its_pen_whatever_it_is_called(
    tmp_path: Path,
) -> None:
    """Two pens whose files were renamed: the heron's is marsh.toml, the wren's heron.toml."""
    folder = folder_with(tmp_path / "pens", "heron", "wren")
    publish_pen(folder / "output", "heron")
    (folder / "heron.toml").rename(folder / "marsh.toml")
    (folder / "wren.toml").rename(folder / "heron.toml")
    with client_of(folder) as page:
        text = page.get("/archive/MG-0001-A").text
        assert 'href="/pens/marsh/arrived?piece=MG-0001-A"' in text
        assert "/pens/heron/arrived" not in text
