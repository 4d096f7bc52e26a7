"""Torque and pull of the thread between part and mandrel; tightening, locking and freeing.

A 60° thread behaves like a square one whose friction angle is ρ' with tan ρ' = µ / cos α_n,
tan α_n = tan 30°·cos λ (λ the lead angle at the pitch diameter). Torques in N·m, forces in N,
lengths in mm.
"""

from __future__ import annotations

import math

from mandrelgen.core.frozen import dataclass

TAN_HALF = math.tan(math.radians(30.0))


@dataclass(frozen=True, slots=True)
class Screw:
    """A thread drawn against a seat: ``lead`` and pitch diameter; friction ``thread`` on the
    flanks and ``seat`` on a ring of mean diameter ``seat_mean`` (0: no seat)."""

    lead: float
    pitch_diameter: float
    seat_mean: float = 0.0
    thread: float = 0.15
    seat: float = 0.15

    def __post_init__(self) -> None:
        if min(self.lead, self.pitch_diameter) <= 0:
            raise ValueError("lead and pitch diameter must be above 0")
        if min(self.seat_mean, self.thread, self.seat) < 0:
            raise ValueError("seat diameter and friction cannot be negative")

    @property
    def lead_angle(self) -> float:
        """λ at the pitch diameter, rad."""
        return math.atan(self.lead / (math.pi * self.pitch_diameter))

    @property
    def friction_angle(self) -> float:
        """ρ', rad."""
        normal = math.atan(TAN_HALF * math.cos(self.lead_angle))
        return math.atan(self.thread / math.cos(normal))


def friction_needed(lead: float, pitch_diameter: float) -> float:
    """Least friction that keeps a 60° thread from running back by itself, face not counted:
    µ = cos 30°·Ph / (π d2).

    By hand for M10 (d2 9.026, P 1.5): 0.866 × 1.5 / 28.356 = 0.0458; triple start needs three times
    as much.

    >>> f"{friction_needed(1.5, 9.026):.4f} {friction_needed(4.5, 9.026):.4f}"
    '0.0458 0.1374'
    """
    return math.cos(math.radians(30)) * lead / (math.pi * pitch_diameter)


def locking_margin(screw: Screw) -> float:
    """Friction at hand over friction needed: above 1 the thread locks by itself."""
    return screw.thread / friction_needed(screw.lead, screw.pitch_diameter)


def pull(screw: Screw, torque: float) -> float:
    """Axial pull that ``torque`` N·m draws up, N (a catch, or a hand tightening the part).

    M10 with µ 0.15 and no face: VDI 2230-1's short form M = F·(0.16 P + 0.58 d2 µ) (from memory)
    gives 10,000 / (0.24 + 0.7853) = 9754 N; by the angles it is 10,000 / (4.513 × tan 12.851°).

    >>> round(pull(Screw(lead=1.5, pitch_diameter=9.026), 10.0))
    9713
    """
    return abs(torque) * 1000 / _arm(screw, 1)


def pull_without_friction(lead: float, torque: float) -> float:
    """Upper bound of the pull, N: 2πT / Ph.

    By hand, 1 N·m on a lead of 1 mm: the work 2π J over 1 mm.

    >>> round(pull_without_friction(1.0, 1.0))
    6283
    """
    return 2 * math.pi * abs(torque) * 1000 / lead


def freeing_torque(screw: Screw, tightened: float) -> float:
    """Torque to free a thread that ``tightened`` N·m drew up, N·m.

    Less than it took to tighten, since the lead now helps; below 0 it runs back by itself. A part
    tightened by a catch is as tight as the catch, not as the hand.

    By hand for M10, µ 0.15: λ 3.03°, ρ' 9.83°; tan 6.80° / tan 12.86° of the torque is left.

    >>> f"{freeing_torque(Screw(lead=1.5, pitch_diameter=9.026), 1.0):.3f}"
    '0.522'
    """
    return pull(screw, tightened) * _arm(screw, -1) / 1000


def needs_flats(freeing: float, strap: float) -> bool:
    """True if freeing takes more than a strap gives (both N·m): spanner flats are needed."""
    return freeing > strap


def tightens(right_hand_thread: bool, forward: bool) -> bool:
    """Whether cutting tightens the part on its mandrel, in front of the headstock.

    The tool holds the part back. Seen from the tailstock, forward running turns anticlockwise, so
    the part is turned clockwise against the mandrel: that tightens a right-hand thread, plug or
    cup, either end of the pen. Braking the spindle and reverse sanding do the opposite.
    """
    return right_hand_thread is forward


def _arm(screw: Screw, sense: int) -> float:
    """Torque per newton of pull, mm: tightening (+1) or freeing (−1)."""
    flank = screw.pitch_diameter / 2 * math.tan(screw.friction_angle + sense * screw.lead_angle)
    return flank + screw.seat * screw.seat_mean / 2
