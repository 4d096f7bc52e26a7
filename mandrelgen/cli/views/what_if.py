"""The what-if comparison as a table and as plain values; nothing is computed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from mandrelgen.cli.views.assessment import verdict
from mandrelgen.core.tolerance import text_of

if TYPE_CHECKING:
    from mandrelgen.assess.what_if import Variant
    from mandrelgen.design.plan import Planned

HEAD = ("", "step", "run-out", "bends", "safety", "1/min", "what changes")
WIDTHS = (26, 7, 8, 7, 7, 6)


def table(p: Planned, variants: tuple[Variant, ...]) -> str:
    """One line a variant: statistical step and run-out at the seat (pulled tight), deflection at
    the tool, least safety, highest speed, what changes."""
    lines = [f"{p.id}: step and run-out statistical, pulled tight; mm", _line(HEAD)]
    for v in variants:
        name = f"{v.group} {v.value}".strip()
        if v.verdict is None:
            lines.append(f"{name:{WIDTHS[0]}}cannot be made: {v.refused}")
            continue
        d = v.verdict
        lines.append(
            _line(
                (
                    name,
                    text_of(d.truth.step.states.tight.statistical),
                    text_of(d.truth.runout_seat.tight.statistical),
                    text_of(d.stiffness.used.tool, 2) if d.stiffness else "-",
                    text_of(d.weakest.factor, 2) if d.weakest else "-",
                    str(d.speed.allowed) if d.speed else "-",
                    "; ".join(v.changes) or ("" if v is variants[0] else "nothing worth naming"),
                )
            )
        )
    return "\n".join(lines)


def view(p: Planned, variants: tuple[Variant, ...]) -> dict[str, Any]:
    """What ``what-if --json`` prints."""
    return {
        "mandrel": p.id,
        "variants": [
            {
                "group": v.group,
                "value": v.value,
                "refused": v.refused or None,
                "failing": list(v.failing),
                "changes": list(v.changes),
                "verdict": None if v.verdict is None else verdict(v.verdict),
            }
            for v in variants
        ],
    }


def _line(cells: tuple[str, ...]) -> str:
    first = f"{cells[0]:{WIDTHS[0]}}"
    rest = "".join(f"{c:>{w}}" for c, w in zip(cells[1:-1], WIDTHS[1:], strict=True))
    return f"{first}{rest}  {cells[-1]}".rstrip()
