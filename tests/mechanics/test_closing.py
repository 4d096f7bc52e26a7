"""Closing turns, and the chance of a thread with almost no play."""

from __future__ import annotations

import math
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mandrelgen.core.tolerance import Toleranced
from mandrelgen.mechanics.close_fit import chance_of_less, play_needed
from mandrelgen.mechanics.joint import Closing, can_close, closing_turns, least_full_end

GOOD = Closing(
    travel=6.0, turns=2.5, engaged=4.0, shoulder_gap=0.0, bottom_room=0.5, thread_room=0.2
)
LENGTH, START = Toleranced(7.4, 7.3, 7.5), Toleranced(0.5, 0.45, 0.55)


@pytest.mark.parametrize(
    ("change", "closes"),
    [
        ({}, True),
        ({"shoulder_gap": 0.025}, True),
        ({"shoulder_gap": 0.026}, False),
        ({"bottom_room": -0.005}, True),
        ({"bottom_room": -0.006}, False),
        ({"thread_room": -0.006}, False),
        ({"engaged": 0.0}, False),
        ({"engaged": 0.4}, True),
    ],
)
def test_a_joint_that_cannot_close_has_no_turns(change: dict[str, float], closes: bool) -> None:
    found = can_close(GOOD._replace(**change))
    assert found is closes
    turns = closing_turns(contact=LENGTH, start=START, lead=2.4, closes=found)
    assert (turns is not None) is closes


def test_one_turn_is_one_lead_whatever_the_starts() -> None:
    """6.9 mm from contact to shut: 2.875 turns of 2.4, 8.625 of 0.8."""
    three = closing_turns(contact=LENGTH, start=START, lead=2.4, closes=True)
    one = closing_turns(contact=LENGTH, start=START, lead=0.8, closes=True)
    assert three is not None
    assert one is not None
    assert three.nominal == pytest.approx(2.875)
    assert one.nominal == pytest.approx(8.625)
    short = Toleranced(0.5, 0.4, 0.6)
    assert closing_turns(contact=short, start=START, lead=2.4, closes=True) is None
    with pytest.raises(ValueError, match="lead"):
        closing_turns(contact=LENGTH, start=START, lead=0, closes=True)


@given(
    length=st.floats(1, 15),
    half=st.floats(0, 0.3),
    start=st.floats(0, 0.9),
    lead=st.floats(0.3, 5),
)
def test_the_nominal_lies_in_its_range(
    length: float, half: float, start: float, lead: float
) -> None:
    found = closing_turns(
        contact=Toleranced.symmetric(length, half),
        start=Toleranced.symmetric(start, half / 2),
        lead=lead,
        closes=True,
    )
    if length <= start:
        assert found is None
        return
    assert found is not None
    assert 0 <= found.least <= found.nominal <= found.most
    assert found.most * lead == pytest.approx(length - start + 1.5 * half)


def test_engaged_pitches_need_a_length() -> None:
    assert least_full_end(2.0, 1.5, 0.75, 3) == 4.25


def test_chance_against_monte_carlo() -> None:
    """Seeded draws of two pitch diameters within their limits, 200,000 of each."""
    dice = random.Random(15)
    draws = [0.02 + dice.uniform(0, 0.132) + dice.uniform(0, 0.063) for _ in range(200_000)]
    for needed in (0.03, 0.06, 0.1, 0.16, 0.2):
        counted = sum(d < needed for d in draws) / len(draws)
        assert chance_of_less(needed, 0.02, 0.132, 0.063) == pytest.approx(counted, abs=0.004)


def test_chance_at_its_ends() -> None:
    assert chance_of_less(0.0, 0.0, 0.1, 0.1) == 0.0
    assert chance_of_less(0.3, 0.0, 0.1, 0.1) == 1.0
    assert chance_of_less(0.1, 0.0, 0.1, 0.1) == pytest.approx(0.5)
    assert chance_of_less(0.05, 0.0, 0.2, 0.0) == pytest.approx(0.25)
    assert chance_of_less(0.05, 0.0, 0.0, 0.0) == 1.0
    with pytest.raises(ValueError, match="negative"):
        chance_of_less(0.1, 0.0, -0.1, 0.1)
    with pytest.raises(ValueError, match="negative"):
        play_needed(-1.0)


@given(a=st.floats(0, 0.3), b=st.floats(0, 0.3), w=st.floats(0.001, 0.2), v=st.floats(0.001, 0.2))
def test_more_play_needed_is_never_less_likely_missing(
    a: float, b: float, w: float, v: float
) -> None:
    few, many = sorted((a, b))
    assert 0 <= chance_of_less(few, 0.01, w, v) <= chance_of_less(many, 0.01, w, v) + 1e-9 <= 1.0001
    assert chance_of_less(few, 0.01, w, v) == pytest.approx(chance_of_less(few, 0.01, v, w))


def test_a_lean_of_one_s_own_and_threads_of_no_length() -> None:
    """L·tan(lean): 10 mm by 1° are 0.174551; half a millimetre by the usual 0.1° 0.000873; a thread
    of no length leans without any play."""
    assert play_needed(10.0, 1.0) == pytest.approx(10 * math.tan(math.pi / 180))
    assert play_needed(0.5) == pytest.approx(0.5 * math.tan(math.pi / 1800))
    assert play_needed(0.0) == 0.0


def test_a_play_that_is_certain_is_not_below_itself() -> None:
    """Two sizes without tolerance leave 0.02 of play: never below 0.02, always below 0.021."""
    assert chance_of_less(0.02, 0.02, 0.0, 0.0) == 0.0
    assert chance_of_less(0.021, 0.02, 0.0, 0.0) == 1.0
