"""Every wall of a pen at worst limits: where it is, between which diameters, what is asked of it
and which keys make it. Support/gadwall; M12xPh2.4P0.8: a screw's root of 10.857 at the least, a
nut's of 12.255 at the most (D2 max 11.620 + 11/12 of H, 0.635), of M8x0.75 6.929 and 8.240."""

from __future__ import annotations

from typing import Any

import pytest

from mandrelgen.assess.pen_places import Place
from mandrelgen.assess.pen_walls import PenWall
from mandrelgen.mechanics.walls import LeastWall
from mandrelgen.mechanics.walls import Place as Kind
from tests.support.gadwall import resolved

CAP, BARREL, REAR = Place("cap", "mouth"), Place("barrel", "mouth"), Place("section", "rear")
KEY = "parts.cap.ends.mouth"
ESTIMATE = "estimate (common practice, no source)"


def of(at: Place, changes: dict[str, Any] | None = None, kind: Kind | None = None) -> list[PenWall]:
    return [w for w in resolved(changes).walls if w.place == at and kind in (None, w.kind)]


def row(w: PenWall) -> tuple[Any, ...]:
    """Kind, both diameters, the bore's step, the counterbore's key, the outside's key, its most."""
    step = None if w.hole is None else w.hole.path[-1]
    keys = ".".join(map(str, w.counterbore)), ".".join(map(str, w.body))
    return (w.kind, round(w.outside, 3), round(w.inside, 3), step, *keys, w.largest)


def test_a_caps_mouth_has_a_lip_over_its_thread_and_a_body_over_its_bore() -> None:
    lip, body = of(CAP)
    outside = f"{KEY}.diameter"
    assert row(lip) == (Kind.LIP, 15.0, 12.255, None, "", outside, 15.0)
    assert lip.between == "its internal thread and its outside"
    assert lip.asked == LeastWall(0.5, 0.8, ESTIMATE)
    assert lip.value == pytest.approx((15 - 12.255) / 2, abs=1e-3)
    assert row(body) == (Kind.BODY, 15.0, 11.4, 0, "", outside, 15.0)
    assert body.between == "its bore of ⌀11.3 and its outside"
    assert body.asked == LeastWall(0.7, 1.0, ESTIMATE)


def test_a_tenon_has_walls_over_its_inner_thread_and_its_bore() -> None:
    thread, bore, body = of(BARREL)
    assert row(thread) == (Kind.TENON, 10.857, 8.24, None, "", "", 0.0)
    assert thread.between == "the root of its external thread and its internal thread"
    assert row(bore) == (Kind.TENON, 10.857, 7.4, 0, "", "", 0.0)
    assert bore.between == "the root of its external thread and its bore"
    assert thread.asked == bore.asked == LeastWall(0.4, 0.6, ESTIMATE)
    assert row(body) == (Kind.BODY, 14.0, 7.4, 0, "", "parts.barrel.ends.mouth.diameter", 14.0)
    tenon, behind = of(REAR)
    assert row(tenon) == (Kind.TENON, 6.929, 5.1, 0, "", "", 0.0)
    assert row(behind) == (Kind.BODY, 11.0, 5.1, 0, "", "parts.section.ends.rear.diameter", 11.0)


def test_an_end_with_neither_thread_nor_bore_has_no_wall() -> None:
    assert of(Place("barrel", "tail")) == []


def test_the_parts_largest_diameter_stands_beside_its_ends() -> None:
    slim = {f"{KEY}.diameter": 14}
    assert [(w.outside, w.largest) for w in of(CAP, slim)] == [(14.0, 15.0), (14.0, 15.0)]


def test_a_counterbore_has_a_wall_of_its_own() -> None:
    counterbore = {"diameter": 12.4, "depth": 1, "upper": 0.1}
    lip = of(CAP, {f"{KEY}.internal.counterbore": counterbore}, Kind.LIP)[1]
    key = f"{KEY}.internal.counterbore.diameter"
    assert row(lip) == (Kind.LIP, 15.0, 12.5, None, key, f"{KEY}.diameter", 15.0)
    assert lip.between == "its counterbore and its outside"
    assert lip.asked == LeastWall(0.5, 0.8, ESTIMATE)
    under = {"parts.barrel.ends.mouth.internal.counterbore": counterbore | {"diameter": 8.5}}
    tenon = of(BARREL, under, Kind.TENON)[1]
    key = "parts.barrel.ends.mouth.internal.counterbore.diameter"
    assert row(tenon) == (Kind.TENON, 10.857, 8.6, None, key, "", 0.0)
    assert tenon.between == "the root of its external thread and its counterbore"
    assert tenon.asked == LeastWall(0.4, 0.6, ESTIMATE)


def steps(at: str, *rows: tuple[float, float]) -> dict[str, Any]:
    return {f"parts.{at}.bore": [{"diameter": d, "depth": z, "upper": 0.1} for d, z in rows]}


@pytest.mark.parametrize(("first", "count"), [(8.1, 2), (8.2, 1)])
def test_a_step_that_begins_within_the_tenon_is_under_its_thread(first: float, count: int) -> None:
    """8, and 0.2 more by hand."""
    found = of(BARREL, steps("barrel.ends.mouth", (7.3, first), (5, 50)), Kind.TENON)
    assert [w.hole.path[-1] for w in found if w.hole] == list(range(count))


@pytest.mark.parametrize(("first", "steps_seen"), [(9.0, [1]), (9.1, [0, 1])])
def test_a_body_begins_where_the_thread_in_it_ends(first: float, steps_seen: list[int]) -> None:
    for at, place in (("barrel.ends.mouth", BARREL), ("cap.ends.mouth", CAP)):
        found = of(place, steps(at, (7.3, first), (7, 50)), Kind.BODY)
        assert [w.hole.path[-1] for w in found if w.hole] == steps_seen


@pytest.mark.parametrize(("first", "steps_seen"), [(8.0, [1]), (8.5, [0, 1])])
def test_a_thread_said_by_its_last_full_turn_ends_there(
    first: float, steps_seen: list[int]
) -> None:
    said = {f"{KEY}.internal.depth": None, f"{KEY}.internal.full_thread": 8}
    found = of(CAP, said | steps("cap.ends.mouth", (11.3, first), (11, 50)), Kind.BODY)
    assert [w.hole.path[-1] for w in found if w.hole] == steps_seen


@pytest.mark.parametrize(("first", "steps_seen"), [(6.8, [1]), (6.9, [0, 1])])
def test_a_body_begins_where_its_tenon_may_end(first: float, steps_seen: list[int]) -> None:
    """7, and 0.2 less by hand."""
    found = of(REAR, steps("section.ends.rear", (5, first), (4, 20)), Kind.BODY)
    assert [w.hole.path[-1] for w in found if w.hole] == steps_seen


def outside(*rows: tuple[float, float]) -> dict[str, Any]:
    return {f"{KEY}.outside": [{"at": z, "diameter": d} for z, d in rows]}


def test_an_outside_said_point_by_point_counts_over_the_bore_behind_the_thread() -> None:
    """From 9 to 50 deep the least is at 50: 13 − 20/30 = 12.333; a waist at 5 lies over the thread.
    No single key says it."""
    (body,) = of(CAP, outside((0, 15), (5, 12), (9, 15), (30, 13), (60, 12)), Kind.BODY)
    assert row(body) == (Kind.BODY, 12.333, 11.4, 0, "", "", 15.0)


def test_each_step_is_held_against_the_outside_over_it() -> None:
    """To 30 deep it is ⌀13, from there to 50 ⌀12.333; past the part's end there is none."""
    points = outside((0, 15), (9, 15), (30, 13), (60, 12))
    two = steps("cap.ends.mouth", (11.3, 30), (11, 50))
    assert [round(w.outside, 3) for w in of(CAP, points | two, Kind.BODY)] == [13.0, 12.333]
    waist = outside((0, 15), (9, 15), (20, 12), (30, 14), (60, 14))
    assert [round(w.outside, 3) for w in of(CAP, waist | two, Kind.BODY)] == [12.0, 14.0]


def test_a_body_of_another_diameter_than_its_end_is_what_stands_round_the_bore() -> None:
    lip, body = of(CAP, {f"{KEY}.body": 14})
    assert row(lip)[-2] == f"{KEY}.diameter"
    assert row(body) == (Kind.BODY, 14.0, 11.4, 0, "", f"{KEY}.body", 15.0)


@pytest.mark.parametrize(
    ("changes", "lip", "body"),
    [
        # Two thirds of one's own are the error.
        ({"parts.cap.least_wall": 0.9}, (0.6, 0.9, "pen file"), (0.6, 0.9, "pen file")),
        ({f"{KEY}.band": True}, (0.25, 0.4, ESTIMATE), (0.35, 0.5, ESTIMATE)),
        ({"parts.cap.material": "ebonite"}, (0.6, 1.0, ESTIMATE), (0.7, 1.0, ESTIMATE)),
        ({"parts.cap.material": "CW614N"}, (0.25, 0.4, ESTIMATE), (0.35, 0.5, ESTIMATE)),
    ],
)
def test_what_is_asked_of_a_wall_goes_by_material_band_and_ones_own_word(
    changes: dict[str, Any], lip: tuple[Any, ...], body: tuple[Any, ...]
) -> None:
    asked = [w.asked for w in of(CAP, changes)]
    assert [tuple(a[:2]) for a in asked] == [pytest.approx(lip[:2]), pytest.approx(body[:2])]
    assert [a.basis for a in asked] == [lip[2], body[2]]
    # The crown of the same part, and no wall of another.
    crown = next(c for c in resolved(changes).crowns if c.place == CAP)
    assert tuple(crown.asked[:2]) == pytest.approx(body[:2])
    assert of(BARREL, changes)[-1].asked == LeastWall(0.7, 1.0, ESTIMATE)


# -- closed ends -----------------------------------------------------------------------------------
def crowns(changes: dict[str, Any] | None = None) -> dict[str, Any]:
    return {str(c.place): c for c in resolved(changes).crowns}


def test_a_closed_end_is_what_depth_and_drill_point_leave() -> None:
    """5.65/tan 59° = 3.395 and 3.65/tan 59° = 2.193; the section is bored through."""
    found = crowns()
    assert list(found) == ["cap.mouth", "barrel.mouth"]
    cap = found["cap.mouth"]
    assert (cap.length, cap.depth, cap.opposite, cap.steps) == (60.0, 50.0, 0.0, 1)
    assert cap.point == pytest.approx(3.395, abs=1e-3)
    assert cap.left == pytest.approx(60 - 50 - 3.395, abs=1e-3)
    assert found["barrel.mouth"].point == pytest.approx(2.193, abs=1e-3)


def test_the_last_step_has_the_point() -> None:
    """Of ⌀6: 3/tan 59° = 1.803; flat it has none; 90° points are as high as half their width."""
    two = steps("cap.ends.mouth", (11.3, 30), (6, 50))
    assert crowns(two)["cap.mouth"].point == pytest.approx(1.803, abs=1e-3)
    assert (crowns(two)["cap.mouth"].depth, crowns(two)["cap.mouth"].steps) == (50.0, 2)
    flat = crowns({f"{KEY}.bottom": "flat"})["cap.mouth"]
    assert (flat.point, flat.left) == (0.0, 10.0)
    blunt = crowns({f"{KEY}.drill_point_angle": 90})["cap.mouth"]
    assert blunt.point == pytest.approx(5.65)


def test_a_part_without_a_bore_or_bored_through_has_no_closed_end() -> None:
    assert "cap.mouth" not in crowns({f"{KEY}.bore": []})
    assert "cap.mouth" not in crowns({f"{KEY}.bottom": "through"})


TAIL = "parts.barrel.ends.tail"


def test_what_is_cut_from_the_other_side_counts() -> None:
    """A tail tapped 6 deep, then one bored 9 deep as well, which has a point of its own: the mouth
    leaves 70 − 50 − 2.193 − 9 = 8.807, the tail 70 − 9 − 2.103 − 50 = 8.897."""
    tapped = {f"{TAIL}.internal": {"thread": "M8x0.75", "depth": 6, "tap_lead": 1}}
    (one,) = (c for c in crowns(tapped).values() if c.place.part == "barrel")
    assert (str(one.place), one.opposite) == ("barrel.mouth", 6.0)
    both = tapped | steps("barrel.ends.tail", (7, 9))
    (one,) = (c for c in crowns(both).values() if c.place.part == "barrel")
    assert (str(one.place), one.opposite) == ("barrel.mouth", 9.0)
    assert one.left == pytest.approx(8.807, abs=1e-3)


def test_of_two_closed_ends_the_thinner_is_kept() -> None:
    """The tail's drill of 8 has the higher point, 2.403."""
    (one,) = (c for c in crowns(steps("barrel.ends.tail", (8, 9))).values()
              if c.place.part == "barrel")  # fmt: skip
    assert (str(one.place), one.opposite) == ("barrel.tail", 50.0)
    assert one.left == pytest.approx(70 - 9 - 2.403 - 50, abs=1e-3)
    # A thread deeper than its bore counts for the mouth from the other side, not as its depth.
    long = {f"{TAIL}.bore": [{"diameter": 8, "depth": 9}],
            "parts.barrel.ends.mouth.bore": [{"diameter": 7.3, "depth": 8}]}  # fmt: skip
    (one,) = (c for c in crowns(long).values() if c.place.part == "barrel")
    assert (str(one.place), one.opposite) == ("barrel.tail", 9.0)
