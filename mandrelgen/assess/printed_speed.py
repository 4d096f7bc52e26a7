"""Whether a fixture may be turned with when it is printed, and how fast: the verdict on the same
design in the printed material."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from mandrelgen.assess.choose_tolerances import neighbours_of, situated
from mandrelgen.assess.end_assessment import judge
from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import floor_to
from mandrelgen.design.designed import Designed
from mandrelgen.mechanics.assessment_types import Assessment
from mandrelgen.mechanics.practice import assumed
from mandrelgen.mechanics.speed import Cap
from mandrelgen.mechanics.strength import StrengthCheck
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.materials import material

# What a fixture is taken to be printed of where the pen file does not say (common practice): of the
# filaments the one that softens first.
ASSUMED = {"fdm": "PLA", "resin": "resin"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Turning:
    """The verdict: ``material`` (and whether the pen file names it), the rules that refuse it, the
    strength checks that fail (the weakest first), the cap that governs (None: nothing is turned on
    it, as with a button), rev/min to start at."""

    material: str
    stated: bool
    rules: tuple[str, ...]
    weak: tuple[str, ...]
    cap: Cap | None
    start: int

    @property
    def refused(self) -> tuple[str, ...]:
        """Every reason not to turn with it."""
        return (*self.rules, *self.weak)

    @property
    def allowed(self) -> int:
        """Rev/min, rounded down to 10; 0 when refused."""
        return 0 if self.refused or self.cap is None else int(floor_to(self.cap.speed, 10.0))


def turning(
    d: Designed, every: Sequence[Designed], pen: Pen, shop: Shop, kind: str
) -> Turning | None:
    """Judge ``d`` as printed by a printer of ``kind`` (``fdm``, ``resin``): in the material its
    order names if that is a printed one, else in the usual one. ``every``: the pen's mandrels.
    None if it was not designed."""
    if d.mandrel is None:
        return None
    named = d.mandrel.ordering.material
    stated = material(named).kind == "printed"
    stuff = named if stated else ASSUMED[kind]
    order = replace(d.mandrel.ordering, material=stuff)
    trial = replace(d, mandrel=replace(d.mandrel, ordering=order))
    near = neighbours_of({e.planned.id: situated(e, pen, shop) for e in every})
    verdicts = [judge(s, near, pen, shop) for s in situated(trial, pen, shop)]
    rules = [] if stated else [f"the pen file does not say that it is printed of {stuff}"]
    for v in verdicts:
        rules += _rules(v)
    failing = sorted((c for v in verdicts for c in v.checks if not c.passes), key=_margin)
    weak = tuple(dict.fromkeys(_weak(c) for c in failing))
    speeds = [v.speed for v in verdicts if v.speed is not None]
    if not speeds:
        rules.append("nothing is turned on it; printed, it is for trying the fit")
        return Turning(
            material=stuff, stated=stated, rules=tuple(rules), weak=weak, cap=None, start=0
        )
    slowest = min(speeds, key=lambda s: s.governing.speed)
    start = min(assumed_start(), int(floor_to(slowest.governing.speed, 10.0)))
    return Turning(
        material=stuff,
        stated=stated,
        rules=tuple(dict.fromkeys(rules)),
        weak=weak,
        cap=slowest.governing,
        start=start,
    )


def assumed_start() -> int:
    """Rev/min at which a plastic fixture is started."""
    return int(assumed("speed", "plastic_start").value)


def _rules(v: Assessment) -> list[str]:
    """The one rule's reasons: life, strength, speed, tailstock."""
    return [] if v.speed is None else list(v.speed.refused)


def _margin(c: StrengthCheck) -> float:
    return c.factor / c.asked


def _weak(c: StrengthCheck) -> str:
    return f"{c.label}: safety factor {floor_to(c.factor, 0.01):.2f} ({c.asked:.1f} required)"
