"""What goes back and what is asked first: a shank by what the collets clamp, a thread by what the
drawing's note says of it."""

from __future__ import annotations

from pathlib import Path

import pytest

from mandrelgen.spec.shop import Shop
from mandrelgen.workflows.receive_home import (
    Answered,
    Case,
    HomeVerdict,
    book_home,
    home_form,
    judge_home,
    judged,
)
from mandrelgen.workshop.receipt.home_answers import Answer
from mandrelgen.workshop.turning.acceptance import LIMITS, rule_of
from tests.paper.test_sheet_ink import EVERY
from tests.support.home_answers import DAY, GOOD


def shop_with(folder: Path, collets: str) -> Path:
    """A shop file with these collets and a micrometer of 0.004."""
    path = folder / "shop.toml"
    path.write_text(f'schema = 1\n{collets}\n[instruments.micrometer]\nkind = "micrometer"\n'
                    'uncertainty = 0.004\n[instruments.caliper]\nkind = "caliper"\n')  # fmt: skip
    return path


def set_of(*sizes: float) -> str:
    return f'[[collets]]\nsystem = "ER25"\nsizes = [{", ".join(f"{s:g}" for s in sizes)}]'


BY_HALF = '[[collets]]\nsystem = "own"\nlength = 34\ncloses = 0.5\nsizes = [14, 14.5, 15]'


@pytest.mark.parametrize(
    ("collets", "read", "wanted", "part"),
    [
        # ISO 15488: a collet clamps from its size down by 1; the shank of ⌀14 h9 goes to 14.000.
        (set_of(13, 14), "14.10@caliper", "send back", "clamps ⌀13 to 14 and only closes"),
        (set_of(13, 14, 15), "14.10@caliper", "use it", "15, which clamps ⌀14 to 15; not the 14"),
        (set_of(13, 14, 16), "14.10@caliper", "send back", "no larger one on the shelf"),
        (set_of(13, 14), "14.02@micrometer", "send back", "clamps ⌀13 to 14 and only closes"),
        (set_of(13, 14), "14.005@micrometer", "rework", "clamps ⌀13 to 14 and only closes"),
        (set_of(13, 14), "13.90@micrometer", "use it", "no harm: my collet ER25"),
        (set_of(13, 14), "14.01@caliper", "use it", "speaks against it"),  # not proved too large
        (BY_HALF, "14.10@caliper", "use it", "own, 14.5, which clamps ⌀14 to 14.5; not the 14"),
        (BY_HALF, "13.40@micrometer", "use it", "goes in and is clamped"),
        ("", "14.10@caliper", "send back", "a collet of 14 only closes"),
    ],
)  # fmt: skip
def test_a_shank_is_judged_by_what_the_collets_on_the_shelf_clamp(
    heron: Path, tmp_path: Path, collets: str, read: str, wanted: str, part: str
) -> None:
    shop = shop_with(tmp_path, collets)
    answers = {**GOOD, "shank.diameter": read}
    found = judge_home(heron, "MG-0001", answers, DAY, shop)
    assert found.word == wanted
    assert part in found.reason
    assert ("Can you put it right: take 0.12 off ⌀14.1" in found.sentence) is (
        wanted == "send back" and "14.10" in read
    )


NONE = {f"screws.{n}": "no" for n in (1, 2, 3)}


def test_a_thread_that_does_not_go_is_asked_about_while_nothing_shows_it_outside(
    heron: Path,
) -> None:
    """The note of the heron's thread: GO ring or test piece; within the limits the customer's
    risk."""
    found = judge_home(heron, "MG-0001", NONE, DAY)
    assert found.word == "not yet"
    major, pitch = found.decision.to_try
    assert "thread major diameter (balloon 16, " in major
    assert "thread pitch diameter (balloon 17, " in pitch
    assert "wires or a thread micrometer" in pitch
    assert found.reason.startswith("Still to find out: thread major diameter")
    assert "nothing shows it outside its limits yet" in found.reason
    assert "does not screw home is the customer's risk. What did you read" in found.sentence
    assert "make it as drawn" not in found.sentence
    [finding] = [f for f in found.findings if f.code == "received.ask"]
    assert "thread pitch diameter" in finding.remedy


def test_it_goes_back_once_a_reading_shows_it_outside_and_not_while_it_reads_within(
    heron: Path,
) -> None:
    out = judge_home(heron, "MG-0001", {**NONE, "thread.pitch_diameter": "fail@report"}, DAY)
    assert out.word == "send back"
    assert "fails by report" in out.sentence
    assert out.sentence.count("Please make it as drawn, or replace it.") == 1
    size = {"thread.major_diameter": "11.9@caliper", "thread.pitch_diameter": "pass@ring-gauge"}
    within = judge_home(heron, "MG-0001", {**NONE, **size}, DAY)
    assert within.word == "not yet"
    assert within.decision.to_try[0].startswith("another part or test piece")
    assert "I read it within its limits" in within.sentence


def test_it_is_kept_and_asked_and_no_state_says_that_it_went_back(archive: Path) -> None:
    found = book_home(archive, "MG-0001", NONE, DAY)
    assert found.states == ()
    assert found.event == "received"


def test_what_does_not_go_into_the_collet_is_measured_first(heron: Path) -> None:
    found = judge_home(heron, "MG-0001", {"clamps": "no"}, DAY)
    assert found.word == "not yet"
    [left] = found.decision.to_try
    assert left.startswith("shank: diameter (balloon 2, 13.957 to 14), which decides: micrometer")
    assert "By the drawing the limits decide. What did you read for shank" in found.sentence


def test_what_another_collet_clamps_is_tried_in_that_one(heron: Path) -> None:
    found = judge_home(heron, "MG-0001", {"clamps": "no", "shank.diameter": "14.1@caliper"}, DAY)
    assert found.word == "not yet"
    [left] = found.decision.to_try
    assert left == "the shank in my collet ER25 (ISO 15488-25), 15, which clamps ⌀14 to 15"
    assert found.sentence == ""


def alone(name: str, **answers: str) -> HomeVerdict:
    """The word on a starter's mandrel, in a bare shop."""
    case = Case(EVERY[name], Shop.model_validate({"schema": 1}), "not asked", "MG-0001 A")
    given = tuple(Answer(k, v) for k, v in answers.items())
    return judged(case, Answered(given), DAY)


def test_the_letter_says_of_each_thread_what_its_drawing_says() -> None:
    told = {
        name: rule_of(m.threads[0], m) for name, m in EVERY.items() if m.threads and "-" in name
    }
    assert {r.judge for r in told.values()} > {LIMITS}
    for name, rule in told.items():
        m = EVERY[name]
        no = {f"screws.{n + 1}": "no" for n in range(m.threads[0].form.starts)}
        found = alone(name, **no)
        if m.threads[0].order == "my-tool":
            assert (found.word, rule.binds) == ("rework", "")  # brass, with the maker's own die
        elif rule.judge == "test piece":
            assert found.word == "send back"
            assert "the customer's test piece decides; if you find the piece" in found.sentence
            assert "make it as drawn" in found.sentence
        else:
            assert found.word == "not yet"
            assert f"{rule.binds}. What did you read" in found.sentence
        risk = "customer's risk"
        assert (risk in found.sentence) is (risk in rule.supply)


@pytest.mark.parametrize("loose", ["1", "3"])
def test_a_loose_face_is_never_said_to_bear(heron: Path, loose: str) -> None:
    found = judge_home(heron, "MG-0001", {"seats": loose, "rocks": "no"}, DAY)
    said = {t.id: t.shows for t in found.tests}
    assert said["rocks"] == "tightened it does not rock"
    assert "loose at" in said["seats"]
    assert not any("bears" in s for s in said.values())


def test_another_start_is_asked_only_of_a_thread_that_has_one(heron: Path, bittern: Path) -> None:
    asked = {
        folder: home_form(folder, "MG-0001").question("seats.follows")
        for folder in (heron, bittern)
    }
    texts = {folder: q.text for folder, q in asked.items() if q is not None}
    assert "in another start, or with another piece" in texts[heron]
    assert "another start" not in texts[bittern]
    assert "with another piece" in texts[bittern]
