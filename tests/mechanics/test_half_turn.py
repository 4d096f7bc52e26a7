"""Half the vector difference of two run-outs is the mandrel's: against vectors laid out by hand,
and against an indicator simulated at four quarters (plain arithmetic)."""

from __future__ import annotations

import math
import random

import pytest

from mandrelgen.mechanics.half_turn import Reading, half_turn, of_quarters, uncertainty


def polar(x: float, y: float) -> Reading:
    return Reading(math.hypot(x, y), math.degrees(math.atan2(y, x)) % 360)


def test_directions_part_mandrel_and_collet() -> None:
    rng = random.Random(5)
    for _ in range(50):
        cx, cy, mx, my = (rng.uniform(-0.05, 0.05) for _ in range(4))
        found = half_turn(polar(cx + mx, cy + my), polar(cx - mx, cy - my))
        assert found.mandrel_low == pytest.approx(math.hypot(mx, my), abs=1e-9)
        assert found.collet_high == pytest.approx(math.hypot(cx, cy), abs=1e-9)
        assert found.spread == pytest.approx(0, abs=1e-9)


def test_amounts_alone_bound_both() -> None:
    rng = random.Random(6)
    for _ in range(50):
        cx, cy, mx, my = (rng.uniform(-0.05, 0.05) for _ in range(4))
        a, b = math.hypot(cx + mx, cy + my), math.hypot(cx - mx, cy - my)
        found = half_turn(Reading(a), Reading(b))
        for own in (math.hypot(mx, my), math.hypot(cx, cy)):
            assert found.mandrel_low - 1e-12 <= own <= found.mandrel_high + 1e-12


def test_four_dial_readings_are_a_vector_and_show_what_is_oval() -> None:
    e, towards = 0.015, math.radians(50)
    quarters = [math.radians(q) for q in (0, 90, 180, 270)]
    dial = [e * math.cos(q - towards) for q in quarters]
    found = of_quarters(*dial)
    assert found.amount == pytest.approx(2 * e)  # a total reading is twice the eccentricity
    assert found.angle == pytest.approx(50)
    assert found.oval == pytest.approx(0, abs=1e-12)
    # An ellipse 0.02 longer than wide, axis along the first reading: ±0.005 on the radius.
    oval = [d + 0.005 * math.cos(2 * q) for d, q in zip(dial, quarters, strict=True)]
    assert of_quarters(*oval).oval == pytest.approx(0.01)


def test_a_reading_of_nothing_needs_no_direction() -> None:
    assert half_turn(Reading(0.0), Reading(0.04, 10.0)).mandrel == pytest.approx(0.02)
    with pytest.raises(ValueError, match="0 or more"):
        half_turn(Reading(-0.01), Reading(0.01))


def test_the_uncertainty_of_half_a_difference() -> None:
    rng = random.Random(7)
    halves = [(rng.gauss(0, 0.01) - rng.gauss(0, 0.01)) / 2 for _ in range(20_000)]
    spread = math.sqrt(sum(x * x for x in halves) / len(halves))
    assert uncertainty(0.01, 0.01) == pytest.approx(spread, rel=0.02)
