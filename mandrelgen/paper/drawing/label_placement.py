"""Where lettering may stand: boxes that keep apart, and lines that must not run through them."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations

from mandrelgen.paper.drawing.model import Drawn, Point
from mandrelgen.paper.drawing.segments import (
    MARGIN,
    SHARED,
    Box,
    Segment,
    any_meets,
    beside,
    crossing,
    meets,
    runs_on,
)

# Clear space kept round every piece of lettering, mm on paper.
CLEAR = 0.8
# Orders tried although the first was free of clashes.
GOOD_ENOUGH = 3
# What a crossing of two lines costs, in rows further away from the part.
CROSSING = 0.6
# Dimension lines nearer than this are in one row, in which they share ends alone, mm.
ROW = 0.05
# Level lines of one row stay this far from one another, else they look joined, mm.
NEIGHBOURS = 2.0
# An extension line across another size's dimension line counts so many times more: the shorter
# size stands inside the longer one (ISO 129-1).
NESTED = 5
# Heads nearer than this point at one place, unless they meet tip to tip (mm); it counts so many
# times more than a crossing.
POINT, TIP, ONE_POINT = 2.2, 0.1, 24
# A level line that ends nearer than this beside an upright one of another size looks joined to it,
# mm; it counts so many times more.
END, ENDS = 1.0, 6
# A crossing of two leaders counts so many times more.
LEADERS = 9


@dataclass(frozen=True, slots=True)
class Candidate:
    """One way to draw an annotation: the boxes of its lettering, its lines, what it costs."""

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

    # By the thousand: the constructor takes a third of dataclasses.replace.
    def dearer(self, by: float) -> Candidate:
        """The same at a cost higher by ``by``."""
        return Candidate(
            boxes=self.boxes,
            lines=self.lines,
            cost=self.cost + by,
            build=self.build,
            apart=self.apart,
            leader=self.leader,
            span=self.span,
            heads=self.heads,
        )


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
            total += crossing(a, self.lines)
            if apart and a[0] == a[2]:
                near = [b for b in self.lines if b[0] == b[2] and abs(b[0] - a[0]) < apart]
                total += 6 * sum([beside(a, b, apart) for b in near])
        if total < enough:
            total += ENDS * self._nearly_joined(candidate.lines)
        if candidate.heads and total < enough:
            total += ONE_POINT * self._at_one_point(candidate.heads)
        if candidate.span is not None and total < enough:
            line, *ends = candidate.lines
            over = crossing(line, self.extensions)
            measured = [b for b, s in self.levels if s is not None]
            over += sum([crossing(e, measured) for e in ends])
            total += NESTED * over
        return total

    def _nearly_joined(self, lines: Sequence[Segment]) -> int:
        """How many level lines end close beside an upright one, neither touching nor parted."""
        total = 0
        for a in lines:
            if a[1] == a[3]:
                y = a[1]
                near = [b[0] for b in self.lines if b[0] == b[2] and (b[1] < y) is not (b[3] < y)]
                total += sum([SHARED < abs(x - end) < END for x in near for end in (a[0], a[2])])
            elif a[0] == a[2] and a[1] != a[3]:
                x, low, high = a[0], min(a[1], a[3]), max(a[1], a[3])
                near = [e for b, _ in self.levels if low < b[1] < high for e in (b[0], b[2])]
                total += sum([SHARED < abs(x - end) < END for end in near])
        return total

    def _at_one_point(self, heads: tuple[Point, ...]) -> int:
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


@dataclass(frozen=True, slots=True)
class Annotation:
    """An annotation that wants a place. ``paths`` are lines it will draw wherever it ends (an
    extension line), so that others leave them free; ``fixed``: in every one of its candidates.
    ``rank`` is its turn, ``second`` its turn where the first way leads nowhere."""

    name: str
    candidates: tuple[Candidate, ...]
    paths: tuple[Segment, ...] = ()
    rank: float = 0.0
    fixed: bool = False
    second: float = 0.0


@dataclass(frozen=True, slots=True)
class Placed:
    """The outcome: what is drawn, whose it is, what it took, the names that found no free place,
    and how often leaders cross."""

    chosen: tuple[Candidate, ...]
    wishes: tuple[Annotation, ...]
    failed: tuple[str, ...]
    cost: float
    crossed: int = 0

    @property
    def rank(self) -> tuple[int, int, float]:
        """The lower, the better."""
        return len(self.failed), self.crossed, self.cost


def place(ground: Ground, wishes: Sequence[Annotation], attempts: int = 36) -> Placed:
    """Find places for all ``wishes`` on a copy of ``ground``; several orders are tried and the
    cheapest without a clash wins. A wish without a free place takes its cheapest candidate and is
    named in ``failed``."""
    best: Placed | None = None
    found: Placed | None = None
    order: list[Annotation] = []
    # Few wishes have few orders, and the first two are often one.
    known: dict[tuple[int, ...], Placed] = {}
    clean = 0
    for i, shuffled in enumerate(_orders(wishes, attempts)):
        # Who found no place is served last next time, then first (a text in a far row must wait for
        # the nearer rows, a text in a near row must not); every fourth time the deck is new.
        if found is not None and found.failed and i > 1 and i % 4:
            failed, last = found.failed, i % 4 == 2
            order = sorted(order, key=lambda w: (w.name in failed) is last)
        else:
            order = shuffled
        key = tuple(map(id, order))
        if key not in known:
            known[key] = _greedy(ground.copy(), order)
        found = known[key]
        if best is None or found.rank < best.rank:
            best = found
        # A few more orders may look better; the rest are for a crowded view only.
        clean += not best.failed and not best.crossed
        if clean > GOOD_ENOUGH:
            break
    if best is None:
        return Placed((), (), (), 0.0)
    return _untangled(ground, best) if best.crossed else best


def _untangled(ground: Ground, placed: Placed) -> Placed:
    """``placed`` with each two wishes whose leaders cross placed anew, all others where they are:
    one after the other takes what is cheapest for itself, and no order helps where the first has to
    stand back for the second."""
    chosen, crossed = list(placed.chosen), placed.crossed
    for i, j in combinations(range(len(chosen)), 2):
        if not _taken(chosen[i]).crossed(chosen[j]):
            continue
        others = ground.copy()
        for k, c in enumerate(chosen):
            if k not in (i, j):
                others.take(c)
        pair = _side_by_side(others, placed.wishes[i], placed.wishes[j])
        if pair is not None:
            chosen[i], chosen[j] = pair
            crossed -= 1
    return replace(placed, chosen=tuple(chosen), crossed=crossed)


def _side_by_side(
    ground: Ground, one: Annotation, other: Annotation
) -> tuple[Candidate, Candidate] | None:
    """The cheapest free places of two wishes whose leaders cross neither each other nor those of
    ``ground``; None if there are none."""
    free = [
        sorted(
            (
                (c.cost + CROSSING * ground.crossings(c), n, c)
                for n, c in enumerate(w.candidates)
                if not ground.blocked(c) and not ground.crossed(c)
            )
        )
        for w in (one, other)
    ]
    best, least = None, math.inf
    for a, _, c in free[0]:
        beside = _taken(c)
        for b, _, d in free[1]:
            if a + b >= least:
                break
            total = a + b + CROSSING * beside.crossings(d)
            if total < least and not beside.blocked(d) and not beside.crossed(d):
                best, least = (c, d), total
    return best


def _taken(candidate: Candidate) -> Ground:
    """A ground with ``candidate`` alone on it."""
    ground = Ground()
    ground.take(candidate)
    return ground


def _greedy(ground: Ground, order: Sequence[Annotation]) -> Placed:
    chosen: list[Candidate] = []
    failed: list[str] = []
    total, crossed = 0.0, 0
    for i, wish in enumerate(order):
        later = [p for w in order[i + 1 :] for p in w.paths]
        hard = [p for w in order[i + 1 :] if w.fixed for p in w.paths]
        best: Candidate | None = None
        best_cost = float("inf")
        for c in wish.candidates:
            if c.cost >= best_cost or ground.blocked(c):
                continue
            if any(any_meets(hard, b) for b in c.boxes):
                continue
            enough = (best_cost - c.cost) / CROSSING + 1.0
            cost = c.cost + CROSSING * ground.crossings(c, enough)
            if cost >= best_cost:
                continue
            cost += 2.5 * sum(1 for p in later for b in c.boxes if meets(p, b))
            if cost < best_cost:
                best, best_cost = c, cost
        if best is None:
            failed.append(wish.name)
            best = min(wish.candidates, key=lambda c: c.cost)
            best_cost = 1000.0
        crossed += ground.crossed(best)
        ground.take(best)
        chosen.append(best)
        total += best_cost
    return Placed(
        chosen=tuple(chosen),
        wishes=tuple(order),
        failed=tuple(failed),
        cost=total,
        crossed=crossed,
    )


def _orders(wishes: Sequence[Annotation], attempts: int) -> list[list[Annotation]]:
    """By rank first, then shuffles that are the same in every run."""
    ranked = sorted(wishes, key=lambda w: w.rank)
    other = sorted(wishes, key=lambda w: (w.second, w.rank))
    orders = [ranked, other]
    state = 12345
    for n in range(attempts - 2):
        order = list(other if n % 2 else ranked)
        # Neighbours in rank change places; far jumps seldom help.
        for i in range(len(order) - 1, 0, -1):
            state = (1103515245 * state + 12345) % 2**31
            j = max(0, i - (state >> 16) % 5)
            order[i], order[j] = order[j], order[i]
        orders.append(order)
    return orders[:attempts]
