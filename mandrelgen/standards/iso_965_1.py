"""ISO 965-1: tolerances of metric threads, from the tables, off the tables by the rule behind them.

The rule: take grade 6 of the external thread from the table, or from the formula rounded to the
nearest number of the R40 series (ISO 3), and move by whole R40 steps to any other grade.
Multiplying by the grade factors instead does not reproduce the tables.
"""

from __future__ import annotations

import math
from functools import cache
from typing import NamedTuple

from mandrelgen.standards.tables import load

R40 = (
    1.0, 1.06, 1.12, 1.18, 1.25, 1.32, 1.4, 1.5, 1.6, 1.7, 1.8, 1.9, 2.0, 2.12, 2.24, 2.36, 2.5,
    2.65, 2.8, 3.0, 3.15, 3.35, 3.55, 3.75, 4.0, 4.25, 4.5, 4.75, 5.0, 5.3, 5.6, 6.0, 6.3, 6.7,
    7.1, 7.5, 8.0, 8.5, 9.0, 9.5,
)  # fmt: skip
STEPS_PITCH_EXTERNAL = {3: -12, 4: -8, 5: -4, 6: 0, 7: 4, 8: 8, 9: 12}
STEPS_PITCH_INTERNAL = {4: -3, 5: 1, 6: 5, 7: 9, 8: 13}
STEPS_CREST_EXTERNAL = {4: -8, 6: 0, 8: 8}
STEPS_CREST_INTERNAL = {4: -8, 5: -4, 6: 0, 7: 4, 8: 8}
POSITIONS_EXTERNAL = "efgh"
POSITIONS_INTERNAL = "GH"
RULE_EXTENDED = "ISO 965-1 rule extended, no published row"
SMALLEST, LARGEST = 0.99, 45.0
_FORMULA_DEVIATION = {"G": 15.0, "g": 15.0, "f": 30.0, "e": 50.0}


class PrintedCell(NamedTuple):
    """One tolerance in µm, and whether the standard prints it (else the rule was extended)."""

    value: int
    published: bool


def r40_index(value: float) -> int:
    """Index of the R40 number nearest to ``value`` (1 has index 0, 10 has 40)."""
    guess = round(40 * math.log10(value))
    return min(range(guess - 1, guess + 2), key=lambda k: abs(r40_value(k) - value))


def r40_value(index: int) -> float:
    """The R40 number with that index."""
    decade: float = 10.0 ** (index // 40)
    return round(R40[index % 40] * decade, 6)


def deviation(position: str, pitch: float) -> PrintedCell:
    """EI of G, H or es of e, f, g, h in µm, signed. Raises KeyError for another position."""
    if position in "hH":
        return PrintedCell(0, published=True)
    sign = 1 if position == "G" else -1
    printed = _rows("iso_965_1_deviations", 1).get((_key(pitch),), {}).get(position)
    if printed is not None:
        return PrintedCell(round(sign * printed), published=True)
    formula = _FORMULA_DEVIATION[position] + 11 * pitch
    return PrintedCell(sign * round(r40_value(r40_index(formula))), published=False)


def pitch_tolerance(external: bool, diameter: float, pitch: float, grade: int) -> PrintedCell:
    """Td2 or TD2 in µm. Raises KeyError for a grade the standard does not have."""
    steps = (STEPS_PITCH_EXTERNAL if external else STEPS_PITCH_INTERNAL)[grade]
    table = "iso_965_1_pitch_external" if external else "iso_965_1_pitch_internal"
    over, to = diameter_range(diameter)
    key = (_key(over), _key(to), _key(pitch))
    printed = _rows(table, 3).get(key, {}).get(str(grade))
    if printed is not None:
        return PrintedCell(round(printed), published=True)
    base = _rows("iso_965_1_pitch_external", 3).get(key, {}).get("6")
    formula = 90 * pitch**0.4 * math.sqrt(over * to) ** 0.1
    return PrintedCell(round(r40_value(r40_index(base or formula) + steps)), published=False)


def crest_tolerance(external: bool, pitch: float, grade: int) -> PrintedCell:
    """Td (major, external) or TD1 (minor, internal) in µm. Raises KeyError for another grade."""
    steps = (STEPS_CREST_EXTERNAL if external else STEPS_CREST_INTERNAL)[grade]
    table = "iso_965_1_crest_external" if external else "iso_965_1_crest_internal"
    row = _rows(table, 1).get((_key(pitch),), {})
    printed = row.get(str(grade))
    if printed is not None:
        return PrintedCell(round(printed), published=True)
    base = row.get("6") or crest_formula(external, pitch)
    return PrintedCell(round(r40_value(r40_index(base) + steps)), published=False)


def crest_formula(external: bool, pitch: float) -> float:
    """Td(6) or TD1(6) before rounding, µm."""
    if external:
        return 180 * math.pow(pitch, 2 / 3) - 3.15 / math.sqrt(pitch)
    if pitch <= 0.8:
        return 433 * pitch - 190 * math.pow(pitch, 1.22)
    return 230 * math.pow(pitch, 0.7)


def diameter_range(diameter: float) -> tuple[float, float]:
    """The standard's diameter range, over and up to, mm. Raises ValueError outside 0.99–45."""
    for over, to in _ranges():
        if over < diameter <= to:
            return over, to
    raise ValueError(f"diameter {diameter:g} mm is outside {SMALLEST:g} to {LARGEST:g} mm")


class Engagement(NamedTuple):
    """Normal length of engagement: over ``over`` up to and including ``to``, mm."""

    over: float
    to: float
    published: bool

    def group(self, length: float) -> str:
        """``S`` (short), ``N`` (normal) or ``L`` (long) for an engaged length in mm."""
        if length <= self.over:
            return "S"
        return "N" if length <= self.to else "L"


def engagement(diameter: float, pitch: float) -> Engagement:
    """The normal length of engagement (ISO 965-1, Table 2; off the table 2.24 and 6.7 P·d^0.2)."""
    over, to = diameter_range(diameter)
    row = _rows("iso_965_1_engagement", 3).get((_key(over), _key(to), _key(pitch)))
    if row:
        return Engagement(row["over_n"], row["to_n"], published=True)
    scale = pitch * over**0.2
    return Engagement(2.24 * scale, 6.7 * scale, published=False)


def _key(value: float) -> int:
    """A size as whole µm, so that it can be looked up."""
    return round(value * 1000)


@cache
def _ranges() -> tuple[tuple[float, float], ...]:
    rows: list[list[float]] = load("iso_965_1_pitch_external")["rows"]
    return tuple(sorted({(r[0], r[1]) for r in rows}))


@cache
def _rows(name: str, keys: int) -> dict[tuple[int, ...], dict[str, float]]:
    """A table by its first ``keys`` columns; cells the standard leaves blank are left out."""
    table = load(name)
    columns = table["columns"][keys:]
    return {
        tuple(_key(v) for v in row[:keys]): {
            c: v for c, v in zip(columns, row[keys:], strict=True) if v != "-"
        }
        for row in table["rows"]
    }
