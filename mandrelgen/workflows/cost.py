"""What it costs to ask, with the changes that loosen it tried on a copy of the pen."""

from __future__ import annotations

from dataclasses import replace

from mandrelgen.assess.asking_cost import Asked, asked
from mandrelgen.assess.settled import settled
from mandrelgen.core.errors import Change, Finding, Level, Remedy
from mandrelgen.paper.drawing.model import Table
from mandrelgen.paper.reports.asking_table import asking_tables
from mandrelgen.standards.designation import ThreadTextError
from mandrelgen.standards.tables import NotHeldError
from mandrelgen.standards.threads import ThreadLimitError
from mandrelgen.workflows.check import Checked
from mandrelgen.workflows.trial import WEIGHT, Bench


def costs(checked: Checked) -> dict[str, tuple[Asked, ...]]:
    """The dear tolerances of each mandrel by its id; of the changes that would loosen one, those
    that hold: nothing comes that was not found before, or was less."""
    c = checked.inputs
    found = asked(checked.designed, c.pen, c.shop)
    bench = Bench(c.pen_bytes, c.own_shop)
    before = _levels(checked.findings)
    # One key often serves several mandrels: what it says is tried once.
    held: dict[tuple[Change, ...], bool] = {}

    def holds(r: Remedy) -> bool:
        if r.changes not in held:
            held[r.changes] = _holds(r, bench, before)
        return held[r.changes]

    return {
        name: tuple(
            replace(a, remedies=tuple(r for r in map(bench.placed, a.remedies) if holds(r)))
            for a in row
        )
        for name, row in found.items()
    }


def cost_tables(checked: Checked) -> dict[str, tuple[Table, ...]]:
    """The same as tables for the maker's paper, by mandrel."""
    return {name: asking_tables(row) for name, row in costs(checked).items()}


def _levels(findings: tuple[Finding, ...]) -> dict[tuple[str, str], int]:
    out: dict[tuple[str, str], int] = {}
    for f in findings:
        out[f.key] = max(WEIGHT[f.level], out.get(f.key, 0))
    return out


def _holds(remedy: Remedy, bench: Bench, before: dict[tuple[str, str], int]) -> bool:
    new = bench.changed(remedy.changes)
    if new is None:
        return False
    try:
        after = settled(*new).findings
    except (ThreadLimitError, ThreadTextError, NotHeldError):
        return False
    return all(f.level is Level.NOTE or WEIGHT[f.level] <= before.get(f.key, 0) for f in after)
