"""A mismatch at a joint: where it is felt, what is left, and figures that add up as printed."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mandrelgen.mechanics.budget import Cause, Origin, budget, remount_shifts
from mandrelgen.mechanics.concentricity import (
    Felt,
    Outcome,
    centres,
    centring_ratio,
    felt,
    judge,
    left_by_centring,
    left_by_quarter,
    shoulder,
    shoulder_not_uneven,
)
from mandrelgen.mechanics.holding import (
    Holding,
    Locator,
    PartEnd,
    SeatFace,
    State,
    Surface,
    causes,
)

MM = st.floats(0.0, 0.5)


@pytest.mark.parametrize(
    ("step", "wanted"),
    [(0.0, Felt.FLUSH), (0.1, Felt.FLUSH), (0.101, Felt.REVEAL), (0.3, Felt.REVEAL),
     (0.301, Felt.NOT_FELT), (1.25, Felt.NOT_FELT)],
)  # fmt: skip
def test_felt_only_where_flush(step: float, wanted: Felt) -> None:
    assert felt(step) is wanted
    assert (judge(step, 0.2, 0.1, 0.05).outcome is None) is (wanted is not Felt.FLUSH)


def test_the_three_outcomes() -> None:
    """Met and not met need both models."""
    assert judge(0, 0.05, 0.02, 0.05).outcome is Outcome.MET
    assert judge(0, 0.051, 0.02, 0.05).outcome is Outcome.DEPENDS
    assert judge(0, 0.09, 0.06, 0.05).outcome is Outcome.NOT_MET
    assert judge(0, 0.02, 0.06, 0.05).outcome is Outcome.DEPENDS  # whichever is the larger
    assert judge(0, 0.0504, 0.02, 0.05).outcome is Outcome.MET  # it prints as 0.05
    assert judge(0, 0.09, 0.05, 0.05).outcome is Outcome.DEPENDS  # one of them is met


def test_a_reveal_is_uneven_beyond_a_third_of_its_shoulder() -> None:
    assert judge(0.3, 0.101, 0.02, 0.05).uneven
    assert not judge(0.3, 0.1, 0.02, 0.05).uneven
    assert not judge(0.4, 0.3, 0.2, 0.05).uneven
    assert not judge(0.1, 0.3, 0.2, 0.05).uneven


def test_where_friction_holds_the_joint_off_centre() -> None:
    """Flanks and face alike: tan(30° − ρ) = tan ρ at ρ = 15°, µ = 0.268."""
    assert centres(0.267, 0.267)
    assert not centres(0.2681, 0.2681)
    with pytest.raises(ValueError, match="friction"):
        centres(-0.1, 0.1)


def test_shoulder_of_two_outsides() -> None:
    assert shoulder(12.2, 13.0) == shoulder(13.0, 12.2) == pytest.approx(0.4)
    for bad in ((-0.1, 0, 0, 0), (0, -0.1, 0, 0), (0, 0, -0.1, 0), (0, 0, 0, -0.1)):
        with pytest.raises(ValueError, match="negative"):
            judge(*bad)


@given(quarter=MM, centred=MM, target=MM)
def test_what_is_printed_adds_up(quarter: float, centred: float, target: float) -> None:
    j = judge(0.0, quarter, centred, target)
    assert j.typical <= j.seldom
    assert f"{j.over:.3f}" == f"{max(0.0, float(f'{j.seldom:.3f}') - float(f'{j.target:.3f}')):.3f}"
    assert (j.over == 0) is (j.outcome is Outcome.MET)


@given(a=MM, b=MM)
def test_more_play_never_leaves_less(a: float, b: float) -> None:
    small, large = sorted((a, b))
    assert left_by_quarter(small) <= left_by_quarter(large) <= large / 2
    for worst in (False, True):
        assert left_by_centring(small, worst) <= left_by_centring(large, worst) <= large / 2


@given(mismatch=st.floats(0.0, 0.5))
def test_solved_shoulder_is_not_uneven(mismatch: float) -> None:
    j = judge(shoulder_not_uneven(mismatch), mismatch, 0.0, 0.05)
    assert j.outcome is None
    assert not j.uneven


def _held(play: float, friction: float = 0.15, left: float | None = None) -> Holding:
    thread = Locator(id="thread", on=Surface.THREAD, clearance=play, z0=1.0, z1=6.0)
    return Holding(
        locators=(thread,), part=PartEnd(), seat=SeatFace(0.0, 12.0), friction=friction, left=left
    )


def _shift(held: Holding) -> float:
    return budget(causes(held, State.TIGHT), 0.0).worst


def test_the_two_models_in_a_mandrels_own_budget() -> None:
    """A quarter of the play's half, or the 0.01 to 0.02 that centring leaves; all of it where
    friction keeps the joint from centring; never more than the half."""
    assert _shift(_held(0.12)) == pytest.approx(0.015) == left_by_quarter(0.12)
    assert _shift(_held(0.12, left=0.01)) == pytest.approx(0.01) == left_by_centring(0.12)
    assert _shift(_held(0.006, left=0.01)) == pytest.approx(0.003) == left_by_centring(0.006)
    assert _shift(_held(0.12, friction=0.3, left=0.01)) == pytest.approx(0.06)
    assert budget(causes(_held(0.12, left=0.01), State.LOOSE), 0.0).worst == pytest.approx(0.06)


@given(
    sizes=st.lists(st.floats(0, 0.1), min_size=1, max_size=5),
    origins=st.lists(st.sampled_from(list(Origin)), min_size=5, max_size=5),
    starts=st.integers(1, 5),
)
def test_more_disturbed_is_never_less_shifted(
    sizes: list[float], origins: list[Origin], starts: int
) -> None:
    errors = [
        Cause(str(i), "x", o, e) for i, (e, o) in enumerate(zip(sizes, origins, strict=False))
    ]
    kept, anew = remount_shifts(errors, 0.0, starts)
    assert anew[0] >= kept[0] >= 0
    assert anew[1] >= kept[1] >= 0


def test_a_judgement_says_what_it_judged() -> None:
    j = judge(0.2004, 0.06, 0.02, 0.05)
    assert (j.felt, j.shoulder) == (Felt.REVEAL, 0.2)
    assert (j.typical, j.seldom, j.target, j.over) == (0.02, 0.06, 0.05, 0.01)


def test_flanks_without_friction_push_by_their_angle_alone() -> None:
    """tan 30°; a face that holds against just that much is not overcome."""
    assert centring_ratio(0.0) == pytest.approx(1 / math.sqrt(3))
    assert not centres(0.0, math.tan(math.radians(30)))
    assert centres(0.0, 0.577)
