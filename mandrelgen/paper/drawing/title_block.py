"""The title block (ISO 7200 fields, 180 mm wide) with the shop's fields above it."""

from __future__ import annotations

from typing import NamedTuple

from mandrelgen.core.tolerance import text_of
from mandrelgen.model.corner import UNSIZED
from mandrelgen.model.mandrel import NOT_ISSUED, Issue
from mandrelgen.paper.drawing.model import Drawn, Line, LineStyle, Text
from mandrelgen.paper.drawing.symbols import SMALL, collective_roughness, edge_symbol, projection
from mandrelgen.paper.drawing.text_block import Block, block
from mandrelgen.paper.drawing.text_width import clean, fitted

WIDTH = 180.0
ROWS = (12.0, 12.0, 10.5, 12.0, 13.0)
HISTORY = 3


class TitleData(NamedTuple):
    """What the block says, ready to letter."""

    title: str
    subtitle: str
    material: str
    standard: str
    mass: str
    quantity: str
    scale: str
    paper: str
    sheets: str
    surface: str
    exceptions: bool = False


def _cells(issue: Issue, data: TitleData) -> list[list[tuple[str, str, float, float]]]:
    """Row by row from below: name, text, width of the cell and height of its letters, mm."""
    number = issue.number if issue.issued else NOT_ISSUED
    return [
        [
            ("Approved by", _approved(issue), 40, 3.5),
            ("Supplementary title", data.subtitle, 60, 3.5),
            ("Rev.", issue.revision, 13, 3.5),
            ("Date of issue", issue.date, 30, 3.5),
            ("Lang.", "en", 13, 3.5),
            ("Sheet", data.sheets, 24, 3.5),
        ],
        [
            ("Created by", issue.drawn_by, 40, 3.5),
            ("Title", data.title, 87, 5.0),
            ("Identification number", number, 53, 5.0),
        ],
        [
            ("Legal owner", issue.owner, 67, 3.5),
            ("Document type", "Part drawing", 53, 3.5),
            ("Document status", _status(issue), 60, 3.5),
        ],
        [
            ("Material", "", 80, 3.5),
            ("Mass", data.mass, 18, 3.5),
            ("Quantity", data.quantity, 16, 3.5),
            ("General tolerances", "ISO 2768-m", 36, 3.5),
            ("Tolerancing", "ISO 8015", 30, 3.5),
        ],
        [
            ("Edges ISO 13715", "", 57, 3.5),
            ("Surface ISO 1302:2002", "", 39, 3.5),
            ("Projection", "", 20, 3.5),
            ("Dimensions in mm", "", 31, 3.5),
            ("Scale (paper)", f"{data.scale} ({data.paper})", 33, 3.5),
        ],
    ]


def title_block(issue: Issue, data: TitleData) -> Block:
    """The block, its lower left corner at (0, 0)."""
    drawn: list[Drawn] = []
    y = 0.0
    for cells, high in zip(_cells(issue, data), ROWS, strict=True):
        drawn += _row(cells, y, high)
        y += high
    drawn.append(Line(((0, 0), (WIDTH, 0), (WIDTH, y), (0, y)), LineStyle.OUTLINE, closed=True))
    base = y - ROWS[-1]
    least, most = (f"+{text_of(r)}" for r in UNSIZED)
    drawn += edge_symbol(("−0.1", "−0.3"), (most, least), (3.0, base + 1.2))
    drawn += collective_roughness(data.surface, data.exceptions, (61.0, base + 0.8))
    drawn += _material(data, sum(ROWS[:3]))
    drawn += projection(issue.projection == "third", (98.5, base + 2.0), 2.3)
    drawn += _history(issue, y)
    return block(drawn)


def _status(issue: Issue) -> str:
    """Paper outlives the archive's status of the day: what it says of itself stays true."""
    if not issue.issued:
        return "not issued"
    return "approved" if issue.approved_by.strip() else "valid with a written order"


def _approved(issue: Issue) -> str:
    """Who approved; without a name it is the order that does."""
    if not issue.issued or issue.approved_by.strip():
        return issue.approved_by
    return "by written order"


def _material(data: TitleData, y: float) -> list[Drawn]:
    """Name over standard, beside their label."""
    drawn: list[Drawn] = []
    for text, high in ((data.material, 4.6), (data.standard, 1.0)):
        line, h = fitted(text, SMALL, 78.0)
        drawn.append(Text((1.0, y + high), line, h))
    return drawn


def _row(cells: list[tuple[str, str, float, float]], y: float, high: float) -> list[Drawn]:
    x = 0.0
    drawn: list[Drawn] = [Line(((0, y + high), (WIDTH, y + high)), LineStyle.TABLE)]
    for label, value, wide, size in cells:
        drawn.append(Text((x + 1, y + high - SMALL - 0.9), label, SMALL))
        if value:
            text, h = fitted(value, size, wide - 2)
            drawn.append(Text((x + 1, y + (high - SMALL - 0.9 - 0.7 - h) / 2 + 0.2), text, h))
        x += wide
        if x < WIDTH - 1:
            drawn.append(Line(((x, y), (x, y + high)), LineStyle.TABLE))
    return drawn


def _history(issue: Issue, y: float) -> list[Drawn]:
    """The last revisions, newest at the bottom, on top of the block."""
    if not issue.history:
        return []
    rows = [("Rev.", "Date", "Change"), *issue.history[-HISTORY:]]
    drawn: list[Drawn] = []
    cols = (13.0, 30.0, 137.0)
    top = y + 5.0 * len(rows)
    for i, row in enumerate(rows):
        base = top - 5.0 * (i + 1)
        x = 0.0
        for text, wide in zip(row, cols, strict=True):
            drawn.append(Text((x + 1, base + 1.3), fitted(clean(text), SMALL, wide - 2)[0], SMALL))
            x += wide
        drawn.append(Line(((0, base + 5), (WIDTH, base + 5)), LineStyle.TABLE))
    for x in (0.0, 13.0, 43.0, WIDTH):
        drawn.append(Line(((x, y), (x, top)), LineStyle.TABLE))
    return drawn
