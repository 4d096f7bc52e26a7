"""ISO 286: limits and fits of plain cylinders, 0 to 50 mm, grades IT5 to IT11."""

from __future__ import annotations

import re

from mandrelgen.core.tolerance import Toleranced
from mandrelgen.standards.tables import NotHeldError, records

GRADES = range(5, 12)
SHAFTS = ("d", "e", "f", "g", "h", "js", "k")
HOLES = tuple(letter.upper() for letter in SHAFTS)
LARGEST = 50.0
_CLASS = re.compile(r"^([A-Za-z]{1,2})(\d{1,2})$")


def grade(nominal: float, it: int) -> float:
    """Standard tolerance ITn in mm for a nominal size in mm (ISO 286-1:2010, Table 1).

    Raises NotHeldError outside 0 < nominal ≤ 50 mm or IT4 to IT14.
    """
    row = _row("iso_286_grades", nominal)
    if str(it) not in row:
        raise NotHeldError(f"IT{it} is not held", "use IT4 to IT14")
    return float(row[str(it)]) / 1000


def tolerance(nominal: float, klass: str) -> Toleranced:
    """The limits of ``nominal`` mm with a class such as ``h8``, ``js6``, ``H7``.

    Lower-case letters are shafts, capitals holes. Held: d e f g h js k and D E F G H JS K in
    grades 5 to 11 (K: 5 to 8), 0 to 50 mm. Raises NotHeldError otherwise. Deviations by
    ISO 286-1:2010, Tables 4 to 7 and the rules of 4.3.
    """
    m = _CLASS.match(klass.strip())
    if m is None or m[1] not in SHAFTS + HOLES or int(m[2]) not in GRADES:
        raise NotHeldError(
            f"tolerance class '{klass}' is not held",
            f"use {', '.join(SHAFTS)} for a shaft or the capitals for a hole with grade 5 to 11",
        )
    letter, it = m[1], int(m[2])
    width = grade(nominal, it)
    lower, upper = (
        _shaft(nominal, letter, it, width)
        if letter in SHAFTS
        else _hole(nominal, letter, it, width)
    )
    return Toleranced.deviations(nominal, lower, upper, f"{letter}{it}")


def _shaft(nominal: float, letter: str, it: int, width: float) -> tuple[float, float]:
    if letter == "js":
        return -width / 2, width / 2
    fundamental = _row("iso_286_deviations", nominal)[letter] / 1000
    if letter == "k":
        ei = fundamental if it <= 7 else 0.0
        return ei, round(ei + width, 9)
    return round(fundamental - width, 9), fundamental


def _hole(nominal: float, letter: str, it: int, width: float) -> tuple[float, float]:
    if letter == "JS":
        return -width / 2, width / 2
    fundamental = _row("iso_286_deviations", nominal)[letter.lower()] / 1000
    if letter == "K":
        if it > 8:
            raise NotHeldError(f"K{it} is not held", "K goes with grades 5 to 8")
        # ISO 286-1, 4.3.2.5: ES = −ei + Δ with Δ = ITn − IT(n−1), above 3 mm.
        delta = width - grade(nominal, it - 1) if nominal > 3 else 0.0
        es = round(delta - fundamental, 9)
        return round(es - width, 9), es
    return -fundamental, round(width - fundamental, 9)


def _row(table: str, nominal: float) -> dict[str, float]:
    for row in records(table):
        if row["over"] < nominal <= row["to"]:
            return row
    raise NotHeldError(
        f"no ISO 286 limits are held for {nominal:g} mm", f"sizes over 0 up to {LARGEST:g} mm are"
    )
