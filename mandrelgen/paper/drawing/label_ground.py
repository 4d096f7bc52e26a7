"""What stands on a view's ground, and one way to draw an annotation there: what it meets, which
lines it crosses."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple, overload

from mandrelgen.paper.drawing.model import Drawn, Point
from mandrelgen.paper.drawing.segments import (
    MARGIN,
    SHARED,
    Box,
    Segment,
    any_meets,
    beside,
    cross,
    crossing,
    passing,
    runs_on,
)

# Clear space kept round every piece of lettering, mm on paper.
CLEAR = 0.8
# Dimension lines nearer than this are in one row, in which they share ends alone, mm.
ROW = 0.05
# Level lines of one row stay this far from one another, else they look joined, mm.
NEIGHBOURS = 2.0
# An extension line across another size's dimension line counts so many times more: the shorter
# size stands inside the longer one (ISO 129-1).
NESTED = 5
# Heads nearer than this point at one place, unless they meet tip to tip (mm); it counts so many
# times more than a crossing.
POINT, TIP, ONE_POINT = 2.2, 0.02, 24
# A level line that ends nearer than this beside an upright one of another size looks joined to it,
# mm; it counts so many times more.
END, ENDS = 1.0, 6
# A crossing of two leaders counts so many times more.
LEADERS = 9


class Candidate(NamedTuple):
    """One way to draw an annotation: the boxes of its lettering, its lines, what it costs. They are
    made by the thousand, a tuple in a quarter of a dataclass's time."""

    boxes: tuple[Box, ...]
    lines: tuple[Segment, ...]
    cost: float
    build: Callable[[], tuple[Drawn, ...]]
    # Upright lines of others it keeps this far away from, mm.
    apart: float = 0.0
    # So many of its first lines are a leader: leaders do not cross (ISO 129-1).
    leader: int = 0
    # What a dimension line measures; two of them never lie on one another.
    span: Segment | None = None
    # Where its arrow heads point: two that point at nearly one place cannot be told apart.
    heads: tuple[Point, ...] = ()

    def dearer(self, by: float) -> Candidate:
        """The same at a cost higher by ``by``."""
        return self._replace(cost=self.cost + by)


class Ways(Sequence[Candidate]):
    """The ways to draw one annotation, each made when it is looked at: what is taken is mostly
    among the cheapest, so most are never made. ``least``: what each costs at least."""

    def __init__(self, least: Sequence[float], make: Callable[[int], Candidate]) -> None:
        self.least, self._make = least, make
        self._made: dict[int, Candidate] = {}

    @classmethod
    def of(cls, candidates: Iterable[Candidate]) -> Ways:
        """Ways that are all made."""
        made = tuple(candidates)
        return cls([c.cost for c in made], made.__getitem__)

    def __len__(self) -> int:
        return len(self.least)

    @overload
    def __getitem__(self, n: int) -> Candidate: ...

    @overload
    def __getitem__(self, n: slice) -> Sequence[Candidate]: ...

    def __getitem__(self, n: int | slice) -> Candidate | Sequence[Candidate]:
        if isinstance(n, slice):
            return [self[i] for i in range(*n.indices(len(self)))]
        if not -len(self) <= n < len(self):
            raise IndexError(n)
        n %= len(self)
        if n not in self._made:
            self._made[n] = self._make(n)
        return self._made[n]

    def dearer(self, by: Callable[[Candidate], float]) -> Ways:
        """The same, each at a cost higher by what ``by`` says of it: nothing or more."""

        def make(n: int) -> Candidate:
            c = self[n]
            return c.dearer(by(c))

        return Ways(self.least, make)


@dataclass(slots=True, kw_only=True)
class Ground:
    """What is already taken. ``solids`` keep lettering off but let lines pass."""

    boxes: list[Box] = field(default_factory=list)
    solids: list[Box] = field(default_factory=list)
    lines: list[Segment] = field(default_factory=list)
    leaders: list[Segment] = field(default_factory=list)
    spans: list[Segment] = field(default_factory=list)
    heads: list[Point] = field(default_factory=list)
    # Level lines, with the span of those that are dimension lines; extension lines.
    levels: list[tuple[Segment, Segment | None]] = field(default_factory=list)
    extensions: list[Segment] = field(default_factory=list)

    def copy(self) -> Ground:
        """A ground of its own with the same content."""
        return Ground(
            boxes=list(self.boxes),
            solids=list(self.solids),
            lines=list(self.lines),
            leaders=list(self.leaders),
            spans=list(self.spans),
            heads=list(self.heads),
            levels=list(self.levels),
            extensions=list(self.extensions),
        )

    def take(self, candidate: Candidate) -> None:
        """Mark the place of ``candidate`` as taken."""
        self.boxes += candidate.boxes
        self.lines += candidate.lines
        self.leaders += candidate.lines[: candidate.leader]
        self.heads += candidate.heads
        self.levels += [(s, candidate.span) for s in candidate.lines if s[1] == s[3]]
        if candidate.span is not None:
            self.spans.append(candidate.span)
            self.extensions += candidate.lines[1:]

    def blocked(self, candidate: Candidate) -> bool:
        """True if lettering would meet lettering, the part, or a line, or a dimension another."""
        own = candidate.span
        if own is not None:
            for s in self.spans:
                if abs(own[1] - s[1]) < ROW and own[0] < s[2] - SHARED and s[0] < own[2] - SHARED:
                    return True
        if self._joins(candidate):
            return True
        for box in candidate.boxes:
            x0, y0, x1, y1 = box[0] - CLEAR, box[1] - CLEAR, box[2] + CLEAR, box[3] + CLEAR
            for taken in (self.boxes, self.solids):
                for b in taken:
                    if x0 < b[2] and b[0] < x1 and y0 < b[3] and b[1] < y1:
                        return True
            if any_meets(self.lines, box):
                return True
        lines = candidate.lines
        if not lines:
            return False
        # Most lettering lies beside all of its lines.
        right = max([max(s[0], s[2]) for s in lines]) + MARGIN
        left = min([min(s[0], s[2]) for s in lines]) - MARGIN
        near = [b for b in self.boxes if b[0] < right and b[2] > left]
        return any(any_meets(lines, b) for b in near)

    def _joins(self, candidate: Candidate) -> bool:
        """True if a level line of its would look joined to another's: in one row two of them share
        an end that both dimensions have, or keep apart."""
        own = candidate.span
        for a in candidate.lines:
            if a[1] != a[3]:
                continue
            low, high = (a[0], a[2]) if a[0] < a[2] else (a[2], a[0])
            for b, span in self.levels:
                if abs(b[1] - a[1]) >= ROW:
                    continue
                gap = max(low - max(b[0], b[2]), min(b[0], b[2]) - high)
                if gap >= NEIGHBOURS:
                    continue
                chained = (
                    own is not None
                    and span is not None
                    and min(abs(own[0] - span[2]), abs(own[2] - span[0])) < SHARED
                )
                if not chained or gap < -SHARED:
                    return True
        return False

    def crossings(self, candidate: Candidate, enough: float = math.inf) -> int:
        """How many drawn lines its lines cross; one that runs close beside another counts more: a
        leader in line with a dimension would mean the axis instead of the surface. Counts no
        further than ``enough``."""
        total = LEADERS * self.crossed(candidate)
        apart = candidate.apart
        for a in candidate.lines:
            if total >= enough:
                return total
            across = passing(a, self.lines)
            total += sum([cross(a, b) for b in across]) + ENDS * self._nearly_joined(a, across)
            if apart and a[0] == a[2]:
                near = [b for b in self.lines if b[0] == b[2] and abs(b[0] - a[0]) < apart]
                total += 6 * sum([beside(a, b, apart) for b in near])
        if candidate.heads and total < enough:
            total += ONE_POINT * self.at_one_point(candidate.heads)
        if candidate.span is not None and total < enough:
            line, *ends = candidate.lines
            over = crossing(line, self.extensions)
            measured = [b for b, s in self.levels if s is not None]
            over += sum([crossing(e, measured) for e in ends])
            total += NESTED * over
        return total

    def _nearly_joined(self, a: Segment, over: list[Segment]) -> int:
        """How many level lines end close beside an upright one, neither touching nor parted:
        ``a`` beside one of ``over`` (see `passing`), or one of the ground beside ``a``."""
        if a[1] == a[3]:
            left, right = a[0], a[2]
            uprights = [b[0] for b in over if b[0] == b[2]]
            return sum([SHARED < abs(x - e) < END for x in uprights for e in (left, right)])
        if a[0] != a[2]:
            return 0
        x, low, high = a[0], min(a[1], a[3]), max(a[1], a[3])
        near = [e for b, _ in self.levels if low < b[1] < high for e in (b[0], b[2])]
        return sum([SHARED < abs(x - e) < END for e in near])

    def at_one_point(self, heads: tuple[Point, ...]) -> int:
        """How many of ``heads`` point at nearly the same place as another, and do not meet its tip
        (as in a chain of dimensions)."""
        total = 0
        for x, y in heads:
            for u, v in self.heads:
                if abs(u - x) < POINT and abs(v - y) < POINT:
                    total += TIP < math.hypot(u - x, v - y) < POINT
        return total

    def crossed(self, candidate: Candidate) -> int:
        """How many leaders its own leader crosses or runs on."""
        total = 0
        for a in candidate.lines[: candidate.leader]:
            total += crossing(a, self.leaders)
            if a[0] == a[2] or a[1] == a[3]:
                total += sum([runs_on(a, b) for b in self.leaders])
        return total
