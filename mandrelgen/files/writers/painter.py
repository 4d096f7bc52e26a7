"""The one walk over what a sheet or a page shows; each kind of file is a back end of it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol

from mandrelgen.paper.drawing.model import (
    Arc,
    Dimension,
    Drawn,
    Fill,
    Hatch,
    Line,
    Mark,
    Text,
)


class BackEnd(Protocol):
    """What a kind of file must be able to show. Coordinates are mm on paper, y upwards."""

    def line(self, line: Line) -> None:
        """Show a chain of straight pieces."""

    def arc(self, arc: Arc) -> None:
        """Show an arc or a circle."""

    def fill(self, fill: Fill) -> None:
        """Show a filled polygon."""

    def text(self, text: Text) -> None:
        """Show a line of lettering."""

    def group(self, group: Dimension | Hatch | Mark) -> bool:
        """Show ``group`` as one thing, if this kind of file can; False: show its items."""


def paint(drawn: Iterable[Drawn], on: BackEnd) -> None:
    """Show ``drawn`` on a back end, in order."""
    for d in drawn:
        if isinstance(d, Line):
            on.line(d)
        elif isinstance(d, Arc):
            on.arc(d)
        elif isinstance(d, Fill):
            on.fill(d)
        elif isinstance(d, Text):
            on.text(d)
        elif not on.group(d):
            paint(d.items, on)
