"""Measures a solid from its faces alone: volume, and threads in axial sections.

Nothing of the construction is used: two half-planes through the axis cut the solid, flanks are
found as straight lines that repeat along the axis, and lead and hand come from how far they move
between the two half-planes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from statistics import fmean

import cadquery as cq

from mandrelgen.core.frozen import dataclass

# First half-plane, and how far the second is turned from it. 8° tells up to 20 starts apart.
_THETA = math.radians(11.3)
_TURN = math.radians(8.0)
# Radii that agree within this are one diameter (mm).
_SAME = 1e-4

Line = tuple[float, float, float, float]  # z, r at the smaller radius, then at the larger


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreadSection:
    """One thread as found in the section, mm; ``z0``…``z1`` spans its complete flanks."""

    z0: float
    z1: float
    external: bool
    pitch: float
    lead: float
    starts: int
    left_hand: bool
    major: float
    minor: float
    pitch_diameter: float
    flank_angle: float


def volume(shape: cq.Shape) -> float:
    """Volume in mm³ by the kernel's plain Gauss integration.

    On strips cut at half turns it is within 0.001 ppm. The kernel's adaptive integration stops
    early on end cones whose edge folds back: up to 40 ppm off, at any tolerance.
    """
    return float(shape.Volume())


def bounding_box(shape: cq.Shape) -> tuple[float, float, float, float, float, float]:
    """x, y, z of the lowest, then of the highest corner, mm."""
    box = shape.BoundingBox()
    return box.xmin, box.ymin, box.zmin, box.xmax, box.ymax, box.zmax


def count_solids(shape: cq.Shape) -> int:
    """How many solids a shape holds."""
    return len(shape.Solids())


def section(shape: cq.Shape, theta: float) -> list[Line]:
    """Straight lines in which the half-plane at ``theta`` (radians, on no seam) cuts the faces.

    Each edge is cut by false position; the cuts of one face, paired along the section, bound its
    lines. A line whose middle does not lie on the face is no straight section and is left out.
    """
    lines: list[Line] = []
    known: dict[cq.Edge, list[tuple[float, float]]] = {}
    for face in shape.Faces():
        edges = face.Edges()
        known |= {e: _crossings(e, theta) for e in edges if e not in known}
        cuts = [c for e in edges for c in known[e]]
        if len(cuts) < 2 or len(cuts) % 2:
            continue
        spread = [max(c[k] for c in cuts) - min(c[k] for c in cuts) for k in (0, 1)]
        cuts.sort(key=lambda c: c[spread[1] > spread[0]])
        for a, b in zip(cuts[::2], cuts[1::2], strict=True):
            r, z = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
            middle = cq.Vertex.makeVertex(r * math.cos(theta), r * math.sin(theta), z)
            if middle.distance(face) < _SAME / 10:
                (r0, z0), (r1, z1) = sorted((a, b))
                lines.append((z0, r0, z1, r1))
    return lines


def _crossings(edge: cq.Edge, theta: float) -> list[tuple[float, float]]:
    """(r, z) where an edge of up to a full turn crosses the half-plane."""
    cos, sin = math.cos(theta), math.sin(theta)

    def at(t: float) -> cq.Vector:
        return edge.positionAt(t, mode="parameter")

    def off(t: float) -> float:
        p = at(t)
        return float(p.y) * cos - float(p.x) * sin

    t0, t1 = edge.bounds()
    marks = [t0 + (t1 - t0) * k / 12 for k in range(13)]
    found = []
    for (a, fa), (b, fb) in pairwise([(t, off(t)) for t in marks]):
        if fa * fb >= 0:
            continue
        # False position, the end that stays weighed half (Illinois): a few evaluations.
        while abs(fb) > 1e-13 and abs(b - a) > 1e-15 * (t1 - t0):
            t = b - fb * (b - a) / (fb - fa)
            value = off(t)
            a, fa = (b, fb) if value * fb < 0 else (a, fa / 2)
            b, fb = t, value
        p = at(b)
        r = float(p.x) * cos + float(p.y) * sin
        if r > 0:
            found.append((r, float(p.z)))
    return found


def section_report(shape: cq.Shape) -> tuple[ThreadSection, ...]:
    """Every thread of three or more complete turns of flank, by falling major diameter."""
    first, second = _flanks(section(shape, _THETA)), _flanks(section(shape, _THETA + _TURN))
    found = []
    for (low, high), (up, down) in first.items():
        match = next(
            (k for k in second if abs(k[0] - low) < _SAME and abs(k[1] - high) < _SAME), None
        )
        if match is not None:
            found.append(_thread(shape, (low, high), (up, down), second[match][0]))
    return tuple(sorted(found, key=lambda t: -t.major))


def _flanks(lines: Sequence[Line]) -> dict[tuple[float, float], tuple[list[Line], list[Line]]]:
    """Slanted lines that repeat between the same two radii: rising and falling with z."""
    groups: dict[tuple[float, float], tuple[list[Line], list[Line]]] = {}
    for line in lines:
        z0, r0, z1, r1 = line
        if r1 - r0 < _SAME or abs(z1 - z0) < _SAME:
            continue
        key = next((k for k in groups if abs(k[0] - r0) < _SAME and abs(k[1] - r1) < _SAME), None)
        pair = groups.setdefault(key or (r0, r1), ([], []))
        pair[z1 < z0].append(line)
    return {k: p for k, p in groups.items() if min(len(p[0]), len(p[1])) >= 2}


def _thread(
    shape: cq.Shape,
    radii: tuple[float, float],
    flanks: tuple[list[Line], list[Line]],
    turned: list[Line],
) -> ThreadSection:
    rising, falling = (sorted(f) for f in flanks)
    pitch = fmean(b[0] - a[0] for a, b in pairwise(rising))
    # The pattern at the second half-plane is the first one moved by lead · turn, modulo a pitch.
    moves = [(b[0] - rising[0][0] + pitch / 2) % pitch - pitch / 2 for b in turned]
    lead = fmean(moves) * math.tau / _TURN
    slope = fmean((line[2] - line[0]) / (line[3] - line[1]) for line in rising)
    back = fmean((line[2] - line[0]) / (line[3] - line[1]) for line in falling)
    # Axial distance from a rising to the next falling flank at the smaller radius; at r it is
    # `ridge` − (slope − back)·(r − low), and half a pitch on the pitch cylinder.
    ridge = fmean((b[0] - rising[0][0]) % pitch for b in falling)
    pitch_radius = radii[0] + (ridge - pitch / 2) / (slope - back)
    every = [*rising, *falling]
    z0 = min(min(line[0], line[2]) for line in every)
    z1 = max(max(line[0], line[2]) for line in every)
    return ThreadSection(
        z0=z0,
        z1=z1,
        external=_inside(shape, radii[0] - 10 * _SAME, (z0 + z1) / 2),
        pitch=pitch,
        lead=abs(lead),
        starts=round(abs(lead) / pitch),
        left_hand=lead < 0,
        major=2 * radii[1],
        minor=2 * radii[0],
        pitch_diameter=2 * pitch_radius,
        flank_angle=math.degrees(math.atan(slope)),
    )


def _inside(shape: cq.Shape, r: float, z: float) -> bool:
    at = (r * math.cos(_THETA), r * math.sin(_THETA), z)
    return any(body.isInside(at, 1e-7) for body in shape.Solids())
