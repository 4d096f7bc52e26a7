"""Capacities: what the weakest of mandrel and part bears, supported and not."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mandrelgen.core.errors import Level
from mandrelgen.mechanics.beam import Segment
from mandrelgen.mechanics.combined import (
    Bears,
    Failure,
    Nominal,
    Section,
    Spot,
    Weak,
    bears,
    critical_section,
    each_bears,
    equivalent,
    force_borne,
    nominal,
    weak,
)
from mandrelgen.standards.designation import parse
from mandrelgen.standards.threads import limits

ACRYLIC, STEEL = 62.0, 410.0
# A cap of cast acrylic on an M12x1 plug: ⌀15 outside, D max 12.304 inside where the plug ends.
CAP = Spot(
    name="cap",
    z=40.0,
    section=Section(15.0, 12.304),
    strength=ACRYLIC,
    failure=Failure.FRACTURES,
    of_mandrel=False,
    notch=2.5,
)
NECK = Spot(
    name="neck",
    z=30.0,
    section=Section(10.7),
    strength=STEEL,
    failure=Failure.YIELDS,
    of_mandrel=True,
    pull=0.5,
)
ROW = (
    Segment(30.0, 12.0, 0.0, 205_000),
    Segment(10.0, 10.7, 0.0, 205_000),
    Segment(57.0, 15.0, 12.304, 2800),
)


def test_a_notch_is_no_reason_to_call_metal_weak() -> None:
    """110 MPa nominal on steel of 410: 410/110 = 3.7 in hand, whatever the notch; a brittle
    plastic sees it."""
    n = Nominal(110.0, 0.0, 0.0)
    assert equivalent(n, Failure.YIELDS, 2.63) == 110.0
    assert equivalent(n, Failure.FRACTURES, 2.63) == pytest.approx(289.3)


def test_bending_and_pull_add_on_one_side() -> None:
    assert equivalent(Nominal(50.0, 0.0, 30.0), Failure.YIELDS) == 80.0
    assert equivalent(Nominal(-50.0, 40.0, 30.0), Failure.YIELDS) == pytest.approx(
        math.sqrt(80**2 + 3 * 40**2)
    )


def test_a_dig_in_breaks_every_unsupported_acrylic_cap() -> None:
    """200 N at the free end of a cap 65 long, 57 of it beyond the plug's 8 of thread: M = 11,400
    N·mm on Z = π/32 (15⁴ − 12.304⁴)/15 = 181.3 mm³ is 62.9 MPa before any notch, of 62."""
    plain = replace(CAP, notch=1.0, section=Section(15.0, 12.304))
    assert plain.section.modulus == pytest.approx(181.3, abs=0.05)
    assert 200 * 57 / plain.section.modulus == pytest.approx(62.9, abs=0.05)
    for spot in (plain, CAP):
        assert bears(ROW, [spot], 97.0, 7.5).force < 200
    up = bears(ROW, [CAP], 68.5, 7.5, prop=97.0)
    assert up.force > bears(ROW, [CAP], 97.0, 7.5).force
    assert up.prop == 97.0


def test_the_weakest_of_mandrel_and_part_decides() -> None:
    assert bears(ROW, [NECK, CAP], 97.0, 7.5).spot is CAP
    weak_neck = replace(NECK, section=Section(3.0))
    assert bears(ROW, [weak_neck, CAP], 97.0, 7.5).spot is weak_neck
    with pytest.raises(ValueError, match="no place"):
        bears(ROW, [], 97.0, 7.5)


def test_the_parts_section_just_past_the_last_thread() -> None:
    """Inside: the thread's D max, or the bore where it is larger; outside: d3 min over the bore.
    M12x1: D2 max 11.510 + 0.794; d2 min 11.206 − 0.616 (tests/validation/test_iso_965_1.py)."""
    nut, screw = limits(parse("M12x1"), False), limits(parse("M12x1"), True)
    inside, bored = critical_section(nut, 15.0, 11.0), critical_section(nut, 15.0, 12.5)
    tenon = critical_section(screw, 15.0, 9.0)
    assert inside is not None
    assert bored is not None
    assert tenon is not None
    assert inside[0].outer == 15.0
    assert inside[0].inner == pytest.approx(12.3039, abs=1e-3)
    assert bored[0].inner == 12.5
    assert tenon[0].outer == pytest.approx(10.590, abs=1e-3)
    assert critical_section(nut, 12.3, 11.0) is None
    assert critical_section(screw, 15.0, 10.6) is None


@pytest.mark.parametrize(
    ("force", "mandrels", "supported", "wanted"),
    [
        (30.0, False, True, ()),
        (29.9, False, True, (Weak.FINISHING,)),
        (90.0, False, False, ()),
        (89.9, False, False, (Weak.ROUGHING,)),
        (178.0, False, False, ()),
        (90.0, True, True, ()),
        (89.9, True, True, (Weak.MANDREL,)),
        (20.0, True, False, (Weak.ROUGHING, Weak.MANDREL)),
    ],
)
def test_both_sides_of_each_threshold(
    force: float, mandrels: bool, supported: bool, wanted: tuple[Weak, ...]
) -> None:
    spot = NECK if mandrels else CAP
    assert weak(Bears(force, spot, 60.0, None), supported) == (
        Level.WARNING if wanted else None,
        wanted,
    )


@given(
    outer=st.floats(6, 16),
    wall=st.floats(0.3, 2.5),
    arm=st.floats(1, 90),
    longer=st.floats(0, 50),
    radius=st.floats(0, 9),
    pull=st.floats(0, 3),
    failure=st.sampled_from(list(Failure)),
)
def test_more_load_never_bears_more(
    outer: float,
    wall: float,
    arm: float,
    longer: float,
    radius: float,
    pull: float,
    failure: Failure,
) -> None:
    """A longer arm, a larger radius, more pull, a deeper notch, a thinner wall: never stronger. And
    at the force borne the stress is the strength."""
    spot = Spot(
        name="s",
        z=0.0,
        section=Section(outer, outer - 2 * wall),
        strength=62.0,
        failure=failure,
        of_mandrel=False,
        notch=1.5,
        pull=pull,
    )
    force = force_borne(spot, arm, radius)
    assert force_borne(spot, arm + longer, radius) <= force * (1 + 1e-12)
    assert force_borne(spot, arm, radius + 1) <= force * (1 + 1e-12)
    assert force_borne(replace(spot, pull=pull + 1), arm, radius) <= force
    assert force_borne(replace(spot, notch=2.5), arm, radius) <= force
    thinner = Section(outer, outer - wall)
    assert force_borne(replace(spot, section=thinner), arm, radius) < force
    z = spot.section.modulus
    stress = Nominal(force * arm / z, force * radius / 2 / z, force * pull / spot.section.area)
    assert equivalent(stress, failure, 1.5) == pytest.approx(62.0)


@pytest.mark.parametrize("inner", [10.0, 10.1, -0.1])
def test_a_section_without_a_wall_is_none(inner: float) -> None:
    with pytest.raises(ValueError, match="no wall"):
        Section(10.0, inner)


def test_what_is_not_said_adds_nothing() -> None:
    """No pull: no axial stress; no notch: the stress as it is, for what breaks too."""
    assert nominal(Section(10.0), 0.0, 0.0) == Nominal(0.0, 0.0, 0.0)
    assert equivalent(Nominal(50.0, 0.0, 0.0), Failure.FRACTURES) == 50.0


def test_a_wall_of_a_third_of_a_millimetre_is_a_wall_and_none_is_not() -> None:
    """D max of M12x1 6H is 12.304: (13 − 12.304)/2 = 0.348 stands; a bore as wide as the outside
    leaves nothing to reckon with."""
    nut = limits(parse("M12x1"), False)
    thin = critical_section(nut, 13.0, 11.0)
    assert thin is not None
    assert (thin[0].outer - thin[0].inner) / 2 == pytest.approx(0.348, abs=5e-4)
    assert critical_section(nut, 12.5, 12.5) is None


def test_a_place_that_nothing_loads_bears_any_force() -> None:
    idle = Spot("tip", 0.0, Section(10.0), ACRYLIC, Failure.FRACTURES, False)
    assert force_borne(idle, 0.0, 0.0) == math.inf


def test_of_two_places_alike_the_first_by_name_is_told() -> None:
    """The same section at the same place: both give way at once, whichever was listed first."""
    twins = [Spot(name, 0.0, Section(12.0), STEEL, Failure.YIELDS, True) for name in ("b", "a")]
    assert bears(ROW, twins, 97.0, 0.0).spot.name == "a"


def test_only_what_stands_before_the_tool_is_bent_and_turned() -> None:
    """A bar of ⌀10, 100 long, 1 N at z = 60 and radius 7.5. At z = 60 itself nothing bends and
    7.5 N·mm turn: τ = 7.5/(2·Z), Z = π/32·10³, yields at 400/√3. Half a millimetre further out, and
    at the end, nothing bends or turns. At the clamp both: 60 and 7.5 N·mm."""
    bar = [Segment(100.0, 10.0)]
    spots = [
        Spot(f"at {z}", z, Section(10.0), 400.0, Failure.YIELDS, True)
        for z in (0.0, 60.0, 60.5, 100.0)
    ]
    clamp, tool, beyond, end = each_bears(bar, spots, 60.0, 7.5)
    modulus = math.pi / 32 * 10**3
    turned = 400 / (math.sqrt(3) * 7.5 / (2 * modulus))
    both = 400 / math.sqrt((60 / modulus) ** 2 + 3 * (7.5 / (2 * modulus)) ** 2)
    assert tool.force == pytest.approx(turned)
    assert clamp.force == pytest.approx(both)
    assert min(beyond.force, end.force) > 1e9
    assert [b.z for b in (clamp, tool, beyond, end)] == [60.0] * 4
    assert {b.prop for b in (clamp, tool, beyond, end)} == {None}
