"""Measuring 60° threads over wires. Lengths in mm, angles in degrees.

The wire rests on both flanks of a groove that slopes by the lead angle, so it stands a little
higher than on rings: 0.75 W tan²β on the reading (NBS Handbook H28, 1944; FED-STD-H28; also known
as Berndt's correction, formula from memory). β comes from the *lead*, the profile from the pitch.
"""

from __future__ import annotations

import math

from mandrelgen.standards.tables import NotHeldError, load, records

SOURCE = "NBS Handbook H28 (FED-STD-H28), 60° with lead correction"
_H = math.sqrt(3) / 2
# W between 7H/12 (stands above the crest) and 7H/6 (touches below the crest's edge).
LEAST, MOST = 7 * _H / 12, 7 * _H / 6


def best_wire(pitch: float) -> float:
    """The wire that touches at the pitch line: P/(2 cos 30°), mm.

    H28's table of best wires gives 0.02887 in for 20 threads to the inch (from memory).

    >>> f"{best_wire(25.4 / 20) / 25.4:.5f}"
    '0.02887'
    """
    return pitch / (2 * math.cos(math.radians(30)))


def fits(wire: float, pitch: float) -> bool:
    """Whether a wire stands above the crest of an ISO profile and touches its flanks."""
    return LEAST * pitch < wire < MOST * pitch


def lead_correction(pitch_diameter: float, wire: float, lead: float) -> float:
    """What the slope of the groove adds to the reading, mm: 0.75 W (Ph/(π E))².

    By hand: M12, triple start of 0.8 (lead 2.4, d2 11.48), wire 0.455: 0.34125 × 0.06655².

    >>> f"{lead_correction(11.48, 0.455, 2.4):.4f}"
    '0.0015'
    """
    return 0.75 * wire * (lead / (math.pi * pitch_diameter)) ** 2


def over_wires(
    pitch_diameter: float, wire: float, pitch: float, lead: float | None = None
) -> float:
    """The reading M over wires, mm; ``lead`` None: single start.

    Raises ValueError for sizes not above 0.

    By hand for 1/4-20 (E 0.2175 in) over 0.02887 in: 0.2175 + 3 × 0.02887 − 0.0433 = 0.26081 in,
    and 0.75 × 0.02887 × (0.05/0.6833)² = 0.00012 for the slope.

    >>> f"{over_wires(0.2175 * 25.4, 0.02887 * 25.4, 25.4 / 20) / 25.4:.5f}"
    '0.26092'
    """
    ph = pitch if lead is None else lead
    if min(pitch_diameter, wire, pitch, ph) <= 0:
        raise ValueError("pitch diameter, wire, pitch and lead must be above 0")
    plain = pitch_diameter + 3 * wire - _H * pitch
    return plain + lead_correction(pitch_diameter, wire, ph)


def pitch_diameter(reading: float, wire: float, pitch: float, lead: float | None = None) -> float:
    """The pitch diameter E (mm) for a reading over wires: :func:`over_wires` solved backwards.

    Raises ValueError if the reading is no reading over these wires.
    """
    e = reading
    for _ in range(30):
        if e <= pitch:
            raise ValueError(
                f"{reading:g} over wires of {wire:g} is no reading of a thread of pitch {pitch:g}"
            )
        error = reading - over_wires(e, wire, pitch, lead)
        e += error
        if abs(error) < 1e-12:
            break
    return e


def wire_set() -> tuple[float, ...]:
    """The diameters of the set commonly owned, mm, ascending."""
    return tuple(sorted({float(row["W"]) for row in records("wire_set")}))


def set_wire(pitch: float) -> float:
    """The wire the set assigns to a pitch (mm). Raises NotHeldError off the table."""
    for row in records("wire_set"):
        if abs(row["P"] - pitch) < 1e-6:
            return float(row["W"])
    raise NotHeldError(
        f"{load('wire_set')['standard']} assigns no wire to pitch {pitch:g} mm",
        "choose the wire nearest to the best one",
    )


def choose(pitch: float, owned: tuple[float, ...] = ()) -> float | None:
    """The wire to use, mm: of ``owned`` (else the common set) the one nearest the best; the set's
    own assignment where it has one. None if none of them fits the profile."""
    if not owned:
        try:
            return set_wire(pitch)
        except NotHeldError:
            pass
    usable = [w for w in owned or wire_set() if fits(w, pitch)]
    return min(usable, key=lambda w: (abs(w - best_wire(pitch)), w)) if usable else None
