"""Limits of speed, as values; surface speed. Revolutions per minute, mm, m/min."""

from __future__ import annotations

import math
from enum import StrEnum
from typing import NamedTuple


class Stuff(StrEnum):
    """What a mandrel is made of, as far as its speed is concerned."""

    METAL = "metal"
    PLASTIC = "plastic"
    PRINTED = "printed"


class Cap(NamedTuple):
    """One limit of speed: why, and on what it stands."""

    id: str
    speed: float
    why: str
    basis: str


class Speed(NamedTuple):
    """The verdict. ``allowed`` (rev/min, rounded down to 10; 0 when refused), ``start``, all caps
    from the lowest, and the reasons for refusing."""

    allowed: int
    start: int
    caps: tuple[Cap, ...]
    refused: tuple[str, ...]

    @property
    def governing(self) -> Cap:
        """The cap that decides."""
        return self.caps[0]


def cutting_speed(diameter: float, speed: float) -> float:
    """Surface speed, m/min, of ``diameter`` mm at ``speed`` rev/min."""
    return math.pi * diameter * speed / 1000


def spindle_speed(diameter: float, surface: float) -> float:
    """Rev/min for a surface speed in m/min at ``diameter`` mm: n = 1000 v / (π d).

    By hand: 100 m/min at ⌀12.

    >>> round(spindle_speed(12, 100))
    2653
    """
    if diameter <= 0:
        raise ValueError("the diameter must be above 0")
    return 1000 * surface / (math.pi * diameter)
