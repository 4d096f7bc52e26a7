"""The outline file read back: one closed half-section at 1:1."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

from mandrelgen.files.proof.dxf import identity, load
from mandrelgen.files.proof.report import Case
from mandrelgen.files.proof.sizes import by_id, extents, plain_volume


def check(case: Case) -> dict[str, Any]:
    """Compare the outline's extents, its volume of revolution (Pappus) and its corners with the
    half-section."""
    lines = load(case).model
    if not case.equal("outline", ["LWPOLYLINE"], [e.kind for e in lines]):
        return {}
    line = lines[0]
    case.equal("outline, closed", wanted=True, found=bool(line.whole(70) & 1))
    name = f"{case.expected.number} {case.expected.revision}"
    case.equal("outline, number", ("outline", name), identity(line))
    points = list(line.points(10))
    case.equal("outline, corners", line.whole(90), len(points))
    case.equal("outline, arcs", 0, sum(1 for v in line.all(42) if float(v) != 0))
    z0, z1, r = extents(case)
    case.near("outline, rear end", z0, min(p[0] for p in points), 1e-6)
    case.near("outline, nose", z1, max(p[0] for p in points), 1e-6)
    case.near("outline, largest radius", r, max(p[1] for p in points), 1e-6)
    volume, wanted = revolved(points), plain_volume(case)
    case.near("outline, volume of revolution", wanted, volume, 1e-6 * wanted, "mm³")
    sizes = by_id(case, [p[0] for p in points], [p[1] for p in points], 1e-6)
    return {"corners": len(points), "volume_mm3": round(float(volume), 3), "sizes": sizes}


def revolved(points: list[tuple[float, float]]) -> float:
    """Volume of a closed polygon (z, r) turned round r = 0: 2π · area · centroid, mm³."""
    moment = sum(
        (a[0] * b[1] - b[0] * a[1]) * (a[1] + b[1]) for a, b in pairwise([*points, points[0]])
    )
    return abs(math.tau * moment / 6)
