"""A verdict as plain values for --json; nothing is computed."""

from __future__ import annotations

import math

from mandrelgen.mechanics.assessment_types import (
    Assessment,
    Bend,
    Capacity,
    Mismatch,
    Spread,
    States,
    Truth,
)
from mandrelgen.mechanics.concentricity import Outcome
from mandrelgen.mechanics.strength import StrengthCheck
from mandrelgen.mechanics.work_speed import WorkSpeed
from mandrelgen.workflows.answers.plain import View, rounded


def _at_work(w: WorkSpeed) -> View:
    return {
        "work": w.work.value,
        "low": w.low,
        "high": w.high,
        "limited_by": None if w.limited is None else w.limited.id,
        "basis": w.basis,
    }


def verdict(v: Assessment) -> View:
    """What ``check --json`` says of one end of a mandrel."""
    return {
        "part": v.part,
        "end": v.end,
        **_true(v.truth),
        "deflection": _deflection(v),
        "stresses": [
            {"feature": s.feature, "stress": rounded(s.stress), "notch": rounded(s.notch)}
            for s in (v.stiffness.stresses if v.stiffness else ())
        ],
        "safety": {
            "weakest": None if v.weakest is None else v.weakest.id,
            "checks": [_check(c) for c in v.checks],
        },
        "capacity": _capacity(v.capacity),
        "max_speed": _speed(v),
        "speeds": [_at_work(w) for w in v.work],
        "thread": _thread(v),
        "fit": [
            {
                "characteristic": g.id,
                "label": g.label,
                "kind": g.kind,
                "least": rounded(g.least),
                "most": rounded(g.most),
            }
            for g in v.gaps
        ],
        "conflicts": [
            {
                "id": c.id,
                "message": c.message,
                "needed": rounded(c.needed),
                "available": rounded(c.available),
            }
            for c in v.conflicts
        ],
        **_blame(v.truth.step),
        "life": None
        if v.life is None
        else {"low": v.life.low, "high": v.life.high, "label": v.life.label, "basis": v.life.basis},
        "assumptions": list(v.assumptions),
    }


def _true(t: Truth) -> View:
    """How true the part runs."""
    return {
        "joint_step": {
            "joint": t.step.joint or None,
            "target": rounded(t.step.target),
            **_joined(t.step),
            "at_held_end": t.step.at_held_end,
            "neighbour_known": t.step.neighbour_known,
            **_states(t.step.states),
        },
        "thinnest_wall": None
        if t.wall is None
        else {
            "where": t.wall.where,
            "z": rounded(t.wall.z),
            "true": rounded(t.wall.true),
            "worst": rounded(t.wall.worst),
            "statistical": rounded(t.wall.statistical),
        },
        "remount": {**_spread(t.remount), "regripped": _spread(t.regripped)},
        "runout_seat": _states(t.runout_seat),
        "runout_end": {"z": rounded(t.end_z), **_states(t.runout_end)},
    }


def _joined(step: Mismatch) -> View:
    """``met``: true, false, or null where it depends or the joint is not meant to be flush."""
    j = step.joined
    met = {Outcome.MET: True, Outcome.NOT_MET: False}
    return {
        "met": None if step.outcome is None else met.get(step.outcome),
        "outcome": None if step.outcome is None else step.outcome.value,
        "felt": None if j is None else j.felt.value,
        "shoulder": None if j is None else rounded(j.shoulder),
        "typical": None if j is None else rounded(j.typical),
        "seldom": None if j is None else rounded(j.seldom),
    }


def _blame(step: Mismatch) -> View:
    """What the joint's step comes from."""
    return {
        "budget": [
            {
                "characteristic": s.cause.id,
                "label": s.cause.label,
                "eccentricity": rounded(s.eccentricity),
                "share": rounded(s.of_variance),
                "share_of_worst": rounded(s.of_worst),
            }
            for s in step.budget.shares
        ],
        "would_buy_most": [
            {
                "characteristic": g.cause.id,
                "worst": rounded(g.worst),
                "statistical": rounded(g.statistical),
            }
            for g in step.gains[:3]
        ],
    }


def _thread(v: Assessment) -> View | None:
    s = v.screwed
    if s is None:
        return None
    return {
        "locking": rounded(s.locking),
        "pull_of_a_catch": rounded(s.pull),
        "freeing": rounded(s.freeing),
        "freeing_after_catch": rounded(s.freeing_catch),
        "flats_needed": s.flats_needed,
        "tightens": "forward" if s.forward else "reverse",
        "eaten_by_errors": rounded(s.eaten),
    }


def _deflection(v: Assessment) -> View | None:
    st = v.stiffness
    if st is None:
        return None
    return {
        "tailstock_away": _bend(st.away),
        "tailstock_up": _bend(st.up),
        "used": "tailstock_up" if v.tailstock else "tailstock_away",
        "overhang": rounded(st.overhang),
        "side_load": rounded(st.side),
    }


def _bend(b: Bend) -> View:
    return {
        "tool_z": rounded(b.tool_z),
        "tool": rounded(b.tool),
        "end": rounded(b.end),
        "seat": rounded(b.seat),
    }


def _capacity(c: Capacity | None) -> View | None:
    """Force across the axis that is borne in both load cases, N."""
    if c is None:
        return None
    return {
        "free_end": {
            "force": rounded(c.free.force),
            "weakest": c.free.spot.name,
            "deflection_per_newton": rounded(c.per_newton),
        },
        "mid_length_tailstock_up": {
            "force": rounded(c.up.force),
            "weakest": c.up.spot.name,
            "deflection_per_newton": rounded(c.per_newton_up),
        },
        "counts": "free_end" if c.judged.prop is None else "mid_length_tailstock_up",
        "required": rounded(c.asked),
        "weak": [str(w) for w in c.weak],
        "far_end": {"takes_a_centre": c.far_end.value, "why": c.far_end_why},
        "dig_in_torque": rounded(c.dig_in),
    }


def _speed(v: Assessment) -> View | None:
    s = v.speed
    if s is None:
        return None
    return {
        "allowed": s.allowed,
        "start": s.start,
        "refused": list(s.refused),
        "caps": [
            {"id": c.id, "speed": rounded(c.speed), "why": c.why, "basis": c.basis} for c in s.caps
        ],
        "whirling": rounded(v.stiffness.critical if v.stiffness else None),
    }


def _check(c: StrengthCheck) -> View:
    return {
        "id": c.id,
        "label": c.label,
        "demand": rounded(c.demand),
        "capacity": rounded(c.capacity),
        "unit": c.unit,
        "factor": rounded(c.factor) if math.isfinite(c.factor) else None,
        "asked": rounded(c.asked),
        "passes": c.passes,
    }


def _states(s: States) -> View:
    return {"loose": _spread(s.loose), "tight": {**_spread(s.tight), "label": "estimate"}}


def _spread(s: Spread) -> View:
    return {"worst": rounded(s.worst), "statistical": rounded(s.statistical)}
