"""What ``make`` answers with: the mandrels made and where their files are."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from mandrelgen.assess.words import Answer
from mandrelgen.core.errors import Finding
from mandrelgen.mechanics.assessment_types import Assessment


class MadeMandrel(NamedTuple):
    """One mandrel's files: number and revision (None if not issued), folder, format -> name;
    ``existed``: it was there before; ``verdicts``: how each of its working ends serves."""

    id: str
    number: str | None
    revision: str | None
    folder: Path
    files: dict[str, str]
    existed: bool
    verdicts: tuple[Assessment, ...] = ()


class MadeSet(NamedTuple):
    """What ``make`` wrote; ``order`` is the set's folder, None if nothing was issued.
    ``findings``: what only showed while drawing and publishing; ``words``: what to do about each
    mandrel of the pen; ``cards``: the folder of the maker's own cards (None: none)."""

    made: tuple[MadeMandrel, ...]
    order: Path | None
    findings: tuple[Finding, ...] = ()
    words: tuple[Answer, ...] = ()
    cards: Path | None = None

    @property
    def zip(self) -> Path | None:
        """What goes to the turner."""
        return None if self.order is None else self.order / f"{self.order.name}.zip"
