"""What stands at a dimension: prefix, number, tolerance."""

from __future__ import annotations

import re

from mandrelgen.characteristic import Characteristic, Kind
from mandrelgen.sheet.lettering import clean
from mandrelgen.toleranced import (
    ceil_to,
    floor_to,
    lower_limit_text,
    signed_text,
    text_of,
    upper_limit_text,
)

# A tolerance class of ISO 286: h8, js7, H11.
_CLASS = re.compile(r"^[A-Za-z]{1,2}\d{1,2}$")


def number_text(c: Characteristic) -> str:
    """The nominal as printed."""
    return text_of(c.nominal, c.places)


def before(c: Characteristic) -> str:
    """What stands in front of the number."""
    return {Kind.DIAMETER: "⌀", Kind.RADIUS: "R"}.get(c.kind, "")


def after(c: Characteristic) -> str:
    """What stands behind the number: the tolerance, unless the general one governs."""
    unit = "°" if c.kind is Kind.ANGLE else ""
    if c.general:
        return unit
    step = 10.0**-c.places
    low = None if c.lower is None else ceil_to(c.lower - c.nominal, step)
    high = None if c.upper is None else floor_to(c.upper - c.nominal, step)
    written = clean(c.written).strip()
    is_class = bool(_CLASS.match(written))
    if low is None and high is None:
        return unit
    if low is None:
        return f"{unit} max." if high == 0 else f"{unit} {signed_text(high or 0.0)} max."
    if high is None:
        return f"{unit} min." if low == 0 else f"{unit} {signed_text(low)} min."
    if is_class:
        return f"{unit} {written} ({signed_text(high)}/{signed_text(low)})"
    if abs(low + high) < 1e-9:
        return f"{unit} ±{text_of(high)}{unit}"
    return f"{unit} ({signed_text(high)}/{signed_text(low)})"


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
