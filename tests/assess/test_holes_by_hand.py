"""Holes under threads and parts that have to pass: each finding just inside and just beside its
limit, with the very sizes it offers. M12xPh2.4P0.8 by support/gadwall: 6g crests of 11.826 to
11.976, H1 = 0.433 of P 0.8; the nut's minor diameter is 11.134 to 11.334."""

from __future__ import annotations

from typing import Any

import pytest

from mandrelgen.assess import joint_findings
from mandrelgen.assess.pen_joints import Passage, ShortHole, TapHole
from mandrelgen.assess.pen_places import Place
from mandrelgen.core.errors import Finding, Level, Path
from mandrelgen.mechanics.engagement import Engagement
from tests.support.gadwall import resolved

W, E, N = Level.WARNING, Level.ERROR, Level.NOTE
GOOD = resolved()
MOUTH = Place("cap", "mouth")
BORE: Path = ("parts", "cap", "ends", "mouth", "bore")
KEY = "parts.cap.ends.mouth.bore"


def told(**rows: Any) -> list[Finding]:
    empty = {"joints": (), "tap_holes": (), "short_holes": (), "passages": ()}
    return list(joint_findings.check(GOOD._replace(**{**empty, **rows})))


def ways(found: Finding) -> list[list[tuple[Path, Any]]]:
    return [[(c.path, c.value) for c in r.changes] for r in found.remedies]


# -- under a thread --------------------------------------------------------------------------------
def tap_hole(diameter: float, upper: float = 0.1, **more: Any) -> TapHole:
    step = {"diameter": diameter, "depth": 50, "upper": upper} | more
    return next(h for h in resolved({KEY: [step]}).tap_holes if h.place == MOUTH)


def of_hole(h: TapHole) -> Finding:
    (found,) = told(tap_holes=(h,))
    return found


@pytest.mark.parametrize(
    ("given", "worst", "level"),
    [(0.6, 0.3, None), (0.599, 0.5, W), (0.45, 0.3, W), (0.449, 0.4, E), (0.7, 0.299, E)],
)
def test_a_wide_hole_weighs_by_what_it_leaves_of_the_thread(
    given: float, worst: float, level: Level | None
) -> None:
    found = told(tap_holes=(tap_hole(11.3)._replace(found=Engagement(given, worst)),))
    assert [(f.code, f.level, f.value) for f in found] == (
        [("pen.tap_hole", level, round(100 * given, 1))] if level else []
    )


def test_a_wide_hole_gets_the_drill_that_leaves_six_tenths() -> None:
    """The middle crest 11.901 less 1.2 × 0.433 = 11.381: drill 11.3, bored 11.35. As given ⌀11.45:
    0.451/0.866 = 52.1 % of H1, 43 % by the charts; at worst 0.326/0.866 = 37.6, 31 %."""
    found = of_hole(tap_hole(11.4))
    assert (found.level, found.where, found.value) == (W, "cap.mouth", 52.1)
    assert (found.parts, found.less_is_worse, found.firm) == (("cap", "barrel"), True, False)
    assert found.message == (
        "a hole of ⌀11.45 leaves 43 % thread for barrel.mouth's crest of ⌀11.901 (31 % at worst "
        "limits); 50 % is usual"
    )
    assert found.remedy
    assert ways(found) == [[((*BORE, 0, "diameter"), 11.3)]]
    assert ways(of_hole(tap_hole(11.4, made="bored"))) == [[((*BORE, 0, "diameter"), 11.35)]]


def test_a_hole_that_may_come_out_large_is_drilled_smaller_for_that() -> None:
    """At worst 11.826 − 0.6 × 0.433 = 11.566 may be reached by 0.4 over: 11.166, drill 11.1."""
    found = of_hole(tap_hole(11.2, upper=0.4))
    assert found.level is E
    assert ways(found) == [[((*BORE, 0, "diameter"), 11.1)]]


def test_a_hole_that_is_already_as_small_as_that_is_not_drilled_again() -> None:
    assert of_hole(tap_hole(11.3)._replace(found=Engagement(0.5, 0.4))).remedies == ()


def test_a_hole_wider_than_the_crest_leaves_no_thread_and_cannot_be_accepted() -> None:
    found = of_hole(tap_hole(11.851))
    assert found.value == 0.0
    assert (found.level, found.firm) == (E, True)
    assert found.message == "a hole of ⌀11.901 leaves no thread for barrel.mouth's crest of ⌀11.901"
    assert of_hole(tap_hole(11.84)).firm is False


def test_a_hole_without_a_mate_is_judged_by_the_usual_crest_and_of_its_part_alone() -> None:
    found = of_hole(tap_hole(11.4)._replace(mate=None))
    assert found.parts == ("cap",)
    assert "leaves 43 % thread for the usual crest (31 %" in found.message
    own = of_hole(tap_hole(11.4)._replace(mate=Place("cap", "tail")))
    assert own.parts == ("cap",)


@pytest.mark.parametrize(("upper", "tight"), [(0.13, True), (0.138, False)])
def test_a_hole_a_tenth_under_the_minor_diameter_makes_the_tap_work(
    upper: float, tight: bool
) -> None:
    """11.134 − 0.1 = 11.034."""
    found = told(tap_holes=(tap_hole(10.9, upper=upper),))
    assert [f.code for f in found] == ["pen.tight_hole"] * tight


def test_a_tight_hole_is_drilled_wider_as_far_as_the_tap_goes_or_all_the_way() -> None:
    """The tap goes 9 deep, a pitch behind it is 9.8; the next drill above 11.134 is 11.2, which is
    also sold for D − P. Its own tolerance goes with the old hole, which comes second now."""
    found = of_hole(tap_hole(10.9, upper=0.0876))
    assert (found.level, found.where, found.parts) == (W, "cap.mouth", ("cap",))
    assert found.value == 0.1464
    assert found.message == (
        "the hole of ⌀10.988 at most is under the thread's least minor diameter of ⌀11.134: the "
        "tap has to cut the rest and may bind"
    )
    assert found.remedy
    assert ways(found) == [
        [
            ((*BORE, 1, "diameter"), 10.9),
            ((*BORE, 1, "depth"), 50),
            ((*BORE, 1, "upper"), 0.0876),
            ((*BORE, 0, "diameter"), 11.2),
            ((*BORE, 0, "depth"), 9.8),
            ((*BORE, 0, "upper"), None),
        ],
        [((*BORE, 0, "diameter"), 11.2)],
    ]
    assert found.remedies[0].says == "drill its tapping hole first: ⌀11.2, 9.8 deep"
    bored = of_hole(tap_hole(10.9, made="bored"))
    assert ways(bored)[-1] == [((*BORE, 0, "diameter"), 11.15)]


def in_front(h: TapHole) -> list[tuple[Any, Any]]:
    """Diameter and depth of each tapping hole that is offered in front."""
    rows = (dict(w) for w in ways(of_hole(h)) if len(w) > 1)
    return [(r[(*BORE, 0, "diameter")], r[(*BORE, 0, "depth")]) for r in rows]


def test_the_drill_sold_for_the_thread_comes_first_if_it_is_wide_enough() -> None:
    h = tap_hole(10.9)
    assert in_front(h._replace(drill=11.3)) == [(11.3, 9.8), (11.2, 9.8)]
    assert in_front(h._replace(drill=11.13)) == [(11.13, 9.8), (11.2, 9.8)]
    assert in_front(h._replace(drill=11.128)) == [(11.2, 9.8)]


def test_behind_a_fine_tap_half_a_millimetre_is_left() -> None:
    assert in_front(tap_hole(10.9)._replace(pitch=0.4)) == [(11.2, 9.5)]
    assert in_front(tap_hole(10.9)._replace(pitch=0.4, tapped=9.02)) == [(11.2, 9.6)]


def test_a_hole_that_ends_with_its_tap_is_wider_all_the_way() -> None:
    assert len(ways(of_hole(tap_hole(10.9, depth=9.8)))) == 1
    assert len(ways(of_hole(tap_hole(10.9, depth=9.81)))) == 2


# -- tapped deeper than drilled --------------------------------------------------------------------
def short(tapped: float, drilled: float) -> list[Finding]:
    return told(short_holes=(ShortHole(MOUTH, tapped, drilled, 2),))


@pytest.mark.parametrize(("drilled", "count"), [(9.0, 0), (8.996, 0), (8.994, 1)])
def test_a_hole_as_deep_as_its_thread_is_deep_enough(drilled: float, count: int) -> None:
    assert [f.code for f in short(9.0, drilled)] == ["pen.short_hole"] * count


def test_a_short_hole_is_bored_deeper_or_tapped_less_with_room_for_the_chips_first() -> None:
    """9.25 + 0.5 is 9.8 by tenths, 9.3 without; 8.66 − 0.5 is 8.1."""
    (found,) = short(9.25, 8.66)
    assert (found.level, found.where, found.value) == (E, "cap.mouth", 0.59)
    assert (found.parts, found.firm) == (("cap",), True)
    assert found.message == "it is tapped 9.25 deep in a hole 8.66 deep"
    assert found.remedy
    depth, tap = (*BORE, 1, "depth"), ("parts", "cap", "ends", "mouth", "internal", "depth")
    assert ways(found) == [[(depth, 9.8)], [(depth, 9.3)], [(tap, 8.1)], [(tap, 8.6)]]
    assert [r.says for r in found.remedies] == [
        "bore cap.mouth 9.8 deep (now 8.66)",
        "bore cap.mouth 9.3 deep (now 8.66)",
        "tap cap.mouth 8.1 deep (now 9.25)",
        "tap cap.mouth 8.6 deep (now 9.25)",
    ]


def test_a_thread_is_not_tapped_less_than_nothing() -> None:
    (found,) = short(9.0, 0.5)
    assert [w[0][1] for w in ways(found)] == [9.5, 9.0, 0.5]


# -- what has to pass ------------------------------------------------------------------------------
(PASSES,) = GOOD.passages


def of_passage(**more: Any) -> list[Finding]:
    return told(passages=(PASSES._replace(**more),))


def test_what_passes_is_the_section_through_the_caps_mouth() -> None:
    """21 deep, as in tests/assess/test_inside_by_hand; drill 11.2 stands for D − P."""
    ends = (("parts", "section", "ends", "rear", "diameter"),
            ("parts", "section", "ends", "front", "diameter"))  # fmt: skip
    row = Passage(
        part="section", through=MOUTH, diameter=11.0, free=11.3, reach=21.0, depth=50.0, steps=1,
        ends=ends, drill=11.2, length=60.0, widest=11.0, straight=False, step=0, begins=0.0,
        narrowest=11.3,
    )  # fmt: skip
    assert row == PASSES
    assert of_passage() == []


@pytest.mark.parametrize(("free", "count"), [(11.1, 0), (11.096, 0), (11.094, 1)])
def test_a_part_wants_a_tenth_to_pass(free: float, count: int) -> None:
    assert [f.code for f in of_passage(free=free)] == ["pen.passage"] * count


def test_a_part_that_does_not_pass_is_made_slimmer_at_every_end_as_wide() -> None:
    """11.06 − 0.1 is 10.96, by twentieths 10.95."""
    (found,) = of_passage(free=11.06)
    assert (found.level, found.where, found.value) == (E, "section", 0.04)
    assert found.parts == ("section", "cap")
    assert found.message == "⌀11 does not pass cap.mouth (⌀11.06 at the least) with 0.1 to spare"
    assert found.remedy == "⌀10.95 or less, or a larger cap thread"
    at = ("parts", "section")
    assert ways(found) == [
        [
            ((*at, "diameter"), 10.95),
            ((*at, "ends", "rear", "diameter"), 10.95),
            ((*at, "ends", "front", "diameter"), 10.95),
        ]
    ]
    assert found.remedies[0].says == "section ⌀10.95 or less"


def test_behind_the_thread_the_bore_may_be_made_wider_too() -> None:
    """11 + 0.1 is a drill of 11.1; 10.95 + 0.1 is 11.05, the next drill is the same."""
    (found,) = of_passage(free=10.5, step=1, begins=14.0, diameter=10.95, straight=True)
    assert found.message.endswith(" (its outside taken as straight between its ends: say yours)")
    assert found.remedy == "⌀10.4 or less, or a wider bore behind its thread"
    assert ways(found)[1] == [((*BORE, 1, "diameter"), 11.1)]
    assert found.remedies[1].says == "bore cap.mouth ⌀11.1 from 14 on"
    assert len(ways(of_passage(free=10.5, step=1, diameter=25.0)[0])) == 1  # no such drill


def test_what_is_not_wider_than_the_spare_cannot_be_made_slimmer() -> None:
    assert of_passage(free=0.1)[0].remedies == ()
    assert len(of_passage(free=0.15)[0].remedies) == 1


@pytest.mark.parametrize(
    ("narrowest", "straight", "count"),
    [(11.096, True, 0), (11.094, True, 1), (11.094, False, 0), (10.5, True, 1)],
)
def test_a_guess_on_the_outside_that_the_passing_rests_on_is_said(
    narrowest: float, straight: bool, count: int
) -> None:
    found = of_passage(diameter=10.0, narrowest=narrowest, straight=straight)
    assert [(f.code, f.level, f.where, f.parts) for f in found] == [
        ("pen.passage_straight", N, "section", ("section", "cap"))
    ] * count
    assert [f.value for f in found] == [round(11.0 - narrowest, 4)] * count
    assert all(
        f.message.startswith(f"⌀11 passes cap.mouth (⌀{narrowest} at the least) as long as")
        and f.remedy
        for f in found
    )


@pytest.mark.parametrize(("reach", "count"), [(50.004, 0), (50.006, 1)])
def test_a_cap_is_as_deep_as_what_screws_into_it_reaches(reach: float, count: int) -> None:
    assert [f.code for f in of_passage(reach=reach)] == ["pen.cap_depth"] * count


def test_a_shallow_cap_is_bored_deeper_at_its_last_step() -> None:
    (found,) = of_passage(reach=50.44, steps=3)
    assert (found.level, found.where, found.value) == (E, "cap.mouth", 0.44)
    assert found.parts == ("section", "cap")
    assert found.message == (
        "it is bored 50 deep, and what screws into it reaches 50.44 (without the nib)"
    )
    assert found.remedy
    assert ways(found) == [[((*BORE, 2, "depth"), 50.5)]]
    assert found.remedies[0].says == "bore cap.mouth 50.5 deep (now 50)"


# -- no bore said ----------------------------------------------------------------------------------
def unbored(**more: Any) -> list[Finding]:
    return of_passage(**{"steps": 0, "depth": 9.0} | more)


def test_a_cap_without_a_bore_gets_one_for_section_and_nib() -> None:
    """⌀11 and 0.1, but no less than the tapping drill of 11.2; 21 and 26 deep, which leaves a cap
    of 60 more than the 1 that is recommended beyond the point."""
    (found,) = unbored()
    assert (found.level, found.code, found.where, found.value) == (
        W,
        "pen.cap_bore",
        "cap.mouth",
        12.0,
    )
    assert found.parts == ("section", "cap")
    assert found.message == (
        "no bore is said: its thread ends 9 deep, and what screws into it reaches 21 (without the "
        "nib)"
    )
    assert found.remedy == "say its bore: ⌀11.1 or more, deeper than 21 by the nib and some room"
    assert ways(found) == [[((*BORE, 0, "diameter"), 11.2), ((*BORE, 0, "depth"), 47.0)]]
    assert found.remedies[0].says == (
        "bore cap.mouth ⌀11.2, 47 deep (the nib taken as 26 with its room: say yours)"
    )
    assert unbored(reach=9.004) == []
    (odd,) = unbored(reach=21.02346)
    assert (odd.value, ways(odd)[0][1][1]) == (12.0235, 47.1)
    assert len(unbored(reach=9.006)) == 1


def test_a_bore_for_a_short_cap_leaves_its_closed_end() -> None:
    """45 less 1 and the point of 11.2 at 118°, 5.6/tan 59° = 3.365: 40.6. In a cap of 25, 20.6 is
    less than the section reaches; a drill of 13.4 for a wider part has a point of 4.026."""
    depths = [w[1][1] for w in ways(unbored(length=45.0)[0])]
    assert depths == [47.0, 40.6]
    assert [w[1][1] for w in ways(unbored(length=25.0)[0])] == [47.0]
    wide = ways(unbored(length=45.0, diameter=13.3, free=14.0)[0])
    assert [w[0][1] for w in wide] == [13.4, 13.4]
    assert wide[1][1][1] == 39.9


def test_a_cap_for_which_no_drill_is_sold_gets_no_bore() -> None:
    assert unbored(diameter=25.0, free=30.0)[0].remedies == ()
