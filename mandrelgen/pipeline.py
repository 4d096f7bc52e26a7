"""The whole flow on one screen: read, design, check; then draw, write, prove, publish."""

from __future__ import annotations

from mandrelgen.checks import mandrel as mandrel_checks
from mandrelgen.checks import pen as pen_checks
from mandrelgen.design.designer import Designed, design
from mandrelgen.design.resolved import ResolvedPen, resolve
from mandrelgen.errors import Finding, Level
from mandrelgen.frozen import dataclass
from mandrelgen.reading import Inputs


@dataclass(frozen=True, slots=True)
class Checked:
    """Everything ``check`` knows: the designed mandrels, the pen's joints and walls, findings."""

    inputs: Inputs
    designed: tuple[Designed, ...]
    resolved: ResolvedPen
    findings: tuple[Finding, ...]

    @property
    def failed(self) -> bool:
        """True if any finding is an error."""
        return any(f.level is Level.ERROR for f in self.findings)


def check(inputs: Inputs) -> Checked:
    """Design every mandrel and judge pen and mandrels; nothing is written."""
    designed = design(inputs.pen, inputs.shop)
    resolved = resolve(inputs.pen, inputs.shop)
    findings = (
        *inputs.findings,
        *pen_checks.held(inputs.pen, designed),
        *pen_checks.check(resolved),
        *(f for d in designed for f in d.findings),
        *mandrel_checks.check(designed),
    )
    return Checked(inputs, designed, resolved, findings)
