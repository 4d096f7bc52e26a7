"""The tailstock's own thrust, and what the far end offers it."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mandrelgen.mechanics.tailstock import (
    Allowed,
    bears_centre,
    centre_hoop,
    propped,
    smallest_mouth,
)
from mandrelgen.spec.pen import FarEnd

ACRYLIC = 62.0


def test_a_centre_in_a_thin_ring() -> None:
    """Barlow: a thin ring's hoop stress is p r / t; F cot 30° round a band of 1 on ⌀10/⌀10.2."""
    pressure = 50 * math.sqrt(3) / (math.pi * 10)
    assert centre_hoop(50, 10, 10.2) == pytest.approx(pressure * 5 / 0.1, rel=0.02)


def test_what_the_far_end_offers() -> None:
    known = {"strength": ACRYLIC, "asked": 2.0, "bore": 7.0, "outer": 11.0}
    assert propped(FarEnd.PIP, **known).allowed is Allowed.YES
    assert propped(FarEnd.BUTTON, **known, tapped=True).allowed is Allowed.YES
    assert propped(FarEnd.NOTHING, **known).allowed is Allowed.NO
    assert propped(None, **known).allowed is Allowed.ASK
    bore = propped(FarEnd.BORE, **known)
    assert bore.allowed is Allowed.YES
    assert bore.hoop == pytest.approx(27.9, abs=0.05)
    tapped = propped(FarEnd.BORE, **known, tapped=True)
    assert tapped.allowed is Allowed.NO
    assert "tapped" in tapped.why
    gone = propped(FarEnd.BORE, strength=ACRYLIC, asked=2.0, bore=11.0, outer=11.0)
    assert (gone.allowed, gone.bears) == (Allowed.NO, 0.0)
    unsaid = propped(FarEnd.BORE, strength=ACRYLIC, asked=2.0, bore=0.5)
    assert (unsaid.allowed, unsaid.bears) == (Allowed.NO, 0.0)  # no outside, no wall
    small = propped(FarEnd.BORE, strength=410.0, asked=2.0, bore=0.9, outer=11.0)
    assert small.bears > 0.0  # a bore under 1 mm is a bore


@pytest.mark.parametrize(
    ("end", "outer", "tapped", "why"),
    [
        (None, 11.0, False, "the far end is not said: a pip, a button or a bore"),
        (FarEnd.NOTHING, 11.0, False, "leave a pip or fit a button"),
        (FarEnd.PIP, 11.0, False, "the centre stands in a pip"),
        (FarEnd.BORE, 11.0, False, "a light hand on the tailstock"),
        (FarEnd.BORE, 11.0, True, "never a bare centre in a tapped mouth: fit a button"),
        (FarEnd.BORE, 7.0, False, "no wall is left at the mouth: fit a button"),
        (FarEnd.BORE, 8.0, False, "the mouth is too thin for a bare centre"),
    ],
)
def test_why_a_centre_may_stand_or_not(
    end: FarEnd | None, outer: float, tapped: bool, why: str
) -> None:
    found = propped(end, strength=ACRYLIC, asked=2.0, bore=7.0, outer=outer, tapped=tapped)
    assert why in found.why
    assert found.thrust == 150.0  # a light hand's greatest thrust (estimate)
    if end is FarEnd.BORE and outer > 7.0:  # what the mouth bears is told, allowed or not
        assert found.bears == pytest.approx(bears_centre(ACRYLIC, 7.0, outer))
        assert found.hoop == pytest.approx(centre_hoop(150.0, 7.0, outer))
    elif end is not FarEnd.BORE:
        assert (found.hoop, found.bears) == (0.0, math.inf)


def test_both_sides_of_a_mouth_that_is_just_enough() -> None:
    least = smallest_mouth(ACRYLIC, 2.0, 7.0)
    assert least is not None
    for outer, wanted in ((least + 0.01, Allowed.YES), (least - 0.01, Allowed.NO)):
        found = propped(FarEnd.BORE, strength=ACRYLIC, asked=2.0, bore=7.0, outer=outer)
        assert found.allowed is wanted
    assert smallest_mouth(10.0, 1.0, 7.0) is None  # 11.8 MPa of pressure alone


@pytest.mark.parametrize(("bore", "outer", "band"), [(0, 11, 1), (7, 7, 1), (7, 11, 0)])
def test_no_mouth_no_figure(bore: float, outer: float, band: float) -> None:
    with pytest.raises(ValueError, match=r"above 0|no wall"):
        centre_hoop(50, bore, outer, band)


@given(
    bore=st.floats(2, 12),
    wall=st.floats(0.3, 5),
    more=st.floats(0.01, 3),
    thrust=st.floats(1, 500),
)
def test_thicker_wider_lighter_is_never_worse(
    bore: float, wall: float, more: float, thrust: float
) -> None:
    outer = bore + 2 * wall
    stress = centre_hoop(thrust, bore, outer)
    assert centre_hoop(thrust, bore, outer + more) < stress
    assert centre_hoop(thrust, bore, outer, 1.0 + more) < stress
    assert centre_hoop(thrust + more, bore, outer) > stress
    assert centre_hoop(bears_centre(ACRYLIC, bore, outer), bore, outer) == pytest.approx(ACRYLIC)


def test_any_thrust_spreads_the_mouth_and_none_does_not() -> None:
    """Half a newton: p = 0.5·√3/(π·7·1), Lamé (11² + 7²)/(11² − 7²) = 170/72 times that."""
    assert centre_hoop(0.0, 7, 11) == 0.0
    assert centre_hoop(0.5, 7, 11) == pytest.approx(0.5 * math.sqrt(3) / (math.pi * 7) * 170 / 72)
    with pytest.raises(ValueError, match="thrust"):
        centre_hoop(-0.1, 7, 11)


def test_a_wider_band_bears_more_thrust() -> None:
    """Twice the band, half the pressure: 62 / (√3/(π·7·2) · 170/72) N."""
    by_hand = 62 / (math.sqrt(3) / (math.pi * 7 * 2) * 170 / 72)
    assert bears_centre(62, 7, 11, 2.0) == pytest.approx(by_hand)
    assert bears_centre(62, 7, 11) == pytest.approx(by_hand / 2)


def test_a_bore_that_is_not_said_is_no_mouth() -> None:
    for bore in ({}, {"bore": 0.0}):
        found = propped(FarEnd.BORE, strength=ACRYLIC, asked=2.0, outer=11.0, **bore)
        assert (found.allowed, found.bears, found.hoop) == (Allowed.NO, 0.0, 0.0)


def test_a_mouth_that_bears_just_what_is_asked_takes_the_centre() -> None:
    """150 N on ⌀7 in ⌀11: 150·√3/(π·7)·170/72 MPa, and twice that for the strength."""
    hoop = 150 * math.sqrt(3) / (math.pi * 7) * 170 / 72
    for strength, wanted in ((2 * hoop, Allowed.YES), (2 * hoop - 1e-6, Allowed.NO)):
        found = propped(FarEnd.BORE, strength=strength, asked=2.0, bore=7.0, outer=11.0)
        assert found.allowed is wanted


def test_no_outside_is_enough_where_the_pressure_alone_is_the_strength() -> None:
    """p = 150·cot 30°/(π·7·1): at a strength of p even an endless ring gives way; at 1.5 p Lamé
    solved gives 7·√(2.5/0.5) = 7·√5."""
    pressure = 150 * (1 / math.tan(math.radians(30))) / (math.pi * 7 * 1.0)
    assert smallest_mouth(pressure, 1.0, 7) is None
    assert smallest_mouth(1.5 * pressure, 1.0, 7) == pytest.approx(7 * math.sqrt(5))
