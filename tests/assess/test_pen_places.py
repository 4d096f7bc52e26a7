"""Where a size stands in the pen file, and the changes that set another there."""

from __future__ import annotations

from typing import Any

import pytest

from mandrelgen.assess.pen_places import Bored, Place, bored, put_in_front, set_bore, set_outside
from mandrelgen.core.errors import Change, Path
from mandrelgen.core.tolerance import Toleranced
from mandrelgen.design.ends import Hole
from tests.support.gadwall import gadwall

MOUTH = Place("cap", "mouth")
BORE: Path = ("parts", "cap", "ends", "mouth", "bore")


def one(**step: Any) -> Bored:
    """The first of two steps, the second a plain ⌀8."""
    first = {"diameter": 11.3, "depth": 20} | step
    pen = gadwall({"parts.cap.ends.mouth.bore": [first, {"diameter": 8, "depth": 50}]})
    hole = Hole(Toleranced(11.3, 11.25, 11.45), 0.0, 20.0, False, "drilled")
    two = bored(MOUTH, pen.parts["cap"].ends["mouth"], (hole, hole._replace(start=20.0, end=50.0)))
    assert [b.path for b in two] == [(*BORE, 0), (*BORE, 1)]
    assert [b.hole.start for b in two] == [0.0, 20.0]
    return two[0]


def test_an_end_and_its_keys_are_spelled_as_in_the_file() -> None:
    assert str(MOUTH) == "cap.mouth"
    assert MOUTH.key("bore", 2, "depth") == ("parts", "cap", "ends", "mouth", "bore", 2, "depth")


@pytest.mark.parametrize(
    ("made", "drilled"),
    [("drilled", True), ("freehand", True), ("guided", True), ("bored", False), ("reamed", False)],
)
def test_what_a_drill_made_takes_a_drills_sizes(made: str, drilled: bool) -> None:
    assert one(made=made).drilled is drilled


READING = {"value": 11.35}


@pytest.mark.parametrize(
    ("said", "assumed"),
    [({}, True), ({"upper": 0.1}, False), ({"lower": -0.1}, False), ({"tolerance": "H8"}, False),
     ({"measured": READING}, False)],
)  # fmt: skip
def test_limits_are_assumed_where_nobody_said_any(said: dict[str, Any], assumed: bool) -> None:
    b = one(**said)
    assert b.assumed is assumed
    assert b.measured is ("measured" in said)
    # As given: what was said, else the middle of the limits, (11.25 + 11.45)/2.
    assert b.given == pytest.approx(11.3 if assumed else 11.35)


def test_how_much_larger_a_hole_may_come_out() -> None:
    b = one()
    assert b.over == pytest.approx(0.15)
    small = b._replace(hole=b.hole._replace(size=Toleranced(11.3, 11.1, 11.2)))
    assert small.over == 0.0


def test_an_end_without_a_bore_has_no_places_for_it() -> None:
    pen = gadwall({"parts.cap.ends.mouth.bore": []})
    assert bored(MOUTH, pen.parts["cap"].ends["mouth"], (one().hole,)) == ()


def test_another_hole_is_drilled_or_bored_and_its_reading_goes() -> None:
    way = set_bore(one(), 10.12345678)
    assert way.changes == (Change((*BORE, 0, "diameter"), 10.1235),)
    assert way.says == "drill ⌀10.123 (now ⌀11.3)"
    assert set_bore(one(made="bored"), 10).says == "bore ⌀10 (now ⌀11.3)"
    assert set_bore(one(), 10, "ream").says == "ream ⌀10 (now ⌀11.3)"
    assert set_bore(one(measured=READING), 10).changes == (
        Change((*BORE, 0, "diameter"), 10),
        Change((*BORE, 0, "measured"), None),
    )


def test_an_outside_grows_at_the_end_or_behind_it_and_the_part_with_it() -> None:
    at = MOUTH.key("diameter")
    plain = set_outside(MOUTH, at, 14.05, 14.05)
    assert (plain.changes, plain.says, plain.lesser) == (
        (Change(at, 14.05),), "cap ⌀14.05 at the mouth", False,
    )  # fmt: skip
    body = MOUTH.key("body")
    wide = set_outside(MOUTH, body, 14.1, 14.05, lesser=True)
    assert wide.changes == (Change(body, 14.1), Change(("parts", "cap", "diameter"), 14.1))
    assert wide.says == "cap ⌀14.1 behind the mouth, and as its largest diameter"
    assert wide.lesser is True


def in_front(steps: list[dict[str, Any]], at: int) -> list[tuple[Path, Any]]:
    pen = gadwall({"parts.cap.ends.mouth.bore": steps})
    end = pen.parts["cap"].ends["mouth"]
    b = one()._replace(path=(*BORE, at))
    way = put_in_front(b, end.bore, 11.2, 9.8)
    assert way.says == "drill its tapping hole first: ⌀11.2, 9.8 deep"
    # Nothing but what a file can hold.
    assert {type(c.value) for c in way.changes} <= {str, float, int, type(None)}
    return [(c.path[5:], c.value) for c in way.changes]


def test_a_hole_put_in_front_moves_the_steps_behind_it_on_from_the_last() -> None:
    """What a step says goes with it; what stood in its new place and it does not say goes."""
    steps = [
        {"diameter": 11, "depth": 20, "made": "reamed"},
        {"diameter": 8, "depth": 50, "measured": {"value": 8.1, "instrument": "plug"}},
    ]
    assert in_front(steps, 0) == [
        ((2, "diameter"), 8),
        ((2, "depth"), 50),
        ((2, "measured", "value"), 8.1),
        ((2, "measured", "instrument"), "plug"),
        ((1, "diameter"), 11),
        ((1, "depth"), 20),
        ((1, "made"), "reamed"),
        ((1, "measured"), None),
        ((0, "diameter"), 11.2),
        ((0, "depth"), 9.8),
        ((0, "made"), None),
    ]


def test_steps_before_the_one_it_is_put_in_front_of_stay() -> None:
    steps = [
        {"diameter": 12, "depth": 3, "made": "bored"},
        {"diameter": 11, "depth": 20, "upper": 0.1, "lower": 0.0},
    ]
    assert in_front(steps, 1) == [
        ((2, "diameter"), 11),
        ((2, "depth"), 20),
        ((2, "upper"), 0.1),
        ((2, "lower"), 0.0),
        ((1, "diameter"), 11.2),
        ((1, "depth"), 9.8),
        ((1, "lower"), None),
        ((1, "upper"), None),
    ]


def test_each_step_takes_away_what_only_the_one_in_its_new_place_said() -> None:
    steps: list[dict[str, Any]] = [
        {"diameter": 12, "depth": 3, "made": "bored"},
        {"diameter": 11, "depth": 20},
        {"diameter": 8, "depth": 50, "upper": 0.1},
    ]
    gone = [path for path, value in in_front(steps, 0) if value is None]
    assert gone == [(2, "upper"), (0, "made")]
