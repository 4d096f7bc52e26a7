"""From a first design to the final one: a tighter run-out where a flush joint gains by it, flats
where a hand cannot free the part. Everything else keeps the loosest tolerance its use needs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from mandrelgen.assess import runout, strength
from mandrelgen.assess.end_assessment import judge
from mandrelgen.assess.loads import loads
from mandrelgen.assess.setup import Situated, situate, turned_round
from mandrelgen.core.tolerance import text_of
from mandrelgen.design.chosen_tolerances import FINE, RUN_OUT, WORTH, ToleranceChoice
from mandrelgen.design.designed import Designed
from mandrelgen.mechanics.assessment_types import Mismatch
from mandrelgen.mechanics.concentricity import Outcome
from mandrelgen.mechanics.practice import assumed
from mandrelgen.spec.pen import MandrelType, Pen
from mandrelgen.spec.shop import Shop

# Nothing is turned true by a button; it only steadies the far end (common practice, no source).
BUTTON_RUN_OUT = 0.02
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


def settle_all(pen: Pen, shop: Shop, first: tuple[Designed, ...]) -> dict[str, ToleranceChoice]:
    """What each planned mandrel's final design shall have, by its id."""
    ends = {d.planned.id: situated(d, pen, shop) for d in first}
    near = neighbours_of(ends)
    found = {
        d.planned.id: _settle(d, ends[d.planned.id], near, pen, shop)
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
    d: Designed, ends: tuple[Situated, ...], near: Neighbours, pen: Pen, shop: Shop
) -> ToleranceChoice:
    if d.planned.kind is MandrelType.BUTTON:
        return ToleranceChoice(
            run_out=BUTTON_RUN_OUT,
            seat_run_out=BUTTON_RUN_OUT,
            why="a revolving centre and the part's own bore are no truer",
            why_seat="a revolving centre and the part's own bore are no truer",
        )
    flats = _flats(d, ends)
    for s in ends:
        why = _gains(s, near, pen, shop)
        if why:
            return replace(flats, run_out=FINE, why=why)
    return flats


def _gains(s: Situated, near: Neighbours, pen: Pen, shop: Shop) -> str:
    """Why a flush joint is worth the tighter run-out; empty if it is not, or none is flush."""
    if not runout.flush(s, pen, shop):
        return ""
    usual, fine = (
        runout.step(s, near, pen, shop, ToleranceChoice(run_out=x)) for x in (RUN_OUT, FINE)
    )
    if usual.joined is None or usual.joined.outcome is Outcome.MET:
        return ""
    was, now = _seldom(usual), _seldom(fine)
    if was <= 0 or 1 - now / was < WORTH:
        return ""
    return (
        f"joint {usual.joint} is meant to be flush: with {FINE:g} on both mandrels its mismatch is "
        f"seldom above {text_of(now)}, with the usual {RUN_OUT:g} {text_of(was)} (tightened, 95 %)"
    )


def _seldom(step: Mismatch) -> float:
    return 0.0 if step.joined is None else step.joined.seldom


def _flats(d: Designed, ends: tuple[Situated, ...]) -> ToleranceChoice:
    if d.wishes is None or d.wishes.flats_asked is not None:
        return ToleranceChoice()
    strap = assumed("speed", "strap_torque").value
    for s in ends:
        held = strength.screwed(s)
        if held is not None and held.flats_needed:
            why = (
                f"a catch of {text_of(s.loads.catch_torque)} N·m tightens the part so that "
                f"{text_of(held.freeing_catch, 1)} N·m free it, a strap gives {text_of(strap, 1)}"
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
            if theirs in out and out[theirs].run_out > found[name].run_out:
                why = f"as mandrel {name} needs for their joint: {found[name].why}"
                out[theirs] = replace(out[theirs], run_out=found[name].run_out, why=why)
    return out
