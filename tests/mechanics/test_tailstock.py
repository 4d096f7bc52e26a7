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
