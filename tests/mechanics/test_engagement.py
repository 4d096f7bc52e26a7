"""Engagement of threads in the hole that is there: limits on both sides, monotonicity."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mandrelgen.core.errors import Level
from mandrelgen.mechanics.engagement import (
    Engagement,
    Hole,
    engaged_pitches,
    engagement,
    largest_hole,
    level,
    percent_thread,
    share,
    smallest_crest,
)
from mandrelgen.standards.designation import parse
from mandrelgen.standards.threads import Band, limits

PITCHES = st.sampled_from([0.35, 0.5, 0.6, 0.7, 0.75, 0.8, 1.0, 1.25, 1.5])
SIZES = st.floats(4.0, 20.0)


def test_a_hole_at_the_mates_crest_leaves_nothing() -> None:
    """An 11 hole before an M9 thread: less than nothing, an error."""
    nut, screw = limits(parse("M9x0.75"), False), limits(parse("M9x0.75"), True)
    for hole in (9.0, 11.0):
        found = engagement(screw, nut, hole_given=hole)
        assert found.given < 0.02
        assert level(found) is Level.ERROR


@pytest.mark.parametrize(
    ("given", "worst", "wanted"),
    [
        (0.75, 0.51, None),
        (0.75, 0.30, None),
        (0.75, 0.299, Level.ERROR),
        (0.60, 0.51, None),
        (0.599, 0.51, Level.WARNING),
        (0.45, 0.31, Level.WARNING),
        (0.449, 0.31, Level.ERROR),
    ],
)
def test_both_sides_of_each_limit(given: float, worst: float, wanted: Level | None) -> None:
    assert level(Engagement(given, worst)) is wanted


def test_measured_sizes_take_the_place_of_the_class() -> None:
    """Crest 8.5, hole 7.9 to 8.0, P 0.75: (8.5 − 7.9)/2 over 0.40595, by hand."""
    screw, nut = limits(parse("M8.6x0.75"), True), limits(parse("M8.6x0.75"), False)
    found = engagement(screw, nut, crest_given=8.5, hole_given=7.9, hole_max=8.0)
    assert found.given == pytest.approx(0.3 / 0.40595, abs=1e-4)
    assert found.worst == pytest.approx(0.25 / 0.40595, abs=1e-4)
    assert engagement(screw, nut, crest_given=8.5, crest_min=8.45, hole_given=7.9).worst == (
        pytest.approx(0.275 / 0.40595, abs=1e-4)
    )


def test_middles_stand_in_where_nothing_is_given() -> None:
    """M10x1 6H/6g: d 9.974/9.794, D1 8.917/9.153 (ISO 965-1): 9.884 and 9.035."""
    screw, nut = limits(parse("M10x1"), True), limits(parse("M10x1"), False)
    assert engagement(screw, nut).given == pytest.approx((9.884 - 9.035) / 2 / 0.541266, abs=1e-5)


@given(crest=SIZES, pitch=PITCHES, least=st.floats(0.05, 1.0))
def test_solved_hole_and_crest_just_meet_the_share(
    crest: float, pitch: float, least: float
) -> None:
    hole = largest_hole(crest, pitch, least)
    assert share(crest, hole, pitch) == pytest.approx(least)
    assert share(crest, hole + 0.01, pitch) < least < share(crest, hole - 0.01, pitch)
    assert smallest_crest(hole, pitch, least) == pytest.approx(crest)


@given(engaged=st.floats(-1, 1.5))
def test_one_percentage_for_one_hole(engaged: float) -> None:
    """5/8 H over 3/4 H: the printed % thread is 5/6 of the engagement, always."""
    assert percent_thread(engaged) == pytest.approx(100 * engaged * 0.541265877 / 0.649519053)


@given(
    pitch=PITCHES,
    diameters=st.lists(st.floats(7.0, 11.0), min_size=1, max_size=4),
    wider=st.floats(0.0, 1.0),
)
def test_a_wider_hole_never_engages_more(
    pitch: float, diameters: list[float], wider: float
) -> None:
    holes = [Hole(2.0 * i, 2.0 * i + 2.0, d) for i, d in enumerate(diameters)]
    wide = [Hole(h.start, h.end, h.diameter + wider) for h in holes]
    a = engaged_pitches(10.0, holes, 0.5, 7.5, pitch)
    b = engaged_pitches(10.0, wide, 0.5, 7.5, pitch)
    assert 0 <= b <= a <= 7.0 / pitch + 1e-9


def test_only_the_stretch_that_carries_counts() -> None:
    """Crest 10, P 1: a hole of 9 overlaps by 0.5 of 0.541 (92 %), one of 9.9 by 9 %. From 4 to 9
    with the wide hole from 6 to 7: 4 mm carry; with it from 4 to 6: 3; where nothing was drilled
    the tap cuts full thread."""
    drilled = Hole(0.0, 20.0, 9.0)
    assert engaged_pitches(10.0, [drilled, Hole(6.0, 7.0, 9.9)], 4.0, 9.0, 1.0) == 4.0
    assert engaged_pitches(10.0, [drilled, Hole(4.0, 6.0, 9.9)], 4.0, 9.0, 1.0) == 3.0
    assert engaged_pitches(10.0, [Hole(0.0, 6.0, 9.9)], 4.0, 9.0, 1.0) == 3.0
    assert engaged_pitches(10.0, [Hole(0.0, 9.0, 9.9)], 4.0, 9.0, 1.0) == 0.0


def test_nothing_engages_behind_the_end() -> None:
    assert engaged_pitches(10.0, [], 3.0, 2.0, 1.0) == 0.0
    assert engaged_pitches(10.0, [Hole(0.0, 9.0, 10.5)], 0.0, 5.0, 1.0) == 0.0
    with pytest.raises(ValueError, match="pitch"):
        share(10, 9, 0)


def test_the_least_share_may_be_asked_for() -> None:
    """Crest 10, hole 9.9, P 1: 0.05 of 0.541 is 9.2 %, enough where 5 % are asked, not where 10 %
    are."""
    wide = [Hole(0.0, 9.0, 9.9)]
    assert engaged_pitches(10.0, wide, 0.0, 5.0, 1.0, least=0.05) == 5.0
    assert engaged_pitches(10.0, wide, 0.0, 5.0, 1.0, least=0.10) == 0.0


def test_a_hole_that_leaves_just_the_least_share_counts() -> None:
    """30 % of H1 = 5/16·√3 P on both sides: 10 − 0.6·0.541266 = 9.67524; a hair more does not."""
    hole = 10 - 2 * 0.30 * 5 / 16 * math.sqrt(3)
    assert engaged_pitches(10.0, [Hole(0.0, 9.0, hole)], 0.0, 5.0, 1.0) == 5.0
    assert engaged_pitches(10.0, [Hole(0.0, 9.0, hole + 1e-6)], 0.0, 5.0, 1.0) == 0.0


def test_no_pitch_and_no_limit_are_named() -> None:
    with pytest.raises(ValueError, match="pitch must be above 0"):
        engaged_pitches(10.0, [], 0.0, 5.0, 0.0)
    screw, nut = limits(parse("M10x1"), True), limits(parse("M10x1"), False)
    with pytest.raises(ValueError, match="not set by the standard"):
        engagement(screw, replace(nut, minor=Band(nut.minor.min, None)))
