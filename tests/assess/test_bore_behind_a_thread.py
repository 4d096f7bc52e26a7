"""A part that is held by the bore behind its thread: the spigot goes through the thread first.

M10x0.75-6H: D1 = 9.188 at least (ISO 965-1:2013). The bore behind it is ⌀9.2 or more.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from mandrelgen.assess.fitting import fitting
from tests.support.judged_pens import plug_pen
from tests.support.on_a_mandrel import bench, designed, made

SPIGOT = {"kind": "spigot", "holds": "body.mouth.bore"}


def hinders(lower: float, upper: float, bore: float, washer: float = 0.0) -> tuple[str, ...]:
    pen = plug_pen(wishes=SPIGOT, bore=[{"diameter": bore, "depth": 30.0, "made": "reamed"}])
    d = designed(plug_pen(wishes=SPIGOT))
    assert d.mandrel is not None
    assert d.wishes is not None
    m = made(d.mandrel, {"spigot1.diameter": (lower, upper)})
    wishes = replace(d.wishes, soft_washer=washer)
    return fitting(m, pen, bench(), d.planned, {}, None, wishes).hinders


@pytest.mark.parametrize("bore", [9.2, 9.4])
def test_a_spigot_that_fits_the_bore_and_not_the_thread_before_it_does_not_hold(
    bore: float,
) -> None:
    assert hinders(9.17, 9.188, bore) == ()
    assert hinders(9.17, 9.19, bore) == ("its spigot1 of ⌀9.19 does not pass ⌀9.188",)


def test_a_bore_narrower_than_the_thread_is_what_has_to_be_passed() -> None:
    assert hinders(8.9, 9.0, 9.0) == ()
    assert hinders(8.9, 9.01, 9.0) == ("its spigot1 of ⌀9.01 does not pass ⌀9",)


def test_a_spigot_guides_in_the_bore_and_not_in_the_thread() -> None:
    """9.1 is close to the thread's 9.188 and rattles in 9.6."""
    assert hinders(9.1, 9.15, 9.6) == (
        "its spigot is 0.5 smaller than the bore and does not guide",
    )
    assert hinders(9.1, 9.15, 9.5) == ()
