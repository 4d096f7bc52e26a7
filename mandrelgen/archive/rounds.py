"""Which of a fixture's states belong to which order: a fixture may be ordered again, so each order
that holds it has its own stretch of the history."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise

from mandrelgen.archive.records import Event, Order, OrderItem
from mandrelgen.archive.states import AWAITED, State

AGAIN = "again"
"""The key of an order's facts that says how many orders before it held one of its fixtures."""
_WAITS = (*AWAITED, State.DECLINED)

Past = Sequence[tuple[State, Event | None]]
Item = tuple[str, str, int]


def item_key(i: OrderItem) -> Item:
    """Number, revision and draft."""
    return i.number, i.revision, i.draft


def again(order: Order) -> int:
    """How many orders before it held one of its fixtures and were ordered."""
    return int(order.facts.get(AGAIN, 0))


def shared(every: Iterable[Order], gone: Iterable[str]) -> dict[Item, tuple[str, ...]]:
    """The fixtures that stand in several orders, with these orders' ids, the oldest first.
    ``gone``: the orders that others took the place of; they do not count."""
    dead = set(gone)
    found: dict[Item, list[str]] = {}
    for o in sorted(every, key=lambda o: (o.date, again(o), o.id)):
        for i in o.items if o.id not in dead else ():
            found.setdefault(item_key(i), []).append(o.id)
    return {key: tuple(ids) for key, ids in found.items() if len(ids) > 1}


def by_order(past: Past, holding: Sequence[str]) -> Mapping[str, Past]:
    """What of a fixture's history belongs to each of the orders ``holding`` it, the oldest first.

    An event that names no order belongs to the one before it; the first of a new round that names
    none, to the oldest order that no event names. One of which nothing was said is designed.
    """
    rounds = cut(past)
    named = {name for name, _ in rounds}
    free = [o for o in holding if o not in named]
    out: dict[str, list[tuple[State, Event | None]]] = {o: [] for o in holding}
    owner = holding[0]
    for name, row in rounds:
        owner = name or (free.pop(0) if free else owner)
        out.setdefault(owner, []).extend(row)
    return {o: row or ((State.DESIGNED, None),) for o, row in out.items()}


def cut(past: Past) -> list[tuple[str, list[tuple[State, Event | None]]]]:
    """The history cut where another order begins, each with the order that it names, if any."""
    found: list[tuple[str, list[tuple[State, Event | None]]]] = []
    for (before, _), (state, event) in pairwise(past):
        name = str(event.data.get("order", "")) if event is not None else ""
        owner = found[-1][0] if found else None
        anew = state in AWAITED and before not in (State.DESIGNED, *_WAITS)
        other = bool(name) and bool(owner) and name != owner
        if owner is None or other or (anew and (not name or name != owner)):
            found.append((name, []))
        elif name and not owner:
            found[-1] = name, found[-1][1]
        found[-1][1].append((state, event))
    return found
