"""Strength of thread, lip, cup, tenon, seat and grip, worked by hand from the drawing's limits.

The pairs are M10x0.75 6g in 6H (ISO 965-1: d 9.838 to 9.978, d2 9.391 to 9.491, D2 9.513 to 9.645,
D1 9.188 to 9.378); strengths as in data/materials.toml, retyped.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from mandrelgen.assess import strength
from mandrelgen.assess.setup import Situated
from mandrelgen.design.ends import Ring
from mandrelgen.mechanics.strength import StrengthCheck
from mandrelgen.paper.reports.summary import freed
from tests.support.held import held
from tests.support.judged_pens import cup_pen, plug_pen

STAINLESS = {"yields": 190.0, "shear": 300.0}
ACRYLIC = {"tensile": 62.0, "crush": 93.0}


@pytest.fixture(scope="module")
def plug() -> Situated:
    return held(plug_pen())


@pytest.fixture(scope="module")
def cup() -> Situated:
    return held(cup_pen())


def checked(s: Situated, dig_in: float = 2.0, eccentric: float = 0.0) -> dict[str, StrengthCheck]:
    return {c.id: c for c in strength.checks(s, dig_in, eccentric)}


def arm(seat_mean: float, sense: int) -> float:
    """Torque for each N of pull of M10x0.75 with friction 0.15 on flanks and seat, N·mm, tightening
    (1) and freeing (-1), by the angles: tan(ρ' + λ) is (µ' + tan λ) / (1 − µ' tan λ)."""
    d2 = 9.513
    slope = sense * 0.75 / (math.pi * d2)
    rough = 0.15 * math.sqrt(1 + math.tan(math.pi / 6) ** 2 / (1 + slope**2))
    return d2 / 2 * (rough + slope) / (1 - rough * slope) + 0.15 * seat_mean / 2


def force_of(torque: float, seat_mean: float) -> float:
    """What ``torque`` N·m draws up, N."""
    return torque * 1000 / arm(seat_mean, 1)


def test_every_place_of_a_plug_is_checked_once(plug: Situated, cup: Situated) -> None:
    assert [(c.id, c.unit) for c in strength.checks(plug, 2.0, 0.0)] == [
        ("slip.collet", "N·m"), ("strip.screw", "N"), ("strip.nut", "N"),
        ("tension.thread", "MPa"), ("lip", "MPa"), ("seat", "MPa"),
    ]  # fmt: skip
    assert [(c.id, c.unit) for c in strength.checks(cup, 2.0, 0.0)] == [
        ("slip.collet", "N·m"), ("strip.screw", "N"), ("strip.nut", "N"),
        ("cup.wall", "MPa"), ("tenon", "MPa"), ("seat", "MPa"),
    ]  # fmt: skip
    labels = [c.label for c in (*checked(plug).values(), *checked(cup).values())]
    assert len(set(labels)) == 8
    assert all(labels)


def test_the_ring_that_bears_at_worst_limits(plug: Situated, cup: Situated) -> None:
    """Plug: from the countersink 10.2 to the least collar 14.1, narrower than the part's 14.6. Cup:
    from its widest counterbore to the least body."""
    assert strength.seat_ring(plug) == (10.2, 14.1)
    assert cup.size("counterbore.diameter") is not None
    assert strength.seat_ring(cup) == (
        cup.upper("counterbore.diameter"), pytest.approx(11.8 - 0.1)
    )  # fmt: skip
    assert plug.tapped is not None
    small = replace(plug, tapped=plug.tapped._replace(ring=Ring(10.2, 12.0)))
    assert strength.seat_ring(small) == (10.2, 12.0)
    none = replace(plug, tapped=plug.tapped._replace(ring=Ring(14.1, 14.6)))
    assert strength.seat_ring(none) is None
    hair = replace(plug, tapped=plug.tapped._replace(ring=Ring(14.099, 14.6)))
    assert strength.seat_ring(hair) == (14.099, 14.1)
    assert "seat" not in checked(none)
    assert strength.seat_ring(replace(plug, tapped=None)) is None


def test_the_screw_is_the_thread_drawn_against_the_middle_of_that_ring(plug: Situated) -> None:
    screw = strength.screw_of(plug)
    assert screw is not None
    assert (screw.lead, screw.pitch_diameter) == (0.75, 9.513)
    assert screw.seat_mean == pytest.approx((10.2 + 14.1) / 2)
    assert (screw.thread, screw.seat) == (0.15, 0.15)
    own = replace(plug, loads=plug.loads._replace(thread_friction=0.11, seat_friction=0.22))
    screw = strength.screw_of(own)
    assert screw is not None
    assert (screw.thread, screw.seat) == (0.11, 0.22)
    # Without a ring of its own the thread's own diameter is taken.
    screw = strength.screw_of(replace(plug, tapped=None))
    assert screw is not None
    assert screw.seat_mean == 9.513
    assert strength.screw_of(replace(plug, thread=None)) is None


def test_the_lead_of_several_starts_draws_and_not_the_pitch() -> None:
    s = held(plug_pen(thread="M12xPh2.4P0.8-6H", countersink=12.2, outside=16.0,
                      bore=[{"diameter": 11.2, "depth": 30.0}]))  # fmt: skip
    screw = strength.screw_of(s)
    assert screw is not None
    assert screw.lead == 2.4
    found = strength.screwed(s)
    assert found is not None
    # Self-locking needs cos 30° · 2.4 / (π · 11.48) = 0.0576; two starts 0.25° off over a lead
    # of 2.4 on each part, times cot 30°.
    assert found.locking == pytest.approx(0.15 / 0.05763, rel=1e-3)


def test_what_tightens_draws_up_and_frees_again(plug: Situated) -> None:
    found = strength.screwed(plug)
    assert found is not None
    assert found.pull == pytest.approx(force_of(2.0, 12.15), rel=1e-6)
    assert found.eaten == 0.0
    assert found.forward
    left = arm(12.15, -1) / arm(12.15, 1)
    assert found.freeing_catch == pytest.approx(2.0 * left, rel=1e-6)
    assert found.freeing == pytest.approx(found.freeing_catch * 0.4 / 2.0)
    assert found.locking == pytest.approx(0.15 * math.pi * 9.513 / (math.cos(math.pi / 6) * 0.75))
    assert found.strap_needed
    assert not found.flats_needed
    assert strength.screwed(replace(plug, thread=None)) is None


@pytest.mark.parametrize(
    ("catch", "strap", "flats"),
    [(1.7, False, False), (1.75, True, False), (3.4, True, False), (3.5, True, True)],
)
def test_flats_are_needed_where_more_than_a_strap_frees_the_part(
    plug: Situated, catch: float, strap: bool, flats: bool
) -> None:
    """1.735 N·m of 2.0 are left: 1.5, what a hand gives, is reached at 1.729, and 3.0, what a strap
    gives, at 3.457."""
    found = strength.screwed(replace(plug, loads=plug.loads._replace(catch_torque=catch)))
    assert found is not None
    assert (found.strap_needed, found.flats_needed) == (strap, flats)
    said = {(False, False): "by hand", (True, False): "a rubber strap on the part"}
    assert freed(found) == said.get((strap, flats), "spanner flats or a strap wrench")


def test_a_left_hand_thread_comes_loose_forward() -> None:
    found = strength.screwed(held(plug_pen(thread="M10x0.75-LH")))
    assert found is not None
    assert not found.forward


def test_the_shank_slips_by_the_nut_s_own_thread(plug: Situated) -> None:
    """15 N·m on the nut M32 of ISO 15488-25 at K 0.2; a cone of 4° and friction 0.12 on it; the
    shank is of ⌀14."""
    axial = 15_000 / (0.2 * 32)
    cone = math.tan(math.radians(4))
    grip = axial * (1 - cone * 0.12) / (cone + 0.12)
    slip = checked(plug, 1.7)["slip.collet"]
    assert slip.demand == 1.7
    assert slip.capacity == pytest.approx(0.12 * grip * 14.0 / 2000, rel=1e-6)
    assert plug.grip is not None
    # Of a collet that no standard names, a nut of 22 is taken.
    bare = replace(plug, grip=plug.grip._replace(system=None))
    assert checked(bare)["slip.collet"].capacity == pytest.approx(slip.capacity * 32 / 22)
    assert "slip.collet" not in checked(replace(plug, grip=None))
    assert "slip.collet" not in checked(replace(plug, collet_face=None))


def test_the_threads_strip_by_their_own_strengths(plug: Situated, cup: Situated) -> None:
    """FED-STD-H28's areas: rise of the nut's thread 0.375 + (9.838 − 9.645)/√3, of the screw's
    0.375 + (9.391 − 9.378)/√3. Stainless 300 MPa in shear, acrylic less."""
    assert plug.thread is not None
    assert cup.thread is not None
    nut = math.pi * 9.838 * (0.375 + (9.838 - 9.645) / math.sqrt(3))
    screw = math.pi * 9.378 * (0.375 + (9.391 - 9.378) / math.sqrt(3))
    got = checked(plug)
    force = force_of(2.0, 12.15)
    assert got["strip.screw"].demand == pytest.approx(force, rel=1e-6)
    assert got["strip.nut"].demand == pytest.approx(force, rel=1e-6)
    turns = plug.thread.full_pitches
    assert got["strip.screw"].capacity == pytest.approx(300 * screw * turns, rel=1e-6)
    plastic = got["strip.nut"].capacity / (nut * turns)
    assert plastic < 62
    other = checked(cup)
    turns = cup.thread.full_pitches
    assert other["strip.nut"].capacity == pytest.approx(300 * nut * turns, rel=1e-6)
    assert other["strip.screw"].capacity == pytest.approx(plastic * screw * turns, rel=1e-6)


def test_the_plug_s_core_is_pulled_by_its_least_stress_area(plug: Situated) -> None:
    """ISO 898-1: π/4 (9.838 − 0.938194 · 0.75)²."""
    got = checked(plug)["tension.thread"]
    core = math.pi / 4 * (9.838 - 0.938194 * 0.75) ** 2
    assert got.demand == pytest.approx(force_of(2.0, 12.15) / core, rel=1e-6)
    assert got.capacity == STAINLESS["yields"]


def spread(pull: float, length: float, outer: float, inner: float) -> float:
    """Lamé: hoop at the bore of a wall that 60° flanks spread, MPa."""
    pressure = pull / math.sqrt(3) / (math.pi * 9.513 * length)
    return pressure * (outer**2 + inner**2) / (outer**2 - inner**2)


def test_the_lip_counts_where_the_outside_runs_out_of_the_thread(plug: Situated) -> None:
    assert plug.thread is not None
    root = plug.thread.partner.major_max_worst
    long = plug.thread.full_pitches * 0.75
    for off in (0.0, 0.1):
        lip = checked(plug, 2.0, off)["lip"]
        hoop = spread(force_of(2.0, 12.15), long, 15.0 - 2 * off, root)
        assert lip.demand == pytest.approx(hoop, rel=1e-3)
        assert (lip.capacity, lip.asked) == (ACRYLIC["tensile"], 1.0)
        assert lip.label == "the pen's lip bursts over the plug"


def test_a_lip_of_nothing_bears_nothing(plug: Situated) -> None:
    """⌀15 and a root of ⌀10.24: 2.4 off the axis nothing is left."""
    assert checked(plug, 2.0, 2.3)["lip"].capacity == 62
    lip = checked(plug, 2.0, 2.4)["lip"]
    assert (lip.demand, lip.capacity, lip.unit, lip.asked) == (1.0, 0.0, "MPa", 1.0)
    assert lip.label == "the pen's lip bursts over the plug"
    assert not lip.passes


def test_the_lip_s_outside_is_the_least_over_the_thread(plug: Situated) -> None:
    assert strength.lip_outside(plug) == 15.0
    end = plug.stretch("thread")
    assert end is not None
    cone = plug.shape._replace(d1=11.0, keeps=0.0, from_far=40.0)
    assert strength.lip_outside(replace(plug, shape=cone)) == pytest.approx(15 - 0.1 * end.z1)
    wider = plug.shape._replace(d0=13.0, d1=15.0, keeps=0.0, from_far=40.0)
    assert strength.lip_outside(replace(plug, shape=wider)) == 13.0
    # The part's own outer thread there counts at its root.
    assert plug.thread is not None
    threaded = replace(plug, outer_thread=plug.thread.limits)
    assert strength.lip_outside(threaded) == pytest.approx(8.929, abs=1e-3)


def test_the_cup_s_wall_is_the_least_body_over_the_groove_or_the_root(cup: Situated) -> None:
    assert cup.thread is not None
    got = checked(cup)["cup.wall"]
    ring = strength.seat_ring(cup)
    assert ring is not None
    pull = force_of(2.0, (ring[0] + ring[1]) / 2)
    long = cup.thread.full_pitches * 0.75
    root = cup.thread.limits.major_max_worst
    assert got.demand == pytest.approx(spread(pull, long, 11.7, root), rel=1e-3)
    assert got.capacity == STAINLESS["yields"]
    assert got.label == "the cup's wall gives way"


def test_a_cup_s_groove_wider_than_its_thread_s_root_counts() -> None:
    """One that is screwcut has a groove behind the thread, the widest place of its wall."""
    s = held(cup_pen(wishes={"thread_order": "single-point"}))
    groove = s.upper("relief.diameter")
    assert s.thread is not None
    assert groove is not None
    assert groove > s.thread.limits.major_max_worst
    assert s.collar is not None
    assert s.collar.lower is not None
    ring = strength.seat_ring(s)
    assert ring is not None
    pull = force_of(2.0, (ring[0] + ring[1]) / 2)
    hoop = spread(pull, s.thread.full_pitches * 0.75, s.collar.lower, groove)
    assert checked(s)["cup.wall"].demand == pytest.approx(hoop, rel=1e-3)


def test_the_tenon_is_squeezed_round_its_bore(cup: Situated) -> None:
    """Lamé under pressure from outside: 2 p D² / (D² − d²) on the root 8.929 over 6.1."""
    assert cup.thread is not None
    ring = strength.seat_ring(cup)
    assert ring is not None
    pull = force_of(2.0, (ring[0] + ring[1]) / 2)
    pressure = pull / math.sqrt(3) / (math.pi * 9.513 * cup.thread.full_pitches * 0.75)
    root = 8.928980947
    got = checked(cup)["tenon"]
    hoop = 2 * pressure * root**2 / (root**2 - 6.1**2)
    assert got.demand == pytest.approx(hoop, rel=1e-6)
    assert got.capacity == ACRYLIC["crush"]
    solid = checked(replace(cup, holes=()))["tenon"]
    assert solid.demand == pytest.approx(pressure, rel=1e-6)
    hole = cup.holes[0]
    wide = hole._replace(size=replace(hole.size, upper=root))
    assert "tenon" not in checked(replace(cup, holes=(hole, wide)))
    near = hole._replace(size=replace(hole.size, upper=root - 0.001))
    assert checked(replace(cup, holes=(near, hole)))["tenon"].demand > 1000
    assert "tenon" not in checked(replace(cup, tenon=None))


def test_the_softer_of_the_two_is_crushed_at_the_seat(plug: Situated) -> None:
    """π/4 (14.1² − 10.2²) = 74.4 mm²; a plastic bears half as much again in compression."""
    got = checked(plug)["seat"]
    area = math.pi / 4 * (14.1**2 - 10.2**2)
    assert got.demand == pytest.approx(force_of(2.0, 12.15) / area, rel=1e-6)
    assert got.capacity == ACRYLIC["crush"]
    assert got.label == "the seat's ring is crushed"


@pytest.mark.parametrize(
    ("own", "part", "bears"),
    [("1.4305", "CW614N", 190.0), ("CW614N", "1.4305", 190.0), ("CW614N", "11SMn30", 220.0),
     ("1.4305", "ebonite", 78.0)],
)  # fmt: skip
def test_a_seat_bears_what_the_weaker_metal_yields_at(own: str, part: str, bears: float) -> None:
    """Stainless 190, brass 220, free-cutting steel 410; ebonite 52 and half of it again."""
    change: dict[str, Any] = {"stuff": part, "wishes": {"material": own}}
    assert checked(held(plug_pen(**change)))["seat"].capacity == bears
