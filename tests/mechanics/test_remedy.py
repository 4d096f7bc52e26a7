"""Every solved size, rounded to what a maker sets, satisfies the inequality it was solved for, and
the next step (or drill) does not."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from mandrelgen.mechanics import concentricity, engagement, remedy, walls
from mandrelgen.mechanics.combined import Failure, Section, Spot, force_borne
from mandrelgen.mechanics.tailstock import Allowed, propped
from mandrelgen.spec.pen import FarEnd
from mandrelgen.standards.rods import RodGroup

STEP = 0.05
PLACE, GROUP = st.sampled_from(list(walls.Place)), st.sampled_from(list(RodGroup))
PITCH = st.sampled_from([0.5, 0.6, 0.7, 0.75, 0.8, 1.0, 1.25])
SIZE = st.floats(3.0, 18.0)


def _on_a_step(value: float, step: float = STEP) -> bool:
    return math.isclose(value / step, round(value / step), abs_tol=1e-6)


@given(
    crest=SIZE, under=st.floats(0, 0.2), pitch=PITCH, over=st.floats(0, 0.2), drilled=st.booleans()
)
def test_hole(crest: float, under: float, pitch: float, over: float, drilled: bool) -> None:
    hole = remedy.hole_for(crest, pitch, crest_min=crest - under, over=over, drilled=drilled)
    assert hole is not None

    def judged(d: float) -> object:
        given_share = engagement.share(crest, d, pitch)
        worst = engagement.share(crest - under, d + over, pitch)
        return engagement.level(engagement.Engagement(given_share, worst))

    assert judged(hole) is None
    further = remedy.drill_at_least(hole + 0.001) if drilled else hole + STEP
    assert further is not None
    assert judged(further) is not None
    assert hole in remedy.drills() if drilled else _on_a_step(hole)


@given(outside=SIZE, place=PLACE, group=GROUP, over=st.floats(0, 0.2), drilled=st.booleans())
def test_bore(
    outside: float, place: walls.Place, group: RodGroup, over: float, drilled: bool
) -> None:
    asked = walls.least_wall(place, group)
    bore = remedy.bore_for(outside, asked.warning, over, drilled)
    assume(bore is not None)
    assert bore is not None
    assert walls.level((outside - bore - over) / 2, asked) is None
    assert bore in remedy.drills() if drilled else _on_a_step(bore)
    if not drilled:
        assert (outside - bore - STEP - over) / 2 < asked.warning


@given(inside=SIZE, place=PLACE, group=GROUP, under=st.floats(0, 0.2))
def test_outside(inside: float, place: walls.Place, group: RodGroup, under: float) -> None:
    asked = walls.least_wall(place, group)
    outer = remedy.outside_for(inside, asked.warning, under)
    assert _on_a_step(outer)
    assert walls.level((outer - under - inside) / 2, asked) is None
    assert (outer - STEP - under - inside) / 2 < asked.warning


@given(length=st.floats(20, 90), point=st.floats(0, 4), opposite=st.floats(0, 12))
def test_depth(length: float, point: float, opposite: float) -> None:
    asked = walls.least_wall(walls.Place.CROWN)
    depth = remedy.depth_for(length, point, asked.warning, opposite)
    assert depth is not None
    assert _on_a_step(depth)
    assert walls.level(walls.crown(length, depth, point, opposite), asked) is None
    # A depth is set by tenths.
    assert abs(depth * 10 - round(depth * 10)) < 1e-6
    assert walls.crown(length, depth + 0.1001, point, opposite) < asked.warning


@given(mismatch=st.floats(0, 0.4))
def test_shoulder(mismatch: float) -> None:
    step = remedy.shoulder_for(mismatch)
    assert _on_a_step(step)
    found = concentricity.judge(step, mismatch, 0.0, 0.05)
    assert found.outcome is None
    assert not found.uneven


@given(bore=st.floats(3, 12), strength=st.floats(40, 120), under=st.floats(0, 0.2))
def test_mouth(bore: float, strength: float, under: float) -> None:
    outer = remedy.mouth_for(strength, 2.0, bore, under)
    assume(outer is not None)
    assert outer is not None
    assert _on_a_step(outer)
    for size, wanted in ((outer - under, Allowed.YES), (outer - under - STEP, Allowed.NO)):
        found = propped(FarEnd.BORE, strength=strength, asked=2.0, bore=bore, outer=size)
        assert found.allowed is wanted


@given(start=st.floats(0, 2), unformed=st.floats(0, 3), pitch=PITCH, under=st.floats(0, 0.3))
def test_full_end(start: float, unformed: float, pitch: float, under: float) -> None:
    end = remedy.full_end_for(start, unformed, pitch, under)
    assert _on_a_step(end)
    assert (end - under - max(start, unformed)) / pitch >= 3 - 1e-9
    assert (end - STEP - under - max(start, unformed)) / pitch < 3


SPOT = st.builds(
    lambda outer, wall, failure: Spot(
        name="s",
        z=0.0,
        section=Section(outer, outer - 2 * wall),
        strength=62.0,
        failure=failure,
        of_mandrel=False,
        notch=2.5,
    ),
    st.floats(6, 16),
    st.floats(0.4, 2.5),
    st.sampled_from(list(Failure)),
)


@given(spot=SPOT, asked=st.sampled_from([30.0, 90.0]), radius=st.floats(1, 8))
def test_arm_and_outside_for_a_force(spot: Spot, asked: float, radius: float) -> None:
    arm = remedy.arm_for(spot, asked, radius)
    if arm is not None and arm < 300:
        assert _on_a_step(arm)
        assert force_borne(spot, arm, radius) >= asked > force_borne(spot, arm + STEP, radius)
    outer = remedy.outside_for_force(spot, asked, 60.0, radius)
    assert outer is not None
    assert _on_a_step(outer)
    found = Spot(
        name="s",
        z=0.0,
        section=Section(outer, spot.section.inner),
        strength=62.0,
        failure=spot.failure,
        of_mandrel=False,
        notch=2.5,
    )
    assert force_borne(found, 60.0, radius) >= asked
    thinner = outer - STEP  # not enough, or no wall at all
    if thinner > spot.section.inner + 1e-3:
        less = replace(spot, section=Section(thinner, spot.section.inner))
        assert force_borne(less, 60.0, radius) < asked


@given(limit=st.floats(-1, 6))
def test_search_on_the_steps(limit: float) -> None:
    found = remedy.largest_step(lambda x: x <= limit, 0.0, 5.0)
    if limit < 0:
        assert found is None
    else:
        assert found is not None
        assert found <= limit
        assert found + STEP > min(limit, 5.0) - 1e-9
    up = remedy.smallest_step(lambda x: x >= limit, 0.0, 5.0)
    assert (up is None) is (limit > 5.0)
    if up is not None:
        assert up >= limit
        assert up - STEP < max(limit, 0.0) + 1e-9


def test_steps_and_drills_at_their_ends() -> None:
    assert remedy.at_most(6.55) == remedy.at_least(6.55) == 6.55
    assert remedy.at_most(6.549) == 6.5
    assert remedy.at_least(6.551) == 6.6
    assert remedy.drill_at_most(0.9) is None
    assert remedy.drill_at_least(20.1) is None
    assert list(remedy.drills()) == sorted(set(remedy.drills()))
    assert remedy.bore_for(1.0, 0.6) is None
    assert remedy.bore_for(1.0, 0.6, drilled=False) is None
    assert remedy.depth_for(1.0, 1.0, 0.6) is None
    # Small sizes are sizes: 0.8 of depth, a bore of 0.4, a hole of 0.5.
    assert remedy.depth_for(3.0, 1.2, 1.0) == 0.8
    assert remedy.bore_for(1.6, 0.6, drilled=False) == 0.4
    # A crest of 1.0 with P 0.75: 60 % of 5/8 · 0.866 · 0.75 · 2 = 0.4871 leaves 0.513.
    assert remedy.hole_for(1.0, 0.75, drilled=False) == 0.5
    assert remedy.hole_for(1.0, 0.75, over=0.0, drilled=False) == 0.5
    assert remedy.largest_step(lambda _: True, 1.01, 1.04) is None
    # Steps of one's own: tenths.
    assert remedy.largest_step(lambda x: x <= 1.27, 0.0, 5.0, 0.1) == 1.2
    assert remedy.smallest_step(lambda x: x >= 1.23, 0.0, 5.0, 0.1) == 1.3
    with pytest.raises(ValueError, match="pitch"):
        engagement.share(8.0, 7.0, -1.0)


# Tapping drills of ISO 2306 (from memory) beside the minor diameter's limits, 6H, by ISO 965-1.
@pytest.mark.parametrize(
    ("less_pitch", "least", "most", "drill"),
    [
        (2.5, 2.459, 2.599, 2.5),  # M3
        (3.3, 3.242, 3.422, 3.3),  # M4
        (4.2, 4.134, 4.334, 4.2),  # M5
        (5.0, 4.917, 5.153, 5.0),  # M6
        (8.5, 8.376, 8.676, 8.5),  # M10
        (9.0, 8.917, 9.153, 9.0),  # M10x1
        (14.0, 13.835, 14.21, 14.0),  # M16
    ],
)
def test_the_drill_on_sale_for_a_tap_is_the_standards(
    less_pitch: float, least: float, most: float, drill: float
) -> None:
    assert remedy.sold_drill(less_pitch, least, most) == drill
    assert remedy.sold_drill(drill, drill, drill) == drill
    assert remedy.sold_drill(drill - 0.02, drill - 0.03, drill + 0.03) == drill
    # Nothing on sale within the limits: the size itself, to be bored.
    assert remedy.sold_drill(drill + 0.02, drill + 0.01, drill + 0.04) == drill + 0.02
    assert remedy.drill_at_least(drill) == drill
    assert remedy.drill_at_least(drill - 0.01) == drill


def test_a_step_or_drill_at_the_limit_itself_is_within() -> None:
    """Sold: 8.4, 8.5 and 8.6 (DIN 338 by tenths); a step of tenths is one's own."""
    assert remedy.at_least(6.01, 0.1) == 6.1
    assert remedy.at_least(6.01) == 6.05
    assert remedy.drill_at_most(8.5) == 8.5
    assert remedy.sold_drill(8.4, 8.5, 8.6) == 8.5  # the least limit itself
    assert remedy.sold_drill(8.6, 8.4, 8.5) == 8.5  # the greatest
    assert remedy.largest_step(lambda _: True, 0.0, 5.0) == 5.0
    assert remedy.largest_step(lambda _: True, 1.0, 1.04) == 1.0  # one step is one to try


def test_a_size_of_nothing_is_none() -> None:
    """1.2 less two walls of 0.6; 3 less a point of 1 and a crown of 2; a crest of twice 60 % of
    5/16·√3; and less than nothing: 0.4 − 0.4871."""
    assert remedy.bore_for(1.2, 0.6, drilled=False) is None
    assert remedy.depth_for(3.0, 1.0, 2.0) is None
    h1 = 5 / 8 * math.sqrt(3) / 2
    assert remedy.hole_for(2 * 0.6 * h1, 1.0, drilled=False) is None
    assert remedy.hole_for(0.4, 0.75, drilled=False) is None


def _bar(outer: float, inner: float = 0.0) -> Spot:
    """A plain place that breaks at 62 MPa."""
    return Spot("s", 0.0, Section(outer, inner), 62.0, Failure.FRACTURES, False)


def test_what_bears_just_what_is_asked_is_enough() -> None:
    """The force asked is just the one that an arm of 50, or an outside of 15.5, bears."""
    cap = _bar(15.0, 12.3)
    assert remedy.arm_for(cap, force_borne(cap, 50.0, 7.5), 7.5) == 50.0
    asked = force_borne(_bar(15.5, 12.3), 60.0, 7.5)
    assert remedy.outside_for_force(cap, asked, 60.0, 7.5) == 15.5


def test_arms_and_outsides_end_where_they_are_said_to() -> None:
    """A bar of ⌀2 at 62 MPa takes π/32·8·62 = 48.7 N·mm: 90 N at 0.54 mm, so at 0.5. 22,000 N at
    60 mm need ∛(32·1,320,000/(π·62)) = ⌀60.08: more than the 60 that is tried. An arm longer than
    300 is nobody's. Whatever bears next to nothing needs a step of wall, not none."""
    assert remedy.arm_for(_bar(2.0), 90.0, 0.0) == 0.5
    assert remedy.arm_for(_bar(30.0), 1.0, 0.0) == 300.0
    assert remedy.outside_for_force(_bar(10.0), 22_000.0, 60.0, 0.0) is None
    assert remedy.outside_for_force(_bar(10.0), 22_000.0, 60.0, 0.0, 61.0) == 60.1
    assert remedy.outside_for_force(_bar(15.0, 12.3), 0.001, 60.0, 7.5) == 12.35
