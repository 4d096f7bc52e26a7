"""The few sizes that are inspected on every piece: what the fixture is for hangs on them."""

from __future__ import annotations

from mandrelgen.model.characteristic import Kind
from mandrelgen.model.mandrel import Mandrel, MandrelKind

MOST = 6
"""A drawing that marks more marks nothing (common practice, no source)."""

# What counts first: that it runs true, then the thread, then what locates, then positions. Of a
# thread the pitch diameter stands for all that its gauge judges.
_RANK = {
    Kind.RUNOUT: 0,
    Kind.FACE_RUNOUT: 0,
    Kind.THREAD_PITCH_DIAMETER: 1,
    Kind.DIAMETER: 2,
    Kind.CYLINDRICITY: 3,
    Kind.LENGTH: 4,
}


def inspected(mandrel: Mandrel) -> frozenset[str]:
    """The ids of the characteristics that are inspected on every piece, ``MOST`` at most: what the
    sheet marks, a strict request asks readings of, the inspection sheet asks of the shop, and a
    fixture that arrives is not finished without. Every size of a gauge that its use hangs on; none
    of a thread that the customer's own tool makes."""
    if mandrel.kind is MandrelKind.GAUGE:
        return frozenset(c.id for c in mandrel.characteristics if c.functional)
    own = {t.feature for t in mandrel.threads if t.order == "my-tool"}
    found = [
        c
        for c in mandrel.characteristics
        if c.functional
        and c.kind in _RANK
        and not (c.kind is Kind.THREAD_PITCH_DIAMETER and c.feature in own)
    ]
    return frozenset(c.id for c in sorted(found, key=lambda c: _RANK[c.kind])[:MOST])


def marked(mandrel: Mandrel) -> frozenset[str]:
    """The ids that get a heavy circle: the inspected ones, but none of a gauge, of which a circle
    would part nothing."""
    return frozenset() if mandrel.kind is MandrelKind.GAUGE else inspected(mandrel)
