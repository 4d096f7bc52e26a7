"""The verdict in a paragraph a maker understands: how true, how strong, how fast, and why."""

from __future__ import annotations

from collections.abc import Sequence

from mandrelgen.core.tolerance import text_of
from mandrelgen.mechanics.assessment_types import Assessment

# A whirling speed above this is no number a maker needs, 1/min.
FAR_ABOVE = 100_000


def paragraph(v: Assessment) -> tuple[str, ...]:
    """A few lines, each with its number and the reason."""
    lines = [_true(v), _remount(v)]
    if v.stiffness is not None:
        lines.append(_bends(v))
    if v.weakest is not None:
        lines.append(_strong(v))
    if v.speed is not None:
        lines.append(_fast(v))
    if v.screwed is not None:
        lines.append(_thread(v))
    if v.life is not None:
        lines.append(
            f"life: about {v.life.low} to {v.life.high} pens ({v.life.label}: {v.life.basis})"
        )
    return tuple(lines)


def assumed(verdicts: Sequence[Assessment]) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """What all verdicts assume, and what each assumes besides."""
    shared = tuple(
        a
        for a in (verdicts[0].assumptions if verdicts else ())
        if all(a in v.assumptions for v in verdicts)
    )
    return shared, tuple(tuple(a for a in v.assumptions if a not in shared) for v in verdicts)


def _true(v: Assessment) -> str:
    step = v.truth.step
    if v.stiffness is None:
        return (
            f"how true: run-out {text_of(v.truth.runout_seat.tight.statistical)} of the part's end "
            f"on the button ({text_of(v.truth.runout_seat.tight.worst)} at worst)"
        )
    tight = step.states.tight
    at = f"joint {step.joint}" if step.joint else "its end (no neighbour in the file)"
    if step.joint and not step.neighbour_known:
        at += " (its neighbour has no mandrel here and is taken as true)"
    why = ", ".join(f"{s.cause.label} {s.of_variance:.0%}" for s in step.budget.shares[:2])
    return (
        f"how true: step at {at} up to {text_of(tight.statistical)} ({text_of(tight.worst)} at "
        f"worst), target {text_of(step.target)}: {'met' if step.met else 'NOT met'}; mostly {why}; "
        f"run-out {text_of(v.truth.runout_seat.tight.statistical)} at the seat"
    )


def _remount(v: Assessment) -> str:
    wall = v.truth.wall
    thin = (
        f"; thinnest wall {text_of(wall.statistical, 2)} {wall.where} "
        f"({text_of(wall.worst, 2)} at worst)"
        if wall is not None
        else ""
    )
    return (
        f"put back for polishing it shifts up to {text_of(v.truth.remount.statistical)} "
        f"({text_of(v.truth.regripped.statistical)} if the mandrel was taken out too){thin}"
    )


def _bends(v: Assessment) -> str:
    st = v.stiffness
    if st is None:
        return ""
    return (
        f"how stiff: the tool pushes the far end away by {text_of(st.away.tool)} with the "
        f"tailstock away, the middle by {text_of(st.up.tool)} with it up"
    )


def _strong(v: Assessment) -> str:
    w = v.weakest
    if w is None:
        return ""
    fails = sum(not c.passes for c in v.checks)
    tail = f"; {fails} of {len(v.checks)} places fail, see below" if fails else ""
    return (
        f"how strong: weakest place: {w.label}, safety {text_of(w.factor, 2)} "
        f"({text_of(w.asked, 1)} asked){tail}"
    )


def _fast(v: Assessment) -> str:
    s = v.speed
    if s is None:
        return ""
    if s.refused:
        return "how fast: NOT for turning: " + "; ".join(s.refused)
    critical = v.stiffness.critical if v.stiffness else 0.0
    whirls = f"at {critical:.0f}" if critical < FAR_ABOVE else f"above {FAR_ABOVE}"
    return f"how fast: up to {s.allowed} 1/min: {s.governing.why}; whirls {whirls}"


def _thread(v: Assessment) -> str:
    h = v.screwed
    if h is None:
        return ""
    return (
        f"thread: tightens running {'forward' if h.forward else 'in reverse'}, locks "
        f"{text_of(h.locking, 1)} times over; after a catch {text_of(h.freeing_catch, 1)} N·m free "
        f"it ({'spanner flats' if h.flats_needed else 'by hand'})"
    )
