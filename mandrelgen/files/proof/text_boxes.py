"""Lettering found in a file: lines of text with their places."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from mandrelgen.files.proof.report import Case


class Cell(NamedTuple):
    """One line of text and its left point on the base line, in the file's own mm; ``height`` of
    its capitals and ``right`` end where they are known."""

    x: float
    y: float
    text: str
    height: float = 0.0
    right: float = 0.0


def joined(cells: Sequence[Cell]) -> str:
    """The lettering of one dimension on one line: deviations that stand one above the other (two
    texts smaller than the number) in brackets behind it."""
    largest = max((c.height for c in cells), default=0.0)
    line = sorted((c for c in cells if c.height > largest - 1e-6), key=lambda c: c.x)
    small = sorted((c for c in cells if c.height <= largest - 1e-6), key=lambda c: -c.y)
    if not small:
        return line[0].text if len(line) == 1 else f"{len(cells)} texts"
    behind = all(c.x > line[0].x for c in small)
    if len(small) != 2 or len(line) > 2 or not behind:
        return f"{len(cells)} texts"
    tail = line[1].text if len(line) == 2 else ""
    space = " " if tail else ""
    return f"{line[0].text} ({small[0].text}/{small[1].text}){space}{tail.strip()}"


def below(label: Cell, cells: Iterable[Cell]) -> str | None:
    """The text of a title block's field: the next cell under its label."""
    under = [c for c in cells if abs(c.x - label.x) < 0.01 and c.y < label.y - 0.01]
    return max(under, key=lambda c: c.y).text if under else None


def title_block(case: Case, cells: Sequence[Cell], sheets: Sequence[int] = (1,)) -> None:
    """Number, revision, mass and sheet stand in their fields of the title blocks of ``sheets``,
    which stand from left to right."""
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
        if case.equal(f"title block, '{name}'", len(sheets), len(labels)):
            for label in labels:
                case.equal(f"title block, '{name}'", wanted, below(label, cells))
    said = sorted((c for c in cells if c.text == "Sheet"), key=lambda c: c.x)
    if case.equal("title block, 'Sheet'", len(sheets), len(said)) and expected.pages:
        for n, label in zip(sheets, said, strict=True):
            case.equal("title block, 'Sheet'", f"{n}/{expected.pages}", below(label, cells))


def references(case: Case, texts: Sequence[str]) -> None:
    """Each sheet of a drawing names the other: "See sheet 2: …", "See sheet 1: …"."""
    said = " ".join(texts)
    for n in range(1, case.expected.sheets + 1 if case.expected.sheets > 1 else 1):
        if f"See sheet {n}: " not in said:
            case.fault("references", f"'See sheet {n}: …'", "none")
