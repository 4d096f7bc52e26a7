"""Reads what stands at a dimension back into numbers, and compares it with a characteristic.

Written apart from what letters the sheet, so that a fault there is not repeated here.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

from mandrelgen.model.characteristic import Characteristic, Kind

# Sizes are printed to 0.001 (a gauge's to 0.0001), limits rounded inwards to it.
STEP = 0.001
_NOISE = 1e-6
_PLAIN = r"\d+(?:\.\d+)?"
# A DXF has hyphens for minus signs.
_SIGNED = rf"[+−-]?{_PLAIN}"
_SIZE = re.compile(
    rf"(?P<prefix>[⌀R]?)(?P<value>{_PLAIN})(?P<unit>°?)"
    rf"(?: (?P<klass>[A-Za-z]{{1,2}}\d{{1,2}})(?= \())?"
    rf"(?: \((?P<upper>{_SIGNED})/(?P<lower>{_SIGNED})\)"
    rf"| ±(?P<half>{_PLAIN})°?"
    rf"|(?: (?P<limit>{_SIGNED}))? (?P<side>max|min)\.)?"
    rf"(?: × (?P<lean>{_PLAIN}°(?: ±{_PLAIN}°)?))?"
)
_CLASS = re.compile(r"[A-Za-z]{1,2}\d{1,2}")
SIZES = frozenset(
    {Kind.DIAMETER, Kind.LENGTH, Kind.CHAMFER, Kind.ANGLE, Kind.ACROSS_FLATS, Kind.RADIUS}
)
# Only the upper limit of these is a size; the nominal is none.
ONE_LIMIT = frozenset({Kind.RUNOUT, Kind.FACE_RUNOUT, Kind.CYLINDRICITY, Kind.ROUGHNESS})


class PrintedSize(NamedTuple):
    """A printed size: value and deviations (None: not printed) in mm or degrees; ``lean`` is the
    angle behind a chamfer's length or a cone's diameter, as printed."""

    prefix: str
    value: float
    unit: str
    tolerance_class: str
    lower: float | None
    upper: float | None
    lean: str


def number(text: str) -> float:
    """A printed number with its sign. Raises ValueError if it is none."""
    return float(text.replace("−", "-"))


def read(text: str) -> PrintedSize | None:
    """The size ``text`` says; None if it says none."""
    m = _SIZE.fullmatch(text)
    if m is None:
        return None
    lower = upper = None
    if m["upper"]:
        lower, upper = number(m["lower"]), number(m["upper"])
    elif m["half"]:
        lower, upper = -number(m["half"]), number(m["half"])
    elif m["side"]:
        limit = number(m["limit"]) if m["limit"] else 0.0
        lower, upper = (None, limit) if m["side"] == "max" else (limit, None)
    return PrintedSize(
        prefix=m["prefix"],
        value=number(m["value"]),
        unit=m["unit"],
        tolerance_class=m["klass"] or "",
        lower=lower,
        upper=upper,
        lean=m["lean"] or "",
    )


def step_of(c: Characteristic) -> float:
    """The step ``c`` is printed to, mm."""
    return float(10.0**-c.places)


def inwards(wanted: float | None, printed: float | None, upper: bool, step: float = STEP) -> bool:
    """True if ``printed`` is ``wanted`` rounded inwards to the step, or both are missing."""
    if wanted is None or printed is None:
        return wanted is None and printed is None
    inside = wanted - printed if upper else printed - wanted
    # A limit on a step may be off it by binary noise (1e-9 and less is forgiven when printing).
    return -2e-9 <= inside < step - 5e-10


def mismatches(c: Characteristic, text: str) -> Iterator[tuple[str, str]]:
    """(expected, found) for everything in ``text`` that is not what ``c`` says."""
    p = read(text)
    if p is None:
        yield f"a size of {c.nominal:g}", f"'{text}'"
        return
    if abs(p.value - c.nominal) > step_of(c) / 2 + _NOISE:
        yield f"nominal {c.nominal:g}", f"'{text}'"
    prefix = {Kind.DIAMETER: "⌀", Kind.RADIUS: "R"}.get(c.kind, "")
    if p.prefix != prefix:
        yield f"'{prefix}' in front", f"'{text}'"
    if (p.unit == "°") != (c.kind is Kind.ANGLE):
        yield f"unit {c.unit}", f"'{text}'"
    lower = None if c.general or c.lower is None else c.lower - c.nominal
    upper = None if c.general or c.upper is None else c.upper - c.nominal
    step = step_of(c)
    if not (
        inwards(lower, p.lower, upper=False, step=step)
        and inwards(upper, p.upper, upper=True, step=step)
    ):
        yield f"deviations {_text(upper)}/{_text(lower)}", f"'{text}'"
    written = c.written.strip()
    klass = written if _CLASS.fullmatch(written) and None not in (lower, upper) else ""
    if p.tolerance_class != klass:
        yield f"tolerance class '{klass}'", f"'{text}'"
    if p.lean and c.kind not in (Kind.CHAMFER, Kind.DIAMETER):
        yield "no angle behind the size", f"'{text}'"


def limits_match(c: Characteristic, lower: str, upper: str) -> bool:
    """True if two table cells (empty or a dash: no limit) are the limits of ``c``."""
    cells = [None if t in ("", "–", "-") else number(t) for t in (lower, upper)]
    step = step_of(c)
    return inwards(c.lower, cells[0], upper=False, step=step) and inwards(
        c.upper, cells[1], upper=True, step=step
    )


def _text(value: float | None) -> str:
    return "none" if value is None else f"{value:+g}"
