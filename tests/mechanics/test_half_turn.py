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


@pytest.mark.parametrize("angle", [50, 140, 230, 310])
def test_four_dial_readings_are_a_vector_and_show_what_is_oval(angle: float) -> None:
    e, towards = 0.015, math.radians(angle)
    quarters = [math.radians(q) for q in (0, 90, 180, 270)]
    dial = [e * math.cos(q - towards) for q in quarters]
    found = of_quarters(*dial)
    assert found.amount == pytest.approx(2 * e)  # a total reading is twice the eccentricity
    assert found.angle == pytest.approx(angle)
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
    for collet in ((0.5, 0.6), (0.05, 0.06)):
        assert half_turn(Reading(0.03), Reading(0.03), collet) == half_turn(
            Reading(0.03), Reading(0.03)
        )
    # One that can be true in part does: √(0.001 − 0.028²) is 0.0147, and from 0.0316 on 0 is left.
    part = half_turn(Reading(math.sqrt(0.001)), Reading(math.sqrt(0.001)), (0.028, 0.05))
    assert (part.mandrel_low, part.mandrel_high) == (0.0, pytest.approx(0.0147, abs=5e-5))
    assert (part.collet_low, part.collet_high) == (0.028, pytest.approx(math.sqrt(0.001)))


def test_one_direction_alone_says_no_more_than_amounts() -> None:
    """0.014 on each, half their difference: 0.014/√2."""
    for pair in ((Reading(0.04, 0.0), Reading(0.04)), (Reading(0.04), Reading(0.04, 90.0))):
        assert uncertainty(*pair, 0.014, 15.0) == pytest.approx(0.0099, abs=5e-5)


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


def distance(r1: float, r2: float, t1: float, t2: float) -> float:
    """Half the distance of two points given by radius and angle (law of cosines), mm."""
    return math.sqrt(r1**2 + r2**2 - 2 * r1 * r2 * math.cos(t1 - t2)) / 2


@pytest.mark.parametrize("apart", [50.0, 75.0, 90.0, 120.0, -80.0, 300.0])
def test_the_uncertainty_is_what_small_errors_add_up_to(apart: float) -> None:
    """First order, by numerical derivatives (the rule of error propagation, JCGM 100:2008, 5.1.2):
    an error of 0.014 of each vector along the line between them, and each angle's 2°."""
    r1, r2, t1 = 0.06, 0.045, math.radians(10.0)
    t2, turn, step = t1 - math.radians(apart), math.radians(2.0), 1e-6
    by_angle = [
        (distance(r1, r2, t1 + a, t2 + b) - distance(r1, r2, t1 - a, t2 - b)) / (2 * step)
        for a, b in ((step, 0.0), (0.0, step))
    ]
    plain = math.hypot(0.014 / 2, 0.014 / 2, *(d * turn for d in by_angle))
    two = (Reading(r1, math.degrees(t1)), Reading(r2, math.degrees(t2)))
    assert uncertainty(*two, 0.014, 2.0) == pytest.approx(plain, rel=2e-3)


@pytest.mark.parametrize(("r2", "angle"), [(0.04, 15.0), (0.0399, 30.0)])
def test_like_vectors_are_as_unsure_as_their_errors_across(r2: float, angle: float) -> None:
    """Both lie the same way: nothing is left of their difference but what each is off by."""
    turn = math.radians(angle)
    plain = math.hypot(0.014 / math.sqrt(2), 0.04 * turn / 2, r2 * turn / 2)
    found = uncertainty(Reading(0.04, 30.0), Reading(r2, 30.0), 0.014, angle)
    assert found == pytest.approx(plain, rel=1e-9)


def test_what_angles_bend_counts_where_the_difference_is_long() -> None:
    """Opposite directions: to first order the angles do nothing; to second order half the distance
    of (r1, r2, θ ± δ) shortens by r1 r2 δ² / (4 · (r1 + r2) / 2), δ² = 2 · turn²."""
    r1, r2, turn = 0.3, 0.28, math.radians(15.0)
    bow = r1 * r2 * (2 * turn**2) / (4 * (r1 + r2))
    found = uncertainty(Reading(r1, 0.0), Reading(r2, 180.0), 0.014, 15.0)
    assert found == pytest.approx(math.hypot(0.014 / math.sqrt(2), bow), rel=1e-9)
    assert uncertainty(Reading(r1), Reading(r2), 0.014, 15.0) == pytest.approx(0.014 / math.sqrt(2))
    # The direction of a run-out of nothing is none: the readings' own errors alone are left.
    small = uncertainty(Reading(0.0), Reading(0.3, 90.0), 0.014, 15.0)
    assert small == pytest.approx(0.014 / math.sqrt(2))


def test_half_the_difference_and_half_the_sum_bound_both() -> None:
    """0.05 and 0.03: between 0.01 and 0.04, the mandrel's as the collet's; one direction alone adds
    nothing to that."""
    for pair in (
        (Reading(0.05), Reading(0.03)),
        (Reading(0.05, 0.0), Reading(0.03)),
        (Reading(0.05), Reading(0.03, 90.0)),
    ):
        found = half_turn(*pair)
        assert (found.mandrel_low, found.mandrel_high) == pytest.approx((0.01, 0.04))
        assert (found.collet_low, found.collet_high) == pytest.approx((0.01, 0.04))


def test_a_collet_that_explains_all_of_it_leaves_the_mandrel_true() -> None:
    """Both amounts 1/16 (exact in binary), the collet no less: c² is all of (a² + b²)/2."""
    found = half_turn(Reading(0.0625), Reading(0.0625), (0.0625, 0.07))
    assert (found.mandrel_low, found.mandrel_high) == (0.0, 0.0)
    assert (found.collet_low, found.collet_high) == (0.0625, 0.0625)
