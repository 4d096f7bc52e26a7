"""The verdict's numbers on whole pens: each is traced to a characteristic or an input, and worked
again from the drawing's characteristics and the pen file by other ways than the program's.

The rules are common practice, no source.
"""

from __future__ import annotations

import math

import pytest

from mandrelgen.assess.choose_tolerances import situated
from mandrelgen.assess.settled import designs
from mandrelgen.assess.stiffness import beam
from tests.support.judged_pens import STARTERS, plug_pen, starters, verdict_of
from tests.support.randompens import SHOP


def test_the_step_of_a_pen_by_hand() -> None:
    """Every cause of the cap's step worked again from the drawing, the pen and the shop."""
    pen, shop = starters("wren")
    designed = {d.planned.id: d for d in designs(pen, shop)}
    cap, barrel = designed["cap-mouth-plug"], designed["barrel-mouth-plug"]
    v = verdict_of(cap)
    got = {s.cause.id: s.eccentricity for s in v.truth.step.budget.shares}
    assert cap.mandrel is not None
    assert barrel.mandrel is not None
    quarter = 0.25  # share of a thread's play left when tightened: from memory
    for d, prefix in ((cap, ""), (barrel, "neighbour:")):
        assert d.mandrel is not None
        part_max = d.mandrel.threads[0].partner.pitch.max
        own_min = d.mandrel.characteristic("thread.pitch_diameter").lower
        assert part_max is not None
        assert own_min is not None
        play = (part_max - own_min) / 2 * quarter
        assert got[f"{prefix}thread.pitch_diameter"] == pytest.approx(play, abs=1e-9)
    # ISO 15488 class 2: 0.020 at 40 from ⌀10 on, and one shank for the set; the seats stand nearer.
    assert got["collet.runout"] == pytest.approx(0.010)
    assert got["neighbour:collet.runout"] == pytest.approx(0.010)
    # M11x0.75 6g in 6H: ISO 965-1 Td2 100, TD2 132 + es 22 (1998 edition, up to 11.2).
    assert got["joint.barrel.mouth-cap.mouth"] == pytest.approx(0.254 / 2 * quarter, abs=1e-9)
    total = math.sqrt(sum(e * e for e in got.values()))
    tight = v.truth.step.states.tight
    assert tight.statistical == pytest.approx(total, rel=0.05)  # ids met twice count twice
    assert tight.worst == pytest.approx(
        sum(s.eccentricity for s in v.truth.step.budget.shares), abs=1e-9
    )


@pytest.mark.parametrize("name", STARTERS)
def test_every_cause_leads_to_a_characteristic_or_an_input(name: str) -> None:
    pen, shop = starters(name)
    designed = designs(pen, shop)
    known = {c.id for d in designed if d.mandrel for c in d.mandrel.characteristics}
    for d in designed:
        v = verdict_of(d)
        assert len(v.assumptions) >= 6
        assert sum(s.of_variance for s in v.truth.step.budget.shares) == pytest.approx(1)
        for s in v.truth.step.budget.shares:
            bare = s.cause.id.removeprefix("neighbour:")
            assert bare in known or bare.split(".")[0] in ("collet", "part", "joint"), bare
        for g in v.gaps:
            assert g.id in known or g.id == "thread.engagement", g.id


@pytest.mark.parametrize("name", STARTERS)
def test_deflection_by_the_unit_load_integral(name: str) -> None:
    """Maxwell-Mohr: δ = Σ F/EI ∫ (L−z)² dz over the stretches; same stretches, other method."""
    pen, shop = starters(name)
    for d in designs(pen, shop):
        row = beam(situated(d, pen, shop)[0])
        length = sum(s.length for s in row)
        total, z = 0.0, 0.0
        for s in row:
            a, b = length - z, length - z - s.length
            inertia = math.pi / 64 * (s.outer**4 - s.inner**4)
            total += 50.0 / (s.modulus * inertia) * (a**3 - b**3) / 3
            z += s.length
        stiffness = verdict_of(d).stiffness
        assert stiffness is not None
        assert stiffness.away.tool == pytest.approx(total, rel=1e-6)
        assert stiffness.up.tool < stiffness.away.tool


def test_the_beam_reaches_from_the_collet_to_the_far_end() -> None:
    """Stand-off 15 (default) plus the nut's 4 to the seat, then the part."""
    pen = plug_pen()
    (d,) = designs(pen, SHOP)
    stiffness = verdict_of(d).stiffness
    assert stiffness is not None
    assert stiffness.overhang == pytest.approx(15 + 4 + 40)


def test_pull_and_lip_by_hand() -> None:
    """2 N·m on M10x0.75, µ 0.15: F = T / (d2/2·tan(ρ'+λ) + µ·rm), then Lamé at the groove."""
    pen = plug_pen(outside=15.0)
    (d,) = designs(pen, SHOP)
    v = verdict_of(d)
    assert d.mandrel is not None
    assert v.screwed is not None
    d2 = 10 - 0.649519 * 0.75
    collar = d.mandrel.characteristic("collar.diameter").lower
    assert collar is not None
    mean = (10.2 + min(collar, 14.6)) / 2
    lead = math.atan(0.75 / (math.pi * d2))
    rho = math.atan(0.15 / math.cos(math.atan(math.tan(math.radians(30)) * math.cos(lead))))
    force = 2000 / (d2 / 2 * math.tan(rho + lead) + 0.15 * mean / 2)
    assert v.screwed.pull == pytest.approx(force, rel=1e-3)
    # The lip is judged at what tightens the thread: here the least, a dig-in the part survives.
    assert v.capacity is not None
    force *= v.capacity.dig_in / 2
    lip = next(c for c in v.checks if c.id == "lip")
    data = d.mandrel.threads[0]
    pressure = force * math.tan(math.radians(30)) / (math.pi * d2 * data.full_pitches * 0.75)
    eccentric = v.truth.runout_seat.tight.worst / 2
    outer, root = 15.0 - 2 * eccentric, data.partner.major_max_worst
    hoop = pressure * (outer**2 + root**2) / (outer**2 - root**2)
    assert lip.demand == pytest.approx(hoop, rel=2e-3)
    assert lip.capacity == 62  # cast acrylic, tensile: data/materials.toml


def test_the_maker_s_own_values_replace_the_assumptions() -> None:
    use = {"side_load": 25.0, "torque": 0.2, "catch_force": 100.0, "catch_torque": 1.0,
           "tailstock": False, "thread_friction": 0.1, "seat_friction": 0.1,
           "target_step": 0.1}  # fmt: skip
    (usual,), (own,) = designs(plug_pen({"tailstock": False}), SHOP), designs(plug_pen(use), SHOP)
    a, b = verdict_of(usual), verdict_of(own)
    assert a.stiffness is not None
    assert b.stiffness is not None
    assert b.stiffness.away.tool == pytest.approx(a.stiffness.away.tool / 2, rel=0.02)
    assert len(b.assumptions) == len(a.assumptions) - 7
    assert b.truth.step.target == 0.1
    # A request's own use goes before the pen's.
    request = plug_pen(use, wishes={"use": {"side_load": 50.0}})
    (mixed,) = designs(request, SHOP)
    stiffness = verdict_of(mixed).stiffness
    assert stiffness is not None
    assert stiffness.away.tool == pytest.approx(a.stiffness.away.tool, rel=0.02)
