"""Combined stress, capacities and the tailstock's thrust against handbooks, linear algebra and an
independent frame program."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from Pynite import FEModel3D

from mandrelgen.mechanics.beam import Segment
from mandrelgen.mechanics.close_fit import chance_of_less, play_needed
from mandrelgen.mechanics.combined import (
    Failure,
    Section,
    Spot,
    bears,
    force_borne,
    largest_principal,
    stiffness,
    von_mises,
)
from mandrelgen.mechanics.concentricity import centring_ratio, judge
from mandrelgen.mechanics.tailstock import centre_hoop

INCH, LBF = 25.4, 4.4482216
KPSI = 1000 * LBF / INCH**2


def test_shigleys_lever() -> None:
    """Shigley's Mechanical Engineering Design, examples 5-3 and 5-5 (from memory): a 1 in arm
    under 14 in of bending and 15 in of torsion. AISI 1035, Sy 81 kpsi, by distortion energy:
    416 lbf. Cast iron, Sut 31 kpsi, by the largest principal stress: 176 lbf."""
    moment, torque = 14 * INCH, 15 * INCH
    steel = Spot(
        name="arm",
        z=0,
        section=Section(INCH),
        strength=81 * KPSI,
        failure=Failure.YIELDS,
        of_mandrel=True,
        notch=2.5,
    )
    iron = Spot(
        name="arm",
        z=0,
        section=Section(INCH),
        strength=31 * KPSI,
        failure=Failure.FRACTURES,
        of_mandrel=True,
    )
    assert force_borne(steel, moment, torque) / LBF == pytest.approx(416, abs=0.6)
    assert force_borne(iron, moment, torque) / LBF == pytest.approx(176, abs=0.6)


@given(normal=st.floats(0, 500), shear=st.floats(-300, 300))
def test_against_the_stress_tensor(normal: float, shear: float) -> None:
    """Eigenvalues and the second deviatoric invariant by linear algebra."""
    tensor = np.array([[normal, shear, 0.0], [shear, 0.0, 0.0], [0.0, 0.0, 0.0]])
    deviator = tensor - np.eye(3) * np.trace(tensor) / 3
    invariant = math.sqrt(1.5 * float((deviator * deviator).sum()))
    assert von_mises(normal, shear) == pytest.approx(invariant, abs=1e-6)
    eigen = float(np.linalg.eigvalsh(tensor)[-1])
    assert largest_principal(normal, shear) == pytest.approx(eigen, abs=1e-6)


def test_propped_cantilever() -> None:
    """Roark's Formulas for Stress and Strain, table 8.1, one end fixed, other supported, load at
    mid-length: M = 3/16 F L at the clamp, 5/32 F L under the load."""
    bar = [Segment(60.0, 8.0)]
    z = math.pi / 32 * 8.0**3
    clamp = Spot(
        name="clamp",
        z=0.0,
        section=Section(8.0),
        strength=410.0,
        failure=Failure.YIELDS,
        of_mandrel=True,
    )
    middle = Spot(
        name="middle",
        z=30.0,
        section=Section(8.0),
        strength=410.0,
        failure=Failure.YIELDS,
        of_mandrel=True,
    )
    assert bears(bar, [clamp], 30, 0, 60).force == pytest.approx(410 * z / (3 / 16 * 60))
    assert bears(bar, [middle], 30, 0, 60).force == pytest.approx(410 * z / (5 / 32 * 60))
    assert bears(bar, [clamp, middle], 30, 0, 60).spot is clamp
    assert stiffness(bar, 60) == pytest.approx(60**3 / (3 * 210e3 * math.pi / 64 * 8**4))
    # The same source: 7 F L³ / (768 E I) under the load at mid-length.
    assert stiffness(bar, 30, 60) == pytest.approx(7 * 60**3 / (768 * 210e3 * math.pi / 64 * 8**4))


# A steel plug ⌀12/⌀10.7 with 57 of an acrylic cap ⌀15/⌀12.304 beyond it: lengths, diameters, E.
ROW = [
    Segment(30.0, 12.0, 0.0, 205_000),
    Segment(10.0, 10.7, 0.0, 205_000),
    Segment(57.0, 15.0, 12.304, 2_800),
]


def _frame_moment(load: float, at: float, prop: bool) -> float:
    """Moment at z = 40 (where the plug ends) and 1 N at ``at`` by the frame program."""
    model = FEModel3D()
    cuts = sorted({0.0, 30.0, 40.0, 97.0, at})
    for i, z in enumerate(cuts):
        model.add_node(f"n{i}", z, 0, 0)
    for j, seg in enumerate(ROW):
        model.add_material(f"m{j}", seg.modulus, seg.modulus / 2.6, 0.3, 0)
        model.add_section(
            f"s{j}", math.pi / 4 * (seg.outer**2 - seg.inner**2), seg.inertia, seg.inertia,
            2 * seg.inertia,
        )  # fmt: skip
    for i in range(len(cuts) - 1):
        j = 0 if cuts[i] < 30 else 1 if cuts[i] < 40 else 2
        model.add_member(f"b{i}", f"n{i}", f"n{i + 1}", f"m{j}", f"s{j}")
    model.def_support("n0", *[True] * 6)
    if prop:
        model.def_support(f"n{len(cuts) - 1}", False, True, True, False, False, False)
    model.add_node_load(f"n{cuts.index(at)}", "FY", -load)
    model.analyze_linear()
    return abs(float(model.members[f"b{cuts.index(40.0)}"].moment("Mz", 0.0)))


@pytest.mark.parametrize(("at", "prop"), [(97.0, False), (68.5, True), (60.0, True)])
def test_cap_on_its_plug_against_a_frame_program(at: float, prop: bool) -> None:
    """The cap's critical section just past the plug: capacity = strength over K σ1 (K = 2.5), with
    the moment from the frame program and σ1 from the tensor."""
    section = Section(15.0, 12.304)
    spot = Spot(
        name="cap",
        z=40.0,
        section=section,
        strength=62.0,
        failure=Failure.FRACTURES,
        of_mandrel=False,
        notch=2.5,
    )
    found = bears(ROW, [spot], at, 7.5, 97.0 if prop else None)
    z = math.pi / 32 * (15**4 - 12.304**4) / 15
    sigma, tau = _frame_moment(1.0, at, prop) / z, 7.5 / (2 * z)
    principal = float(np.linalg.eigvalsh(np.array([[sigma, tau], [tau, 0.0]]))[-1])
    assert found.force == pytest.approx(62.0 / (2.5 * principal), rel=1e-3)


def test_the_tailstock_bears_most_of_a_roughing_cut() -> None:
    """An unsupported cap of 57 breaks below 100 N with its notch, far from 200; the tailstock lifts
    it several times."""
    spot = Spot(
        name="cap",
        z=40.0,
        section=Section(15.0, 12.304),
        strength=62.0,
        failure=Failure.FRACTURES,
        of_mandrel=False,
        notch=2.5,
    )
    away, up = bears(ROW, [spot], 97.0, 7.5), bears(ROW, [spot], 68.5, 7.5, 97.0)
    assert 50 < away.force < 100
    assert up.force > 3 * away.force


def test_a_bare_centre_in_a_crown() -> None:
    """Arithmetic: F cot 30° over π·7·1, Lamé (11² + 7²)/(11² − 7²): 9, 28 and 93 MPa."""
    for thrust, printed in ((50, 9), (150, 28), (500, 93)):
        by_hand = thrust * 1.7320508 / (math.pi * 7) * (121 + 49) / (121 - 49)
        assert round(by_hand) == printed
        assert centre_hoop(thrust, 7, 11) == pytest.approx(by_hand)


def test_centring_force_and_printed_difference() -> None:
    """tan(30° − 8.5°) = 0.39 against 0.15; 0.062 − 0.05 = 0.012."""
    assert centring_ratio(0.15) == pytest.approx(math.tan(math.radians(30 - 8.53)), abs=1e-4)
    assert round(centring_ratio(0.15), 2) == 0.39
    assert judge(0.0, 0.0622, 0.02, 0.05).over == 0.012


def test_chance_of_a_close_fit() -> None:
    """0.1° over 3 to 5 mm of thread takes 5.5 to 8 µm of a play of 0 to 195 (4h in 6H, P 0.75:
    63 + 132): t²/2ab is 0.2 to 0.4 %."""
    assert play_needed(3.0) < 0.0055 < 0.008 < play_needed(5.0)
    for t, printed in ((0.0055, 0.2), (0.008, 0.4)):
        assert round(100 * t * t / (2 * 0.063 * 0.132), 1) == printed
        assert round(100 * chance_of_less(t, 0.0, 0.132, 0.063), 1) == printed
