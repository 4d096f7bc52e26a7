"""What a person is told when something is wrong, and how to mend it."""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum
from typing import Any

from mandrelgen.core.frozen import dataclass


class Level(StrEnum):
    """How much a finding weighs."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"


Path = tuple[str | int, ...]
"""Keys and list positions (from 0) from the top of a file: ``("parts", "cap", "length")``."""

Value = bool | int | float | str
"""What a key of a pen file can be set to."""


@dataclass(frozen=True, slots=True)
class Change:
    """A key of the pen file and the value it gets (None: the key goes)."""

    path: Path
    value: Value | None


@dataclass(frozen=True, slots=True)
class Remedy:
    """One way to mend a finding: its changes, all of them together, and what it says. ``reveals``:
    what is found afterwards was so before and could not be seen, so that it is no reason against
    it. ``lesser``: it mends the error alone and leaves the finding as a warning."""

    changes: tuple[Change, ...]
    says: str
    reveals: bool = False
    lesser: bool = False


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing a person should know: what, where, and what to do about it.

    ``where`` is a place in the person's own words: ``pen.toml:12 parts.cap.length`` for a
    fault of the file, a part's end, a joint's or a mandrel's id for a fault of the design.

    ``remedy``: advice in words, where no change of the file would do it. ``remedies``: before
    they are tried, what the rule that found it proposes; afterwards, those that hold.
    ``parts``: whose mandrels an error holds back: parts, or the one mandrel's planned id.
    ``value``: the amount at fault as the message
    prints it; an accepted finding lapses when it gets worse (``less_is_worse``: smaller).
    ``firm``: it cannot be accepted, since it cannot be built or would hurt. ``reason``: why a
    person accepted it, which made a note of it. ``brief``: the same in a few words, for a remedy
    that leaves it.
    """

    level: Level
    code: str
    where: str
    message: str
    remedy: str = ""
    remedies: tuple[Remedy, ...] = ()
    parts: tuple[str, ...] = ()
    value: float | None = None
    less_is_worse: bool = False
    firm: bool = False
    reason: str = ""
    brief: str = ""

    @property
    def key(self) -> tuple[str, str]:
        """What makes it the same finding in another design: its code and its place."""
        return self.code, self.where

    def line(self) -> str:
        """The finding as one line of plain text."""
        said = [r.says for r in self.remedies] or ([self.remedy] if self.remedy else [])
        tail = f" → {'; or '.join(said)}" if said else ""
        return f"{self.level.value}: {self.where}: {self.message}{tail}"


class InputError(Exception):
    """The file or the command could not be read (exit code 2). Carries every fault found."""

    exit_code = 2

    def __init__(self, findings: Iterable[Finding]) -> None:
        self.findings = tuple(findings)
        super().__init__("\n".join(f.line() for f in self.findings))

    @classmethod
    def of(cls, code: str, where: str, message: str, remedy: str) -> InputError:
        """With one fault."""
        return cls(
            [Finding(level=Level.ERROR, code=code, where=where, message=message, remedy=remedy)]
        )

    def __reduce__(self) -> tuple[Any, ...]:
        """The same error when it comes from another process."""
        return type(self), (self.findings,)


class DiskError(Exception):
    """The disk refused (exit code 3)."""

    exit_code = 3

    def __init__(self, message: str, remedy: str = "") -> None:
        self.finding = Finding(
            level=Level.ERROR, code="disk", where="disk", message=message, remedy=remedy
        )
        super().__init__(message)

    def __reduce__(self) -> tuple[Any, ...]:
        """The same error when it comes from another process."""
        return type(self), (self.finding.message, self.finding.remedy)


class DesignError(Exception):
    """A mandrel cannot be designed; the findings say by how much and what to change (exit 1)."""

    exit_code = 1

    def __init__(self, findings: Iterable[Finding]) -> None:
        self.findings = tuple(findings)
        super().__init__("\n".join(f.line() for f in self.findings))

    def __reduce__(self) -> tuple[Any, ...]:
        """The same error when it comes from another process."""
        return type(self), (self.findings,)
