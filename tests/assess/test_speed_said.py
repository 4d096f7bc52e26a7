"""The speed that refuses a mandrel, in words that cannot read as enough."""

from __future__ import annotations

from dataclasses import replace

from mandrelgen.assess.choose_tolerances import situated
from mandrelgen.assess.speeds import speed
from tests.support.judged_pens import fixed, plug_pen, verdict_of
from tests.support.randompens import SHOP


def test_a_speed_just_above_half_the_critical_one_is_not_said_to_be_above_itself() -> None:
    """Half of 1007.2 is 503.6 rev/min: 504 is above it, and it is printed as 503, rounded down."""
    pen = plug_pen()
    (d,) = fixed(pen, SHOP)
    v = verdict_of(d)
    assert v.stiffness is not None
    assert v.capacity is not None
    (s,) = situated(d, pen, SHOP)
    bent = replace(v.stiffness, critical=1007.2)
    for wanted, refused in (
        (504.0, ("504 rpm is above 503 rpm: 0.5 of the critical speed",)),
        (503.0, ()),
    ):
        meant = replace(s, loads=s.loads._replace(speed=wanted))
        found, _ = speed(meant, SHOP, bent, v.capacity, None)
        assert found.refused == refused
        assert found.allowed == (0 if refused else 500)
