"""What arrived, tried at home: what is kept and booked of it, and the command that does it."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from mandrelgen.archive import events, root
from mandrelgen.archive.reading_history import mandrel_as_made
from mandrelgen.archive.states import State, state_of
from mandrelgen.archive.verify import verify
from mandrelgen.cli.app import main
from mandrelgen.core.errors import InputError
from mandrelgen.spec.read import read_shop
from mandrelgen.spec.starters import starter
from mandrelgen.workflows import booking
from mandrelgen.workflows.kept import answers, kept
from mandrelgen.workflows.receive_home import book_home, judge_home
from tests.support.home_answers import DAY, GOOD, HAND


def test_what_is_not_yet_tried_is_kept_books_no_use_and_counts_when_the_rest_is_tried(
    archive: Path,
) -> None:
    store = root.open_root(archive)
    first = book_home(archive, "MG-0001", {k: HAND[k] for k in ("clamps", "seats")}, DAY)
    assert (first.word, first.states) == ("not yet", ())
    assert state_of(store, events.current(store, "MG-0001")) is State.ARRIVED
    rest = {k: v for k, v in HAND.items() if k.startswith("screws")}
    assert book_home(archive, "MG-0001", rest, "2026-06-02").word == "use it, run-out not known"


def test_booked_in_use_and_the_same_call_again_writes_nothing(archive: Path) -> None:
    store = root.open_root(archive)
    booking.book(archive, "MG-0001", "ordered", "2026-05-01", booking.Said())
    found = book_home(archive, "MG-0001", GOOD, DAY)
    assert (found.event, found.states) == ("received", ("in-use",))
    assert state_of(store, events.current(store, "MG-0001")) is State.IN_USE
    count = len(events.events_of(store, "MG-0001"))
    again = book_home(archive, "MG-0001", GOOD, DAY)
    assert again.states == ()
    assert len(events.events_of(store, "MG-0001")) == count
    assert not verify(store)


def test_a_rework_is_booked_when_it_is_tried_again(bittern: Path, tmp_path: Path) -> None:
    archive = tmp_path / "a"
    shutil.copytree(bittern, archive)
    store = root.open_root(archive)
    first = book_home(archive, "MG-0001", {"collar.diameter": "11.10@micrometer"}, DAY)
    assert (first.word, first.states) == ("rework", ())
    assert state_of(store, events.current(store, "MG-0001")) is State.ARRIVED
    good = {"collar.diameter": "11.00@micrometer", "screws.1": "yes"}
    again = book_home(archive, "MG-0001", good, "2026-06-02")
    assert (again.word, again.states) == ("not yet", ("reworked",))
    last = book_home(archive, "MG-0001", {"seats": "4", "clamps": "yes"}, "2026-06-03")
    assert (last.word, last.states) == ("use it, run-out not known", ("in-use",))


def test_one_that_went_back_arrives_again(archive: Path) -> None:
    store = root.open_root(archive)
    tight = {**GOOD, "screws.2": "no", "thread.pitch_diameter": "fail@report"}
    first = book_home(archive, "MG-0001", tight, DAY)
    assert first.states == ("sent-back",)
    good = {**GOOD, "thread.pitch_diameter": "pass@report"}
    back = book_home(archive, "MG-0001", good, "2026-06-20")
    assert back.states == ("arrived", "in-use")
    assert state_of(store, events.current(store, "MG-0001")) is State.IN_USE


def test_later_checks_for_wear_come_the_same_way(archive: Path) -> None:
    store = root.open_root(archive)
    book_home(archive, "MG-0001", GOOD, DAY)
    worn = book_home(
        archive, "MG-0001",
        {"runout.thread.1": "0.30@0", "runout.thread.2": "0.30@180"}, "2027-06-01", book=False,
    )  # fmt: skip
    assert worn.event == "measured"
    assert worn.word == "send back"
    # What was tried a year ago still stands.
    assert not any(u.id == "thread.minor_diameter" for u in worn.decision.untested)
    assert len(events.events_of(store, "MG-0001")) == 3


def test_a_withdrawn_one_is_not_booked_and_nothing_is_written(archive: Path) -> None:
    booking.book(archive, "MG-0001", "withdrawn", "2026-05-01", booking.Said())
    store = root.open_root(archive)
    count = len(events.events_of(store, "MG-0001"))
    with pytest.raises(InputError, match="cannot follow"):
        book_home(archive, "MG-0001", GOOD, DAY)
    assert len(events.events_of(store, "MG-0001")) == count


def test_the_command_takes_a_file_and_gives_json(archive: Path) -> None:
    file = archive.parent / "h.csv"
    file.write_text("id,value\n" + "".join(f"{k},{v}\n" for k, v in GOOD.items()))
    args = ["receive", "MG-0001", "--to", str(archive), "--home", str(file), "--date", DAY]
    done = CliRunner().invoke(main, [*args, "--json", "--try"])
    assert done.exit_code == 0, done.output
    view = json.loads(done.stdout)
    assert (view["word"], view["event"], view["states"]) == ("use it", "", [])
    assert {t["id"]: t["stands_for"] for t in view["tests"]}["runout.seat"] == ["seat.runout"]
    bad = CliRunner().invoke(main, [*args, "--reading", "screws.1=no", "--book"])
    assert bad.exit_code == 2
    assert "contradict one another" in bad.stderr
    stored = CliRunner().invoke(main, [*args, "--book"])
    assert stored.exit_code == 0
    assert "MG-0001 A: USE IT" in stored.stdout
    assert "booked: in use" in stored.stdout


def test_the_blank_form_is_a_file_to_fill_in(archive: Path) -> None:
    args = ["receive", "MG-0001", "--to", str(archive)]
    form = CliRunner().invoke(main, [*args, "--form"])
    assert form.exit_code == 0
    assert "never marking blue" in form.stdout
    file = archive.parent / "form.toml"
    file.write_text(form.stdout.replace('"rocks" = ""', '"rocks" = "no"'))
    done = CliRunner().invoke(main, [*args, "--home", str(file), "--date", DAY, "--json"])
    assert done.exit_code == 0, done.output
    tests = {t["id"]: t["state"] for t in json.loads(done.stdout)["tests"]}
    assert tests["rocks"] == "holds"
    assert set(tests.values()) == {"holds", "not done"}


def test_another_one_under_its_number_is_judged_by_its_own_readings(archive: Path) -> None:
    store = root.open_root(archive)
    entry = events.current(store, "MG-0001")
    tight = {**GOOD, "screws.2": "no", "thread.pitch_diameter": "fail@report"}
    book_home(archive, "MG-0001", tight, DAY)
    for state in ("asked", "ordered"):
        booking.book(archive, "MG-0001", state, DAY, booking.Said(whom="the mill"))
    assert mandrel_as_made(store, entry)[1]  # it is the first that is had
    few = {k: HAND[k] for k in ("clamps", "seats")}
    # A check that books nothing is one of the first; the one that books says the other has come.
    assert judge_home(archive, "MG-0001", few, DAY).word == "send back"
    assert judge_home(archive, "MG-0001", few, DAY, book=True).word == "not yet"
    came = book_home(archive, "MG-0001", few, "2026-06-20")
    assert (came.word, came.event, came.states) == ("not yet", "received", ("arrived",))
    shop = read_shop(starter("shop", "bench"), "shop.toml")
    assert answers(archive, "MG-0001", "A", shop).keys() == few.keys()
    count = len(events.events_of(store, "MG-0001"))
    book_home(archive, "MG-0001", few, "2026-06-20")
    assert len(events.events_of(store, "MG-0001")) == count
    last = book_home(archive, "MG-0001", GOOD, "2026-06-21")
    assert last.states == ("in-use",)
    # All of it stays in the history.
    assert len(kept(archive, "MG-0001", "A")) == 3
    assert not verify(store)


def test_what_was_read_of_a_lost_one_says_nothing_of_the_next(archive: Path) -> None:
    store = root.open_root(archive)
    entry = events.current(store, "MG-0001")
    book_home(archive, "MG-0001", GOOD, DAY)
    booking.book(archive, "MG-0001", "lost", DAY, booking.Said())
    assert mandrel_as_made(store, entry)[1]
    booking.book(archive, "MG-0001", "ordered", DAY, booking.Said())
    assert mandrel_as_made(store, entry)[1] == ()
    found = book_home(archive, "MG-0001", GOOD, "2026-06-20")
    assert (found.event, found.states) == ("received", ("in-use",))
