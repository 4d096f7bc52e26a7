"""How fast a mandrel may run, and when it may not run at all. Revolutions per minute, mm."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from mandrelgen.mechanics.practice import assumed


class Stuff(StrEnum):
    """What a mandrel is made of, as far as its speed is concerned."""

    METAL = "metal"
    PLASTIC = "plastic"
    PRINTED = "printed"


@dataclass(frozen=True, slots=True)
class Cap:
    """One limit of speed: why, and on what it stands."""

    id: str
    speed: float
    why: str
    basis: str


@dataclass(frozen=True, slots=True)
class Speed:
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


def speed(
    lathe_max: float,
    critical: float,
    projection: float,
    diameter: float,
    stuff: Stuff = Stuff.METAL,
    tailstock: bool = False,
    wanted: float | None = None,
) -> Speed:
    """Speed for turning. ``critical``: first whirling speed, rev/min; ``projection``: free length
    in front of the collet, ``diameter``: the slimmest loaded one, mm; ``tailstock``: it is up;
    ``wanted``: the speed the maker means to run. A plastic or printed mandrel is refused unless
    the tailstock is up and the wanted speed is stated and within the caps.

    Raises ValueError for sizes or speeds not above 0.
    """
    if min(lathe_max, critical, projection, diameter) <= 0:
        raise ValueError("speeds, projection and diameter must be above 0")
    caps = [Cap("lathe", lathe_max, "the lathe's highest speed", "shop file")]
    share = assumed("speed", "whirl_fraction")
    caps.append(
        Cap("whirl", critical * share.value, f"{share.value:g} of the whirling speed", share.basis)
    )
    ratio, slow = assumed("speed", "projection_ratio"), assumed("speed", "projection_cap")
    if projection > ratio.value * diameter and not tailstock:
        why = f"{projection / diameter:.1f} diameters stand free without the tailstock"
        caps.append(Cap("projection", slow.value, why, ratio.basis))
    refused = []
    if stuff is not Stuff.METAL:
        cap = assumed("speed", f"{stuff.value}_cap")
        caps.append(Cap(stuff.value, cap.value, f"a {stuff.value} mandrel", cap.basis))
        if not tailstock:
            refused.append(f"a {stuff.value} mandrel turns only with the tailstock up")
        if wanted is None:
            refused.append(f"state the speed you mean to run a {stuff.value} mandrel at")
    caps.sort(key=lambda c: (c.speed, c.id))
    if wanted is not None and wanted > caps[0].speed:
        refused.append(f"{wanted:g} rev/min is above {caps[0].speed:.0f}: {caps[0].why}")
    allowed = 0 if refused else math.floor(caps[0].speed / 10) * 10
    start = allowed if stuff is Stuff.METAL else int(assumed("speed", "plastic_start").value)
    return Speed(allowed, min(allowed, start), tuple(caps), tuple(refused))


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
