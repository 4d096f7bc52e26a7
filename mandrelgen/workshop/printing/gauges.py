"""Go and not-go gauges for a printer: the metal gauges' shapes, and their limits in words."""

from __future__ import annotations

from mandrelgen.core.tolerance import lower_limit_text, text_of, upper_limit_text
from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.workshop.printing.shape import PrintedShape

_THREAD = (
    Kind.THREAD_MAJOR,
    Kind.THREAD_PITCH_DIAMETER,
    Kind.THREAD_MINOR,
    Kind.PITCH,
    Kind.LEAD,
    Kind.COUNT,
)


def shape_of(gauge: Mandrel) -> PrintedShape:
    """The gauge as it is printed: without centre holes, which only a grinder needs."""
    drilled = {f"centre.{hole.at}" for hole in gauge.centre_holes}
    return PrintedShape(gauge.outer, tuple(s for s in gauge.inner if s.feature not in drilled))


def text(gauge: Mandrel) -> str:
    """The thread's limits, how it is used and when it is worn out, as lines of plain text, mm."""
    rows = [gauge.title, f"source: {gauge.threads[0].limits.source}"]
    rows += [f"  {_row(c)}" for c in gauge.characteristics if c.kind in _THREAD]
    return "\n".join([*rows, *[f"  {n}" for n in (gauge.purpose, *gauge.notes)]])


def _row(c: Characteristic) -> str:
    low = "" if c.lower is None else lower_limit_text(c.lower, c.places)
    high = "" if c.upper is None else upper_limit_text(c.upper, c.places)
    if not (low or high):
        return f"{c.kind.value:24} {text_of(c.nominal, 4)} {c.unit}".rstrip()
    between = f"{low} to {high}" if low and high else f"min. {low}" if low else f"max. {high}"
    return f"{c.kind.value:24} {between} {c.unit}"
