"""Solved sizes brought to a step that a maker sets, always on the safe side.

The rules' own inequalities are solved beside them (``engagement.largest_hole``,
``walls.smallest_outside`` …); here they are rounded to 0.05 or to a drill that is sold, and, where
no closed form exists, searched on the steps. Lengths in mm.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from mandrelgen.core.tolerance import ceil_to, floor_to
from mandrelgen.mechanics import concentricity, engagement, tailstock, walls
from mandrelgen.mechanics.combined import Section, Spot, force_borne
from mandrelgen.mechanics.joint import least_full_end
from mandrelgen.mechanics.practice import judged
from mandrelgen.standards.tables import load

DEPTH_STEP = 0.1
"""A depth is set on a stop or a scale to a tenth, mm (common practice, no source)."""


def at_most(value: float, step: float | None = None) -> float:
    """Largest step (default 0.05) not above ``value``.

    >>> at_most(6.54), at_most(6.55)
    (6.5, 6.55)
    """
    return floor_to(value, judged("compare", "step") if step is None else step)


def at_least(value: float, step: float | None = None) -> float:
    """Smallest step (default 0.05) not below ``value``.

    >>> at_least(10.41)
    10.45
    """
    return ceil_to(value, judged("compare", "step") if step is None else step)


def drills() -> tuple[float, ...]:
    """Twist drills commonly sold, mm, rising (DIN 338, from memory)."""
    return tuple(float(d) for d in load("drill_sizes")["sizes"])


def drill_at_most(value: float) -> float | None:
    """Largest drill not above ``value``; None below the smallest one.

    >>> drill_at_most(6.87), drill_at_most(0.5)
    (6.8, None)
    """
    return max((d for d in drills() if d <= value + 1e-9), default=None)


def drill_at_least(value: float) -> float | None:
    """Smallest drill not below ``value``; None above the largest one.

    >>> drill_at_least(6.81)
    6.9
    """
    return min((d for d in drills() if d >= value - 1e-9), default=None)


def sold_drill(wanted: float, least: float, most: float) -> float:
    """The drill on sale nearest to D − P whose hole is within the bore's limits; D − P itself
    where none is.

    >>> sold_drill(8.25, 8.188, 8.378)  # M9x0.75: D - P = 8.25
    8.2
    """
    inside = [d for d in drills() if least - 1e-9 <= d <= most + 1e-9]
    return float(min(inside, key=lambda x: abs(x - wanted), default=wanted))


def hole_for(
    crest: float,
    pitch: float,
    *,
    crest_min: float | None = None,
    over: float = 0.0,
    drilled: bool = True,
) -> float | None:
    """Hole that engages a crest without a finding: 60 % as given, and 30 % at worst limits. The
    largest drill, or the largest step for a bored one; None where there is none.

    ``crest_min``: the least crest (default: as given), ``over``: by how much the hole may come out
    larger than its nominal.

    >>> hole_for(8.6, 0.75), hole_for(8.6, 0.75, crest_min=8.4, over=0.2)
    (8.1, 7.9)
    """
    given = engagement.largest_hole(crest, pitch, judged("engagement", "warning_given"))
    least = crest if crest_min is None else crest_min
    worst = engagement.largest_hole(least, pitch, judged("engagement", "error_worst")) - over
    solved = min(given, worst)
    if drilled:
        return drill_at_most(solved)
    return at_most(solved) if solved > 0 else None


def bore_for(
    outside_min: float, least: float, over: float = 0.0, drilled: bool = True
) -> float | None:
    """Largest bore that leaves a wall of ``least``, as a drill or a step. None if there is none.

    >>> bore_for(7.9, 0.6, over=0.15)
    6.5
    """
    solved = walls.largest_inside(outside_min, least, over)
    if drilled:
        return drill_at_most(solved)
    return at_most(solved) if solved > 0 else None


def outside_for(inside_max: float, least: float, under: float = 0.0) -> float:
    """Smallest outside that leaves a wall of ``least``, on a step.

    >>> outside_for(9.47, 0.5)
    10.5
    """
    return at_least(walls.smallest_outside(inside_max, least, under))


def depth_for(length: float, point: float, least: float, opposite: float = 0.0) -> float | None:
    """Deepest bore (without its ``point``) that leaves a crown of ``least``, on a step; None if
    even none would.

    >>> depth_for(60.0, 2.1, 1.0)
    56.9
    """
    solved = length - point - least - opposite
    return at_most(solved, DEPTH_STEP) if solved > 0 else None


def shoulder_for(mismatch: float) -> float:
    """Smallest designed shoulder on which a mismatch is not visibly uneven, on a step.

    >>> shoulder_for(0.06)
    0.2
    """
    return at_least(concentricity.shoulder_not_uneven(mismatch))


def mouth_for(strength: float, asked: float, bore: float, under: float = 0.0) -> float | None:
    """Smallest outside over a bore in which a bare centre may stand at a light hand's thrust, on a
    step; None where no outside is enough.

    >>> mouth_for(62, 2.0, 7)
    10.5
    """
    solved = tailstock.smallest_mouth(strength, asked, bore)
    return None if solved is None else at_least(solved + under)


def full_end_for(start: float, unformed: float, pitch: float, under: float = 0.0) -> float:
    """Least length to the tenon's last full thread for 3 pitches, on a step.

    >>> full_end_for(0.5, 1.5, 0.75)
    3.75
    """
    solved = least_full_end(start, unformed, pitch, judged("engagement", "least_pitches"))
    return at_least(solved + under)


def arm_for(spot: Spot, asked: float, radius: float, longest: float = 300.0) -> float | None:
    """Longest arm from ``spot`` to the tool, free end unsupported, at which it bears ``asked`` N,
    on a step; None if not even none does. ``radius``: where the tool cuts, mm.

    >>> from mandrelgen.mechanics.combined import Failure
    >>> cap = Spot("cap", 0.0, Section(15.0, 12.3), 62.0, Failure.FRACTURES, False, 2.5)
    >>> arm_for(cap, 90.0, 7.5)
    49.7
    """
    return largest_step(lambda arm: force_borne(spot, arm, radius) >= asked, 0.0, longest)


def outside_for_force(
    spot: Spot, asked: float, arm: float, radius: float, largest: float = 60.0
) -> float | None:
    """Smallest outside of ``spot``, its bore as it is, at which it bears ``asked`` N at ``arm`` mm,
    on a step; None up to ``largest``.

    >>> from mandrelgen.mechanics.combined import Failure
    >>> cap = Spot("cap", 0.0, Section(15.0, 12.3), 62.0, Failure.FRACTURES, False, 2.5)
    >>> outside_for_force(cap, 90.0, 60.0, 7.5)
    15.5
    """

    def good(outer: float) -> bool:
        section = Section(outer, spot.section.inner)
        return force_borne(replace(spot, section=section), arm, radius) >= asked

    # Above the bore, so that there is a section to judge.
    return smallest_step(good, spot.section.inner + 1e-4, largest)


def largest_step(
    good: Callable[[float], bool], low: float, high: float, step: float | None = None
) -> float | None:
    """Largest step from ``low`` to ``high`` that is ``good``, where what is good stays good for
    every smaller value (a stick-out, a length). None if none is.

    >>> largest_step(lambda x: x * x <= 2, 0.0, 5.0)
    1.4
    """
    every = judged("compare", "step") if step is None else step
    first, last = _steps(low, high, every)
    if last < first or not good(_value(first, every)):
        return None
    while first < last:
        middle = (first + last + 1) // 2
        if good(_value(middle, every)):
            first = middle
        else:
            last = middle - 1
    return _value(first, every)


def smallest_step(
    good: Callable[[float], bool], low: float, high: float, step: float | None = None
) -> float | None:
    """Smallest step from ``low`` to ``high`` that is ``good``, where what is good stays good for
    every larger value (an outside, a core). None if none is.

    >>> smallest_step(lambda x: x * x >= 2, 0.0, 5.0)
    1.45
    """
    every = judged("compare", "step") if step is None else step
    found = largest_step(lambda x: good(-x), -high, -low, every)
    return None if found is None else -found


def _steps(low: float, high: float, step: float) -> tuple[int, int]:
    return math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)


def _value(count: int, step: float) -> float:
    return round(count * step, 9)
