"""A small picture of the mandrel in its part."""

from __future__ import annotations

import itertools

from mandrelgen.model.mandrel import Mandrel
from mandrelgen.paper.drawing.model import Drawn, Line, LineStyle, Point, Text
from mandrelgen.paper.drawing.symbols import SMALL
from mandrelgen.paper.drawing.text_block import Block, block
from mandrelgen.paper.drawing.text_width import clean, fitted, width_of

WIDTHS = (150.0, 110.0, 80.0, 50.0)
SCALES = (2.0, 1.0, 0.5, 0.2, 0.1)


def use_pictures(mandrel: Mandrel, smallest: float = 0.0) -> tuple[Block, ...]:
    """The picture in falling sizes down to scale ``smallest``, the largest first; none without held
    parts. The layout takes the largest that finds a place."""
    if not mandrel.held:
        return ()
    zs = [p[0] for h in mandrel.held for p in h.outline]
    zs += [z for s in mandrel.outer for z in (s.z0, s.z1)]
    length = max(zs) - min(zs)
    scales = []
    for wide in WIDTHS:
        f = next((x for x in SCALES if length * x <= wide), SCALES[-1])
        if f not in scales and f >= smallest:
            scales.append(f)
    return tuple(_picture(mandrel, f, min(zs), max(zs)) for f in scales)


def _picture(mandrel: Mandrel, f: float, z0: float, z1: float) -> Block:
    """At ``f``: the held parts in double-dot chain lines (ISO 128-2, 05.1), the mandrel's own
    outline over them."""
    rs = [p[1] for h in mandrel.held for p in h.outline] + [s.d0 / 2 for s in mandrel.outer]
    drawn: list[Drawn] = []
    for part in mandrel.held:
        for chain in _chains(part.outline):
            for sign in (1.0, -1.0):
                points: tuple[Point, ...] = tuple((z * f, sign * r * f) for z, r in chain)
                drawn.append(Line(points, LineStyle.PHANTOM_SMALL))
    drawn += _mandrel(mandrel, f)
    drawn.append(Line(((z0 * f - 3, 0.0), (z1 * f + 3, 0.0)), LineStyle.CENTRE))
    scale = f"{f:g}:1" if f >= 1 else f"1:{1 / f:g}"
    names = ", ".join(clean(h.name) for h in mandrel.held)
    text, _ = fitted(f"In use ({scale}), for information: {names}", SMALL, max((z1 - z0) * f, 60.0))
    drawn.append(Text((z0 * f, max(rs) * f + 3.0), text, SMALL))
    low = -max(rs) * f - 5.0
    drawn.append(Line(((0.0, -_seat_radius(mandrel) * f), (0.0, low), (-2.0, low)), LineStyle.DIM))
    drawn.append(Text((-3.0 - width_of("seat", SMALL), low - 0.9), "seat", SMALL))
    return block(drawn)


def _seat_radius(mandrel: Mandrel) -> float:
    return max(
        (r / 2 for s in mandrel.outer for z, r in ((s.z0, s.d0), (s.z1, s.d1)) if abs(z) < 1e-6),
        default=0.0,
    )


def _chains(ring: tuple[Point, ...]) -> list[list[Point]]:
    """The ring without its pieces on the axis, which the centre line shows."""
    chains: list[list[Point]] = [[]]
    for a, b in itertools.pairwise((*ring, ring[0])):
        if a[1] < 1e-6 and b[1] < 1e-6:
            chains.append([])
            continue
        chains[-1] += [b] if chains[-1] else [a, b]
    return [c for c in chains if len(c) > 1]


def _mandrel(mandrel: Mandrel, f: float) -> list[Drawn]:
    """The mandrel's outside with its shoulders."""
    drawn: list[Drawn] = []
    upper: list[Point] = []
    for s in mandrel.outer:
        upper += [(s.z0 * f, s.d0 / 2 * f), (s.z1 * f, s.d1 / 2 * f)]
    ring = (*upper, *[(x, -y) for x, y in reversed(upper)])
    drawn.append(Line(tuple(p for p, q in itertools.pairwise((*ring, ring[0])) if p != q),
                      LineStyle.SYMBOL, closed=True))  # fmt: skip
    for a, b in itertools.pairwise(mandrel.outer):
        if abs(a.d1 - b.d0) > 1e-6:
            y = max(a.d1, b.d0) / 2 * f
            drawn.append(Line(((b.z0 * f, -y), (b.z0 * f, y)), LineStyle.SYMBOL))
    return drawn
