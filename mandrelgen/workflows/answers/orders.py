"""What ``book`` and ``orders`` say, as plain values; nothing is computed here."""

from __future__ import annotations

from collections.abc import Sequence

from mandrelgen.workflows.answers.plain import View
from mandrelgen.workflows.booking import Booked, OrderStanding


def booked(b: Booked) -> View:
    """What ``book --json`` prints."""
    return {
        "state": b.state.value,
        "changed": [{"number": e.number, "revision": e.revision} for e in b.changed],
        "kept": [{"number": e.number, "revision": e.revision} for e in b.kept],
    }


def orders(found: Sequence[OrderStanding]) -> View:
    """What ``orders --json`` prints: the orders that stand, and apart those superseded."""
    return {
        "orders": [_order(o) for o in found if not o.superseded_by],
        "superseded": [
            {**_order(o), "superseded_by": o.superseded_by} for o in found if o.superseded_by
        ],
    }


def _order(o: OrderStanding) -> View:
    return {
        "id": o.order.id,
        "pen": o.order.pen,
        "date": o.order.date,
        "state": o.state.value,
        "mandrels": [
            {
                "number": x.number, "revision": x.revision, "draft": x.draft,
                "quantity": x.quantity, "state": x.state.value, "whom": x.whom or None,
                "since": x.since or None, "promised": x.promised or None, "price": x.price or None,
            }
            for x in o.lines
        ],
    }  # fmt: skip
