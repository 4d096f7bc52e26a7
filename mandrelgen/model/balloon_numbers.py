"""The order in which a drawing is read, and with it every balloon number."""

from __future__ import annotations

import math

from mandrelgen.model.characteristic import Characteristic
from mandrelgen.model.mandrel import Mandrel


def reading_order(mandrel: Mandrel) -> tuple[Characteristic, ...]:
    """The characteristics from the spindle side to the nose, feature by feature. The designer
    leaves them in this order."""
    places = {c.id: _place(mandrel, c) for c in mandrel.characteristics}
    first: dict[str, float] = {}
    for c in mandrel.characteristics:
        first[c.feature] = min(first.get(c.feature, math.inf), places[c.id])
    return tuple(sorted(mandrel.characteristics, key=lambda c: first[c.feature]))


def numbered(mandrel: Mandrel) -> dict[str, int]:
    """Balloon number on the drawing, in tables and readings, from 1, by characteristic id. What
    another's callout says has that one's number."""
    every = reading_order(mandrel)
    own = {c.id: i for i, c in enumerate((c for c in every if not c.said_by), 1)}
    return {c.id: own[c.said_by or c.id] for c in every}


def _place(mandrel: Mandrel, c: Characteristic) -> float:
    """Where along the axis a characteristic belongs: the middle of its feature, or of the stations
    it spans."""
    every = [s for s in (*mandrel.outer, *mandrel.inner) if s.feature == c.feature]
    if every:
        return (min(s.z0 for s in every) + max(s.z1 for s in every)) / 2
    if c.feature in mandrel.stations:
        return mandrel.stations[c.feature]
    if c.between is not None and all(n in mandrel.stations for n in c.between):
        return sum(mandrel.stations[n] for n in c.between) / 2
    if mandrel.flats is not None and c.feature == "flats":
        return (mandrel.flats.z0 + mandrel.flats.z1) / 2
    return math.inf
