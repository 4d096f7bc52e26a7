"""The change gears usually found with a screw-cutting lathe, and the lead of its lead screw."""

from __future__ import annotations

import re
from fractions import Fraction

from mandrelgen.core.lengths import MM_PER_INCH
from mandrelgen.standards.tables import load

SOURCE = "common practice, no source"
_LEAD_SCREW = re.compile(
    r"^\s*(?P<n>\d{1,2}(?:[.,]\d{1,3})?|\d{1,2}\s*/\s*\d{1,2})\s*(?P<unit>mm|tpi)\s*$",
    re.IGNORECASE,
)


def usual_gears() -> tuple[int, ...]:
    """Teeth of the gears usually owned, one of each."""
    return tuple(int(t) for t in load("change_gears")["gears"])


def clearance_teeth() -> int:
    """Teeth by which a meshing pair must exceed the gear beside it."""
    return int(load("change_gears")["clearance"])


def lead_of(lead_screw: str) -> Fraction:
    """Lead in mm of a lead screw written ``3 mm`` or ``8 TPI``, exactly.

    Raises ValueError with a sentence that says what is allowed.
    """
    m = _LEAD_SCREW.match(lead_screw)
    if m is None:
        raise ValueError(f"'{lead_screw[:20]}' is not a lead screw; write '3 mm' or '8 TPI'")
    text = m["n"].replace(",", ".").replace(" ", "")
    if text.endswith("/0") or Fraction(text) <= 0:
        raise ValueError(f"'{lead_screw[:20]}' is not a lead screw; write '3 mm' or '8 TPI'")
    value = Fraction(text)
    return value if m["unit"].lower() == "mm" else MM_PER_INCH / value
