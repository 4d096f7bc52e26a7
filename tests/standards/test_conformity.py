"""What readings prove, at the limits and a hair beside them.

ISO 14253-1: accepted inside the limits drawn in by U, rejected outside the limits widened by U;
numbers by plain arithmetic.
"""

from __future__ import annotations

import pytest

from mandrelgen.standards.iso_14253 import Conformity, combine, decide, overall, zone

ACCEPT, REJECT, UNDECIDED = Conformity.ACCEPT, Conformity.REJECT, Conformity.UNDECIDED
HAIR = 2e-9  # more than what arithmetic loses, 1e-9
LOST = 5e-10


@pytest.mark.parametrize(
    ("value", "verdict"),
    [
        (10.25, ACCEPT), (10.25 - LOST, ACCEPT), (10.25 - HAIR, UNDECIDED),
        (10.75, ACCEPT), (10.75 + LOST, ACCEPT), (10.75 + HAIR, UNDECIDED),
        (9.75, REJECT), (9.75 + LOST, REJECT), (9.75 + HAIR, UNDECIDED),
        (11.25, REJECT), (11.25 - LOST, REJECT), (11.25 - HAIR, UNDECIDED),
        (10.5, ACCEPT), (10.0, UNDECIDED), (11.0, UNDECIDED),
    ],
)  # fmt: skip
def test_a_reading_of_10_to_11_with_a_quarter_of_uncertainty(
    value: float, verdict: Conformity
) -> None:
    assert decide(value, 10.0, 11.0, 0.25) is verdict


@pytest.mark.parametrize(
    ("lower", "upper", "value", "verdict"),
    [
        (10.0, None, 10.25 - LOST, ACCEPT), (10.0, None, 99.0, ACCEPT),
        (10.0, None, 9.75 + LOST, REJECT), (10.0, None, 9.75 + HAIR, UNDECIDED),
        (None, 11.0, 10.75 + LOST, ACCEPT), (None, 11.0, -9.0, ACCEPT),
        (None, 11.0, 11.25 - LOST, REJECT), (None, 11.0, 11.25 - HAIR, UNDECIDED),
        (None, None, 5.0, ACCEPT),
    ],
)  # fmt: skip
def test_a_limit_on_one_side_alone(
    lower: float | None, upper: float | None, value: float, verdict: Conformity
) -> None:
    assert decide(value, lower, upper, 0.25) is verdict


def test_a_perfect_instrument_accepts_the_limit_itself() -> None:
    assert decide(10.0, 10.0, 11.0, 0.0) is ACCEPT
    assert decide(11.0, 10.0, 11.0, 0.0) is ACCEPT


@pytest.mark.parametrize("u", [-1e-12, float("nan")])
def test_an_uncertainty_below_nothing_is_refused(u: float) -> None:
    with pytest.raises(ValueError, match=r"^an uncertainty is 0 or more$"):
        decide(10.0, 9.0, 11.0, u)


@pytest.mark.parametrize(
    ("found", "verdict"),
    [
        ((), UNDECIDED),
        (((ACCEPT, 0.1),), ACCEPT),
        (((UNDECIDED, 0.2), (ACCEPT, 0.1)), ACCEPT),
        (((UNDECIDED, 0.1), (ACCEPT, 0.2)), UNDECIDED),
        (((REJECT, 0.5), (ACCEPT, 0.1)), REJECT),
        # Equally fine but for what arithmetic loses: both must accept.
        (((UNDECIDED, 0.1 + LOST), (ACCEPT, 0.1)), UNDECIDED),
        (((UNDECIDED, 0.1), (ACCEPT, 0.1)), UNDECIDED),
        (((UNDECIDED, 0.1 + HAIR), (ACCEPT, 0.1)), ACCEPT),
    ],
)
def test_the_finest_instrument_speaks(
    found: tuple[tuple[Conformity, float], ...], verdict: Conformity
) -> None:
    assert combine(iter(found)) is verdict


@pytest.mark.parametrize(
    ("found", "verdict"),
    [
        ((), UNDECIDED),
        ((ACCEPT, ACCEPT), ACCEPT),
        ((ACCEPT, UNDECIDED), UNDECIDED),
        ((UNDECIDED, REJECT, ACCEPT), REJECT),
    ],
)
def test_the_worst_is_the_whole(found: tuple[Conformity, ...], verdict: Conformity) -> None:
    assert overall(iter(found)) is verdict


def test_no_reading_is_left_where_the_uncertainty_is_past_half_the_tolerance() -> None:
    assert zone(0.0, 0.5, 0.25 + LOST / 4) == pytest.approx((0.25, 0.25))
    assert zone(0.0, 0.5, 0.25 + HAIR) is None
    assert zone(0.0, 0.0, 0.25) is None
    assert zone(-1.0, 0.0, 0.25) == (-0.75, -0.25)
    assert zone(0.0, 1.0, 0.25) == (0.25, 0.75)
    assert zone(None, None, 0.25) == (None, None)
