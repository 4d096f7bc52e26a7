"""How the joints of a pen close, hold and are mended: each finding just inside and just beside its
limit, with the very sizes that it offers. Sizes of support/gadwall: the barrel's tenon is 8 long,
the cap tapped 9 deep with a lead of 1, so 8 to its last full turn; three starts of P 0.8."""

from __future__ import annotations

from typing import Any

import pytest

from mandrelgen.assess import joint_findings, joint_remedies
from mandrelgen.assess.pen_joints import Joined
from mandrelgen.core.errors import Finding, Level, Path, Remedy
from mandrelgen.mechanics.joint import ClosingTurns
from mandrelgen.mechanics.play import ThreadPlay
from tests.support.gadwall import CAP, SECTION, resolved

W, E, N = Level.WARNING, Level.ERROR, Level.NOTE
GOOD = resolved()
NUT: Path = ("parts", "cap", "ends", "mouth", "internal")
TENON: Path = ("parts", "barrel", "ends", "mouth", "external")
NUT_KEY = "parts.cap.ends.mouth.internal"
TENON_KEY = "parts.barrel.ends.mouth.external"


def joint(changes: dict[str, Any] | None = None, id: str = CAP) -> Joined:
    (one,) = (j for j in resolved(changes).joints if j.joint.id == id)
    return one


def room(room: float = 1.0, nose: float = 1.0, thread: float = 1.0, bottom: float = 1.0) -> Joined:
    """The cap's joint with so much room as given (thread, nose) and at worst (thread, nose)."""
    j = joint()
    closing = j.closing._replace(thread_room=thread, bottom_room=bottom)
    return j._replace(room=room, nose_room=nose, closing=closing)


def told(*joints: Joined, walls: Any = ()) -> list[Finding]:
    """Of these joints alone, the count of turns left out."""
    pen = GOOD._replace(joints=joints, tap_holes=(), short_holes=(), passages=(), walls=walls)
    return [f for f in joint_findings.check(pen) if f.code != "pen.turns"]


def one(j: Joined, walls: Any = ()) -> Finding:
    (found,) = told(j, walls=walls)
    return found


def ways(remedies: Any) -> list[list[tuple[Path, Any]]]:
    return [[(c.path, c.value) for c in r.changes] for r in remedies]


def says(remedies: Any) -> list[str]:
    return [r.says for r in remedies]


# -- closing ---------------------------------------------------------------------------------------
def test_a_good_pen_has_nothing_but_its_turns() -> None:
    """The thread begins 0.533 deep, touches at 7.5 (8 less the chamfer): 6.967 over 2.4 is 2.9;
    0.2 less and more, 2.82 and 2.99. The section's single start is not counted."""
    assert joint_findings.check(GOOD) == (
        Finding(N, "pen.turns", CAP, "closes in 2.9 turns (2.8 to 3)"),
    )


def test_two_starts_are_counted_to_the_tenth_of_a_turn() -> None:
    j = joint()._replace(starts=2, turns=ClosingTurns(2.84, 2.66, 3.04))
    (found,) = joint_findings.check(GOOD._replace(joints=(j,)))
    assert found.message == "closes in 2.8 turns (2.7 to 3)"


def test_a_joint_that_does_not_shut_is_not_counted_in_turns() -> None:
    pen = GOOD._replace(joints=(joint()._replace(turns=None),))
    assert joint_findings.check(pen) == ()


@pytest.mark.parametrize(
    ("j", "level", "value"),
    [
        (room(thread=-0.004, bottom=-0.004, room=-0.004, nose=-0.004), None, None),
        (room(thread=-0.25), W, 0.25),
        (room(bottom=-0.25), W, 0.25),
        (room(thread=-0.25, bottom=-0.5), W, 0.5),
        (room(room=-0.25, thread=-0.75), E, 0.25),
        (room(nose=-0.25, bottom=-0.75), E, 0.25),
        (room(room=-0.5, nose=-0.25, thread=-1), E, 0.5),
        (room(room=-0.006, thread=-0.3), E, 0.006),
        (room(room=-0.004, thread=-0.3), W, 0.3),
    ],
)
def test_a_joint_that_bottoms_is_an_error_as_given_and_a_warning_at_worst(
    j: Joined, level: Level | None, value: float | None
) -> None:
    assert [(f.code, f.level, f.value, f.where, f.parts) for f in told(j)] == (
        [("pen.bottoms", level, value, CAP, ("barrel", "cap"))] if level else []
    )


def test_what_bottoms_is_tapped_deeper_or_its_tenon_made_shorter() -> None:
    """0.25 short at worst: with 0.2 in hand 0.45, by tenths 9.5 and 7.5; else 9.3 and 7.7."""
    found = one(room(thread=-0.25))
    assert found.message == (
        "the joint bottoms 0.25 mm before it shuts on its shoulder at worst limits"
    )
    assert found.remedy
    assert ways(found.remedies) == [
        [((*NUT, "depth"), 9.5)],
        [((*NUT, "depth"), 9.3)],
        [((*TENON, "length"), 7.5)],
        [((*TENON, "length"), 7.7)],
    ]
    assert says(found.remedies) == [
        "tap cap.mouth 9.5 deep (now 9)",
        "tap cap.mouth 9.3 deep (now 9)",
        "make the tenon of barrel.mouth 7.5 long (now 8)",
        "make the tenon of barrel.mouth 7.7 long (now 8)",
    ]


def test_as_given_it_is_mended_for_worst_limits_too() -> None:
    found = one(room(room=-0.125, thread=-0.5))
    assert found.message == "the joint bottoms 0.12 mm before it shuts on its shoulder"
    assert ways(found.remedies)[0] == [((*NUT, "depth"), 9.7)]


def test_a_thread_said_by_its_last_full_turn_is_deepened_by_that_key() -> None:
    """8 + 0.5 and 0.2; said both ways, each key is offered."""
    by_turn = joint({f"{NUT_KEY}.depth": None, f"{NUT_KEY}.full_thread": 8})
    assert ways(joint_remedies.room(by_turn, 0.5))[:2] == [
        [((*NUT, "full_thread"), 8.7)],
        [((*NUT, "full_thread"), 8.5)],
    ]
    both = joint({f"{NUT_KEY}.full_thread": 7.5})
    assert ways(joint_remedies.room(both, 0.5))[:4] == [
        [((*NUT, "depth"), 9.7)],
        [((*NUT, "depth"), 9.5)],
        [((*NUT, "full_thread"), 8.2)],
        [((*NUT, "full_thread"), 8.0)],
    ]


def test_a_tenon_is_not_made_shorter_than_nothing() -> None:
    """8 − 7.9 is a tenth; with 0.2 in hand nothing would be left. 8 − 8 is nothing as well."""
    lengths = [w for w in ways(joint_remedies.room(joint(), 7.9)) if w[0][0][-1] == "length"]
    assert lengths == [[((*TENON, "length"), 0.1)]]
    assert [w[0][0][-1] for w in ways(joint_remedies.room(joint(), 8.0))] == ["depth", "depth"]


def taken(**more: float) -> Joined:
    """What the tap leaves is nobody's word: 9 less 8."""
    j = room(**more)
    return j._replace(tapped=j.tapped._replace(lead_taken=True))


def test_what_a_tap_is_taken_to_leave_is_said_and_can_be_answered() -> None:
    """Of 1 at most 0.75 may be left where it shuts on the bench."""
    found = one(taken(thread=-0.25))
    assert found.message.endswith(
        " at worst limits (incomplete thread at the bottom taken as 1, two pitches: say yours)"
    )
    assert len(found.remedies) == 5
    assert ways(found.remedies)[-1] == [((*NUT, "tap_lead"), 0.75)]
    assert says(found.remedies)[-1] == (
        "it shuts on my bench: cap.mouth has at most 0.75 of incomplete thread at its bottom"
    )


@pytest.mark.parametrize(
    ("j", "is_taken"),
    [
        (room(thread=-0.25), False),  # its lead was said
        (taken(thread=-1.004), True),
        (taken(thread=-1.006), False),  # cut to the bottom it would be short all the same
        (taken(thread=-0.25, nose=-0.004), True),
        (taken(thread=-0.25, nose=-0.006), False),  # the nose stands on the floor
        (taken(thread=-0.25, bottom=-0.004), True),
        (taken(thread=-0.25, bottom=-0.006), False),
        (taken(room=-0.25, thread=-0.5), True),
    ],
)
def test_the_word_on_the_taps_lead_is_asked_only_where_it_would_help(
    j: Joined, is_taken: bool
) -> None:
    found = one(j)
    assert ("say yours" in found.message) is is_taken
    assert any(w[0][0][-1] == "tap_lead" for w in ways(found.remedies)) is (
        is_taken and found.value != 1.004
    )


def test_what_is_taken_is_said_by_hundredths() -> None:
    j = taken(thread=-0.25)
    j = j._replace(tapped=j.tapped._replace(full=7.874))
    assert "bottom taken as 1.13, two pitches" in one(j).message
    j = opened()
    assumed = j.tenon._replace(unformed_max=1.606, assumptions=("guided",))
    assert "(taken as 1.61: say yours)" in one(j._replace(tenon=assumed)).message


def test_a_tap_that_leaves_nothing_is_not_taken_to_leave_something() -> None:
    j = taken(thread=-0.004, room=-0.25)
    j = j._replace(tapped=j.tapped._replace(tapped=8.0))
    assert "taken" not in one(j).message


# -- held open -------------------------------------------------------------------------------------
def opened(changes: dict[str, Any] | None = None) -> Joined:
    """1.6 unformed, 0.533 of mouth: it stands open by 1.067."""
    return joint({f"{TENON_KEY}.unformed": 1.6, **(changes or {})})


COUNTERBORED = {f"{NUT_KEY}.counterbore": {"diameter": 12.4, "depth": 0.4, "upper": 0.1},
                f"{NUT_KEY}.countersink": 12.4}  # fmt: skip


@pytest.mark.parametrize(("gap", "count"), [(0.004, 0), (0.006, 1)])
def test_a_joint_held_open_by_five_thousandths_is_shut(gap: float, count: int) -> None:
    j = joint()
    j = j._replace(closing=j.closing._replace(shoulder_gap=gap))
    assert [f.code for f in told(j)] == ["pen.shoulder"] * count


def test_incomplete_threads_get_a_mouth_without_thread() -> None:
    """⌀12 and 0.2 wide, 1.6 deep; or with the thread by as much deeper: 9 + 1.6. A die leaves no
    less than a pitch (0.8), so 0.5 of unformed is not offered; the lip of 15 is wide enough."""
    found = one(opened(), walls=resolved().walls)
    assert (found.level, found.code, found.where, found.value) == (W, "pen.shoulder", CAP, 1.067)
    assert found.parts == ("barrel", "cap")
    assert (
        found.message == "the incomplete threads at the shoulder may hold the joint open by 1.07 mm"
    )
    assert found.brief == "incomplete threads that may hold the joint open by 1.07"
    assert found.remedy
    mouth = [((*NUT, "counterbore", "diameter"), 12.2), ((*NUT, "counterbore", "depth"), 1.6)]
    assert ways(found.remedies) == [mouth, [*mouth, ((*NUT, "depth"), 10.6)]]
    assert says(found.remedies) == [
        "counterbore cap.mouth ⌀12.2 × 1.6",
        "counterbore cap.mouth ⌀12.2 × 1.6, tapped 10.6 deep",
    ]


def test_depths_are_set_by_tenths() -> None:
    """1.62 unformed is 1.7, and 9.02 and 1.7 deep 10.8; a counterbore of 0.42 open by 0.6 is 1.02,
    so 1.1."""
    odd = joint({f"{TENON_KEY}.unformed": 1.62, f"{NUT_KEY}.depth": 9.02})
    last = ways(joint_remedies.shut(odd, ()))[-1]
    assert [value for _, value in last] == [12.2, 1.7, 10.8]
    deep = opened({f"{NUT_KEY}.counterbore": {"diameter": 12.4, "depth": 0.42, "upper": 0.1}})
    deep = deep._replace(closing=deep.closing._replace(shoulder_gap=0.6))
    assert ways(joint_remedies.shut(deep, ()))[0] == [((*NUT, "counterbore", "depth"), 1.1)]


def test_what_a_die_is_taken_to_leave_is_said() -> None:
    """Guided, two pitches."""
    found = one(joint({f"{TENON_KEY}.unformed": None}))
    assert found.message.endswith("by 1.07 mm (taken as 1.6: say yours)")


def test_a_counterbore_that_is_there_is_made_deeper_by_the_gap() -> None:
    """0.4 and a countersink of (12.4 − 11.134)/2 = 0.633: open by 0.567, so 0.967, by tenths 1;
    with the thread by 0.6 deeper; or threaded to within 1 of its shoulder (1.033 by twentieths)."""
    found = one(opened(COUNTERBORED), walls=resolved(COUNTERBORED).walls)
    assert ways(found.remedies) == [
        [((*NUT, "counterbore", "depth"), 1.0)],
        [((*TENON, "unformed"), 1.0)],
        [((*NUT, "counterbore", "depth"), 1.0), ((*NUT, "depth"), 9.6)],
    ]
    assert says(found.remedies) == [
        "counterbore cap.mouth 1 deep",
        "thread the tenon of barrel.mouth to within 1 of its shoulder (a die turned round for the "
        "last turns)",
        "counterbore cap.mouth 1 deep, tapped 9.6 deep",
    ]


@pytest.mark.parametrize(("start", "offered"), [(0.8, True), (0.84, True), (0.79, False)])
def test_a_die_leaves_a_pitch_at_least(start: float, offered: bool) -> None:
    j = opened()
    j = j._replace(tapped=j.tapped._replace(start=start))
    unformed = [w[0][1] for w in ways(joint_remedies.shut(j, ())) if w[0][0][-1] == "unformed"]
    assert unformed == ([0.8] if offered else [])


def slim(diameter: float, largest: float | None = None) -> dict[str, Any]:
    return {"parts.cap.diameter": largest or diameter, "parts.cap.ends.mouth.diameter": diameter}


def wider(changes: dict[str, Any]) -> list[list[tuple[Path, Any]]]:
    # The other parts' walls first: the cap's own lip is meant.
    walls = sorted(resolved(changes).walls, key=lambda w: w.place.part == "cap")
    found = ways(joint_remedies.shut(opened(changes), tuple(walls)))
    return [w[2:] for w in found if w[-1][0][-1] == "diameter" and len(w) > 2]


OUTSIDE: Path = ("parts", "cap", "ends", "mouth", "diameter")


def test_a_slim_lip_is_made_wide_enough_for_a_counterbore_and_a_seat() -> None:
    """The counterbore may come out ⌀12.3; a seat of 0.5, 0.1 of clearance and a collar's 0.1 over
    edges of 0.2 a side are 12.3 + 1.2 + 0.1 + 0.4 = 14.0; the wall alone, 0.8, asks for 13.9."""
    assert wider(slim(13.5)) == [[(OUTSIDE, 14.0), (("parts", "cap", "diameter"), 14.0)]]
    assert wider(slim(13.5, largest=16)) == [[(OUTSIDE, 14.0)]]
    assert wider(slim(13.9)) == [[(OUTSIDE, 14.0), (("parts", "cap", "diameter"), 14.0)]]
    assert wider(slim(14.0)) == []
    (way,) = [r for r in joint_remedies.shut(opened(slim(13.5)), resolved(slim(13.5)).walls)
              if "⌀14" in r.says]  # fmt: skip
    assert way.says == (
        "counterbore cap.mouth ⌀12.2 × 1.6, and cap ⌀14 at the mouth, and as its largest diameter"
    )


def test_a_wall_that_asks_for_more_than_a_seat_decides() -> None:
    """Of ebonite a lip of 1 is recommended: 12.3 + 2 = 14.3. A broken edge of 0.6 asks for
    12.3 + 1.3 + 1.2 = 14.8."""
    assert wider(slim(13.5, 16) | {"parts.cap.material": "ebonite"}) == [[(OUTSIDE, 14.3)]]
    assert wider(slim(13.5, 16) | {"parts.cap.ends.mouth.edge_break": 0.6}) == [[(OUTSIDE, 14.8)]]
    # 12.3 + 1.3 + 0.45 = 14.05, by tenths.
    assert wider(slim(13.5, 16) | {"parts.cap.ends.mouth.edge_break": 0.225}) == [[(OUTSIDE, 14.1)]]


def test_a_lip_with_a_counterbore_or_under_an_outer_thread_is_not_made_wider() -> None:
    assert wider(slim(13.5) | COUNTERBORED) == []
    changes = {
        "parts.section.ends.rear.external.unformed": 1.6,
        "parts.barrel.ends.mouth.diameter": 9,
    }
    found = joint_remedies.shut(joint(changes, SECTION), resolved(changes).walls)
    at = ("parts", "barrel", "ends", "mouth", "internal")
    # M8 and 0.2.
    mouth = [((*at, "counterbore", "diameter"), 8.2), ((*at, "counterbore", "depth"), 1.6)]
    assert ways(found) == [mouth, [*mouth, ((*at, "depth"), 10.6)]]


def test_a_thread_said_by_its_last_full_turn_goes_deeper_with_its_counterbore() -> None:
    j = opened({f"{NUT_KEY}.full_thread": 7.5})
    last: Remedy = list(joint_remedies.shut(j, ()))[-1]
    assert ways([last])[0][2:] == [((*NUT, "depth"), 10.6), ((*NUT, "full_thread"), 9.1)]


# -- holding ---------------------------------------------------------------------------------------
@pytest.mark.parametrize(("pitches", "count"), [(3.0, 0), (2.9999995, 0), (2.999998, 1), (0.0, 1)])
def test_three_pitches_hold(pitches: float, count: int) -> None:
    assert [f.code for f in told(joint()._replace(pitches=pitches))] == ["pen.engagement"] * count


def test_few_pitches_get_a_longer_tenon_a_deeper_thread_or_both() -> None:
    """2.44 of 3 lack 0.56 × 0.8 = 0.448: by tenths 8.5 and 9.5."""
    found = one(joint()._replace(pitches=2.44))
    assert (found.level, found.where, found.value) == (W, CAP, 2.44)
    assert (found.less_is_worse, found.parts) == (True, ("barrel", "cap"))
    assert found.message == "only 2.4 pitches hold when it is shut; 3 or more is usual"
    assert found.remedy
    long, deep = ((*TENON, "length"), 8.5), ((*NUT, "depth"), 9.5)
    assert ways(found.remedies) == [[long], [deep], [long, deep]]
    assert says(found.remedies) == [
        "make the tenon of barrel.mouth 8.5 long",
        "tap cap.mouth 9.5 deep",
        "make the tenon of barrel.mouth 8.5 long and tap cap.mouth 9.5 deep",
    ]


def test_what_bottoms_is_told_before_what_holds() -> None:
    """A joint that cannot shut has no pitches to speak of."""
    assert [f.code for f in told(room(thread=-1)._replace(pitches=0.0))] == ["pen.bottoms"]


def test_a_part_screwed_into_itself_is_named_once() -> None:
    j = joint()
    j = j._replace(pitches=1.0, joint=j.joint._replace(internal=j.joint.external))
    assert one(j).parts == ("barrel",)


@pytest.mark.parametrize(
    ("play", "value"),
    [
        (ThreadPlay(-0.004, 0.2, 0.1, 0.1), None),
        (ThreadPlay(-0.0256, 0.2, 0.1, 0.1), 0.0256),
        (ThreadPlay(0.1, 0.2, -0.05, 0.1), 0.05),
        (ThreadPlay(0.1, 0.2, 0.1, -0.2), 0.2),
    ],
)
def test_threads_that_bind_at_worst_are_told(play: ThreadPlay, value: float | None) -> None:
    found = told(joint()._replace(play=play))
    assert [(f.level, f.code, f.where, f.value, f.parts) for f in found] == (
        [(W, "pen.tight", CAP, value, ("barrel", "cap"))] if value else []
    )
    assert all(f"by {round(value or 0, 3)} mm on diameter" in f.message and f.remedy for f in found)
