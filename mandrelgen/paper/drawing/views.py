"""The mandrel seen from the side, as lines; x = z × f, y = r × f, mm on paper."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from mandrelgen.model.half_section import Profile, complete
from mandrelgen.model.mandrel import Mandrel, Stretch
from mandrelgen.paper.drawing.model import Drawn, Hatch, Item, Line, LineStyle, Point

TOUCH = 1e-6
# Crest and root lines keep this apart on paper (ISO 6410-1: twice the wide line, 0.7 at least).
ROOT_GAP = 1.0
HATCH_PITCH = 2.5
# A part section goes on this far behind the bottom of a bore, mm on paper.
BEHIND = 5.0


def bores(mandrel: Mandrel) -> list[list[Stretch]]:
    """The bores as rows of touching stretches, sorted by z."""
    rows: list[list[Stretch]] = []
    for s in sorted(mandrel.inner, key=lambda s: s.z0):
        if rows and abs(rows[-1][-1].z1 - s.z0) < TOUCH:
            rows[-1].append(s)
        else:
            rows.append([s])
    return rows


def centre_bores(mandrel: Mandrel) -> dict[str, list[Stretch]]:
    """The bores that are centre holes, by the end they open at (``rear``, ``nose``)."""
    ends = {"rear": mandrel.outer[0].z0, "nose": mandrel.outer[-1].z1}
    found = {}
    for hole in mandrel.centre_holes:
        for row in bores(mandrel):
            z = row[0].z0 if hole.at == "rear" else row[-1].z1
            mouth = row[0].d0 if hole.at == "rear" else row[-1].d1
            if (
                abs(z - ends.get(hole.at, math.inf)) < TOUCH
                and not any(s.thread for s in row)
                and mouth <= 1.7 * hole.mouth
            ):
                found[hole.at] = row
    return found


def hollows(mandrel: Mandrel) -> list[list[Stretch]]:
    """The bores that are no centre holes."""
    centres = list(centre_bores(mandrel).values())
    return [row for row in bores(mandrel) if row not in centres]


def cut_zones(mandrel: Mandrel, f: float) -> list[tuple[float, float]]:
    """The z ranges shown cut. Shafts are not cut lengthwise where they are solid (ISO 128-3), so a
    blind bore is shown in a part section that ends shortly behind its bottom; a through bore, or
    zones that would meet, give a full section."""
    z0, z1 = mandrel.outer[0].z0, mandrel.outer[-1].z1
    zones = []
    for row in hollows(mandrel):
        behind = BEHIND / f
        if abs(row[-1].z1 - z1) < TOUCH:
            end = _clear(mandrel, row[0].z0 - behind, -1.0, f)
            zones.append((_past_flats(mandrel, end, row[0].z0, f), z1))
        else:
            zones.append((z0, _clear(mandrel, row[-1].z1 + behind, 1.0, f)))
    solid = [(row[0].z0, row[-1].z1) for row in centre_bores(mandrel).values()]
    meet = any(a < d + 4 / f and c < b + 4 / f for a, b in zones for c, d in solid)
    meet = meet or (len(zones) > 1 and zones[0][0] < zones[1][1] and zones[1][0] < zones[0][1])
    if meet or any(a < z0 + 4 / f and b > z1 - 4 / f for a, b in zones):
        return [(z0, z1)]
    return zones


def _past_flats(mandrel: Mandrel, z: float, bottom: float, f: float) -> float:
    """``z``, moved towards the bore's ``bottom`` so that flats behind it are shown uncut."""
    flats = mandrel.flats
    if flats is None or not z - 1 / f < flats.z1 <= bottom:
        return z
    return max(z, min(flats.z1 + 1 / f, (flats.z1 + bottom) / 2))


def _clear(mandrel: Mandrel, z: float, away: float, f: float) -> float:
    """``z``, moved on until no edge of the outside is nearer than 1.5 mm on paper."""
    edges = [e for s in mandrel.outer for e in (s.z0, s.z1)]
    for _ in range(4):
        if all(abs(z - e) * f >= 1.5 for e in edges):
            break
        z += away * 2 / f
    return z


def radius_at(mandrel: Mandrel, z: float) -> float:
    """The largest outer radius at ``z``, mm (0 outside the part)."""
    r = 0.0
    for s in mandrel.outer:
        if s.z0 - TOUCH <= z <= s.z1 + TOUCH:
            t = (z - s.z0) / (s.z1 - s.z0) if s.z1 - s.z0 > TOUCH else 0.0
            r = max(r, (s.d0 + min(max(t, 0.0), 1.0) * (s.d1 - s.d0)) / 2)
    return r


def main_view(mandrel: Mandrel, profile: Profile, f: float) -> list[Drawn]:
    """The main view at ``f`` mm of paper for each mm: an outside view, cut where it is hollow, with
    the centre holes broken out."""
    zones = cut_zones(mandrel, f)
    drawn: list[Drawn] = []
    for zone in zones:
        drawn += _section(mandrel, profile, zone, f)
    if zones:
        drawn += _inside(mandrel, f)
    drawn += _edges(mandrel, zones, f)
    if mandrel.flats is not None and not _in_zone((mandrel.flats.z0 + mandrel.flats.z1) / 2, zones):
        drawn += _flats(mandrel, f)
    for end, row in centre_bores(mandrel).items():
        if not _in_zone((row[0].z0 + row[-1].z1) / 2, zones):
            drawn += _broken_out(mandrel, end, row, f)
    drawn += _generators(mandrel.outer, f, external=True)
    z0, z1 = mandrel.outer[0].z0, mandrel.outer[-1].z1
    drawn.append(Line(((z0 * f - 4, 0.0), (z1 * f + 4, 0.0)), LineStyle.CENTRE))
    return drawn


def _in_zone(z: float, zones: list[tuple[float, float]]) -> bool:
    return any(a - TOUCH <= z <= b + TOUCH for a, b in zones)


def _mirror(points: tuple[Point, ...]) -> tuple[Point, ...]:
    return tuple((x, -y) for x, y in points)


def _both(points: tuple[Point, ...], pen: LineStyle) -> list[Item]:
    return [Line(points, pen), Line(_mirror(points), pen)]


def _generators(row: tuple[Stretch, ...] | list[Stretch], f: float, external: bool) -> list[Drawn]:
    """Outlines on both sides, with crest and root lines of threads."""
    drawn: list[Drawn] = []
    for i, s in enumerate(row):
        drawn += _both(((s.z0 * f, s.d0 / 2 * f), (s.z1 * f, s.d1 / 2 * f)), LineStyle.OUTLINE)
        if i:
            before = row[i - 1]
            if abs(before.d1 - s.d0) > TOUCH:
                drawn += _both(
                    ((s.z0 * f, before.d1 / 2 * f), (s.z0 * f, s.d0 / 2 * f)), LineStyle.OUTLINE
                )
        if s.thread is None:
            continue
        crest = s.d0 / 2 * f
        true_root = s.thread.root_diameter / 2 * f
        root = min(true_root, crest - ROOT_GAP) if external else max(true_root, crest + ROOT_GAP)
        beside = _beside(row, i)
        full = complete(beside[0], s, beside[1])
        a = _reach(beside[0], full[0], root / f, ahead=False)
        b = _reach(beside[1], full[1], root / f, ahead=True)
        drawn += _both(((a * f, root), (b * f, root)), LineStyle.THREAD)
        for z, end in zip(full, (s.z0, s.z1), strict=True):
            if z != end:
                # The run-out, and the line that ends the complete thread (ISO 6410-1).
                drawn += _both(((z * f, root), (end * f, crest)), LineStyle.THREAD)
                drawn.append(Line(((z * f, -root), (z * f, root)), LineStyle.OUTLINE))
    return drawn


def _beside(row: Sequence[Stretch], i: int) -> tuple[Stretch | None, Stretch | None]:
    """The neighbours of a stretch in its row."""
    return row[i - 1] if i else None, row[i + 1] if i + 1 < len(row) else None


def _reach(cone: Stretch | None, z: float, r: float, ahead: bool) -> float:
    """How far the root line runs into a neighbouring cone."""
    if cone is None or abs(cone.d1 - cone.d0) < TOUCH:
        return z
    t = (2 * r - cone.d0) / (cone.d1 - cone.d0)
    if not 0.0 <= t <= 1.0:
        return z
    at = cone.z0 + t * (cone.z1 - cone.z0)
    return max(at, z) if ahead else min(at, z)


def _edges(mandrel: Mandrel, zones: list[tuple[float, float]], f: float) -> list[Drawn]:
    """Visible edges across the outside view. Where one diameter goes on with another tolerance, a
    narrow line parts the two (ISO 129-1)."""
    outer = mandrel.outer
    drawn: list[Drawn] = []
    zs = [(outer[0].z0, outer[0].d0, LineStyle.OUTLINE)]
    for a, b in itertools.pairwise(outer):
        pen = LineStyle.OUTLINE if _corner(a, b) else LineStyle.NARROW
        zs.append((b.z0, max(a.d1, b.d0), pen))
    zs.append((outer[-1].z1, outer[-1].d1, LineStyle.OUTLINE))
    for z, d, pen in zs:
        if pen is not LineStyle.NARROW and _in_zone(z, zones):
            continue
        r, cut = d / 2 * f, _cut_open(mandrel, z, f)
        if cut >= r:
            continue
        if cut > 0.0:
            # An edge ends where the part is broken open.
            drawn += _both(((z * f, cut), (z * f, r)), pen)
        else:
            drawn.append(Line(((z * f, -r), (z * f, r)), pen))
    return drawn


def _cut_open(mandrel: Mandrel, z: float, f: float) -> float:
    """How far from the axis the local section round a centre hole reaches at ``z``, mm on paper; 0
    outside it and on the end face, which is seen round the hole's mouth."""
    for end, row in centre_bores(mandrel).items():
        rear = end == "rear"
        face = mandrel.outer[0].z0 if rear else mandrel.outer[-1].z1
        half, deep = _opening(mandrel, rear, row, f)
        inwards = abs(z - face) * f
        if TOUCH < inwards < deep:
            return float(half * (1 - inwards / deep) ** 0.25)
    return 0.0


def _opening(mandrel: Mandrel, rear: bool, row: list[Stretch], f: float) -> tuple[float, float]:
    """Half height and depth of the local section round a centre hole, mm on paper."""
    face = (mandrel.outer[0].d0 if rear else mandrel.outer[-1].d1) / 2 * f
    mouth = (row[0].d0 if rear else row[-1].d1) / 2 * f
    return min(mouth + 2.5, (mouth + face) / 2), (row[-1].z1 - row[0].z0) * f + 2.5


def _corner(a: Stretch, b: Stretch) -> bool:
    slope_a = (a.d1 - a.d0) / max(a.z1 - a.z0, TOUCH)
    slope_b = (b.d1 - b.d0) / max(b.z1 - b.z0, TOUCH)
    return abs(a.d1 - b.d0) > TOUCH or abs(slope_a - slope_b) > 1e-6


def _section(
    mandrel: Mandrel, profile: Profile, zone: tuple[float, float], f: float
) -> list[Drawn]:
    """The material hatched between the two ends of ``zone``, with the faces across the axis and a
    narrow wavy line where the cut ends inside the part."""
    a, b = zone
    upper = _outline_between(mandrel, a, b, f)
    left, right = _wave(mandrel, a, 1.0, f), _wave(mandrel, b, -1.0, f)
    ring = (*left, *upper, *right, *reversed(_mirror(upper)))
    loops = [ring]
    for row in bores(mandrel):
        if _in_zone((row[0].z0 + row[-1].z1) / 2, [zone]):
            hole = _points(row, f)
            loops.append((*hole, *reversed(_mirror(hole))))
    drawn: list[Drawn] = [Hatch(tuple(loops), HATCH_PITCH)]
    for wave in (left, right):
        if wave:
            drawn.append(Line(wave, LineStyle.NARROW))
    for face in profile.faces:
        if face.kind == "plane" and _in_zone(face.z0, [zone]):
            drawn += _both(
                ((face.z0 * f, face.r0 * f), (face.z1 * f, face.r1 * f)), LineStyle.OUTLINE
            )
    return drawn


def _points(row: Sequence[Stretch], f: float) -> tuple[Point, ...]:
    return tuple(p for s in row for p in ((s.z0 * f, s.d0 / 2 * f), (s.z1 * f, s.d1 / 2 * f)))


def _outline_between(mandrel: Mandrel, a: float, b: float, f: float) -> tuple[Point, ...]:
    """The upper outline from ``a`` to ``b``; each lies at an end or inside a stretch."""
    points: list[Point] = [(a * f, radius_at(mandrel, a) * f)] if a > mandrel.outer[0].z0 else []
    points += [p for p in _points(mandrel.outer, f) if a * f - TOUCH <= p[0] <= b * f + TOUCH]
    return (*points, (b * f, radius_at(mandrel, b) * f)) if b < mandrel.outer[-1].z1 else (*points,)


def _wave(mandrel: Mandrel, z: float, up: float, f: float) -> tuple[Point, ...]:
    """A hand-drawn line across the part at ``z``, bottom to top for ``up`` = 1; none at an end."""
    if not mandrel.outer[0].z0 + TOUCH < z < mandrel.outer[-1].z1 - TOUCH:
        return ()
    r = radius_at(mandrel, z) * f
    n = max(8, round(2 * r))
    steps = [-1.0 + 2.0 * i / n for i in range(n + 1)]

    # Beside flats the line keeps clear of their edge.
    room = abs(z - mandrel.flats.z1) * f if mandrel.flats is not None else math.inf
    much = min(1.0, room / 1.2)

    def sway(t: float) -> float:
        return much * (0.5 * math.sin(r * t * 0.9 + 0.6) + 0.3 * math.sin(r * t * 2.1)) * (1 - t**6)

    wave = tuple((z * f + sway(t), t * r) for t in steps)
    return wave if up > 0 else tuple(reversed(wave))


def _inside(mandrel: Mandrel, f: float) -> list[Drawn]:
    """Bores in section: generators, threads, and the edges seen behind the cut."""
    drawn: list[Drawn] = []
    zones = cut_zones(mandrel, f)
    for row in bores(mandrel):
        if not _in_zone((row[0].z0 + row[-1].z1) / 2, zones):
            continue
        drawn += _generators(row, f, external=False)
        zs = [(row[0].z0, row[0].d0)]
        # Where a thread has run out there is no edge.
        zs += [
            (b.z0, min(a.d1, b.d0) if a.d1 != b.d0 else a.d1)
            for a, b in itertools.pairwise(row)
            if not _fades(a, b)
        ]
        zs.append((row[-1].z1, row[-1].d1))
        for z, d in zs:
            if d > TOUCH:
                drawn.append(Line(((z * f, -d / 2 * f), (z * f, d / 2 * f)), LineStyle.OUTLINE))
    return drawn


def _fades(a: Stretch, b: Stretch) -> bool:
    """True if the thread of one of two neighbours runs out where they meet."""
    return (b.thread is not None and complete(a, b, None)[0] != b.z0) or (
        a.thread is not None and complete(None, a, b)[1] != a.z1
    )


def _flats(mandrel: Mandrel, f: float) -> list[Drawn]:
    """Spanner flats seen face on, with the narrow diagonals that say "flat"."""
    flats = mandrel.flats
    if flats is None:
        return []
    r = radius_at(mandrel, (flats.z0 + flats.z1) / 2)
    if flats.across >= 2 * r:
        return []
    h = math.sqrt(r * r - flats.across**2 / 4) * f
    a, b = flats.z0 * f, flats.z1 * f
    return [
        Line(((a, -h), (b, -h), (b, h), (a, h)), LineStyle.OUTLINE, closed=True),
        Line(((a, -h), (b, h)), LineStyle.NARROW),
        Line(((a, h), (b, -h)), LineStyle.NARROW),
    ]


def _broken_out(mandrel: Mandrel, end: str, row: list[Stretch], f: float) -> list[Drawn]:
    """A local section round a centre hole, bounded by a narrow wavy line."""
    rear = end == "rear"
    sign = 1.0 if rear else -1.0
    z_end = mandrel.outer[0].z0 if rear else mandrel.outer[-1].z1
    half, deep = _opening(mandrel, rear, row, f)
    hole = [(s.z0 * f, s.d0 / 2 * f) for s in row] + [(row[-1].z1 * f, row[-1].d1 / 2 * f)]
    x0 = z_end * f
    wave = []
    for i in range(33):
        t = -1.0 + i / 16
        # A flattened dome with a gentle wave: leaves the face, goes round the hole, comes back.
        x = deep * (1 - abs(t) ** 4) + 0.35 * math.sin(9 * t) * (1 - t * t)
        wave.append((x0 + sign * x, half * t))
    ring = (*hole, *_mirror(tuple(reversed(hole))))
    drawn: list[Drawn] = [
        Hatch((tuple(wave), ring), HATCH_PITCH),
        Line(tuple(wave), LineStyle.NARROW),
    ]
    for s in row:
        drawn += _both(((s.z0 * f, s.d0 / 2 * f), (s.z1 * f, s.d1 / 2 * f)), LineStyle.OUTLINE)
    for a, b in itertools.pairwise(row):
        d = min(a.d1, b.d0) if abs(a.d1 - b.d0) > TOUCH else a.d1
        if d > TOUCH:
            drawn.append(Line(((b.z0 * f, -d / 2 * f), (b.z0 * f, d / 2 * f)), LineStyle.OUTLINE))
    return drawn
