"""What the designer hands on."""

from __future__ import annotations

from dataclasses import field

from mandrelgen.core.errors import Finding
from mandrelgen.core.frozen import dataclass
from mandrelgen.design.chosen_tolerances import ToleranceChoice
from mandrelgen.design.options import Wishes
from mandrelgen.design.plan import Planned
from mandrelgen.design.shank import Grip
from mandrelgen.mechanics.assessment_types import Assessment
from mandrelgen.model.mandrel import Mandrel


@dataclass(frozen=True, slots=True, kw_only=True)
class Designed:
    """One planned mandrel: the fixture, or None with the findings that say why not.

    ``verdict``: how it serves; ``verdict_b``: a double-ended one's other end. ``settled``: what
    the verdict on a first design settled.
    """

    planned: Planned
    mandrel: Mandrel | None
    findings: tuple[Finding, ...]
    grip: Grip | None = None
    wishes: Wishes | None = None
    settled: ToleranceChoice = field(default_factory=ToleranceChoice)
    verdict: Assessment | None = None
    verdict_b: Assessment | None = None
