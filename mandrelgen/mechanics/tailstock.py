"""The tailstock as a load: what its thrust does to the far end it stands in.

A 60° centre is a wedge: an axial thrust F spreads an open bore by F·cot 30° round a narrow band.
Friction, which would take some of it, is left out (upper bound). mm, N, MPa. Thrusts and the band:
``data/judging.toml`` (estimates).
"""

from __future__ import annotations

import math
from enum import StrEnum
from typing import NamedTuple

from mandrelgen.mechanics.practice import judged
from mandrelgen.mechanics.strength import hoop_inside
from mandrelgen.spec.pen import FarEnd

_COT_HALF = 1 / math.tan(math.radians(30))


class Allowed(StrEnum):
    """Whether the tailstock can be up; ASK: the far end is not said."""

    YES = "yes"
    NO = "no"
    ASK = "ask"


class Propped(NamedTuple):
    """Whether and why the tailstock can be up. ``hoop``: stress in the mouth at a light hand's
    ``thrust``, MPa (0 where nothing is spread); ``bears``: thrust at which the mouth fails, N
    (infinite where none is spread)."""

    allowed: Allowed
    why: str
    thrust: float
    hoop: float
    bears: float


def centre_hoop(thrust: float, bore: float, outer: float, band: float | None = None) -> float:
    """Hoop stress at the mouth of an open bore by a 60° centre, MPa, without friction.

    ``thrust`` N; ``bore``, ``outer`` diameters, ``band`` the width touched (default 1), mm. Lamé on
    a ring of that width. Raises ValueError if there is no wall, band or bore. A ⌀7 bore in a ⌀11
    crown at 50, 150 and 500 N:

    >>> [round(centre_hoop(f, 7, 11)) for f in (50, 150, 500)]
    [9, 28, 93]
    """
    width = judged("thrust", "band") if band is None else band
    if min(width, bore) <= 0 or thrust < 0:
        raise ValueError("bore and band must be above 0 and the thrust not negative")
    pressure = thrust * _COT_HALF / (math.pi * bore * width)
    return hoop_inside(pressure, outer, bore)


def bears_centre(strength: float, bore: float, outer: float, band: float | None = None) -> float:
    """Thrust at which a bare centre brings the mouth to ``strength`` MPa, N.

    >>> round(centre_hoop(bears_centre(62, 7, 11), 7, 11), 6)
    62.0
    """
    return strength / centre_hoop(1.0, bore, outer, band)


def propped(
    far_end: FarEnd | None,
    *,
    strength: float,
    asked: float,
    bore: float = 0.0,
    outer: float = 0.0,
    tapped: bool = False,
) -> Propped:
    """Whether the far end takes a tailstock: a pip and a button do; a bare bore only where it is
    not tapped and bears a light hand's greatest thrust (150 N, estimate) with safety ``asked``.

    ``strength``: yield (brittle: tensile), MPa; ``bore``, ``outer``: the mouth at worst limits, mm.

    >>> propped(FarEnd.BORE, strength=62, asked=2.0, bore=7, outer=11).allowed.value
    'yes'
    >>> propped(FarEnd.BORE, strength=62, asked=2.0, bore=8.5, outer=11).allowed.value
    'no'
    """
    light = judged("thrust", "light_high")

    def found(allowed: Allowed, why: str, hoop: float = 0.0, bears: float = math.inf) -> Propped:
        return Propped(allowed=allowed, why=why, thrust=light, hoop=hoop, bears=bears)

    if far_end is None:
        return found(Allowed.ASK, "the far end is not said: a pip, a button or a bore")
    if far_end == FarEnd.NOTHING:
        return found(Allowed.NO, "the far end offers a centre nothing: leave a pip or fit a button")
    if far_end != FarEnd.BORE:
        return found(Allowed.YES, f"the centre stands in a {far_end}")
    if not 0 < bore < outer:
        return found(Allowed.NO, "no wall is left at the mouth: fit a button", bears=0.0)
    hoop, bears = centre_hoop(light, bore, outer), bears_centre(strength, bore, outer)
    if tapped:
        why = "never a bare centre in a tapped mouth: fit a button"
        return found(Allowed.NO, why, hoop, bears)
    if hoop * asked > strength * (1 + 1e-9):
        why = "the mouth is too thin for a bare centre: fit a button or leave a pip"
        return found(Allowed.NO, why, hoop, bears)
    return found(Allowed.YES, "a light hand on the tailstock", hoop, bears)


def smallest_mouth(strength: float, asked: float, bore: float) -> float | None:
    """Smallest outside over a bore in which a bare centre may stand at a light hand's thrust, mm,
    not rounded; None if no outside is enough. Lamé solved: (O² + B²)/(O² − B²) = k.

    >>> o = smallest_mouth(62, 2.0, 7)
    >>> round(o, 2), round(2 * centre_hoop(150, 7, o), 6)
    (10.46, 62.0)
    """
    pressure = judged("thrust", "light_high") * _COT_HALF
    pressure /= math.pi * bore * judged("thrust", "band")
    k = strength / asked / pressure
    return None if k <= 1 else bore * math.sqrt((k + 1) / (k - 1))
