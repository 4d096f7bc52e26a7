"""Lettering found in a file: lines of text with their places."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from mandrelgen.proof.case import Case


@dataclass(frozen=True, slots=True)
class Cell:
    """One line of text and its left point on the base line, in the file's own mm; ``height`` of
    its capitals where it is known."""

    x: float
    y: float
    text: str
    height: float = 0.0


def below(label: Cell, cells: Iterable[Cell]) -> str | None:
    """The text of a title block's field: the next cell under its label."""
    under = [c for c in cells if abs(c.x - label.x) < 0.01 and c.y < label.y - 0.01]
    return max(under, key=lambda c: c.y).text if under else None


def title_block(case: Case, cells: Sequence[Cell]) -> None:
    """Number, revision and mass stand in their fields of the title block."""
    expected = case.expected
    dates = [c for c in cells if c.text == "Date of issue"]
    # A revision table above the block has a column of the same name.
    fields = (
        ("Identification number", expected.shown_number, True),
        ("Rev.", expected.revision, False),
        ("Mass", f"{expected.mass_g:.1f}".removesuffix(".0") + " g", True),
    )
    for name, wanted, alone in fields:
        labels = [
            c
            for c in cells
            if c.text == name and (alone or any(abs(c.y - d.y) < 0.01 for d in dates))
        ]
        if case.equal(f"title block, '{name}'", 1, len(labels)):
            case.equal(f"title block, '{name}'", wanted, below(labels[0], cells))
