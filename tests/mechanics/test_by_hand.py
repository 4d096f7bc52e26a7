"""Joints, plays, walls, budgets, speeds and lives worked out by hand, figure by figure."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from mandrelgen.core.tolerance import Toleranced
from mandrelgen.mechanics.budget import (
    Cause,
    Origin,
    budget,
    gains,
    remount_shift,
    remount_shifts,
    thinnest_wall,
)
from mandrelgen.mechanics.fit import spacing_error
from mandrelgen.mechanics.joint import close, drill_point, walls_of_tenon
from mandrelgen.mechanics.life import trial_life
from mandrelgen.mechanics.locate import centring_residual, envelope, face_tilt
from mandrelgen.mechanics.play import ThreadPlay, root_max, root_min, thread_play, wall
from mandrelgen.mechanics.practice import power_bound
from mandrelgen.mechanics.screw import Screw, needs_flats
from mandrelgen.mechanics.speed import spindle_speed
from mandrelgen.mechanics.work_speed import limits as speed_limits
from mandrelgen.standards.designation import parse
from mandrelgen.standards.threads import Band, limits

SCREW = limits(parse("M12x1-6g"), True)
NUT = limits(parse("M12x1-6H"), False)


def test_play_of_a_published_pair() -> None:
    """M12x1: 6g 11.974/11.794, 11.324/11.206, d1 max 10.891; 6H D 12, 11.350/11.510,
    10.917/11.153 (the limits of the tables in tests/validation/test_iso_965_1.py, subtracted)."""
    play = thread_play(SCREW, NUT)
    assert play.pitch_min == pytest.approx(11.350 - 11.324)
    assert play.pitch_max == pytest.approx(11.510 - 11.206)
    assert play.outside == pytest.approx(12 - 11.974)
    assert play.inside == pytest.approx(10.917 - 10.891)
    assert play.tightest == pytest.approx(0.026)
    assert root_min(SCREW) == pytest.approx(11.206 - 0.616025)  # root R = 0.125 P: H − 0.25 P
    assert root_max(NUT) == pytest.approx(11.510 + 0.793857)  # 11/12 H above D2 max
    assert wall(11.0, 9.0) == 1.0
    open_nut = replace(NUT, pitch=Band(NUT.pitch.min, None))
    with pytest.raises(ValueError, match="not set"):
        thread_play(SCREW, open_nut)


@pytest.mark.parametrize(("flanks", "outside", "inside"), [
    (-0.01, 0.02, 0.03), (0.02, -0.01, 0.03), (0.03, 0.02, -0.01),
])  # fmt: skip
def test_the_tightest_place_of_three_decides(flanks: float, outside: float, inside: float) -> None:
    assert ThreadPlay(flanks, 0.2, outside, inside).tightest == -0.01


def test_a_joint_closes_as_drawn() -> None:
    """A tenon of 9 ± 0.1 with its last full thread 8 from the shoulder and 1.5 unformed; the nut's
    thread full from 1 to 8.5, its hole 10 deep; lead 2.4."""
    sizes = {
        "tenon_length": Toleranced(9.0, 8.9, 9.1),
        "tenon_full_end": 8.0,
        "unformed": 1.5,
        "start": 1.0,
        "full": 8.5,
        "hole_end": 10.0,
        "lead": 2.4,
    }
    joint = close(**sizes)  # type: ignore[arg-type]
    assert joint.travel == 7.0
    assert joint.turns == pytest.approx(7 / 2.4)
    assert joint.engaged == 6.5  # 1.5 to 8
    assert joint.shoulder_gap == 0.5
    assert joint.bottom_room == pytest.approx(0.9)
    assert joint.thread_room == 0.5
    short = close(**{**sizes, "full": 6.0, "unformed": 0.5})  # type: ignore[arg-type]
    assert (short.engaged, short.shoulder_gap, short.thread_room) == (5.0, 0.0, -2.0)
    apart = close(**{**sizes, "start": 9.5, "full": 10.0})  # type: ignore[arg-type]
    assert (apart.travel, apart.turns, apart.engaged) == (0.0, 0.0, 0.0)


def test_a_drill_s_point() -> None:
    """0.30 d at 118°, half the diameter at 90° (trade's rule; geometry)."""
    assert drill_point(10, 118) == pytest.approx(3.0, abs=0.005)
    assert drill_point(10, 90) == pytest.approx(5)


def test_walls_under_a_tenon_count_only_what_reaches_it() -> None:
    inner = limits(parse("M8x0.75-6H"), False)
    holes = [(0.0, 7.0), (4.0, 8.5), (9.0, 11.0)]  # the widest begins where the tenon has ended
    (threads, bore) = walls_of_tenon(SCREW, 9.0, inner, holes)
    root = 11.206 - 0.616025
    assert threads == (
        "external thread and internal thread",
        pytest.approx((root - root_max(inner)) / 2),
    )
    assert bore == ("external thread and bore", pytest.approx((root - 8.5) / 2))
    assert walls_of_tenon(SCREW, 9.0, None, []) == []


def test_budget_of_shares_that_strike_twice() -> None:
    """Off and on again: play 0.03 strikes twice, a mandrel's 0.04 once, turned by half a turn of a
    two-start thread (2 sin 90° = 2): worst 0.06 + 0.08, variance 2·0.03² + 0.08²."""
    play = Cause("fit", "play", Origin.FIT, 0.03)
    mandrel = Cause("mandrel", "run-out", Origin.MANDREL, 0.04)
    part = Cause("part", "its own", Origin.PART, 0.5)
    shift = remount_shift([play, mandrel, part], 7.0, starts=2)
    assert shift.z == 7.0
    assert shift.worst == pytest.approx(0.14)
    assert shift.statistical == pytest.approx(math.sqrt(2 * 0.03**2 + 0.08**2))
    assert [(s.cause.id, s.draws) for s in shift.shares] == [("mandrel", 1), ("fit", 2)]
    fit = shift.shares[1]
    assert fit.of_worst == pytest.approx(0.06 / 0.14)
    assert fit.of_variance == pytest.approx(0.0018 / 0.0082)
    assert [s.cause.id for s in remount_shift([play, mandrel, part], 7.0).shares] == ["fit"]
    # Halving the play: 0.75 · 2 · 0.03² off the variance.
    gain = next(g for g in gains(shift) if g.cause is play)
    assert gain.worst == pytest.approx(0.03)
    assert gain.statistical == pytest.approx(math.sqrt(0.0082) - math.sqrt(0.0082 - 0.00135))
    # By size and number of strikes: 0.03 twice stands before 0.05 once.
    larger = Cause("collet", "collet", Origin.COLLET, 0.05 / math.sqrt(3))
    three = remount_shift([larger, play], 0.0, starts=3)  # 2 sin 60° = √3
    assert [s.cause.id for s in three.shares] == ["fit", "collet"]
    nothing = budget([Cause("a", "none", Origin.PART)], 3.0)
    assert (nothing.z, nothing.worst) == (3.0, 0.0)
    assert [(s.of_worst, s.of_variance) for s in nothing.shares] == [(0.0, 0.0)]


def test_gripped_anew_the_collet_strikes_too() -> None:
    """Play 0.03 twice; gripped anew the collet's 0.05 twice as well: 0.06, and 0.06 + 0.10."""
    held = [Cause("fit", "play", Origin.FIT, 0.03), Cause("c", "collet", Origin.COLLET, 0.05)]
    kept, anew = remount_shifts(held, 0.0)
    assert kept == pytest.approx((0.06, math.sqrt(2 * 0.03**2)))
    assert anew == pytest.approx((0.16, math.sqrt(2 * 0.03**2 + 2 * 0.05**2)))


def test_a_wall_carries_its_budget() -> None:
    found = thinnest_wall(12.0, 10.0, [Cause("a", "a", Origin.FIT, 0.1)], 4.0)
    assert found.budget.z == 4.0
    assert found.budget.shares[0].eccentricity == 0.1


def test_bounds_at_one_place_and_a_part_that_is_square() -> None:
    """Two bounds at the same z, the tighter counts; friction and residual at their edges."""
    assert envelope([(0, 0.1), (0, 0.02), (10, 0.02)], 5) == pytest.approx(0.02)
    assert envelope([(0, 0.02), (0, 0.1), (10, 0.02)], 5) == pytest.approx(0.02)
    assert face_tilt(0.01, 0.5) == pytest.approx(0.02)
    assert centring_residual(0.0, 0.25) == 0.25
    assert centring_residual(0.1, 0.0) == 0.0
    assert centring_residual(0.1, 1.0) == 1.0
    assert spacing_error(2.4, 1.5) == pytest.approx(0.01)  # 1.5° of a lead of 2.4


def test_life_by_hand() -> None:
    """55 MPa, a quarter for hours: 13.75 at 20 °C; at 35 °C, softening at 70, 35/50 of it is left:
    9.625. Twice that stress: an eighth of 5 to 10 pens."""
    full = trial_life(9.625, 55, 70)
    assert (full.low, full.high, full.use) == (5, 10, pytest.approx(1.0))
    twice = trial_life(19.25, 55, 70)
    assert (twice.low, twice.high, twice.use) == (0, 1, pytest.approx(2.0))
    assert "9.6 MPa allowed" in twice.basis
    half = trial_life(9.625 * 1.2, 55, 70)  # 1.2^-3 = 0.579
    assert (half.low, half.high) == (2, 5)
    cold = trial_life(13.75, 55, 70, warm=10.0)  # colder than 20 °C bears no more than at 20
    assert cold.use == pytest.approx(1.0)
    idle = trial_life(0.0, 55, 70)
    assert (idle.low, idle.high, idle.use) == (5, 10, 0.0)
    for stress in (0.0, 1.0):
        soft = trial_life(stress, 55, 34)
        assert (soft.low, soft.high, soft.use) == (0, 0, math.inf)
        assert "soft at 35 °C" in soft.basis
    assert trial_life(0.1, 0.5, 70).high == 6  # 0.0875 allowed: (0.1/0.0875)^-3 = 0.67
    for bad in ((1, 0, 70), (-1, 55, 70), (1, 55, 20)):
        with pytest.raises(ValueError, match="needs a strength"):
            trial_life(*bad)


@pytest.mark.parametrize("which", range(4))
def test_sizes_and_speeds_must_be_above_nothing(which: int) -> None:
    assert speed_limits(0.5, 0.5)  # small, but something
    for bad in ((0.0, 90_000.0), (3000.0, 0.0)):
        with pytest.raises(ValueError, match="above 0"):
            speed_limits(*bad)
    powers = [370.0, 1500.0, 13.0][: which + 1] + [370.0, 1500.0, 13.0][which + 1 :]
    if which < 3:
        powers[which] = 0.0
        with pytest.raises(ValueError, match="above 0"):
            power_bound(*powers)
    assert spindle_speed(0.5, 30) == pytest.approx(19098.6, abs=0.05)  # 1000·30/(π·0.5)
    with pytest.raises(ValueError, match="above 0"):
        spindle_speed(0.0, 30)


@pytest.mark.parametrize("which", ["lead", "pitch_diameter", "seat_mean", "thread", "seat"])
def test_a_screw_has_no_negative_sizes(which: str) -> None:
    with pytest.raises(ValueError, match=r"above 0|negative"):
        Screw(**{"lead": 1.0, "pitch_diameter": 10.0, "seat_mean": 5.0, which: -0.1})


def test_the_bounds_that_decide_need_not_stand_side_by_side() -> None:
    """Tight at 0 and at 10 (0.01), wide at 1 and at 11 (1.0), listed along the axis: at 20 a line
    through (0, −0.01) and (10, 0.01) stands 0.03 off."""
    bounds = [(0.0, 0.01), (1.0, 1.0), (10.0, 0.01), (11.0, 1.0)]
    assert envelope(bounds, 20.0) == pytest.approx(0.03)
    assert envelope(bounds, 5.0) == pytest.approx(0.01)


def test_at_the_limit_of_friction_no_centring_is_counted_on() -> None:
    """tan 15°: just there flanks and face hold each other, and all of the play is left."""
    assert centring_residual(math.tan(math.radians(15)), 0.25) == 1.0
    assert centring_residual(0.2679, 0.25) == 0.25


def test_a_weak_motor_pushes_weakly() -> None:
    """0.5 W at 1500 rev/min: 0.5/(50 π) N·m, over a radius of 6.5 mm."""
    force, torque = power_bound(0.5, 1500.0, 13.0)
    assert torque == pytest.approx(0.5 / (50 * math.pi))
    assert force == pytest.approx(0.5 / (50 * math.pi) / 0.0065)


def test_what_a_strap_just_frees_needs_no_flats() -> None:
    assert not needs_flats(3.0, 3.0)
    assert needs_flats(3.001, 3.0)
