"""Readings of one thread that cannot all be true: which two, and by how much.

Bounds that no 60° thread passes, whatever its list or its class, each against the readings'
expanded uncertainties combined (root of the sum of squares):

* a hole is smaller than the crests that hold in it, and the tenon's root smaller than both;
* crests stand above the hole by 5/4 H = 1.0825 P at most (ISO 68-1: D - D1; crests are no larger
  than D, holes no smaller than D1), and above the root by less than 2 H = 1.7321 P (a sharp V);
* a pitch is no coarser than a quarter of the diameter (ISO 261 and ASME B1.1: the coarsest held is
  M1.6x0.35 with 0.22 of it, a little more of a crest under size);
* one turn moves as many pitches as there are starts.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from mandrelgen.standards.thread_finder import Reading

HEIGHT = math.sqrt(3) / 2
"""H/P of a 60° thread (ISO 68-1)."""
COARSEST = 0.25


class Contradiction(NamedTuple):
    """Two readings (kinds of the finder), by how much they miss one another, mm, and why."""

    first: str
    second: str
    by: float
    why: str


def contradictions(readings: Mapping[str, Reading]) -> tuple[Contradiction, ...]:
    """Every pair of readings that cannot both be true, the worst first."""
    found = (*_order(readings), *_depth(readings), *_pitch(readings), *_lead(readings))
    return tuple(sorted(found, key=lambda c: -c.by))


def _over(value: float, *us: float) -> float:
    """What is left of an excess beyond the uncertainties; 0 if they explain it."""
    return value if value > math.hypot(*us) + 1e-9 else 0.0


def _order(r: Mapping[str, Reading]) -> Iterator[Contradiction]:
    """Which diameter is the larger one."""
    for large, small, why in (
        ("crest", "minor", "the hole is smaller than the crests that hold in it"),
        ("crest", "root", "a thread's root is smaller than its crests"),
        ("minor", "root", "the tenon's root is no larger than the hole it goes into"),
    ):
        if large in r and small in r:
            by = r[small].value - r[large].value
            if over := _over(by, r[small].u, r[large].u):
                yield Contradiction(large, small, over, why)


def _depth(r: Mapping[str, Reading]) -> Iterator[Contradiction]:
    """How far crests stand above hole or root, by the pitch, or by the coarsest there is."""
    if "crest" not in r:
        return
    known = "ten" in r
    pitch = r["ten"].value / 10 if known else COARSEST * r["crest"].value
    for small, share, why in (
        ("minor", 1.25 * HEIGHT, "crests stand above their hole by {most:.2f} at most"),
        ("root", 2 * HEIGHT, "a thread is {most:.2f} deep on the diameter at most"),
    ):
        if small in r:
            most = share * pitch
            u = share * r["ten"].u / 10 if known else 0.0
            if over := _over(r["crest"].value - r[small].value - most, r["crest"].u, r[small].u, u):
                of = f"at a pitch of {pitch:.2f}" if known else "at any pitch of such a diameter"
                yield Contradiction("crest", small, over, f"{of} {why.format(most=most)}")


def _pitch(r: Mapping[str, Reading]) -> Iterator[Contradiction]:
    """No pitch is coarser than the diameter bears; the crests are reckoned from hole or root."""
    below = {"crest": 0.0, "minor": 1.25 * HEIGHT, "root": 2 * HEIGHT}
    wide = next((k for k in below if k in r), "")
    if wide and "ten" in r:
        most = 10 * COARSEST * r[wide].value / (1 - below[wide] * COARSEST)
        if over := _over(r["ten"].value - most, r["ten"].u):
            why = f"threads of such a diameter are {most:.1f} over ten crests at most"
            yield Contradiction(wide, "ten", over, why)


def _lead(r: Mapping[str, Reading]) -> Iterator[Contradiction]:
    """A turn moves whole pitches: as many as there are starts, where they were counted."""
    if "lead" not in r or "ten" not in r:
        return
    pitch, lead = r["ten"].value / 10, r["lead"].value
    starts = r["starts"].value if "starts" in r else float(max(1, round(lead / pitch)))
    if over := _over(abs(lead - starts * pitch), r["lead"].u, starts * r["ten"].u / 10):
        counted = f"{starts:g} start{'s' if starts > 1 else ''} of {pitch:.2f} make a lead of "
        yield Contradiction("ten", "lead", over, f"{counted}{starts * pitch:.2f}")
