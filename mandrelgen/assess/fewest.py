"""The fewest mandrels: one that two parts can share is made once, if an end of each allows it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import product

from mandrelgen.design.chosen_tolerances import ToleranceChoice
from mandrelgen.design.designer import design_one
from mandrelgen.design.plan import Hold, Planned, plan, possible_holds
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.pen import MandrelType, Pen
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.thread_spelling import read_thread

MOST = 512
"""Choices of ends that are compared at the most; a pen with more keeps the usual ends."""

Key = tuple[object, ...]


def fewest(pen: Pen, shop: Shop) -> tuple[Planned, ...]:
    """The planned mandrels, with other ends than the usual ones where fewer do.

    Least number of different mandrels, then the usual ends as far as that goes. Nothing is
    designed unless two parts have a thread in common.
    """
    usual = plan(pen)
    parts = [p.hold.part for p in usual if p.request is None and p.kind is not MandrelType.BUTTON]
    ways = {name: _ways(pen, name) for name in parts}
    if not _share_a_thread(pen, ways):
        return usual
    keys = {
        h: key_of(design_one(pen, shop, p, ToleranceChoice()).mandrel)
        for row in ways.values()
        for h in row
        for p in plan(pen, {h.part: h})
        if p.hold == h and p.request is None
    }
    best = choose([ways[name] for name in parts], keys)
    return plan(pen, {h.part: h for h in best})


def choose(ways: Sequence[Sequence[Hold]], keys: Mapping[Hold, Key]) -> tuple[Hold, ...]:
    """One way for each part: the fewest different mandrels, then those that stand first in their
    rows. A way without a key cannot be made and is taken only where nothing else is."""
    count = 1
    for row in ways:
        count *= len(row)
    if count > MOST:
        return tuple(row[0] for row in ways)

    def cost(choice: tuple[tuple[int, Hold], ...]) -> tuple[int, int, int]:
        made = [keys[h] for _, h in choice if keys.get(h)]
        return len(choice) - len(made), len(set(made)), sum(rank for rank, _ in choice)

    found = min(product(*(list(enumerate(row)) for row in ways)), key=cost)
    return tuple(h for _, h in found)


def key_of(mandrel: Mandrel | None) -> Key:
    """What two mandrels that are the same piece have alike; empty for one that cannot be made."""
    if mandrel is None:
        return ()
    sizes = tuple(
        (c.id, round(c.nominal, 6), _limit(c.lower), _limit(c.upper), c.unit)
        for c in sorted(mandrel.characteristics, key=lambda c: c.id)
    )
    threads = tuple(t.limits.designation.text for t in mandrel.threads)
    ordering = mandrel.ordering
    return (mandrel.kind, ordering.material, ordering.thread_order, threads, *sizes)


def _limit(value: float | None) -> float | None:
    return None if value is None else round(value, 6)


def _ways(pen: Pen, name: str) -> tuple[Hold, ...]:
    """The ways to hold a part that leave its visible ends alone, if the usual one does."""
    found = possible_holds(pen, name)
    ends = pen.parts[name].ends
    if ends[found[0].end].visible_face:
        return found[:1]
    return tuple(h for h in found if not ends[h.end].visible_face)


def _share_a_thread(pen: Pen, ways: Mapping[str, Sequence[Hold]]) -> bool:
    seen: dict[tuple[str, str], str] = {}
    for name, row in ways.items():
        for h in row:
            end = pen.parts[name].ends[h.end]
            thread = {"internal": end.internal, "external": end.external}.get(h.by)
            if thread is None:
                continue
            if seen.setdefault((h.by, read_thread(thread.thread).name), name) != name:
                return True
    return False
