"""The what-if comparison as a table and as plain values; nothing is computed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from mandrelgen.assess.what_if import best
from mandrelgen.cli.views.assessment import verdict
from mandrelgen.core.tolerance import text_of

if TYPE_CHECKING:
    from mandrelgen.assess.what_if import Variant
    from mandrelgen.design.plan import Planned

HEAD = ("", "mismatch", "run-out", "factor", "rpm", "what it settles; where the least factor is")
WIDTHS = (26, 10, 9, 8, 7)


def table(p: Planned, variants: tuple[Variant, ...]) -> str:
    """The mandrel as it is and what changes a finding: mismatch and run-out (tightened, 95 %, mm),
    the least factor over the required one and where, highest speed; then which one to take."""
    lines = [f"{p.id}: mismatch and run-out tightened, 95 %; mm", _line(HEAD)]
    for v in variants:
        name = f"{v.group} {v.value}".strip()
        if v is not variants[0] and not v.settles:
            continue
        d, least = v.verdict, v.least
        if d is None:
            continue
        lines.append(
            _line(
                (
                    name,
                    text_of(d.truth.step.states.tight.statistical),
                    text_of(d.truth.runout_seat.tight.statistical),
                    text_of(least[0], 2) if least else "-",
                    str(d.speed.allowed) if d.speed else "-",
                    "; ".join((*v.settles, *((least[1],) if least else ()))),
                )
            )
        )
    take = best(variants)
    tried = len(variants) - 1
    lines.append(
        f"take: {take.group} {take.value}"
        if take is not None
        else f"{tried} changes were tried: none mends anything that was found"
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
                "settles": list(v.settles),
                "verdict": None if v.verdict is None else verdict(v.verdict),
            }
            for v in variants
        ],
    }


def _line(cells: tuple[str, ...]) -> str:
    first = f"{cells[0]:{WIDTHS[0]}}"
    rest = "".join(f"{c:>{w}}" for c, w in zip(cells[1:-1], WIDTHS[1:], strict=True))
    return f"{first}{rest}  {cells[-1]}".rstrip()
