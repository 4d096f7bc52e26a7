"""From a first design to the final one: the loosest tolerances with which the joint step stays
within its target, a closer fit where only that helps, flats where a hand cannot free the part.

The target holds for the statistical step, pulled tight on the seat: the sum of all limits at their
worst is never met by two class 6 threads and would only buy tolerances that change nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from itertools import pairwise

from mandrelgen.assess import runout, strength
from mandrelgen.assess.end_assessment import judge
from mandrelgen.assess.loads import loads
from mandrelgen.assess.setup import Situated, situate, turned_round
from mandrelgen.core.tolerance import ceil_to, text_of
from mandrelgen.design.chosen_tolerances import LADDER, WORTH, ToleranceChoice
from mandrelgen.design.designed import Designed
from mandrelgen.design.plan import Planned
from mandrelgen.mechanics.assessment_types import Mismatch
from mandrelgen.mechanics.practice import assumed
from mandrelgen.spec.pen import Fit, MandrelType, Pen
from mandrelgen.spec.shop import Shop

# Nothing is turned true by a button; it only steadies the far end (common practice, no source).
BUTTON_RUNG = 0.02
# The tolerances are chosen on a first design, whose step is not that of the final one.
SETTLED = "the settled design's own step: see How true"
LADDER_TEXT = ", ".join(f"{v:g}" for v in LADDER)
Redesign = Callable[[Pen, Shop, Planned, ToleranceChoice], Designed]
Neighbours = Mapping[str, Situated]


def situated(d: Designed, pen: Pen, shop: Shop) -> tuple[Situated, ...]:
    """The ends of a designed mandrel with their parts on them; none if the design failed."""
    if d.mandrel is None or d.wishes is None:
        return ()
    p = d.planned
    use = loads(pen, shop, p.request, p.kind)
    found = [situate(d.mandrel, pen, shop, p.hold, d.wishes, d.grip, use)]
    if p.other is not None:
        other = turned_round(d.mandrel)
        found.append(situate(other, pen, shop, p.other, d.wishes, d.grip, use))
    return tuple(found)


def neighbours_of(ends: Mapping[str, tuple[Situated, ...]]) -> dict[str, Situated]:
    """Part id → that part on its own mandrel (buttons turn nothing)."""
    found: dict[str, Situated] = {}
    for row in ends.values():
        for s in row:
            if s.collet_face is not None:
                found.setdefault(s.hold.part, s)
    return found


def settle_all(
    pen: Pen, shop: Shop, first: tuple[Designed, ...], redesign: Redesign
) -> dict[str, ToleranceChoice]:
    """What each planned mandrel's final design shall have, by its id."""
    ends = {d.planned.id: situated(d, pen, shop) for d in first}
    near = neighbours_of(ends)
    found = {
        d.planned.id: _settle(d, ends[d.planned.id], near, pen, shop, redesign)
        for d in first
        if d.mandrel is not None
    }
    return _shared(found, ends, near, pen, shop)


def judged(pen: Pen, shop: Shop, final: tuple[Designed, ...]) -> tuple[Designed, ...]:
    """The final designs with their verdicts."""
    ends = {d.planned.id: situated(d, pen, shop) for d in final}
    near = neighbours_of(ends)
    out = []
    for d in final:
        verdicts = [judge(s, near, pen, shop) for s in ends[d.planned.id]]
        a = verdicts[0] if verdicts else None
        b = verdicts[1] if len(verdicts) > 1 else None
        out.append(replace(d, verdict=a, verdict_b=b))
    return tuple(out)


def _settle(
    d: Designed,
    ends: tuple[Situated, ...],
    near: Neighbours,
    pen: Pen,
    shop: Shop,
    redesign: Redesign,
) -> ToleranceChoice:
    if d.planned.kind is MandrelType.BUTTON:
        return ToleranceChoice(
            rung=BUTTON_RUNG, why="a live centre and the part's own bore are no truer"
        )
    flats = _flats(d, ends)
    rungs = _climb(ends, near, pen, shop)
    if _met(rungs[-1]):
        return _first_met(flats, rungs)
    closer = _closer(d, near, pen, shop, redesign)
    if closer is not None:
        return _first_met(replace(flats, fit=Fit.CLOSE), closer)
    return _sensible(flats, rungs)


def _climb(
    ends: tuple[Situated, ...], near: Neighbours, pen: Pen, shop: Shop
) -> list[tuple[float, Mismatch]]:
    """(rung, the worse end's step) from the loosest on, up to the first that meets the target."""
    found = []
    for rung in LADDER:
        trial = ToleranceChoice(rung=rung)
        steps = [runout.step(s, near, pen, shop, trial) for s in ends]
        found.append((rung, max(steps, key=lambda s: s.states.tight.statistical - s.target)))
        if _met(found[-1]):
            break
    return found


def _met(rung: tuple[float, Mismatch]) -> bool:
    return rung[1].met


def _first_met(base: ToleranceChoice, rungs: list[tuple[float, Mismatch]]) -> ToleranceChoice:
    rung, step = rungs[-1]
    why = (
        f"the loosest of {LADDER_TEXT} that keeps the first design's step at the joint within "
        f"{text_of(step.target)}: {_mm(step)} with it on both mandrels of the joint (radial, "
        f"statistical, pulled tight; {SETTLED})"
    )
    return replace(base, rung=rung, why=why)


def _sensible(base: ToleranceChoice, rungs: list[tuple[float, Mismatch]]) -> ToleranceChoice:
    """The target is out of reach: tighter only as long as a rung still takes 5 % off the step."""
    chosen, end = rungs[0], rungs[-1]
    for here, tighter in pairwise(rungs):
        gain = 1 - tighter[1].states.tight.statistical / here[1].states.tight.statistical
        if gain < WORTH:
            break
        chosen = tighter
    top = end[1].gains[0].cause.label if end[1].gains else "nothing"
    why = (
        f"the first design's step at the joint was {_mm(chosen[1])} with it on both mandrels and "
        f"{_mm(end[1])} with {end[0]:g} (target {text_of(end[1].target)}; "
        f"radial, statistical, pulled tight; {SETTLED}): a "
        f"tighter value buys less than {WORTH:.0%}, most comes from {top}"
    )
    return replace(base, rung=chosen[0], why=why)


def _closer(
    d: Designed, near: Neighbours, pen: Pen, shop: Shop, redesign: Redesign
) -> list[tuple[float, Mismatch]] | None:
    """The ladder with a close fit, if the maker left the fit open and it meets the target so."""
    if d.wishes is None or d.wishes.fit_asked or d.wishes.fit is not Fit.NORMAL:
        return None
    trial = redesign(pen, shop, d.planned, ToleranceChoice(fit=Fit.CLOSE))
    if trial.mandrel is None:
        return None
    rungs = _climb(situated(trial, pen, shop), near, pen, shop)
    return rungs if _met(rungs[-1]) else None


def _flats(d: Designed, ends: tuple[Situated, ...]) -> ToleranceChoice:
    if d.wishes is None or d.wishes.flats_asked is not None:
        return ToleranceChoice()
    hand = assumed("speed", "hand_torque").value
    for s in ends:
        held = strength.screwed(s)
        if held is not None and held.flats_needed:
            why = (
                f"a catch of {text_of(s.loads.catch_torque)} N·m tightens the part so that "
                f"{text_of(held.freeing_catch, 1)} N·m free it, a hand gives {text_of(hand, 1)}"
            )
            return ToleranceChoice(flats=True, why_flats=why)
    return ToleranceChoice()


def _shared(
    found: dict[str, ToleranceChoice],
    ends: Mapping[str, tuple[Situated, ...]],
    near: Neighbours,
    pen: Pen,
    shop: Shop,
) -> dict[str, ToleranceChoice]:
    """Both mandrels of a joint get the tighter run-out of the two: each was judged with its
    neighbour made alike."""
    owner = {id(s): name for name, row in ends.items() for s in row}
    out = dict(found)
    for name in found:
        for s in ends[name]:
            met = runout.meeting(s, pen, shop)
            other = near.get(met.neighbour.part) if met else None
            theirs = owner.get(id(other)) if other is not None else None
            if theirs in out and out[theirs].rung > found[name].rung:
                why = f"as mandrel {name} needs for their joint: {found[name].why}"
                out[theirs] = replace(out[theirs], rung=found[name].rung, why=why)
    return out


def _mm(step: Mismatch) -> str:
    """The step rounded up, so that a miss never reads as met."""
    return text_of(ceil_to(step.states.tight.statistical, 0.001))
