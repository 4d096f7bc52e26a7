"""What a person is told when something is wrong, and how to mend it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import Any


class Level(StrEnum):
    """How much a finding weighs."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing a person should know: what, where, and what to do about it.

    ``where`` is a place in the person's own words: ``pen.toml:12 parts.cap.length`` for a
    fault of the file, a mandrel's or a joint's id for a fault of the design.
    """

    level: Level
    code: str
    where: str
    message: str
    remedy: str = ""

    def line(self) -> str:
        """The finding as one line of plain text."""
        tail = f" → {self.remedy}" if self.remedy else ""
        return f"{self.level.value}: {self.where}: {self.message}{tail}"


class InputError(Exception):
    """The file or the command could not be read (exit code 2). Carries every fault found."""

    exit_code = 2

    def __init__(self, findings: Iterable[Finding]) -> None:
        self.findings = tuple(findings)
        super().__init__("\n".join(f.line() for f in self.findings))

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
