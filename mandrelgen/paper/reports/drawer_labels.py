"""Labels for drawers and boxes: sheets of A4 with a grid of labels, laid out as values.

All lengths in mm from the lower left corner of the sheet. Every text lies inside its label and
touches no other: it is wrapped, then made smaller, and only then cut, with an ellipsis.
"""

from __future__ import annotations

from collections.abc import Sequence

from mandrelgen.core.frozen import dataclass
from mandrelgen.paper.drawing.text_width import fitted, width_of, wrapped

WIDTH, HEIGHT = 210.0, 297.0  # A4, ISO 216
# Our own names; anything else is written COLUMNSxROWS.
GRIDS = {"small": (5, 13), "drawer": (3, 8), "box": (2, 6)}
# A smaller label has no room for a code a phone can read and three lines beside it (own rule).
LEAST = (30.0, 15.0)
PAD, BESIDE = 1.5, 0.5
LARGEST_CODE = 34.0
# Capitals: the number's largest, the other lines' from the largest to the least legible.
NUMBER_CAP, CAPS = 5.0, (3.0, 2.5, 2.2, 2.0, 1.8, 1.6, 1.4, 1.2)
# From one line to the next, in capitals; the font's tallest letters and tails need 1.6.
PITCH = 1.7
_TAIL = 0.35


@dataclass(frozen=True, slots=True)
class LabelGrid:
    """So many labels on a sheet; ``margin`` around all of them, ``gap`` between, mm; ``first``:
    the place to begin at (1: the upper left), for a sheet that is partly used."""

    columns: int
    rows: int
    margin: float = 10.0
    gap: float = 2.0
    first: int = 1

    @property
    def label(self) -> tuple[float, float]:
        """Width and height of one label, mm."""
        return (
            (WIDTH - 2 * self.margin - (self.columns - 1) * self.gap) / self.columns,
            (HEIGHT - 2 * self.margin - (self.rows - 1) * self.gap) / self.rows,
        )

    @property
    def usable(self) -> bool:
        """Whether a label has room for its code and lines, and the first place is on the sheet."""
        w, h = self.label
        return w >= LEAST[0] and h >= LEAST[1] and 1 <= self.first <= self.columns * self.rows


@dataclass(frozen=True, slots=True)
class Labelled:
    """What a label says: the number (also its code), the revision, and lines below."""

    number: str
    revision: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LabelText:
    """One line; capitals ``cap`` mm high."""

    x: float
    y: float
    text: str
    cap: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedLabel:
    """One label: its box, the square of its code (quiet zone included), what the code says."""

    x: float
    y: float
    width: float
    height: float
    code: str
    code_x: float
    code_y: float
    code_side: float
    texts: tuple[LabelText, ...]


def pages(labels: Sequence[Labelled], grid: LabelGrid) -> tuple[tuple[PlacedLabel, ...], ...]:
    """The sheets, row by row from the upper left. Raises ValueError for an unusable grid."""
    if not grid.usable:
        raise ValueError(f"labels of {grid.label} mm have no room")
    per_sheet = grid.columns * grid.rows
    found: list[list[PlacedLabel]] = []
    for n, label in enumerate(labels, grid.first - 1):
        sheet, place = divmod(n, per_sheet)
        while len(found) <= sheet:
            found.append([])
        row, column = divmod(place, grid.columns)
        w, h = grid.label
        x = grid.margin + column * (w + grid.gap)
        y = HEIGHT - grid.margin - (row + 1) * h - row * grid.gap
        found[sheet].append(_placed(label, x, y, w, h))
    return tuple(tuple(sheet) for sheet in found)


def _placed(label: Labelled, x: float, y: float, w: float, h: float) -> PlacedLabel:
    # The number is never cut: on a narrow label the code gives way to it.
    least = width_of(label.number, CAPS[-1]) + 0.01
    side = min(h - 2 * PAD, 0.45 * w, LARGEST_CODE, w - 2 * PAD - BESIDE - least)
    left = x + PAD + side + BESIDE
    texts = _texts(label, left, y + PAD, x + w - PAD - left, h - 2 * PAD)
    return PlacedLabel(
        x=x,
        y=y,
        width=w,
        height=h,
        code=label.number,
        code_x=x + PAD,
        code_y=y + (h - side) / 2,
        code_side=side,
        texts=texts,
    )


def _texts(label: Labelled, x: float, y: float, w: float, h: float) -> tuple[LabelText, ...]:
    """The lines in a field whose lower left corner is (x, y), from the top down."""
    largest = min(NUMBER_CAP, 0.25 * h)
    number, cap = label.number, largest
    while cap > CAPS[-1] and fitted(number, cap, w, cap)[0] != number:
        cap = max(CAPS[-1], cap - 0.1)
    number = fitted(number, cap, w, cap)[0]
    room = h - cap * (1 + _TAIL)
    body = [f"rev. {label.revision}", *label.lines]
    for small in CAPS:
        lines = [line for text in body for line in wrapped(text, small, w)]
        if small <= cap and len(lines) * small * PITCH <= room:
            break
    count = max(1, int(room / (small * PITCH) + 1e-9))
    if len(lines) > count:
        cut = fitted(f"{lines[count - 1]} {lines[count]}", small, w, small)[0]
        lines = [*lines[: count - 1], cut if cut.endswith("…") else f"{cut}…"]
    top = y + h - cap
    return (
        LabelText(x, top, number, cap),
        *(
            LabelText(x, top - cap * _TAIL - n * small * PITCH + small * _TAIL, line, small)
            for n, line in enumerate(lines, 1)
        ),
    )
