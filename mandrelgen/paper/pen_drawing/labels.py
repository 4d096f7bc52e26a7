"""Texts in a row that do not touch: each as near as may be to the place it speaks of."""

from __future__ import annotations

from collections.abc import Sequence

from mandrelgen.paper.drawing.text_width import width_of

SPACE = 4.0
"""Between two texts of one row, mm on paper."""


def spread(wanted: Sequence[float], widths: Sequence[float], left: float, right: float
           ) -> list[float]:  # fmt: skip
    """Middles of texts ``widths`` wide, in the order given, as near to ``wanted`` as they go
    without touching; inside ``left`` and ``right`` where they all fit.

    >>> spread([10, 11], [4, 4], 0, 100)
    [10, 18.0]
    """
    out: list[float] = []
    edge = left - SPACE
    for at, w in zip(wanted, widths, strict=True):
        middle = max(at, edge + SPACE + w / 2)
        out.append(middle)
        edge = middle + w / 2
    edge = right + SPACE
    for n in range(len(out) - 1, -1, -1):
        out[n] = min(out[n], edge - SPACE - widths[n] / 2)
        edge = out[n] - widths[n] / 2
    return out


def rows(
    wanted: Sequence[float], texts: Sequence[str], height: float, left: float, right: float
) -> list[tuple[int, float]]:
    """Row (0 is next to the drawing) and middle of each text; as many rows as they need."""
    widths = [width_of(t, height) for t in texts]
    room = right - left
    count = 1
    while count < len(texts) and sum(widths) / count + SPACE * len(texts) / count > room:
        count += 1
    out: dict[int, tuple[int, float]] = {}
    order = sorted(range(len(texts)), key=lambda n: wanted[n])
    for r in range(count):
        mine = order[r::count]
        middles = spread([wanted[n] for n in mine], [widths[n] for n in mine], left, right)
        out |= {n: (r, m) for n, m in zip(mine, middles, strict=True)}
    return [out[n] for n in range(len(texts))]
