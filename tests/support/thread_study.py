"""The thread finder's study: random threads, simulated caliper readings, and a judge of its own."""

from __future__ import annotations

import random
from dataclasses import dataclass

from mandrelgen.standards.thread_finder import Reading, find
from tests.support.thread_judge import Thread, bands, threads, within

SETS = (
    ("crest", "ten", "starts"), ("crest", "ten"), ("crest", "starts"), ("minor", "ten", "starts"),
    ("crest", "ten", "starts", "root"), ("crest", "lead", "starts"), ("crest",),
)  # fmt: skip
"""What is read, in turn at random."""
UNCERTAINTIES = {"crest": (0.02, 0.03, 0.05), "ten": (0.03, 0.05, 0.1), "root": (0.05, 0.1),
                 "minor": (0.02, 0.05), "lead": (0.05, 0.1)}  # fmt: skip
"""Stated expanded uncertainties (k = 2), mm, one of them at random; the error that is simulated is
normal with half of it as its standard deviation."""


@dataclass
class Figures:
    """What came out."""

    decidable: int = 0
    true_first: int = 0
    alone: int = 0
    others: int = 0
    cannot: int = 0
    none_within: int = 0

    def text(self) -> str:
        """In a line."""
        return (
            f"{self.decidable + self.others} threads: decidable {self.decidable}, the true one "
            f"first in {self.true_first} ({self.true_first / self.decidable:.1%}), named without "
            f"doubt in {self.alone}; others {self.others} (in {self.none_within} none within), "
            f"'cannot decide' in {self.cannot} ({self.cannot / self.others:.1%})"
        )


def study(count: int, seed: int) -> Figures:
    """``count`` random threads of the judge's list, read and judged."""
    rng, held, out = random.Random(seed), threads(), Figures()
    for _ in range(count):
        thread = rng.choice(held)
        readings = _read(rng, thread)
        fits = [t for t in held if within(t, readings)]
        found = find({k: Reading(v, u) for k, (v, u) in readings.items()})
        if len(fits) == 1:
            out.decidable += 1
            best = found.matches[0].candidate.designation
            same = abs(best.diameter - thread[0]) < 1e-6 and abs(best.pitch - thread[1]) < 1e-6
            out.true_first += same and best.starts == thread[2]
            out.alone += found.decides is None
        else:
            out.others += 1
            out.none_within += not fits
            out.cannot += found.decides is not None
    return out


def _read(rng: random.Random, thread: Thread) -> dict[str, tuple[float, float]]:
    """A thread somewhere in its limits, and what a caliper reads on it, to 0.01 mm."""
    true = bands(thread)
    out: dict[str, tuple[float, float]] = {}
    for kind in rng.choice(SETS):
        if kind == "starts":
            out[kind] = (float(thread[2]), 0.0)
            continue
        u = rng.choice(UNCERTAINTIES[kind])
        size = rng.uniform(*true[kind])
        out[kind] = (round(rng.gauss(size, u / 2), 2), u)
    return out
