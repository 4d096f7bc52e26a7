"""Accept, reject, or not decided: ISO 14253-1 with the uncertainty against whoever must prove.

A reading proves that a size is right only inside the limits drawn in by U, and that it is wrong
only outside the limits widened by U; between them this instrument proves nothing.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum

SOURCE = "ISO 14253-1"
_NOISE = 1e-9


class Conformity(StrEnum):
    """What readings prove."""

    ACCEPT = "accept"
    REJECT = "reject"
    UNDECIDED = "cannot be decided with this instrument"


def decide(
    value: float, lower: float | None, upper: float | None, uncertainty: float
) -> Conformity:
    """The verdict on one reading; ``uncertainty`` is expanded (k = 2), all in one unit.

    A limit of None is no limit. Raises ValueError for an uncertainty below 0.
    """
    if not uncertainty >= 0:
        raise ValueError("an uncertainty is 0 or more")
    inside_low = lower is None or value >= lower + uncertainty - _NOISE
    inside_high = upper is None or value <= upper - uncertainty + _NOISE
    if inside_low and inside_high:
        return Conformity.ACCEPT
    below = lower is not None and value <= lower - uncertainty + _NOISE
    above = upper is not None and value >= upper + uncertainty - _NOISE
    return Conformity.REJECT if below or above else Conformity.UNDECIDED


def combine(found: Iterable[tuple[Conformity, float]]) -> Conformity:
    """The verdict of several readings (verdict, uncertainty) of one size.

    A proven fault stands. Else the finest instrument speaks: every reading with the smallest
    uncertainty must be accepted. No reading: undecided.
    """
    readings = list(found)
    if any(v is Conformity.REJECT for v, _ in readings):
        return Conformity.REJECT
    if not readings:
        return Conformity.UNDECIDED
    finest = min(u for _, u in readings)
    spoken = {v for v, u in readings if u <= finest + _NOISE}
    return Conformity.ACCEPT if spoken == {Conformity.ACCEPT} else Conformity.UNDECIDED


def overall(verdicts: Iterable[Conformity]) -> Conformity:
    """The worst of all: one reject rejects, one open question leaves the whole open."""
    found = set(verdicts)
    for v in (Conformity.REJECT, Conformity.UNDECIDED):
        if v in found:
            return v
    return Conformity.ACCEPT if found else Conformity.UNDECIDED


def zone(
    lower: float | None, upper: float | None, uncertainty: float
) -> tuple[float | None, float | None] | None:
    """Readings that prove conformity; None if no reading can."""
    low = None if lower is None else lower + uncertainty
    high = None if upper is None else upper - uncertainty
    if low is not None and high is not None and low > high + _NOISE:
        return None
    return low, high
