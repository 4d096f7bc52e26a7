"""The states of fixtures and orders: every move of the table and none besides, days, two at once,
older files. What may follow what is typed here a second time, by hand: common practice, no source.
"""

from __future__ import annotations

import json
import threading
from pathlib import Path

import pytest

from mandrelgen.archive.events import Status, events_of, release, rename, status_of
from mandrelgen.archive.records import Event, Slot, parse
from mandrelgen.archive.root import open_root
from mandrelgen.archive.states import MOVES, OF_ORDER, OWNED, State, book, state_of, table
from mandrelgen.archive.verify import verify
from mandrelgen.core.errors import DiskError, InputError
from tests.paths import ROOT
from tests.support.archive_builds import build, mandrel

DAY = "2031-06-01"
# A way to each state from designed, and by hand what a shop would say may come next.
WAYS = {
    "designed": [], "asked": ["asked"], "quoted": ["asked", "quoted"],
    "declined": ["asked", "declined"], "ordered": ["ordered"], "arrived": ["ordered", "arrived"],
    "in-use": ["ordered", "arrived", "in-use"], "reworked": ["ordered", "arrived", "reworked"],
    "sent-back": ["ordered", "arrived", "sent-back"], "lost": ["ordered", "lost"],
    "withdrawn": ["withdrawn"],
}  # fmt: skip
NEXT = {
    "designed": "asked ordered arrived in-use withdrawn",
    "asked": "quoted declined ordered withdrawn",
    "quoted": "declined ordered withdrawn",
    "declined": "asked ordered in-use withdrawn",
    "ordered": "arrived declined lost withdrawn",
    "arrived": "in-use reworked sent-back lost withdrawn",
    "in-use": "arrived reworked sent-back lost withdrawn",
    "reworked": "in-use sent-back lost withdrawn",
    "sent-back": "arrived asked lost withdrawn",
    "lost": "in-use asked ordered withdrawn",
    "withdrawn": "",
}


def test_the_table_says_what_the_trade_says() -> None:
    assert {s.value: {f.value for f in row} for s, row in MOVES.items()} == {
        s: set(row.split()) for s, row in NEXT.items()
    }
    assert {s.value for s in OWNED} == {
        "asked", "quoted", "ordered", "arrived", "in-use", "reworked", "sent-back"
    }  # fmt: skip
    assert {s.value for s in OF_ORDER} == {"asked", "quoted", "declined"}


@pytest.mark.parametrize("start", WAYS)
def test_what_may_follow_follows_and_nothing_else(tmp_path: Path, start: str) -> None:
    for wanted in [s for s in State if s is not State.DESIGNED and s.value != start]:
        root = tmp_path / wanted
        entry = build(root, mandrel())
        archive = open_root(root)
        for step in WAYS[start]:
            book(archive, [entry], State(step), DAY)
        before = events_of(archive, entry.number)
        if wanted.value in NEXT[start].split():
            assert book(archive, [entry], wanted, DAY) == (entry,)
            assert state_of(archive, entry) is wanted
        else:
            with pytest.raises(InputError) as told:
                book(archive, [entry], wanted, DAY)
            assert State(start).said in str(told.value)
            assert events_of(archive, entry.number) == before


def test_asking_again_needs_to_be_said(tmp_path: Path) -> None:
    entry = build(tmp_path, mandrel())
    archive = open_root(tmp_path)
    book(archive, [entry], State.ASKED, DAY, data={"whom": "K. Tern"})
    # The very same words on the same day: a call that was killed is finished by them.
    assert book(archive, [entry], State.ASKED, DAY, data={"whom": "K. Tern"}) == ()
    for day, whom in (("2031-06-02", "K. Tern"), (DAY, "O. Alder")):
        with pytest.raises(InputError, match="--again"):
            book(archive, [entry], State.ASKED, day, data={"whom": whom})
    assert book(archive, [entry], State.ASKED, DAY, data={"whom": "O. Alder"}, again=True)
    book(archive, [entry], State.ORDERED, DAY)
    # A later promise of the same shop is no second order.
    assert book(archive, [entry], State.ORDERED, "2031-06-09", data={"promised": "2031-08-01"})


def test_all_or_none_and_every_fault_at_once(tmp_path: Path) -> None:
    first, second, third = (build(tmp_path, mandrel(p)) for p in ("cap", "barrel", "section"))
    archive = open_root(tmp_path)
    book(archive, [first], State.WITHDRAWN, DAY)
    book(archive, [second], State.ORDERED, DAY)
    with pytest.raises(InputError) as told:
        book(archive, [first, second, third], State.ASKED, DAY)
    assert {f.where for f in told.value.findings} == {"PEN-0001 A", "PEN-0002 A"}
    assert state_of(archive, third) is State.DESIGNED
    with pytest.raises(InputError, match="is before"):
        book(archive, [second], State.ARRIVED, "2031-05-31")


def test_states_and_the_title_block_s_status(tmp_path: Path) -> None:
    entry = build(tmp_path, mandrel())
    archive = open_root(tmp_path)
    book(archive, [entry], State.ASKED, DAY)
    assert status_of(archive, entry.number) is Status.IN_PREPARATION
    with pytest.raises(InputError, match="reason"):  # a paper has left
        build(tmp_path, mandrel(diameter=8.1))
    release(archive, entry.number, DAY)
    assert state_of(archive, entry) is State.ORDERED
    assert status_of(archive, entry.number) is Status.RELEASED
    book(archive, [entry], State.LOST, DAY)
    assert status_of(archive, entry.number) is Status.WITHDRAWN


def test_damaged_papers_are_not_sent(tmp_path: Path) -> None:
    entry = build(tmp_path, mandrel())
    (entry.folder / "pen.toml").write_bytes(b"other")
    with pytest.raises(DiskError):
        book(open_root(tmp_path), [entry], State.ASKED, DAY)
    assert state_of(open_root(tmp_path), entry) is State.DESIGNED


def test_two_at_once_cannot_both_order(tmp_path: Path) -> None:
    entry = build(tmp_path, mandrel())
    told: list[str] = []

    def order(whom: str) -> None:
        try:
            book(open_root(tmp_path), [entry], State.ORDERED, DAY, data={"whom": whom})
            told.append("ordered")
        except InputError as e:
            told.append(e.findings[0].message)

    both = [threading.Thread(target=order, args=(whom,)) for whom in ("K. Tern", "O. Alder")]
    for t in both:
        t.start()
    for t in both:
        t.join()
    assert sorted(told)[1] == "ordered"
    assert "ordered already since" in sorted(told)[0]
    assert len(events_of(open_root(tmp_path), entry.number)) == 1


def test_an_older_archive_s_release_is_an_order(tmp_path: Path) -> None:
    entry = build(tmp_path, mandrel())
    old = (ROOT / "tests/golden/event-schema-1.json").read_bytes()
    assert parse(Event, old, Path("old")).kind.value == "ordered"
    events = tmp_path / entry.number / "events"
    events.mkdir()
    (events / "0001-released.json").write_bytes(old)
    archive = open_root(tmp_path)
    assert state_of(archive, entry) is State.ORDERED
    assert status_of(archive, entry.number) is Status.RELEASED
    assert verify(archive) == ()
    book(archive, [entry], State.ARRIVED, DAY)
    assert (events / "0001-released.json").read_bytes() == old  # never rewritten
    assert verify(archive) == ()


def test_a_number_under_a_corrected_id(tmp_path: Path) -> None:
    entry = build(tmp_path, mandrel("cpa"))
    archive = open_root(tmp_path)
    book(archive, [entry], State.ORDERED, DAY)
    slot = Slot(pen="heron", part="cap", end="open", role="plug")
    assert rename(archive, entry.number, slot, DAY).record.slot == slot
    rename(archive, entry.number, slot, DAY)
    assert len(events_of(archive, entry.number)) == 2  # once
    again = build(tmp_path, mandrel("cap"))
    assert (again.number, again.revision, again.draft) == (entry.number, "A", 1)
    assert state_of(archive, again) is State.ORDERED
    assert verify(archive) == ()
    damaged = json.loads((tmp_path / entry.number / "events/0002-renamed.json").read_text("utf-8"))
    del damaged["data"]["slot"]
    path = tmp_path / entry.number / "events/0002-renamed.json"
    path.write_text(json.dumps(damaged), "utf-8")
    with pytest.raises(DiskError, match="no slot"):
        build(tmp_path, mandrel("cap"))


def test_the_readme_prints_the_table_of_the_code() -> None:
    readme = (ROOT / "README.md").read_text("utf-8")
    printed = readme.partition("<!-- states -->\n")[2].partition("<!-- end of states -->")[0]
    rows = ["| state | belongs to the | owned | what can follow |", "|---|---|---|---|"]
    rows += [f"| {' | '.join(row)} |" for row in table()]
    assert printed.strip().splitlines() == rows
