"""The one loop: design, judge, choose tolerances, design, judge; and what is to be said of it."""

from __future__ import annotations

from dataclasses import dataclass

from mandrelgen.assess import choose_tolerances, mandrel_findings, pen_findings
from mandrelgen.assess.accepting import accepted
from mandrelgen.assess.resolved import ResolvedPen, resolve
from mandrelgen.core.errors import Finding
from mandrelgen.design.chosen_tolerances import ToleranceChoice
from mandrelgen.design.designed import Designed
from mandrelgen.design.designer import design_one
from mandrelgen.design.plan import plan
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.shop import Shop


@dataclass(frozen=True, slots=True)
class Assessed:
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
        *pen_findings.check(resolved),
        *pen_findings.rods(pen),
        *(f for d in designed for f in d.findings),
        *mandrel_findings.check(designed),
    )
    return Assessed(designed, resolved, accepted(pen, findings))


def pen_level(pen: Pen, shop: Shop) -> tuple[Finding, ...]:
    """What is to be said of the pen itself, before any mandrel is designed."""
    return pen_findings.check(resolve(pen, shop))


def designs(pen: Pen, shop: Shop) -> tuple[Designed, ...]:
    """Every planned mandrel, designed and judged; one that fails does not stop the others.

    Two passes: a first design with the loosest run-outs is judged; what its verdict settles
    (run-outs, fit, flats) goes into the final one, which is judged again.
    """
    planned = plan(pen)
    first = tuple(design_one(pen, shop, p, ToleranceChoice()) for p in planned)
    chosen = choose_tolerances.settle_all(pen, shop, first, design_one)
    final = tuple(
        f if f.mandrel is None else design_one(pen, shop, f.planned, chosen[f.planned.id])
        for f in first
    )
    return choose_tolerances.judged(pen, shop, final)
