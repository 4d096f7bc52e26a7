"""``check``: read, settle the design, say what was found; nothing is written."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from mandrelgen.assess.resolved import ResolvedPen
from mandrelgen.assess.settled import settled
from mandrelgen.assess.words import Answer, Owned, answers
from mandrelgen.core.errors import Finding, Level
from mandrelgen.core.frozen import dataclass
from mandrelgen.design.designed import Designed
from mandrelgen.workflows.read_inputs import Inputs, read_inputs
from mandrelgen.workflows.remedies import tried
from mandrelgen.workflows.trial import Bench


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


def check_pen(pen: Path, shop: Path | None = None, archive: Path | None = None) -> Checked:
    """Read a pen file with its shop (see `read_inputs`), settle its design, say what was found.

    Raises InputError with every fault of both files.
    """
    inputs = read_inputs(pen, shop, archive)
    return check(inputs)


def check(inputs: Inputs) -> Checked:
    """Settle the design, judge pen and mandrels, try the remedies; nothing is written."""
    design = settled(inputs.pen, inputs.shop)
    findings = tried(design.findings, Bench(inputs.pen_bytes, inputs.own_shop))
    found = (*inputs.findings, *findings)
    return Checked(inputs, design.designed, design.resolved, found)


def worded(checked: Checked, owned: Mapping[str, Owned]) -> tuple[Answer, ...]:
    """The word for each mandrel; ``owned``: what the archive has in its place, by planned id."""
    c = checked.inputs
    return answers(c.pen, c.shop, checked.designed, checked.findings, owned)
