"""Profile -> watertight triangle mesh, columns along the thread's own edges. No kernel.

Chords are aimed at the mean: radii are enlarged so that a ring's polygon has its circle's area.
Surfaces then lie within half the chord error on either side, and volume is kept.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from mandrelgen.core.frozen import dataclass
from mandrelgen.geometry.thread_surface import (
    Cuts,
    Point,
    Zone,
    cuts,
    end_line,
    flat_bounds,
    rim,
    run_out,
    split,
    strip_polygons,
    unroll,
)
from mandrelgen.model.half_section import Profile

Ring = list[tuple[float, int]]  # θ in 0…2π and vertex, by rising θ; one vertex alone: on the axis


@dataclass(frozen=True, slots=True)
class Mesh:
    """Vertices (n×3, mm) and triangles (m×3 indices, counter-clockwise seen from outside)."""

    vertices: NDArray[np.float64]
    triangles: NDArray[np.int64]

    @property
    def volume(self) -> float:
        """Enclosed volume, mm³."""
        a, b, c = (self.vertices[self.triangles[:, k]] for k in range(3))
        return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6)


def build(profile: Profile, chord: float = 0.01) -> Mesh:
    """The mesh of a profile; axis +Z = the profile's z. ``chord``: how far a chord may lie from
    its arc, mm (0.01 for printing, 0.05 for a light picture). Raises ValueError if a thread or the
    flats cannot be modelled, or ``chord`` is not above 0."""
    if not chord > 0:
        raise ValueError(f"chord {chord} mm; it must be above 0")
    mesh = _Builder(profile, chord).mesh()
    return _cut_flats(mesh, profile) if profile.flats is not None else mesh


def segments(radius: float, chord: float) -> int:
    """Sides of a polygon whose chords lie within ``chord`` of a circle; 12 at least."""
    return max(12, math.ceil(math.pi / math.acos(max(0.0, 1 - chord / radius))))


def mean_factor(count: int) -> float:
    """By how much a polygon of ``count`` sides is enlarged to have its circle's area."""
    step = math.tau / count
    return math.sqrt(step / math.sin(step))


class _Builder:
    def __init__(self, profile: Profile, chord: float) -> None:
        self._profile = profile
        self._unrolled = unroll(profile)
        self._cuts = {
            i: cuts(zone, segments(zone.crest, chord)) for i, zone in self._unrolled.zones.items()
        }
        self._count = segments(max(max(f.r0, f.r1) for f in profile.faces), chord)
        self._vertices: list[tuple[float, float, float]] = []
        self._triangles: list[tuple[int, int, int]] = []
        self._points: dict[tuple[Any, ...], int] = {}
        self._rings: dict[int, Ring] = {}

    def mesh(self) -> Mesh:
        """All faces, once: threads first, since their ends replace the plain rings there."""
        for i, zone in self._unrolled.zones.items():
            self._thread(zone, self._cuts[i])
            rising = self._profile.faces[i].z0 < self._profile.faces[i].z1
            for end in (0, 1):
                joint = self._joint(i + 1 if (end == 1) == rising else i)
                self._rings[joint] = self._thread_end(zone, self._cuts[i], end)
        for i in range(len(self._profile.faces)):
            if i not in self._unrolled.zones:
                self._band(self._ring(i), self._ring(i + 1))
        return Mesh(np.array(self._vertices), np.array(self._triangles, dtype=np.int64))

    def _joint(self, joint: int) -> int:
        return joint % len(self._profile.faces) if self._profile.closed else joint

    def _vertex(self, theta: float, z: float, r: float) -> int:
        self._vertices.append((r * math.cos(theta), r * math.sin(theta), z))
        return len(self._vertices) - 1

    def _point(self, p: Point, factor: float) -> int:
        found = self._points.get(p.id)
        if found is None:
            found = self._points[p.id] = self._vertex(p.theta, p.z, p.r * factor)
        return found

    def _ring(self, joint: int) -> Ring:
        """The ring between faces ``joint`` − 1 and ``joint``."""
        joint = self._joint(joint)
        if joint not in self._rings:
            faces = self._profile.faces
            end = faces[joint] if joint < len(faces) else faces[-1]
            z, r = (end.z0, end.r0) if joint < len(faces) else (end.z1, end.r1)
            radius, count = r * mean_factor(self._count), self._count if r else 1
            angles = [math.tau * k / count for k in range(count)]
            self._rings[joint] = [(t, self._vertex(t, z, radius)) for t in angles]
        return self._rings[joint]

    def _fan(self, polygon: list[Point], factor: float, keep: bool) -> None:
        corners = [self._point(p, factor) for p in polygon]
        if not keep:
            corners.reverse()
        self._triangles += [(corners[0], a, b) for a, b in pairwise(corners[1:])]

    def _thread(self, zone: Zone, cut: Cuts) -> None:
        factor = mean_factor(cut.per_turn)
        for strip in range(zone.strips):
            for polygon in strip_polygons(zone, cut, strip):
                self._fan(polygon, factor, zone.form.external)

    def _thread_end(self, zone: Zone, cut: Cuts, end: int) -> Ring:
        """Mesh the end face where the ridges stand on it, or the grooves run out; the ring at the
        root, or the crest, remains."""
        factor = mean_factor(cut.per_turn)
        if zone.ends[end].fades:
            for start in range(zone.form.starts):
                for polygon in run_out(zone, cut, end, start):
                    # A cone that widens along the axis: counter-clockwise in (θ, r) looks outwards.
                    outwards = (_area(polygon) > 0) == (zone.ends[end].slope > 0)
                    self._fan(polygon, factor, outwards == zone.form.external)
            points = rim(zone, cut, end)[:-1]
            return sorted((p.theta % math.tau, self._point(p, factor)) for p in points)
        level: list[Point] = []
        z, r = zone.ends[end].z_at(zone.root), zone.root
        for start in range(zone.form.starts):
            first = 4 * start
            sides = [end_line(zone, cut, end, first + k) for k in range(4)]
            a, b = sides[0][0], sides[2][-1]
            base = [
                Point(("base", zone.face, end, start, k), cut.at(k), z, r)
                for k in cut.between(b.theta, a.theta)
            ]
            outline = [*sides[0], *sides[1][1:], *sides[2][1:], *base]
            for polygon in split(outline, cut):
                # Counter-clockwise in (θ, r) looks down the axis.
                self._fan(polygon, factor, (_area(polygon) > 0) == (end == 0))
            level += [a, *base, *sides[3][:-1]]
        return sorted((p.theta % math.tau, self._point(p, factor)) for p in level)

    def _band(self, entry: Ring, leave: Ring) -> None:
        """The turned face between two rings."""
        a = [*entry, (entry[0][0] + math.tau, entry[0][1])] if len(entry) > 1 else entry
        b = [*leave, (leave[0][0] + math.tau, leave[0][1])] if len(leave) > 1 else leave
        i = j = 0
        while i < len(a) - 1 or j < len(b) - 1:
            if j == len(b) - 1 or (i < len(a) - 1 and a[i + 1][0] <= b[j + 1][0]):
                self._triangles.append((a[i][1], a[i + 1][1], b[j][1]))
                i += 1
            else:
                self._triangles.append((a[i][1], b[j + 1][1], b[j][1]))
                j += 1


def _area(polygon: list[Point]) -> float:
    """Twice the signed area in (θ, r)."""
    return sum(
        p.theta * q.r - q.theta * p.r
        for p, q in zip(polygon, [*polygon[1:], polygon[0]], strict=True)
    )


def _cut_flats(mesh: Mesh, profile: Profile) -> Mesh:
    """Cut two flats, normal to X."""
    import manifold3d

    low, high, half = flat_bounds(profile)
    far = 2 + float(np.abs(mesh.vertices[:, :2]).max())
    body = manifold3d.Manifold(manifold3d.Mesh64(mesh.vertices, mesh.triangles.astype(np.uint64)))
    box = manifold3d.Manifold.cube((far, 2 * far, high - low))
    for x in (half, -half - far):
        body = body - box.translate((x, -far, low))
    if body.is_empty() or body.status() != manifold3d.Error.NoError:
        raise ValueError(f"the spanner flats, {2 * half:g} mm across, cannot be cut")
    out = body.to_mesh64()
    return Mesh(
        np.asarray(out.vert_properties, dtype=np.float64)[:, :3],
        np.asarray(out.tri_verts, dtype=np.int64),
    )
