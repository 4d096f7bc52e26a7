"""One way to hold a size with its limits, and one way to print it."""

from __future__ import annotations

import math

from mandrelgen.core.frozen import dataclass

# Absorbs binary noise (1e-9 mm) so that a limit that is exactly on a step stays on it.
_NOISE = 1e-9


@dataclass(frozen=True, slots=True)
class Toleranced:
    """A size in mm: nominal, and the lower and upper limit of size (not deviations).

    ``note`` says how the tolerance is written on paper: ``h8``, ``6g``, ``±0.05``, ``measured``.
    """

    nominal: float
    lower: float
    upper: float
    note: str = ""

    def __post_init__(self) -> None:
        if not (math.isfinite(self.lower) and math.isfinite(self.upper)):
            raise ValueError("limits must be finite")
        if self.lower > self.upper + _NOISE:
            raise ValueError(f"lower limit {self.lower} above upper limit {self.upper}")

    @classmethod
    def symmetric(cls, nominal: float, half: float, note: str = "") -> Toleranced:
        """``nominal ± half``."""
        return cls(nominal, nominal - half, nominal + half, note or f"±{half:g}")

    @classmethod
    def deviations(cls, nominal: float, lower: float, upper: float, note: str = "") -> Toleranced:
        """From the lower and upper deviation (mm, signed)."""
        return cls(nominal, nominal + lower, nominal + upper, note)

    @property
    def lower_deviation(self) -> float:
        """Lower limit minus nominal, mm."""
        return self.lower - self.nominal

    @property
    def upper_deviation(self) -> float:
        """Upper limit minus nominal, mm."""
        return self.upper - self.nominal

    @property
    def mid(self) -> float:
        """Middle of the limits, mm."""
        return (self.lower + self.upper) / 2

    @property
    def width(self) -> float:
        """Size of the tolerance, mm."""
        return self.upper - self.lower


def floor_to(value: float, step: float) -> float:
    """Largest multiple of ``step`` not above ``value`` (noise of 1e-9 forgiven)."""
    return round(math.floor(value / step + _NOISE / step) * step, 9)


def ceil_to(value: float, step: float) -> float:
    """Smallest multiple of ``step`` not below ``value`` (noise of 1e-9 forgiven)."""
    return round(math.ceil(value / step - _NOISE / step) * step, 9)


def text_of(value: float, places: int = 3) -> str:
    """A size or deviation for paper: no trailing zeros, a real minus sign, ``0`` without sign."""
    rounded = round(value, places)
    if rounded == 0:
        return "0"
    text = f"{abs(rounded):.{places}f}"
    if places:
        text = text.rstrip("0").rstrip(".")
    return ("−" if rounded < 0 else "") + text


def signed_text(value: float, places: int = 3) -> str:
    """A deviation with its sign: ``+0.05``, ``−0.027``, ``0``."""
    text = text_of(value, places)
    return text if text == "0" or text.startswith("−") else "+" + text


def lower_limit_text(value: float, places: int = 3) -> str:
    """A lower limit, rounded up (inwards)."""
    return text_of(ceil_to(value, 10.0**-places), places)


def upper_limit_text(value: float, places: int = 3) -> str:
    """An upper limit, rounded down (inwards)."""
    return text_of(floor_to(value, 10.0**-places), places)
