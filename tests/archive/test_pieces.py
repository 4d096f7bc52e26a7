"""Which events speak of the piece that came last, case by case as a maker would tell it."""

from __future__ import annotations

import pytest

from mandrelgen.archive.pieces import another_awaited, of_last_piece
from mandrelgen.archive.records import Event, EventKind


def event(kind: str, revision: str = "A", draft: int = 1) -> Event:
    return Event(
        number="MG-0001", revision=revision, draft=draft, kind=EventKind(kind), date="2031-06-01"
    )


# What happened; then "|" before the first event of the last piece; "+": another is awaited.
CASES = [
    ("| ordered arrived received in-use measured", False),
    ("| received measured", False),
    # Another one of what is had is still to come: what is read is read of the first.
    ("| ordered arrived received ordered", True),
    ("| ordered arrived received ordered measured", True),
    ("| received asked quoted ordered", True),
    ("| received asked declined", False),
    ("| received asked declined measured", False),
    # It has come: from there on the other is meant.
    ("ordered arrived received ordered | arrived", False),
    ("ordered arrived received asked ordered measured | arrived received in-use measured", False),
    ("received ordered | arrived received ordered", True),
    ("received ordered arrived received ordered | arrived", False),
    # What is lost is gone when another is asked for; found again it is the same.
    ("ordered arrived received lost | asked ordered", False),
    ("ordered arrived received lost | ordered received measured", False),
    ("| ordered arrived received lost in-use measured", False),
    ("| ordered lost", False),
    ("received ordered | arrived lost in-use", False),
    # What went back and comes again is the same, mended; ordered new it is not.
    ("| ordered arrived received sent-back arrived measured", False),
    ("| received sent-back asked ordered", True),
    ("received sent-back asked ordered | arrived", False),
]


@pytest.mark.parametrize(("told", "awaited"), CASES)
def test_the_last_piece_begins_where_a_maker_says_it_does(told: str, awaited: bool) -> None:
    before, _, after = told.partition("|")
    kinds = [*before.split(), *after.split()]
    happened = [event(k) for k in kinds]
    found = of_last_piece(happened, "A", 1)
    assert [e.kind for e in found] == [EventKind(k) for k in after.split()]
    assert another_awaited(happened, "A", 1) is awaited


def test_another_revision_and_another_draft_are_other_fixtures() -> None:
    mine = [event("received"), event("ordered")]
    other = [event("arrived", revision="B"), event("arrived", draft=2)]
    assert of_last_piece([*mine, *other], "A", 1) == tuple(mine)
    assert another_awaited([*mine, *other], "A", 1)
    assert of_last_piece([*mine, *other], "B", 1) == (other[0],)
    assert not another_awaited([*mine, *other], "A", 2)
