"""The one loop: design, judge, choose tolerances, design, judge; and what is to be said of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import NamedTuple

from mandrelgen.assess import (
    choose_tolerances,
    inside,
    mandrel_findings,
    one_set,
    pen_findings,
    tools_owned,
    unjoined_findings,
)
from mandrelgen.assess.accepting import accepted
from mandrelgen.assess.fewest import fewest, rescued
from mandrelgen.assess.resolved import ResolvedPen, resolve
from mandrelgen.assess.stock_tapped import TRIED, stock_tapped, tapping_costs
from mandrelgen.core.errors import Finding
from mandrelgen.design.chosen_tolerances import ToleranceChoice
from mandrelgen.design.designed import Designed
from mandrelgen.design.designer import Made, designer
from mandrelgen.design.plan import Planned, plan
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.shop import Shop


class Assessed(NamedTuple):
    """A pen's mandrels as designed and judged, its joints and walls, what was found."""

    designed: tuple[Designed, ...]
    resolved: ResolvedPen
    findings: tuple[Finding, ...]


def settled(pen: Pen, shop: Shop) -> Assessed:
    """Every planned mandrel of ``pen`` with the tolerances its use needs, and every finding."""
    designed = designs(pen, shop)
    resolved = resolve(pen, shop)
    findings = (
        *pen_findings.held(pen, designed),
        *unjoined_findings.check(pen),
        *pen_findings.check(resolved),
        *inside.check(pen, shop, resolved),
        *pen_findings.rods(pen),
        *tools_owned.check(pen, shop),
        *mandrel_findings.of_designs(designed, pen, shop, resolved.passages),
        *mandrel_findings.check(designed, pen, shop),
    )
    return Assessed(designed, resolved, accepted(pen, findings))


def pen_level(pen: Pen, shop: Shop) -> tuple[Finding, ...]:
    """What is to be said of the pen itself, before any mandrel is designed."""
    resolved = resolve(pen, shop)
    return (
        *unjoined_findings.check(pen),
        *pen_findings.check(resolved),
        *inside.check(pen, shop, resolved),
    )


def designs(pen: Pen, shop: Shop) -> tuple[Designed, ...]:
    """Every planned mandrel, designed and judged; one that fails does not stop the others. Where a
    stock tap was taken that nobody asked for, the same is tried screwcut: the tap may not cost the
    joint more than is felt."""
    design = designer(pen, shop)
    usual = _designs(pen, shop, design, {})
    taken = {d.planned.id: TRIED for d in usual if stock_tapped(d)}
    if not taken:
        return usual
    worse = tapping_costs(usual, _designs(pen, shop, design, taken))
    return _designs(pen, shop, design, worse) if worse else usual


def _designs(
    pen: Pen, shop: Shop, design: Made, screwcut: Mapping[str, str]
) -> tuple[Designed, ...]:
    """The same; ``screwcut``: the mandrels whose thread no stock tap may cut, and why.

    Where a usual way cannot be made, another end of its part is tried. A first design of each
    settles what belongs to the set (one shank) and what centres each part; a second, with the usual
    run-outs, is judged; what its verdict settles (run-outs, flats) goes into the final one, which
    is judged again.
    """

    def made(p: Planned, choice: ToleranceChoice) -> Designed:
        return design(p, replace(choice, screwcut=screwcut.get(p.id, "")))

    planned = fewest(pen, shop, design)
    alone = tuple(made(p, ToleranceChoice()) for p in planned)
    failed = [d.planned for d in alone if d.mandrel is None]
    if failed and planned == plan(pen):
        planned = rescued(pen, shop, failed, design)
        alone = tuple(made(p, ToleranceChoice()) for p in planned)
    base = one_set.settle(pen, shop, alone, design)
    first = tuple(
        d if d.planned.id not in base else made(d.planned, base[d.planned.id]) for d in alone
    )
    chosen = choose_tolerances.settle_all(pen, shop, first)
    final = tuple(
        f if f.mandrel is None else made(f.planned, one_set.with_base(chosen, base, f.planned.id))
        for f in first
    )
    return choose_tolerances.judged(pen, shop, final)
