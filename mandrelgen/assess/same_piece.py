"""Whether two mandrels are the same piece."""

from __future__ import annotations

from mandrelgen.model.mandrel import Mandrel

Key = tuple[object, ...]


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
