"""How much thread a hole leaves: one reckoning for as given and for worst limits.

The overlap of a screw's crest and the hole that is there is (crest − hole)/2; of the basic profile
it is H1 = 5/8 H = 0.541266 P (ISO 68-1). The shops' "% thread" compares the same overlap with
3/4 H = 0.649519 P; since (5/8)/(3/4) = 5/6, it is always 0.8333 of the engagement. Lengths in mm,
shares of 1. Thresholds: ``data/judging.toml`` (estimates).
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import NamedTuple

from mandrelgen.core.errors import Level
from mandrelgen.mechanics.practice import judged
from mandrelgen.standards.threads import Band, ThreadLimits

# ISO 68-1: H1 = 5/8 H, H = √3/2 P.
H1_FACTOR = 5 / 8 * math.sqrt(3) / 2
# (5/8 H) / (3/4 H): of the basic profile's overlap to the "% thread" of drill charts.
PERCENT_THREAD_FACTOR = 5 / 6


class Engagement(NamedTuple):
    """Shares of H1 that crest and hole overlap: as given (class middles where nothing is given)
    and at worst limits. Below 0 there is a gap."""

    given: float
    worst: float

    @property
    def percent_given(self) -> float:
        """The "% thread" to print, as given (of 0.650 P)."""
        return percent_thread(self.given)

    @property
    def percent_worst(self) -> float:
        """The "% thread" to print, at worst limits (of 0.650 P)."""
        return percent_thread(self.worst)


class Hole(NamedTuple):
    """A stretch of the nut's hole between two depths from the mating face, mm."""

    start: float
    end: float
    diameter: float


def share(crest: float, hole: float, pitch: float) -> float:
    """Overlap of a screw's ``crest`` diameter and a hole over H1, a share of 1.

    Sizes in mm; below 0 where the hole is larger than the crest. Raises ValueError for a pitch not
    above 0. A tap maker's table gives M10 (P 1.5) in a hole of 8.5 as 92.4 %:

    >>> round(100 * share(10, 8.5, 1.5), 1)
    92.4
    """
    if pitch <= 0:
        raise ValueError("the pitch must be above 0")
    return (crest - hole) / 2 / (H1_FACTOR * pitch)


def percent_thread(engaged: float) -> float:
    """The one "% thread" that is printed: overlap over 0.649519 P, from a share of H1.

    A hole of D − P is the drill charts' 77 % (100/1.299):

    >>> round(percent_thread(share(10, 8.5, 1.5)), 1)
    77.0
    """
    return 100 * PERCENT_THREAD_FACTOR * engaged


def engagement(
    screw: ThreadLimits,
    nut: ThreadLimits,
    *,
    crest_given: float | None = None,
    crest_min: float | None = None,
    hole_given: float | None = None,
    hole_max: float | None = None,
) -> Engagement:
    """Engagement of ``screw`` in the hole of ``nut``, single pair, shares of 1.

    ``crest_given``: the screw's crest as given or measured, ``crest_min``: the least it may be;
    ``hole_given``: the hole as given, ``hole_max``: the largest it may be; mm. A size given without
    its limit is taken as it is; where nothing is given, the middle and the limit of the class
    (screw's major, nut's minor diameter) stand in. Raises ValueError if the class sets no limit.

    >>> from mandrelgen.standards.designation import parse
    >>> from mandrelgen.standards.threads import limits
    >>> both = [limits(parse("M10x0.75"), external) for external in (True, False)]
    >>> round(100 * engagement(*both).worst)  # 6H/6g
    57
    """
    pitch = float(screw.designation.pitch)
    crest = _middle(screw.major) if crest_given is None else crest_given
    hole = _middle(nut.minor) if hole_given is None else hole_given
    least = crest_min if crest_min is not None else crest_given
    widest = hole_max if hole_max is not None else hole_given
    crest_worst = min(crest, _limit(screw.major.min) if least is None else least)
    hole_worst = max(hole, _limit(nut.minor.max) if widest is None else widest)
    return Engagement(share(crest, hole, pitch), share(crest_worst, hole_worst, pitch))


def level(found: Engagement) -> Level | None:
    """Error below 30 % at worst or 45 % as given, warning below 60 % as given, else None; the
    worst limits alone never warn, since ordinary 6H/6g is 51 to 57 % there (estimates).

    >>> level(Engagement(0.59, 0.51)), level(Engagement(0.75, 0.51))
    (<Level.WARNING: 'warning'>, None)
    """
    under_worst = found.worst < judged("engagement", "error_worst") - _NOISE
    if under_worst or found.given < judged("engagement", "error_given") - _NOISE:
        return Level.ERROR
    if found.given < judged("engagement", "warning_given") - _NOISE:
        return Level.WARNING
    return None


def engaged_pitches(
    crest: float,
    holes: Sequence[Hole],
    start: float,
    end: float,
    pitch: float,
    least: float | None = None,
) -> float:
    """Pitches that carry between two depths from the mating face, counting the hole that is there.

    A stretch counts where crest and hole overlap by ``least`` of H1 or more (default: the share
    below which a thread is an error at worst limits); a depth no hole covers is solid under the
    tap and counts in full. Where holes cover one depth twice, the larger is there. Lengths in mm.

    >>> wide = Hole(0.0, 2.0, 9.9)  # a counterbore
    >>> engaged_pitches(10, [wide, Hole(0.0, 9.0, 8.5)], 0.0, 8.0, 1.5)
    4.0
    """
    if pitch <= 0:
        raise ValueError("the pitch must be above 0")
    if end <= start:
        return 0.0
    asked = judged("engagement", "error_worst") if least is None else least
    inside = {z for h in holes for z in (h.start, h.end) if start < z < end}
    places = sorted({start, end, *inside})
    engaged = 0.0
    for z0, z1 in itertools.pairwise(places):
        here = [h.diameter for h in holes if h.start <= (z0 + z1) / 2 < h.end]
        if not here or share(crest, max(here), pitch) >= asked - _NOISE:
            engaged += z1 - z0
    return engaged / pitch


def largest_hole(crest: float, pitch: float, least: float) -> float:
    """Largest hole that leaves ``least`` of H1, mm, not rounded: crest − 2·least·H1.

    >>> round(largest_hole(8.5, 0.75, 0.6), 3)
    8.013
    """
    return crest - 2 * least * H1_FACTOR * pitch


def smallest_crest(hole: float, pitch: float, least: float) -> float:
    """Smallest crest of the screw that leaves ``least`` of H1 over a hole, mm, not rounded.

    >>> round(smallest_crest(largest_hole(8.5, 0.75, 0.6), 0.75, 0.6), 6)
    8.5
    """
    return hole + 2 * least * H1_FACTOR * pitch


# Shares are compared with this much forgiven (binary noise only).
_NOISE = 1e-9


def _limit(value: float | None) -> float:
    if value is None:
        raise ValueError("this limit is not set by the standard")
    return value


def _middle(band: Band) -> float:
    return (_limit(band.min) + _limit(band.max)) / 2
