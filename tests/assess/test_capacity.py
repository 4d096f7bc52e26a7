"""What mandrel and part bear across the axis, on a plain bar worked by hand: stainless (190 MPa) of
⌀10 from the collet's face 20 behind the seat to the thread's end 10 in front of it, acrylic (62
MPa, brittle) of ⌀20 from there to 40. Each N at the free end bends a place by its distance from
there and turns with the part's radius, 10.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from mandrelgen.assess import stiffness as stiff
from mandrelgen.assess.capacity import PART, PART_THREAD, _judged, capacity
from mandrelgen.assess.setup import Situated
from mandrelgen.mechanics.assessment_types import Capacity
from mandrelgen.mechanics.combined import Bears, Failure, Section, Spot, Weak
from mandrelgen.mechanics.screw import Screw
from mandrelgen.mechanics.tailstock import Allowed, Propped
from mandrelgen.spec.pen import FarEnd, Part
from tests.support.held import held, plain
from tests.support.judged_pens import cup_pen, plug_pen

ROOT = 9.645 + 11 / 12 * math.sqrt(3) / 2 * 0.75
"""Root of the part's M10x0.75 6H at most: D2 max and 11/12 of the sharp triangle's height."""


@pytest.fixture(scope="module")
def plug() -> Situated:
    return held(plug_pen())


@pytest.fixture(scope="module")
def on_bar(plug: Situated) -> Situated:
    """Without its thread: no pull, and no groove in the part."""
    return replace(plain(plug), thread=None)


def yields(moment: float, d: float, strength: float = 190.0, axial: float = 0.0) -> float:
    """Force that a round bar bears by von Mises, N: ``moment`` and the radius 10 for each N."""
    z = math.pi / 32 * d**3
    normal = moment / z + axial / (math.pi / 4 * d**2)
    return strength / math.sqrt(normal**2 + 3 * (10 / (2 * z)) ** 2)


def breaks(moment: float, outer: float, inner: float, turns: float = 10.0,
           strength: float = 62.0, notch: float = 1.0) -> float:  # fmt: skip
    """Force that a round tube bears by its largest principal stress, N."""
    z = math.pi / 32 * (outer**4 - inner**4) / outer
    normal, shear = moment / z, turns / (2 * z)
    return strength / notch / (normal / 2 + math.sqrt(normal**2 / 4 + shear**2))


def of_material(s: Situated, own: str = "1.4305", part: str = "cast-acrylic") -> Situated:
    ordering = replace(s.mandrel.ordering, material=own)
    return replace(
        s,
        mandrel=replace(s.mandrel, ordering=ordering),
        part=s.part.model_copy(update={"material": part}),
    )


def test_free_the_shank_gives_way_at_the_collet(on_bar: Situated) -> None:
    found = capacity(on_bar, None, 20.0)
    assert found.free.force == pytest.approx(yields(60.0, 10.0), rel=1e-9)
    assert (found.free.spot.name, found.free.spot.z) == ("the shank", 0.0)
    assert (found.free.z, found.free.prop) == (60.0, None)
    spot = found.free.spot
    assert (spot.strength, spot.failure, spot.of_mandrel) == (190, Failure.YIELDS, True)
    assert spot.section == Section(10.0, 0.0)
    assert found.mandrel == found.free.force
    assert found.judged is found.free
    assert (found.asked, found.weak) == (30.0, ())


def test_propped_the_prop_takes_its_share_of_the_moment(on_bar: Situated) -> None:
    found = capacity(on_bar, None, 20.0)
    row = stiff.stiffness(on_bar).up
    share = row.prop / 50.0
    # The tool at 40 turns everything behind it; in front nothing turns.
    roots = [
        ("the shank", yields(abs(40 - 60 * share), 10.0)),
        ("the thread", yields(abs(10 - 30 * share), 10.0)),
        ("the part", breaks(30 * share - 10, 20.0, 0.0)),
        # Under the tool, where the prop's moment is the largest of the part's.
        ("the part", breaks(22.5 * share - 2.5, 20.0, 0.0)),
    ]
    name, least = min(roots, key=lambda r: r[1])
    assert found.up.force == pytest.approx(least, rel=1e-6)
    assert found.up.spot.name == name
    assert (found.up.z, found.up.prop) == (40.0, 60.0)
    free = stiff.stiffness(on_bar).away
    assert found.per_newton == pytest.approx(free.tool / 50, rel=1e-9)
    assert found.per_newton_up == pytest.approx(row.tool / 50, rel=1e-9)


def test_the_thread_pulls_in_front_of_the_seat_alone(plug: Situated) -> None:
    """A screw without friction draws up 2π · 10 / 0.75 N for each N at radius 10. On a thread of ⌀5
    that counts at its far end, but not at the seat, where the moment is larger."""
    screw = Screw(lead=0.75, pitch_diameter=9.5, thread=0.0, seat=0.0)
    s = replace(plain(plug, thread=5.0), thread=None)
    found = capacity(s, screw, 20.0)
    pull = 2 * math.pi * 10 / 0.75
    assert found.free.force == pytest.approx(yields(30.0, 5.0, axial=pull), rel=1e-6)
    assert (found.free.spot.name, found.free.spot.z) == ("the thread", 30.0)
    assert capacity(s, None, 20.0).free.force == pytest.approx(yields(40.0, 5.0), rel=1e-9)
    # The part behind it is not pulled.
    assert found.free.spot.pull == pytest.approx(pull)
    weak_part = capacity(replace(plain(plug, part=6.0), thread=None), screw, 20.0)
    assert weak_part.free.spot.name == PART
    assert weak_part.free.spot.pull == 0.0


def test_a_brittle_mandrel_breaks_at_its_notch(plug: Situated) -> None:
    """Acetal is judged as brittle: the shoulder's factor of the slim thread counts."""
    s = of_material(replace(plain(plug, thread=8.0), thread=None), own="acetal")
    (notch,) = [x.notch for x in stiff.beam(s) if x.feature == "thread"]
    assert notch > 1.2
    found = capacity(s, None, 20.0)
    assert found.free.spot.name == "the thread"
    assert found.free.force == pytest.approx(breaks(40.0, 8.0, 0.0, notch=notch), rel=1e-6)


def test_the_part_has_no_notch_of_a_step_beside_it(plug: Situated) -> None:
    """Under a part of ⌀8 beside the bar of ⌀10: its first place, 30 from the free end; it turns
    with its own radius, 4."""
    found = capacity(replace(plain(plug, part=8.0), thread=None), None, 20.0)
    assert found.free.spot.name == PART == "the part"
    assert found.free.force == pytest.approx(breaks(30.0, 8.0, 0.0, turns=4.0), rel=1e-6)
    assert found.free.spot.z == pytest.approx(30.0)
    assert not found.free.spot.of_mandrel
    # What the mandrel alone bears is told beside it.
    z = math.pi / 32 * 1000
    alone = 190 / math.sqrt((60 / z) ** 2 + 3 * (4 / 2 / z) ** 2)
    assert found.mandrel == pytest.approx(alone, rel=1e-6)


def test_a_hollow_part_bears_by_its_tube(plug: Situated) -> None:
    s = replace(plain(plug, part=9.0), thread=None)
    s = replace(s, shape=s.shape._replace(bores=((0.0, 20.0, 7.0),)))
    found = capacity(s, None, 20.0).free
    assert found.spot.section == Section(9.0, 7.0)
    assert found.force == pytest.approx(breaks(30.0, 9.0, 7.0, turns=4.5), rel=1e-6)


def test_a_metal_part_yields(plug: Situated) -> None:
    s = of_material(replace(plain(plug, part=7.0), thread=None), part="CW614N")
    z = math.pi / 32 * 343
    by_hand = 220 / math.sqrt((30 / z) ** 2 + 3 * (3.5 / 2 / z) ** 2)
    found = capacity(s, None, 20.0)
    assert found.free.force == pytest.approx(by_hand, rel=1e-6)
    assert found.free.spot.failure is Failure.YIELDS


def part_thread_bears(found: Capacity) -> float:
    assert found.free.spot.name == PART_THREAD
    assert found.free.spot.z == pytest.approx(30.0)
    assert found.free.spot.notch == 1.5
    assert not found.free.spot.of_mandrel
    return found.free.force


def test_the_part_s_thread_counts_past_the_mandrel_s(plug: Situated) -> None:
    """The lip less the thread's root, with a brittle thread's factor 1.5."""
    found = capacity(plain(plug), None, 11.0)
    by_hand = breaks(30.0, 11.0, ROOT, notch=1.5)
    assert part_thread_bears(found) == pytest.approx(by_hand, rel=1e-6)
    # A bore wider than the root counts instead, of all its steps the widest.
    hole = plug.holes[0]
    wide = hole._replace(size=replace(hole.size, upper=10.5))
    found = capacity(replace(plain(plug), holes=(hole, wide, hole)), None, 11.0)
    assert part_thread_bears(found) == pytest.approx(breaks(30.0, 11.0, 10.5, notch=1.5))
    # In a metal it yields, and no factor counts.
    found = capacity(of_material(plain(plug), part="CW614N"), None, 10.4)
    z = math.pi / 32 * (10.4**4 - ROOT**4) / 10.4
    by_hand = 220 / math.sqrt((30 / z) ** 2 + 3 * (10 / 2 / z) ** 2)
    assert part_thread_bears(found) == pytest.approx(by_hand, rel=1e-6)


def test_without_a_hole_the_thread_s_root_counts(plug: Situated) -> None:
    found = capacity(replace(plain(plug), holes=()), None, 11.0)
    assert part_thread_bears(found) == pytest.approx(breaks(30.0, 11.0, ROOT, notch=1.5))
    assert capacity(replace(plain(plug), tapped=None), None, 11.0).free.spot.name == "the shank"


def test_where_no_lip_is_left_the_thread_is_no_place_of_its_own(plug: Situated) -> None:
    assert capacity(plain(plug), None, 10.2).free.spot.name == "the shank"


def test_a_tenon_counts_at_its_root_over_the_bore() -> None:
    """M10x0.75 6g: root 8.929 over a bore of 6.1; its shoulder is 32 from the free end."""
    found = capacity(held(cup_pen()), None, 13.0).free
    assert found.spot.name == PART_THREAD
    assert found.spot.z == pytest.approx(25.0)
    by_hand = breaks(32.0, 8.928980947, 6.1, turns=6.5, notch=1.5)
    assert found.force == pytest.approx(by_hand, rel=1e-6)


@pytest.mark.parametrize(
    ("lip", "roughing", "torque"),
    [
        # Free, the lip bears less than a catch of 200 N: it tightens as far as that goes.
        (13.0, False, None),
        (11.2, False, None),
        # Under the tailstock it outlasts the catch: 200 N at radius 10.
        (13.0, True, 2.0),
        (15.0, False, 2.0),
        # Next to nothing left: a hand tightens it all the same.
        (10.3, False, 1.0),
    ],
)
def test_what_tightens_the_thread_at_worst(
    plug: Situated, lip: float, roughing: bool, torque: float | None
) -> None:
    s = plain(plug)
    s = replace(s, loads=s.loads._replace(roughing_up=roughing))
    by_lip = breaks(30.0, lip, ROOT, notch=1.5) * 10 / 1000
    expected = min(max(by_lip, 1.0), 2.0) if torque is None else torque
    found = capacity(s, None, lip)
    assert found.dig_in == pytest.approx(expected, rel=1e-6)


def test_a_catch_that_the_maker_says_bounds_the_torque(on_bar: Situated) -> None:
    """150 N at radius 10 are 1.5 N·m; a catch of 1.2 N·m is less; a hand gives 1.0."""
    for side, torque, expected in ((150.0, 2.0, 1.5), (200.0, 1.2, 1.2), (200.0, 0.5, 1.0)):
        use = on_bar.loads._replace(catch_side=side, catch_torque=torque)
        found = capacity(replace(on_bar, loads=use), None, 20.0)
        assert found.dig_in == pytest.approx(expected)


def test_of_the_part_the_case_that_is_run_counts_for_a_dig_in(plug: Situated) -> None:
    """A lip of ⌀11.2 bears less than 200 N free and more under the tailstock."""
    s = plain(plug)
    up = replace(s, loads=s.loads._replace(roughing_up=True))
    away = replace(s, loads=s.loads._replace(roughing_up=False))
    assert capacity(away, None, 11.2).dig_in < 1.9
    assert capacity(up, None, 11.2).dig_in == pytest.approx(2.0)


def test_with_the_tailstock_up_all_the_time_that_case_is_the_mandrel_s_too(
    on_bar: Situated,
) -> None:
    s = replace(on_bar, loads=on_bar.loads._replace(tailstock=True))
    found = capacity(s, None, 20.0)
    share = stiff.stiffness(on_bar).up.prop / 50.0
    assert found.judged is found.up
    assert found.mandrel == pytest.approx(yields(40 - 60 * share, 10.0), rel=1e-6)
    assert found.asked == 90.0


PART_SPOT = Spot("part", 0.0, Section(10.0), 60.0, Failure.FRACTURES, False)
OWN_SPOT = Spot("shank", 0.0, Section(10.0), 190.0, Failure.YIELDS, True)
FIRST = {"part": PART_SPOT, "mandrel": OWN_SPOT}
ALWAYS, ONLY, UP, AWAY = (
    {"tailstock": True, "roughing_up": True},
    {"finish_only": True, "roughing_up": True},
    {"roughing_up": True},
    {"roughing_up": False},
)
YES, NO, ASK = Allowed.YES, Allowed.NO, Allowed.ASK
F, R, M = Weak.FINISHING, Weak.ROUGHING, Weak.MANDREL


@pytest.mark.parametrize(
    ("use", "far", "free", "up", "first", "judged", "asked", "why"),
    [
        # Up all the time: a roughing cut at mid-length, whatever the free end bears.
        (ALWAYS, YES, 10.0, 90.0, "part", "up", 90.0, ()),
        (ALWAYS, YES, 10.0, 89.9, "part", "up", 90.0, (R,)),
        (ALWAYS, YES, 10.0, 89.9, "mandrel", "up", 90.0, (R, M)),
        # Roughed before: twice a finishing cut at the free end, whatever gives way first.
        (ONLY, NO, 30.0, 10.0, "mandrel", "free", 30.0, ()),
        (ONLY, NO, 29.9, 10.0, "mandrel", "free", 30.0, (F,)),
        (ONLY, NO, 29.9, 10.0, "part", "free", 30.0, (F,)),
        # Up for roughing: the free end is finished, the middle is roughed.
        (UP, YES, 30.0, 90.0, "part", "free", 30.0, ()),
        (UP, ASK, 29.9, 90.0, "part", "free", 30.0, (F,)),
        (UP, YES, 30.0, 89.9, "part", "up", 90.0, (R,)),
        (UP, YES, 29.9, 89.9, "part", "free", 30.0, (F,)),
        (UP, YES, 90.0, 95.0, "mandrel", "free", 30.0, ()),
        (UP, YES, 89.9, 95.0, "mandrel", "free", 90.0, (M,)),
        # A far end that takes no centre, or no tailstock: the free end takes everything.
        (UP, NO, 90.0, 50.0, "part", "free", 90.0, ()),
        (UP, NO, 89.9, 95.0, "part", "free", 90.0, (R,)),
        (AWAY, YES, 90.0, 50.0, "part", "free", 90.0, ()),
        (AWAY, YES, 89.9, 95.0, "mandrel", "free", 90.0, (R, M)),
    ],
)  # fmt: skip
def test_which_case_counts_what_it_must_bear_and_why_it_is_weak(
    plug: Situated, use: dict[str, Any], far: Allowed, free: float, up: float, first: str,
    judged: str, asked: float, why: tuple[Weak, ...],
) -> None:  # fmt: skip
    """A finishing cut and its double, 30 N; a roughing cut, 90 N (data/judging.toml, estimates)."""
    s = replace(plug, loads=plug.loads._replace(**{"tailstock": False, **use}))
    rows = {
        "free": Bears(free, FIRST[first], 60.0, None),
        "up": Bears(up, FIRST[first], 40.0, 60.0),
    }
    end = Propped(allowed=far, why="", thrust=150.0, hoop=0.0, bears=0.0)
    case, least, found = _judged(s, rows["free"], rows["up"], end)
    assert case is rows[judged]
    assert (least, found) == (asked, why)


def with_tail(s: Situated, far: FarEnd | None, bore: float, outer: float, **tail: Any) -> Situated:
    ends = {"mouth": {"diameter": 15.0}, "tail": {"diameter": outer, **tail}}
    part = Part.model_validate(
        {"length": 40.0, "diameter": 15.0, "material": s.part.material, "ends": ends}
    )
    of = s.shape._replace(d1=outer, keeps=5.0, from_far=35.0, bores=((30.0, 40.0, bore),))
    return replace(s, part=part, shape=of, loads=s.loads._replace(far_end=far))


@pytest.mark.parametrize(
    ("of", "outer", "allowed"),
    [
        # Lamé on 1 mm of a bore of 7 spread by 150 N through 60°: p = 150 · √3 / (7 π) = 11.81;
        # (O² + 49)/(O² − 49) · 11.81 may be the strength over what is asked: 62/2, 220/1.5 (it
        # yields, 430 tear it), 52/2, 50/2, printed 40/3 and 35/3.
        ("cast-acrylic", 10.47, YES), ("cast-acrylic", 10.44, NO),
        ("CW614N", 7.60, YES), ("CW614N", 7.57, NO),
        ("ebonite", 11.44, YES), ("ebonite", 11.41, NO),
        ("wood", 11.71, YES), ("wood", 11.68, NO),
        ("resin", 28.5, YES), ("resin", 28.4, NO), ("PLA", 60.0, NO),
    ],
)  # fmt: skip
def test_a_bore_takes_a_centre_where_its_mouth_bears_it(
    on_bar: Situated, of: str, outer: float, allowed: Allowed
) -> None:
    s = with_tail(of_material(on_bar, part=of), FarEnd.BORE, 7.0, outer)
    found = capacity(s, None, 20.0)
    assert found.far_end is allowed
    assert found.far_end_why


def test_what_the_far_end_offers_decides_whether_the_tailstock_is_used(on_bar: Situated) -> None:
    told = {f: capacity(with_tail(on_bar, f, 7.0, 15.0), None, 20.0) for f in (None, *FarEnd)}
    assert told[None].far_end is ASK
    assert told[FarEnd.PIP].far_end is YES
    assert told[FarEnd.NOTHING].far_end is NO
    assert (told[FarEnd.PIP].asked, told[FarEnd.NOTHING].asked) == (30.0, 90.0)
    tapped = {"internal": {"thread": "M8x0.75", "depth": 6.0}}
    found = capacity(with_tail(on_bar, FarEnd.BORE, 7.0, 15.0, **tapped), None, 20.0)
    assert found.far_end is NO
    assert "tapped" in found.far_end_why
    # A thread at the held end alone taps no far end.
    found = capacity(with_tail(on_bar, FarEnd.BORE, 7.0, 15.0), None, 20.0)
    assert found.far_end is YES
