"""ISO 2768-1: general tolerances for sizes without a tolerance of their own."""

from __future__ import annotations

from mandrelgen.core.tolerance import Toleranced
from mandrelgen.standards.tables import NotHeldError, records

CLASSES = ("f", "m", "c", "v")


def linear(nominal: float, cls: str = "m") -> Toleranced:
    """Limits of a length or diameter in mm (ISO 2768-1:1989, Table 1), 0.5 to 1000 mm.

    Raises NotHeldError for another class or size: below 0.5 mm the standard wants the tolerance
    at the size itself.
    """
    return _symmetric("iso_2768_1_linear", nominal, cls)


def edge(nominal: float, cls: str = "m") -> Toleranced:
    """Limits of an external radius or chamfer height in mm (Table 2). Raises as :func:`linear`."""
    return _symmetric("iso_2768_1_edges", nominal, cls)


def angle(shorter_leg: float, cls: str = "m") -> float:
    """The ± tolerance in degrees of an angle whose shorter leg is given in mm (Table 3).

    Raises NotHeldError for a leg that is not above 0 or another class.
    """
    return _half("iso_2768_1_angles", shorter_leg, cls, from_first=False) / 60


def _symmetric(table: str, nominal: float, cls: str) -> Toleranced:
    half = _half(table, nominal, cls, from_first=True)
    return Toleranced.symmetric(nominal, half, f"ISO 2768-{cls}")


def _half(table: str, size: float, cls: str, from_first: bool) -> float:
    if cls not in CLASSES:
        raise NotHeldError(f"ISO 2768-1 has no class '{cls}'", f"use {', '.join(CLASSES)}")
    for row in records(table):  # the rows join: the first that fits is the one
        above = size > row["over"] or (from_first and size == row["over"])
        if above and size <= row.get("to", float("inf")) and cls in row:
            return float(row[cls])
    raise NotHeldError(
        f"ISO 2768-{cls} gives no tolerance for {size:g} mm",
        "write the tolerance at the size itself",
    )
