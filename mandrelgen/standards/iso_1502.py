"""Go and not-go gauges for 60° metric threads by ISO 1502. Lengths in mm.

Exact (unrounded) basic sizes are used, as published gauges do. A multi-start thread's gauges have
its lead and starts; the standard speaks of one start, so how far a not-go gauge may enter one of
several is a rule of our own: two pitches, as with one start (`design/gauge_text.py`).
"""

from __future__ import annotations

from typing import NamedTuple

from mandrelgen.core.tolerance import lower_limit_text, upper_limit_text
from mandrelgen.standards.tables import NotHeldError, citation, load, records
from mandrelgen.standards.threads import D1_FACTOR, D2_FACTOR, ThreadLimits

# 2 F1 = H/4 (from the published plugs; the standard's own value was not seen).
TWO_F1 = 0.216506351


class Gauge(NamedTuple):
    """One gauge, mm: pitch diameter ± ``pitch_half``, worn out at ``wear``; ``crest`` ± the half
    beside it is a plug's major diameter or a ring's minor diameter. ``basis`` says how well the
    table's columns are founded."""

    name: str
    pitch: float
    pitch_half: float
    wear: float
    crest: float
    crest_half: float
    source: str
    basis: str


def gauges(work: ThreadLimits) -> tuple[Gauge, Gauge]:
    """Go and not-go gauge of a thread: plugs for an internal one, rings for an external one.

    Raises NotHeldError for an inch thread or a pitch-diameter tolerance off the table.
    """
    d = work.designation
    if d.system != "M":
        raise NotHeldError(
            f"ISO 1502 holds no gauges for {d.text}",
            f"order {_kinds(work)} to ASME B1.2, class X, by the thread's name: "
            f"{_named(work)} ({_work_limits(work)}). ISO 1502 is for metric threads, and the "
            "values of ASME B1.2 are not held. The mating dummy is written",
        )
    assert work.pitch.min is not None
    assert work.pitch.max is not None
    row = _row(round((work.pitch.max - work.pitch.min) * 1000, 3))
    return _rings(work, row) if work.external else _plugs(work, row)


def _kinds(work: ThreadLimits) -> str:
    return "go and not-go rings" if work.external else "go and not-go plugs"


def _named(work: ThreadLimits) -> str:
    klass = work.tolerance_class
    text = work.designation.text
    return text if klass in text else f"{text}-{klass}"


def _work_limits(work: ThreadLimits) -> str:
    """The work's own limits, for whoever quotes the gauges, mm."""
    said = []
    crest = "major" if work.external else "minor"
    for name, band in (("pitch diameter", work.pitch), (f"{crest} diameter", work.crest)):
        if band.min is not None and band.max is not None:
            low, high = lower_limit_text(band.min), upper_limit_text(band.max)
            said.append(f"{name} {low} to {high}")
    return f"{', '.join(said)} mm"


def _row(tolerance_um: float) -> dict[str, float]:
    rows = records("iso_1502")
    for row in rows:
        if row["over"] < tolerance_um <= row["to"]:
            return row
    raise NotHeldError(
        f"ISO 1502 is not held for a pitch-diameter tolerance of {tolerance_um:g} µm",
        f"over {rows[0]['over']} to {rows[-1]['to']} µm are",
    )


def _plugs(work: ThreadLimits, row: dict[str, float]) -> tuple[Gauge, Gauge]:
    d, p = float(work.designation.diameter), float(work.designation.pitch)
    assert work.pitch.min is not None
    assert work.pitch.max is not None
    low = d - D2_FACTOR * p + (work.pitch.min - work.basic.pitch)
    high = low + (work.pitch.max - work.pitch.min)
    t, z = row["T_PL"] / 1000, row["Z_PL"] / 1000
    deviation = work.pitch.min - work.basic.pitch
    go = low + z
    no = high + t / 2
    source, basis = citation(load("iso_1502")), str(row["plug"])
    return (
        Gauge(
            name="GO plug",
            pitch=go,
            pitch_half=t / 2,
            wear=go - row["W_GO_PL"] / 1000,
            crest=d + deviation + z,
            crest_half=t,
            source=source,
            basis=basis,
        ),
        Gauge(
            name="NOT GO plug",
            pitch=no,
            pitch_half=t / 2,
            wear=no - row["W_NG_PL"] / 1000,
            crest=no + TWO_F1 * p,
            crest_half=t,
            source=source,
            basis=basis,
        ),
    )


def _rings(work: ThreadLimits, row: dict[str, float]) -> tuple[Gauge, Gauge]:
    d, p = float(work.designation.diameter), float(work.designation.pitch)
    assert work.pitch.min is not None
    assert work.pitch.max is not None
    deviation = work.pitch.max - work.basic.pitch
    high = d - D2_FACTOR * p + deviation
    low = high - (work.pitch.max - work.pitch.min)
    t, z = row["T_R"] / 1000, row["Z_R"] / 1000
    go = high - z
    no = low - t / 2
    source = citation(load("iso_1502"))
    return (
        Gauge(
            name="GO ring",
            pitch=go,
            pitch_half=t / 2,
            wear=go + row["W_GO_R"] / 1000,
            crest=d - D1_FACTOR * p + deviation,
            crest_half=t / 2,
            source=source,
            basis="from memory",
        ),
        Gauge(
            name="NOT GO ring",
            pitch=no,
            pitch_half=t / 2,
            wear=no + row["W_NG_R"] / 1000,
            crest=no - TWO_F1 * p,
            crest_half=t,
            source=source,
            basis="from memory",
        ),
    )
