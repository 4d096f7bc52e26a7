"""Speeds by work, their limits, and the one rule for turning on plastic."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mandrelgen.mechanics.life import Life, trial_life
from mandrelgen.mechanics.plastic import Refused, lasts, turning_rule
from mandrelgen.mechanics.speed import Stuff, cutting_speed
from mandrelgen.mechanics.work_speed import Work, limits, work_speed, work_speeds

LATHE = limits(3000, None)


def test_half_the_critical_speed_counts_only_under_the_lathes() -> None:
    assert [c.id for c in limits(3000, 6000)] == ["lathe"]
    assert [c.id for c in limits(3000, 5998)] == ["whirl", "lathe"]
    assert limits(3000, 5998)[0].speed == 2999
    assert limits(3000, None, Stuff.PRINTED)[0].speed == 1000
    assert limits(3000, None, Stuff.PLASTIC)[0].speed == 1500
    with pytest.raises(ValueError, match="above 0"):
        limits(3000, 0)


def test_soft_rod_is_sanded_slower() -> None:
    """400 to 800 at ⌀15 for firm rod, half of it for hard rubber and soft resin."""
    for work in (Work.SANDING, Work.POLISHING):
        firm, soft = (work_speed(work, m, 15.0, LATHE) for m in ("cast-acrylic", "ebonite"))
        assert (firm.low, firm.high) == (400, 800)
        assert (soft.low, soft.high) == (200, 400)
        assert firm.limited is soft.limited is None
    assert work_speed(Work.SANDING, "cast-acrylic", 7.5, LATHE).low == 800


def test_turning_by_the_materials_own_surface_speed() -> None:
    """Hard rubber 60 to 120 m/min (the table): 1273 to 2546 rev/min at ⌀15."""
    found = work_speed(Work.TURNING, "ebonite", 15.0, LATHE)
    assert (found.low, found.high) == (1280, 2540)
    unknown = work_speed(Work.TURNING, "casting-resin", 15.0, LATHE)
    assert (unknown.low, unknown.high) == (1280, 2540)
    assert unknown.basis != found.basis


def test_a_low_limit_cuts_every_range() -> None:
    for s in work_speeds("cast-acrylic", 15.0, limits(355, None)):
        assert s.low == s.high == 350
        assert s.limited is not None
        assert s.limited.id == "lathe"
    with pytest.raises(ValueError, match="diameter"):
        work_speeds("cast-acrylic", 0, LATHE)
    with pytest.raises(ValueError, match="limit"):
        work_speeds("cast-acrylic", 15, ())


@given(
    diameter=st.floats(2, 60),
    lathe=st.floats(200, 5000),
    material=st.sampled_from(["cast-acrylic", "ebonite", "acetal", "wood", "CW614N"]),
)
def test_ranges_stay_under_the_limit(diameter: float, lathe: float, material: str) -> None:
    for s in work_speeds(material, diameter, limits(lathe, None)):
        assert 0 < s.low <= s.high <= lathe + 1e-6
        wider = work_speed(s.work, material, diameter, limits(lathe + 500, None))
        assert wider.high >= s.high
        if s.work is Work.TURNING and s.limited is None:
            assert cutting_speed(diameter, s.high) <= 357 + 1e-6


EASY = trial_life(1.0, 52.0, 50.0)
PLASTIC = limits(3000, None, Stuff.PLASTIC)


@pytest.mark.parametrize(
    ("life", "borne", "slowest", "tailstock", "wanted"),
    [
        (EASY, 40.0, 400, True, []),
        (EASY, 30.0, 1500, True, []),
        (Life(0, 1, 2.0, ""), 40.0, 400, True, []),
        (trial_life(15.0, 14.0, 50.0), 40.0, 400, True, [Refused.LIFE]),
        (EASY, 29.9, 400, True, [Refused.STRENGTH]),
        (EASY, 40.0, 1510, True, [Refused.SPEED]),
        (EASY, 40.0, 400, False, [Refused.TAILSTOCK]),
        (None, None, 400, True, []),
    ],
)
def test_each_reason_refuses_alone(
    life: Life | None, borne: float | None, slowest: float, tailstock: bool, wanted: list[Refused]
) -> None:
    rule = turning_rule(Stuff.PLASTIC, PLASTIC, life, borne, 30.0, slowest, tailstock)
    assert [r for r, _ in rule.refused] == wanted
    assert rule.allowed is not bool(wanted)
    assert rule.cap == (0 if wanted else 1500)
    assert all(said for _, said in rule.refused)
    metal = turning_rule(Stuff.METAL, LATHE, life, borne, 30.0, slowest, tailstock)
    assert metal.allowed
    assert metal.cap == 3000


def test_no_promise_of_no_pens() -> None:
    """Never "about 0 to 0 pens"."""
    assert lasts(EASY) == "about 5 to 10 pens (estimate)"
    assert "0 to 0" not in lasts(trial_life(15.0, 14.0, 50.0))
    assert lasts(Life(0, 3, 1.5, "")) == "3 pens at most (estimate)"
    assert lasts(Life(0, 1, 2.0, "")) == "one pen at most (estimate)"


@given(stress=st.floats(0, 60), more=st.floats(0, 20))
def test_more_stress_never_lasts_longer(stress: float, more: float) -> None:
    a, b = trial_life(stress, 52.0, 50.0), trial_life(stress + more, 52.0, 50.0)
    assert b.high <= a.high <= 10
    assert not math.isnan(b.use)
