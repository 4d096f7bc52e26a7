"""Thread zones unrolled: in (θ, z, r) every face is a plane polygon and every edge a straight line.

The surface of a trapezoid thread is r = f(ξ) with ξ = z − p·θ, p = ±Ph/2π. Each start gives four
strips (flank, crest, flank, root) between boundaries of constant ξ and r; a strip ends where the
cones or planes beside the thread cut it. So each corner is known exactly and nothing has to be
intersected. Strips are cut at equal steps of θ ("bands"): solid and mesh realise the same polygons.

A tap's lead leaves its grooves running out on a cone that falls from the root to the crest, where
the crest's cylinder runs on (a "fading" end). The corners are found the same way; only there the
cone closes the grooves, and elsewhere the ridges.

Angles here are radians, lengths mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

from mandrelgen.core.frozen import dataclass
from mandrelgen.model.half_section import Profile, ProfileFace
from mandrelgen.model.mandrel import ThreadForm

# An end face must pass the root by this much, so that strips end on one face only (mm).
MARGIN = 0.05
# Shortest thread at its crest that is still modelled (mm).
SHORTEST = 0.05

# Which corner or cut a point is: shared points have equal ids, whichever strip names them.
PointId = tuple[str, int, int, int, int]


@dataclass(frozen=True, slots=True)
class Point:
    """A point of an unrolled polygon."""

    id: PointId
    theta: float
    z: float
    r: float


class EndFace(NamedTuple):
    """The cone (or plane, slope 0) beside a thread: z = z_crest + slope · (r − r_crest); ``fades``:
    it closes the grooves, not the ridges."""

    z: float
    r: float
    slope: float
    fades: bool = False

    def z_at(self, r: float) -> float:
        """z of the generator at radius ``r``, mm."""
        return self.z + self.slope * (r - self.r)


@dataclass(frozen=True, slots=True)
class Zone:
    """The thread on face number ``face`` of a profile: ``ends`` are the faces at its lower and
    higher z; boundary 0 has ξ = ``phase``."""

    face: int
    form: ThreadForm
    ends: tuple[EndFace, EndFace]
    phase: float = 0.0

    @property
    def crest(self) -> float:
        """Crest radius, mm."""
        return self.form.crest_diameter / 2

    @property
    def root(self) -> float:
        """Root radius, mm."""
        return self.form.root_diameter / 2

    @property
    def slope(self) -> float:
        """dz/dθ of the helix, mm per radian; negative for a left-hand thread."""
        return (-1 if self.form.left_hand else 1) * self.form.lead / math.tau

    @property
    def strips(self) -> int:
        """Number of strips: flank, crest, flank, root of each start in turn."""
        return 4 * self.form.starts

    @property
    def complete(self) -> tuple[float, float]:
        """Between which z the thread is complete, from root to crest."""
        low, high = ([e.z_at(r) for r in (self.crest, self.root)] for e in self.ends)
        return max(low), min(high)

    def boundary(self, i: int) -> tuple[float, float]:
        """(ξ, r) of boundary ``i``; strip i lies between boundaries i and i + 1."""
        form = self.form
        flank = (form.pitch - form.crest_flat - form.root_flat) / 2
        start, k = divmod(i, 4)
        offset = (0.0, flank, flank + form.crest_flat, 2 * flank + form.crest_flat)[k]
        return self.phase + start * form.pitch + offset, self.crest if k in (1, 2) else self.root

    def corner(self, end: int, i: int) -> Point:
        """Where boundary ``i`` meets the end face ``end`` (0 at lower z, 1 at higher z)."""
        xi, r = self.boundary(i)
        z = self.ends[end].z_at(r)
        return Point(("corner", self.face, end, i % self.strips, 0), (z - xi) / self.slope, z, r)

    def seam(self, end: int) -> Point:
        """The corner where the seam of what lies beside end face ``end`` begins: on the circle
        that the two share."""
        return self.corner(end, 1 if self.ends[end].fades else 0)

    def with_seam(self, end: int, theta: float) -> Zone:
        """The same thread turned so that its seam at end face ``end`` lies at ``theta``."""
        return replace(self, phase=self.phase + self.slope * (self.seam(end).theta - theta))


class Cuts(NamedTuple):
    """Lines θ = first + k · 2π/per_turn at which strips are cut."""

    first: float
    per_turn: int

    @property
    def step(self) -> float:
        """Distance of two lines, radians."""
        return math.tau / self.per_turn

    def at(self, k: int) -> float:
        """θ of line ``k``."""
        return self.first + k * self.step

    def band(self, theta: float) -> int:
        """The band that holds ``theta``: between lines k and k + 1."""
        return math.floor((theta - self.first) / self.step)

    def between(self, a: float, b: float) -> list[int]:
        """Lines strictly between ``a`` and ``b``, in that order."""
        if a <= b:
            return list(range(self.band(a) + 1, math.ceil((b - self.first) / self.step)))
        return self.between(b, a)[::-1]


def cuts(zone: Zone, per_turn: int) -> Cuts:
    """Cutting lines that keep as far as they can from every corner: no slivers."""
    step = math.tau / per_turn
    marks = sorted(zone.corner(end, i).theta % step for end in (0, 1) for i in range(zone.strips))
    gaps = [(b - a, (a + b) / 2) for a, b in zip(marks, [*marks[1:], marks[0] + step], strict=True)]
    return Cuts(max(gaps)[1], per_turn)


def end_line(zone: Zone, cut: Cuts, end: int, strip: int) -> list[Point]:
    """The points where ``strip`` stops at end face ``end``, boundary i to boundary i + 1."""
    a, b = zone.corner(end, strip), zone.corner(end, strip + 1)
    line = [a]
    for k in cut.between(a.theta, b.theta):
        t = (cut.at(k) - a.theta) / (b.theta - a.theta)
        r = a.r + t * (b.r - a.r)
        z = a.z + t * (b.z - a.z)
        line.append(Point(("end", zone.face, end, strip, k), cut.at(k), z, r))
    return [*line, b]


def helix(zone: Zone, cut: Cuts, i: int) -> list[Point]:
    """The points of boundary ``i`` by rising θ."""
    ends = sorted((zone.corner(0, i), zone.corner(1, i)), key=lambda p: p.theta)
    xi, r = zone.boundary(i)
    turns = round(math.copysign(cut.per_turn, zone.slope)) * (i // zone.strips)
    inner = [
        Point(
            ("helix", zone.face, i % zone.strips, k + turns, 0),
            cut.at(k),
            xi + zone.slope * cut.at(k),
            r,
        )
        for k in cut.between(ends[0].theta, ends[1].theta)
    ]
    return [ends[0], *inner, ends[1]]


def strip_polygons(zone: Zone, cut: Cuts, strip: int) -> Iterator[list[Point]]:
    """The polygons of one strip, counter-clockwise in (θ, ξ)."""
    first, last = (0, 1) if zone.slope > 0 else (1, 0)
    outline = helix(zone, cut, strip)
    outline += end_line(zone, cut, last, strip)[1:]
    outline += helix(zone, cut, strip + 1)[-2::-1]
    outline += end_line(zone, cut, first, strip)[-2:0:-1]
    return split(outline, cut)


def split(outline: list[Point], cut: Cuts) -> Iterator[list[Point]]:
    """Cut a convex outline, whose sides already end at every line they cross, into its bands."""
    bands: dict[int, list[Point]] = {}
    for a, b in zip(outline, [*outline[1:], outline[0]], strict=True):
        polygon = bands.setdefault(cut.band((a.theta + b.theta) / 2), [])
        if not polygon or polygon[-1].id != a.id:
            polygon.append(a)
        polygon.append(b)
    for polygon in bands.values():
        yield polygon[:-1] if polygon[0].id == polygon[-1].id else polygon


def rim(zone: Zone, cut: Cuts, end: int) -> list[Point]:
    """The thread's end on its end face, once round by rising θ, from its seam to its seam."""
    points = [zone.seam(end)]
    if zone.ends[end].fades:
        for start in range(zone.form.starts):
            points += end_line(zone, cut, end, 4 * start + 1)[1:]
            points += foot(zone, cut, end, start)[1:]
    else:
        for strip in range(zone.strips):
            points += end_line(zone, cut, end, strip)[1:]
    return points[::-1] if zone.slope > 0 else points


def foot(zone: Zone, cut: Cuts, end: int, start: int) -> list[Point]:
    """Where the groove behind the crest of ``start`` has run out at a fading end: on the crest's
    circle, from that crest to the next."""
    a, b = zone.corner(end, 4 * start + 2), zone.corner(end, 4 * start + 5)
    name = ("foot", zone.face, end, start)
    inner = [Point((*name, k), cut.at(k), a.z, a.r) for k in cut.between(a.theta, b.theta)]
    return [a, *inner, b]


def run_out(zone: Zone, cut: Cuts, end: int, start: int) -> Iterator[list[Point]]:
    """The polygons of the cone on which that groove runs out, convex in (θ, r)."""
    outline: list[Point] = []
    for strip in range(4 * start + 2, 4 * start + 5):
        # Behind the last start comes the first again, a turn on.
        turn = math.copysign(math.tau, -zone.slope) * (strip // zone.strips)
        line = end_line(zone, cut, end, strip % zone.strips)
        outline += [replace(p, theta=p.theta + turn) for p in line][bool(outline) :]
    return split([*outline, *foot(zone, cut, end, start)[-2:0:-1]], cut)


@dataclass(frozen=True, slots=True)
class Unrolled:
    """The zones of a profile by face index, and where each face's seam lies (θ, radians)."""

    zones: dict[int, Zone]
    seams: tuple[float, ...]


def unroll(profile: Profile) -> Unrolled:
    """Find the zones and turn each so that the seam runs on along the chain.

    A plane needs no seam, so the count starts anew at θ = 0 there. Raises ValueError if a thread
    cannot be modelled; the message names the feature and the reason.
    """
    faces, count = profile.faces, len(profile.faces)
    start = 0
    if profile.closed:
        planes = [i for i, f in enumerate(faces) if f.kind == "plane"]
        if not planes:
            raise ValueError("a part with a through bore needs a flat face at one end at least")
        start = planes[0]
    zones: dict[int, Zone] = {}
    seams = [0.0] * count
    seam = 0.0
    for i in (*range(start, count), *range(start)):
        face = faces[i]
        if face.kind == "plane":
            seam = 0.0
        if face.thread is not None:
            entry = 0 if face.z0 < face.z1 else 1
            zone = _zone(i, faces[i - 1], face, faces[(i + 1) % count]).with_seam(entry, seam)
            seam = zone.seam(1 - entry).theta % math.tau
            zones[i] = zone
        seams[i] = seam
    return Unrolled(zones, tuple(seams))


def _zone(index: int, before: ProfileFace, face: ProfileFace, after: ProfileFace) -> Zone:
    form = face.thread
    assert form is not None
    crest, root = form.crest_diameter / 2, form.root_diameter / 2
    name = face.feature
    if face.kind != "cylinder" or abs(face.r0 - crest) > 1e-6:
        raise ValueError(f"{name}: a thread stands on a cylinder of its crest diameter")
    if form.external != (face.z1 > face.z0) or form.external != (root < crest):
        raise ValueError(
            f"{name}: an external thread's root lies below its crest, an internal thread's above"
        )
    if form.starts < 1 or form.crest_flat < 1e-3 or form.root_flat < 1e-3:
        raise ValueError(
            f"{name}: crest flat {form.crest_flat:.4f} mm and root flat {form.root_flat:.4f} mm; "
            "both must be 0.001 mm or more"
        )
    if abs(face.z1 - face.z0) < SHORTEST:
        raise ValueError(
            f"{name}: the thread is {abs(face.z1 - face.z0):.3f} mm long at its "
            f"crest; {SHORTEST} mm is the least"
        )
    low, high = (before, after) if form.external else (after, before)
    ends = tuple(
        _end(face, beside, side, beside is before) for side, beside in enumerate((low, high))
    )
    zone = Zone(index, form, (ends[0], ends[1]))
    if zone.ends[1].z_at(root) - zone.ends[0].z_at(root) < SHORTEST:
        raise ValueError(
            f"{name}: the thread is less than {SHORTEST} mm long at its root, it fades over "
            f"{form.fade:.3f} mm"
        )
    return zone


def _end(face: ProfileFace, beside: ProfileFace, side: int, before: bool) -> EndFace:
    """The end face of the thread on ``face`` at its lower z (``side`` 0) or higher one (1);
    ``beside``: the face there, which comes ``before`` the thread in the chain or behind it."""
    form = face.thread
    assert form is not None
    crest, root = form.crest_diameter / 2, form.root_diameter / 2
    # The end's own point beside the thread comes last in `before`, first in `after`.
    near, far = (beside.z0, beside.r0), (beside.z1, beside.r1)
    if before:
        near, far = far, near
    z, sign = (face.z0, face.z1)[side ^ (face.z0 > face.z1)], (-1, 1)[side]
    same = beside.kind == "cylinder" and abs(near[1] - crest) < 1e-6
    if same and beside.thread is None and form.fade > 0:
        return EndFace(z, crest, -sign * form.fade / (root - crest), fades=True)
    outward = 1 if form.external else -1
    if beside.thread is not None or outward * (root - far[1]) < MARGIN:
        raise ValueError(
            f"{face.feature}: the {beside.kind} beside the thread at z {near[0]:.3f} must pass the "
            f"root Ø{2 * root:.3f} by {MARGIN} mm on the radius; it ends at Ø{2 * far[1]:.3f}"
        )
    slope = (far[0] - near[0]) / (far[1] - near[1])
    if sign * (far[0] - near[0]) < -1e-9:
        raise ValueError(
            f"{face.feature}: the {beside.kind} at z {near[0]:.3f} leans over the thread"
        )
    return EndFace(z, crest, slope)


def flat_bounds(profile: Profile) -> tuple[float, float, float]:
    """(z low, z high, half the width across) of the spanner flats; a flat that reaches an end of
    the part is drawn out beyond it by 1 mm. Raises ValueError if it would cut into a thread."""
    flats = profile.flats
    if flats is None or flats.across <= 0 or flats.z1 <= flats.z0:
        raise ValueError("spanner flats need a width across and a length above 0")
    for face in profile.faces:
        low, high = sorted((face.z0, face.z1))
        if face.thread is not None and flats.z0 < high and low < flats.z1:
            raise ValueError(f"the spanner flats reach into {face.feature}")
    z_min = min(min(f.z0, f.z1) for f in profile.faces)
    z_max = max(max(f.z0, f.z1) for f in profile.faces)
    low = flats.z0 if flats.z0 > z_min + 1e-6 else z_min - 1
    high = flats.z1 if flats.z1 < z_max - 1e-6 else z_max + 1
    return low, high, flats.across / 2
