"""The fewest mandrels: every part needs one way to be held, and one mandrel may hold two.

What counts, in this order: what cannot be made at all; how many are to be ordered, then made;
then what a finger would feel at the flush joints; then the usual ends.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import product
from typing import NamedTuple

from mandrelgen.assess import runout
from mandrelgen.assess.choose_tolerances import neighbours_of, situated
from mandrelgen.assess.end_assessment import judge
from mandrelgen.assess.same_piece import Key, key_of
from mandrelgen.assess.setup import Situated
from mandrelgen.assess.words import Word, needless, order_or_make, word_alone
from mandrelgen.design.chosen_tolerances import ToleranceChoice
from mandrelgen.design.designed import Designed
from mandrelgen.design.designer import Made, designer
from mandrelgen.design.options import merge
from mandrelgen.design.plan import Hold, Planned, plan, possible_holds
from mandrelgen.mechanics.concentricity import Felt, Judged, felt, shoulder
from mandrelgen.mechanics.practice import judged
from mandrelgen.spec.joints import end_of, joints
from mandrelgen.spec.pen import MandrelType, Pen
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.thread_spelling import read_thread

MOST = 512
"""Choices of ends that are compared at the most; a pen with more keeps the usual ends."""

Choice = tuple[Hold, ...]
Placed = Mapping[Hold, tuple[Situated, ...]]


class Way(NamedTuple):
    """One way to hold a part: what its mandrel is (empty: it cannot be made), and the word for it
    alone: order, make, or skip where none is needed."""

    key: Key
    word: Word


def fewest(pen: Pen, shop: Shop, made: Made | None = None) -> tuple[Planned, ...]:
    """The planned mandrels, with other ends than the usual ones where that serves better. Nothing
    is designed unless a choice could make a difference."""
    usual = plan(pen)
    rows = _rows(pen, usual)
    if all(len(row) == 1 for row in rows) or not _matters(pen, shop, usual, rows):
        return usual
    return _compared(pen, shop, rows, made)


def rescued(
    pen: Pen, shop: Shop, failed: Iterable[Planned], made: Made | None = None
) -> tuple[Planned, ...]:
    """The planned mandrels where some of the usual ones cannot be made: another end of its part may
    do, if it bears what is asked."""
    rows = _rows(pen, plan(pen))
    parts = {p.hold.part for p in failed}
    if not any(len(row) > 1 and row[0].part in parts for row in rows):
        return plan(pen)
    return _compared(pen, shop, rows, made, rescue=True)


def _rows(pen: Pen, usual: Sequence[Planned]) -> list[tuple[Hold, ...]]:
    parts = [p.hold.part for p in usual if p.request is None and p.kind is not MandrelType.BUTTON]
    return [_ways(pen, name) for name in parts]


def _compared(
    pen: Pen,
    shop: Shop,
    rows: list[tuple[Hold, ...]],
    made: Made | None,
    rescue: bool = False,
) -> tuple[Planned, ...]:
    trial = _trial(pen, made or designer(pen, shop), rows)
    placed = {h: situated(d, pen, shop) for h, d in trial.items()}
    borne = {h: _bears(pen, shop, placed.get(h, ())) for row in rows for h in row}
    rows = [_strong(row, borne, rescue) for row in rows]
    weaker = frozenset(h for row in rows for h in _weaker(row, borne))
    ways = {h: _way(pen, shop, h, trial) for row in rows for h in row}
    felt_by = _felt(pen, shop, ways, placed)
    best = choose(rows, ways, lambda c: math.inf if weaker.intersection(c) else felt_by(c))
    return plan(pen, {h.part: h for h in best})


def choose(
    rows: Sequence[Sequence[Hold]],
    ways: Mapping[Hold, Way],
    left: Callable[[Choice], float] = lambda choice: 0.0,
) -> Choice:
    """One way for each part: the fewest that cannot be made, then to order, then to make; of those
    the least ``left`` to feel (mm), and of those the first in their rows. Of equal pieces one is
    made. ``left`` is asked only where the numbers are equal."""
    count = 1
    for row in rows:
        count *= len(row)
    if count > MOST:
        return tuple(row[0] for row in rows)
    every = list(product(*rows))
    least = min(_numbers(c, ways) for c in every)
    tied = [c for c in every if _numbers(c, ways) == least]
    # `product` runs through the last row first: what counts is how far all are from the usual.
    rank = {h: i for row in rows for i, h in enumerate(row)}
    tied.sort(key=lambda c: sum(rank[h] for h in c))
    return tied[0] if len(tied) == 1 else min(tied, key=left)


def _numbers(choice: Choice, ways: Mapping[Hold, Way]) -> tuple[int, int, int]:
    """How many cannot be made, are to be ordered, are to be made."""
    needed = [w for h in choice if (w := ways[h]).word is not Word.SKIP]
    pieces = {w.key: w.word for w in needed if w.key}
    words = list(pieces.values())
    return (
        sum(not w.key for w in needed),
        sum(w is not Word.MAKE for w in words),
        sum(w is Word.MAKE for w in words),
    )


def _trial(pen: Pen, made: Made, rows: Sequence[Sequence[Hold]]) -> dict[Hold, Designed]:
    """Every way, designed with the usual tolerances."""
    return {
        h: made(p, ToleranceChoice())
        for row in rows
        for h in row
        for p in plan(pen, {h.part: h})
        if p.hold == h and p.request is None
    }


def _way(pen: Pen, shop: Shop, h: Hold, trial: Mapping[Hold, Designed]) -> Way:
    """A way by itself: whether two are the same piece is the choice's business."""
    d = trial.get(h)
    if d is None:
        return Way((), Word.ORDER)
    return Way(key_of(d.mandrel), word_alone(pen, shop, d, list(trial.values())))


def _bears(pen: Pen, shop: Shop, ends: Sequence[Situated]) -> tuple[float, bool]:
    """What the part bears on such a mandrel, N (0: it cannot be made), and whether that is too
    little, or something gives way in a dig-in."""
    found = [judge(s, {}, pen, shop) for s in ends]
    rows = [v.capacity for v in found if v.capacity is not None]
    if not rows or len(rows) < len(found):
        return 0.0, True
    breaks = any(not c.passes for v in found for c in v.checks)
    return min(c.judged.force for c in rows), breaks or any(c.weak for c in rows)


def _strong(
    row: Sequence[Hold], borne: Mapping[Hold, tuple[float, bool]], rescue: bool
) -> tuple[Hold, ...]:
    """The usual way, and those that bear what is asked if it does: a long cap is not held by the
    small thread of its crown to spare a mandrel, nor (``rescue``) because a tenth at its mouth
    would have to be changed."""
    first, *others = row
    if borne[first][1] and not (rescue and borne[first][0] <= 0):
        return tuple(row)
    return (first, *(h for h in others if not borne[h][1]))


def _weaker(row: Sequence[Hold], borne: Mapping[Hold, tuple[float, bool]]) -> frozenset[Hold]:
    """Those that bear less than the usual way and less than a roughing cut: no mismatch is worth
    that."""
    least = min(borne[row[0]][0], judged("force", "least_unsupported")) - 1e-9
    return frozenset(h for h in row[1:] if borne[h][0] < least)


def _felt(
    pen: Pen, shop: Shop, ways: Mapping[Hold, Way], placed: Placed
) -> Callable[[Choice], float]:
    """What a choice leaves to feel or to see, mm, of the mismatch that the budget gives (tightened,
    95 %): by how much flush joints miss their target, and narrow reveals a third of their width.
    On a wide shoulder nothing is felt, nor where a part is turned screwed into its neighbour."""
    seen: dict[tuple[Hold, frozenset[Hold]], float] = {}

    def left(choice: Choice) -> float:
        needed = [h for h in choice if ways[h].word is not Word.SKIP]
        near = neighbours_of({h.part: placed.get(h, ()) for h in needed})
        beside = {part: s.hold for part, s in near.items()}
        total = 0.0
        for h in needed:
            key = h, frozenset(x for part, x in beside.items() if _touches(pen, h.part, part))
            if key not in seen:
                steps = [runout.step(s, near, pen, shop) for s in placed.get(h, ())]
                seen[key] = sum(
                    _too_much(x.joined) for x in steps if x.joined is not None and x.neighbour_known
                )
            total += seen[key]
        return round(total, 3)

    return left


def _too_much(j: Judged) -> float:
    if j.outcome is not None:
        return j.over
    return max(0.0, j.seldom - j.shoulder * judged("concentricity", "reveal_share")) * j.uneven


def _touches(pen: Pen, part: str, other: str) -> bool:
    return any({j.external.part, j.internal.part} == {part, other} for j in joints(pen))


def _ways(pen: Pen, name: str) -> tuple[Hold, ...]:
    """The ways to hold a part that leave its visible ends alone, if the usual one does."""
    found = possible_holds(pen, name)
    ends = pen.parts[name].ends
    if ends[found[0].end].visible_face:
        return found[:1]
    return tuple(h for h in found if not ends[h.end].visible_face)


def _matters(
    pen: Pen, shop: Shop, usual: Sequence[Planned], rows: Sequence[Sequence[Hold]]
) -> bool:
    """Whether the choice could make a difference: two parts have a thread in common, the tools
    owned cut one end of a part and not another, or a mismatch would be felt or seen somewhere."""
    return (
        _share_a_thread(pen, rows)
        or _words_differ(pen, shop, rows)
        or _felt_anywhere(pen, shop, usual)
    )


def _words_differ(pen: Pen, shop: Shop, rows: Sequence[Sequence[Hold]]) -> bool:
    wishes = merge(None, pen.mandrels.defaults, shop)
    return any(len({order_or_make(pen, shop, h, wishes)[0] for h in row}) > 1 for row in rows)


def _felt_anywhere(pen: Pen, shop: Shop, usual: Sequence[Planned]) -> bool:
    """Whether a joint is meant to be flush, or narrow, whose parts both need a mandrel."""
    bare = [Designed(planned=p, mandrel=None, findings=()) for p in usual]
    without = {d.planned.hold.part for d in bare if needless(pen, shop, d, bare)}
    for j in joints(pen):
        screw, nut = end_of(pen, j.external), end_of(pen, j.internal)
        if screw is None or nut is None or without & {j.external.part, j.internal.part}:
            continue
        step = shoulder(float(screw.diameter), runout.face_outside(nut))
        if felt(step) is not Felt.NOT_FELT:
            return True
    return False


def _share_a_thread(pen: Pen, rows: Sequence[Sequence[Hold]]) -> bool:
    seen: dict[tuple[str, str], str] = {}
    for row in rows:
        for h in row:
            end = pen.parts[h.part].ends[h.end]
            thread = {"internal": end.internal, "external": end.external}.get(h.by)
            if thread is None:
                continue
            if seen.setdefault((h.by, read_thread(thread.thread).name), h.part) != h.part:
                return True
    return False
