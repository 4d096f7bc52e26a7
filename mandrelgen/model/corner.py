"""Inside corners, mm of radius: what the sheet allows, and so the least that strength counts on.

A sharp corner breaks what is brittle, so the sheet asks for a least radius wherever a usual tool
leaves one anyway (noses of 0.2 and 0.4, hand-ground corners of 0.1: common practice, no source).
"""

from __future__ import annotations

from mandrelgen.core.tolerance import floor_to, text_of

Corner = tuple[float, float]
"""Least and greatest radius."""

UNSIZED: Corner = (0.1, 0.3)
"""Corners without a size: the sheet's collective sign (ISO 13715)."""
LOW_STEP = 0.5
"""Up to here the collective edges would leave little of a step, on the radius."""
AT_LOW_STEPS: Corner = (0.1, 0.2)


def up_to(most: float) -> Corner:
    """The corner that may be ``most`` at most: a least of half of it, as tools come; none where
    only a sharp one has room."""
    return floor_to(most / 2, 0.1), most


def least(step: float, sized: Corner | None) -> float:
    """The least radius that the sheet allows in a corner ``step`` high; ``sized``: its own."""
    if sized is not None:
        return sized[0]
    return (AT_LOW_STEPS if is_low(step) else UNSIZED)[0]


def is_low(step: float) -> bool:
    """A step of that height, mm on the radius, counts as low: what a drawing shows as 0.5 does,
    whatever its last binary place. Nominal heights are compared, so that limits decide nothing."""
    return round(step, 3) <= LOW_STEP


def said(corner: Corner) -> str:
    """As it stands on paper."""
    low, high = corner
    return f"{text_of(low)} to {text_of(high)}" if low else f"{text_of(high)} at most"
