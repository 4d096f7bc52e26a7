"""What is ordered once more says to the turner that one was made to this drawing and served."""

from __future__ import annotations

from pathlib import Path

import pytest

from mandrelgen.archive.events import revision_of
from mandrelgen.archive.records import Event, EventKind
from mandrelgen.archive.root import open_root
from mandrelgen.archive.states import State
from mandrelgen.workflows import booking
from mandrelgen.workflows.made_before import in_use_since, made_before
from tests.support.archived import publish_pen

S = State


def past(*states: State) -> list[tuple[State, Event | None]]:
    """States on one day after the other, from the first of June."""
    kinds = {s: EventKind(s.value) for s in states if s is not S.DESIGNED}
    return [
        (s, None if s is S.DESIGNED else Event(
            number="MG-0001", revision="A", kind=kinds[s], date=f"2026-06-{n:02}", draft=1,
        ))
        for n, s in enumerate(states)
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("states", "day"),
    [
        ((S.DESIGNED, S.ORDERED, S.ARRIVED), ""),
        ((S.DESIGNED, S.ORDERED, S.ARRIVED, S.IN_USE), "2026-06-03"),
        ((S.DESIGNED, S.ORDERED, S.ARRIVED, S.IN_USE, S.LOST), "2026-06-03"),
        ((S.DESIGNED, S.ORDERED, S.ARRIVED, S.IN_USE, S.SENT_BACK), ""),
        # Booked as in use by mistake, and back.
        ((S.DESIGNED, S.ORDERED, S.ARRIVED, S.IN_USE, S.ARRIVED), ""),
        # A second one that was asked for and has come: the first served.
        ((S.DESIGNED, S.ARRIVED, S.IN_USE, S.ASKED, S.ORDERED, S.ARRIVED), "2026-06-02"),
        ((S.DESIGNED, S.ARRIVED, S.IN_USE, S.ORDERED, S.ARRIVED, S.IN_USE), "2026-06-05"),
    ],
)
def test_only_what_served_speaks_for_the_drawing(states: tuple[State, ...], day: str) -> None:
    assert in_use_since(past(*states)) == day


def test_nothing_is_said_of_what_nobody_has_used(tmp_path: Path) -> None:
    publish_pen(tmp_path / "a", "heron")
    archive = open_root(tmp_path / "a")
    entry = revision_of(archive, "MG-0001", "A")
    assert not made_before(archive, [entry])
    book_use(tmp_path / "a", "MG-0001")
    said = made_before(archive, [entry, revision_of(archive, "MG-0002", "A")])
    assert said == (
        "MG-0001 A (2026-06-09) was made to this drawing before and taken into use on that day: "
        "please make it as then."
    )
    book_use(tmp_path / "a", "MG-0002")
    both = made_before(archive, [entry, revision_of(archive, "MG-0002", "A")])
    assert both.startswith("MG-0001 A (2026-06-09) and MG-0002 A (2026-06-09) were made to these")


def book_use(folder: Path, number: str) -> None:
    for state in ("ordered", "arrived", "in-use"):
        booking.book(folder, number, state, "2026-06-09", booking.Said())
