"""Bending, torsion and axial pull at once, and the force a place bears.

A dig-in is one event: the tool's force bends, turns and (through the thread) pulls. Ductile metal
yields when the *nominal* outer-fibre stress, combined after von Mises, passes the yield strength;
brittle material breaks where the largest principal stress, times the notch factor, passes the
tensile strength (a notch factor belongs to fatigue and to brittle material). All of it is
proportional to the force, so the force borne is solved, not searched. mm, N, N·mm, MPa.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from enum import StrEnum
from typing import NamedTuple

from mandrelgen.core.errors import Level
from mandrelgen.core.frozen import dataclass
from mandrelgen.mechanics.beam import Load, Segment, bend
from mandrelgen.mechanics.play import root_max, root_min
from mandrelgen.mechanics.practice import judged
from mandrelgen.mechanics.screw import Screw, pull
from mandrelgen.standards.threads import ThreadLimits


@dataclass(frozen=True, slots=True)
class Section:
    """A round section, diameters in mm (a thread counts at its root: d3 min, or D max inside)."""

    outer: float
    inner: float = 0.0

    def __post_init__(self) -> None:
        if not 0 <= self.inner < self.outer:
            raise ValueError(f"no wall between {self.inner} and {self.outer}")

    @property
    def area(self) -> float:
        """Area, mm²."""
        return math.pi / 4 * (self.outer**2 - self.inner**2)

    @property
    def modulus(self) -> float:
        """Section modulus in bending, mm³; torsion has twice as much."""
        return math.pi / 32 * (self.outer**4 - self.inner**4) / self.outer


class Nominal(NamedTuple):
    """Nominal stresses at the outer fibre, MPa: bending, torsion, axial (tension)."""

    bending: float
    torsion: float
    axial: float

    @property
    def normal(self) -> float:
        """Bending and axial on the side where they add, MPa."""
        return abs(self.bending) + abs(self.axial)


class Failure(StrEnum):
    """How a material gives way."""

    YIELDS = "yields"
    FRACTURES = "fractures"


def nominal(section: Section, moment: float, torque: float, axial: float = 0.0) -> Nominal:
    """Nominal stresses of a round section, MPa, from N·mm, N·mm and N.

    >>> n = nominal(Section(25.4), 1000.0, 1000.0, 100.0)
    >>> round(n.bending, 4), round(n.torsion, 4), round(n.axial, 4)
    (0.6216, 0.3108, 0.1974)
    """
    return Nominal(moment / section.modulus, torque / (2 * section.modulus), axial / section.area)


def von_mises(normal: float, shear: float) -> float:
    """√(σ² + 3 τ²), MPa.

    Shigley's Mechanical Engineering Design, example 5-3 (from memory): 142.6 and 76.4 per lbf on
    1 in² give 194.5:

    >>> round(von_mises(142.6, 76.4), 1)
    194.5
    """
    return math.sqrt(normal**2 + 3 * shear**2)


def largest_principal(normal: float, shear: float) -> float:
    """σ/2 + √((σ/2)² + τ²), MPa.

    Shigley's, example 5-5 (from memory): 142.6 and 76.4 give 175.8:

    >>> round(largest_principal(142.6, 76.4), 1)
    175.8
    """
    return normal / 2 + math.hypot(normal / 2, shear)


def equivalent(n: Nominal, failure: Failure, notch: float = 1.0) -> float:
    """The stress to set against the strength, MPa: von Mises for what yields (``notch`` does not
    count), the largest principal stress times ``notch`` for what fractures."""
    if failure is Failure.YIELDS:
        return von_mises(n.normal, n.torsion)
    return notch * largest_principal(n.normal, n.torsion)


@dataclass(frozen=True, slots=True)
class Spot:
    """A place that can give way: ``z`` mm from the clamp, its section, its strength (yield, or
    tensile for what fractures) and notch factor; ``pull``: axial N that 1 N of the tool's force
    draws up here (0 behind the thread); ``of_mandrel``: it is the mandrel's, not the part's."""

    name: str
    z: float
    section: Section
    strength: float
    failure: Failure
    of_mandrel: bool
    notch: float = 1.0
    pull: float = 0.0


def failure_of(kind: str) -> Failure:
    """How a material of that ``kind`` (metal, plastic, printed, wood) is taken to give way: metal
    yields, everything else fractures (acetal, which does not, is judged on the safe side).

    >>> failure_of("metal").value, failure_of("plastic").value
    ('yields', 'fractures')
    """
    return Failure.YIELDS if kind == "metal" else Failure.FRACTURES


def critical_section(
    thread: ThreadLimits, outside_min: float, bore_max: float
) -> tuple[Section, float] | None:
    """The part's own critical section, just past the mandrel's last thread, with its notch factor.

    The part may still be threaded there: inside, the thread's root D max counts (not the drilled
    bore), outside, its root d3 min, and what fractures sees the thread's notch: factor 1.5, an
    estimate on the safe side. In a static break acrylic loses nothing to features below about
    0.5 mm, whatever their peak stress (Materials Science and Engineering A, doi
    10.1016/j.msea.2004.05.012, abstract); the elastic 2.5 of a thread's root belongs to fatigue.
    ``outside_min`` counts for an internal thread, ``bore_max`` for both, mm. None where no wall is
    left.

    >>> from mandrelgen.standards.designation import parse
    >>> from mandrelgen.standards.threads import limits
    >>> section, notch = critical_section(limits(parse("M12x1-6H"), False), 15.0, 11.1)
    >>> round(section.inner, 3), notch  # 11.510 + 0.794
    (12.304, 1.5)
    """
    if thread.external:
        outer, inner = root_min(thread), bore_max
    else:
        outer, inner = outside_min, max(bore_max, root_max(thread))
    if inner >= outer - 1e-6:
        return None
    return Section(outer, inner), judged("notch", "brittle_thread")


def pull_per_newton(screw: Screw, radius: float) -> float:
    """Axial N that the thread draws up for each N of the tool's force at ``radius`` mm.

    >>> fast = Screw(lead=2.4, pitch_diameter=12.0, seat_mean=12.0)
    >>> round(200 * pull_per_newton(fast, 10.0)) == round(pull(fast, 2.0))  # 200 N at 10 mm: 2 N·m
    True
    """
    return pull(screw, radius / 1000)


class Bears(NamedTuple):
    """Force across the axis, N, at which ``spot``, the weakest, gives way, acting at ``z`` mm from
    the clamp, the tailstock at ``prop`` (None: away)."""

    force: float
    spot: Spot
    z: float
    prop: float | None


def force_borne(spot: Spot, moment: float, torque: float) -> float:
    """Force that brings ``spot`` to its strength, N. ``moment``, ``torque``: N·mm there for 1 N.

    >>> inch, lbf = 25.4, 4.448222
    >>> steel = Spot("arm", 0.0, Section(inch), 81e3 * lbf / inch**2, Failure.YIELDS, True)
    >>> round(force_borne(steel, 14 * inch, 15 * inch) / lbf)  # Shigley's example 5-3: 416 lbf
    416
    """
    stress = equivalent(
        nominal(spot.section, abs(moment), abs(torque), spot.pull), spot.failure, spot.notch
    )
    return math.inf if stress == 0 else spot.strength / stress


def bears(
    segments: Sequence[Segment],
    spots: Iterable[Spot],
    at: float,
    radius: float,
    prop: float | None = None,
) -> Bears:
    """The force at ``at`` that the weakest of ``spots`` bears, N.

    ``segments``: the stepped beam from the clamp, for the moments (statically over-determined with
    a ``prop``); ``radius``: where the tool cuts, mm: 1 N of force turns with ``radius`` N·mm at
    every spot (the tailstock's centre turns with the part and takes no torque). Raises ValueError
    without a spot, or as :func:`~mandrelgen.mechanics.beam.bend` does.

    >>> bar = [Segment(100.0, 10.0)]
    >>> spot = Spot("clamp", 0.0, Section(10.0), 400.0, Failure.YIELDS, True)
    >>> round(bears(bar, [spot], 100.0, 0.0).force, 1)  # 400 · π/32 · 10³ / 100
    392.7
    >>> round(bears(bar, [spot], 50.0, 0.0, prop=100.0).force / 392.699, 3)  # M = 3/16 F L (Roark)
    5.333
    """
    found = each_bears(segments, spots, at, radius, prop)
    if not found:
        raise ValueError("no place was given")
    return min(found, key=lambda b: (b.force, b.spot.name))


def each_bears(
    segments: Sequence[Segment],
    spots: Iterable[Spot],
    at: float,
    radius: float,
    prop: float | None = None,
) -> tuple[Bears, ...]:
    """The force at ``at`` that each of ``spots`` bears, N; as :func:`bears`."""
    bent = bend(segments, [Load(at, 1.0)], prop)
    return tuple(
        Bears(force_borne(s, bent.at(s.z).moment, radius if s.z <= at + 1e-9 else 0.0), s, at, prop)
        for s in spots
    )


def stiffness(segments: Sequence[Segment], at: float, prop: float | None = None) -> float:
    """Deflection at ``at`` per newton across the axis there, mm/N.

    >>> round(1e5 * stiffness([Segment(100.0, 10.0)], 100.0), 3)  # L³/(3 E I)
    323.362
    """
    return abs(bend(segments, [Load(at, 1.0)], prop).at(at).deflection)


class Weak(StrEnum):
    """Why a mandrel in use gets a warning."""

    FINISHING = "below twice a finishing cut, unsupported"
    ROUGHING = "below a roughing cut, with no tailstock to take it"
    MANDREL = "the mandrel gives way before the part"


def asked_of_free_end(tailstock_for_roughing: bool) -> float:
    """Least force to bear unsupported, N: 30 where the tailstock is up for roughing, 90 where there
    is none or the far end takes no centre (estimates).

    >>> asked_of_free_end(True), asked_of_free_end(False)
    (30.0, 90.0)
    """
    name = "least_supported" if tailstock_for_roughing else "least_unsupported"
    return judged("force", name)


def weak(free: Bears, tailstock_for_roughing: bool) -> tuple[Level | None, tuple[Weak, ...]]:
    """A warning, and why, for what the free end bears. The mandrel as the weak place counts
    below a roughing cut (90 N) even where the tailstock is up; above, which of the two gives way
    first decides nothing (our reading of the rule, an estimate).

    >>> part = Spot("part", 0.0, Section(10.0), 60.0, Failure.FRACTURES, False)
    >>> weak(Bears(178.0, part, 60.0, None), True)
    (None, ())
    """
    found = []
    if free.force < asked_of_free_end(tailstock_for_roughing) - 1e-9:
        found.append(Weak.FINISHING if tailstock_for_roughing else Weak.ROUGHING)
    if free.spot.of_mandrel and free.force < asked_of_free_end(False) - 1e-9:
        found.append(Weak.MANDREL)
    return (Level.WARNING if found else None), tuple(found)
