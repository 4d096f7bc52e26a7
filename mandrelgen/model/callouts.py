"""Which characteristics one callout of the drawing says together."""

from __future__ import annotations

import math
from dataclasses import replace

from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.mandrel import Mandrel, Stretch

_TOUCH = 1e-6


def called_out(mandrel: Mandrel) -> tuple[Characteristic, ...]:
    """The characteristics, each with the id of the one whose callout says it: a cone's angle by its
    chamfer or by its smaller diameter (0.5 × 45°, ⌀10.7 × 45°), lead and starts by the pitch."""
    said = {a.id: c.id for c in mandrel.characteristics for a in _said_with(mandrel, c)}
    every = ((c, said.get(c.id, "")) for c in mandrel.characteristics)
    return tuple(c if c.said_by == by else replace(c, said_by=by) for c, by in every)


def _said_with(mandrel: Mandrel, c: Characteristic) -> list[Characteristic]:
    every = mandrel.characteristics
    if c.kind is Kind.PITCH:
        return [a for a in every if a.feature == c.feature and a.kind in (Kind.LEAD, Kind.COUNT)]
    cone = _cone(mandrel, c)
    if cone is None:
        return []
    lean = math.degrees(math.atan2(abs(cone.d1 - cone.d0) / 2, cone.z1 - cone.z0))
    return [
        a
        for a in every
        if a.kind is Kind.ANGLE and a.feature == cone.feature and abs(a.nominal - lean) < _TOUCH
    ]


def _cone(mandrel: Mandrel, c: Characteristic) -> Stretch | None:
    """The cone that ``c`` is the chamfer of, or whose smaller end is the diameter ``c``."""
    every = [s for s in (*mandrel.outer, *mandrel.inner) if abs(s.d1 - s.d0) > _TOUCH]
    if c.kind is Kind.CHAMFER and c.between is not None:
        a, b = sorted(mandrel.stations.get(n, math.nan) for n in c.between)
        return next((s for s in every if abs(s.z0 - a) + abs(s.z1 - b) < _TOUCH), None)
    if c.kind is Kind.DIAMETER:
        own = [s for s in every if s.feature == c.feature and s in mandrel.outer]
        return next((s for s in own if abs(min(s.d0, s.d1) - c.nominal) < _TOUCH), None)
    return None
