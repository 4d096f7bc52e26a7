"""Fit, screw, strength, speed and life: rules that must hold, and messages."""

from __future__ import annotations

import math
from dataclasses import fields

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mandrelgen.mechanics.fit import (
    effective_fit,
    lead_difference,
    longest_engagement,
    spacing_error,
    virtual_change,
    virtual_pitch_diameter,
)
from mandrelgen.mechanics.life import trial_life
from mandrelgen.mechanics.locate import centring_residual
from mandrelgen.mechanics.screw import Screw, freeing_torque, needs_flats, pull, tightens
from mandrelgen.mechanics.strength import (
    StrengthCheck,
    StripThread,
    burst_check,
    collet_slip_torque,
    hoop_outside,
    seat_pressure,
    stress_area,
    stripping,
    weakest,
)


def _binding_shrink(pitch: float, wrong: float, count: int) -> float:
    """By drawing: a 60° screw of pitch ``wrong`` in a nut of ``pitch``, ``count`` pitches long,
    same simple pitch diameter. How much must the screw shrink on diameter until no flank is in
    the nut, the screw pushed along the axis as suits best?"""
    slope = 1 / math.tan(math.radians(30))

    def overlap(shift: float) -> float:
        # Ridge k of the screw leaves its groove to the right or left by so much, as a depth.
        off = [shift + k * (wrong - pitch) for k in range(count + 1)]
        return max(abs(o) for o in off) * slope

    best = min(overlap(-i * count * abs(wrong - pitch) / 2000 * s)
               for i in range(2001) for s in (1, -1))  # fmt: skip
    return 2 * best


def test_lead_error_by_drawing() -> None:
    """32 threads an inch in 0.8 over 8 pitches against the drawn profiles."""
    wrong = 25.4 / 32
    axial = lead_difference(wrong, 0.8, 6.4)
    assert axial == pytest.approx(8 * (0.8 - wrong))
    assert virtual_change(axial) == pytest.approx(_binding_shrink(0.8, wrong, 8), rel=1e-3)


def test_spacing_of_starts() -> None:
    """Lead 3: 8.3 µm for a degree of indexing; 10 µm eat 17 of the fit (computed by hand)."""
    assert spacing_error(1, 3) * 1e3 == pytest.approx(8.33, abs=0.01)
    assert virtual_change(0.010) == pytest.approx(0.01732, abs=5e-6)
    assert virtual_pitch_diameter(9, 0.01, True) == pytest.approx(9.01732, abs=1e-5)
    assert virtual_pitch_diameter(9, 0.01, False) == pytest.approx(8.98268, abs=1e-5)


def test_binding_words() -> None:
    assert effective_fit(0.03, 0.2).binds == "never"
    assert effective_fit(0.03, 0.2, 0.02, 0.01).eaten == pytest.approx(0.03 * 3**0.5)
    assert effective_fit(0.03, 0.2, 0.02).binds == "sometimes"
    assert effective_fit(0.03, 0.2, 0.1, 0.1).binds == "always"
    with pytest.raises(ValueError, match="above 0"):
        lead_difference(0, 1, 1)


@settings(deadline=None)
@given(
    st.floats(0, 0.4), st.floats(0.3, 3), st.floats(0.3, 3), st.floats(0.5, 20)
)  # fmt: skip
def test_longest_engagement_is_where_play_ends(
    play: float, a: float, b: float, shorter: float
) -> None:
    longest = longest_engagement(play, a, b)
    if math.isinf(longest):
        assert virtual_change(lead_difference(a, b, shorter)) == 0
    else:
        assert virtual_change(lead_difference(a, b, longest)) == pytest.approx(play, abs=1e-9)


@settings(deadline=None)
@given(st.floats(0.3, 6), st.floats(5, 20), st.floats(0, 0.4), st.floats(0, 0.4), st.floats(0.1, 3))
def test_freeing_is_easier_than_tightening(
    lead: float, d2: float, mu: float, seat: float, torque: float
) -> None:
    screw = Screw(lead=lead, pitch_diameter=d2, seat_mean=d2 + 1, thread=mu, seat=seat)
    assert freeing_torque(screw, torque) < torque
    assert 0 < pull(screw, torque) <= 2 * math.pi * torque * 1000 / lead * 1.0000001


def test_tightening_sense_and_flats() -> None:
    """In front of the headstock a right-hand thread tightens in forward running."""
    assert tightens(True, True)
    assert tightens(False, False)
    assert not tightens(True, False)
    assert not tightens(False, True)
    catch = freeing_torque(Screw(2.4, 12.3, 13.2), 2.0)
    assert 0 < catch < 2
    assert needs_flats(1.6, 1.5)
    assert not needs_flats(catch, 1.5)
    with pytest.raises(ValueError, match="above 0"):
        Screw(0, 10)
    with pytest.raises(ValueError, match="negative"):
        Screw(1, 10, thread=-0.1)


def test_centring_needs_low_friction() -> None:
    assert centring_residual(0.15, 0.25) == 0.25
    assert centring_residual(0.27, 0.25) == 1
    with pytest.raises(ValueError, match="residual"):
        centring_residual(0.1, 2)


def test_weakest_place_is_named() -> None:
    pair = StripThread(
        pitch=0.8,
        length=4,
        screw_major_min=12.4,
        screw_pitch_min=11.9,
        nut_minor_max=11.4,
        nut_pitch_max=12.3,
    )
    screw, nut = stripping(pair, 600, 294, 30, 2.0)
    lip = burst_check(600, 12.0, 4.0, 13.4, 12.8, 60, 2.0)
    neck = StrengthCheck(id="neck", label="neck", demand=10.2, capacity=294, unit="MPa", asked=1.5)
    worst = weakest([screw, nut, lip, neck])
    assert worst is lip
    assert not worst.passes
    assert neck.passes
    assert StrengthCheck(id="a", label="a", demand=0, capacity=1, unit="N").factor == math.inf
    assert StrengthCheck(id="just", label="safe by nothing", demand=4, capacity=4, unit="N").passes
    strict = StrengthCheck(
        id="strict", label="asked for more", demand=1, capacity=4, unit="N", asked=5.0
    )
    assert (
        weakest(
            [
                StrengthCheck(
                    id="plain",
                    label="less safe, less asked",
                    demand=1,
                    capacity=3,
                    unit="N",
                    asked=1.0,
                ),
                strict,
            ]
        )
        is strict
    )
    with pytest.raises(ValueError, match="no place"):
        weakest([])
    with pytest.raises(ValueError, match="no wall"):
        burst_check(600, 12.0, 4.0, 12.8, 12.8, 60)
    assert (
        StripThread(
            pitch=0.5,
            length=4,
            screw_major_min=10,
            screw_pitch_min=9,
            nut_minor_max=11,
            nut_pitch_max=10.5,
        ).screw_area
        == 0
    )


def test_small_strength_helpers() -> None:
    assert seat_pressure(100, 12, 10) == pytest.approx(100 / (math.pi / 4 * 44))
    with pytest.raises(ValueError, match="no width"):
        seat_pressure(100, 10, 10)
    assert hoop_outside(5, 10, 0) == 5
    assert stress_area(10, 1, 4) == pytest.approx(stress_area(10, 1) - 4 * math.pi)
    with pytest.raises(ValueError, match="engagement"):
        burst_check(1, 10, 0, 12, 11, 60)


@settings(deadline=None)
@given(st.floats(3, 20), st.floats(0.05, 0.3), st.floats(1, 60))
def test_collet_grips_more_with_size_and_torque(d: float, mu: float, torque: float) -> None:
    base = collet_slip_torque(d, mu, torque, 22)
    assert collet_slip_torque(d * 1.1, mu, torque, 22) > base
    assert collet_slip_torque(d, mu, torque * 1.1, 22) > base
    assert collet_slip_torque(d, mu * 1.1, torque, 22) > base


def test_collet_slip_by_hand() -> None:
    """15 N·m, K 0.2 on 22: 3409 N; cone 4° + atan 0.12 = 10.843°: 17 800 N; µ·r on 12: 12.8 N·m."""
    assert collet_slip_torque(12, 0.12, 15, 22) == pytest.approx(12.82, abs=0.01)
    with pytest.raises(ValueError, match="above 0"):
        collet_slip_torque(0, 0.1, 1, 1)


def test_life_of_a_trial_mandrel() -> None:
    """Hearsay: one of hard rubber about 5 to 10 pens; nothing near softening; labelled."""
    easy = trial_life(4, 55, 70)
    assert (easy.low, easy.high, easy.label) == (5, 10, "estimate")
    assert trial_life(0.5, 55, 70).high == 10
    assert "common practice, no source" in easy.basis
    assert trial_life(20, 55, 70).high < 10
    assert (trial_life(4, 55, 60, 60).high, trial_life(60, 55, 70).high) == (0, 0)
    with pytest.raises(ValueError, match="softening"):
        trial_life(1, 50, 20)


@settings(deadline=None)
@given(st.floats(0, 60), st.floats(20, 80), st.floats(40, 110), st.floats(1, 2), st.floats(20, 60))
def test_life_never_longer_under_more_stress_or_heat(
    stress: float, strength: float, softens: float, more: float, warm: float
) -> None:
    base = trial_life(stress, strength, softens, warm)
    assert 0 <= base.low <= base.high <= 10
    assert trial_life(stress * more, strength, softens, warm).high <= base.high
    assert trial_life(stress, strength, softens, warm + 5).high <= base.high


def test_a_strength_check_keeps_the_fields_that_records_hash() -> None:
    # A record's hash of its verdict covers these names: another set would reissue every draft.
    names = [f.name for f in fields(StrengthCheck)]
    assert names == ["id", "label", "demand", "capacity", "unit", "asked"]
    check = StrengthCheck(id="bend.b.neck", label="", demand=1, capacity=2, unit="MPa")
    assert (check.kind, check.at) == ("bend", "b.neck")
