"""The part's outside and bore along its length, sizes and places worked out by hand.

The rules are common practice, no source.
"""

from __future__ import annotations

from typing import Any

import pytest

from mandrelgen.assess.part_shape import OUTSIDE_TAKEN, OUTSIDE_WRITTEN, PartShape, shape
from mandrelgen.spec.pen import Part
from tests.support.randompens import SHOP

STEPPED = PartShape(
    face=0.0,
    body=0.0,
    far=40.0,
    d0=12.0,
    d1=16.0,
    keeps=10.0,
    from_far=30.0,
    bores=((0.0, 10.0, 9.0), (10.0, 30.0, 6.0)),
)
WRITTEN = STEPPED._replace(points=((0.0, 14.0), (13.0, 14.0), (13.0, 12.5), (40.0, 12.5)))


@pytest.mark.parametrize(
    ("z", "outside"),
    [(-3.0, 12.0), (5.0, 12.0), (10.0, 12.0), (15.0, 13.0), (20.0, 14.0), (30.0, 16.0),
     (38.0, 16.0)],
)  # fmt: skip
def test_the_outside_keeps_each_end_and_runs_straight_between(z: float, outside: float) -> None:
    """From ⌀12 at 10 to ⌀16 at 30: 0.2 on the diameter for every mm."""
    assert STEPPED.outside(z) == pytest.approx(outside)


@pytest.mark.parametrize(
    ("z", "inside"),
    [(0.0, 9.0), (9.9, 9.0), (10.0, 9.0), (10.1, 6.0), (30.0, 6.0), (30.1, 0.0), (-0.1, 0.0)],
)
def test_the_largest_bore_counts_where_two_meet(z: float, inside: float) -> None:
    assert STEPPED.inside(z) == inside


def test_the_outside_that_is_written_counts_alone_and_is_said() -> None:
    assert [WRITTEN.outside(z) for z in (5.0, 12.9, 13.0, 30.0)] == [14.0, 14.0, 12.5, 12.5]
    assert WRITTEN.said == OUTSIDE_WRITTEN
    assert STEPPED.said == OUTSIDE_TAKEN


def test_the_stretches_end_at_every_step_and_quarter_and_take_the_least_outside() -> None:
    rows = [[round(x, 3) for x in s] for s in STEPPED.sections(0.0)]
    assert rows == [
        [0.0, 10.0, 12.0, 9.0],
        [10.0, 20.0, 12.0, 6.0],
        [20.0, 30.0, 14.0, 6.0],
        [30.0, 40.0, 16.0, 0.0],
    ]
    # From 8 on, 32 are left: quarters of 8 beside the bore's steps at 10 and 30.
    rows = [[round(x, 3) for x in s] for s in STEPPED.sections(8.0)]
    assert [r[:2] for r in rows] == [
        [8.0, 10.0], [10.0, 16.0], [16.0, 24.0], [24.0, 30.0], [30.0, 32.0], [32.0, 40.0]
    ]  # fmt: skip
    assert [r[2] for r in rows] == [12.0, 12.0, 13.2, 14.8, 16.0, 16.0]
    assert [r[3] for r in rows] == [9.0, 6.0, 6.0, 6.0, 0.0, 0.0]


def test_a_written_step_ends_a_stretch_and_each_side_keeps_its_own_diameter() -> None:
    """Quarters of 40 at 10, 20, 30, the bore's steps there too, and the step of the outside."""
    rows = [[round(x, 3) for x in s] for s in WRITTEN.sections(0.0)]
    assert rows == [
        [0.0, 10.0, 14.0, 9.0],
        [10.0, 13.0, 14.0, 6.0],
        [13.0, 20.0, 12.5, 6.0],
        [20.0, 30.0, 12.5, 6.0],
        [30.0, 40.0, 12.5, 0.0],
    ]


def test_a_step_up_keeps_the_larger_diameter_to_its_own_side() -> None:
    """The bore in front of where one begins is no stretch of it."""
    up = STEPPED._replace(points=((0.0, 12.5), (13.0, 12.5), (13.0, 14.0), (40.0, 14.0)))
    rows = [[round(x, 3) for x in s] for s in up.sections(10.5)]
    assert [r[0] for r in rows] == [10.5, 13.0, 17.875, 25.25, 30.0, 32.625]
    assert [r[2] for r in rows] == [12.5, 14.0, 14.0, 14.0, 14.0, 14.0]


def test_a_cone_counts_at_its_slim_end_whichever_that_is() -> None:
    narrowing = STEPPED._replace(d0=16.0, d1=12.0)
    assert [round(s.outer, 3) for s in narrowing.sections(0.0)] == [16.0, 14.0, 12.0, 12.0]


def test_two_steps_at_one_place_make_no_stretch_of_nothing() -> None:
    close = STEPPED._replace(bores=((0.0, 10.0, 9.0), (10.0 + 5e-7, 30.0, 6.0)))
    assert [round(s.z1 - s.z0, 3) for s in close.sections(0.0)] == [10.0, 10.0, 10.0, 10.0]
    thin = STEPPED._replace(bores=((0.0, 10.0, 9.0), (10.01, 30.0, 6.0)))
    assert [round(s.z1 - s.z0, 3) for s in thin.sections(0.0)] == [10.0, 0.01, 9.99, 10.0, 10.0]


@pytest.mark.parametrize(("bore", "left"), [(11.85, 11.85), (11.95, 0.0), (13.0, 0.0)])
def test_a_bore_that_leaves_less_than_a_tenth_is_not_taken_off(bore: float, left: float) -> None:
    """What is wrong with such a wall is told elsewhere; a beam needs something that bends."""
    plain = STEPPED._replace(d1=12.0, bores=((0.0, 40.0, bore),))
    assert {s.inner for s in plain.sections(0.0)} == {left}


def barrel(length: float = 60.0, **more: Any) -> Part:
    """A mouth of ⌀13 tapped M10x0.75 over a bore of 9.2 reamed 30 deep (H8: 9.222), and a tail of
    ⌀15 with a hole of 7 bored 20 deep (0.03 larger at most)."""
    mouth = {
        "diameter": 13.0,
        "internal": {"thread": "M10x0.75-6H", "depth": 10.0},
        "bore": [{"diameter": 9.2, "depth": more.pop("deep", 30.0), "made": "reamed"}],
        **more.pop("mouth", {}),
    }
    tail = {"diameter": 15.0, "bore": [{"diameter": 7.0, "depth": 20.0, "made": "bored"}]}
    ends = {"mouth": mouth} | ({} if more.pop("alone", False) else {"tail": tail})
    return Part.model_validate({"length": length, "diameter": 17.0, "ends": ends, **more})


def test_both_ends_are_seen_from_the_held_one_behind_the_washer() -> None:
    found = shape(barrel(), "mouth", "internal", 0.5, SHOP)
    assert (found.face, found.body, found.far) == (0.5, 0.5, 60.5)
    assert (found.d0, found.d1) == (13.0, 15.0)
    assert found.bores == ((0.5, 30.5, 9.222), (40.5, 60.5, pytest.approx(7.03)))
    assert (found.keeps, found.from_far) == (30.5, 40.5)
    assert found.points == ()
    back = shape(barrel(), "tail", "bore", 0.0, SHOP)
    assert (back.d0, back.d1, back.keeps, back.from_far) == (15.0, 13.0, 20.0, 30.0)


def test_every_step_of_both_bores_stands_in_its_place() -> None:
    """From the held face: 9.2 to 20, 8 to 30; from the far one 7 to 8 and 5 to 15 of 60."""
    mouth = {"bore": [{"diameter": 9.2, "depth": 20.0, "made": "reamed"},
                      {"diameter": 8.0, "depth": 30.0, "made": "bored"}]}  # fmt: skip
    part = barrel(mouth=mouth).model_dump(by_alias=True, exclude_unset=True)
    part["ends"]["tail"]["bore"] = [{"diameter": 7.0, "depth": 8.0, "made": "bored"},
                                    {"diameter": 5.0, "depth": 15.0, "made": "bored"}]  # fmt: skip
    found = shape(Part.model_validate(part), "mouth", "internal", 0.5, SHOP)
    assert [(a, b, round(d, 3)) for a, b, d in found.bores] == [
        (0.5, 20.5, 9.222), (20.5, 30.5, 8.03), (52.5, 60.5, 7.03), (45.5, 52.5, 5.03)
    ]  # fmt: skip
    assert (found.keeps, found.from_far) == (30.5, 45.5)


def test_a_bore_right_through_lets_the_outside_run_straight_from_end_to_end() -> None:
    part = barrel(mouth={"bottom": "through"}, deep=60.0)
    found = shape(part, "mouth", "internal", 0.0, SHOP)
    assert found.bores == ((0.0, 60.0, 9.222),)
    assert (found.keeps, found.from_far) == (0.0, 60.0)


@pytest.mark.parametrize(("deep", "keeps"), [(39.0, (39.0, 40.0)), (40.0, (0.0, 60.0)),
                                             (45.0, (0.0, 60.0))])  # fmt: skip
def test_bores_that_meet_leave_no_place_for_the_slope_but_the_whole_part(
    deep: float, keeps: tuple[float, float]
) -> None:
    found = shape(barrel(deep=deep), "mouth", "internal", 0.0, SHOP)
    assert (found.keeps, found.from_far) == keeps


def test_a_part_with_one_end_goes_on_to_its_own_diameter() -> None:
    found = shape(barrel(alone=True), "mouth", "internal", 0.0, SHOP)
    assert (found.d1, found.from_far) == (17.0, 60.0)
    assert found.bores == ((0.0, 30.0, 9.222),)


TENON = {"diameter": 13.0, "external": {"thread": "M10x0.75-6g", "length": 8.0}}


def test_by_its_tenon_the_shoulder_stands_at_the_washer() -> None:
    part = Part.model_validate({"length": 40.0, "diameter": 13.0, "ends": {"mouth": TENON}})
    found = shape(part, "mouth", "external", 0.5, SHOP)
    assert (found.face, found.body, found.far) == (-7.5, 0.5, 32.5)
    assert (found.keeps, found.from_far, found.bores) == (0.5, 32.5, ())
    # Held by its bore, the tenon's nose is what bears.
    found = shape(part, "mouth", "bore", 0.5, SHOP)
    assert (found.face, found.body, found.far) == (0.5, 8.5, 40.5)


def test_at_least_a_millimetre_of_the_part_stands_behind_a_tenon() -> None:
    part = Part.model_validate({"length": 8.5, "diameter": 13.0, "ends": {"mouth": TENON}})
    found = shape(part, "mouth", "external", 0.0, SHOP)
    assert (found.far, found.from_far) == (1.0, 1.0)


def test_the_far_end_s_bore_does_not_reach_into_the_tenon_s_outside() -> None:
    """A hole of 36 from the far end of a part of 40 passes the shoulder, 8 from the nose: the
    outside runs straight from there on."""
    tail = {"diameter": 15.0, "bore": [{"diameter": 5.0, "depth": 36.0}]}
    part = Part.model_validate(
        {"length": 40.0, "diameter": 13.0, "ends": {"mouth": TENON, "tail": tail}}
    )
    found = shape(part, "mouth", "external", 0.0, SHOP)
    assert (found.keeps, found.from_far, found.body) == (0.0, 32.0, 0.0)
    assert found.bores == ((-4.0, 32.0, pytest.approx(5.1)),)


def test_points_are_moved_with_the_face() -> None:
    outside = [{"at": 0.0, "diameter": 13.0}, {"at": 20.0, "diameter": 14.0}]
    found = shape(barrel(mouth={"outside": outside}), "mouth", "internal", 0.5, SHOP)
    assert found.points[:2] == ((0.5, 13.0), (20.5, 14.0))
