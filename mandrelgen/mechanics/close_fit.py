"""How likely it is that two threads within their limits have almost no play.

Both pitch diameters are taken to lie anywhere within their limits, alike likely and independent
(an assumption; a shop aims nearer the maximum material, which makes little play likelier).
Lengths in mm, probabilities 0 to 1.
"""

from __future__ import annotations

import math

from mandrelgen.mechanics.practice import judged


def play_needed(length: float, lean: float | None = None) -> float:
    """Play on the pitch diameter by which a thread ``length`` mm long can lean ``lean`` degrees
    (default 0.1): L·tan(lean), mm.

    >>> round(1000 * play_needed(3.15), 1), round(1000 * play_needed(4.6), 1)  # µm
    (5.5, 8.0)
    """
    if length < 0:
        raise ValueError("the length must not be negative")
    angle = judged("close_fit", "lean") if lean is None else lean
    return length * math.tan(math.radians(angle))


def chance_of_less(needed: float, least: float, width_a: float, width_b: float) -> float:
    """Chance that the play of a pair is below ``needed`` mm: ``least`` is the play at both maximum
    materials, ``width_a`` and ``width_b`` the pitch diameters' tolerances, mm.

    Sum of two uniform errors (a trapezoid). Raises ValueError for a negative width. With fit
    "close", 4h in 6H at P 0.75 (play 0 to 195 µm: 63 + 132):

    >>> [round(100 * chance_of_less(p, 0.0, 0.132, 0.063), 1) for p in (0.0055, 0.008)]  # %
    [0.2, 0.4]
    """
    if min(width_a, width_b) < 0:
        raise ValueError("a tolerance cannot be negative")
    t = needed - least
    small, large = sorted((width_a, width_b))
    if t <= 0:
        return 0.0
    if t >= small + large:
        return 1.0
    if small == 0:
        return t / large
    cuts = (t, t - width_a, t - width_b, t - width_a - width_b)
    a, b, c, d = (max(0.0, x) ** 2 for x in cuts)
    return min(1.0, (a - b - c + d) / (2 * width_a * width_b))
