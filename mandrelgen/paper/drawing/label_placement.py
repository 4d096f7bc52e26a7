"""Where lettering may stand: boxes that keep apart, and lines that must not run through them."""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from mandrelgen.core.frozen import dataclass
from mandrelgen.paper.drawing.label_ground import Candidate, Ground, Ways
from mandrelgen.paper.drawing.segments import Segment, any_meets, meets

# Orders tried although the first was free of clashes.
GOOD_ENOUGH = 3
# What a crossing of two lines costs, in rows further away from the part.
CROSSING = 0.6


@dataclass(frozen=True, slots=True)
class Annotation:
    """An annotation that wants a place. ``paths`` are lines it will draw wherever it ends (an
    extension line), so that others leave them free; ``fixed``: in every one of its candidates.
    ``rank`` is its turn, ``second`` its turn where the first way leads nowhere."""

    name: str
    candidates: Ways
    paths: tuple[Segment, ...] = ()
    rank: float = 0.0
    fixed: bool = False
    second: float = 0.0


@dataclass(frozen=True, slots=True)
class Placed:
    """The outcome: what is drawn, whose it is, what it took, the names that found no free place,
    how often leaders cross, and how many heads point at nearly one place."""

    chosen: tuple[Candidate, ...]
    wishes: tuple[Annotation, ...]
    failed: tuple[str, ...]
    cost: float
    crossed: int = 0
    muddled: int = 0

    @property
    def rank(self) -> tuple[int, int, int, float]:
        """The lower, the better."""
        return len(self.failed), self.crossed, self.muddled, self.cost


def place(ground: Ground, wishes: Sequence[Annotation], attempts: int = 36) -> Placed:
    """Find places for all ``wishes`` on a copy of ``ground``; several orders are tried and the
    cheapest without a clash wins. A wish without a free place takes its cheapest candidate and is
    named in ``failed``."""
    best: Placed | None = None
    found: Placed | None = None
    order: list[Annotation] = []
    # Few wishes have few orders, and the first two are often one.
    known: dict[tuple[int, ...], Placed] = {}
    waiting = {id(w): _Waiting(ground, w.candidates) for w in wishes}
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
            known[key] = _greedy(ground, order, waiting)
        found = known[key]
        if best is None or found.rank < best.rank:
            best = found
        # A few more orders may look better; the rest are for a crowded view only.
        clean += not best.failed and not best.crossed
        if clean > GOOD_ENOUGH:
            break
    if best is None:
        return Placed((), (), (), 0.0)
    return _untangled(ground, best) if best.crossed or best.muddled else best


def _untangled(ground: Ground, placed: Placed) -> Placed:
    """``placed`` with each two wishes whose leaders cross, or whose heads point at nearly one
    place, placed anew, all others where they are: one after the other takes what is cheapest for
    itself, and no order helps where the first has to stand back for the second."""
    chosen, crossed, muddled = list(placed.chosen), placed.crossed, placed.muddled
    for i, j in itertools.combinations(range(len(chosen)), 2):
        beside = _taken(chosen[i])
        crossing = beside.crossed(chosen[j])
        if not crossing and not beside.at_one_point(chosen[j].heads):
            continue
        others = ground.copy()
        for k, c in enumerate(chosen):
            if k not in (i, j):
                others.take(c)
        pair = _side_by_side(others, placed.wishes[i], placed.wishes[j])
        if pair is None:
            continue
        better = _muddled(others, chosen[i], chosen[j]) - _muddled(others, *pair)
        if crossing or better > 0:
            chosen[i], chosen[j] = pair
            crossed -= crossing > 0
            muddled -= better
    return replace(placed, chosen=tuple(chosen), crossed=crossed, muddled=muddled)


def _muddled(ground: Ground, one: Candidate, other: Candidate) -> int:
    """How many heads of the two point at nearly one place with another."""
    found = sum(ground.at_one_point(c.heads) for c in (one, other))
    return found + _taken(one).at_one_point(other.heads)


def _side_by_side(
    ground: Ground, one: Annotation, other: Annotation
) -> tuple[Candidate, Candidate] | None:
    """The cheapest free places of two wishes, whose leaders cross neither each other nor those of
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


class _Waiting:
    """The ways to draw one wish that the bare ground allows, as (cost there, number, way, lines it
    crosses there), the cheapest first. Places are tried in several orders over the same ground:
    each way is made and held against it once, and only as far as somebody looks."""

    def __init__(self, ground: Ground, ways: Ways) -> None:
        self._ground, self._ways = ground, ways
        self._left = sorted(zip(ways.least, range(len(ways)), strict=True), reverse=True)
        self._held: list[tuple[float, int, Candidate, int]] = []
        self._ready: list[tuple[float, int, Candidate, int]] = []

    def __iter__(self) -> Iterator[tuple[float, int, Candidate, int]]:
        n = 0
        while n < len(self._ready) or self._one_more():
            yield self._ready[n]
            n += 1

    def _one_more(self) -> bool:
        """Find the next one; False if there is none."""
        ground, held = self._ground, self._held
        while self._left and (not held or self._left[-1][0] <= held[0][0]):
            n = self._left.pop()[1]
            c = self._ways[n]
            if not ground.blocked(c):
                met = ground.crossings(c)
                heapq.heappush(held, (c.cost + CROSSING * met, n, c, met))
        if not held:
            return False
        self._ready.append(heapq.heappop(held))
        return True


def _greedy(bare: Ground, order: Sequence[Annotation], waiting: Mapping[int, _Waiting]) -> Placed:
    """Each wish in turn takes what is cheapest for itself over the ``bare`` ground and beside those
    before it; of equals the first of its ways."""
    ground = Ground()
    chosen: list[Candidate] = []
    failed: list[str] = []
    total, crossed, muddled = 0.0, 0, 0
    for i, wish in enumerate(order):
        best, cost = _cheapest(waiting[id(wish)], ground, order[i + 1 :])
        if best is None:
            failed.append(wish.name)
            best, cost = min(wish.candidates, key=lambda c: c.cost), 1000.0
        crossed += bare.crossed(best) + ground.crossed(best)
        muddled += bare.at_one_point(best.heads) + ground.at_one_point(best.heads)
        ground.take(best)
        chosen.append(best)
        total += cost
    return Placed(
        chosen=tuple(chosen),
        wishes=tuple(order),
        failed=tuple(failed),
        cost=total,
        crossed=crossed,
        muddled=muddled,
    )


def _cheapest(
    ways: _Waiting, ground: Ground, waiting: Sequence[Annotation]
) -> tuple[Candidate | None, float]:
    """The cheapest free one of ``ways`` beside what has its place on ``ground``, and what it costs;
    None if there is none. The paths of those ``waiting`` are left free."""
    later = [p for w in waiting for p in w.paths]
    hard = [p for w in waiting if w.fixed for p in w.paths]
    best: Candidate | None = None
    least, first = math.inf, 0
    for alone, n, c, met in ways:
        if alone > least:
            break
        if ground.blocked(c) or any(any_meets(hard, b) for b in c.boxes):
            continue
        enough = (least - c.cost) / CROSSING + 1.0
        cost = c.cost + CROSSING * (met + ground.crossings(c, enough - met))
        if cost > least:
            continue
        cost += 2.5 * sum(1 for p in later for b in c.boxes if meets(p, b))
        if cost < least or (cost == least and n < first):
            best, least, first = c, cost, n
    return best, least


def _orders(wishes: Sequence[Annotation], attempts: int) -> Iterator[list[Annotation]]:
    """By rank first, then shuffles that are the same in every run."""
    ranked = sorted(wishes, key=lambda w: w.rank)
    other = sorted(wishes, key=lambda w: (w.second, w.rank))
    yield from (ranked, other)[:attempts]
    state = 12345
    for n in range(attempts - 2):
        order = list(other if n % 2 else ranked)
        # Neighbours in rank change places; far jumps seldom help.
        for i in range(len(order) - 1, 0, -1):
            state = (1103515245 * state + 12345) % 2**31
            j = max(0, i - (state >> 16) % 5)
            order[i], order[j] = order[j], order[i]
        yield order
