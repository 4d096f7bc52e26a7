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
