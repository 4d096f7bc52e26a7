"""The outline file read back: one closed half-section at 1:1, every size at mid-limits."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

from mandrelgen.files.proof.dxf import identity, load
from mandrelgen.files.proof.report import Case
from mandrelgen.files.proof.sizes import extents, plain_volume
from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.feature import FeatureKind
from mandrelgen.model.half_section import outline
from mandrelgen.model.mid_limits import at_mid_limits

_EXACT = 1e-6
# The layer says how its sizes are to be read.
_LAYER = "OUTLINE_AT_MID_LIMITS"
# Farther than this no size lies from its nominal, mm.
_OFF = 1.0
Points = list[tuple[float, float]]


def check(case: Case) -> dict[str, Any]:
    """Compare the outline's extents, its volume of revolution (Pappus) and its corners with the
    half-section at the middle of all limits, and each size with the middle of its own."""
    lines = load(case).model
    if not case.equal("outline", ["LWPOLYLINE"], [e.kind for e in lines]):
        return {}
    line = lines[0]
    case.equal("outline, closed", wanted=True, found=bool(line.whole(70) & 1))
    case.equal("outline, layer", _LAYER, line.text(8))
    name = f"{case.expected.number} {case.expected.revision}"
    case.equal("outline, number", ("outline", name), identity(line))
    points = list(line.points(10))
    case.equal("outline, corners", line.whole(90), len(points))
    case.equal("outline, arcs", 0, sum(1 for v in line.all(42) if float(v) != 0))
    middle = outline(at_mid_limits(case.expected.mandrel))
    z0, z1, r = extents(middle)
    case.near("outline, rear end", z0, min(p[0] for p in points), _EXACT)
    case.near("outline, nose", z1, max(p[0] for p in points), _EXACT)
    case.near("outline, largest radius", r, max(p[1] for p in points), _EXACT)
    volume, wanted = revolved(points), plain_volume(middle)
    case.near("outline, volume of revolution", wanted, volume, 1e-6 * wanted, "mm³")
    every = case.expected.mandrel.characteristics
    sizes = sum(_at_its_middle(case, c, points) for c in every)
    return {"corners": len(points), "volume_mm3": round(float(volume), 3), "sizes": sizes}


# Where a tap's or a die's full thread ends the outline has no corner.
_NO_CORNER = ("thread.depth", "thread.incomplete")


def _at_its_middle(case: Case, c: Characteristic, points: Points) -> bool:
    """Whether ``c`` is a size of the outline; notes one that is not found at the middle of its
    limits, near where its nominal lies."""
    mandrel = case.expected.mandrel
    if c.lower is None or c.upper is None:
        return False
    wanted = (c.lower + c.upper) / 2
    if c.kind is Kind.DIAMETER:
        mine = [s for s in (*mandrel.outer, *mandrel.inner) if s.feature == c.feature]
        at = [z for s in mine for z, d in ((s.z0, s.d0), (s.z1, s.d1)) if abs(d - c.nominal) < 1e-5]
        found = [2 * p[1] for p in points if any(abs(p[0] - z) < _OFF for z in at)]
    elif c.feature == FeatureKind.FLATS.value:
        return False  # milled afterwards: a turned outline knows nothing of them
    elif c.subject is FeatureKind.THREAD and c.own_id in _NO_CORNER:
        return False
    elif c.kind in (Kind.LENGTH, Kind.CHAMFER) and c.between is not None:
        a, b = (mandrel.stations[n] for n in c.between)
        first = [p[0] for p in points if abs(p[0] - a) < _OFF]
        last = [p[0] for p in points if abs(p[0] - b) < _OFF]
        at, found = [a, b], [abs(u - v) for u in first for v in last]
    else:
        return False
    if at and not any(abs(v - wanted) < _EXACT for v in found):
        case.fault(c.id, f"{wanted:g} mm, the middle of its limits, in the outline", "none")
    return bool(at)


def revolved(points: Points) -> float:
    """Volume of a closed polygon (z, r) turned round r = 0: 2π · area · centroid, mm³."""
    moment = sum(
        (a[0] * b[1] - b[0] * a[1]) * (a[1] + b[1]) for a, b in pairwise([*points, points[0]])
    )
    return abs(math.tau * moment / 6)
