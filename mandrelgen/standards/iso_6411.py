"""ISO 6411: centre holes of types A and B."""

from __future__ import annotations

import math
from typing import NamedTuple

from mandrelgen.standards.tables import NotHeldError, records

TYPES = ("A", "B")
CONE_ANGLE = 60.0


class CentreHoleSize(NamedTuple):
    """A centre hole, mm: ``pilot`` d, ``cone`` D at the mouth of the 60° cone, ``mouth`` the
    largest diameter (D for type A, D3 for type B), least depth ``depth``, ``pilot_depth``."""

    type: str
    pilot: float
    cone: float
    mouth: float
    depth: float
    pilot_depth: float

    @property
    def designation(self) -> str:
        """As ISO 6411 writes it."""
        return f"ISO 6411 - {self.type}{self.pilot:g}/{self.mouth:g}"

    @property
    def cone_length(self) -> float:
        """Axial length of the 60° cone, mm."""
        return (self.cone - self.pilot) / 2 / math.tan(math.radians(CONE_ANGLE / 2))


def centre_hole(type: str, pilot: float) -> CentreHoleSize:
    """The centre hole of type A or B with that pilot diameter in mm (ISO 6411:1982).

    Raises NotHeldError for another type or pilot, naming those that are held.
    """
    if type not in TYPES:
        raise NotHeldError(f"centre hole type '{type}' is not held", "use A or B")
    rows = records("iso_6411")
    for row in rows:
        if abs(row["d"] - pilot) < 1e-6:
            mouth = row["D"] if type == "A" else row["D3"]
            return CentreHoleSize(
                type=type,
                pilot=row["d"],
                cone=row["D"],
                mouth=mouth,
                depth=row[f"t_{type}"],
                pilot_depth=row["t1"],
            )
    held = ", ".join(f"{row['d']:g}" for row in rows)
    raise NotHeldError(f"no centre hole with pilot {pilot:g} mm is held", f"pilots are {held} mm")


def for_work(diameter: float, type: str = "A") -> CentreHoleSize:
    """The usual centre hole for a work diameter in mm, by a handbook guide.

    Type B takes the next smaller pilot where its protecting chamfer would leave less than 0.5 mm
    of face. Raises NotHeldError above 80 mm, or where not even the smallest hole leaves that.
    """
    rows = records("centre_hole_by_work")
    usual = next((row["d"] for row in rows if diameter <= row["to"]), None)
    if usual is None:
        raise NotHeldError(f"no centre hole is held for {diameter:g} mm", "up to 80 mm")
    pilots = [row["d"] for row in records("iso_6411") if row["d"] <= usual]
    for pilot in reversed(pilots):
        size = centre_hole(type, pilot)
        if size.mouth + 1.0 <= diameter:
            return size
    raise NotHeldError(
        f"a face of {diameter:g} mm is too small for a centre hole of type {type}",
        "use type A, a larger diameter, or leave the centre hole out",
    )
