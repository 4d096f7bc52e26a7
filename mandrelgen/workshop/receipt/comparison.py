"""A mandrel's verdict as designed and as made, side by side: what changed, and by what."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from mandrelgen.mechanics.verdict_types import Assessment, Gap

GAPS = {"play": "least play", "seat": "least room", "engagement": "in engagement"}


@dataclass(frozen=True, slots=True)
class Figure:
    """One result, designed and as made, in ``unit``; ``more``: more of it is better. None: there
    is none (a button has no speed)."""

    id: str
    label: str
    unit: str
    designed: float | None
    made: float | None
    more: bool = False

    @property
    def worse(self) -> bool:
        """True if what was made serves worse in this than what was drawn."""
        if self.designed is None or self.made is None:
            return False
        loss = self.designed - self.made if self.more else self.made - self.designed
        return loss > 1e-9


@dataclass(frozen=True, slots=True)
class Term:
    """What one characteristic adds to the joint step, pulled tight: eccentricity, mm."""

    id: str
    label: str
    designed: float
    made: float


@dataclass(frozen=True, slots=True)
class EndInUse:
    """One end in use. ``joint``: where the step shows (empty: the neighbour is taken as true),
    ``target`` mm; ``met``: as made, the step keeps within it."""

    part: str
    end: str
    joint: str
    target: float
    met: bool
    designed_met: bool
    figures: tuple[Figure, ...]
    terms: tuple[Term, ...]

    def figure(self, id: str) -> Figure:
        """The figure of that id; KeyError if there is none."""
        for f in self.figures:
            if f.id == id:
                return f
        raise KeyError(id)


def side(designed: Assessment, made: Assessment) -> EndInUse:
    """Both verdicts on one end."""
    step = made.truth.step
    return EndInUse(
        made.part, made.end, step.joint, step.target, step.met, designed.truth.step.met,
        tuple(_figures(designed, made)), tuple(_terms(designed, made)),
    )  # fmt: skip


def _figures(a: Assessment, b: Assessment) -> Iterator[Figure]:
    yield from _true(a, b)
    theirs = {g.id: g for g in a.gaps}
    for g in b.gaps:
        yield from _gap(theirs.get(g.id), g)
    if a.speed is not None and b.speed is not None:
        yield Figure("max_speed", "highest speed", "1/min",
                     float(a.speed.allowed), float(b.speed.allowed), True)  # fmt: skip
    if a.stiffness is not None and b.stiffness is not None:
        yield Figure("deflection", "bends at the tool in normal work", "mm",
                     a.stiffness.used.tool, b.stiffness.used.tool)  # fmt: skip
    known = {c.id: c for c in a.checks}
    for c in b.checks:
        if c.id in known:
            yield Figure(f"safety.{c.id}", f"safety: {c.label} ({c.asked:g} asked)", "",
                         _finite(known[c.id].factor), _finite(c.factor), True)  # fmt: skip


def _true(a: Assessment, b: Assessment) -> Iterator[Figure]:
    x, y = a.truth, b.truth
    s, t = x.step.states, y.step.states
    yield Figure("joint_step", "joint step, pulled tight, statistical", "mm",
                 s.tight.statistical, t.tight.statistical)  # fmt: skip
    yield Figure("joint_step.worst", "joint step, pulled tight, worst case", "mm",
                 s.tight.worst, t.tight.worst)  # fmt: skip
    yield Figure("joint_step.loose", "joint step, not drawn up, statistical", "mm",
                 s.loose.statistical, t.loose.statistical)  # fmt: skip
    yield Figure("runout_seat", "run-out at the seat, statistical", "mm",
                 x.runout_seat.tight.statistical, y.runout_seat.tight.statistical)  # fmt: skip
    yield Figure("runout_end", "run-out at the part's far end, statistical", "mm",
                 x.runout_end.tight.statistical, y.runout_end.tight.statistical)  # fmt: skip
    yield Figure("remount", "shift when put back, statistical", "mm",
                 x.remount.statistical, y.remount.statistical)  # fmt: skip
    if x.wall is not None and y.wall is not None:
        yield Figure("thinnest_wall", f"thinnest wall, {y.wall.where}, statistical", "mm",
                     x.wall.statistical, y.wall.statistical, True)  # fmt: skip


def _gap(a: Gap | None, b: Gap) -> Iterator[Figure]:
    yield Figure(f"fit.{b.id}", f"{GAPS.get(b.kind, b.kind)}: {b.label}", "mm",
                 None if a is None else a.least, b.least, True)  # fmt: skip
    if b.most is not None:
        yield Figure(f"fit.{b.id}.most", f"most play: {b.label}", "mm",
                     None if a is None else a.most, b.most)  # fmt: skip


def _terms(a: Assessment, b: Assessment) -> Iterator[Term]:
    def of(v: Assessment) -> dict[tuple[str, str], float]:
        return {(s.cause.id, s.cause.label): s.eccentricity for s in v.truth.step.budget.shares}

    before, after = of(a), of(b)
    for key in dict.fromkeys((*before, *after)):
        yield Term(*key, before.get(key, 0.0), after.get(key, 0.0))


def _finite(x: float) -> float | None:
    """None for a safety without a demand."""
    return x if math.isfinite(x) else None
