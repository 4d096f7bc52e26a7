"""What arrived: answers taken back, what they leave nothing to ask, what stands out already, what
is folded away for want of an instrument; and the sentence to the turner after it was kept."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from tests.page.arrived.test_arrived import AT, balloon, by_hand, grade, say

FOLLOWS = 'data-q="seats.follows"'


def picked(text: str, key: str) -> str:
    """The choice of a question that is marked."""
    box = text.split(f'data-q="{key}"')[1].split("</fieldset>")[0]
    [found] = re.findall(r'value="([^"]*)" checked', box)
    return str(found)


def verdict(text: str) -> str:
    return text.split('class="verdict ')[1].split("</section>")[0]


def instruments(folder: Path, *kinds: str) -> None:
    """The shop with these instruments alone."""
    path = folder / "shop.toml"
    head, _, rest = path.read_text().partition("[instruments.caliper]")
    own = "".join(f'[instruments.{k}]\nkind = "{k}"\n' for k in kinds)
    path.write_text(f"{head}{own}[lathe]{rest.split('[lathe]')[1]}")


@pytest.mark.parametrize("key", ["clamps", "screws.1", "seats", "rocks"])
def test_every_choice_can_be_taken_back_to_not_tried(page: TestClient, key: str) -> None:
    assert picked(page.get(AT).text, key) == ""
    value = "4" if key == "seats" else "yes"
    text = say(page, key, value)
    assert picked(text, key) == value
    text = say(page, key, "")
    assert picked(text, key) == ""
    assert grade(text, key) == ""
    assert 'class="verdict' not in text  # as if nothing had been answered


def test_what_contradicts_is_taken_back_and_the_check_can_be_kept_again(page: TestClient) -> None:
    say(page, "seats", "4")
    say(page, "rocks", "no")
    for n in (1, 2, 3):
        text = say(page, f"screws.{n}", "no")
    assert grade(text, "seats") == grade(text, "rocks") == "bad"
    assert "what was not tried has no answer" in text
    assert "<form" not in verdict(text)
    say(page, "seats", "")
    text = say(page, "rocks", "")
    assert "contradicts" not in text
    assert "Keep the readings so far" in verdict(text)


def test_whose_place_is_loose_is_asked_while_one_is_and_the_answer_goes_with_the_question(
    page: TestClient,
) -> None:
    assert FOLLOWS not in page.get(AT).text
    assert FOLLOWS in say(page, "seats", "3")
    text = say(page, "seats.follows", "part")
    assert picked(text, "seats.follows") == "part"
    text = say(page, "seats", "4")
    assert FOLLOWS not in text
    assert "contradicts" not in text
    assert grade(text, "seats") == "half"
    say(page, "seats", "2")
    say(page, "seats.follows", "mandrel")
    text = say(page, "seats", "")
    assert "how many places hold is missing" not in text
    assert picked(say(page, "seats", "1"), "seats.follows") == ""


def test_a_choice_that_was_kept_is_not_called_untried(page: TestClient) -> None:
    assert "as kept" not in page.get(AT).text
    by_hand(page)
    text = page.post(f"{AT}/keep?piece=MG-0001-A").text
    box = text.split('data-q="seats"')[1].split("</fieldset>")[0]
    assert "as kept" in box
    assert "not tried" not in box


def test_the_sentence_to_the_turner_stays_after_it_was_kept_here_and_in_the_archive(
    page: TestClient,
) -> None:
    for n in (1, 2, 3):
        say(page, f"screws.{n}", "no")
    text = say(page, "thread.major_diameter", "12.1", "caliper")
    said = text.split('id="sentence"')[1].split(">", 1)[1].split("</textarea>")[0]
    assert "I read 12.1" in said
    here = page.post(f"{AT}/keep?piece=MG-0001-A").text
    assert "booked as sent back" in here
    for text in (here, page.get("/archive/MG-0001-A").text):
        kept = text.split('class="kept"')[1].split("</section>")[0]
        assert f'<textarea id="sentence-1" readonly rows="4">{said}</textarea>' in kept
        assert 'data-copy="sentence-1"' in kept
        assert "To the turner" in kept
    page.post(f"{AT}/again?piece=MG-0001-A")
    text = page.get(f"{AT}?piece=MG-0001-A").text
    assert text.count(said) == 1  # the word says it already


def test_what_stands_out_is_said_before_what_is_still_to_try(page: TestClient) -> None:
    """The collar is 13.5 to 13.6."""
    text = verdict(say(page, "collar.diameter", "13.3", "caliper"))
    assert text.startswith('open"')
    assert '<span class="word">not yet</span>' in text
    found = text.index("Balloon 8: collar: diameter, 13.5 to 13.6: I read 13.3 ± 0.03 (caliper)")
    assert found < text.index("Still to try")
    assert "no harm: the use hangs on the thread, the locating face and the shank." in text


def test_a_crest_that_no_part_goes_over_is_doubted_with_the_test_and_either_can_be_taken_back(
    page: TestClient,
) -> None:
    by_hand(page)
    text = say(page, "thread.major_diameter", "12.3", "caliper")
    assert grade(text, "thread.major_diameter") == "bad"
    assert [grade(text, f"screws.{n}") for n in (1, 2, 3)] == ["bad"] * 3
    assert '<span class="word">not yet</span>' in verdict(text)
    assert "<form" not in verdict(text)
    assert "measure it again, and try again whether it screws on" in text
    text = say(page, "thread.major_diameter", "", "caliper")
    assert "Keep the check: use it" in verdict(text)
    text = say(page, "thread.major_diameter", "12.03", "caliper")  # a part may be as deep
    assert "Keep the check: use it" in verdict(text)


def folds(text: str) -> list[tuple[str, str]]:
    """Each fold of the form: how it is opened and what it says."""
    form = text.split('class="form"')[1].split('id="word"')[0]
    return re.findall(r"<details( open)?><summary>([^<]*)</summary>", form)


def test_what_needs_an_instrument_that_the_shop_lacks_is_folded_away_until_it_is_answered(
    page: TestClient, folder: Path
) -> None:
    """Heron's cap: four run-outs, the shake and the pin's own."""
    instruments(folder, "caliper")
    text = page.get(AT).text
    [(opened, says), more] = folds(text)
    assert (opened, says) == ("", "With an indicator: 6 more")
    assert more == ("", "Every other size")
    away = text.split(says)[1].split("</details>")[0]
    keys = re.findall(r'data-q="([^"]*)"', away)
    assert keys == [
        "shake", "runout.seat.1", "runout.seat.2", "runout.thread.1", "runout.thread.2", "collet"
    ]  # fmt: skip
    assert "Put one mark on the collet" in away
    assert 'data-q="clamps"' not in away
    text = say(page, "shake", "0.08")
    assert folds(text)[0] == (" open", "With an indicator: 6 more")
    assert grade(text, "shake") == "half"


@pytest.mark.parametrize(
    ("kinds", "says"),
    [
        ((), "Every other size"), (("caliper", "indicator", "pins"), "Every other size"),
        (("caliper", "indicator"), "With pins: 2 more"),
        (("caliper",), "With an indicator or pins: 8 more"),
    ],
)  # fmt: skip
def test_only_what_an_owned_instrument_does_is_asked_straight_away(
    page: TestClient, folder: Path, kinds: tuple[str, ...], says: str
) -> None:
    """Heron's fourth, a cup: the counterbore and the minor diameter are tried with pins."""
    instruments(folder, *kinds)
    text = page.get(f"{AT}?piece=MG-0004-A").text
    assert folds(text)[0] == ("", says)


def test_limits_stand_on_a_line_of_their_own_and_say_what_they_are(page: TestClient) -> None:
    text = say(page, "collar.diameter", "13.3", "caliper")
    box = text.split('id="q-collar-diameter-says"')[1].split("</p>")[0]
    assert "<b>does not conform</b>" in box
    assert '<span class="taken limits">Limits: 13.5 to 13.6</span>' in box


def test_the_coarsest_instrument_that_decides_is_named(page: TestClient) -> None:
    """13.5 to 13.6, a micrometer reckoned with 0.01: 13.52 is 0.02 inside, 13.505 only 0.005."""
    text = say(page, "collar.diameter", "13.52", "caliper")
    assert grade(text, "collar.diameter") == "open"
    assert "what would decide: micrometer reading 0.01 <" in text.replace("</", " <")
    text = say(page, "collar.diameter", "13.505", "caliper")
    assert "what would decide: micrometer reading 0.001" in text
    assert balloon(text, "collar.diameter") == "open"
