"""Findings that the maker has seen and lives with (``accept`` in the pen file)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from mandrelgen.core.errors import Change, Finding, Level, Remedy
from mandrelgen.core.tolerance import text_of
from mandrelgen.spec.pen import Accepted, Pen

SAME = 0.005
"""Amounts that differ by no more are the same, in the finding's own unit."""


def accepted(pen: Pen, findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """The findings with those that are accepted as notes that carry the reason.

    One whose value got worse keeps its level and says so; what cannot be accepted stays, and an
    acceptance that meets no finding is a warning.
    """
    by_key = {(a.code, a.where): a for a in pen.accept}
    judged = tuple(_judged(f, by_key.get(f.key)) for f in findings)
    return (*judged, *_idle(pen, findings))


def _judged(f: Finding, a: Accepted | None) -> Finding:
    if a is None or f.level is Level.NOTE:
        return f
    if f.firm:
        return replace(f, message=f"{f.message} (this cannot be accepted: {_WHY_FIRM})")
    if _worse(f, a):
        now, then = text_of(f.value or 0.0), text_of(float(a.value or 0.0))
        return replace(f, message=f"{f.message} (accepted at {then}, now {now}: it lapsed)")
    return replace(f, level=Level.NOTE, reason=a.reason, remedies=(), remedy="")


def _worse(f: Finding, a: Accepted) -> bool:
    if f.value is None or a.value is None:
        return False
    return f.value < a.value - SAME if f.less_is_worse else f.value > a.value + SAME


_WHY_FIRM = "it could not be built, or someone could be hurt"


def _idle(pen: Pen, findings: Sequence[Finding]) -> Iterator[Finding]:
    there = {f.key for f in findings if f.level is not Level.NOTE}
    for n, a in enumerate(pen.accept):
        if (a.code, a.where) not in there:
            yield Finding(
                level=Level.WARNING,
                code="accept.idle",
                where=f"accept[{n + 1}]",
                message=f"nothing is found that '{a.code}' at '{a.where}' would accept",
                remedies=(Remedy((Change(("accept", n), None),), "take this entry out of accept"),),
            )
