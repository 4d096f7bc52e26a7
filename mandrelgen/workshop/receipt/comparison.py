"""A mandrel's verdict as designed and as made, side by side: what changed, and by what."""

from __future__ import annotations

import math
from collections.abc import Iterator

from mandrelgen.core.frozen import dataclass
from mandrelgen.mechanics.assessment_types import Assessment, Gap, Mismatch
from mandrelgen.mechanics.concentricity import Felt, Outcome
from mandrelgen.mechanics.practice import judged

GAPS = {"play": "least play", "seat": "least room", "engagement": "in engagement"}


@dataclass(frozen=True, slots=True, kw_only=True)
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
    """What one characteristic adds to the joint step, tightened: eccentricity, mm."""

    id: str
    label: str
    designed: float
    made: float


@dataclass(frozen=True, slots=True, kw_only=True)
class EndInUse:
    """One end in use. ``joint``: where the step shows (empty: the neighbour is taken as true),
    ``target`` mm; ``met``: as made, nothing says that it misses it (a joint that is not flush is
    not judged). ``need``: the mismatch that the joint bears, mm: the target where it is flush, else
    what makes its shoulder visibly uneven (an estimate)."""

    part: str
    end: str
    joint: str
    target: float
    need: float
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
        part=made.part,
        end=made.end,
        joint=step.joint,
        target=step.target,
        need=need(step),
        met=step.outcome is not Outcome.NOT_MET,
        designed_met=designed.truth.step.outcome is not Outcome.NOT_MET,
        figures=tuple(_figures(designed, made)),
        terms=tuple(_terms(designed, made)),
    )


def need(step: Mismatch) -> float:
    """The mismatch that a joint bears, mm."""
    joined = step.joined
    if joined is None or joined.felt is Felt.FLUSH:
        return step.target
    return max(step.target, judged("concentricity", "reveal_share") * joined.shoulder)


def _figures(a: Assessment, b: Assessment) -> Iterator[Figure]:
    yield from _true(a, b)
    theirs = {g.id: g for g in a.gaps}
    for g in b.gaps:
        yield from _gap(theirs.get(g.id), g)
    if a.speed is not None and b.speed is not None:
        yield Figure(
            id="max_speed",
            label="highest speed",
            unit="1/min",
            designed=float(a.speed.allowed),
            made=float(b.speed.allowed),
            more=True,
        )
    if a.stiffness is not None and b.stiffness is not None:
        yield Figure(
            id="deflection",
            label="bends at the tool in normal work",
            unit="mm",
            designed=a.stiffness.used.tool,
            made=b.stiffness.used.tool,
        )
    if a.capacity is not None and b.capacity is not None:
        yield Figure(
            id="capacity",
            label="force that the mandrel bears across the axis",
            unit="N",
            designed=_finite(a.capacity.mandrel),
            made=_finite(b.capacity.mandrel),
            more=True,
        )
    known = {c.id: c for c in a.checks}
    for c in b.checks:
        if c.id in known:
            yield Figure(
                id=f"safety.{c.id}",
                label=f"safety: {c.label} ({c.asked:g} asked)",
                unit="",
                designed=_finite(known[c.id].factor),
                made=_finite(c.factor),
                more=True,
            )


def _true(a: Assessment, b: Assessment) -> Iterator[Figure]:
    x, y = a.truth, b.truth
    s, t = x.step.states, y.step.states
    for id, label, designed, made in (
        ("joint_step", "joint step, tightened, statistical",
         s.tight.statistical, t.tight.statistical),
        ("joint_step.centred", "joint step, tightened, thread centring itself, statistical",
         x.step.centred.statistical, y.step.centred.statistical),
        ("joint_step.worst", "joint step, tightened, worst case", s.tight.worst, t.tight.worst),
        ("joint_step.loose", "joint step, not tightened, statistical",
         s.loose.statistical, t.loose.statistical),
        ("runout_seat", "run-out at the seat, statistical",
         x.runout_seat.tight.statistical, y.runout_seat.tight.statistical),
        ("runout_end", "run-out at the part's far end, statistical",
         x.runout_end.tight.statistical, y.runout_end.tight.statistical),
        ("remount", "shift when put back, statistical",
         x.remount.statistical, y.remount.statistical),
    ):  # fmt: skip
        yield Figure(id=id, label=label, unit="mm", designed=designed, made=made)
    if x.wall is not None and y.wall is not None:
        yield Figure(
            id="thinnest_wall",
            label=f"thinnest wall, {y.wall.where}, statistical",
            unit="mm",
            designed=x.wall.statistical,
            made=y.wall.statistical,
            more=True,
        )


def _gap(a: Gap | None, b: Gap) -> Iterator[Figure]:
    yield Figure(
        id=f"fit.{b.id}",
        label=f"{GAPS.get(b.kind, b.kind)}: {b.label}",
        unit="mm",
        designed=None if a is None else a.least,
        made=b.least,
        more=True,
    )
    if b.most is not None:
        yield Figure(
            id=f"fit.{b.id}.most",
            label=f"most play: {b.label}",
            unit="mm",
            designed=None if a is None else a.most,
            made=b.most,
        )


def _terms(a: Assessment, b: Assessment) -> Iterator[Term]:
    def of(v: Assessment) -> dict[tuple[str, str], float]:
        return {(s.cause.id, s.cause.label): s.eccentricity for s in v.truth.step.budget.shares}

    before, after = of(a), of(b)
    for key in dict.fromkeys((*before, *after)):
        yield Term(*key, before.get(key, 0.0), after.get(key, 0.0))


def _finite(x: float) -> float | None:
    """None for a safety without a demand."""
    return x if math.isfinite(x) else None
