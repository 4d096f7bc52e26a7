"""Stepped beams against closed forms, Peterson's chart and an independent frame program."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from Pynite import FEModel3D

from mandrelgen.mechanics.beam import Load, Segment, bend, shoulder_notch, torsion_stress, twist
from mandrelgen.mechanics.whirl import _carry, _krylov, critical_speed, first_frequency

STEEL, BRASS, ALU, ACRYLIC, HARD_RUBBER = 210_000.0, 97_000.0, 70_000.0, 3000.0, 2500.0

# Mandrel-like rows from the collet to the nose: (segments, load z, load N, tailstock z or None).
BEAMS = {
    "plain steel plug": (
        (Segment(12, 12), Segment(6, 9.2), Segment(8, 10), Segment(20, 8)),
        40.0,
        50.0,
        None,
    ),
    "slim long spigot": (
        (Segment(10, 10), Segment(2, 7.1), Segment(6, 8), Segment(45, 5.5)),
        60.0,
        50.0,
        None,
    ),
    "brass with blank": (
        (
            Segment(length=15, outer=12, inner=0, modulus=BRASS, density=8.47),
            Segment(length=8, outer=10.6, inner=0, modulus=BRASS, density=8.47, added=0.09),
            Segment(length=30, outer=8.5, inner=0, modulus=BRASS, density=8.47, added=0.09),
        ),
        38.0,
        100.0,
        None,
    ),
    "hollow aluminium cup": (
        (
            Segment(length=20, outer=12, inner=0, modulus=ALU, density=2.7),
            Segment(length=5, outer=16, inner=6, modulus=ALU, density=2.7),
            Segment(length=9, outer=16, inner=12.8, modulus=ALU, density=2.7),
        ),
        34.0,
        50.0,
        None,
    ),
    "acrylic tube, tailstock": (
        (
            Segment(30, 12, 0, STEEL),
            Segment(length=80, outer=13, inner=9, modulus=ACRYLIC, density=1.19),
        ),
        70.0,
        50.0,
        110.0,
    ),
    "hard rubber on the nose, tailstock inside": (
        (
            Segment(length=14, outer=12, inner=0, modulus=HARD_RUBBER, density=1.2),
            Segment(length=2, outer=8.8, inner=0, modulus=HARD_RUBBER, density=1.2),
            Segment(length=25, outer=9.5, inner=3, modulus=HARD_RUBBER, density=1.2),
            Segment(length=20, outer=7, inner=0, modulus=HARD_RUBBER, density=1.2, added=0.05),
        ),
        30.0,
        20.0,
        52.0,
    ),
    "steel, held at mid-length": (
        (Segment(25, 12), Segment(25, 8), Segment(40, 6)),
        75.0,
        30.0,
        50.0,
    ),
}


def test_cantilever_closed_forms() -> None:
    """δ = FL³/3EI, slope FL²/2EI, σ = M/Z; load inside: Machinery's Handbook, beams case 12."""
    plain = bend([Segment(60, 8)], [Load(60, 100)])
    assert plain.end.deflection == pytest.approx(0.17052, abs=5e-6)
    assert plain.prop_force == 0
    assert plain.end.slope * 1e3 == pytest.approx(4.2631, abs=5e-5)
    assert plain.stresses()[0].stress == pytest.approx(119.366, abs=5e-4)
    inside = bend([Segment(60, 8)], [Load(40, 100)])
    assert inside.at(40).deflection == pytest.approx(0.050525, abs=5e-7)
    assert inside.end.deflection == pytest.approx(0.088419, abs=5e-7)


def test_stepped_closed_form() -> None:
    """δ = F/3E·[((L1+L2)³ − L2³)/I1 + L2³/I2] (superposition; computed by hand)."""
    steel = bend([Segment(30, 10), Segment(30, 6)], [Load(60, 100)])
    assert steel.end.deflection == pytest.approx(0.128483, abs=5e-7)
    rows = [Segment(20, 12, modulus=70_000), Segment(40, 8, modulus=70_000)]
    assert bend(rows, [Load(60, 50)]).end.deflection == pytest.approx(0.111343, abs=5e-7)
    tube = bend([Segment(80, 13, 9, 3000)], [Load(80, 50)])
    assert tube.end.deflection == pytest.approx(2.634, abs=5e-4)
    assert tube.stresses()[0].stress == pytest.approx(24.08, abs=5e-3)


def test_propped_closed_form() -> None:
    """Propped cantilever, load in the middle: R = 5F/16, δ = 7FL³/768EI, clamp 3FL/16
    (standard beam table, e.g. Machinery's Handbook beams, fixed at one end and supported at the
    other)."""
    bar = Segment(100, 10)
    bent = bend([bar], [Load(50, 100)], prop=100)
    assert bent.prop_force == pytest.approx(500 / 16)
    assert bent.at(50).deflection == pytest.approx(7 * 100 * 100**3 / (768 * bar.stiffness))
    assert bent.at(0).moment == pytest.approx(3 * 100 * 100 / 16)
    assert bent.at(100).deflection == pytest.approx(0, abs=1e-12)


def test_torsion() -> None:
    """τ = 16T/πd³, θ = TL/GJ: 2 N·m on 8 mm, 50 long, G 80 000."""
    assert torsion_stress(2000, 8) == pytest.approx(19.8944, abs=5e-5)
    tube = math.pi / 2 * (5**4 - 3**4)
    assert torsion_stress(2000, 10, 6) == pytest.approx(2000 * 5 / tube)
    turn = twist(2000, [Segment(50, 8)], 80_000)
    assert math.degrees(turn) == pytest.approx(0.178104, abs=5e-7)


def test_frequency_closed_forms() -> None:
    """Uniform beams, β1 L = 1.8751 (clamped-free), 3.9266 (clamped-pinned): any vibration book."""
    bar = Segment(80, 9)
    unit = math.sqrt(bar.stiffness / bar.mass) / 80**2 / (2 * math.pi)
    assert first_frequency([bar]) == pytest.approx(1.875104069**2 * unit, rel=1e-8)
    assert first_frequency([bar], 80) == pytest.approx(3.926602312**2 * unit, rel=1e-8)
    # A bar of which only sizes are given is steel: 3.51602/(2π·0.08²)·0.00225·√(2.1e11/7850).
    assert first_frequency([bar]) == pytest.approx(1017.5, abs=0.05)
    split = [Segment(7, 9), Segment(60, 9), Segment(13, 9)]
    assert first_frequency(split) == pytest.approx(first_frequency([bar]), rel=1e-9)
    for pieces in (45, 400):
        fine = [Segment(80 / pieces, 9)] * pieces
        assert first_frequency(fine) == pytest.approx(first_frequency([bar]), rel=1e-9)
        assert first_frequency(fine, 80) == pytest.approx(first_frequency([bar], 80), rel=1e-9)
    assert critical_speed([bar]) == 60 * first_frequency([bar])
    assert critical_speed([bar], 80) == 60 * first_frequency([bar], 80)


@pytest.mark.parametrize(("x", "close"), [(0.049, 1e-14), (0.051, 1e-11), (1.7, 1e-14)])
def test_a_stretch_is_carried_by_the_krylov_functions(x: float, close: float) -> None:
    """K1 to K4 by their defining series, K_j = Σ x^(4n+j−1)/(4n+j−1)! (Krylov; Duncan), on both
    sides of the place where the program leaves the series for the closed forms."""
    length, stiffness = 7.0, 3e6
    beta = x / length
    k = [sum(x ** (4 * n + j) / math.factorial(4 * n + j) for n in range(8)) for j in range(4)]
    unit = [1.0, 1 / beta, 1 / (stiffness * beta**2), 1 / (stiffness * beta**3)]
    for column in range(4):
        state = tuple(float(i == column) for i in range(4))
        got = _carry(state, stiffness, _krylov(length, beta))  # type: ignore[arg-type]
        wanted = [k[column - row] * unit[column] / unit[row] for row in range(4)]
        assert got == pytest.approx(wanted, rel=close)


@pytest.mark.parametrize("off", [-0.6, -1e-12, 0.0, 1e-12, 0.6])
def test_a_prop_beside_a_step_holds_as_one_at_a_joint(off: float) -> None:
    """The same beam with a joint at the prop: nothing but the cut differs."""
    prop = 30 + off
    stepped = [Segment(30, 10), Segment(25, 7)]
    if abs(off) < 0.1:
        whole = stepped
    elif off < 0:
        whole = [Segment(prop, 10), Segment(30 - prop, 10), Segment(25, 7)]
    else:
        whole = [Segment(30, 10), Segment(prop - 30, 7), Segment(55 - prop, 7)]
    held = first_frequency(stepped, prop)
    assert held == pytest.approx(first_frequency(whole, prop))
    assert held > 1.5 * first_frequency(stepped)


def test_the_best_prop_lifts_the_first_frequency_to_the_second() -> None:
    """A uniform cantilever propped at the node of its second mode (0.7834 L, β2 L = 4.6941: any
    vibration book) whirls at the second frequency, the highest that one prop can bring."""
    bar = Segment(100, 9)
    unit = math.sqrt(bar.stiffness / bar.mass) / 100**2 / (2 * math.pi)
    assert first_frequency([bar], 78.34) == pytest.approx(4.694091**2 * unit, rel=1e-5)


@pytest.mark.parametrize(
    ("ratio", "a", "b"),
    [(1.1, 0.95120, -0.23757), (1.2, 0.97098, -0.21796), (1.5, 0.93836, -0.26759),
     (2.0, 0.90879, -0.28598)],
)  # fmt: skip
@pytest.mark.parametrize("fillet", [0.05, 0.1, 0.2])
def test_shoulder_against_other_fit(ratio: float, a: float, b: float, fillet: float) -> None:
    """Peterson's chart, stepped shaft in bending, by the other published fit K = A (r/d)^b
    (as in Norton, Machine Design, appendix); the two fits of one chart part by up to 7 %
    at its edges."""
    assert shoulder_notch(10 * ratio, 10, 10 * fillet) == pytest.approx(a * fillet**b, rel=0.075)


@pytest.mark.parametrize("t", [0.2, 0.5, 0.8])
def test_both_halves_of_the_shoulder_s_fit_meet(t: float) -> None:
    """The fit of Peterson's chart comes in two pieces, below and above h/r = 2: one chart, so they
    meet there; and as the step grows without end the notch is one of the bar left, K = 1."""
    large = 10.0
    h = t * large / 2
    below, above = (shoulder_notch(large, large - 2 * h, h / q) for q in (1.9999, 2.0001))
    assert below == pytest.approx(above, rel=0.03)
    assert shoulder_notch(large, 0.001, large / 2 / 0.25) == pytest.approx(1.0, abs=0.05)


@pytest.mark.parametrize(
    ("q", "t", "notch"),
    [(1.9, 0.5, 1.3697), (2.5, 0.5, 1.4753), (2.9, 0.9, 1.0822), (2.9, 0.2, 2.1053)],
)
def test_each_half_of_the_shoulder_s_fit_has_its_range(q: float, t: float, notch: float) -> None:
    """C1 + C2 t + C3 t² + C4 t³ worked by hand (Pilkey, chart 3.11, from memory) up to h/r = 2 and
    from there on, where the halves part: 1.4753 on 2.5 by the upper, 1.4629 by the lower."""
    h = t * 10 / 2
    assert shoulder_notch(10, 10 - 2 * h, h / q) == pytest.approx(notch, abs=1e-4)


@pytest.mark.parametrize("fillet", [0.05, 0.1, 0.2])
def test_a_high_shoulder_against_other_fit(fillet: float) -> None:
    """As above, D/d = 3: A 0.89334, b −0.30860 (Norton's table, from memory)."""
    other = 0.89334 * fillet**-0.30860
    assert shoulder_notch(30, 10, 10 * fillet) == pytest.approx(other, rel=0.075)


def test_a_shoulder_beyond_the_chart_is_read_at_its_edge() -> None:
    """0.1 <= h/r <= 20: a sharp corner as h/20, a finer one no worse, a flat one no better."""
    assert shoulder_notch(12, 10, 0) == shoulder_notch(12, 10, 1 / 20)
    assert shoulder_notch(12, 10, 1 / 30) == shoulder_notch(12, 10, 1 / 20)
    assert shoulder_notch(12, 10, 50) == shoulder_notch(12, 10, 10)
    assert shoulder_notch(0.9, 0.8, 0.02) == pytest.approx(shoulder_notch(9, 8, 0.2))  # a ratio


def test_stations_stresses_and_loads_between_the_steps() -> None:
    """A cantilever by hand: 100 N at 40 of 60, M(z) = 100 (40 − z) up to the load, 0 beyond."""
    bent = bend([Segment(20, 10, feature="a"), Segment(40, 8, feature="b")], [Load(40, 100)])
    assert [s.z for s in bent.stations] == pytest.approx([0, 20, 40, 60])
    for z, moment, shear in ((0, 4000, -100), (10, 3000, -100), (20, 2000, -100), (40, 0, 0),
                             (50, 0, 0), (60, 0, 0)):  # fmt: skip
        assert bent.at(z).moment == pytest.approx(moment, abs=1e-9)
        assert bent.at(z).shear == pytest.approx(shear, abs=1e-9)
    first, second = bent.stresses()
    assert (first.z, second.z) == pytest.approx((0, 20))
    assert second.stress == pytest.approx(2000 / (math.pi * 8**3 / 32))
    # Beyond the load the beam is straight: the slope stays, the deflection grows by it.
    assert bent.at(55).slope == pytest.approx(bent.at(40).slope)
    assert bent.at(55).deflection == pytest.approx(bent.at(40).deflection + 15 * bent.at(40).slope)
    # A propped beam's largest moment inside a stretch may stand at its far end.
    held = bend([Segment(50, 10, feature="a"), Segment(50, 10, feature="b")], [Load(50, 100)], 100)
    near, far = held.stresses()
    assert near.z == 0
    assert far.z == pytest.approx(50)
    # Beyond a prop it may be the largest there: 100 N on an arm of 50 carries half over to the
    # clamp (moment distribution: carry-over factor 1/2), 5000 at the prop against 2500.
    over = bend([Segment(50, 10), Segment(50, 8)], [Load(100, 100)], 50)
    assert over.at(0).moment == pytest.approx(-2500)
    near, far = over.stresses()
    assert (near.z, far.z) == (pytest.approx(50), pytest.approx(50))
    assert near.stress == pytest.approx(5000 / (math.pi * 10**3 / 32))
    assert far.stress == pytest.approx(5000 / (math.pi * 8**3 / 32))
    assert bend([Segment(20, 10)], [Load(20, 1)]).end.z == 20
    last = bend([Segment(9, 10), Segment(1, 5)], [Load(5, 100)])
    assert last.at(10).deflection == pytest.approx(last.end.deflection)


def test_a_load_at_a_step_strikes_once() -> None:
    """10.1 + 20.2 is 30.299999999999997 in floating point: a load at 30.3 stands on that step, and
    beyond it the beam carries nothing (equilibrium)."""
    assert 10.1 + 20.2 != 30.3
    bent = bend([Segment(10.1, 12), Segment(20.2, 10), Segment(15, 8)], [Load(30.3, 100)])
    assert [s.z for s in bent.stations] == pytest.approx([0, 10.1, 30.3, 45.3])
    assert bent.at(0).moment == pytest.approx(3030)
    for z in (35, 45.3):
        assert (bent.at(z).moment, bent.at(z).shear) == pytest.approx((0, 0), abs=1e-6)
    assert bent.end.slope == pytest.approx(bent.at(30.3).slope)


def test_where_loads_and_props_may_stand() -> None:
    for z in (-1e-6, 10.001):
        with pytest.raises(ValueError, match="load at"):
            bend([Segment(10, 5)], [Load(z, 1)])
    assert bend([Segment(10, 5)], [Load(0, 1)]).end.deflection == 0
    with pytest.raises(ValueError, match="prop at 11"):
        bend([Segment(10, 5)], [Load(5, 1)], 11)
    with pytest.raises(ValueError, match="in front of the clamp"):
        bend([Segment(10, 5)], [Load(5, 1)], 0.0)
    soft = Segment(
        length=10, outer=5, modulus=0.5, density=0, feature="foam"
    )  # light and soft, yet a beam
    assert soft.stiffness == pytest.approx(0.5 * math.pi / 64 * 625)
    with pytest.raises(ValueError, match="segment foam"):
        Segment(10, 5, modulus=0, feature="foam")
    with pytest.raises(ValueError, match=r"segment \?"):
        Segment(0, 5)


def _frame(name: str) -> tuple[FEModel3D, dict[float, str], float, float]:
    """The same beam in Pynite, cut fine, planar, N-mm-tonne."""
    segments, load_z, force, prop = BEAMS[name]
    ends, z = [], 0.0
    for seg in segments:
        ends.append((z, z + seg.length, seg))
        z += seg.length
    places = {0.0, load_z, *(e[1] for e in ends)} | (set() if prop is None else {prop})
    for i in range(1, 40):
        places.add(round(z * i / 40, 6))
    order = sorted(places)
    model, names = FEModel3D(), {}
    for i, x in enumerate(order):
        names[x] = f"N{i}"
        model.add_node(f"N{i}", x, 0, 0)
        root = i == 0
        model.def_support(f"N{i}", True, root or x == prop, True, True, True, root)
    for i, (x0, x1) in enumerate(pairwise(order)):
        seg = next(s for a, b, s in ends if a - 1e-9 <= x0 and x1 <= b + 1e-9)
        area = math.pi / 4 * (seg.outer**2 - seg.inner**2)
        inertia = math.pi / 64 * (seg.outer**4 - seg.inner**4)
        density = seg.density * 1e-9 + seg.added * 1e-6 / area
        model.add_material(f"M{i}", seg.modulus, seg.modulus / 2.6, 0.3, density)
        model.add_section(f"S{i}", area, inertia, inertia, 2 * inertia)
        model.add_member(f"B{i}", names[x0], names[x1], f"M{i}", f"S{i}")
    return model, names, load_z, force


@pytest.mark.parametrize("name", BEAMS)
def test_deflection_against_frame_program(name: str) -> None:
    """Deflection at tool and far end, slope, clamp moment, against PyNiteFEA 3.2 (static)."""
    segments, load_z, force, prop = BEAMS[name]
    model, names, _, _ = _frame(name)
    model.add_node_load(names[load_z], "FY", force)
    model.analyze_linear(check_statics=False)
    bent = bend(segments, [Load(load_z, force)], prop)
    end = max(names)
    for z in (load_z, end):
        node = model.nodes[names[z]]
        assert bent.at(z).deflection == pytest.approx(node.DY["Combo 1"], rel=0.001, abs=1e-9)
        assert bent.at(z).slope == pytest.approx(node.RZ["Combo 1"], rel=0.001, abs=1e-9)
    root = model.nodes["N0"]
    assert abs(bent.at(0).moment) == pytest.approx(abs(root.RxnMZ["Combo 1"]), rel=0.001)
    if prop is not None:
        held = model.nodes[names[prop]].RxnFY["Combo 1"]
        assert bent.prop_force == pytest.approx(-held, rel=0.001)


@pytest.mark.parametrize("name", BEAMS)
def test_frequency_against_frame_program(name: str) -> None:
    """First bending frequency against PyNiteFEA 3.2 (modal, consistent masses)."""
    segments, _, _, prop = BEAMS[name]
    model, _, _, _ = _frame(name)
    model.add_member_self_weight("FY", -1.0)
    model.analyze_modal(num_modes=1)
    assert first_frequency(segments, prop) == pytest.approx(float(model.frequencies[0]), rel=0.005)
