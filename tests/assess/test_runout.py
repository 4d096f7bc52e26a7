"""Which joint a part is judged by and how far it runs out there, summed by hand from the drawing's
limits: M10x0.75 6g in 6H has a play of 0.254 at most, a quarter of its half is left when tightened
(from memory), 0.02 where it centres itself; crest and seat are asked 0.03, a collet of ISO 15488-25
runs out 0.02 at 40.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from mandrelgen.assess import runout
from mandrelgen.assess.locators import holding
from mandrelgen.assess.setup import Situated
from mandrelgen.design.chosen_tolerances import ToleranceChoice
from mandrelgen.mechanics.concentricity import Felt, Outcome
from mandrelgen.mechanics.holding import State, Surface
from mandrelgen.spec.joints import EndRef
from mandrelgen.spec.pen import Pen
from tests.support.flush_pen import ends_of, trio
from tests.support.held import held, rows_of
from tests.support.judged_pens import cup_pen, plug_pen, starters
from tests.support.randompens import SHOP

LEFT, CREST, COLLET = 0.254 / 2 / 4, 0.015, 0.01


@pytest.fixture(scope="module")
def plug() -> Situated:
    return held(plug_pen())


@pytest.fixture(scope="module")
def pen() -> Pen:
    return trio()


@pytest.fixture(scope="module")
def both(pen: Pen) -> dict[str, Situated]:
    return ends_of(pen)


def test_the_held_thread_s_own_joint_is_judged(pen: Pen, both: dict[str, Situated]) -> None:
    met = runout.meeting(both["cap.mouth"], pen, SHOP)
    assert met is not None
    assert met.joint.id == "barrel.front-cap.mouth"
    assert (met.neighbour, met.at_held_end, met.z) == (EndRef("barrel", "front"), True, 0.0)
    assert met.play == pytest.approx(0.254)
    assert met.shoulder == 0.0
    other = runout.meeting(both["barrel.front"], pen, SHOP)
    assert other is not None
    assert other.joint == met.joint
    assert (other.neighbour, other.at_held_end, other.z) == (EndRef("cap", "mouth"), True, 0.0)


def test_at_either_end_of_a_part_its_own_joint_comes_before_the_other_end_s() -> None:
    """The barrel by its rear: the tail's joint, though the cap's stands first in the file."""
    pen = trio(holds=("barrel.rear",))
    s = ends_of(pen)["barrel.rear"]
    met = runout.meeting(s, pen, SHOP)
    assert met is not None
    assert met.joint.id == "tail.root-barrel.rear"
    # The shoulder of ⌀12.4 shuts on a face of ⌀12.
    assert met.shoulder == pytest.approx(0.2)
    assert met.play == pytest.approx(0.254, abs=0.03)
    assert met.at_held_end
    # Without that joint the other end's, where the part ends.
    text = pen.model_dump(by_alias=True, exclude_unset=True)
    text["parts"]["tail"]["ends"]["root"]["external"]["mates"] = None
    apart = Pen.model_validate(text)
    met = runout.meeting(s, apart, SHOP)
    assert met is not None
    assert met.joint.id == "barrel.front-cap.mouth"
    assert (met.at_held_end, met.z) == (False, 60.0)
    text["parts"]["barrel"]["ends"]["front"]["external"]["mates"] = None
    assert runout.meeting(s, Pen.model_validate(text), SHOP) is None


def test_of_an_end_s_two_joints_the_held_thread_s_counts() -> None:
    """The wren's barrel has the cap's thread outside its mouth and the section's inside."""
    pen, shop = starters("wren")
    s = next(s for row in rows_of(pen, shop) for s in row if s.hold.text == "barrel.mouth")
    for by, other in (("internal", "section"), ("external", "cap"), ("bore", "cap")):
        met = runout.meeting(replace(s, hold=s.hold._replace(by=by)), pen, shop)
        assert met is not None
        assert (met.neighbour.part, met.at_held_end) == (other, True)


def test_held_by_its_bore_an_end_s_own_joint_still_comes_first(
    pen: Pen, both: dict[str, Situated]
) -> None:
    s = both["barrel.front"]
    by_bore = replace(s, hold=s.hold._replace(by="bore", end="rear"))
    met = runout.meeting(by_bore, pen, SHOP)
    assert met is not None
    assert met.joint.id == "tail.root-barrel.rear"
    assert met.at_held_end


def test_a_thread_in_two_joints_is_judged_by_the_first_of_the_file() -> None:
    """The cap screws on the barrel's front and, posted, on a tenon at the tail."""
    text = trio().model_dump(by_alias=True, exclude_unset=True)
    post = {"diameter": 12.0, "external": {"thread": "M10x0.75-6g", "length": 8.0,
                                           "mates": "cap.mouth"}}  # fmt: skip
    text["parts"]["tail"]["ends"]["post"] = post
    pen = Pen.model_validate(text)
    s = ends_of(pen)["cap.mouth"]
    met = runout.meeting(s, pen, SHOP)
    assert met is not None
    assert met.neighbour == EndRef("barrel", "front")


def test_the_face_that_a_shoulder_shuts_on_ends_at_its_own_outer_thread() -> None:
    text = trio().model_dump(by_alias=True, exclude_unset=True)
    nut = Pen.model_validate(text).parts["cap"].ends["mouth"]
    assert runout.face_outside(nut) == 13.0
    text["parts"]["cap"]["ends"]["mouth"]["external"] = {"thread": "M12x0.75", "length": 6.0}
    nut = Pen.model_validate(text).parts["cap"].ends["mouth"]
    assert runout.face_outside(nut) == 12.0


@pytest.mark.parametrize(("cap", "flush"), [(13.0, True), (13.2, True), (13.22, False),
                                            (12.8, True), (14.0, False)])  # fmt: skip
def test_up_to_a_shoulder_of_a_tenth_a_joint_is_meant_to_be_flush(cap: float, flush: bool) -> None:
    pen = trio(cap)
    assert runout.flush(ends_of(pen)["cap.mouth"], pen, SHOP) is flush


def test_a_part_that_meets_none_is_not_flush(plug: Situated) -> None:
    assert not runout.flush(plug, plug_pen(), SHOP)
    assert runout.meeting(plug, plug_pen(), SHOP) is None


def test_without_a_neighbour_the_part_s_own_errors_are_all(plug: Situated) -> None:
    found = runout.step(plug, {}, plug_pen(), SHOP)
    assert (found.joint, found.at_held_end, found.target) == ("", True, 0.05)
    assert (found.joined, found.neighbour_known) == (None, False)
    assert found.states.tight.worst == pytest.approx(LEFT + CREST + COLLET)
    assert found.states.tight.statistical == pytest.approx(math.hypot(LEFT, CREST, COLLET))
    assert found.states.loose.worst == pytest.approx(0.127 + CREST + COLLET)
    assert found.states.loose.statistical == pytest.approx(math.hypot(0.127, CREST, COLLET))
    assert found.centred.worst == pytest.approx(0.02 + CREST + COLLET)
    assert found.centred.statistical == pytest.approx(math.hypot(0.02, CREST, COLLET))
    assert found.budget.worst == found.states.tight.worst
    first, second, *_ = found.gains
    assert (first.cause.id, second.cause.id) == ("thread.pitch_diameter", "thread.runout")
    halved = math.hypot(LEFT / 2, CREST, COLLET)
    assert first.statistical == pytest.approx(found.states.tight.statistical - halved)


def test_run_outs_are_tried_on_the_part_s_mandrel(plug: Situated) -> None:
    tried = ToleranceChoice(run_out=0.02)
    found = runout.step(plug, {}, plug_pen(), SHOP, tried)
    assert found.states.tight.worst == pytest.approx(LEFT + 0.01 + COLLET)
    assert found.states.loose.worst == pytest.approx(0.127 + 0.01 + COLLET)
    assert found.centred.worst == pytest.approx(0.02 + 0.01 + COLLET)


def test_the_joint_s_play_and_the_neighbour_s_errors_come_on_top(
    pen: Pen, both: dict[str, Situated]
) -> None:
    cap, barrel = both["cap.mouth"], both["barrel.front"]
    alone = runout.step(cap, {}, pen, SHOP)
    assert (alone.joint, alone.neighbour_known) == ("barrel.front-cap.mouth", False)
    assert alone.states.tight.worst == pytest.approx(2 * LEFT + CREST + COLLET)
    assert alone.states.loose.worst == pytest.approx(2 * 0.127 + CREST + COLLET)
    assert alone.centred.worst == pytest.approx(2 * 0.02 + CREST + COLLET)
    near = {"barrel": barrel}
    found = runout.step(cap, near, pen, SHOP)
    theirs = holding(barrel).locators[0].run_out / 2
    assert found.neighbour_known
    assert found.states.tight.worst == pytest.approx(
        3 * LEFT + CREST + theirs + 2 * COLLET, abs=1e-9
    )
    assert found.states.loose.worst == pytest.approx(3 * 0.127 + CREST + theirs + 2 * COLLET)
    assert found.centred.worst == pytest.approx(3 * 0.02 + CREST + theirs + 2 * COLLET)
    ids = [s.cause.id for s in found.budget.shares]
    assert "joint.barrel.front-cap.mouth" in ids
    assert "neighbour:collet.runout" in ids
    (joint,) = [s.cause for s in found.budget.shares if s.cause.id.startswith("joint.")]
    assert joint.label == "play of the pen's own joint"
    assert joint.lateral == pytest.approx(LEFT)
    assert found.joined is not None
    assert (found.joined.felt, found.joined.outcome) == (Felt.FLUSH, Outcome.DEPENDS)
    assert found.joined.seldom == round(found.states.tight.statistical, 3)
    assert found.joined.typical == round(found.centred.statistical, 3)
    # Another's mandrel does not stand for it.
    assert not runout.step(cap, {"tail": barrel}, pen, SHOP).neighbour_known


def test_a_target_of_the_maker_s_own_is_what_the_joint_is_judged_by() -> None:
    pen = trio(target_step=0.2)
    found = runout.step(ends_of(pen)["cap.mouth"], {}, pen, SHOP)
    assert found.target == 0.2
    assert found.joined is not None
    assert (found.joined.target, found.joined.outcome) == (0.2, Outcome.MET)


def test_a_neighbour_held_by_its_other_end_runs_out_where_the_joint_is() -> None:
    """60 from its seat face and thread lean, collet and seat swing."""
    pen = trio(holds=("cap.mouth", "barrel.rear"))
    both = ends_of(pen)
    cap, barrel = both["cap.mouth"], both["barrel.rear"]
    near = {"barrel": barrel}
    found = runout.step(cap, near, pen, SHOP)
    assert barrel.collar is not None
    far = barrel.shape.far
    theirs = holding(barrel).locators[0]
    swing = (
        theirs.clearance / 8
        + theirs.run_out / 2
        + 0.01 * (1 + far / 40)
        + 0.01 / 12.0 * far
        + math.radians(0.02) * far
        + 0.03 / barrel.collar.nominal * far
    )
    assert found.states.tight.worst == pytest.approx(2 * LEFT + CREST + COLLET + swing, rel=1e-6)
    # What is tried is tried on both mandrels.
    tried = runout.step(cap, near, pen, SHOP, ToleranceChoice(run_out=0.01, seat_run_out=0.02))
    for a, b in (
        (found.states.tight, tried.states.tight), (found.states.loose, tried.states.loose),
        (found.centred, tried.centred),
    ):  # fmt: skip
        saved = 0.01 + 0.01 + 0.01 / barrel.collar.nominal * far
        assert a.worst - b.worst == pytest.approx(saved, rel=1e-6)
    # Seen from the barrel the joint that is judged is the tail's: nothing swings there.
    own = runout.step(barrel, {}, pen, SHOP)
    assert own.states.tight.worst < 0.1


def test_a_joint_at_the_far_end_swings_with_the_part() -> None:
    pen = trio(holds=("barrel.rear",))
    text = pen.model_dump(by_alias=True, exclude_unset=True)
    text["parts"]["tail"]["ends"]["root"]["external"]["mates"] = None
    apart = Pen.model_validate(text)
    s = ends_of(apart)["barrel.rear"]
    near, far = runout.step(s, {}, pen, SHOP), runout.step(s, {}, apart, SHOP)
    assert not far.at_held_end
    assert s.collar is not None
    swing = 60 * (0.01 / 40 + 0.01 / 12 + math.radians(0.02) + 0.03 / s.collar.nominal)
    # M8x0.75's own play is what the near joint has, M10x0.75's 0.254 the far one.
    mine = holding(s).locators[0].clearance / 8
    assert far.states.tight.worst == pytest.approx(mine + CREST + COLLET + swing + LEFT, rel=1e-6)
    assert near.states.tight.worst == pytest.approx(2 * mine + CREST + COLLET, rel=1e-6)
    # As they stand there each is a plain eccentricity.
    causes = runout.own_causes(s, holding(s), State.TIGHT, 60.0)
    assert {(c.tilt, c.play) for c in causes} == {(0.0, ())}
    assert sum(c.lateral for c in causes) == pytest.approx(mine + CREST + COLLET + swing)


def test_a_loose_thread_without_a_seat_swings_by_its_play(plug: Situated) -> None:
    bare = replace(holding(plug), seat=None)
    causes = runout.own_causes(plug, bare, State.LOOSE, 40.0)
    assert {(c.tilt, c.play) for c in causes} == {(0.0, ())}
    (play,) = [c.lateral for c in causes if c.label == "play, no seat"]
    # From corner to corner over the thread's 5.186, half of play and run-out at either end.
    half = 0.127 + 0.015
    assert play == pytest.approx(half + 2 * half * (40 - 8.146) / 5.1864439, rel=1e-6)


def test_which_axis_is_followed_decides_what_a_drifting_bore_adds(plug: Situated) -> None:
    """The bore drifts 0.0005 for each mm off the thread."""
    by_thread = runout.own_causes(plug, holding(plug), State.TIGHT, 30.0)
    by_bore = runout.own_causes(plug, holding(plug), State.TIGHT, 30.0, Surface.BORE)
    assert sum(c.lateral for c in by_bore) - sum(c.lateral for c in by_thread) == pytest.approx(
        0.015
    )


@pytest.mark.parametrize(
    ("friction", "tight", "centred"),
    [(0.15, 0.127 / 4, 0.02), (0.267, 0.127 / 4, 0.02), (0.27, 0.127, 0.127)],
)
def test_above_tan_15_the_joint_s_threads_do_not_centre(
    pen: Pen, both: dict[str, Situated], friction: float, tight: float, centred: float
) -> None:
    """tan 15° = 0.268; it is the flanks' friction that counts in the joint, not the seat's."""
    cap = both["cap.mouth"]
    s = replace(cap, loads=cap.loads._replace(thread_friction=friction))
    usual, found = runout.step(cap, {}, pen, SHOP), runout.step(s, {}, pen, SHOP)
    assert found.states.tight.worst - usual.states.tight.worst == pytest.approx(tight - LEFT)
    assert found.centred.worst - usual.centred.worst == pytest.approx(centred - 0.02)
    assert found.states.loose == usual.states.loose


def test_little_play_is_not_more_when_it_centres_itself(
    pen: Pen, both: dict[str, Situated]
) -> None:
    """Of a play of 0.03 the half is 0.015, less than what errors of form leave."""
    cap = both["cap.mouth"]
    text = pen.model_dump(by_alias=True, exclude_unset=True)
    near = {"pitch_diameter": 9.555, "uncertainty": 0.0, "instrument": "wires"}
    text["parts"]["barrel"]["ends"]["front"]["external"]["measured"] = near
    text["parts"]["cap"]["ends"]["mouth"]["internal"]["measured"] = {
        **near, "pitch_diameter": 9.585
    }  # fmt: skip
    close = Pen.model_validate(text)
    met = runout.meeting(cap, close, SHOP)
    assert met is not None
    assert met.play == pytest.approx(0.03)
    found = runout.step(cap, {}, close, SHOP)
    assert found.centred.worst == pytest.approx(0.02 + 0.015 + CREST + COLLET)


def test_everything_that_errors_do_to_a_part(plug: Situated) -> None:
    """At 40 the collet swings by 0.01/40, the face by 0.01/15, the thread by 0.02°, the seat by
    0.03/14.2 for each mm; a run-out reads twice the eccentricity."""
    found = runout.truth(plug, {}, plug_pen(), SHOP)
    swing = 40 * (0.01 / 40 + 0.01 / 15 + math.radians(0.02) + 0.03 / 14.2)
    assert found.runout_seat.tight.worst == pytest.approx(2 * (LEFT + CREST + COLLET))
    assert found.runout_seat.tight.statistical == pytest.approx(2 * math.hypot(LEFT, CREST, COLLET))
    assert found.runout_seat.loose.worst == pytest.approx(2 * (0.127 + CREST + COLLET))
    assert found.runout_end.tight.worst == pytest.approx(2 * (LEFT + CREST + COLLET + swing))
    assert found.runout_end.loose.worst == pytest.approx(2 * (0.127 + CREST + COLLET + swing))
    assert found.end_z == 40.0
    # Put back: play strikes twice; gripped anew, the collet too.
    assert found.remount == pytest.approx((2 * LEFT, math.sqrt(2) * LEFT))
    assert found.regripped == pytest.approx(
        (2 * (LEFT + COLLET), math.sqrt(2) * math.hypot(LEFT, COLLET))
    )
    assert found.step == runout.step(plug, {}, plug_pen(), SHOP)
    assert found.wall == runout.thinnest(plug, holding(plug))


def test_of_several_starts_another_may_be_entered_when_it_is_put_back() -> None:
    """Three starts, a third of a turn: 2 sin 60° of the mandrel's and the collet's errors."""
    s = held(plug_pen(thread="M12xPh2.4P0.8-6H", countersink=12.2, outside=16.0,
                      bore=[{"diameter": 11.2, "depth": 30.0}]))  # fmt: skip
    found = runout.truth(s, {}, plug_pen(), SHOP)
    left = holding(s).locators[0].clearance / 8
    assert found.remount.worst == pytest.approx(2 * left + math.sqrt(3) * (CREST + COLLET))


def swings(z: float) -> float:
    """The plug's tightened errors at ``z``, following its thread."""
    each = 0.01 / 40 + 0.01 / 15 + math.radians(0.02) + 0.03 / 14.2
    return LEFT + CREST + COLLET + each * z


def test_the_thinnest_wall_stands_over_the_thread_s_end(plug: Situated) -> None:
    """⌀15 over a root of 9.645 + 11/12 of the sharp height: 10.2404; full turns to 8.8."""
    wall = runout.thinnest(plug, holding(plug))
    assert wall is not None
    root = 9.645 + 11 / 12 * math.sqrt(3) / 2 * 0.75
    assert (wall.where, wall.z) == ("over the thread", 8.8)
    assert wall.true == pytest.approx((15 - root) / 2)
    assert wall.worst == pytest.approx((15 - root) / 2 - swings(8.8))
    assert wall.worst < wall.statistical < wall.true
    # A cone counts at its slim side, face or thread's end.
    slim = plug.shape._replace(d1=11.0, keeps=0.0, from_far=40.0, bores=())
    found = runout.thinnest(replace(plug, shape=slim), holding(plug))
    assert found is not None
    assert found.true == pytest.approx((15 - 0.1 * 8.8 - root) / 2)
    wide = slim._replace(d0=11.0, d1=15.0)
    found = runout.thinnest(replace(plug, shape=wide), holding(plug))
    assert found is not None
    assert found.true == pytest.approx((11 - root) / 2)


@pytest.mark.parametrize(
    ("bores", "where", "z", "true"),
    [
        # The bore's deep end runs out most; what is beyond the part is not there.
        (((0.0, 30.0, 13.0),), "over the bore ⌀13.00", 30.0, 1.0),
        (((0.0, 55.0, 13.0),), "over the bore ⌀13.00", 40.0, 1.0),
        (((0.0, 30.0, 9.2), (30.0, 38.0, 12.5)), "over the bore ⌀12.50", 38.0, 1.25),
        ((), "over the thread", 8.8, 2.3798),
    ],
)
def test_the_wall_over_a_bore_counts_at_its_ends(
    plug: Situated, bores: tuple[tuple[float, float, float], ...], where: str, z: float, true: float
) -> None:
    s = replace(plug, shape=plug.shape._replace(bores=bores))
    wall = runout.thinnest(s, holding(s))
    assert wall is not None
    assert (wall.where, wall.z) == (where, z)
    assert wall.true == pytest.approx(true, abs=1e-4)
    if bores:
        # The bore drifts off the thread by 0.0005 for each mm besides.
        assert wall.worst == pytest.approx(true - swings(z) - 0.0005 * z, abs=1e-6)


def test_what_stands_in_front_of_the_body_is_no_wall_that_is_turned() -> None:
    """The tenon's bore from −8 to 17 counts from the shoulder on; one that ends there does not."""
    s = held(cup_pen())
    wall = runout.thinnest(s, holding(s))
    assert wall is not None
    assert (wall.where, wall.z) == ("over the bore ⌀6.10", 17.0)
    assert wall.true == pytest.approx((13.0 - 6.1) / 2)
    cone = s.shape._replace(d0=8.0, d1=16.0, keeps=0.0, from_far=32.0)
    found = runout.thinnest(replace(s, shape=cone), holding(s))
    assert found is not None
    assert (found.z, found.true) == (0.0, pytest.approx((8.0 - 6.1) / 2))
    short = s.shape._replace(bores=((-8.0, 0.0, 6.1),))
    assert runout.thinnest(replace(s, shape=short), holding(s)) is None
    longer = s.shape._replace(bores=((-8.0, 0.5, 6.1),))
    assert runout.thinnest(replace(s, shape=longer), holding(s)) is not None
