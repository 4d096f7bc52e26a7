"""A part on one end of a mandrel: what is gathered of both, and a mandrel seen from its other end.

Coordinates by hand: a place z of a mandrel whose second seat is at s lies at s − z from there.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from mandrelgen.assess.loads import loads
from mandrelgen.assess.setup import Situated, situate, turned_round
from mandrelgen.design.designed import Designed
from mandrelgen.design.plan import Hold
from mandrelgen.mechanics.holding import Surface
from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.feature import Feature
from mandrelgen.model.mandrel import Flats, Mandrel, Stretch
from mandrelgen.spec.pen import MandrelType, Manner, Pen
from tests.support.judged_pens import cup_pen, plug_pen
from tests.support.on_a_mandrel import bench, designed, on_mandrel, stretch, with_sizes


def named(s: Situated, hold: Hold, **change: Any) -> Situated:
    return replace(s, hold=hold, **change)


@pytest.fixture(scope="module")
def plug() -> Situated:
    return on_mandrel(plug_pen())


@pytest.fixture(scope="module")
def cup() -> Situated:
    return on_mandrel(cup_pen())


def put(d: Designed, pen: Pen, by: str, washer: float = 0.0, **change: Any) -> Situated:
    """The body's mouth by a way of the test's choice on the mandrel of ``d``."""
    assert d.mandrel is not None
    assert d.wishes is not None
    wishes = replace(d.wishes, soft_washer=washer, stand_off=change.get("stand_off", 15.0))
    return situate(
        change.get("mandrel", d.mandrel), pen, bench(), Hold("body", "mouth", by), wishes,
        change.get("grip", d.grip), loads(pen, bench(), None, MandrelType.PLUG),
    )  # fmt: skip


def test_a_plug_has_its_parts_tapped_end_and_its_bore() -> None:
    pen = plug_pen()
    s = put(designed(pen), pen, "internal")
    assert s.tenon is None
    assert s.tapped is not None
    assert s.tapped.full_min == pytest.approx(8.8)
    assert [(h.start, h.end, h.made) for h in s.holes] == [(0.0, 30.0, "reamed")]
    assert s.outer_thread is None
    assert s.lathe == bench().lathe
    assert (s.part, s.end) == (pen.parts["body"], pen.parts["body"].ends["mouth"])
    assert s.thread is not None
    assert s.thread.feature == "thread"


def test_a_cup_has_its_parts_tenon_its_bore_and_its_outer_thread() -> None:
    pen = cup_pen()
    s = put(designed(pen), pen, "external")
    assert s.tapped is None
    assert s.tenon is not None
    assert s.tenon.length.upper == pytest.approx(8.2)
    assert [(h.size.nominal, h.end, h.made) for h in s.holes] == [(6.0, 25.0, "drilled")]
    assert s.outer_thread is not None
    assert s.outer_thread.external
    assert s.outer_thread.major.max == pytest.approx(9.978)  # 6g: 10 − 0.022


def test_held_by_its_bore_a_part_offers_neither_thread() -> None:
    pen = cup_pen()
    s = put(designed(pen), pen, "bore")
    assert (s.tapped, s.tenon) == (None, None)
    assert [h.end for h in s.holes] == [25.0]
    assert s.outer_thread is not None


@pytest.mark.parametrize(
    ("by", "washer", "face"),
    # A plug's part begins at the seat, a cup's 8 deep in it; a washer stands between.
    [("external", 0.0, -8.0), ("external", 0.5, -7.5), ("bore", 0.5, 0.5)],
)
def test_the_part_stands_on_its_washer(by: str, washer: float, face: float) -> None:
    pen = cup_pen()
    s = put(designed(pen), pen, by, washer)
    assert s.shape.face == pytest.approx(face)
    assert s.shape.far == pytest.approx(face + 40.0)


@pytest.mark.parametrize(
    ("stand_off", "face"),
    [
        # The shank begins 7.5 behind the seat; the nut is 4 long. 15 from nut to seat.
        (15.0, -19.0),
        (20.0, -24.0),
        # At least 3 of the shank stand in front of the nut: −7.5 − 3 − 4.
        (10.5, -14.5),
        (5.0, -14.5),
    ],
)
def test_the_collets_face_stands_as_far_off_as_is_wished(stand_off: float, face: float) -> None:
    pen = plug_pen()
    assert put(designed(pen), pen, "internal", stand_off=stand_off).collet_face == pytest.approx(
        face
    )


def test_a_mandrel_without_shank_is_gripped_behind_its_seat() -> None:
    """At the least: 3 in front of the nut, and the nut."""
    pen = plug_pen()
    d = designed(pen)
    assert d.mandrel is not None
    bare = replace(d.mandrel, outer=tuple(s for s in d.mandrel.outer if s.feature != "shank"))
    s = put(d, pen, "internal", mandrel=bare, stand_off=2.0)
    assert s.collet_face == pytest.approx(-7.0)


@pytest.mark.parametrize(("pen", "by"), [(plug_pen(), "internal"), (cup_pen(), "external")])
def test_a_bore_right_through_is_gathered_as_it_was_read(pen: Pen, by: str) -> None:
    """The bore read with the shop's caliper, ± 0.03; tapped, there is no bottom nearer than 40."""
    tree = pen.model_dump(mode="json", by_alias=True, exclude_unset=True)
    tree["parts"]["body"]["ends"]["mouth"] |= {"bottom": "through", "bore": [
        {"diameter": 9.0, "depth": 40.0, "measured": {"value": 9.05, "instrument": "caliper"}}
    ]}  # fmt: skip
    through = Pen.model_validate(tree)
    s = put(designed(pen), through, by)
    (hole,) = s.holes
    assert (hole.size.lower, hole.size.upper) == (pytest.approx(9.02), pytest.approx(9.08))
    if s.tapped is not None:
        assert (s.tapped.bottom_min, s.tapped.through) == (40.0, True)


def test_what_is_assumed_of_the_collet_is_said_where_there_is_one() -> None:
    pen = plug_pen()
    d = designed(pen)
    use = loads(pen, bench(), None, MandrelType.PLUG)
    gripped, free = put(d, pen, "internal"), put(d, pen, "internal", grip=None)
    assert gripped.said == (*use.said, "collet run-out 0.02 at 40 in front of it (ISO 15488)")
    assert free.said == use.said
    assert free.collet_face is None
    assert free.grip is None
    assert gripped.grip == d.grip
    assert gripped.loads == use
    assert gripped.wishes == d.wishes


def test_sizes_are_found_by_their_ids_and_a_stretch_outside_before_inside(plug: Situated) -> None:
    s = with_sizes(plug, {"spigot1.diameter": (8.9, 9.1), "nose.end": (None, 4.0)})
    assert (s.lower("spigot1.diameter"), s.upper("spigot1.diameter")) == (8.9, 9.1)
    assert (s.lower("nose.end"), s.upper("nose.end")) == (None, 4.0)
    assert (s.size("floor.depth"), s.lower("floor.depth"), s.upper("floor.depth")) == (None,) * 3
    bored = replace(s, mandrel=replace(
        s.mandrel, inner=(stretch("bore", 0.0, 4.0), stretch("collar", 0.0, 1.0, 3.0)),
    ))  # fmt: skip
    collar, bore = bored.stretch("collar"), bored.stretch("bore")
    assert collar is not None
    assert (collar.z0, collar.d0) == (-1.5, 14.2)
    assert bore is not None
    assert bore.z1 == 4.0
    assert bored.stretch("floor") is None


def test_how_the_held_thread_was_cut_and_whose_axis_counts(plug: Situated, cup: Situated) -> None:
    free = on_mandrel(plug_pen(made="freehand"))
    assert (plug.cut, free.cut) == (Manner.SINGLE_POINT, Manner.FREEHAND)
    assert cup.cut is Manner.SINGLE_POINT
    assert named(cup, Hold("body", "mouth", "internal")).cut is None
    bore = named(cup, Hold("body", "mouth", "bore"))
    assert (bore.cut, bore.follow) == (None, Surface.BORE)
    assert (plug.follow, cup.follow) == (Surface.THREAD, Surface.THREAD)


# -- seen from the other end ---------------------------------------------------------------------
def size(id: str, feature: str) -> Characteristic:
    return Characteristic(
        id=id, feature=Feature(feature), kind=Kind.DIAMETER, nominal=9.0, lower=8.9, upper=9.1
    )


@pytest.fixture(scope="module")
def double() -> Mandrel:
    """The second seat 40 behind the first; its thread from −42 to −48, a cone before it."""
    d = designed(plug_pen())
    assert d.mandrel is not None
    (thread,) = d.mandrel.threads
    return replace(
        d.mandrel,
        outer=(
            stretch("b.thread", -48.0, -42.0, 8.0),
            Stretch(Feature("b.relief"), -42.0, -40.0, 7.0, 7.5),
            stretch("shank", -40.0, -2.0, 14.0),
            stretch("collar", -2.0, 0.0, 12.0),
            stretch("thread", 1.0, 9.0, 10.0),
        ),
        inner=(stretch("b.bore", -48.0, -45.0, 3.0), stretch("counterbore", 5.0, 9.0, 4.0)),
        stations={"b.seat": -40.0, "seat": 0.0, "thread.end": 9.0, "b.thread.end": -48.0},
        characteristics=(
            size("b.thread.diameter", "b.thread"), size("collar.diameter", "collar"),
        ),
        threads=(thread, replace(thread, feature=Feature("b.thread"))),
        flats=Flats(-10.0, -4.0, 12.0),
    )  # fmt: skip


def places(row: tuple[Stretch, ...]) -> list[tuple[str, float, float, float, float]]:
    return [(str(s.feature), s.z0, s.z1, s.d0, s.d1) for s in row]


def test_from_its_other_end_a_mandrel_runs_the_other_way(double: Mandrel) -> None:
    seen = turned_round(double)
    assert places(seen.outer) == [
        ("a.thread", -49.0, -41.0, 10.0, 10.0),
        ("a.collar", -40.0, -38.0, 12.0, 12.0),
        ("shank", -38.0, 0.0, 14.0, 14.0),
        ("relief", 0.0, 2.0, 7.5, 7.0),
        ("thread", 2.0, 8.0, 8.0, 8.0),
    ]
    assert places(seen.inner) == [
        ("a.counterbore", -49.0, -45.0, 4.0, 4.0), ("bore", 5.0, 8.0, 3.0, 3.0),
    ]  # fmt: skip
    assert seen.stations == {"seat": 0.0, "a.seat": -40.0, "a.thread.end": -49.0, "thread.end": 8.0}
    assert seen.flats is None


def test_from_its_other_end_that_ends_names_stand_bare(double: Mandrel) -> None:
    seen = turned_round(double)
    assert [(c.id, str(c.feature)) for c in seen.characteristics] == [
        ("thread.diameter", "thread"), ("a.collar.diameter", "a.collar"),
    ]  # fmt: skip
    assert [(c.nominal, c.lower, c.upper) for c in seen.characteristics] == [(9.0, 8.9, 9.1)] * 2
    assert [str(t.feature) for t in seen.threads] == ["a.thread", "thread"]
    assert seen.threads[0].limits == double.threads[0].limits
    assert all(isinstance(s.feature, Feature) for s in (*seen.outer, *seen.threads))
    assert (seen.id, seen.kind) == (double.id, double.kind)


def test_each_end_is_held_by_its_own_thread(double: Mandrel) -> None:
    """The first named thread of the mandrel is not taken for the end in work."""
    pen = plug_pen()
    seen = turned_round(double)
    other = replace(seen.threads[1], full_pitches=2.5)
    turned = replace(seen, threads=(seen.threads[0], other))
    s = put(designed(pen), pen, "internal", mandrel=turned)
    assert s.thread == other
    bare = replace(seen, threads=seen.threads[:1])
    assert put(designed(pen), pen, "internal", mandrel=bare).thread is None
