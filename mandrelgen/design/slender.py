"""Whether a free end is so slim that it is turned with a centre in its nose."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

from mandrelgen.mechanics.beam import Load, bend
from mandrelgen.mechanics.beam_rows import BeamMaterial, beam_row
from mandrelgen.model.feature import Feature, FeatureKind
from mandrelgen.model.mandrel import Stretch

# Plain bar that stands out this many diameters is turned with a centre (common practice, no
# source).
SLENDER = 4.0
# The shank that stands out of the turner's collet, mm (common practice, no source).
STANDS_OUT = 8.0
_SHANK = (FeatureKind.SHANK, FeatureKind.REAR)
# Of one material both bend alike: what it is does not count.
_ANY = BeamMaterial(1.0, 0.0)


def limpness(outer: Sequence[Stretch], shank: float) -> float:
    """How far a free end bends under a force at its nose, over what plain bar of its own diameter
    does that stands out :data:`SLENDER` of them (above 1: slender).

    ``outer``: its stretches, any shank among them left aside; ``shank``: that behind them, mm. Its
    own diameter is the largest in front of the seat, at z = 0: what is cut there has to come out
    true, and the larger, the stiffer it has to be. A short groove bends as little as it is short.
    Raises ValueError if nothing stands in front of the seat.
    """
    return _limpness(tuple(s for s in outer if s.feature.kind not in _SHANK), shank)


@lru_cache(maxsize=512)
def _limpness(row: tuple[Stretch, ...], shank: float) -> float:
    """Kept: each design of a mandrel, and each try of what a change does, asks for it again."""
    front = min(s.z0 for s in row)
    held = Stretch(
        feature=Feature("shank"), z0=front - STANDS_OUT, z1=front, d0=shank, d1=shank
    )  # fmt: skip
    own = max(max(s.d0, s.d1) for s in row if s.z0 > -1e-9)
    beam = beam_row([held, *row], [], front - STANDS_OUT, _ANY)
    bent = bend(beam, [Load(sum(s.length for s in beam), 1.0)]).end.deflection
    return bent / ((SLENDER * own) ** 3 / 3 / (math.pi / 64 * own**4))
