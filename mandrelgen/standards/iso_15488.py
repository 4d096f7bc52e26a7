"""ISO 15488: collets with 8° setting angle: sizes, clamping ranges, run-out."""

from __future__ import annotations

import re
from functools import cache
from typing import NamedTuple

from mandrelgen.standards.designation import parse
from mandrelgen.standards.tables import NotHeldError, records

_NAME = re.compile(
    r"^\s*(?:(?:DIN\s*)?ISO[\s_-]*15488[\s_-]+(?:[AB][\s_-]*)?|DIN[\s_-]*6499[\s_-]*B?[\s_-]*"
    r"|ER[\s_-]*)(\d{1,3})\s*(?:M|mini|UP)?\s*$",
    re.IGNORECASE,
)

# Makers' rule: a collet closes by 1 mm, small ones by half of that.
CLOSES = 1.0
CLOSES_SMALL = 0.5
SMALL_UP_TO = 3.0
# Makers' rule: with less of the gripping length filled the collet may be spoilt.
LEAST_INSERTED = 2 / 3


class ColletSize(NamedTuple):
    """A collet system, mm: seat diameter, range of the series, nut thread, bore behind, body."""

    size: int
    seat: float
    smallest: float
    largest: float
    nut_thread: str
    bore: float
    body_diameter: float
    body_length: float

    @property
    def least_insert(self) -> float:
        """Two thirds of the collet's length, mm: insert at least this much."""
        return self.body_length * LEAST_INSERTED

    @property
    def nut_diameter(self) -> float:
        """Major diameter of the clamping nut's thread, mm."""
        return float(parse(self.nut_thread).diameter)


class ColletRunOut(NamedTuple):
    """Circular run-out ``value`` mm at ``length`` mm from the collet's face."""

    length: float
    value: float


@cache
def sizes() -> tuple[ColletSize, ...]:
    """All sizes held, smallest first."""
    return tuple(ColletSize(**row) for row in records("iso_15488_sizes"))


def collet_size(size: int) -> ColletSize:
    """The system of that nominal size (11, 16, 20, 25, 32, 40). Raises NotHeldError otherwise."""
    for found in sizes():
        if found.size == size:
            return found
    held = ", ".join(str(s.size) for s in sizes())
    raise NotHeldError(f"collet size {size} is not in ISO 15488", f"sizes are {held}")


def system_size(name: str) -> int | None:
    """The size of a collet system by the standard's name or the letters engraved on it.

    ``ISO 15488-25``, ``DIN ISO 15488_25``, ``DIN 6499-B25``, ``ER25``, ``ER 25`` → 25; None for
    any other. The letters are the trade's for the collets of DIN 6499 form B, which became
    ISO 15488 (common practice, from memory); an M behind them (``ER 20M``) is the slim nut.
    """
    match = _NAME.match(name)
    size = int(match[1]) if match else None
    return size if size in {s.size for s in sizes()} else None


def of_system(name: str) -> ColletSize | None:
    """The size a system's name says (``ISO 15488-25``); None for a system of another name.

    Raises NotHeldError for a size of ISO 15488 that is not held.
    """
    standard, _, size = name.partition("-")
    return collet_size(int(size)) if standard == "ISO 15488" and size.isdigit() else None


def with_letters(collet: str) -> str:
    """A collet's name with the letters that are engraved on it in front.

    >>> with_letters("ISO 15488-25, 14")
    'ER25 (ISO 15488-25), 14'

    The letters are the trade's for the collets of DIN 6499 form B, which became ISO 15488 (common
    practice, from memory). Another system's name stays.
    """
    system, comma, bore = collet.partition(",")
    size = of_system(system)
    return collet if size is None else f"ER{size.size} ({system}){comma}{bore}"


def clamping_range(nominal: float) -> tuple[float, float]:
    """The shank diameters a collet of that nominal bore clamps, mm: (smallest, largest).

    Collets only close; the nominal is the largest shank.
    """
    closes = CLOSES_SMALL if nominal <= SMALL_UP_TO else CLOSES
    return max(nominal - closes, 0.0), nominal


def clamps(nominal: float, shank: float) -> bool:
    """True if a collet of that nominal bore clamps a shank of that diameter (mm)."""
    low, high = clamping_range(nominal)
    return low - 1e-9 <= shank <= high + 1e-9


def run_out(nominal: float, klass: int = 2) -> ColletRunOut:
    """Permitted run-out (ISO 15488:2003, Table 4) of a collet, class 1 or 2, mm.

    Raises NotHeldError for another class or a bore outside 1 to 26 mm.
    """
    if klass not in (1, 2):
        raise NotHeldError(f"ISO 15488 has no run-out class {klass}", "use 1 or 2")
    for row in records("iso_15488_run_out"):
        if row["over"] <= nominal <= row["to"]:  # the rows join: the first that fits is the one
            return ColletRunOut(row["length"], row[f"class_{klass}"])
    raise NotHeldError(
        f"ISO 15488 gives no run-out for a bore of {nominal:g} mm", "bores of 1 to 26 mm are held"
    )
