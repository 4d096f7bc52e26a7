"""The what-if comparison as plain values; nothing is computed here."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from mandrelgen.assess.what_if import best
from mandrelgen.workflows.answers.assessment import verdict

if TYPE_CHECKING:
    from mandrelgen.assess.what_if import Variant
    from mandrelgen.design.plan import Planned


def compared(p: Planned, variants: tuple[Variant, ...]) -> dict[str, Any]:
    """What ``what-if --json`` prints."""
    return {
        "mandrel": p.id,
        "take": None if (take := best(variants)) is None else take.name,
        "variants": [
            {
                "group": v.group,
                "value": v.value,
                "word": v.word.value,
                "reason": v.answer.reason,
                "least": None if v.least is None else {"factor": v.least[0], "where": v.least[1]},
                "refused": v.refused or None,
                "failing": list(v.failing),
                "changes": list(v.changes),
                "settles": list(v.settles),
                "verdict": None if v.verdict is None else verdict(v.verdict),
            }
            for v in variants
        ],
    }
