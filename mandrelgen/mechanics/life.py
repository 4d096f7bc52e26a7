"""How long a trial mandrel of plastic may serve: a rough estimate, always labelled so.

Nothing measured was found. Common practice, no source: a single-start mandrel of hard rubber or
good acrylic, cut with the maker's own die, lasts about 5 to 10 pens before it bends or loses its
shape (skim the face 0.1 when it is marked). That range is taken for a mandrel stressed up to what
its material bears for hours without creeping on; above that stress, and as the work warms up, it
shrinks.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from mandrelgen.mechanics.practice import assumed

# Wear and creep grow steeply with stress; the cube is a usual middle (from memory).
_EXPONENT = 3
_ROOM = 20.0


class Life(NamedTuple):
    """Pens from ``low`` to ``high``; 0 to 0: do not turn with it. ``basis`` says why."""

    low: int
    high: int
    use: float
    basis: str
    label: str = "estimate"


def trial_life(stress: float, strength: float, softens: float, warm: float = 35.0) -> Life:
    """Pens a plastic mandrel may hold (estimate).

    ``stress`` MPa in normal work at its worst place; ``strength`` MPa in tension, short-time, in
    the weakest direction; ``softens`` °C, where the plastic gives way; ``warm`` °C, how warm it
    gets. Allowed for hours: a quarter of the strength at 20 °C, falling straight to nothing where
    it softens. Raises ValueError for a strength not above 0 or a plastic soft at 20 °C.
    """
    if strength <= 0 or stress < 0 or softens <= _ROOM:
        raise ValueError("needs a strength above 0, a stress not negative, softening above 20 °C")
    share = assumed("life", "creep_share")
    heat = min(1.0, max(0.0, (softens - warm) / (softens - _ROOM)))
    allowed = strength * share.value * heat
    if allowed == 0:
        return Life(0, 0, math.inf, f"soft at {warm:g} °C: do not turn with it")
    use = stress / allowed
    low, high = assumed("life", "pens_low"), assumed("life", "pens_high")
    factor = 1.0 if use <= 1 else use**-_EXPONENT
    basis = (
        f"{stress:.1f} MPa of {allowed:.1f} MPa allowed for hours ({share.value:g} of the strength,"
        f" {heat:.0%} of it left at {warm:g} °C); {low.basis}"
    )
    return Life(math.floor(low.value * factor), math.floor(high.value * factor), use, basis)
