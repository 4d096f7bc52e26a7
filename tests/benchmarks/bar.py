"""A figure and the bar it has to keep, as one line of a table."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Bar:
    """``value`` at most ``bar``; ``at_most`` False: at least."""

    name: str
    value: float
    bar: float
    unit: str = ""
    at_most: bool = True

    @property
    def met(self) -> bool:
        """True if the bar is kept."""
        return self.value <= self.bar if self.at_most else self.value >= self.bar

    def line(self) -> str:
        """One line of the table."""
        sign = "≤" if self.at_most else "≥"
        word = "met" if self.met else "MISSED"
        return f"{self.name:74} {self.value:9.2f} {self.unit:3} {sign} {self.bar:<5g} {word}"
