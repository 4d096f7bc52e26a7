"""The first screen of ``check``: what to do about each mandrel, and what stands in the way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from mandrelgen.assess.words import Answer, Word, summary
from mandrelgen.core.errors import Finding, Level
from mandrelgen.design.designed import Designed

NOTES = 2
"""Notes on the first screen for each mandrel, at the most."""


class MandrelRow(NamedTuple):
    """One mandrel: what it is, the word, why."""

    id: str
    what: str
    word: str
    reason: str


class FoundRow(NamedTuple):
    """One thing that was found, with what it leads to elsewhere under it. ``remedies``: in words;
    ``code``: by which ``--mend`` and ``accept`` know it."""

    level: Level
    where: str
    message: str
    code: str
    remedies: tuple[str, ...]
    also: tuple[str, ...] = ()
    reason: str = ""


class FirstScreen(NamedTuple):
    """The pen's line, a row a mandrel, a row a finding; ``left``: notes that are not shown."""

    name: str
    summary: str
    mandrels: tuple[MandrelRow, ...]
    found: tuple[FoundRow, ...]
    left: int = 0


def first_screen(
    name: str, designed: Sequence[Designed], answers: Sequence[Answer], findings: Sequence[Finding]
) -> FirstScreen:
    """What a person reads first."""
    by_id = {d.planned.id: d for d in designed}
    mandrels = tuple(
        MandrelRow(a.planned, _what(by_id[a.planned]), a.said, a.reason) for a in answers
    )
    rows = _grouped(heard(findings, answers))
    notes = [r for r in rows if r.level is Level.NOTE]
    shown = notes[: NOTES * max(len(mandrels), 1)]
    found = tuple(r for r in rows if r.level is not Level.NOTE or r in shown)
    return FirstScreen(
        name=name,
        summary=summary(answers),
        mandrels=mandrels,
        found=found,
        left=len(notes) - len(shown),
    )


def heard(findings: Sequence[Finding], answers: Sequence[Answer]) -> list[Finding]:
    """Of a mandrel that is held back (the rest follows from its errors) or that is not needed,
    nothing but errors; all of the others."""
    idle = {a.planned for a in answers if a.word in (Word.CHANGE, Word.SKIP)}
    return [
        f for f in findings if f.level is Level.ERROR or f.where.removesuffix(", end B") not in idle
    ]


def _what(d: Designed) -> str:
    """The thread of the mandrel, or what else it holds by."""
    if d.mandrel is None or not d.mandrel.threads:
        return d.planned.hold.text
    return d.mandrel.threads[0].limits.designation.text


def joined(findings: Sequence[Finding]) -> list[Finding]:
    """What was found of several places in the same words, said once of all of them."""
    return [
        replace(first, where=", ".join((first.where, *(f.where for f in others))))
        for first, *others in _alike(findings)
    ]


def _alike(findings: Sequence[Finding]) -> list[list[Finding]]:
    """Errors first; what was found in the same words and is mended by the same ones together."""
    order = (Level.ERROR, Level.WARNING, Level.NOTE)
    rows: dict[tuple[Level, str, str, str, tuple[str, ...]], list[Finding]] = {}
    for f in sorted(findings, key=lambda f: order.index(f.level)):
        says = tuple(r.says for r in f.remedies)
        rows.setdefault((f.level, f.code, f.message, f.remedy, says), []).append(f)
    return list(rows.values())


def _grouped(findings: Sequence[Finding]) -> list[FoundRow]:
    """A row for what was found of several places in the same words."""
    return [
        FoundRow(
            level=first.level,
            where=first.where,
            message=first.message,
            code=first.code,
            remedies=tuple(r.says for r in first.remedies)
            or ((first.remedy,) if first.remedy else ()),
            also=tuple(f.where for f in others),
            reason=first.reason,
        )
        for first, *others in _alike(findings)
    ]
