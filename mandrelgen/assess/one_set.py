"""What the first designs of a set settle together: one shank for all of it, and for each part
whether a centring register or spigot buys anything.

A set with one shank is turned from one bar and used in one collet. A register or a spigot costs a
fit, a groove and some five sizes to prove; it is cut only where the budget shows that it takes
:data:`EARNS` off the mismatch.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from mandrelgen.assess import runout
from mandrelgen.assess.choose_tolerances import neighbours_of, situated
from mandrelgen.assess.setup import Situated
from mandrelgen.core.tolerance import text_of
from mandrelgen.design import shank
from mandrelgen.design.chosen_tolerances import (
    FINE,
    RUN_OUT,
    WORTH,
    Centring,
    ToleranceChoice,
)
from mandrelgen.design.designed import Designed
from mandrelgen.design.designer import Made
from mandrelgen.mechanics.concentricity import Outcome
from mandrelgen.model.feature import FeatureKind
from mandrelgen.spec.pen import MandrelType, Pen
from mandrelgen.spec.shop import Shop
from mandrelgen.standards import stock
from mandrelgen.standards.tables import NotHeldError

# What a register or spigot must take off the mismatch, radial, tightened, 95 %, mm (an estimate:
# less is lost in the collet).
EARNS = 0.01
# A bar that much wider is still turned down rather than another size bought, mm (common practice).
WIDER = 3.0
Neighbours = Mapping[str, Situated]


def settle(
    pen: Pen, shop: Shop, alone: tuple[Designed, ...], design: Made
) -> dict[str, ToleranceChoice]:
    """Set-wide and centring choices by mandrel, for those that could be designed ``alone``;
    ``design``: what designs one to try it."""
    made = [d for d in alone if d.mandrel is not None]
    size, why = _shank(made, shop)
    ends = {d.planned.id: situated(d, pen, shop) for d in made}
    near = neighbours_of(ends)
    out = {}
    for d in made:
        choice = _centring(d, ends[d.planned.id], near, pen, shop, design)
        if size is not None and _reach(d) <= size + 1e-9 and _open(d):
            choice = replace(choice, shank=size, why_shank=why)
        out[d.planned.id] = choice
    for d in made:
        for s in ends[d.planned.id]:
            _tighten(out, d.planned.id, s, ends, near, pen, shop)
    return out


def _tighten(
    out: dict[str, ToleranceChoice],
    id: str,
    s: Situated,
    ends: Mapping[str, tuple[Situated, ...]],
    near: Neighbours,
    pen: Pen,
    shop: Shop,
) -> None:
    """The tighter run-out of the seat on both mandrels of a joint, where it takes enough off the
    mismatch there."""
    usual, fine = (
        runout.step(s, near, pen, shop, ToleranceChoice(seat_run_out=x)).states.tight.statistical
        for x in (RUN_OUT, FINE)
    )
    if usual <= 0 or 1 - fine / usual < WORTH:
        return
    met = runout.meeting(s, pen, shop)
    other = near.get(met.neighbour.part) if met else None
    owners = {n for n, row in ends.items() if other is not None and any(x is other for x in row)}
    why = (
        f"mismatch at joint {met.joint.id if met else 'to the neighbour'}, tightened, 95 %: "
        f"{text_of(fine)} with it, {text_of(usual)} with the usual {text_of(RUN_OUT)}"
    )
    for name in {id, *owners} & set(out):
        out[name] = replace(out[name], seat_run_out=FINE, why_seat=why)


def with_base(
    chosen: Mapping[str, ToleranceChoice], base: Mapping[str, ToleranceChoice], id: str
) -> ToleranceChoice:
    """The verdict's choice with what the set settled."""
    own, first = chosen.get(id, ToleranceChoice()), base.get(id)
    if first is None:
        return own
    if first.seat_run_out < own.seat_run_out:
        own = replace(own, seat_run_out=first.seat_run_out, why_seat=first.why_seat)
    return replace(
        own,
        centre=first.centre,
        why_centre=first.why_centre,
        shank=first.shank,
        why_shank=first.why_shank,
    )


def _open(d: Designed) -> bool:
    """Whether the maker left the shank to the designer."""
    return d.grip is not None and d.wishes is not None and d.wishes.shank_diameter is None


def _reach(d: Designed) -> float:
    """The size a shank must have to be the bar that the mandrel is turned from, mm; a double-ended
    mandrel's other end also passes through the collet."""
    assert d.mandrel is not None
    ends = (FeatureKind.SHANK, FeatureKind.REAR)
    widest = max(max(s.d0, s.d1) for s in d.mandrel.outer if s.feature.kind not in ends)
    return widest + (0.1 if d.planned.kind is MandrelType.DOUBLE_ENDED else 0.0)


def _shank(made: list[Designed], shop: Shop) -> tuple[float | None, str]:
    """The smallest collet on the shelf at or over the largest locating face it can cover, of a
    size that bar is sold in if one is near."""
    shelf = sorted({g.shank for g in shank.grips(shop)})
    faces = [_reach(d) for d in made if _open(d)]
    if not shelf or not faces:
        return None, ""
    covered = [f for f in faces if f <= shelf[-1] + 1e-9]
    if not covered:
        return None, ""
    face = max(covered)
    fits = [x for x in shelf if x >= face - 1e-9]
    sold = [x for x in fits if x <= fits[0] + WIDER and _sold(x, made)]
    size = sold[0] if sold else fits[0]
    many = "one size for the whole set" if len(faces) > 1 else "the bar's own size"
    why = (
        f"{many}: the collet on the shelf at or over the largest locating face, ⌀{text_of(face)}, "
        "so that one bar in one chucking does it"
    )
    return size, why


def _sold(size: float, made: list[Designed]) -> bool:
    """Whether bar of that size is sold of every material the set is made of."""
    for d in made:
        if d.wishes is None:
            continue
        try:
            if not any(abs(b - size) < 1e-9 for b in stock.bars(d.wishes.material)):
                return False
        except NotHeldError:
            return False
    return True


def _centring(
    d: Designed, ends: tuple[Situated, ...], near: Neighbours, pen: Pen, shop: Shop, design: Made
) -> ToleranceChoice:
    """None, a register or a spigot: the cheapest that the budget pays for."""
    plain = ToleranceChoice()
    if d.planned.kind not in (MandrelType.PLUG, MandrelType.DOUBLE_ENDED) or not ends:
        return plain
    was = _mismatch(ends, near, pen, shop)
    tried = []
    guided = ""
    for centre in (Centring.REGISTER, Centring.SPIGOT):
        trial = design(d.planned, ToleranceChoice(centre=centre))
        if trial.mandrel is None or d.mandrel is None:
            continue
        kind = FeatureKind.REGISTER if centre is Centring.REGISTER else FeatureKind.SPIGOT
        if not any(c.feature.kind is kind and c.datum for c in trial.mandrel.characteristics):
            continue
        there = situated(trial, pen, shop)
        tried.append((centre, _mismatch(there, near, pen, shop)))
        if centre is Centring.SPIGOT:
            guided = _guided(ends, there)
    said = ", ".join(f"{text_of(now)} with a close {centre.value}" for centre, now in tried)
    beside = f"mismatch at the joint, tightened, 95 %: {text_of(was)} without"
    if not tried:
        return replace(
            plain,
            why_centre="thread and seat hold the part; nothing behind the thread is true enough to "
            "centre in",
        )
    best = min(tried, key=lambda t: t[1])
    cheap = next((t for t in tried if t[1] <= best[1] + EARNS / 2), best)
    if was - cheap[1] < EARNS - 1e-9:
        why = f"{beside}, {said}: less than the {text_of(EARNS)} that would pay for it{guided}"
        return replace(plain, why_centre=why)
    return replace(plain, centre=cheap[0], why_centre=f"{beside}, {said}{guided}")


def _guided(alone: tuple[Situated, ...], there: tuple[Situated, ...]) -> str:
    """What the spigot gives beside centring: how far the part's free end can tip, with it and
    without."""
    was, now = (max(runout.tipped(s) for s in row) for row in (alone, there))
    return (
        "; tipped off its seat by the tool, tailstock away, the part's free end can stand "
        f"{text_of(was, 2)} off the axis by the thread alone, {text_of(now, 2)} with the spigot in "
        "its bore"
    )


def _mismatch(ends: tuple[Situated, ...], near: Neighbours, pen: Pen, shop: Shop) -> float:
    """The worse end's mismatch, mm, rounded as printed; of a flush joint that is met only what it
    would take to miss it counts."""
    found = []
    for s in ends:
        step = runout.step(s, near, pen, shop)
        value = step.states.tight.statistical
        if step.outcome is Outcome.MET:
            value = min(value, step.target)
        found.append(round(value, 3))
    return max(found)
