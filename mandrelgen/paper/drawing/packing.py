"""Free places on the paper for blocks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from mandrelgen.paper.drawing.frame import Paper
from mandrelgen.paper.drawing.model import Drawn
from mandrelgen.paper.drawing.segments import Box
from mandrelgen.paper.drawing.text_block import Block

# Blocks keep this apart from one another and from the frame, mm.
GAP = 6.0
NARROW_GAP = 3.0
INSET = 6.0


def packed(
    blocks: Sequence[Block],
    extra: Sequence[Block],
    paper: Paper,
    taken: list[Box],
    highest: float,
    gap: float = GAP,
) -> list[Drawn] | None:
    """``blocks`` in free places below ``highest``, then the first of ``extra`` that finds one; None
    if a block finds none."""
    taken = list(taken)
    places: list[tuple[Block, tuple[float, float]]] = []
    for b in blocks:
        place = spot(b, paper, taken, highest, gap)
        if place is None:
            return None
        taken.append((place[0], place[1], place[0] + b.width, place[1] + b.height))
        places.append((b, place))
    for b in extra:
        place = spot(b, paper, taken, highest, gap)
        if place is not None:
            places.append((b, place))
            break
    return [d for b, place in places for d in b.at(*place)]


def orders(blocks: Sequence[Block], more: int = 0) -> Iterator[list[Block]]:
    """Orders to place ``blocks`` in: as given, the highest, the widest, the largest first, the
    other way round, then ``more`` shuffles that are the same in every run."""
    yield list(blocks)
    yield sorted(blocks, key=lambda b: -b.height)
    yield sorted(blocks, key=lambda b: -b.width)
    yield sorted(blocks, key=lambda b: -b.width * b.height)
    yield list(blocks[::-1])
    state = 12345
    for _ in range(more):
        order = list(blocks)
        for i in range(len(order) - 1, 0, -1):
            state = (1103515245 * state + 12345) % 2**31
            j = (state >> 16) % (i + 1)
            order[i], order[j] = order[j], order[i]
        yield order


class Homes:
    """Has each block a free place as long as no other block is placed? Where one has none, no order
    of them has, and none needs to be tried."""

    def __init__(self, paper: Paper, taken: list[Box]) -> None:
        self.paper, self.taken = paper, taken
        self._known: dict[tuple[float, float, float], bool] = {}

    def for_each(self, blocks: Sequence[Block], gap: float) -> bool:
        """True if every one of ``blocks`` has a place of its own."""
        # The largest first: it is the likeliest to have none.
        return all(self._has(b, gap) for b in sorted(blocks, key=lambda b: -b.width * b.height))

    def _has(self, b: Block, gap: float) -> bool:
        key = (b.width, b.height, gap)
        if key not in self._known:
            top = self.paper.frame[3]
            self._known[key] = spot(b, self.paper, self.taken, top, gap) is not None
        return self._known[key]


def spot(
    b: Block, paper: Paper, taken: list[Box], highest: float, gap: float = GAP
) -> tuple[float, float] | None:
    """The highest, then leftmost free place for a block; None if there is none."""
    x0, y0, x1, y1 = paper.frame
    wide, high, near = b.width, b.height, gap - 0.1
    highest = min(highest, y1 - INSET) + 1e-9
    lowest = y0 + INSET - 1e-9
    tops = {min(highest, y1 - INSET - 4), y0 + INSET + high}
    for t in taken:
        tops.add(t[1] - gap)
        tops.add(t[3] + gap + high)
    ordered = sorted(taken)
    right = x1 - INSET
    for top in sorted((t for t in tops if t <= highest and t - high >= lowest), reverse=True):
        low, left = top - high, x0 + INSET
        above, below = top + near, low - near
        for tx0, ty0, tx1, ty1 in ordered:
            if ty0 < above and ty1 > below:
                if tx0 >= left + wide + near:
                    break
                if tx1 + gap > left:
                    left = tx1 + gap
                    if left + wide > right:
                        break
        if left + wide <= right:
            return left, low
    return None


def outermost(boxes: list[Box]) -> list[Box]:
    """The boxes that lie in no other."""
    kept: list[Box] = []
    for b in sorted(boxes, key=lambda b: -(b[2] - b[0]) * (b[3] - b[1])):
        if not any(k[0] <= b[0] and k[1] <= b[1] and k[2] >= b[2] and k[3] >= b[3] for k in kept):
            kept.append(b)
    return kept


def centring(paper: Paper) -> list[Box]:
    """The centring marks inside the frame."""
    x0, _, x1, y1 = paper.frame
    cx, cy = paper.width / 2, paper.height / 2
    return [
        (cx - 1, y1 - 5, cx + 1, y1),
        (x0, cy - 1, x0 + 5, cy + 1),
        (x1 - 5, cy - 1, x1, cy + 1),
    ]


def grown(box: Box, by: float) -> Box:
    """``box`` larger by ``by`` mm on every side."""
    return (box[0] - by, box[1] - by, box[2] + by, box[3] + by)
