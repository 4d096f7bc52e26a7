"""Strength, screw torque, friction and speed against published numbers and other programs."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.sparse import diags
from scipy.sparse.linalg import spsolve
from screw_thread_lib.data import ASME_M_6g6H_dict
from screw_thread_lib.threads import Assembly

from mandrelgen.mechanics.practice import power_bound
from mandrelgen.mechanics.screw import (
    Screw,
    freeing_torque,
    friction_needed,
    locking_margin,
    pull,
    pull_without_friction,
)
from mandrelgen.mechanics.speed import cutting_speed, spindle_speed
from mandrelgen.mechanics.strength import (
    StripThread,
    burst_check,
    collet_slip_torque,
    flank_pressure,
    hoop_inside,
    hoop_outside,
    seat_pressure,
    stress_area,
    stripping,
)
from mandrelgen.standards.designation import parse
from mandrelgen.standards.threads import limits

# Metric thread stress and shear areas, engagement of one diameter, 6g/6H (Bickford, Introduction
# to the Design and Behavior of Bolted Joints, 4th ed., as reprinted on a reference site):
# size: (pitch, stress area, screw 6g strips, screw 4g6g strips, nut strips), mm².
COARSE = {
    5: (0.8, 14.183, 35.366, 37.085, 49.994),
    6: (1.0, 20.123, 51.875, 54.174, 73.145),
    8: (1.25, 36.609, 97.290, 100.74, 134.63),
    10: (1.5, 57.990, 155.80, 160.73, 214.77),
    12: (1.75, 84.267, 227.72, 234.86, 313.41),
    14: (2.0, 115.44, 313.94, 323.24, 434.47),
    16: (2.0, 156.67, 417.55, 429.92, 569.12),
}
# Fine threads: stress areas from a printed table of a machine-parts catalogue (ISO 898-1 form).
FINE = {
    (12, 1.5): 88.13,
    (12, 1.25): 92.07,
    (12, 1.0): 96.10,
    (14, 1.5): 124.55,
    (14, 1.0): 134.00,
    (16, 1.5): 167.25,
    (16, 1.0): 178.17,
}


def _pair(size: int, pitch: float, screw_class: str) -> StripThread:
    """The pair at its worst limits (ISO 965-1) in an engagement of one diameter."""
    thread = parse(f"M{size}x{pitch:g}")
    screw = limits(thread, True, screw_class)
    nut = limits(thread, False, "6H")
    values = (screw.major.min, screw.pitch.min, nut.minor.max, nut.pitch.max)
    major, pitch_min, minor, pitch_max = (v for v in values if v is not None)
    return StripThread(
        pitch=pitch,
        length=size,
        screw_major_min=major,
        screw_pitch_min=pitch_min,
        nut_minor_max=minor,
        nut_pitch_max=pitch_max,
    )


@pytest.mark.parametrize("size", COARSE)
def test_published_areas(size: int) -> None:
    """Stress area and both stripping areas against the printed table."""
    pitch, area, screw, close, nut = COARSE[size]
    pair = _pair(size, pitch, "6g")
    assert stress_area(size, pitch) == pytest.approx(area, rel=1e-4)
    assert pair.screw_area == pytest.approx(screw, rel=1e-3)
    assert pair.nut_area == pytest.approx(nut, rel=1e-3)
    assert _pair(size, pitch, "4g6g").screw_area == pytest.approx(close, rel=1e-3)


@pytest.mark.parametrize("row", FINE)
def test_published_fine_stress_areas(row: tuple[int, float]) -> None:
    assert stress_area(*row) == pytest.approx(FINE[row], rel=2e-4)


@pytest.mark.parametrize("name", sorted(ASME_M_6g6H_dict))
def test_areas_against_other_program(name: str) -> None:
    """FED-STD-H28/2B formulas 2a and 4a as written in screw-thread-lib 0.0.6."""
    row = ASME_M_6g6H_dict[name]
    other = Assembly(row)
    pair = StripThread(
        pitch=1 / row["n"],
        length=7.0,
        screw_major_min=row["dmin"],
        screw_pitch_min=row["d2min"],
        nut_minor_max=row["D1max"],
        nut_pitch_max=row["D2max"],
    )
    assert pair.nut_area == pytest.approx(other.ASn_min_FEDSTD_2a(7.0), rel=1e-3)
    assert pair.screw_area == pytest.approx(other.ASs_min_FEDSTD_4a(7.0), rel=1e-3)


def test_screw_against_textbook_power_screw() -> None:
    """Shigley, Mechanical Engineering Design, example 8-1 (from memory): square thread, lead 8,
    mean 30, collar 40, µ 0.08, 6.4 kN: 26.18 N·m to raise, 9.77 to lower. Its friction is reached
    with µ·cos α_n on ours."""
    lead, mean = 8.0, 30.0
    normal = math.atan(math.tan(math.radians(30)) * math.cos(math.atan(lead / math.pi / mean)))
    screw = Screw(
        lead=lead, pitch_diameter=mean, seat_mean=40.0, thread=0.08 * math.cos(normal), seat=0.08
    )
    assert pull(screw, 26.18) == pytest.approx(6400, rel=1e-3)
    assert freeing_torque(screw, 26.18) == pytest.approx(9.77, rel=1e-3)


@pytest.mark.parametrize(("d2", "pitch", "mu", "bearing"), [(9.026, 1.5, 0.12, 12.5),
                                                            (7.188, 1.25, 0.14, 10.3)])  # fmt: skip
def test_screw_against_bolt_formula(d2: float, pitch: float, mu: float, bearing: float) -> None:
    """VDI 2230 (from memory): M = F (0.159 P + 0.578 d2 µG + Dkm/2 µK)."""
    force = 10_000.0
    torque = force * (0.159 * pitch + 0.578 * d2 * mu + bearing / 2 * mu) / 1000
    assert pull(
        Screw(lead=pitch, pitch_diameter=d2, seat_mean=bearing, thread=mu, seat=mu), torque
    ) == pytest.approx(force, rel=0.005)


def test_a_screw_of_which_only_sizes_are_given() -> None:
    """T = F d2/2 tan(λ + ρ') (Shigley, power screws, from memory), 10 kN on 9.026 with lead 1.5 and
    µ = 0.15: tan λ 0.052899, 0.15/cos 30° 0.173205, together 0.228195: 10.298 N·m, no seat; a seat
    of 12.5 in the mean takes 0.15·6.25·10 = 9.375 N·m more."""
    assert pull(Screw(1.5, 9.026), 10.298) == pytest.approx(10_000, rel=1e-3)
    assert pull(Screw(1.5, 9.026, 12.5), 10.298 + 9.375) == pytest.approx(10_000, rel=1e-3)


def test_freeing_by_hand_to_four_figures() -> None:
    """tan(ρ' − λ)/tan(ρ' + λ): on the same screw, normal half angle atan(tan 30° cos λ) of cosine
    0.866328, tan ρ' 0.15/0.866328 = 0.173145: 0.119154/0.228133 of the 10 N·m."""
    assert freeing_torque(Screw(1.5, 9.026), 10.0) == pytest.approx(5.2230, abs=1e-3)


def test_pull_of_a_catch() -> None:
    """2 N·m on three starts near 13 mm: about 600 N (common practice, no source); never above
    the work bound 2πT/Ph (conservation of energy)."""
    screw = Screw(lead=2.4, pitch_diameter=12.3, seat_mean=13.2, thread=0.2, seat=0.2)
    assert pull(screw, 2.0) == pytest.approx(600, rel=0.1)
    frictionless = Screw(lead=2.4, pitch_diameter=12.3, seat_mean=13.2, thread=0.0, seat=0.0)
    assert pull(frictionless, 2.0) == pytest.approx(pull_without_friction(2.4, 2.0))


@pytest.mark.parametrize(
    ("mu", "degrees"), [(0.05, 3.30), (0.08, 5.28), (0.10, 6.59), (0.12, 7.89), (0.15, 9.83)]
)
def test_greatest_self_locking_lead_angle(mu: float, degrees: float) -> None:
    """tan λ = µ / cos 30° (virtual friction of a V thread, Tribology in Machine Design)."""
    d2 = 11.35
    lead = math.pi * d2 * math.tan(math.radians(degrees))
    assert friction_needed(lead, d2) == pytest.approx(mu, rel=2e-3)
    assert locking_margin(Screw(lead, d2, thread=mu)) == pytest.approx(1, rel=2e-3)


@pytest.mark.parametrize(
    ("d2", "lead", "mu"), [(11.350, 3.0, 0.073), (11.350, 4.0, 0.097), (13.350, 3.0, 0.062)]
)
def test_friction_needed_by_hand(d2: float, lead: float, mu: float) -> None:
    """M12xPh3P1, M12xPh4P1, M14xPh3P1: computed by hand from 0.866 Ph/(π d2)."""
    assert friction_needed(lead, d2) == pytest.approx(mu, abs=6e-4)


def _lame_numeric(outer: float, inner: float, p_in: float, p_out: float) -> float:
    """Hoop stress at the bore by finite differences of the thick ring's equilibrium,
    u'' + u'/r − u/r² = 0 in plane stress, independent of Lamé's formula."""
    n, e, nu = 4001, 1000.0, 0.3
    r = np.linspace(inner / 2, outer / 2, n)
    h = r[1] - r[0]
    rhs = np.zeros(n)
    lower = 1 / h**2 - 1 / (2 * h * r[1:])
    middle = -2 / h**2 - 1 / r**2
    upper = 1 / h**2 + 1 / (2 * h * r[:-1])
    system = diags([lower, middle, upper], [-1, 0, 1]).tolil()
    k = e / (1 - nu**2)
    for row, sign, p in ((0, 1, p_in), (n - 1, -1, p_out)):
        system[row, :] = 0
        for j, c in enumerate((-1.5, 2.0, -0.5)):
            system[row, row + sign * j] = k * sign * c / h
        system[row, row] += k * nu / r[row]
        rhs[row] = -p
    u = spsolve(system.tocsr(), rhs)
    du = (-1.5 * u[0] + 2 * u[1] - 0.5 * u[2]) / h
    return float(k * (u[0] / r[0] + nu * du))


@pytest.mark.parametrize(("outer", "inner"), [(13.0, 11.2), (12.4, 9.0), (20.0, 8.0)])
def test_thick_ring_against_finite_differences(outer: float, inner: float) -> None:
    inside = _lame_numeric(outer, inner, 3.0, 0.0)
    assert hoop_inside(3.0, outer, inner) == pytest.approx(inside, rel=2e-3)
    squeezed = _lame_numeric(outer, inner, 0.0, 3.0)
    assert hoop_outside(3.0, outer, inner) == pytest.approx(-squeezed, rel=2e-3)


def test_thin_ring_and_lip() -> None:
    """Barlow's thin-wall formula p·r/t as the limit; then a lip by hand: 600 N on d2 12.3 over 4:
    p = 600·0.57735/(π·12.3·4) = 2.241 MPa, wall 14 over 12.9: (196 + 166.41)/(196 − 166.41)."""
    assert hoop_inside(1.0, 10.02, 10.0) == pytest.approx(5.005 / 0.01, rel=2e-3)
    lip = burst_check(600, 12.3, 4.0, 14.0, 12.9, 62.0)
    assert lip.demand == pytest.approx(2.2412 * 362.41 / 29.59, rel=1e-4)
    assert lip.factor == pytest.approx(62 / 27.449, rel=1e-3)


def test_collet_slip_to_five_figures() -> None:
    """F = 15 000/(0.2·22) = 3409.09 N; tan(4° + atan 0.12) = (0.0699268 + 0.12)/(1 − 0.0083912)
    = 0.1915340; 0.12·3409.09/0.1915340·6 mm = 12.8153 N·m."""
    assert collet_slip_torque(12, 0.12, 15, 22) == pytest.approx(12.8153, abs=2e-4)
    assert collet_slip_torque(0.5, 0.12, 0.5, 0.5) > 0
    for at in range(5):
        values = [12, 0.12, 15, 22, 0.2]
        values[at] = 0
        with pytest.raises(ValueError, match="above 0"):
            collet_slip_torque(*values)


def test_every_check_names_its_place_its_unit_and_what_is_asked() -> None:
    pair = _pair(12, 1.75, "6g")
    made = {
        "strip.screw": (lambda **k: stripping(pair, 500, 60, 60, **k)[0], "N"),
        "strip.nut": (lambda **k: stripping(pair, 500, 60, 60, **k)[1], "N"),
        "lip": (lambda **k: burst_check(600, 12.3, 4, 14, 12.9, 62, **k), "MPa"),
    }
    for id, (check, unit) in made.items():
        one, more = check(), check(asked=2.5)
        assert (one.id, one.unit, one.asked, more.asked) == (id, unit, 1.0, 2.5)
        assert one.label
        assert one.label != id
        assert one.demand > 0
        assert (one.demand, one.capacity) == (more.demand, more.capacity)
        edge = replace(one, demand=10.0, capacity=25.0)
        assert (edge.passes, replace(edge, asked=2.5).passes) == (True, True)
        assert not replace(edge, asked=2.51).passes
    screw, nut = stripping(pair, 500, 60, 40)
    assert screw.capacity == pytest.approx(60 * pair.screw_area)
    assert nut.capacity == pytest.approx(40 * pair.nut_area)


def test_pressures_on_small_places() -> None:
    assert seat_pressure(100, 2, 0) == pytest.approx(100 / math.pi)
    assert seat_pressure(100, 2, 0.5) == pytest.approx(100 / (math.pi / 4 * 3.75))
    for outer, inner in ((2, 2), (2, -0.1)):
        with pytest.raises(ValueError, match="no width"):
            seat_pressure(100, outer, inner)
    # 100 N on d2 0.9 over 0.5 mm: 57.735/(π·0.45).
    assert flank_pressure(100, 0.9, 0.5) == pytest.approx(57.735 / (math.pi * 0.45), rel=1e-5)
    for sizes in ((0, 1), (1, 0)):
        with pytest.raises(ValueError, match="above 0"):
            flank_pressure(100, *sizes)


def test_power_and_speed_by_hand() -> None:
    """370 W at 1500 rev/min on 13 mm: 2.355 N·m, 362.4 N; n = 1000 v/(π d): 30 m/min at 10."""
    force, torque = power_bound(370, 1500, 13)
    assert force == pytest.approx(362.4, abs=0.05)
    assert torque == pytest.approx(2.355, abs=5e-4)
    assert spindle_speed(10, 30) == pytest.approx(954.9, abs=0.05)
    assert cutting_speed(10, 954.9) == pytest.approx(30, rel=1e-4)
