"""Which of a fixture's states belong to which of its orders."""

from __future__ import annotations

import pytest

from mandrelgen.archive.records import Event, EventKind
from mandrelgen.archive.rounds import by_order
from mandrelgen.archive.states import State, had_before, owned

Said = tuple[str, str]


def past(*said: Said) -> list[tuple[State, Event | None]]:
    """A history of states, each with the order that the event names (empty: none)."""
    out: list[tuple[State, Event | None]] = [(State.DESIGNED, None)]
    for state, order in said:
        data = {"order": order} if order else {}
        event = Event(
            number="MG-0001", revision="A", draft=1, kind=EventKind(state), date="2031-06-01",
            data=data,
        )  # fmt: skip
        out.append((State(state), event))
    return out


def stands(*said: Said) -> dict[str, list[str]]:
    """The states in the orders ``old`` and ``new``, which both hold the fixture."""
    found = by_order(past(*said), ("old", "new"))
    return {order: [s.value for s, _ in row] for order, row in found.items()}


@pytest.mark.parametrize(
    ("said", "old", "new"),
    [
        ((), "designed", "designed"),
        ((("asked", "old"), ("ordered", "old")), "asked ordered", "designed"),
        # What is booked of the fixture alone goes on with the order before it.
        ((("asked", "old"), ("ordered", ""), ("arrived", ""), ("sent-back", "")),
         "asked ordered arrived sent-back", "designed"),
        ((("ordered", "old"), ("arrived", ""), ("sent-back", ""), ("asked", "new"), ("quoted", "")),
         "ordered arrived sent-back", "asked quoted"),
        # Orders that no event names: the older one first.
        ((("ordered", ""), ("in-use", ""), ("asked", ""), ("ordered", "")),
         "ordered in-use", "asked ordered"),
        ((("ordered", ""), ("in-use", ""), ("asked", "new")), "ordered in-use", "asked"),
        # First of the fixture alone, then of its order: one and the same.
        ((("asked", ""), ("ordered", "old")), "asked ordered", "designed"),
        ((("asked", "new"), ("in-use", "")), "designed", "asked in-use"),
        # The same order once more.
        ((("ordered", "old"), ("in-use", ""), ("ordered", "old")), "ordered in-use ordered",
         "designed"),
    ],
)  # fmt: skip
def test_each_order_has_its_own_stretch_of_the_history(
    said: tuple[Said, ...], old: str, new: str
) -> None:
    assert stands(*said) == {"old": old.split(), "new": new.split()}


@pytest.mark.parametrize(
    ("way", "had", "mine"),
    [
        ("asked", None, True), ("asked declined", None, False),
        ("ordered in-use", None, True), ("ordered in-use asked", "in-use", True),
        ("ordered in-use asked declined", "in-use", True),
        ("ordered arrived sent-back", None, True),
        ("ordered arrived sent-back asked declined", "sent-back", True),
        ("ordered lost", None, False), ("ordered lost asked declined", None, False),
    ],
)  # fmt: skip
def test_one_that_is_had_stays_owned_while_another_is_asked_for(
    way: str, had: str | None, mine: bool
) -> None:
    row = past(*((state, "") for state in way.split()))
    before = had_before(row)
    assert (None if before is None else before.value) == had
    assert owned(row) is mine
