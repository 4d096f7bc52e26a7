"""Which thread is it? Candidates from what a caliper reads, and the reading that would decide.

**The list.** All 60° threads (ISO 68-1, ASME B1.1), one or more starts, 1.6 to 25.4 mm:

* metric coarse and fine (ISO 261, the tables held here);
* metric constant pitch, the usual family of the pen trade (common practice, no source): diameters
  4 to 20 mm by 0.5 mm, pitches 0.5, 0.7, 0.75, 0.8 and 1 mm;
* several starts, ours: diameters 8 to 16 mm by 0.5 mm, pitches 0.7, 0.75, 0.8 and 1 mm, 2, 3 and
  4 starts;
* inch: UNC, UNF, UNEF (ASME B1.1), and constant pitch 20, 28 and 32 threads per inch from 5/32
  to 3/4 inch by 1/64 (UN or UNS).

A pitch coarser than a fifth of the diameter is left out of the families without a table.

**What a thread predicts.** Crest: from the least major diameter of 6g or 2A to the basic size (6h,
3A), as a caliper across the crests reads it. Root: from the least minor diameter of 6g (R = 0.125
P) or 2A (3/4 H below the pitch diameter) to the basic minor diameter. Minor, in a hole: the limits
of 6H or 2B. Over ten crests: 10 P, from a crest to the tenth after it (the eleventh). Lead: n P.
Sizes in mm, limits as ``threads.limits`` rounds them.

**Agreement.** Each reading's distance to what the thread predicts, divided by its uncertainty
(k = 2); the worst of them is z. Agreement is 1/(1 + z): 1 where every reading lies inside, 0.5
where one is just at its uncertainty, lower beyond. Starts are counted: other numbers are left out.
Equal agreement is ordered by how usual the family is, then by how near the middle the readings lie.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from fractions import Fraction
from functools import cache

from mandrelgen.core.frozen import dataclass
from mandrelgen.core.lengths import Length
from mandrelgen.standards.designation import Designation, ThreadTextError, parse
from mandrelgen.standards.tables import NotHeldError, load
from mandrelgen.standards.threads import limits

KINDS = ("crest", "ten", "starts", "root", "minor", "lead")
USUAL_UNCERTAINTY = {"crest": 0.03, "ten": 0.05, "root": 0.05, "minor": 0.05, "lead": 0.1}
"""Expanded uncertainty (k = 2) of a caliper, mm: common practice, no source; ``root`` with the
knife edges, ``ten`` and ``lead`` set on crests by eye (estimates)."""
WITHIN = 0.5
"""Agreement from which on every reading lies within its uncertainty."""
SMALLEST, LARGEST = 1.6, 25.4
_HALF = Fraction(1, 2)


@dataclass(frozen=True, slots=True)
class Reading:
    """A reading with its expanded uncertainty (k = 2), mm; of ``starts`` a count, ``u`` 0.

    ``assumed``: the uncertainty was not given, and is the usual one.
    """

    value: float
    u: float
    assumed: bool = False


@dataclass(frozen=True, slots=True)
class Predicted:
    """The limits a thread sets to a reading, mm."""

    low: float
    high: float

    def distance(self, value: float) -> float:
        """How far a value lies outside, mm; 0 inside."""
        return max(0.0, self.low - value, value - self.high)

    @property
    def middle(self) -> float:
        """The middle, mm."""
        return (self.low + self.high) / 2


@dataclass(frozen=True, slots=True)
class Candidate:
    """A thread of the list; ``family`` is its place in the order of what is usual."""

    designation: Designation
    family: int
    predicted: Mapping[str, Predicted]


@dataclass(frozen=True, slots=True)
class Match:
    """A candidate and how well it agrees; ``worst`` is the reading it disagrees with most, and
    ``z`` by how many of its uncertainties."""

    candidate: Candidate
    z: float
    worst: str
    off_middle: float

    @property
    def agreement(self) -> float:
        """1/(1 + z)."""
        return 1 / (1 + self.z)

    @property
    def within(self) -> bool:
        """True if every reading lies within its uncertainty."""
        return self.z <= 1.0


@dataclass(frozen=True, slots=True)
class Found:
    """Matches, best first; ``decides`` the reading that would part the best two, None if exactly
    one thread agrees with every reading."""

    readings: Mapping[str, Reading]
    matches: tuple[Match, ...]
    decides: str | None

    @property
    def within(self) -> tuple[Match, ...]:
        """Those that agree with every reading within its uncertainty."""
        return tuple(m for m in self.matches if m.within)


def find(readings: Mapping[str, Reading], most: int = 12) -> Found:
    """The threads that agree best, at most ``most`` and all that agree within the uncertainties.

    ``readings`` by kind (see ``KINDS``), at least one diameter. Raises ValueError for another
    kind, no diameter, or an uncertainty that is not above 0.
    """
    _check(readings)
    held = sorted((_match(c, readings) for c in candidates() if _counted(c, readings)), key=_order)
    inside = sum(m.within for m in held)
    matches = tuple(held[: max(most, inside)])
    if inside == 1 or len(matches) < 2:
        return Found(readings, matches, None)
    first, second = matches[0].candidate, matches[1].candidate
    return Found(readings, matches, deciding(first, second, readings))


def deciding(a: Candidate, b: Candidate, readings: Mapping[str, Reading]) -> str:
    """The reading whose predictions for two threads lie furthest apart, counted in its
    uncertainty (the given one, else the usual); one that is still to be taken wins a tie."""
    if a.designation.starts != b.designation.starts and "starts" not in readings:
        return "starts"

    def apart(kind: str) -> tuple[float, float, bool]:
        pa, pb = a.predicted[kind], b.predicted[kind]
        u = readings[kind].u if kind in readings else USUAL_UNCERTAINTY[kind]
        gap = max(0.0, pa.low - pb.high, pb.low - pa.high)
        return gap / u, abs(pa.middle - pb.middle) / u, kind not in readings

    return max((k for k in KINDS if k != "starts"), key=apart)


def _check(readings: Mapping[str, Reading]) -> None:
    if unknown := [k for k in readings if k not in KINDS]:
        raise ValueError(f"'{unknown[0]}' is no reading of a thread; use {', '.join(KINDS)}")
    if not {"crest", "root", "minor"} & set(readings):
        raise ValueError("a diameter is needed: crest, root or minor")
    for kind, r in readings.items():
        if not (math.isfinite(r.value) and r.value > 0 and (kind == "starts" or r.u > 0)):
            raise ValueError(f"{kind} = {r.value:g} ± {r.u:g} is not a reading")


def _counted(c: Candidate, readings: Mapping[str, Reading]) -> bool:
    return "starts" not in readings or c.designation.starts == readings["starts"].value


def _match(c: Candidate, readings: Mapping[str, Reading]) -> Match:
    sizes = {kind: r for kind, r in readings.items() if kind != "starts"}
    z = {kind: c.predicted[kind].distance(r.value) / r.u for kind, r in sizes.items()}
    worst = max(z, key=z.__getitem__)
    off = sum(((r.value - c.predicted[kind].middle) / r.u) ** 2 for kind, r in sizes.items())
    # A reading at its very uncertainty counts as within, whatever binary fractions make of it.
    return Match(c, round(z[worst], 9), worst, off)


def _order(m: Match) -> tuple[float, int, float]:
    return round(m.z, 6), m.candidate.family, m.off_middle


@cache
def candidates() -> tuple[Candidate, ...]:
    """Every thread of the list, the usual families first; each thread once."""
    out: dict[tuple[Fraction, Fraction, int], Candidate] = {}
    for family, threads in enumerate(_families()):
        for d in threads:
            key = (d.diameter.exact, d.pitch.exact, d.starts)
            if key not in out and SMALLEST - 1e-9 <= d.diameter <= LARGEST + 1e-9:
                try:
                    out[key] = Candidate(d, family, predict(d))
                except NotHeldError:
                    continue
    return tuple(out.values())


def predict(d: Designation) -> dict[str, Predicted]:
    """What a thread predicts for each reading, mm. Raises NotHeldError without limits for it."""
    plain = replace(d, tolerance_class="")  # a nut's class says nothing of the screw
    screw, nut = limits(plain, True), limits(plain, False)
    assert screw.major.min is not None
    assert nut.minor.max is not None
    pitch = float(d.pitch)
    return {
        "crest": Predicted(screw.major.min, screw.basic.major),
        "root": Predicted(screw.minor_min_worst, screw.basic.minor),
        "minor": Predicted(nut.minor_min_worst, nut.minor.max),
        "ten": Predicted(10 * pitch, 10 * pitch),
        "lead": Predicted(d.lead, d.lead),
    }


def _families() -> Iterator[Iterable[Designation]]:
    coarse: dict[str, float] = load("iso_261_coarse")["pitch"]
    fine: dict[str, list[float]] = load("iso_261_fine")["pitches"]
    yield [_named(f"M{d}x{p:g}") for d, p in coarse.items() if float(d) >= 1.6]
    yield [_named(f"M{d}x{p:g}") for d, pitches in fine.items() for p in pitches]
    series = load("asme_b1_1_series")
    yield [_named(f"{d}-{n} {s}") for s in ("UNC", "UNF", "UNEF") for d, n in series[s].items()]
    yield _metric(4, 20, ("0.5", "0.7", "0.75", "0.8", "1"), (1,))
    yield _metric(8, 16, ("0.7", "0.75", "0.8", "1"), (2, 3, 4))
    yield _inch_constant()


def _metric(
    first: int, last: int, pitches: Iterable[str], starts: Iterable[int]
) -> Iterator[Designation]:
    for n in starts:
        for half in range(2 * first, 2 * last + 1):
            for p in map(Fraction, pitches):
                if p * 5 <= half * _HALF:
                    yield Designation("M", Length(half * _HALF), Length(p), n)


def _inch_constant() -> Iterator[Designation]:
    for n in range(49):  # of those below 5/32 every pitch is coarser than a fifth
        for tpi in (20, 28, 32):
            if Fraction(5, tpi) <= Fraction(n, 64):
                yield _named(f"{Fraction(n, 64)}-{tpi}")


def _named(text: str) -> Designation:
    try:
        return parse(text)
    except ThreadTextError as e:  # a row of a table that is no thread is a fault of the table
        raise ValueError(f"{text}: {e}") from e
