"""What errors of lead and of the spacing of starts do to the fit of a thread.

An axial error δ between two flanks in engagement acts like a change of the pitch diameter of
δ·cot 30° = 1.732 δ (60° thread; the "virtual pitch diameter" of thread gauging). It makes a screw
larger and a nut smaller, so it always eats play. Units: mm, degrees.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from mandrelgen.core.tolerance import floor_to

# A closer spacing of starts than this, mm, can neither be cut nor measured at a lathe (estimate).
LEAST_SPACING = 0.003
FLANK = math.radians(30.0)
COT_FLANK = 1 / math.tan(FLANK)


class EffectiveFit(NamedTuple):
    """Play on the pitch diameter left after axial errors, mm; negative is interference.

    ``eaten``: what the errors took. ``binds`` is ``never``, ``sometimes`` or ``always`` within
    the limits.
    """

    play_min: float
    play_max: float
    eaten: float

    @property
    def binds(self) -> str:
        """Whether the pair can bind at the limits given."""
        if self.play_min >= 0:
            return "never"
        return "always" if self.play_max < 0 else "sometimes"


def lead_difference(lead_a: float, lead_b: float, engagement: float) -> float:
    """Axial mismatch of two threads of leads ``lead_a`` and ``lead_b`` over ``engagement``, mm.

    By hand: 32 threads to the inch (0.79375 mm) beside 0.8 mm over 8 mm.

    >>> f"{lead_difference(0.8, 25.4 / 32, 8):.4f}"
    '0.0625'
    """
    if min(lead_a, lead_b) <= 0 or engagement < 0:
        raise ValueError("leads must be above 0 and the engagement not negative")
    return engagement * abs(lead_a - lead_b) / max(lead_a, lead_b)


def spacing_error(index_error: float, lead: float) -> float:
    """Axial error of a start that was indexed ``index_error`` degrees off, mm: Ph·δ/360."""
    return lead * abs(index_error) / 360


def virtual_change(axial_error: float) -> float:
    """Change of the virtual pitch diameter by an axial error, mm on diameter: δ·cot 30°.

    FED-STD-H28: 1.732 times the error of the lead, for 60° threads (from memory).

    >>> f"{virtual_change(0.01):.5f}"
    '0.01732'
    """
    return COT_FLANK * abs(axial_error)


def spacing_for(room: float) -> float:
    """Axial error of the spacing of starts that uses up ``room`` of play on the pitch diameter, mm:
    the other way round of :func:`virtual_change`; 0 without play.

    >>> f"{spacing_for(0.038):.4f}"
    '0.0219'
    """
    return max(room, 0.0) / COT_FLANK


def spacing_limit(room: float) -> float:
    """How far any start may stand from its place beside another, mm, rounded down to 0.001: half of
    what uses up ``room``, the least play on the pitch diameter. The other half is the partner's,
    whose starts nobody measured.

    >>> spacing_limit(0.038)
    0.01
    """
    return floor_to(spacing_for(room) / 2, 0.001)


def virtual_pitch_diameter(simple: float, axial_error: float, external: bool) -> float:
    """Pitch diameter the partner feels, mm: larger for a screw, smaller for a nut."""
    change = virtual_change(axial_error)
    return simple + change if external else simple - change


def effective_fit(play_min: float, play_max: float, *axial_errors: float) -> EffectiveFit:
    """Play of a pair whose axial errors (lead, spacing of starts, of either part) add up, mm."""
    eaten = sum(virtual_change(e) for e in axial_errors)
    return EffectiveFit(play_min - eaten, play_max - eaten, eaten)


def longest_engagement(play: float, lead_a: float, lead_b: float) -> float:
    """How long two threads of different lead can be in engagement before they bind, mm.

    ``play`` on the pitch diameter, mm; infinite for equal leads, 0 without play.
    """
    per_mm = virtual_change(lead_difference(lead_a, lead_b, 1.0))
    if per_mm == 0:
        return math.inf
    return max(0.0, play) / per_mm
