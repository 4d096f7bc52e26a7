"""Cutting speeds by material, passes of a thread by pitch, and rules of the threading lathe."""

from __future__ import annotations

import math
from typing import NamedTuple

from mandrelgen.standards.tables import NotHeldError, load, records


class Speeds(NamedTuple):
    """Ranges of cutting speed (low, high), m/min."""

    hss: tuple[float, float]
    carbide: tuple[float, float]
    threading: tuple[float, float]
    source: str


class CuttingRule(NamedTuple):
    """A rule of the shop and what it stands on."""

    value: float
    basis: str


def speeds(material: str) -> Speeds:
    """Cutting speeds of a material. Raises NotHeldError if none are held."""
    for row in records("cutting_speeds"):
        if row["material"].lower() == material.strip().lower():
            return Speeds(
                (row["hss_low"], row["hss_high"]),
                (row["carbide_low"], row["carbide_high"]),
                (row["thread_low"], row["thread_high"]),
                str(load("cutting_speeds")["confidence"]),
            )
    raise NotHeldError(
        f"no cutting speed is held for {material}",
        f"held: {', '.join(r['material'] for r in records('cutting_speeds'))}",
    )


def usual_passes(pitch: float) -> int:
    """Passes of an external thread of that pitch (mm), from a maker's table; between two rows the
    larger count, off the table by the nearest row's chip."""
    rows = records("threading_practice")
    for row in rows:
        if pitch <= row["P"] + 1e-9:
            return int(row["usual"])
    last = rows[-1]
    return math.ceil(float(last["usual"]) * pitch / float(last["P"]))


def rule(group: str, name: str) -> CuttingRule:
    """One rule, e.g. ``rule("hand", "reaction")``. Raises KeyError if there is none."""
    return CuttingRule(**load("threading_practice")[group][name])
