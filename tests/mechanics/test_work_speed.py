"""Speeds by work, their limits, and the one rule for turning on plastic."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mandrelgen.mechanics.life import Life, trial_life
from mandrelgen.mechanics.plastic import Refused, lasts, turning_rule
from mandrelgen.mechanics.speed import Cap, Stuff, cutting_speed
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


OWN = Cap("lathe", 3000, "the lathe's highest speed", "shop file")


def test_a_lathe_s_speed_counts_as_said_unless_it_is_not() -> None:
    """What stands in the shop file is its own basis; what does not is taken, and says so."""
    assert limits(3000, None) == (OWN,)
    assert limits(3000, None, said=True) == (OWN,)
    (taken,) = limits(3000, None, said=False)
    assert (taken.id, taken.speed, taken.basis) == ("lathe", 3000, "from memory")
    assert "not said" in taken.why


def test_every_cap_says_what_it_is_why_and_on_what_it_stands() -> None:
    """Half of 4200 is 2100; plastic 1500 and printed 1000, both from memory (loads.toml)."""
    assert limits(3000, 4200, Stuff.PLASTIC) == (
        Cap("plastic", 1500, "a plastic mandrel", "from memory"),
        Cap("whirl", 2100, "0.5 of the critical speed", "from memory"),
        OWN,
    )
    assert limits(3000, None, Stuff.PRINTED) == (
        Cap("printed", 1000, "a printed mandrel", "from memory"),
        OWN,
    )


def test_any_work_on_no_diameter_is_refused_and_on_a_thin_one_is_not() -> None:
    """400 to 800 at ⌀15 are 7500 to 15,000 at ⌀0.8: the lathe's 3000 is all there is."""
    for work in Work:
        with pytest.raises(ValueError, match="diameter"):
            work_speed(work, "cast-acrylic", 0.0, LATHE)
    thin = work_speed(Work.SANDING, "cast-acrylic", 0.8, LATHE)
    assert (thin.low, thin.high, thin.limited) == (3000, 3000, OWN)


def test_a_limit_at_the_work_s_own_highest_cuts_nothing() -> None:
    """Sanding at ⌀15 ends at 800 by itself: a lathe of 800 takes nothing off, one of 790 does."""
    whole = work_speed(Work.SANDING, "cast-acrylic", 15.0, limits(800, None))
    assert (whole.low, whole.high, whole.limited) == (400, 800, None)
    less = work_speed(Work.SANDING, "cast-acrylic", 15.0, limits(790, None))
    assert less.high == 790
    assert less.limited is not None


def test_the_ranges_stand_in_the_order_of_doing() -> None:
    """Turning by its own table (60 to 120 m/min at ⌀15), the other two by theirs."""
    found = work_speeds("ebonite", 15.0, LATHE)
    assert [s.work for s in found] == [Work.TURNING, Work.SANDING, Work.POLISHING]
    assert [(s.low, s.high) for s in found] == [(1280, 2540), (200, 400), (200, 400)]


def test_a_range_names_the_table_it_comes_from() -> None:
    """A published surface speed by its table; where there is none, and for sanding, by memory."""
    published = work_speed(Work.TURNING, "ebonite", 15.0, LATHE)
    assert "read in one source" in published.basis
    for work, material in ((Work.TURNING, "casting-resin"), (Work.SANDING, "ebonite")):
        other = work_speed(work, material, 15.0, LATHE)
        assert "read in one source" not in other.basis
        assert "soft rod half of it" in other.basis


def test_a_refusal_says_its_figures() -> None:
    """In the order life, strength, speed, tailstock; of life only what stands before the first
    semicolon, since the rest is the estimate's own basis."""
    hard = Life(0, 0, 4.0, "12.0 MPa of 3.0 MPa allowed; a usual range; from memory")
    rule = turning_rule(Stuff.PLASTIC, PLASTIC, hard, 20.0, 30.0, 1800.0, False)
    assert rule.refused == (
        (Refused.LIFE, "12.0 MPa of 3.0 MPa allowed"),
        (Refused.STRENGTH, "it bears 20 N where 30 N are needed"),
        (Refused.SPEED, "a plastic mandrel allows 1500 rpm, the work needs 1800 rpm"),
        (Refused.TAILSTOCK, "a plastic mandrel turns only with the tailstock up"),
    )
    assert turning_rule(Stuff.METAL, LATHE, hard, 20.0, 30.0, 1800.0, False).refused == ()


def test_what_falls_short_by_less_than_one_never_reads_as_enough() -> None:
    """199.7 N of 200, and half of a critical speed of 2559 where 1280 are needed: what is borne
    and allowed is rounded down, what is needed up."""
    rule = turning_rule(Stuff.PLASTIC, PLASTIC, EASY, 199.7, 200.0, 400.0, True)
    assert [said for _, said in rule.refused] == ["it bears 199 N where 200 N are needed"]
    odd = turning_rule(Stuff.PLASTIC, PLASTIC, EASY, 29.7, 30.2, 400.0, True)
    assert [said for _, said in odd.refused] == ["it bears 29 N where 31 N are needed"]
    slow = limits(3000, 2559, Stuff.PLASTIC)
    rule = turning_rule(Stuff.PLASTIC, slow, EASY, 40.0, 30.0, 1280.0, True)
    assert [said for _, said in rule.refused] == [
        "0.5 of the critical speed allows 1279 rpm, the work needs 1280 rpm"
    ]
    # Half a revolution too slow is too slow.
    assert not turning_rule(Stuff.PLASTIC, PLASTIC, EASY, 40.0, 30.0, 1500.5, True).allowed


def test_few_pens_are_told_as_they_are() -> None:
    """Two at most, or a range from one: neither none, nor one at most."""
    assert lasts(Life(0, 2, 1.7, "")) == "2 pens at most (estimate)"
    assert lasts(Life(1, 3, 1.5, "")) == "about 1 to 3 pens (estimate)"
