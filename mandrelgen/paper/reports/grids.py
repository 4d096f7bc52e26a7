"""Tables and pages of text for the bench's papers, ready to be laid out."""

from __future__ import annotations

from mandrelgen.core.frozen import dataclass

Row = tuple[str, ...]
# Shares of a table of two columns: a word, and what it says.
PAIR = (0.2, 0.8)


@dataclass(frozen=True, slots=True)
class Grid:
    """A table: ``widths`` are shares of the page's width; ``ids`` the characteristic of each row
    (empty where there is none)."""

    title: str
    heads: Row
    widths: tuple[float, ...]
    rows: tuple[Row, ...]
    ids: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class GridPage:
    """A page: its grids from top to bottom, and notes under them."""

    id: str
    title: str
    grids: tuple[Grid, ...]
    notes: tuple[str, ...] = ()


def pairs(title: str, rows: tuple[Row, ...] | list[Row]) -> Grid:
    """A table of words and what they say."""
    return Grid(title, ("", ""), PAIR, tuple(rows))
