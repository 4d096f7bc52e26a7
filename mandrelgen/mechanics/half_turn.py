"""A mandrel's own run-out from two readings, the mandrel turned half round in the collet between.

Each reading is a vector: how much, and towards where on the *collet* (total readings, mm, and
degrees from a mark on its nut). Turning the mandrel half round turns its share over and leaves the
collet's: v1 = c + m, v2 = c − m. So half the difference is the mandrel's, half the sum the
collet's. Vector arithmetic; the manner is common practice, no source.

Two amounts without their directions tell only bounds: |v1 − v2| lies between the difference and the
sum of the two.
"""

from __future__ import annotations

import cmath
import math
from dataclasses import dataclass


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


def half_turn(first: Reading, second: Reading) -> HalfTurn:
    """The mandrel's share of two readings, mm.

    A collet of 0.03 towards 0° and a mandrel of 0.01 towards 90° read 0.0316 towards 18.4° and,
    turned half round, as much towards 341.6°:

    >>> h = half_turn(Reading(math.sqrt(0.001), 18.435), Reading(math.sqrt(0.001), 341.565))
    >>> round(h.mandrel_low, 4), round(h.mandrel_high, 4), round(h.collet_low, 4)
    (0.01, 0.01, 0.03)

    Without the directions the same amounts leave anything from 0 to 0.0316:

    >>> h = half_turn(Reading(0.0316), Reading(0.0316))
    >>> h.mandrel_low, h.mandrel_high
    (0.0, 0.0316)

    Raises ValueError for a negative amount.
    """
    if min(first.amount, second.amount) < 0:
        raise ValueError("a run-out is 0 or more")
    a, b = first.vector, second.vector
    if a is not None and b is not None:
        mine, collet = abs(a - b) / 2, abs(a + b) / 2
        return HalfTurn(mine, mine, collet, collet)
    least, most = abs(first.amount - second.amount) / 2, (first.amount + second.amount) / 2
    return HalfTurn(least, most, least, most)


def uncertainty(first: float, second: float) -> float:
    """Expanded uncertainty of half the difference of two readings that are off by ``first`` and
    ``second`` mm, independently.

    >>> round(uncertainty(0.014, 0.014), 4)  # the root of 2, halved
    0.0099
    """
    return math.hypot(first, second) / 2


def uncertainty_of(reading: Reading, indicator: float, clamping: float, angle: float) -> float:
    """Expanded uncertainty of one reading, mm: the indicator's, the collet's when it is opened and
    closed, and of the direction, which may be mistaken by ``angle`` degrees.

    >>> round(uncertainty_of(Reading(0.04, 90.0), 0.006, 0.008, 15.0), 5)  # 0.04 × 0.2618 beside
    0.01448
    """
    aside = reading.amount * math.radians(angle) if reading.angle is not None else 0.0
    return math.hypot(indicator, clamping, aside)
