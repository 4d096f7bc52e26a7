"""ASME B1.1: tolerances of unified inch threads by the standard's formulas. All sizes in inches.

Formulas and roundings as ASME B1.1-2003, sections 5 and 8.3; the worked examples of a machinist's
handbook follow the same chain. Earlier editions seem to have rounded tolerances to 0.0001 first:
their tables may differ by one in the last place.
"""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from typing import NamedTuple

CLASSES = ("2A", "3A", "2B", "3B")
SOURCE = "ASME B1.1-2003, section 5"


class InchLimits(NamedTuple):
    """Limits in inches; ``root`` is the minor diameter of an external thread (max: UN flat form,
    min: rounded root, reference) or the major diameter of an internal one (max: reference)."""

    crest: tuple[float, float]
    pitch: tuple[float, float]
    root: tuple[float, float]


def rounded(value: float, places: int) -> float:
    """Round half up in decimal."""
    step = Decimal(1).scaleb(-places)
    return float(Decimal(repr(round(value, 12))).quantize(step, ROUND_HALF_UP))


def engagement_length(diameter: float, tpi: float, series: str) -> float:
    """Length of engagement the tolerances are based on: D, or 9 P for UNEF, UN and UNS.

    4-UN, 6-UN and 8-UN go by D.
    """
    if series in ("UNC", "UNF") or (series == "UN" and tpi in (4, 6, 8)):
        return diameter
    return 9 / tpi


def pitch_tolerance_2a(diameter: float, tpi: float, length: float) -> float:
    """Td2 of class 2A, from which all others follow."""
    pitch = 1 / tpi
    value = 0.0015 * diameter ** (1 / 3) + 0.0015 * length**0.5 + 0.015 * pitch ** (2 / 3)
    return rounded(value, 6)


def allowance(diameter: float, tpi: float, length: float, klass: str) -> float:
    """Allowance of class 2A; class 3A has none."""
    if klass != "2A":
        return 0.0
    return rounded(0.3 * pitch_tolerance_2a(diameter, tpi, length), 4)


def pitch_tolerance(diameter: float, tpi: float, length: float, klass: str) -> float:
    """Td2 or TD2 of the class (2A, 3A, 2B, 3B). Raises KeyError for another class."""
    share = {"2A": 1.0, "3A": 0.75, "2B": 1.3, "3B": 0.975}[klass]
    return rounded(share * pitch_tolerance_2a(diameter, tpi, length), 6)


def minor_tolerance(diameter: float, tpi: float, klass: str) -> float:
    """TD1 of an internal thread of class 2B or 3B."""
    p = 1 / tpi
    general = 0.05 * p ** (2 / 3) + 0.03 * p / diameter - 0.002
    if klass == "2B":
        low = 0.25 * p - 0.4 * p * p if tpi >= 4 else 0.15 * p
        value = low if diameter >= 0.25 else max(min(general, 0.394 * p), low)
    else:
        low = 0.23 * p - 1.5 * p * p if tpi >= 13 else 0.12 * p
        value = max(min(general, 0.394 * p), low)
    return rounded(value, 4)


def external(
    diameter: float, tpi: float, length: float, klass: str, es: float | None = None,
    factor: float = 1.0,
) -> InchLimits:  # fmt: skip
    """Limits of class 2A or 3A. ``es`` replaces the allowance (given positive)."""
    pitch = 1 / tpi
    basic = rounded(diameter, 4)
    gap = allowance(basic, tpi, length, klass) if es is None else es
    major_max = rounded(basic - gap, 4) if es is None else basic - gap
    keep = 4 if es is None else 9
    major_min = rounded(major_max - rounded(0.06 * pitch ** (2 / 3), 6), keep)
    pitch_max = rounded(major_max - rounded(0.64951905 * pitch, 6), keep)
    tolerance = factor * pitch_tolerance(basic, tpi, length, klass)
    pitch_min = rounded(pitch_max - tolerance, keep)
    minor_max = rounded(major_max - rounded(1.08253175 * pitch, 6), keep)
    minor_min = rounded(pitch_min - 0.64951905 * pitch, keep)
    return InchLimits((major_min, major_max), (pitch_min, pitch_max), (minor_min, minor_max))


def internal(
    diameter: float, tpi: float, length: float, klass: str, ei: float = 0.0, factor: float = 1.0
) -> InchLimits:
    """Limits of class 2B or 3B, raised by ``ei``.

    From #6 up the least minor diameter has three places, and the largest too for class 2B; all
    others have four, as printed.
    """
    pitch = 1 / tpi
    basic = rounded(diameter, 4)
    exact_min = basic - rounded(1.08253175 * pitch, 6)
    least = 3 if basic >= 0.138 else 4
    places = least if klass == "2B" else 4
    minor_min = rounded(exact_min, least) + ei
    minor_max = rounded(exact_min + minor_tolerance(basic, tpi, klass), places) + ei
    pitch_min = rounded(basic - rounded(0.64951905 * pitch, 6), 4) + ei
    tolerance = factor * pitch_tolerance(basic, tpi, length, klass)
    pitch_max = rounded(pitch_min + tolerance, 4 if ei == 0 else 9)
    major_max = pitch_max + 0.79385662 * pitch
    return InchLimits((minor_min, minor_max), (pitch_min, pitch_max), (basic + ei, major_max))
