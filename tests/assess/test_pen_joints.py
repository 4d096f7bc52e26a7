"""A pen's joints, holes and passages resolved to limits; sums by hand of the sizes in
support/gadwall. The barrel's tenon is 8 ± 0.2 long, its chamfer 0.5: full thread to 7.3 at the
least, 7.5 as given. The cap is countersunk to 12.2 over 11.134 (0.533 deep) and tapped 9 deep, of
which 1 is lead: full thread to 8, 7.8 at the least."""

from __future__ import annotations

from typing import Any

import pytest

from mandrelgen.assess import pen_joints
from mandrelgen.assess.pen_joints import Joined, Passage, ShortHole, TapHole, widest_from
from mandrelgen.assess.pen_places import Place
from mandrelgen.mechanics.engagement import H1_FACTOR
from mandrelgen.spec.joints import EndRef, Joint
from tests.support.gadwall import CAP, SECTION, SHOP, gadwall, resolved

MOUTH, BARREL = Place("cap", "mouth"), Place("barrel", "mouth")
KEY, BKEY = "parts.cap.ends.mouth", "parts.barrel.ends.mouth"


def near(value: float) -> Any:
    return pytest.approx(value, abs=1e-6)


def joint(changes: dict[str, Any] | None = None, id: str = CAP) -> Joined:
    (one,) = (j for j in resolved(changes).joints if j.joint.id == id)
    return one


# -- closing ---------------------------------------------------------------------------------------
def test_how_a_joint_closes_at_worst_and_as_given() -> None:
    j = joint()
    assert (j.lead, j.starts, j.pitch) == (near(2.4), 3, near(0.8))
    c = j.closing
    assert c.travel == near(7.3 - 0.533)
    assert c.turns == near(6.767 / 2.4)
    assert c.shoulder_gap == 0.0
    assert c.thread_room == near(7.8 - 7.3)
    assert c.bottom_room == near(50 - 0.2 - 8.2)
    assert c.engaged == near(7.3 - 0.533)
    assert j.room == near(8.0 - 7.5)
    assert j.nose_room == near(50 - 8)
    assert j.play.pitch_min == near(11.48 - 11.456)
    assert j.turns is not None
    assert j.turns.nominal == near((7.5 - 0.533) / 2.4)
    assert j.turns.least == near((7.3 - 0.533) / 2.4)
    assert j.turns.most == near((7.7 - 0.533) / 2.4)


def test_the_unformed_turns_hold_it_open() -> None:
    j = joint({f"{BKEY}.external.unformed": 0.733})
    assert j.closing.shoulder_gap == near(0.2)
    assert j.turns is None  # it does not shut


def test_in_a_hole_right_through_the_nose_has_the_whole_part() -> None:
    j = joint({f"{KEY}.bottom": "through", f"{KEY}.bore.0.depth": 60})
    assert (j.nose_room, j.closing.bottom_room) == (near(60 - 8), near(60 - 8.2))


def test_pitches_hold_where_both_have_full_thread() -> None:
    """From 0.533 to 7.3 of 0.8; from 1.333 with 1.333 unformed; to 2.8 of a nut tapped 4 deep."""
    assert joint().pitches == near((7.3 - 0.533) / 0.8)
    unformed = joint({f"{BKEY}.external.unformed": 1.3})
    assert unformed.pitches == near((7.3 - 1.3) / 0.8)
    shallow = joint({f"{KEY}.internal.depth": 4})
    assert shallow.pitches == near((2.8 - 0.533) / 0.8)
    other = joint(id=SECTION)
    assert other.pitches == near((6.3 - 0.506) / 0.75)


def test_where_the_hole_is_too_wide_for_the_crest_nothing_holds() -> None:
    """At the middle crest of 11.901, 30 % of H1 is ⌀11.641: a first step of 11.6 that may be 11.65
    holds nothing down to 3, one that may be 11.63 holds."""

    def wide(upper: float) -> float:
        steps = [{"diameter": 11.6, "depth": 3, "upper": upper},
                 {"diameter": 11.3, "depth": 50, "upper": 0.1}]  # fmt: skip
        return joint({f"{KEY}.bore": steps}).pitches

    assert wide(0.05) == near((7.3 - 3) / 0.8)
    assert wide(0.03) == near((7.3 - 0.533) / 0.8)


def test_a_joint_of_ends_that_are_not_there_is_refused() -> None:
    """Whoever asks for it has not looked at the file: each side, and each thread on it."""
    good_out, good_in = EndRef("barrel", "mouth"), EndRef("cap", "mouth")
    for j in (
        Joint(EndRef("barrel", "nose"), good_in),
        Joint(good_out, EndRef("cap", "nose")),
        Joint(EndRef("barrel", "tail"), good_in),
        Joint(good_out, EndRef("barrel", "tail")),
    ):
        with pytest.raises(ValueError, match="names no ends"):
            pen_joints._joined(gadwall(), j, SHOP)


# -- holes under threads ---------------------------------------------------------------------------
def tap_holes(changes: dict[str, Any] | None = None) -> list[TapHole]:
    return list(resolved(changes).tap_holes)


def test_the_hole_under_a_thread_is_held_against_its_mates_crest() -> None:
    """⌀11.3 to 11.4, as given 11.35; the 6g crest is 11.826 to 11.976, its middle 11.901."""
    cap, barrel = tap_holes()
    h1 = H1_FACTOR * 0.8
    assert (cap.place, cap.mate) == (MOUTH, BARREL)
    assert (cap.crest, cap.crest_min) == (near(11.901), near(11.826))
    assert cap.found.given == near((11.901 - 11.35) / 2 / h1)
    assert cap.found.worst == near((11.826 - 11.4) / 2 / h1)
    assert (cap.pitch, cap.minor, cap.drill, cap.tapped) == (0.8, 11.134, 11.2, 9.0)
    assert len(cap.steps) == 1
    assert cap.bored.path == ("parts", "cap", "ends", "mouth", "bore", 0)
    assert (barrel.place, barrel.mate) == (BARREL, Place("section", "rear"))
    assert barrel.crest == near(7.908)


def test_a_crest_that_was_measured_stands_for_the_class() -> None:
    """11.9 ± the caliper's 0.03 or what the shop says: its middle is the reading."""
    cap = tap_holes({f"{BKEY}.external.measured": {"crest": 11.9, "uncertainty": 0.02}})[0]
    assert (cap.crest, cap.crest_min) == (near(11.9), near(11.88))


def test_only_steps_under_full_thread_are_held_against_it() -> None:
    """Full thread from 0.533 to 7.8 at the least."""

    def seen(*ends: float) -> list[Any]:
        steps = [{"diameter": 11.3 - n / 10, "depth": z} for n, z in enumerate(ends)]
        return [h.bored.path[-1] for h in tap_holes({f"{KEY}.bore": steps}) if h.place == MOUTH]

    assert seen(0.53, 50) == [1]
    assert seen(0.54, 50) == [0, 1]
    assert seen(7.79, 50) == [0, 1]
    assert seen(7.8, 50) == [0]
    assert seen(3, 5, 50) == [0, 1, 2]


def test_a_thread_without_a_mate_is_held_against_the_usual_screw() -> None:
    """6g of its own diameter, whatever its own class; of an inch thread 2A: 5/16-32 UNEF, 7.938
    less the allowance of 0.0010 in, tolerance 0.0060 in (ASME B1.1): 7.760 to 7.912."""
    alone = {f"{KEY}.internal.mates": None}
    cap = tap_holes(alone)[0]
    assert (cap.mate, cap.crest, cap.crest_min) == (None, near(11.901), near(11.826))
    inch = alone | {f"{KEY}.internal.thread": "5/16-32 UNEF-2B", f"{KEY}.internal.countersink": 8.2}
    cap = tap_holes(inch)[0]
    assert cap.crest == pytest.approx((7.760 + 7.912) / 2, abs=2e-3)
    assert cap.crest_min == pytest.approx(7.760, abs=2e-3)


def test_threads_without_a_hole_or_with_a_measured_one_are_passed_over() -> None:
    """And those after them are not."""
    assert [h.place for h in tap_holes({f"{KEY}.bore": []})] == [BARREL]
    read = {f"{KEY}.internal.measured": {"crest": 11.2}}
    assert [h.place for h in tap_holes(read)] == [BARREL]
    plain = {"parts.barrel.ends.tail.bore": [{"diameter": 5, "depth": 3}]}
    assert [h.place for h in tap_holes(plain)] == [MOUTH, BARREL]


def extra(front: dict[str, Any], **more: Any) -> dict[str, Any]:
    """A part of two ends, the second tapped in a hole of its own."""
    rear = {"diameter": 11, "internal": {"thread": "M7x0.5", "depth": 5},
            "bore": [{"diameter": 6.5, "depth": 14}]}  # fmt: skip
    ends = {"front": {"diameter": 11, **front}, "rear": rear}
    return {"parts.extra": {"length": 30, "diameter": 11, "ends": ends}, **more}


THREAD = {"thread": "M8x0.75", "depth": 5}


@pytest.mark.parametrize(
    "front",
    [
        {},
        {"internal": THREAD},
        {
            "internal": THREAD | {"measured": {"crest": 7.3}},
            "bore": [{"diameter": 7.2, "depth": 9}],
        },
    ],
)
def test_an_end_that_is_passed_over_does_not_hide_the_parts_other(front: dict[str, Any]) -> None:
    seen = resolved(extra(front))
    assert [h.place for h in seen.tap_holes if h.place.part == "extra"] == [Place("extra", "rear")]
    short = [s.place.end for s in seen.short_holes if s.place.part == "extra"]
    assert short == ["front"] * ("bore" in front) + ["rear"]


# -- tapped and drilled ----------------------------------------------------------------------------
def test_how_deep_each_thread_is_tapped_and_drilled() -> None:
    two = {f"{KEY}.bore": [{"diameter": 11.3, "depth": 12}, {"diameter": 9, "depth": 40}]}
    assert resolved(two).short_holes == (
        ShortHole(MOUTH, 9.0, 40.0, 2),
        ShortHole(BARREL, 9.0, 50.0, 1),
    )
    turn = {f"{KEY}.internal.depth": None, f"{KEY}.internal.full_thread": 7}
    assert resolved(turn).short_holes[0].tapped == 7.0


def test_a_hole_right_through_or_not_said_is_never_short() -> None:
    """Nor does it end the list."""
    for changes in (
        {f"{KEY}.bore": []},
        {f"{KEY}.bottom": "through", f"{KEY}.bore.0.depth": 60},
    ):
        assert [s.place for s in resolved(changes).short_holes] == [BARREL]


# -- passages --------------------------------------------------------------------------------------
def passage(changes: dict[str, Any] | None = None) -> Passage:
    (one,) = resolved(changes).passages
    return one


def test_a_cap_without_a_bore_ends_with_its_thread() -> None:
    """Its hole is the thread's least minor diameter."""
    p = passage({f"{KEY}.bore": []})
    assert (p.free, p.depth, p.steps, p.step, p.begins) == (11.134, 9.0, 0, 0, 0.0)


def test_a_cap_bored_through_is_as_deep_as_it_is_long() -> None:
    assert passage({f"{KEY}.bottom": "through"}).depth == 60.0


def test_how_deep_a_section_reaches() -> None:
    """8 of the barrel's tenon, 25 of the section less its own 7."""
    p = passage({"parts.section.length": 25})
    assert (p.reach, p.length, p.drill) == (26.0, 60.0, 11.2)
    assert (p.part, p.through) == ("section", MOUTH)


def bore(*rows: tuple[float, float]) -> dict[str, Any]:
    return {f"{KEY}.bore": [{"diameter": d, "depth": z, "upper": 0.1} for d, z in rows]}


def test_the_tightest_step_that_the_section_reaches_counts() -> None:
    """It reaches 21 deep: a step that begins there does not matter, one at 20.9 does."""
    far = passage(bore((11.3, 21), (9, 50)))
    assert (far.free, far.step, far.begins, far.narrowest, far.depth) == (11.3, 0, 0.0, 11.3, 50.0)
    reached = passage(bore((11.3, 20.9), (9, 50)))
    assert (reached.free, reached.step, reached.begins, reached.narrowest) == (9.0, 1, 20.9, 9.0)
    assert reached.steps == 2
    # Of two equally tight the later, which can be bored wider behind the thread.
    assert passage(bore((11.3, 10), (11.3, 50))).step == 1


def test_where_the_section_is_wide_a_wider_step_may_be_the_tightest() -> None:
    """At its shoulder ⌀11 in 11.05; 6 in front of it 10.077 in 10.9."""
    p = passage({"parts.section.ends.front.diameter": 9} | bore((11.05, 14), (10.9, 50)))
    assert (p.diameter, p.free, p.step, p.narrowest) == (11.0, 11.05, 0, 10.9)


def test_the_ends_as_wide_as_the_part_are_named() -> None:
    slim = passage({"parts.section.ends.front.diameter": 9})
    assert slim.ends == (("parts", "section", "ends", "rear", "diameter"),)
    assert passage({"parts.section.diameter": 11.2}).ends == ()
    assert slim.widest == 11.0


def test_a_tapered_section_is_as_wide_as_its_line_where_the_bore_is_narrow() -> None:
    """From ⌀11 at the shoulder to 9 at 13 in front of it; 14 deep in the cap is 6 in front: there
    11 − 2 × 6/13 = 10.077, in ⌀10 less room than ⌀11 in 11.3."""
    p = passage({"parts.section.ends.front.diameter": 9} | bore((11.3, 14), (10, 50)))
    assert (p.diameter, p.free, p.step, p.straight) == (near(11 - 12 / 13), 10.0, 1, True)


def test_a_section_thicker_than_its_ends_is_drawn_with_its_belly_half_way() -> None:
    """⌀11 to 9, the part 12: half of 13 in front of the shoulder. At 9 in front it is between the
    belly (6.5) and the front (13): 12 − 3 × 2.5/6.5 = 10.846."""
    belly = {"parts.section.diameter": 12, "parts.section.ends.front.diameter": 9}
    p = passage(belly | bore((12.5, 17), (10.5, 50)))
    assert (p.diameter, p.straight, p.widest) == (near(12 - 7.5 / 6.5), True, 12.0)
    early = passage(belly | bore((12.05, 10), (11.97, 50)))
    assert (early.diameter, early.step) == (12.0, 1)


def test_a_section_as_wide_as_the_part_at_both_ends_is_straight_for_sure() -> None:
    p = passage(bore((11.3, 14), (10, 50)))
    assert (p.diameter, p.straight) == (11.0, False)


def test_a_section_of_one_end_is_taken_as_wide_as_the_part_in_front() -> None:
    one = {"parts.section.ends.front": None, "parts.section.ends.rear.diameter": 10,
           "parts.section.ends.rear.bottom": "drill-point",
           "parts.section.ends.rear.bore.0.depth": 15}  # fmt: skip
    p = passage(one | bore((11.3, 9), (10.4, 50)))
    assert (p.diameter, p.free, p.straight) == (11.0, 10.4, True)


def test_an_outside_said_point_by_point_counts_from_the_shoulder() -> None:
    """Seen from the rear: its tenon is 7 long, so what is said at 12 stands 5 in front, 13 deep in
    the cap. From 14 on, 6 in front, it is 10 − (10 − 9)/8 = 9.875."""
    points = {"parts.section.ends.rear.outside": [
        {"at": 0, "diameter": 11}, {"at": 7, "diameter": 11}, {"at": 12, "diameter": 10},
        {"at": 20, "diameter": 9}]}  # fmt: skip
    p = passage(points | bore((11.3, 14), (9.9, 50)))
    assert (p.diameter, p.free, p.straight) == (near(9.875), 9.9, False)


def test_the_widest_from_a_place_on() -> None:
    """Between points on the line, before the first as at the first, a point itself counts."""
    row = ((0.0, 10.0), (10.0, 12.0), (20.0, 8.0))
    assert widest_from(row, -3.0) == 12.0
    assert widest_from(row, 10.0) == 12.0
    assert widest_from(row, 15.0) == 10.0
    assert widest_from(row, 25.0) == 8.0
    assert widest_from(((2.0, 9.0), (2.0, 11.0)), 2.0) == 11.0


def test_a_pen_without_a_section_in_its_cap_has_no_passage() -> None:
    assert resolved({f"{BKEY}.internal.mates": None, "parts.section.ends.rear.external": None}
                    ).passages == ()  # fmt: skip
