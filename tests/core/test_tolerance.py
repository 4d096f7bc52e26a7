"""One way to print a size: inwards for limits, no lost digits, a real minus sign."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mandrelgen.core.lengths import Length
from mandrelgen.core.tolerance import (
    Toleranced,
    ceil_to,
    floor_to,
    lower_limit_text,
    signed_text,
    text_of,
    upper_limit_text,
)


@pytest.mark.parametrize(
    ("value", "places", "text"),
    [(410, 0, "410"), (100.0, 3, "100"), (0.5, 3, "0.5"), (-0.027, 3, "−0.027"), (-1e-9, 3, "0"),
     (10.25, 1, "10.2"), (1200.4, 0, "1200")],
)  # fmt: skip
def test_sizes_are_printed_without_losing_digits(value: float, places: int, text: str) -> None:
    assert text_of(value, places) == text


def test_deviations_carry_their_sign() -> None:
    assert [signed_text(x) for x in (0.05, -0.05, 0.0)] == ["+0.05", "−0.05", "0"]


@given(st.floats(-500, 500))
def test_printed_limits_never_lie_outside_the_true_ones(value: float) -> None:
    read = lambda t: float(t.replace("−", "-"))  # noqa: E731
    assert read(lower_limit_text(value)) >= value - 2e-9
    assert read(upper_limit_text(value)) <= value + 2e-9
    assert floor_to(value, 0.1) <= value + 2e-9
    assert ceil_to(value, 0.1) >= value - 2e-9


def test_limits_the_wrong_way_round_are_refused() -> None:
    with pytest.raises(ValueError, match="above"):
        Toleranced(10, 10.1, 10.0)


@pytest.mark.parametrize(
    ("text", "mm"),
    [("3/8 in", 9.525), ("0.375 in", 9.525), ("1 1/4 in", 31.75), ("12,5", 12.5), ("12.5 mm", 12.5),
     ("1-1/4 in", 31.75)],
)  # fmt: skip
def test_lengths_keep_what_was_written(text: str, mm: float) -> None:
    length = Length.parse(text)
    assert length == pytest.approx(mm, abs=1e-12)
    assert length.written == text


@pytest.mark.parametrize("text", ["3/8", "abc", "", "1/0 in", "nan", "-3", "1e3", "9" * 60])
def test_what_is_no_length_is_refused_in_words(text: str) -> None:
    with pytest.raises(ValueError, match=r"\w"):
        Length.parse(text)
