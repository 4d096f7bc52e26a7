"""The assessment in a paragraph a maker understands: concentricity and run-out, strength, speed."""

from __future__ import annotations

from collections.abc import Sequence

from mandrelgen.core.tolerance import floor_to, text_of
from mandrelgen.mechanics.assessment_types import Assessment, Capacity, Screwed
from mandrelgen.mechanics.concentricity import Felt, Outcome
from mandrelgen.mechanics.plastic import lasts

OUTCOME = {
    Outcome.MET: "met",
    Outcome.NOT_MET: "NOT met",
    Outcome.DEPENDS: "depends on how well the threads centre themselves",
    None: "",
}


def paragraph(v: Assessment) -> tuple[str, ...]:
    """A few lines, each with its number and the reason."""
    lines = [_true(v), _remount(v)]
    if v.capacity is not None:
        lines += [_bears(v.capacity), _deflects(v.capacity)]
    if v.weakest is not None:
        lines.append(_thread_strength(v))
    if v.speed is not None:
        lines.append(_fast(v))
    if v.screwed is not None:
        lines.append(_thread(v))
    if v.life is not None:
        lines.append(f"life: {lasts(v.life)}: {v.life.basis}")
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
    seat = v.truth.runout_seat.tight
    if v.stiffness is None:
        return (
            f"concentricity: run-out {text_of(seat.statistical)} of the part's end on the button "
            f"({text_of(seat.worst)} at worst)"
        )
    step, j = v.truth.step, v.truth.step.joined
    run_out = f"run-out {text_of(seat.statistical)} at the seat (tightened, 95 %)"
    if j is None:
        return f"concentricity: {run_out}; no joint in the file to judge by"
    alone = "" if step.neighbour_known else " (its neighbour has no mandrel here: taken as true)"
    if j.felt is Felt.NOT_FELT:
        return (
            f"concentricity: off-centre by up to {text_of(j.seldom)} on a shoulder of "
            f"{text_of(j.shoulder, 2)} at joint {step.joint}{alone}: not felt; {run_out}"
        )
    why = ", ".join(f"{s.cause.label} {s.of_variance:.0%}" for s in step.budget.shares[:2])
    said = (
        f"concentricity: mismatch at joint {step.joint}, tightened{alone}: typically "
        f"{text_of(j.typical)}, seldom above {text_of(j.seldom)}"
    )
    if j.felt is Felt.REVEAL:
        even = "visibly uneven" if j.uneven else "even to the eye"
        return f"{said}: a reveal of {text_of(j.shoulder, 2)}, {even}; {run_out}"
    return f"{said}, target {text_of(j.target)}: {OUTCOME[j.outcome]}; mostly {why}; {run_out}"


def _remount(v: Assessment) -> str:
    wall = v.truth.wall
    thin = (
        f"; thinnest wall {text_of(wall.true, 2)} {wall.where}, "
        f"{text_of(wall.statistical, 2)} if the outside comes off-centre "
        f"({text_of(wall.worst, 2)} at worst)"
        if wall is not None
        else ""
    )
    return (
        f"repeatability when remounted: {text_of(v.truth.remount.statistical)} "
        f"({text_of(v.truth.regripped.statistical)} if the mandrel was taken out too){thin}"
    )


def _bears(c: Capacity) -> str:
    weak = f"; {c.asked:.0f} N required: NOT enough" if c.weak else ""
    return (
        f"strength: the free end bears {_newtons(c.free.force)} N, no tailstock "
        f"({c.free.spot.name} gives way first), {_newtons(c.up.force)} N at mid-length with the "
        f"tailstock up{weak} (finishing cuts 5 to 15 N, roughing to 90 N: estimates)"
    )


def _newtons(force: float) -> str:
    return f"{floor_to(force, 1.0 if force < 100 else 10.0):,.0f}"


def _deflects(c: Capacity) -> str:
    return (
        f"deflection for 10 N: {text_of(10 * c.per_newton, 2)} mm at the free end, no tailstock; "
        f"{text_of(10 * c.per_newton_up, 3)} mm at mid-length, tailstock up"
    )


def _thread_strength(v: Assessment) -> str:
    w = v.weakest
    if w is None:
        return ""
    fails = sum(not c.passes for c in v.checks)
    tail = f"; {fails} of {len(v.checks)} places fail" if fails else ""
    return (
        f"thread and seat: weakest: {w.label}, safety factor {w.factor:.2f} "
        f"({w.asked:.1f} required){tail}"
    )


def _fast(v: Assessment) -> str:
    s = v.speed
    if s is None:
        return ""
    if s.refused:
        return "speed: NOT for turning: " + "; ".join(s.refused)
    work = ", ".join(f"{w.work.value} {w.low:,.0f} to {w.high:,.0f} rpm" for w in v.work)
    return f"speed limit {s.allowed:,} rpm ({s.governing.why}); {work}"


def _thread(v: Assessment) -> str:
    h = v.screwed
    if h is None:
        return ""
    return (
        f"thread: tightens running {'forward' if h.forward else 'in reverse'}, self-locking, "
        f"factor {text_of(h.locking, 1)}; loosening torque after a dig-in "
        f"{text_of(h.freeing_catch, 2)} N·m ({freed(h)})"
    )


def freed(h: Screwed) -> str:
    """What gets the part off after a dig-in."""
    if h.flats_needed:
        return "spanner flats or a strap wrench"
    return "a rubber strap on the part" if h.strap_needed else "by hand"
