"""What went wrong, beside the box where a person is looking."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

from mandrelgen.core.errors import DesignError, DiskError, Finding, InputError
from mandrelgen.core.frozen import dataclass
from mandrelgen.spec.patch import NoPlaceError
from mandrelgen.standards.tables import NotHeldError
from mandrelgen.workflows.answers.spoken import place, spoken
from mandrelgen.workflows.answers.texts import text
from mandrelgen.workflows.bench_edits import ValueRefusedError

TOLD = (InputError, DesignError, DiskError, ValueRefusedError, NotHeldError, NoPlaceError)


@dataclass(frozen=True, slots=True)
class Fault:
    """``key``: the box it belongs to (empty: none); ``typed``: what stands in it. ``at``: the form
    whose button was pressed, and ``form`` what was typed into it."""

    key: str
    typed: str
    lines: tuple[str, ...]
    at: str = ""
    form: Mapping[str, str] = field(default_factory=dict)

    def kept(self, at: str, name: str) -> str:
        """What stays in a box of the form ``at`` that was refused; empty in any other."""
        return self.form.get(name, "") if at and at == self.at else ""


def fault_of(error: Exception, key: str = "", typed: str = "") -> Fault:
    """An error in words."""
    if isinstance(error, InputError | DesignError):
        return Fault(key, typed, tuple(dict.fromkeys(said(f, key) for f in error.findings)))
    if isinstance(error, DiskError):
        return Fault(key, typed, (said(error.finding, key),))
    if isinstance(error, NoPlaceError):
        return Fault(key, typed, (text("frame.no_place"),))
    return Fault(key, typed, (str(error),))


_NAMES = ("part", "end", "side", "number", "code", "where", "says")


def form_of(action: str, form: Mapping[str, object]) -> tuple[str, dict[str, str]]:
    """Which form of a page was sent (as its template names it), and what stood in it."""
    said = {k: v[:200] for k, v in form.items() if isinstance(v, str)}
    return " ".join((action, *(said[k] for k in _NAMES if said.get(k)))), said


def in_file(error: Exception) -> Fault:
    """What is wrong with a file that cannot be read, with lines and keys: it is mended there."""
    if isinstance(error, InputError):
        return Fault("", "", tuple(f.line() for f in error.findings))
    return fault_of(error)


def said(f: Finding, key: str = "") -> str:
    """A fault in a person's words, without the line of a file that nobody here reads; beside the
    box that it speaks of (``key``) without its place too."""
    where = place(f.where)
    tail = f" → {spoken(f.remedy)}" if f.remedy else ""
    head = "" if key and where == place(key) else f"{where}: "
    return f"{head}{spoken(f.message)}{tail}"
