"""Mandrels as a turner made them, what a maker reads and tries on them at home, and whether they
hold a part true: simulated by plain arithmetic, with nothing of the program's.

Stated distributions (estimates, no source). Sizes: nine in ten about the middle of their limits, a
sixth of the width as standard deviation, the others with the whole width. Run-outs: a vector of a
third of the limit a component; one in eight between one and twelve times the limit. Lead over the
engaged length and the spacing of starts: 0.004; one in twenty-five 0.03 to 0.10. One in twenty has
a burr or a shoulder that holds the part off its face. The maker's parts and test pieces come of one
tap or die, anywhere in the part's limits, each 0.005 apart. A cup's counterbore is bored in one
setting with its thread (0.003 a component beside it); one in twenty-five in another: up to four
times its limit.

A mandrel is bad if a part does not go on by hand in every start (into a cup: its thread's crest or
root touches counterbore or crest of the cup), does not bear on the face, the shank does not go into
its collet, its face leans the part by more than half a degree (a kink that is seen along a pen: an
estimate), or the mismatch at the joint is above what the joint bears in more than one of twenty
parts. The thread centres somewhere between 0.01 and a quarter of its play;
the face tilts the part about the middle of the thread.
"""

from __future__ import annotations

import cmath
import math
import random
from dataclasses import dataclass, replace

PARTS = 300  # simulated parts on each mandrel
LEAN = 0.5  # degrees
FLANK = math.sqrt(3.0)  # what an axial error takes on the pitch diameter, 60° flanks


@dataclass(frozen=True)
class Facts:
    """The drawing's limits and the use, mm; ``crest``: of the mandrel's thread; ``part_major``,
    ``part_minor``: the largest of a part that goes into a cup; ``hole``: the cup's counterbore
    (None: a plug); ``others``: eccentricities up to which collet, the pen's own joint and the
    neighbour lie anywhere."""

    shank: tuple[float, float]
    crest: tuple[float, float]
    pitch: tuple[float, float]
    part_pitch: tuple[float, float]
    thread_runout: float
    seat_runout: float
    seat_diameter: float
    engaged: float
    starts: int
    need: float
    collet_runout: float
    others: tuple[float, ...]
    hole: tuple[float, float] | None = None
    part_major: float = 0.0
    part_minor: float = 0.0


@dataclass(frozen=True)
class AsMade:
    """One mandrel: sizes, run-outs as vectors (total reading), axial errors of its starts, burr;
    the pitch diameter that the maker's tap or die cuts; of a cup the counterbore, and its run-out
    beside the thread's."""

    shank: float
    crest: float
    pitch: float
    thread: complex
    seat: complex
    axial: tuple[float, ...]
    burr: bool
    part_pitch: float
    hole: float | None = None
    beside: complex = 0j


def make(f: Facts, rng: random.Random) -> AsMade:
    """The next mandrel."""
    axial = _axial(rng)
    made = AsMade(
        shank=_size(f.shank, rng),
        crest=_size(f.crest, rng),
        pitch=_size(f.pitch, rng),
        thread=_run_out(f.thread_runout, rng),
        seat=_run_out(f.seat_runout, rng),
        axial=tuple(abs(axial + (_axial(rng) if f.starts > 1 else 0.0)) for _ in range(f.starts)),
        burr=rng.random() < 0.05,
        part_pitch=rng.uniform(*f.part_pitch),
    )
    if f.hole is None:
        return made
    beside = complex(rng.gauss(0, 0.003), rng.gauss(0, 0.003))
    if rng.random() < 0.04:
        beside = cmath.rect(f.thread_runout * rng.uniform(0, 4), rng.uniform(0, math.tau))
    return replace(made, hole=_size(f.hole, rng), beside=beside)


def _size(limits: tuple[float, float], rng: random.Random) -> float:
    low, high = limits
    return rng.gauss((low + high) / 2, (high - low) / (6 if rng.random() < 0.9 else 1))


def _run_out(limit: float, rng: random.Random) -> complex:
    if rng.random() < 0.125:
        return cmath.rect(limit * rng.uniform(1, 12), rng.uniform(0, math.tau))
    return complex(rng.gauss(0, limit / 3), rng.gauss(0, limit / 3))


def _axial(rng: random.Random) -> float:
    if rng.random() < 0.04:
        return rng.choice((-1, 1)) * rng.uniform(0.03, 0.10)
    return rng.gauss(0, 0.004)


def binds(f: Facts, m: AsMade, start: int, part_pitch: float) -> bool:
    """Whether a part of that pitch diameter does not go on by hand in a start."""
    if m.hole is None:
        return m.pitch + FLANK * m.axial[start] > part_pitch
    touches = m.hole - abs(m.beside) < f.part_major or m.crest < f.part_minor
    return touches or part_pitch + FLANK * m.axial[start] > m.pitch


def play_of(m: AsMade, part_pitch: float) -> float:
    """How loose a part is on the mandrel, on the pitch diameter, mm."""
    return max(0.0, part_pitch - m.pitch if m.hole is None else m.pitch - part_pitch)


def mismatches(f: Facts, m: AsMade, rng: random.Random) -> list[float]:
    """The mismatch of each of many parts at the joint, mm, the smallest first."""
    play = play_of(m, m.part_pitch)
    fixed = m.thread / 2 + m.seat / f.seat_diameter * f.engaged / 2
    found = []
    for _ in range(PARTS):
        left = rng.uniform(min(0.01, play / 2), max(0.01, play / 8))
        loose = [left, *f.others]
        found.append(abs(fixed + sum(_anywhere(r, rng) for r in loose)))
    return sorted(found)


def _anywhere(radius: float, rng: random.Random) -> complex:
    """A vector of any direction and of any length up to a radius."""
    return cmath.rect(radius * rng.random(), rng.uniform(0, math.tau))


def fits_collet(f: Facts, m: AsMade) -> bool:
    """A collet takes its size and half a millimetre less, not more."""
    return f.shank[1] - 0.5 <= m.shank <= f.shank[1] + 0.005


def faults(f: Facts, m: AsMade, rng: random.Random) -> list[str]:
    """Why a mandrel is bad; empty: it is good."""
    found = []
    if not fits_collet(f, m):
        found.append("shank")
    if any(binds(f, m, n, m.part_pitch) for n in range(f.starts)):
        found.append("thread")
    if m.burr:
        found.append("face")
    if abs(m.seat) / f.seat_diameter > math.tan(math.radians(LEAN)):
        found.append("lean")
    if mismatches(f, m, rng)[math.ceil(0.95 * PARTS) - 1] > f.need:
        found.append("mismatch")
    return found


def calipers(m: AsMade, u: float, inside: float, rng: random.Random) -> dict[str, str]:
    """What a caliper of expanded uncertainty ``u``, in a hole ``inside``, reads, to the
    hundredth."""
    said = {"shank.diameter": f"{rng.gauss(m.shank, u / 2):.2f}@caliper"}
    if m.hole is None:
        return said | {"thread.major_diameter": f"{rng.gauss(m.crest, u / 2):.2f}@caliper"}
    said |= {"thread.minor_diameter": f"{rng.gauss(m.crest, inside / 2):.2f}@caliper"}
    return said | {"counterbore.diameter": f"{rng.gauss(m.hole, inside / 2):.2f}@caliper"}


def by_hand(f: Facts, m: AsMade, rng: random.Random) -> dict[str, str]:
    """What hand and paper show; one in ten is mistaken about whose a loose place is."""
    piece = m.part_pitch + rng.uniform(-0.0025, 0.0025)
    goes = [not binds(f, m, n, piece + rng.gauss(0, 0.002)) for n in range(f.starts)]
    said = {"clamps": _yes(fits_collet(f, m))}
    said |= {f"screws.{n}": _yes(good) for n, good in enumerate(goes, 1)}
    if not any(goes):
        return said
    said["shake"] = f"{max(0.0, rng.gauss(play_of(m, piece), 0.015)):.2f}"
    crooked = rng.random() < 0.1  # the piece's own face
    if not m.burr and not crooked:
        return said | {"seats": "all", "rocks": "no"}
    right = rng.random() < 0.9
    said |= {"seats": f"{rng.randint(1, 3)} of 4"}
    said |= {"seats.follows": "mandrel" if m.burr == right else "part"}
    return said | {"rocks": _yes(m.burr and rng.random() < 0.7)}


def indicator(f: Facts, m: AsMade, rng: random.Random) -> dict[str, str]:
    """Run-outs in the maker's collet, the mandrel turned half round between: the dial is off by
    0.005 and the collet repeats to 0.005 (standard deviations 0.0025 a component and 0.0025), the
    high spot is read to 15°. The collet itself is read on a ground pin."""
    if not fits_collet(f, m):
        return {}
    radial, axial = (_anywhere(f.collet_runout, rng) for _ in "xy")
    said = {"collet": f"{abs(rng.gauss(abs(radial), 0.005)):.3f}"}
    centre = ("thread", m.thread) if m.hole is None else ("counterbore", m.thread + m.beside)
    for name, own, collet in ((*centre, radial), ("seat", m.seat, axial)):
        for n, sign in ((1, 1), (2, -1)):
            seen = collet + sign * own + complex(*(rng.gauss(0, 0.005) for _ in "xy"))
            spot = round(math.degrees(cmath.phase(seen)) / 15 + rng.gauss(0, 0.3)) * 15 % 360
            text = f"{min(1.0, round(abs(seen) / 0.005) * 0.005):.3f}"
            said[f"runout.{name}.{n}"] = f"{text}@{spot}"
    return said


def _yes(good: bool) -> str:
    return "yes" if good else "no"
