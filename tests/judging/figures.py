"""The figure behind each mandrel's case and the level that plain arithmetic gives it ("?": between
the sides, where no case may lie)."""

from __future__ import annotations

from typing import Any

from tests.judging import faulty_mandrels as m
from tests.judging import faulty_strength as w
from tests.judging.cases import Case


def figure(case: Case) -> float:
    """The figure of a mandrel's case, from the trees alone; see each kind for the limit."""
    return float(FIGURES[case.kind](case.pen, case.shop))


FIGURES = {
    "seat.plug": m.ring,
    "seat.cup": m.shoulder,
    "collet.none": m.closing,
    "shank.short": m.in_collet,
    "shank.stand-off": m.left_in_collet,
    "shank.long": m.in_collet,
    "tailstock.none": m.lacks_tailstock,
    "plastic.unsupported": m.printed_unsupported,
    "plastic.weak": m.twist,
    "spigot.large": m.spigot_over,
    "mandrel.bore-wall": m.bored_wall,
    "mandrel.binds": m.binding,
    "double.wide": m.widest_over,
    "left-hand": m.runs_back,
    "tool.steel": m.steel_die,
    "relief.none": m.nowhere_to_run_out,
    "strength.mandrel": w.plug_bears,
    "strength.part": w.cap_bears,
}

# What the figure of a mandrel's case means: the level that plain arithmetic gives it.
JUDGED: dict[str, Any] = {
    "seat.plug": lambda v: (
        "error" if v < m.SEAT else "" if v >= m.SEAT + m.LEAST_CLEARANCE else "?"
    ),
    "seat.cup": lambda v: "error" if v < m.SEAT else "" if v >= m.CUP_RING else "?",
    "collet.none": lambda v: "error" if v > m.OWN_CLOSES + 1e-9 else "" if v == 0 else "?",
    "shank.short": lambda v: (
        "error" if v < m.ENOUGH else "" if v >= m.ENOUGH + m.STAND_OFF else "?"
    ),
    "shank.stand-off": lambda v: (
        "error" if v < m.ENOUGH else "" if v >= m.ENOUGH + m.NECK_AND_COLLAR else "?"
    ),
    "shank.long": lambda v: (
        "error" if v > m.OWN_LENGTH + m.OWN_BEHIND + m.STAND_OFF
        else "" if v <= m.OWN_LENGTH + m.OWN_BEHIND else "?"
    ),
    "tailstock.none": lambda v: "error" if v else "",
    "plastic.unsupported": lambda v: "error" if v else "",
    "plastic.weak": lambda v: "error" if v > m.PLA else "",
    "spigot.large": lambda v: "error" if v > 0 else "",
    "mandrel.bore-wall": lambda v: "error" if v < m.BORE_WALL else "",
    "mandrel.binds": lambda v: "error" if v > 0 else "",
    "double.wide": lambda v: "error" if v > 0 else "",
    "left-hand": lambda v: "warning" if v else "",
    "tool.steel": lambda v: "warning" if v >= 2 else "",
    "relief.none": lambda v: "warning" if v else "",
    "strength.mandrel": lambda v: "warning" if v < w.UNSUPPORTED else "",
    "strength.part": lambda v: (
        "warning" if v < w.UNSUPPORTED else "" if v >= w.UNSUPPORTED * w.NOTCH else "?"
    ),
}  # fmt: skip
