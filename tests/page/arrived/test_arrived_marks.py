"""What arrived: what was measured and what was tried is marked; a check is corrected."""

from __future__ import annotations

import re
from pathlib import Path

from starlette.testclient import TestClient

from mandrelgen.archive import events, root, states
from mandrelgen.archive.states import State
from tests.page.arrived.test_arrived import AT, balloon, by_hand, grade, say

THREAD = ("thread.major_diameter", "thread.pitch_diameter", "thread.minor_diameter")


def test_what_was_tried_by_hand_is_marked_as_tried_and_not_as_measured(page: TestClient) -> None:
    text = by_hand(page)
    assert [balloon(text, id) for id in THREAD] == ["half"] * 3
    assert balloon(text, "shank.diameter") == "half"
    assert grade(text, "screws.1") == "half"
    box = text.split('data-q="screws.1"')[1].split('data-q="screws.2"')[0]
    assert "<b>holds, not measured</b>" in box
    assert "conforms" not in box
    text = say(page, "thread.major_diameter", "11.89", "caliper")
    assert [balloon(text, id) for id in THREAD] == ["good", "half", "half"]
    assert "<b>conforms</b>" in text.split('data-q="thread.major_diameter"')[1][:3000]
    text = say(page, "shake", "0.08")  # bounds the loose side, measures no diameter
    assert balloon(text, THREAD[1]) == "half"
    for n in (1, 2):
        text = say(page, f"runout.thread.{n}", "0.01", "90")
    assert balloon(text, "thread.runout") == "good"
    text = say(page, "screws.2", "no")
    assert balloon(text, THREAD[1]) == "bad"
    assert "<b>fails</b>: it does not screw on by hand in start 2" in text


def test_what_was_kept_is_shown_at_its_box_and_can_be_corrected_and_booked_back(
    page: TestClient, folder: Path
) -> None:
    say(page, "shank.diameter", "13.98", "micrometer")
    say(page, "thread.pitch_diameter", "11.39±0.006", "thread-micrometer")
    by_hand(page)
    text = page.post(f"{AT}/keep?piece=MG-0001-A").text
    box = text.split('data-q="shank.diameter"')[1].split('data-q="collar.diameter"')[0]
    assert re.search(r"Kept on \d{4}-\d\d-\d\d: 13.98, micrometer", box)
    assert 'value="13.98"' not in text
    archive = root.open_root(folder / "output")
    before = events.events_of(archive, "MG-0001")
    text = page.post(f"{AT}/again?piece=MG-0001-A").text
    assert 'value="13.98"' in text
    assert re.search(r'id="q-thread-pitch_diameter-v" name="value" value="11.39±0.006"', text)
    assert '<span class="word">use it, run-out not known</span> MG-0001 A' in text
    assert "arrived/again" not in text  # it stands in the boxes
    text = say(page, "seats", "1")
    text = say(page, "seats.follows", "mandrel")
    assert '<span class="word">send back</span>' in text
    text = page.post(f"{AT}/keep?piece=MG-0001-A").text
    assert "booked as sent back" in text
    after = events.events_of(archive, "MG-0001")
    assert after[: len(before)] == before  # what was kept stays
    text = page.post(f"{AT}/back?piece=MG-0001-A").text
    assert "Booked back: MG-0001 A has arrived" in text
    assert states.state_of(archive, events.current(archive, "MG-0001")) is State.ARRIVED
    assert "book it back" not in text


def test_what_is_in_use_by_mistake_is_booked_back_as_arrived(
    page: TestClient, folder: Path
) -> None:
    by_hand(page)
    page.post(f"{AT}/keep?piece=MG-0001-A")
    archive = root.open_root(folder / "output")
    assert states.state_of(archive, events.current(archive, "MG-0001")) is State.IN_USE
    assert "It is not in use: book it back as arrived" in page.get(f"{AT}?piece=MG-0001-A").text
    page.post(f"{AT}/back?piece=MG-0001-A")
    assert states.state_of(archive, events.current(archive, "MG-0001")) is State.ARRIVED
