"""A stepped, hollow or solid mandrel as a beam: deflection, slope, moment and stress.

The beam is clamped at z = 0 (the collet's face, taken as rigid) and free at its end, or propped
at one place by the tailstock. EI is constant between steps, so every stretch is solved in closed
form (Euler-Bernoulli; shear deflection is left out: below 2 % where a stretch is longer than four
diameters). Units: mm, N, MPa (N/mm²), N·mm, rad.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from mandrelgen.core.frozen import dataclass

# Stations closer than this are one station (mm).
_TOUCH = 1e-9


@dataclass(frozen=True, slots=True)
class Segment:
    """A stretch of constant section, mm.

    ``modulus`` E in MPa, ``density`` in g/cm³, ``added`` mass carried per length in g/mm (the
    blank). ``notch`` multiplies the bending stress in the stretch (thread root, sharp shoulder).
    """

    length: float
    outer: float
    inner: float = 0.0
    modulus: float = 210_000.0
    density: float = 7.85
    added: float = 0.0
    notch: float = 1.0
    feature: str = ""

    def __post_init__(self) -> None:
        if not self.length > 0:
            raise ValueError(f"segment {self.feature or '?'}: length must be above 0")
        if not 0 <= self.inner < self.outer:
            raise ValueError(f"segment {self.feature or '?'}: needs 0 <= inner < outer diameter")
        if not (self.modulus > 0 and self.density >= 0 and self.added >= 0 and self.notch >= 1):
            raise ValueError(f"segment {self.feature or '?'}: modulus > 0, masses >= 0, notch >= 1")

    @property
    def inertia(self) -> float:
        """Second moment of area, mm⁴."""
        return math.pi / 64 * (self.outer**4 - self.inner**4)

    @property
    def stiffness(self) -> float:
        """E·I, N·mm²."""
        return self.modulus * self.inertia

    @property
    def modulus_of_section(self) -> float:
        """Z = 2 I / d, mm³."""
        return 2 * self.inertia / self.outer

    @property
    def mass(self) -> float:
        """Mass per length, own and carried, in tonnes per mm (goes with N and mm)."""
        area = math.pi / 4 * (self.outer**2 - self.inner**2)
        return (area * self.density * 1e-3 + self.added) * 1e-6


class Load(NamedTuple):
    """A force across the axis: ``force`` N at ``z`` mm from the clamp."""

    z: float
    force: float


class Station(NamedTuple):
    """What the beam does at ``z``: deflection mm, slope rad, moment N·mm (shear just after, N)."""

    z: float
    deflection: float
    slope: float
    moment: float
    shear: float


class Stress(NamedTuple):
    """Largest bending stress of a stretch, MPa, notch factor included, and where (mm)."""

    feature: str
    z: float
    stress: float
    notch: float


class Bent(NamedTuple):
    """The loaded beam. ``prop_force``: the tailstock's reaction, N (0 without one)."""

    segments: tuple[Segment, ...]
    stations: tuple[Station, ...]
    prop_force: float

    def at(self, z: float) -> Station:
        """State at ``z`` mm from the clamp. Raises ValueError outside the beam."""
        last = self.stations[-1]
        if not -_TOUCH <= z <= last.z + _TOUCH:
            raise ValueError(f"z = {z} is outside the beam (0 to {last.z})")
        before = [s for s in self.stations if s.z <= z + _TOUCH][-1]
        if z - before.z <= _TOUCH:
            return before
        return _step(before, z - before.z, _segment_at(self.segments, z).stiffness, 0.0)

    @property
    def end(self) -> Station:
        """State at the far end."""
        return self.stations[-1]

    def stresses(self) -> tuple[Stress, ...]:
        """The largest stress of each stretch, in order. The moment is linear between stations,
        so its peak stands at one of them."""
        found, z0 = [], 0.0
        for seg in self.segments:
            z1 = z0 + seg.length
            inside = [s for s in self.stations if z0 - _TOUCH <= s.z <= z1 + _TOUCH]
            worst = max(inside, key=lambda s: abs(s.moment))
            sigma = abs(worst.moment) / seg.modulus_of_section * seg.notch
            found.append(Stress(seg.feature, worst.z, sigma, seg.notch))
            z0 = z1
        return tuple(found)


def bend(segments: Sequence[Segment], loads: Sequence[Load], prop: float | None = None) -> Bent:
    """The beam under ``loads``; ``prop``: z of a tailstock that holds the axis there, mm.

    Raises ValueError if a load or the prop stands outside the beam, or if there is no segment.
    """
    segs = tuple(segments)
    if not segs:
        raise ValueError("a beam needs at least one segment")
    length = sum(s.length for s in segs)
    for what, z in [("load", p.z) for p in loads] + ([] if prop is None else [("prop", prop)]):
        if not -_TOUCH <= z <= length + _TOUCH:
            raise ValueError(f"{what} at {z} is outside the beam (0 to {length})")
    if prop is None:
        return Bent(segs, _march(segs, loads, ()), 0.0)
    if prop <= _TOUCH:
        raise ValueError("the prop must stand in front of the clamp")
    free = _find(_march(segs, loads, (prop,)), prop)
    unit = _find(_march(segs, [Load(prop, 1.0)], ()), prop)
    reaction = -free.deflection / unit.deflection
    held = [*loads, Load(prop, reaction)]
    return Bent(segs, _march(segs, held, ()), -reaction)


def shoulder_notch(large: float, small: float, radius: float) -> float:
    """Stress concentration of a filleted shoulder in a round bar under bending, K_t.

    Fit of Peterson's chart for a stepped round shaft in bending (Pilkey, Stress Concentration
    Factors; 0.1 <= h/r <= 20, clipped to that range). ``radius`` 0 is read as h/20. 1.0 when
    there is no step. Diameters and radius in mm; raises ValueError if one is not above 0.
    """
    if min(large, small) <= 0 or radius < 0:
        raise ValueError("diameters must be above 0 and the radius not negative")
    large, small = max(large, small), min(large, small)
    h = (large - small) / 2
    if h < _TOUCH:
        return 1.0
    q = min(max(h / radius if radius else 20.0, 0.1), 20.0)
    s, t = math.sqrt(q), 2 * h / large
    if q <= 2:
        c = (
            0.947 + 1.206 * s - 0.131 * q,
            0.022 - 3.405 * s + 0.915 * q,
            0.869 + 1.777 * s - 0.555 * q,
            -0.810 + 0.422 * s - 0.260 * q,
        )
    else:
        c = (
            1.232 + 0.832 * s - 0.008 * q,
            -3.813 + 0.968 * s - 0.260 * q,
            7.423 - 4.868 * s + 0.869 * q,
            -3.839 + 3.070 * s - 0.600 * q,
        )
    return max(1.0, c[0] + c[1] * t + c[2] * t**2 + c[3] * t**3)


def torsion_stress(torque: float, outer: float, inner: float = 0.0) -> float:
    """Shear stress at the surface of a round bar or tube, MPa; ``torque`` N·mm, diameters mm."""
    return 16 * torque * outer / (math.pi * (outer**4 - inner**4))


def twist(torque: float, segments: Sequence[Segment], shear_modulus: float) -> float:
    """Twist of the whole row, rad; ``torque`` N·mm, ``shear_modulus`` MPa."""
    return sum(torque * s.length / (shear_modulus * 2 * s.inertia) for s in segments)


def _march(
    segs: tuple[Segment, ...], loads: Sequence[Load], marks: tuple[float, ...]
) -> tuple[Station, ...]:
    """States at every step, load and mark, from the clamp outwards."""
    steps, z = [0.0], 0.0
    for seg in segs:
        z += seg.length
        steps.append(z)
    places = sorted({*steps, *(p.z for p in loads), *marks})
    # The clamp's moment and shear from equilibrium; M = EI w''.
    shear = sum(p.force for p in loads if p.z > _TOUCH)
    moment = sum(p.force * p.z for p in loads)
    stations = [Station(z=0.0, deflection=0.0, slope=0.0, moment=moment, shear=-shear)]
    for z in places:
        if z - stations[-1].z <= _TOUCH:
            continue
        here = stations[-1]
        jump = sum(p.force for p in loads if abs(p.z - z) <= _TOUCH)
        stiffness = _segment_at(segs, z).stiffness
        stations.append(_step(here, z - here.z, stiffness, jump))
    return tuple(stations)


def _step(s: Station, dz: float, stiffness: float, jump: float) -> Station:
    """March ``dz`` through constant EI: M(x) = M + V x, integrated twice exactly."""
    slope = s.slope + (s.moment * dz + s.shear * dz**2 / 2) / stiffness
    w = s.deflection + s.slope * dz + (s.moment * dz**2 / 2 + s.shear * dz**3 / 6) / stiffness
    return Station(
        z=s.z + dz, deflection=w, slope=slope, moment=s.moment + s.shear * dz, shear=s.shear + jump
    )


def _segment_at(segs: tuple[Segment, ...], z: float) -> Segment:
    """The segment that ends at or holds ``z``."""
    end = 0.0
    for seg in segs:
        end += seg.length
        if z <= end + _TOUCH:
            return seg
    return segs[-1]


def _find(stations: tuple[Station, ...], z: float) -> Station:
    return min(stations, key=lambda s: abs(s.z - z))
