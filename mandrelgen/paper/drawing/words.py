"""What stands at a dimension: prefix, number, tolerance."""

from __future__ import annotations

import re

from mandrelgen.core.tolerance import (
    ceil_to,
    floor_to,
    lower_limit_text,
    signed_text,
    text_of,
    upper_limit_text,
)
from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.paper.drawing.text_width import clean

# A tolerance class of ISO 286: h8, js7, H11.
_CLASS = re.compile(r"^[A-Za-z]{1,2}\d{1,2}$")


def number_text(c: Characteristic) -> str:
    """The nominal as printed."""
    return text_of(c.nominal, c.places)


def before(c: Characteristic) -> str:
    """What stands in front of the number."""
    return {Kind.DIAMETER: "⌀", Kind.RADIUS: "R"}.get(c.kind, "")


def after(c: Characteristic) -> str:
    """What stands behind the number on its line: unit and tolerance, unless the general one
    governs or the deviations are :func:`stacked`."""
    unit = "°" if c.kind is Kind.ANGLE else ""
    low, high = _deviations(c)
    if stacked(c) is not None or (low is None and high is None):
        return unit
    if low is None:
        return f"{unit} max." if high == 0 else f"{unit} {signed_text(high or 0.0, c.places)} max."
    if high is None:
        return f"{unit} min." if low == 0 else f"{unit} {signed_text(low, c.places)} min."
    written = clean(c.written).strip()
    if _CLASS.match(written):
        return f"{unit} {written} ({signed_text(high, c.places)}/{signed_text(low, c.places)})"
    return f"{unit} ±{text_of(high, c.places)}{unit}"


def stacked(c: Characteristic) -> tuple[str, str] | None:
    """Upper and lower deviation where they stand one above the other (ISO 129-1): neither the same
    in size nor in brackets behind a class."""
    low, high = _deviations(c)
    if low is None or high is None or abs(low + high) < 1e-9:
        return None
    if _CLASS.match(clean(c.written).strip()):
        return None
    return signed_text(high, c.places), signed_text(low, c.places)


def _deviations(c: Characteristic) -> tuple[float | None, float | None]:
    """Lower and upper deviation, mm or degrees, rounded inwards; none under the general
    tolerance."""
    if c.general:
        return None, None
    step = 10.0**-c.places
    low = None if c.lower is None else ceil_to(c.lower - c.nominal, step)
    high = None if c.upper is None else floor_to(c.upper - c.nominal, step)
    return low, high


def limits(c: Characteristic) -> tuple[str, str]:
    """Lower and upper limit for a table, rounded inwards; empty where there is none."""
    return (
        "" if c.lower is None else lower_limit_text(c.lower, c.places),
        "" if c.upper is None else upper_limit_text(c.upper, c.places),
    )


def frame_value(c: Characteristic) -> str:
    """The value compartment of a tolerance frame: the tolerance is the upper limit."""
    return text_of(c.upper if c.upper is not None else c.nominal)


def roughness_value(c: Characteristic) -> str:
    """``Ra 0.8``: the largest value allowed."""
    value = text_of(c.upper if c.upper is not None else c.nominal)
    name = "Rz" if c.written.strip().startswith("Rz") or c.id.endswith("rz") else "Ra"
    return f"{name} {value}"
