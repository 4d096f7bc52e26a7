"""A judge of the thread finder that imports nothing of it: its own list of threads and its own
arithmetic, from the rules of the standards.

**List** (60° threads, 1.6 to 25.4 mm): metric coarse (ISO 261:1998, Table 2) and fine (the same,
first and second choice, to M25); metric constant pitch 0.5, 0.7, 0.75, 0.8, 1 from 4 to 20 mm by
0.5; two to four starts of 0.7, 0.75, 0.8, 1 from 8 to 16 mm by 0.5; UNC, UNF, UNEF (ASME
B1.1-2003, Table 1) to 1 inch; constant pitch 20, 28 and 32 from 1/8 to 3/4 inch by 1/64. Families
without a table keep to pitches of at most a fifth of the diameter. All from memory.

**Arithmetic**, unrounded (the finder rounds as the tables do: metric tolerances to the R40 series
and whole micrometres, basic sizes to 0.001 mm or 0.0001 in):

* metric (ISO 965-1:2013, clause 13): es(g) = -(15 + 11 P) µm, Td(6) = 180 P^(2/3) - 3.15 P^(-1/2),
  Td2(6) = 90 P^0.4 d^0.1 with d the geometric mean of the diameter range, TD1(6) = 433 P - 190
  P^1.22 up to 0.8, else 230 P^0.7; d3 min = d2 min - H + 2·0.125 P;
* unified (ASME B1.1-2003, clause 8): Td2(2A) = 0.0015 D^(1/3) + 0.0015 LE^(1/2) + 0.015 P^(2/3)
  inch, allowance 0.3 of it, Td(2A) = 0.060 P^(2/3), TD1(2B) = 0.25 P - 0.40 P² (from 1/4 inch),
  LE = D for UNC and UNF, 9 P for the others.

Crest: from the least of 6g or 2A to the basic size. Root: from the least (metric R = 0.125 P; inch
3/4 H below the least pitch diameter) to the basic minor diameter. Minor of a nut: 6H, 2B. Over ten
crests: 10 P. Lead: n P.
"""

from __future__ import annotations

import math
from fractions import Fraction

Thread = tuple[float, float, int, str]
"""Diameter and pitch in mm, starts, and U (coarse and fine inch), E (other inch) or M."""

_COARSE = (
    "1.6 .35|1.8 .35|2 .4|2.2 .45|2.5 .45|3 .5|3.5 .6|4 .7|4.5 .75|5 .8|6 1|7 1|8 1.25|9 1.25|"
    "10 1.5|11 1.5|12 1.75|14 2|16 2|18 2.5|20 2.5|22 2.5|24 3"
)
_FINE = (
    "3 .35|3.5 .35|4 .5|4.5 .5|5 .5|5.5 .5|6 .75|7 .75|8 1 .75|9 1 .75|10 1.25 1 .75|11 1 .75|"
    "12 1.5 1.25 1|14 1.5 1.25 1|15 1.5 1|16 1.5 1|17 1.5 1|18 2 1.5 1|20 2 1.5 1|22 2 1.5 1|"
    "24 2 1.5 1|25 2 1.5 1"
)
_UN = (
    "#1 64|#2 56|#3 48|#4 40|#5 40|#6 32|#8 32|#10 24|#12 24|1/4 20|5/16 18|3/8 16|7/16 14|1/2 13|"
    "9/16 12|5/8 11|3/4 10|7/8 9|1 8|#1 72|#2 64|#3 56|#4 48|#5 44|#6 40|#8 36|#10 32|#12 28|"
    "1/4 28|5/16 24|3/8 24|7/16 20|1/2 20|9/16 18|5/8 18|3/4 16|7/8 14|1 12"
)
_UNEF = (
    "#12 32|1/4 32|5/16 32|3/8 32|7/16 28|1/2 28|9/16 24|5/8 24|11/16 24|3/4 20|13/16 20|7/8 20|"
    "15/16 20|1 20"
)
_RANGES = (0.99, 1.4, 2.8, 5.6, 11.2, 22.4, 45)
_H = math.sqrt(3) / 2


def _size(text: str) -> Fraction:
    return Fraction(60 + 13 * int(text[1:]), 1000) if text[0] == "#" else Fraction(text)


def threads() -> tuple[Thread, ...]:
    """The whole list, each thread once."""
    out: dict[tuple[float, float, int], str] = {}

    def add(d: Fraction, p: Fraction, n: int, kind: str) -> None:
        if Fraction(16, 10) <= d <= Fraction(254, 10):
            out.setdefault((float(d), float(p), n), kind)

    for table in (_COARSE, _FINE):
        for row in table.split("|"):
            d, *pitches = row.split()
            for p in pitches:
                add(Fraction(d), Fraction(p), 1, "M")
    for table, kind in ((_UN, "U"), (_UNEF, "E")):
        for row in table.split("|"):
            size, tpi = row.split()
            add(_size(size) * Fraction(254, 10), Fraction(254, 10) / int(tpi), 1, kind)
    for first, last, pitches, starts in (
        (8, 40, (".5", ".7", ".75", ".8", "1"), (1,)), (16, 32, (".7", ".75", ".8", "1"), (2, 3, 4))
    ):  # fmt: skip
        for n in starts:
            for half in range(first, last + 1):
                for p in map(Fraction, pitches):
                    if 5 * p <= Fraction(half, 2):
                        add(Fraction(half, 2), p, n, "M")
    for n in range(8, 49):
        for tpi in (20, 28, 32):
            if Fraction(5, tpi) <= Fraction(n, 64):
                add(Fraction(n, 64) * Fraction(254, 10), Fraction(254, 10) / tpi, 1, "E")
    return tuple((d, p, n, kind) for (d, p, n), kind in out.items())


def bands(t: Thread) -> dict[str, tuple[float, float]]:
    """What the thread allows each reading to be, mm."""
    d, p, n, kind = t
    d1 = d - 1.25 * _H * p
    low, root, bore = _metric(d, p) if kind == "M" else _unified(d, p, kind)
    return {
        "crest": (low, d), "root": (root, d1), "minor": (d1, bore),
        "ten": (10 * p, 10 * p), "lead": (n * p, n * p),
    }  # fmt: skip


def _metric(d: float, p: float) -> tuple[float, float, float]:
    over = max(r for r in _RANGES if r < d)
    mean = math.sqrt(over * _RANGES[_RANGES.index(over) + 1])
    es = -(15 + 11 * p) / 1000
    td = (180 * p ** (2 / 3) - 3.15 / math.sqrt(p)) / 1000
    td2 = 90 * p**0.4 * mean**0.1 / 1000
    td1 = (433 * p - 190 * p**1.22 if p <= 0.8 else 230 * p**0.7) / 1000
    d2 = d - 0.75 * _H * p
    return d + es - td, d2 + es - td2 - _H * p + 0.25 * p, d - 1.25 * _H * p + td1


def _unified(d: float, p: float, kind: str) -> tuple[float, float, float]:
    di, pi = d / 25.4, p / 25.4
    length = di if kind == "U" else 9 * pi
    td2 = 0.0015 * di ** (1 / 3) + 0.0015 * math.sqrt(length) + 0.015 * pi ** (2 / 3)
    es = -0.3 * td2
    td1 = 0.25 * pi - 0.4 * pi**2
    if di < 0.25:
        td1 = max(min(0.05 * pi ** (2 / 3) + 0.03 * pi / di - 0.002, 0.394 * pi), td1)
    low = di + es - 0.060 * pi ** (2 / 3)
    d2 = di - 0.75 * _H * pi
    root = d2 + es - td2 - 0.75 * _H * pi
    return 25.4 * low, 25.4 * root, 25.4 * (di - 1.25 * _H * pi + td1)


def within(t: Thread, readings: dict[str, tuple[float, float]]) -> bool:
    """True if every reading (value, uncertainty) touches what the thread allows."""
    allowed = bands(t)
    for kind, (value, u) in readings.items():
        if kind == "starts":
            if t[2] != round(value):
                return False
        elif not allowed[kind][0] - u <= value <= allowed[kind][1] + u:
            return False
    return True
