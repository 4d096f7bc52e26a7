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


def test_a_collet_that_was_read_bounds_the_mandrel_without_directions() -> None:
    rng = random.Random(8)
    for _ in range(50):
        cx, cy, mx, my = (rng.uniform(-0.05, 0.05) for _ in range(4))
        a, b = math.hypot(cx + mx, cy + my), math.hypot(cx - mx, cy - my)
        c, m = math.hypot(cx, cy), math.hypot(mx, my)
        found = half_turn(Reading(a), Reading(b), (c, c))
        assert found.mandrel_low == pytest.approx(m, abs=1e-9)
        assert found.mandrel_high == pytest.approx(m, abs=1e-9)
    # A pin's reading that cannot be true of this clamping bounds nothing.
    assert half_turn(Reading(0.03), Reading(0.03), (0.5, 0.6)) == half_turn(
        Reading(0.03), Reading(0.03)
    )


@pytest.mark.parametrize("apart", [0, 20, 60, 90, 150, 180])
def test_the_uncertainty_covers_what_readings_scatter(apart: float) -> None:
    """Readings off by 0.007 a component and 7.5° (one standard deviation): 95 of 100 half
    differences lie within the expanded uncertainty, or more."""
    rng = random.Random(apart)
    true = [Reading(0.06, 30.0), Reading(0.05, 30.0 + apart)]
    mine = half_turn(*true).mandrel
    inside = 0
    for _ in range(4000):
        read = []
        for r in true:
            assert r.vector is not None
            v = r.vector + complex(rng.gauss(0, 0.007), rng.gauss(0, 0.007))
            turned = math.degrees(math.atan2(v.imag, v.real)) + rng.gauss(0, 7.5)
            read.append(Reading(abs(v), turned % 360))
        u = uncertainty(*read, 0.014, 15.0)
        inside += abs(half_turn(*read).mandrel - mine) <= u
    assert inside / 4000 > 0.94
