"""Joints, plays, walls, budgets, speeds and lives worked out by hand, figure by figure."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from mandrelgen.core.tolerance import Toleranced
from mandrelgen.mechanics.budget import Cause, Origin, budget, gains, remount_shift, thinnest_wall
from mandrelgen.mechanics.fit import spacing_error
from mandrelgen.mechanics.holding import (
    ColletHold,
    Holding,
    Locator,
    PartEnd,
    SeatFace,
    State,
    Surface,
    causes,
    conflicts,
    governing_locator,
)
from mandrelgen.mechanics.joint import close, drill_point, walls_of_tenon
from mandrelgen.mechanics.life import trial_life
from mandrelgen.mechanics.locate import centring_residual, envelope, face_tilt
from mandrelgen.mechanics.play import ThreadPlay, root_max, root_min, thread_play, wall
from mandrelgen.mechanics.practice import power_bound
from mandrelgen.mechanics.screw import Screw
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


# A plug: a thread from 0 to 8 with 0.10 play, a spigot from 10 to 30 with 0.02, both run out, a
# seat, a collet. Figures below by the module's rules: half plays, half run-outs, tilts about z.
PLUG = Holding(
    (
        Locator(
            id="thread.pitch_diameter",
            on=Surface.THREAD,
            clearance=0.10,
            z0=0.0,
            z1=8.0,
            clearance_min=0.04,
            run_out=0.010,
            run_out_id="",
            label="thread",
        ),
        Locator(
            id="spigot.diameter",
            on=Surface.BORE,
            clearance=0.02,
            z0=10.0,
            z1=30.0,
            clearance_min=0.01,
            run_out=0.006,
            run_out_id="spigot.runout",
        ),
    ),
    PartEnd(0.02, 12.0, 0.5, 0.001),
    ColletHold(0.02, 40.0, 60.0),
    SeatFace(0.008, 13.0),
)


def found(held: Holding, state: State, follow: Surface, z: float = 0.0) -> dict[str, Cause]:
    every = causes(held, state, follow, z)
    for c in every:
        assert isinstance(c.origin, Origin)
        assert c.label
    named = {c.id: c for c in every}
    assert len(named) == len(every)
    return named


def test_causes_where_the_thread_is_followed() -> None:
    """The spigot lets the thread's axis go 0.010 + 0.003 + drift 0.001·20 = 0.033 off; the loose
    thread 0.050 + 0.005: the spigot governs. Pulled tight a quarter of the thread's play is left,
    0.0125 + 0.005 = 0.0175: it governs."""
    loose = found(PLUG, State.LOOSE, Surface.THREAD)
    assert set(loose) == {
        "collet.runout", "part.face", "part.thread", "seat.runout",
        "spigot.diameter", "spigot.runout", "part.bore",
    }  # fmt: skip
    collet = loose["collet.runout"]  # half the TIR, grown from 40 to 60 mm
    assert (collet.lateral, collet.tilt, collet.origin) == (
        pytest.approx(0.015), pytest.approx(0.01 / 40), Origin.COLLET,
    )  # fmt: skip
    assert loose["part.face"].tilt == pytest.approx(0.02 / 12)
    assert loose["part.thread"].tilt == pytest.approx(math.radians(0.5))
    assert (loose["seat.runout"].tilt, loose["seat.runout"].origin) == (
        pytest.approx(0.008 / 13), Origin.MANDREL,
    )  # fmt: skip
    play = loose["spigot.diameter"]
    assert (play.lateral, play.origin, play.label) == (
        0.01, Origin.FIT, "play of the bore locator",
    )  # fmt: skip
    assert (loose["spigot.runout"].lateral, loose["spigot.runout"].origin) == (
        0.003, Origin.MANDREL,
    )  # fmt: skip
    assert (loose["part.bore"].lateral, loose["part.bore"].origin) == (
        pytest.approx(0.02), Origin.PART,
    )  # fmt: skip
    tight = found(PLUG, State.TIGHT, Surface.THREAD)
    held_by = tight["thread.pitch_diameter"]
    assert held_by.lateral == pytest.approx(0.0125)
    assert held_by.label == "thread (tightened: estimate)"
    assert tight["thread.pitch_diameter.runout"].lateral == pytest.approx(0.005)
    assert "part.bore" not in tight


def test_causes_where_the_bore_is_followed() -> None:
    """The spigot holds the bore itself: about its middle the drift tilts it, at the thread about
    the mouth."""
    bore = found(PLUG, State.LOOSE, Surface.BORE, 20.0)
    drift = bore["part.bore"]
    assert (drift.tilt, drift.pivot, drift.lateral) == (0.001, 20.0, 0.0)
    assert drift.origin is Origin.PART
    alone = replace(PLUG, locators=PLUG.locators[:1])
    by_thread = found(alone, State.LOOSE, Surface.BORE, 20.0)["part.bore"]
    assert (by_thread.tilt, by_thread.pivot) == (0.001, 0.0)
    assert found(alone, State.LOOSE, Surface.THREAD)["thread.pitch_diameter"].label == "thread"


def test_the_governing_locator_depends_on_state_axis_and_place() -> None:
    def governs(state: State, follow: Surface, z: float) -> str:
        return governing_locator(PLUG, state, follow, z).id.split(".")[0]

    assert governs(State.LOOSE, Surface.THREAD, 0.0) == "spigot"
    assert governs(State.TIGHT, Surface.THREAD, 0.0) == "thread"
    # The bore's axis at 20: 0.010 + 0.003 by the spigot, 0.0125 + 0.005 + 0.020 by the thread.
    assert governs(State.TIGHT, Surface.BORE, 20.0) == "spigot"
    # The thread's axis at 20: it does not drift off itself, off the spigot's by 0.020 everywhere.
    assert governs(State.TIGHT, Surface.THREAD, 20.0) == "thread"
    assert "thread.pitch_diameter" in found(PLUG, State.TIGHT, Surface.THREAD, 20.0)
    # At 0: 0.013 + 0.020 by the spigot, 0.0175 by the thread, where bore and thread meet.
    assert governs(State.TIGHT, Surface.BORE, 0.0) == "thread"
    # A run-out counts by its half: two bores alike but for it.
    twins = (
        Locator(id="a", on=Surface.BORE, clearance=0.02, z0=0, z1=10, run_out=0.03),
        Locator(id="b", on=Surface.BORE, clearance=0.04, z0=0, z1=10, run_out=0.0),
    )
    assert governing_locator(Holding(twins, PartEnd()), State.LOOSE, Surface.BORE).id == "b"
    less = (replace(twins[0], run_out=0.019), twins[1])
    assert governing_locator(Holding(less, PartEnd()), State.LOOSE, Surface.BORE).id == "a"


def test_a_place_that_is_not_named_is_the_seat() -> None:
    """Drift 0.01. At the seat the thread lets the bore's axis go 0.010 off, a bore locator about
    its middle at 1 0.005 + 0.010: the thread governs. At 1 it is 0.010 + 0.010 against 0.005."""
    pair = (
        Locator(id="thread", on=Surface.THREAD, clearance=0.020, z0=0.0, z1=2.0),
        Locator(id="bore", on=Surface.BORE, clearance=0.010, z0=0.5, z1=1.5),
    )
    held = Holding(pair, PartEnd(bore_drift=0.01), seat=SeatFace(0.0, 12.0))
    assert governing_locator(held, State.LOOSE, Surface.BORE).id == "thread"
    assert governing_locator(held, State.LOOSE, Surface.BORE, 1.0).id == "bore"
    assert "thread" in {c.id for c in causes(held, State.LOOSE, Surface.BORE)}
    assert "bore" in {c.id for c in causes(held, State.LOOSE, Surface.BORE, 1.0)}


def test_a_collet_s_run_out_needs_a_distance() -> None:
    """0.02 measured half a millimetre from the face: half of it, twice that at 1 mm, and a tilt of
    0.01/0.5. At the face itself it says nothing of a tilt."""
    near = replace(PLUG, collet=ColletHold(0.02, 0.5, 1.0))
    collet = found(near, State.LOOSE, Surface.THREAD)["collet.runout"]
    assert (collet.lateral, collet.tilt) == (pytest.approx(0.02), pytest.approx(0.02))
    with pytest.raises(ValueError, match="distance it was measured at"):
        causes(replace(PLUG, collet=ColletHold(0.02, 0.0, 1.0)), State.LOOSE)


@pytest.mark.parametrize(("slope", "lateral"), [(0.0005, 0.01), (-0.0005, 0.005), (0.0, 0.005)])
def test_two_readings_of_a_collet_say_how_it_leans(slope: float, lateral: float) -> None:
    """0.010 at the face and 0.0005 more each millimetre: 0.020 at 20 mm, half of it off the axis.
    Where it grows less outwards it is never taken less than at the face."""
    collet = ColletHold(0.010, 5.0, 20.0, id="collet.a", slope=slope)
    cause = found(replace(PLUG, collet=collet), State.LOOSE, Surface.THREAD)["collet.a"]
    assert cause.lateral == pytest.approx(lateral)
    assert cause.tilt == pytest.approx(abs(slope) / 2)
    assert cause.origin is Origin.COLLET


def test_what_is_true_adds_no_cause() -> None:
    """A part and a locator without errors: the seat and the play are left; a face that is out of
    square counts on a seat alone."""
    spigot = Locator(id="spigot", on=Surface.BORE, clearance=0.02, z0=10.0, z1=30.0)
    true = Holding((spigot,), PartEnd(), seat=SeatFace(0.008, 13.0))
    for follow in Surface:
        assert [c.id for c in causes(true, State.LOOSE, follow)] == ["seat.runout", "spigot"]
    askew = replace(true, part=PartEnd(face_squareness=0.03, face_diameter=12.0))
    assert "part.face" in {c.id for c in causes(askew, State.LOOSE)}
    unseated = causes(replace(askew, seat=None), State.LOOSE)
    assert [c.id for c in unseated] == ["spigot"]


def test_without_a_seat_play_tilts_the_part() -> None:
    """One spigot, 0.02 play from 10 to 30, run-out 0.006: at its ends the bore's axis is within
    0.010 + 0.003; at the mouth, z = 0, on a line through (10, −0.013) and (30, 0.013)."""
    free = replace(PLUG, seat=None, locators=PLUG.locators[1:], part=PartEnd(bore_drift=0.001))
    (cause,) = (c for c in causes(free, State.LOOSE, Surface.BORE) if c.play)
    assert (cause.id, cause.origin, cause.label) == (
        "spigot.diameter", Origin.FIT, "play, no seat",
    )  # fmt: skip
    assert cause.at(20) == pytest.approx(0.013)
    assert cause.at(0) == pytest.approx(0.013 * 2)
    # The thread's axis: the drift over the far end (0.001·30) widens both bounds.
    (wider,) = (c for c in causes(free, State.LOOSE, Surface.THREAD) if c.play)
    assert wider.at(20) == pytest.approx(0.043)
    # A second locator tightens: all bounds count, not the last alone.
    both = replace(
        free, locators=(Locator(id="a", on=Surface.BORE, clearance=0.0, z0=0, z1=5), *free.locators)
    )
    (narrow,) = (c for c in causes(both, State.LOOSE, Surface.BORE) if c.play)
    assert (narrow.id, narrow.at(0)) == ("a", 0.0)


def test_locators_that_run_out_bind() -> None:
    """Two spigots on one axis with 0.01 least play each: 0.010 available; they run out 0.008 and
    0.014: 0.011 needed. The thread leans 0.01 rad over 4 mm with 0.03 play: 0.0075 is room."""
    a = Locator(
        id="a", on=Surface.BORE, clearance=0.05, z0=0, z1=5, clearance_min=0.01, run_out=0.008
    )
    b = Locator(
        id="b", on=Surface.BORE, clearance=0.05, z0=10, z1=15, clearance_min=0.01, run_out=0.014
    )
    (bind,) = conflicts(Holding((a, b), PartEnd()))
    assert (bind.id, bind.needed, bind.available) == (
        "a+b", pytest.approx(0.011), pytest.approx(0.01),
    )  # fmt: skip
    assert "a and b can stand 0.011 off each other" in bind.message
    assert bind.most == pytest.approx(0.05)  # half of both plays at their largest
    assert not bind.certain
    (unsaid,) = conflicts(
        Holding(
            (Locator(id="a", on=Surface.BORE, clearance=0.05, z0=0, z1=5, run_out=0.001), b),
            PartEnd(),
        )
    )
    assert unsaid.available == pytest.approx(0.005)  # a least play that is not given is none
    just = replace(b, run_out=0.012)
    assert conflicts(Holding((replace(a, clearance_min=0.0101), just), PartEnd())) == ()
    thread = Locator(id="t", on=Surface.THREAD, clearance=0.05, z0=2, z1=6, clearance_min=0.03)
    part = PartEnd(thread_tilt=math.degrees(0.01))
    (lean,) = conflicts(Holding((thread,), part, seat=SeatFace(0.01, 12)))
    assert (lean.needed, lean.available) == (pytest.approx(0.01), pytest.approx(0.0075))
    assert "t's play" in lean.message
    assert lean.most == pytest.approx(0.0125)  # 0.05 over 4 mm
    assert not lean.certain
    (stands,) = conflicts(
        Holding((replace(thread, clearance=0.0399),), part, seat=SeatFace(0.01, 12))
    )
    assert stands.certain
    assert conflicts(Holding((thread,), part)) == ()  # without a seat nothing is kept off it


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
