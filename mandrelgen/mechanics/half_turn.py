"""A mandrel's own run-out from two readings, the mandrel turned half round in the collet between.

Each reading is a vector: how much, and towards where on the *collet* (total readings, mm, and
degrees from a mark on its nut). Turning the mandrel half round turns its share over and leaves the
collet's: v1 = c + m, v2 = c − m. So half the difference is the mandrel's, half the sum the
collet's. Vector arithmetic; the manner is common practice, no source.

Two amounts without their directions tell only bounds: |v1 − v2| lies between the difference and the
sum of the two. |v1|² + |v2|² = 2 (|c|² + |m|²), whatever the directions: so a collet that was read
by itself, on a ground pin, bounds the mandrel far better.
"""

from __future__ import annotations

import cmath
import math

from mandrelgen.core.frozen import dataclass


@dataclass(frozen=True, slots=True)
class Reading:
    """A run-out as read: total reading in mm; ``angle`` of the high spot in degrees from a mark on
    the collet's nut, None where only the amount was read. ``oval``: what four dial readings show
    that no shift of the axis explains, mm."""

    amount: float
    angle: float | None = None
    oval: float = 0.0

    @property
    def vector(self) -> complex | None:
        """Amount and direction; None where no direction was read."""
        if self.angle is None:
            return 0j if self.amount == 0 else None
        return cmath.rect(self.amount, math.radians(self.angle))


@dataclass(frozen=True, slots=True)
class HalfTurn:
    """The mandrel's and the collet's own run-out (total reading, mm), each between two bounds that
    meet where both directions were read."""

    mandrel_low: float
    mandrel_high: float
    collet_low: float
    collet_high: float

    @property
    def mandrel(self) -> float:
        """The middle of the mandrel's bounds, mm."""
        return (self.mandrel_low + self.mandrel_high) / 2

    @property
    def spread(self) -> float:
        """Half the distance of the mandrel's bounds, mm: what the missing directions leave open."""
        return (self.mandrel_high - self.mandrel_low) / 2


def of_quarters(d0: float, d90: float, d180: float, d270: float) -> Reading:
    """A run-out from four dial readings a quarter turn apart, mm.

    >>> r = of_quarters(0.02, 0.01, 0.0, 0.01)
    >>> round(r.amount, 6), r.angle, r.oval
    (0.02, 0.0, 0.0)
    """
    across, along = d0 - d180, d90 - d270
    angle = math.degrees(math.atan2(along, across)) % 360
    return Reading(math.hypot(across, along), angle, abs(d0 + d180 - d90 - d270) / 2)


def half_turn(
    first: Reading, second: Reading, collet: tuple[float, float] | None = None
) -> HalfTurn:
    """The mandrel's share of two readings, mm; ``collet``: between what its own run-out lies, where
    that is known.

    A collet of 0.03 towards 0° and a mandrel of 0.01 towards 90° read 0.0316 towards 18.4° and,
    turned half round, as much towards 341.6°:

    >>> h = half_turn(Reading(math.sqrt(0.001), 18.435), Reading(math.sqrt(0.001), 341.565))
    >>> round(h.mandrel_low, 4), round(h.mandrel_high, 4), round(h.collet_low, 4)
    (0.01, 0.01, 0.03)

    Without the directions the same amounts leave anything from 0 to 0.0316; with a collet known to
    lie between 0.028 and 0.031, 0.0062 to 0.0147 (√(0.001 − 0.031²), √(0.001 − 0.028²)):

    >>> h = half_turn(Reading(0.0316), Reading(0.0316))
    >>> h.mandrel_low, h.mandrel_high
    (0.0, 0.0316)
    >>> h = half_turn(Reading(math.sqrt(0.001)), Reading(math.sqrt(0.001)), (0.028, 0.031))
    >>> round(h.mandrel_low, 4), round(h.mandrel_high, 4)
    (0.0062, 0.0147)

    Raises ValueError for a negative amount.
    """
    if min(first.amount, second.amount) < 0:
        raise ValueError("a run-out is 0 or more")
    a, b = first.vector, second.vector
    if a is not None and b is not None:
        mine, theirs = abs(a - b) / 2, abs(a + b) / 2
        return HalfTurn(mine, mine, theirs, theirs)
    least, most = abs(first.amount - second.amount) / 2, (first.amount + second.amount) / 2
    if collet is None:
        return HalfTurn(least, most, least, most)
    both = (first.amount**2 + second.amount**2) / 2
    low, high = (math.sqrt(max(0.0, both - c * c)) for c in reversed(collet))
    low, high = max(least, low), min(most, high)
    # Else the collet did not repeat, and what it was read before bounds nothing.
    if collet[0] ** 2 > both or low > high:
        return HalfTurn(least, most, least, most)
    return HalfTurn(low, high, max(least, collet[0]), min(most, collet[1]))


def uncertainty(first: Reading, second: Reading, reading: float, angle: float) -> float:
    """Expanded uncertainty of half the vector difference, mm: each reading is off by ``reading`` mm
    (indicator and collet together) and its direction by ``angle`` degrees, independently.

    Half of √(a² + b² − 2ab cos θ), to second order in θ, and never more than each vector's own
    error across would give. Opposite directions hardly matter, like ones do:

    >>> round(uncertainty(Reading(0.3, 0.0), Reading(0.28, 180.0), 0.014, 15.0), 4)
    0.0111
    >>> round(uncertainty(Reading(0.04, 0.0), Reading(0.04, 0.0), 0.014, 15.0), 4)
    0.0124

    Amounts alone: the readings' alone.

    >>> round(uncertainty(Reading(0.04), Reading(0.04), 0.014, 15.0), 4)
    0.0099
    """
    own = reading / math.sqrt(2)
    a, b = first.vector, second.vector
    if a is None or b is None:
        return own
    r1, r2, turn = abs(a), abs(b), math.radians(angle)
    across = math.hypot(own, r1 * turn / 2, r2 * turn / 2)
    half = abs(a - b) / 2
    if half == 0:
        return across
    apart, both = cmath.phase(a) - cmath.phase(b), math.sqrt(2) * turn
    tilt = r1 * r2 * abs(math.sin(apart)) / (4 * half) * both
    bow = r1 * r2 * abs(math.cos(apart)) / (8 * half) * both**2
    return min(across, math.hypot(own, tilt, bow))
