"""Where a part can stand on its locators: shift and tilt that play allows, and tilt of faces.

A locator of diametral clearance c between z0 and z1 keeps the part's axis within c/2 of the
mandrel's at both its ends. All locators together bound shift and tilt; the largest offset at any
z is found exactly. Units: mm, rad.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

# (z, half clearance): the part's axis stays within ± half clearance there.
Guide = tuple[float, float]

_FLAT = 1e-12


def guides(clearance: float, z0: float, z1: float) -> tuple[Guide, Guide]:
    """The two bounds of a cylindrical locator, mm. Raises ValueError for a negative clearance."""
    if clearance < 0:
        raise ValueError("a locator's clearance cannot be negative; it would not go together")
    return (z0, clearance / 2), (z1, clearance / 2)


def tilt_capacity(clearance: float, length: float) -> float:
    """How far a spigot can tilt in its bore: c/L, rad (small angles)."""
    if length <= 0:
        raise ValueError("the fitted length must be above 0")
    return clearance / length


def face_tilt(run_out: float, diameter: float) -> float:
    """Tilt by a face of axial run-out ``run_out`` mm over ``diameter`` mm: t/D, rad."""
    if diameter <= 0:
        raise ValueError("the face's diameter must be above 0")
    return run_out / diameter


def envelope(bounds: Sequence[Guide], z: float) -> float:
    """Largest offset of the part's axis at ``z`` that the bounds allow, mm.

    The axis is a line y + θ·z' with |y + θ·z'| <= h at every bound (z', h): the largest value at
    ``z`` stands at a corner of that region, where two bounds are touched. Raises ValueError unless
    two bounds stand at different places (the tilt would be free).
    """
    places = {b[0] for b in bounds}
    if len(places) < 2:
        raise ValueError("one bound alone leaves the tilt free; give two at different places")
    worst = 0.0
    for i, (za, ha) in enumerate(bounds):
        for zb, hb in bounds[i + 1 :]:
            if abs(zb - za) < _FLAT:
                continue
            for a, b in ((ha, hb), (ha, -hb)):
                theta = (b - a) / (zb - za)
                if all(abs(a + theta * (zk - za)) <= hk + 1e-12 for zk, hk in bounds):
                    worst = max(worst, abs(a + theta * (z - za)))
    return worst


def centring_residual(friction: float, residual: float) -> float:
    """What share of a thread's play is left when it is tightened on a square seat (estimate).

    The pull presses 60° flanks home with a centring force F·tan(30° − ρ), held up by the seat's
    friction F·µ: below µ = tan 15° = 0.268 the part moves to the middle and ``residual`` of the
    play is taken to be left; above, all of it.
    """
    if friction < 0 or not 0 <= residual <= 1:
        raise ValueError("friction must not be negative and the residual lies in 0 to 1")
    return residual if friction < math.tan(math.radians(15)) else 1.0
