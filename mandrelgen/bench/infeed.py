"""How deep a threading tool goes, and in which steps. Lengths in mm, radial."""

from __future__ import annotations

import math
from dataclasses import dataclass

from mandrelgen.mandrel import ThreadForm
from mandrelgen.standards import cutting

_H = math.sqrt(3) / 2
COS_FLANK = math.cos(math.radians(30))


@dataclass(frozen=True, slots=True)
class Depths:
    """Radial depth from the turned crest to the finished groove, mm.

    ``full_form``: to a root rounded with H/6 (external; an internal one to the basic major
    diameter). ``sharp``: to the point of a sharp V. A tool with nose radius r goes ``sharp`` − r.
    """

    full_form: float
    sharp: float


def basic_depths(pitch: float, external: bool) -> Depths:
    """Depths of the basic profile (ISO 68-1): 17H/24 and 7H/8 from d, 5H/8 and 3H/4 from D1."""
    h = _H * pitch
    return Depths(17 * h / 24, 7 * h / 8) if external else Depths(5 * h / 8, 3 * h / 4)


def depths(form: ThreadForm) -> Depths:
    """Depths for this thread: from its crest at mid-limits to a pitch diameter at mid-limits."""
    h = _H * form.pitch
    to_pitch = abs(form.crest_diameter - form.pitch_diameter) / 2
    return Depths(to_pitch + (h / 3 if form.external else 3 * h / 8), to_pitch + h / 2)


def flank_infeed(radial: float) -> float:
    """The same depth fed in along a 30° flank (top slide set over), mm."""
    return radial / COS_FLANK


def equal_area(depth: float, passes: int) -> tuple[float, ...]:
    """Depth after each pass when each takes the same chip area: depth·√(k/N).

    Raises ValueError for a depth or a count below 1.
    """
    _check(depth, passes)
    return tuple(depth * math.sqrt(k / passes) for k in range(1, passes + 1))


def eased(depth: float, passes: int) -> tuple[float, ...]:
    """Depth after each pass with a first pass of 0.3 of a chip area, then equal areas:
    depth·√(ψ/(N − 1)), ψ = 0.3, 1, 2 … (an insert maker's manual). Raises as `equal_area`."""
    _check(depth, passes)
    if passes == 1:
        return (depth,)
    first = cutting.rule("infeed", "first_share").value
    return tuple(depth * math.sqrt(psi / (passes - 1)) for psi in (first, *range(1, passes)))


def passes_for(form: ThreadForm, material: str) -> tuple[int, str]:
    """How many passes, and why."""
    count, why = cutting.usual_passes(form.pitch), "usual for the pitch"
    root = min(form.root_diameter, form.crest_diameter)
    extra = int(cutting.rule("infeed", "slim_passes").value)
    if form.external and root < cutting.rule("infeed", "slim_root").value:
        count, why = count + extra, why + f", {extra} more for a slim core"
    if not form.external:
        count, why = count + extra, why + f", {extra} more for a slim boring bar"
    if material == "1.4305":
        count, why = count + 1, why + ", 1 more for stainless; keep the last at 0.05 or more"
    return count, why


def _check(depth: float, passes: int) -> None:
    if depth <= 0 or passes < 1:
        raise ValueError("give a depth above 0 and at least one pass")
