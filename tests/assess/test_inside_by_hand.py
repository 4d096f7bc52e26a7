"""What goes inside a pen, told whole: level, amount, place, the parts concerned and the very sizes
that would mend it. Sums of the sizes in support/gadwall, by hand: the section's 20 less its tenon
of 7 stand 13 in front of the barrel, whose tenon of 8 is in the cap, so it reaches 21 of 50."""

from __future__ import annotations

from typing import Any

import pytest

from mandrelgen.assess import inside
from mandrelgen.core.errors import Change, Finding, Level, Path
from tests.support.gadwall import SHOP, gadwall, resolved

CAP_BORE: Path = ("parts", "cap", "ends", "mouth", "bore", 0, "depth")
BARREL_BORE: Path = ("parts", "barrel", "ends", "mouth", "bore", 0)
W, E = Level.WARNING, Level.ERROR


def told(changes: dict[str, Any]) -> tuple[Finding, ...]:
    return inside.check(gadwall(changes), SHOP, resolved(changes))


def one(changes: dict[str, Any]) -> Finding:
    (found,) = told(changes)
    return found


def ways(found: Finding) -> list[list[tuple[Path, Any]]]:
    return [[(c.path, c.value) for c in r.changes] for r in found.remedies]


def test_nothing_inside_asks_for_nothing() -> None:
    assert told({}) == ()


# -- the nib ---------------------------------------------------------------------------------------
def test_a_cap_too_shallow_for_its_nib_says_by_how_much_and_how_deep() -> None:
    """21 + 28.5 and 1 to spare are 50.5: 0.5 too much, all of it room, so a warning."""
    found = one({"inside.nib_unit": {"stick_out": 28.5}})
    assert (found.level, found.code, found.where, found.value) == (
        W,
        "pen.nib_room",
        "cap.mouth",
        0.5,
    )
    assert found.parts == ("section", "cap")
    assert found.message == (
        "it is bored 50 deep; section and nib reach 49.5, and 1 is to be spare"
    )
    assert found.remedy
    assert ways(found) == [
        [(CAP_BORE, 50.5)],
        [(CAP_BORE, 50.5), (("parts", "cap", "length"), 60.5)],
    ]
    assert [r.says for r in found.remedies] == [
        "bore cap.mouth 50.5 deep (now 50)",
        "bore cap.mouth 50.5 deep (now 50) and the part 60.5 long",
    ]


def test_an_inner_caps_floor_is_told_with_the_nib() -> None:
    found = one({"inside.nib_unit": {"stick_out": 27}, "inside.inner_cap": {"floor": 1.25}})
    assert found.value == 0.25
    assert found.message == (
        "it is bored 50 deep; section and nib reach 48, the inner cap's floor takes 1.25, and 1 is "
        "to be spare"
    )
    # By tenths for the bore, by twentieths for the length.
    assert ways(found)[1] == [(CAP_BORE, 50.3), (("parts", "cap", "length"), 60.25)]


@pytest.mark.parametrize(
    ("room", "stick_out", "level"),
    [
        (2.0, 27.0, None),
        (2.0, 27.004, None),  # 0.005 is forgiven
        (2.0, 27.006, W),
        (2.0, 29.004, W),
        (2.0, 29.006, E),  # more than all the room
        (0.0, 29.006, E),
    ],
)
def test_the_room_said_in_front_of_the_nib_counts(
    room: float, stick_out: float, level: Level | None
) -> None:
    found = told({"inside.nib_unit": {"stick_out": stick_out}, "inside.room": room})
    assert [f.level for f in found] == ([level] if level else [])


def test_a_nib_in_another_part_than_the_one_in_the_cap_asks_nothing_of_the_cap() -> None:
    nib = {"stick_out": 40, "front": "section.front"}
    assert one({"inside.nib_unit": nib}).code == "pen.nib_room"
    assert told({"inside.nib_unit": nib | {"front": "barrel.tail"}}) == ()


def test_a_nib_is_not_held_against_a_cap_whose_bore_nobody_said() -> None:
    """That finding is the bore's own (pen.cap_bore)."""
    assert told({"inside.nib_unit": {"stick_out": 40}, "parts.cap.ends.mouth.bore": []}) == ()


def test_of_two_caps_the_first_is_passed_over_and_the_second_told() -> None:
    """A second cap, bored 45 deep, screws on the same mouth: 21 + 26 + 1 = 48."""
    cap = {
        "length": 55, "diameter": 15,
        "ends": {"mouth": {
            "diameter": 15,
            "internal": {"thread": "M12xPh2.4P0.8-6H", "mates": "barrel.mouth", "depth": 9},
            "bore": [{"diameter": 11.3, "depth": 45}],
        }},
    }  # fmt: skip
    found = one({"parts.second": cap, "inside.nib_unit": {"stick_out": 26}})
    assert (found.where, found.value) == ("second.mouth", 3.0)
    # And behind a cap whose bore nobody said.
    bare = {"parts.second": cap, "parts.cap.ends.mouth.bore": []}
    assert one(bare | {"inside.nib_unit": {"stick_out": 26}}).where == "second.mouth"


# -- converter or cartridge ------------------------------------------------------------------------
def reservoir(diameter: float, behind: float, **more: Any) -> dict[str, Any]:
    return {"inside.reservoir": {"diameter": diameter, "behind": behind, **more}}


@pytest.mark.parametrize(
    ("diameter", "level"), [(7.1, None), (7.104, None), (7.106, W), (7.3, W), (7.301, E)]
)
def test_a_converter_wants_two_tenths_around_it(diameter: float, level: Level | None) -> None:
    """In the barrel's ⌀7.3 at the least; what is wider than the bore does not go in."""
    found = told(reservoir(diameter, 30))
    assert [(f.code, f.level) for f in found] == ([("pen.reservoir_width", level)] if level else [])


def test_a_narrow_barrel_is_drilled_wider() -> None:
    """7.25 and 0.2 are 7.45: the next drill is 7.5, a bored one can be 7.45."""
    found = one(reservoir(7.25, 30))
    assert (found.where, found.value, found.parts) == ("barrel.mouth", 0.15, ("barrel",))
    assert found.message == "converter or cartridge of ⌀7.25 in a bore of ⌀7.3, with 0.2 to spare"
    assert found.remedy
    assert ways(found) == [[((*BARREL_BORE, "diameter"), 7.5)]]
    bored = one(reservoir(7.25, 30) | {"parts.barrel.ends.mouth.bore.0.made": "bored"})
    assert ways(bored) == [[((*BARREL_BORE, "diameter"), 7.45)]]


def test_only_steps_that_the_converter_lies_in_have_to_be_wide() -> None:
    """It lies from 7 (the section's tenon) to 37."""
    steps = [
        {"diameter": 7.3, "depth": 7, "upper": 0.1},
        {"diameter": 9.0, "depth": 37, "upper": 0.1},
        {"diameter": 6.0, "depth": 50, "upper": 0.1},
    ]
    bore = {"parts.barrel.ends.mouth.bore": steps}
    assert told(reservoir(8, 30) | bore) == ()
    longer = one(reservoir(8, 30.5) | bore)
    assert ways(longer) == [[(("parts", "barrel", "ends", "mouth", "bore", 2, "diameter"), 8.2)]]
    steps[0]["depth"] = 7.5
    assert ways(one(reservoir(8, 30) | bore)) == [[((*BARREL_BORE, "diameter"), 8.2)]]


def test_every_narrow_step_is_told() -> None:
    steps = [
        {"diameter": 7.3, "depth": 20, "upper": 0.1},
        {"diameter": 7.2, "depth": 50, "upper": 0.1},
    ]
    found = told(reservoir(7.5, 30) | {"parts.barrel.ends.mouth.bore": steps})
    assert [f.value for f in found] == [0.4, 0.5]


def test_a_converter_wider_than_any_drill_has_no_drill_for_it() -> None:
    wide = one(reservoir(25, 30) | {"parts.barrel.diameter": 40})
    assert (wide.level, wide.remedies) == (E, ())


@pytest.mark.parametrize(
    ("behind", "level"), [(42.0, None), (42.004, None), (42.006, W), (43.004, W), (43.006, E)]
)
def test_a_converter_wants_a_millimetre_behind_it(behind: float, level: Level | None) -> None:
    """7 deep it begins, the bore is 50 deep."""
    found = told(reservoir(6, behind))
    assert [(f.code, f.level) for f in found] == ([("pen.reservoir_depth", level)] if level else [])


def test_a_shallow_barrel_is_bored_deeper_at_its_last_step() -> None:
    """7 + 42.25 and the room of 2 are 51.25; by tenths 51.3."""
    steps = [
        {"diameter": 7.3, "depth": 30, "upper": 0.1},
        {"diameter": 7.0, "depth": 50, "upper": 0.1},
    ]
    changes = reservoir(6, 42.25) | {"inside.room": 2, "parts.barrel.ends.mouth.bore": steps}
    found = one(changes)
    assert (found.level, found.value, found.where) == (W, 1.25, "barrel.mouth")
    assert found.message == (
        "it is bored 50 deep; the converter or cartridge reaches 49.25, and 2 is to be spare"
    )
    assert (found.parts, bool(found.remedy)) == (("barrel",), True)
    assert ways(found) == [[(("parts", "barrel", "ends", "mouth", "bore", 1, "depth"), 51.3)]]
    assert found.remedies[0].says == "bore barrel.mouth 51.3 deep (now 50)"


def test_a_barrel_bored_through_is_as_deep_as_it_is_long() -> None:
    through = {"parts.barrel.ends.mouth.bottom": "through", "parts.barrel.ends.mouth.bore": [
        {"diameter": 7.3, "depth": 40}]}  # fmt: skip
    assert told(reservoir(6, 62) | through) == ()
    assert one(reservoir(6, 62.5) | through).value == 0.5


def test_a_reservoir_said_to_go_into_another_end_begins_at_its_face() -> None:
    """The barrel's tail has no joint: nothing stands in it, so 30 + 1 of a bore 30.5 deep."""
    tail = {"parts.barrel.ends.tail.bore": [{"diameter": 8, "depth": 30.5, "upper": 0.1}],
            "parts.barrel.length": 100}  # fmt: skip
    found = one(reservoir(6, 30, into="barrel.tail") | tail)
    assert (found.where, found.value) == ("barrel.tail", 0.5)
    assert found.remedies[0].changes == (
        Change(("parts", "barrel", "ends", "tail", "bore", 0, "depth"), 31.0),
    )


def test_a_reservoir_said_to_go_into_the_cap_begins_behind_the_barrels_tenon() -> None:
    """8 + 41.5 + 1 = 50.5."""
    found = one(reservoir(6, 41.5, into="cap.mouth"))
    assert (found.where, found.value) == ("cap.mouth", 0.5)


def test_an_end_without_a_bore_takes_no_judgement_of_its_reservoir() -> None:
    assert told(reservoir(6, 60, into="barrel.tail")) == ()
    assert told(reservoir(6, 60) | {"parts.barrel.ends.mouth.bore": []}) == ()


def test_without_a_section_in_a_cap_nobody_knows_where_the_reservoir_goes() -> None:
    alone = {"parts.barrel.ends.mouth.external": None, "parts.cap.ends.mouth.internal.mates": None}
    assert told(reservoir(6, 60) | alone) == ()


# -- the clip's ring -------------------------------------------------------------------------------
def ring(hole: float, thickness: float, on: str = "section.rear") -> dict[str, Any]:
    return {"inside.clip_ring": {"on": on, "hole": hole, "thickness": thickness}}


@pytest.mark.parametrize(("hole", "bad"), [(7.978, 0), (7.974, 0), (7.972, 1)])
def test_a_ring_passes_the_tenons_largest_crest(hole: float, bad: int) -> None:
    """M8x0.75-6g: 7.978 at the most (ISO 965-1: es 22)."""
    assert [f.code for f in told(ring(hole, 0.5))] == ["pen.ring_hole"] * bad


def test_a_ring_too_narrow_is_opened_to_the_next_twentieth() -> None:
    found = one(ring(7.5, 0.5))
    assert (found.level, found.where, found.value) == (E, "section.rear", 0.478)
    assert found.parts == ("section",)
    assert found.message == (
        "the clip's ring has a hole of ⌀7.5; the tenon's thread M8x0.75-6g is ⌀7.978 at the most"
    )
    assert found.remedy
    assert ways(found) == [[(("inside", "clip_ring", "hole"), 8.0)]]
    assert found.remedies[0].says == "open the ring's hole to ⌀8"


@pytest.mark.parametrize(
    ("thickness", "level", "pitches"),
    [
        # Full thread on the tenon to 6.3 (7 − 0.2 − 0.5), in the nut from 0.506 + the thickness.
        (3.54, None, None),  # 2.254: 3.005 pitches
        (3.55, W, 2.992),  # 2.244
        (5.04, W, 1.005),  # 0.754
        (5.05, E, 0.992),  # 0.744
        (6.5, E, 0.0),
    ],
)
def test_a_thick_ring_leaves_the_tenon_few_pitches(
    thickness: float, level: Level | None, pitches: float | None
) -> None:
    found = told(ring(8.1, thickness))
    assert [(f.code, f.level, f.value) for f in found] == (
        [("pen.ring_thread", level, pitches)] if level else []
    )


def test_a_tenon_for_a_thick_ring_is_longer_by_what_lacks() -> None:
    """4 thick: 6.3 − 4.506 = 1.794, 2.392 pitches; 3 of 0.75 lack 0.456: 7.456, by steps 7.5."""
    found = one(ring(8.1, 4))
    assert (found.where, found.value, found.less_is_worse) == ("section.rear", 2.392, True)
    assert found.parts == ("section", "barrel")
    assert found.message == (
        "with the clip's ring of 4 between, 2.4 pitches hold; 3 or more is usual"
    )
    assert found.remedy
    assert ways(found) == [[(("parts", "section", "ends", "rear", "external", "length"), 7.5)]]
    assert found.remedies[0].says == "a tenon 7.5 long (now 7)"


def test_a_ring_is_also_limited_by_incomplete_threads_and_by_the_nuts_depth() -> None:
    """Unformed to 4.5: 6.3 − 4.5 = 1.8. Tapped 4 deep, less its lead of 1 and 0.2 by hand: 2.8,
    with a ring of 0.5: 3.3 − 1.006 = 2.294 of 0.75; tapped 3.9 deep: 2.194."""
    unformed = one(ring(8.1, 0.5) | {"parts.section.ends.rear.external.unformed": 4.5})
    assert unformed.value == 2.4
    depth = "parts.barrel.ends.mouth.internal.depth"
    assert told(ring(8.1, 0.5) | {depth: 4.0}) == ()
    assert one(ring(8.1, 0.5) | {depth: 3.9}).value == 2.925


def test_a_ring_on_another_joint_is_held_against_that_one() -> None:
    """M12, 6g: 11.976 at the most."""
    found = one(ring(11.5, 0.5, on="barrel.mouth"))
    assert (found.where, found.value) == ("barrel.mouth", 0.476)


def test_a_ring_on_an_end_without_a_joint_is_not_judged() -> None:
    assert told(ring(1, 9, on="barrel.tail")) == ()


# -- posting ---------------------------------------------------------------------------------------
def posting(depth: float, longest: float | None = None) -> dict[str, Any]:
    said = {"end": "barrel.tail", "depth": depth}
    return {"inside.posting": said | ({} if longest is None else {"longest": longest})}


def test_the_posted_length_counts_what_is_seen_of_the_section() -> None:
    """70 + 13 + 60 − 14.88 = 128.12."""
    assert one(posting(14.88)) == Finding(
        Level.NOTE, "pen.posted", "barrel.tail", "posted, the pen is 128.1 long without the nib"
    )


@pytest.mark.parametrize(
    ("longest", "level"), [(128.0, Level.NOTE), (127.996, Level.NOTE), (127.994, W)]
)
def test_a_pen_posted_longer_than_wanted_is_told(longest: float, level: Level) -> None:
    assert one(posting(15, longest)).level is level


def test_a_cap_for_a_shorter_posted_pen_goes_on_deeper() -> None:
    found = one(posting(14.88, 125.65))
    assert found.code == "pen.posted"
    assert (found.where, found.value, found.parts) == ("barrel.tail", 2.47, ("barrel",))
    # 128.12, by tenths.
    assert found.message == "posted, the pen is 128.1 long without the nib, 2.5 more than wanted"
    assert found.remedy
    assert ways(found) == [[(("inside", "posting", "depth"), 17.35)]]
    assert found.remedies[0].says == "let the cap go on 17.35 deep (now 14.88)"


def test_posting_without_a_cap_over_a_section_is_not_summed() -> None:
    alone = {"parts.section.ends.rear.external": None,
             "parts.barrel.ends.mouth.internal.mates": None}  # fmt: skip
    assert told(posting(15) | alone) == ()
