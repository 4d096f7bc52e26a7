"""A box to type in, and a pen file's values to fill it with."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from mandrelgen.core.errors import Path
from mandrelgen.core.frozen import dataclass
from mandrelgen.paper.pen_drawing.facts import dotted
from mandrelgen.spec.patch import value_at

SIZE, THREAD, TEXT, CHOICE, FLAG = "size", "thread", "text", "choice", "flag"
WHOLE = "whole"
Choices = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Field:
    """One box: ``key`` dotted, ``value`` as it is written (empty: left out), ``taken`` what stands
    in for it then, ``needed`` if it cannot be left out, ``unsaid`` if what stands in was put there
    for want of a better one."""

    key: str
    label: str
    value: str
    kind: str = SIZE
    choices: Choices = ()
    taken: str = ""
    needed: bool = False
    unsaid: bool = False

    @property
    def id(self) -> str:
        """For the page."""
        return "f-" + self.key.replace(".", "-")

    @property
    def path(self) -> Path:
        """The key's path in the file."""
        return tuple(int(s) if s.isdigit() else s for s in self.key.split("."))


@dataclass(frozen=True, slots=True)
class Group:
    """Boxes under one heading; ``more``: behind a fold. ``side``: which thread of an end they say,
    if any."""

    title: str
    fields: tuple[Field, ...]
    more: tuple[Field, ...] = ()
    side: str = ""


class Tree:
    """A pen file's values, asked for by path; ``taken``: those that nobody said."""

    def __init__(self, values: Mapping[str, Any], taken: frozenset[Path] = frozenset()) -> None:
        self.values, self.taken = values, taken

    def text(self, path: Path) -> str:
        """A value as a person writes it; empty if it is not there."""
        here = value_at(self.values, path)
        if here is None or isinstance(here, bool):
            return "true" if here else ""
        return f"{here:.12g}" if isinstance(here, float) else str(here)

    def size(self, label: str, *path: str | int, needed: bool = False, taken: str = "") -> Field:
        """A box for a length."""
        value, unsaid = self.text(path), path in self.taken
        return Field(
            key=dotted(path), label=label, value="" if unsaid else value,
            taken=value if unsaid else taken, needed=needed, unsaid=unsaid,
        )  # fmt: skip

    def choice(self, label: str, choices: Choices, taken: str, *path: str | int) -> Field:
        """A box to choose from."""
        return Field(
            key=dotted(path),
            label=label,
            value=self.text(path),
            kind=CHOICE,
            choices=choices,
            taken=taken,
        )

    def words(self, label: str, *path: str | int, needed: bool = False, taken: str = "") -> Field:
        """A box for a name."""
        value = self.text(path)
        return Field(
            key=dotted(path), label=label, value=value, kind=TEXT, taken=taken, needed=needed
        )

    def flag(self, label: str, *path: str | int) -> Field:
        """A box to tick."""
        return Field(dotted(path), label, self.text(path), FLAG)
