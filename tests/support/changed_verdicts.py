"""A plug of which nothing is said, and its verdict with one thing changed: the thread on the
mandrel, the mismatch at the joint."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from mandrelgen.assess.mandrel_findings import of_verdict
from mandrelgen.design.designed import Designed
from mandrelgen.mechanics.assessment_types import (
    Assessment,
    Screwed,
)
from mandrelgen.mechanics.budget import Budget, Cause, Origin, Share
from mandrelgen.mechanics.concentricity import Felt, Judged, Outcome
from tests.support.judged_pens import fixed, plug_pen, verdict_of
from tests.support.randompens import SHOP


def quiet_plug() -> tuple[Designed, Assessment]:
    """The judged pens' plug with a tailstock up, and its verdict, of which nothing is said."""
    (d,) = fixed(plug_pen({"tailstock": True, "far_end": "pip"}), SHOP)
    v = verdict_of(d)
    assert of_verdict(v, "here") == []
    return d, v


def screwed(good: Assessment, **change: Any) -> Screwed:
    assert good.screwed is not None
    return replace(good.screwed, **change)


def step(good: Assessment, shares: bool = True, **change: Any) -> dict[str, Any]:
    """The mismatch at a joint, most of it from the face."""
    given: dict[str, Any] = {
        "felt": Felt.FLUSH, "shoulder": 0.214, "typical": 0.0312, "seldom": 0.0671,
        "target": 0.05, "over": 0.0171, "outcome": Outcome.MET, "uneven": False,
    } | change  # fmt: skip
    cause = Cause("part.face", "part's face out of square", Origin.PART, lateral=0.01)
    most = Share(cause=cause, eccentricity=0.01, of_worst=1.0, of_variance=1.0)
    budget = Budget(0.0, 0.01, 0.01, (most,) if shares else ())
    new = replace(good.truth.step, joint="cap+barrel", joined=Judged(**given), budget=budget)
    return {"truth": replace(good.truth, step=new)}
