"""Strength of thread, lip, seat and grip, each as a demand against a capacity.

Thread areas after FED-STD-H28/2B (formulas 2a and 4a) and the stress area of ISO 898-1. Lengths in
mm, areas in mm², forces in N, torques in N·m, stresses in MPa.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

from mandrelgen.core.frozen import dataclass

_SQRT3 = math.sqrt(3.0)


class StripThread(NamedTuple):
    """A pair in engagement at its worst limits, mm: ``pitch`` P (not the lead: all starts carry),
    ``length`` of engagement (full thread), screw's least major and pitch diameter, nut's greatest
    minor and pitch diameter."""

    pitch: float
    length: float
    screw_major_min: float
    screw_pitch_min: float
    nut_minor_max: float
    nut_pitch_max: float

    @property
    def nut_area(self) -> float:
        """Shear area of the nut's thread, mm² (formula 2a); 0 where nothing overlaps."""
        rise = self.pitch / 2 + (self.screw_major_min - self.nut_pitch_max) / _SQRT3
        return math.pi * self.length / self.pitch * self.screw_major_min * max(0.0, rise)

    @property
    def screw_area(self) -> float:
        """Shear area of the screw's thread, mm² (formula 4a); 0 where nothing overlaps."""
        rise = self.pitch / 2 + (self.screw_pitch_min - self.nut_minor_max) / _SQRT3
        return math.pi * self.length / self.pitch * self.nut_minor_max * max(0.0, rise)


@dataclass(frozen=True, slots=True, kw_only=True)
class StrengthCheck:
    """One place: what it must stand and what it can (``unit`` MPa, N or N·m), and the factor
    asked for. ``id`` is what may happen and where, such as ``bend.neck``; it is a field since
    records hold a hash of what their pages are made of."""

    id: str
    label: str
    demand: float
    capacity: float
    unit: str
    asked: float = 1.0

    @property
    def kind(self) -> str:
        """What may happen: ``bend``, ``strip``."""
        return self.id.partition(".")[0]

    @property
    def at(self) -> str:
        """Where; "" if there is only one such place."""
        return self.id.partition(".")[2]

    @property
    def factor(self) -> float:
        """Safety: capacity over demand; infinite without a demand."""
        return math.inf if self.demand <= 0 else self.capacity / self.demand

    @property
    def passes(self) -> bool:
        """True if the safety reaches what is asked."""
        return self.factor >= self.asked


def stress_area(major: float, pitch: float, bore: float = 0.0) -> float:
    """Tensile stress area of a screw, mm²: π/4·(d − 0.9382 P)² less a bore's area (ISO 898-1).

    ISO 898-1's table of stress areas (from memory): M6 20.1, M10 58.0, M16 157 mm².

    >>> f"{stress_area(6, 1):.1f} {stress_area(10, 1.5):.1f} {stress_area(16, 2):.0f}"
    '20.1 58.0 157'
    """
    return math.pi / 4 * ((major - 0.938194 * pitch) ** 2 - bore**2)


def stripping(
    pair: StripThread, force: float, screw_shear: float, nut_shear: float, asked: float = 1.0
) -> tuple[StrengthCheck, StrengthCheck]:
    """Stripping of the screw's and of the nut's thread under ``force``; shear strengths in MPa."""
    return (
        StrengthCheck(
            id="strip.screw",
            label="screw's thread strips",
            demand=force,
            capacity=pair.screw_area * screw_shear,
            unit="N",
            asked=asked,
        ),
        StrengthCheck(
            id="strip.nut",
            label="nut's thread strips",
            demand=force,
            capacity=pair.nut_area * nut_shear,
            unit="N",
            asked=asked,
        ),
    )


def seat_pressure(force: float, outer: float, inner: float) -> float:
    """Pressure on a flat ring, MPa. Raises ValueError if the ring has no width.

    By hand: 1000 N on a ring from 8 to 12 mm, π/4 × (144 − 64) = 62.83 mm².

    >>> f"{seat_pressure(1000, 12, 8):.2f}"
    '15.92'
    """
    if not 0 <= inner < outer:
        raise ValueError(f"a seat from {inner} to {outer} has no width")
    return force / (math.pi / 4 * (outer**2 - inner**2))


def flank_pressure(force: float, pitch_diameter: float, length: float) -> float:
    """Radial pressure by which 60° flanks under axial ``force`` spread the nut and squeeze the
    screw, MPa: F·tan 30° over π·d2·length (no friction: the upper bound)."""
    if min(pitch_diameter, length) <= 0:
        raise ValueError("pitch diameter and engagement must be above 0")
    return force * math.tan(math.radians(30)) / (math.pi * pitch_diameter * length)


def hoop_inside(pressure: float, outer: float, inner: float) -> float:
    """Hoop stress at the bore of a ring under inner pressure, MPa (Lamé): tension, the largest.

    By hand: 30 MPa in a tube of 40 over 20 mm, 30 × (1600 + 400) / (1600 − 400).

    >>> hoop_inside(30, 40, 20)
    50.0
    """
    _ring(outer, inner)
    return pressure * (outer**2 + inner**2) / (outer**2 - inner**2)


def hoop_outside(pressure: float, outer: float, inner: float) -> float:
    """Hoop stress at the bore of a ring under outer pressure, MPa (Lamé): compression, as a
    positive number; for a solid bar (inner 0) the uniform value p.

    By hand: 30 MPa on the same tube, 2 × 30 × 1600 / (1600 − 400).

    >>> hoop_outside(30, 40, 20)
    80.0
    """
    _ring(outer, inner)
    return pressure if inner == 0 else 2 * pressure * outer**2 / (outer**2 - inner**2)


def burst_check(
    force: float,
    pitch_diameter: float,
    length: float,
    outer_min: float,
    root_max: float,
    strength: float,
    asked: float = 1.0,
    id: str = "lip",
) -> StrengthCheck:
    """A nut's wall spread by the flanks under axial ``force``: the pen's lip over a plug, or the
    wall of a cup.

    ``outer_min``: least outside diameter over the engaged stretch, ``root_max``: greatest diameter
    of the thread's groove (both at worst limits and run-out), ``strength``: tensile, MPa. Raises
    ValueError if no wall is left.
    """
    hoop = hoop_inside(flank_pressure(force, pitch_diameter, length), outer_min, root_max)
    return StrengthCheck(
        id=id,
        label="wall over the thread bursts",
        demand=hoop,
        capacity=strength,
        unit="MPa",
        asked=asked,
    )


def collet_slip_torque(
    diameter: float,
    friction: float,
    nut_torque: float,
    nut_thread: float,
    nut_factor: float = 0.2,
    half_angle: float = 4.0,
) -> float:
    """Torque at which a round shank slips in its collet, N·m (estimate).

    Assumed: the nut draws F = T/(K·d) of its own torque T (N·m) and thread d (mm); the cone of
    ``half_angle`` degrees turns it into a radial grip F / tan(angle + atan µ), spread evenly; the
    same µ on cone and shank; the shank fills the collet.

    By hand: ⌀10, µ 0.15, 40 N·m on a nut of 32 mm: F = 40,000 / 6.4 = 6250 N; tan(4° + 8.531°) =
    0.2223; 0.15 × 28,120 × 10 / 2000.

    >>> f"{collet_slip_torque(10, 0.15, 40, 32):.1f}"
    '21.1'
    """
    if min(diameter, friction, nut_torque, nut_thread, nut_factor) <= 0:
        raise ValueError("diameter, friction, nut torque, thread and factor must be above 0")
    axial = nut_torque * 1000 / (nut_factor * nut_thread)
    grip = axial / math.tan(math.radians(half_angle) + math.atan(friction))
    return friction * grip * diameter / 2000


def weakest(checks: Iterable[StrengthCheck]) -> StrengthCheck:
    """The place that fails first: least safety over the safety asked. Raises ValueError if there
    is no check."""
    found = list(checks)
    if not found:
        raise ValueError("no place was checked")
    return min(found, key=lambda c: (c.factor / c.asked, c.id))


def _ring(outer: float, inner: float) -> None:
    if not 0 <= inner < outer:
        raise ValueError(f"no wall between {inner} and {outer}")
