"""What went wrong, beside the box where a person is looking."""

from __future__ import annotations

from dataclasses import dataclass

from mandrelgen.core.errors import DesignError, DiskError, Finding, InputError
from mandrelgen.spec.patch import NoPlaceError
from mandrelgen.standards.tables import NotHeldError
from mandrelgen.workflows.answers.texts import text
from mandrelgen.workflows.bench_edits import ValueRefusedError

TOLD = (InputError, DesignError, DiskError, ValueRefusedError, NotHeldError, NoPlaceError)


@dataclass(frozen=True, slots=True)
class Fault:
    """``key``: the box it belongs to (empty: none); ``typed``: what stands in it."""

    key: str
    typed: str
    lines: tuple[str, ...]


def fault_of(error: Exception, key: str = "", typed: str = "") -> Fault:
    """An error in words."""
    if isinstance(error, InputError | DesignError):
        return Fault(key, typed, tuple(_line(f) for f in error.findings))
    if isinstance(error, DiskError):
        return Fault(key, typed, (_line(error.finding),))
    if isinstance(error, NoPlaceError):
        return Fault(key, typed, (text("frame.no_place"),))
    return Fault(key, typed, (str(error),))


def _line(f: Finding) -> str:
    """Without the line number of a file that nobody here reads."""
    where = f.where.split(" ", 1)[-1] if f.where.count(" ") else f.where
    tail = f" → {f.remedy}" if f.remedy else ""
    return f"{where}: {f.message}{tail}"
