"""A small shaded picture of the part: filled shapes and lines, seen from the nose's side.

The viewer looks along the axis from in front of the nose, so what stands farther along it is never
behind what stands less far: stretches drawn in their own order hide one another as they must.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from typing import NamedTuple

from mandrelgen.model.mandrel import Flats, Mandrel, Stretch
from mandrelgen.paper.drawing.free_place import FreeSquares
from mandrelgen.paper.drawing.model import Fill, Item, Line, LineStyle, Mark, Point, Sheet, Text
from mandrelgen.paper.drawing.symbols import SMALL
from mandrelgen.paper.drawing.text_block import Block, block
from mandrelgen.paper.drawing.text_width import width_of

# The part lies along the picture, nose right, turned towards the viewer and tipped down: degrees.
TURN, TIP = 28.0, 22.0
# Where the light comes from: x right, y up, z towards the viewer.
LIGHT = (-0.35, 0.75, 0.56)
ROLE = "picture"
SAID = "Picture, not to scale"
# Widths tried, the largest first, and the least height with the line below, mm on paper.
WIDTHS, LOWEST = (70.0, 60.0, 50.0, 42.0, 35.0), 15.0
# It keeps so far from everything else, mm.
GAP = 4.0
# Lightness of what looks away from the light and into it: light enough for a copy, 0 is black.
DARK, BRIGHT = 0.5, 0.98
INSIDE = 0.72
# Pieces round a lateral surface and round a short one, so many that it looks round and not like
# hexagon bar; corners of a circle, steps along half a turn of thread.
BANDS, FEWER, CORNERS, STEPS = 16, 12, 36, 10
UNDER = 0.03
# A stretch shorter than this on paper, mm, has fewer pieces; thread lines stand no closer.
SHORT, CLOSEST = 1.0, 0.6
TOUCH = 1e-6

_S, _C = math.sin(math.radians(TURN)), math.cos(math.radians(TURN))
_SP, _CP = math.sin(math.radians(TIP)), math.cos(math.radians(TIP))
# The part's z, its y and its −x in the picture: right-handed, so that angles run with the thread.
AXIS = (_C, -_S * _SP, _S * _CP)
UP = (0.0, _CP, _SP)
NEAR = (-_S, -_C * _SP, _C * _CP)
# The side that looks at the viewer: how much of it, and its angle from the part's y.
_FACING, _AZIMUTH = math.hypot(UP[2], NEAR[2]), math.atan2(NEAR[2], UP[2])
_BRIGHT = math.hypot(*LIGHT)


def proportions(mandrel: Mandrel) -> tuple[float, float]:
    """Width and height of the picture at full size, mm."""
    x0, y0, x1, y1 = _extent(mandrel)
    return x1 - x0, y1 - y0


def part_picture(mandrel: Mandrel, wide: float) -> Block:
    """The picture ``wide`` mm wide with its line below, as one mark."""
    x0, y0, x1, _ = _extent(mandrel)
    items = tuple(_Painter(mandrel, wide / (x1 - x0)).items())
    f = wide / (x1 - x0)
    said = Text(((x0 + x1) / 2 * f - width_of(SAID, SMALL) / 2, y0 * f - 2.0 - SMALL), SAID, SMALL)
    return block([Mark(ROLE, "", (*items, said))])


def pictured(sheet: Sheet, mandrel: Mandrel) -> Sheet:
    """``sheet`` with the picture in the largest free place of it, or of the next; as it is where
    none is of a useful size: the picture moves nothing and makes nothing smaller."""
    sheets = list(sheet.sheets)
    for k, one in enumerate(sheets):
        views = [one.main] if one.main else []
        free = FreeSquares(one.frame, one.drawn, one.fields, GAP, views)
        wide, high = proportions(mandrel)
        for w in WIDTHS:
            h = w * high / wide
            at = free.place(w, h + SMALL + 2.0) if h + SMALL + 2.0 >= LOWEST else None
            if at is not None:
                sheets[k] = replace(one, drawn=(*one.drawn, *part_picture(mandrel, w).at(*at)))
                return replace(sheets[0], more=tuple(sheets[1:]))
    return sheet


def _extent(mandrel: Mandrel) -> tuple[float, float, float, float]:
    """The box round every circle of the outside, at full size."""
    across, high = math.sqrt(1 - AXIS[0] ** 2), math.sqrt(1 - AXIS[1] ** 2)
    ends = [(z, d / 2) for s in mandrel.outer for z, d in ((s.z0, s.d0), (s.z1, s.d1))]
    return (
        min(z * AXIS[0] - r * across for z, r in ends),
        min(z * AXIS[1] - r * high for z, r in ends),
        max(z * AXIS[0] + r * across for z, r in ends),
        max(z * AXIS[1] + r * high for z, r in ends),
    )


class _Piece(NamedTuple):
    """A lateral surface between two sections: z and radius at both, ``half`` the distance of flats
    from the axis there (infinite: none)."""

    z0: float
    r0: float
    z1: float
    r1: float
    half: float = math.inf

    def radius(self, r: float, angle: float) -> float:
        """How far the section reaches at ``angle``; flats look along the part's x."""
        side = abs(math.sin(angle))
        return r if r * side <= self.half else self.half / side

    def visible(self, inside: bool) -> tuple[float, float]:
        """Middle and half width, radians, of the angles that look at the viewer; half width ≤ 0:
        none."""
        along, out = self.r0 - self.r1, self.z1 - self.z0
        # A wall of a bore looks at the axis, so its far side is seen.
        facing = (along if not inside else -along) * AXIS[2]
        middle = _AZIMUTH + (math.pi if inside else 0.0)
        if out * _FACING <= abs(facing):
            return middle, math.pi if facing > 0 else 0.0
        return middle, math.acos(-facing / (out * _FACING))


class _Painter:
    """The picture's items at ``f``, the farthest first."""

    def __init__(self, mandrel: Mandrel, f: float) -> None:
        self.mandrel, self.f = mandrel, f

    def items(self) -> Iterator[Item]:
        """Outside, then what the mouth of a bore shows."""
        flats = self.mandrel.flats
        every = [(p, s) for s in self.mandrel.outer for p in _split(s, flats)]
        following = [p for p, _ in every[1:]]
        for (piece, stretch), after in zip(every, (*following, None), strict=True):
            stepped = after is None or _steps_down(piece, after)
            yield from self._round(piece, edged=not stepped)
            if stretch.thread is not None:
                for points in self._helix(stretch, piece, inside=False):
                    yield Line(points, LineStyle.PICTURE)
            if stepped:
                yield from self._plane(piece)
        yield from self._bore()

    def _at(self, z: float, r: float, angle: float) -> Point:
        u, v = r * math.cos(angle), r * math.sin(angle)
        return (
            (z * AXIS[0] + u * UP[0] + v * NEAR[0]) * self.f,
            (z * AXIS[1] + u * UP[1] + v * NEAR[1]) * self.f,
        )

    def _ring(self, piece: _Piece, z: float, r: float) -> tuple[Point, ...]:
        turns = (math.tau * i / CORNERS for i in range(CORNERS))
        return tuple(self._at(z, piece.radius(r, a), a) for a in turns)

    def _edge(self, piece: _Piece, end: int, angles: list[float]) -> list[Point]:
        """Points on the rear (0) or front (1) edge of ``piece``."""
        z, r = ((piece.z0, piece.r0), (piece.z1, piece.r1))[end]
        return [self._at(z, piece.radius(r, a), a) for a in angles]

    def _plane(self, piece: _Piece) -> Iterator[Item]:
        """The plane at the front of ``piece``, whole: what stands before it covers its middle."""
        ring = self._ring(piece, piece.z1, piece.r1)
        yield Fill(ring, LineStyle.PICTURE, _shade(0.0, 0.0, 1.0))
        yield Line(ring, LineStyle.PICTURE, closed=True)

    def _round(self, piece: _Piece, edged: bool) -> Iterator[Item]:
        """A lateral surface as strips, with the lines at its sides and, if it is to be ``edged``,
        its front."""
        middle, reach = piece.visible(inside=False)
        if reach <= 0.0 or piece.z1 - piece.z0 < TOUCH:
            return
        long = math.hypot(piece.z1 - piece.z0, piece.r1 - piece.r0)
        slope, out = (piece.r0 - piece.r1) / long, (piece.z1 - piece.z0) / long
        angles = _angles(piece, middle, reach, BANDS if long * self.f > SHORT else FEWER)
        # Each strip reaches a little under the next, so that no paper shows between them.
        over = [*[a + UNDER for a in angles[1:-1]], angles[-1]]
        rear, front = self._edge(piece, 0, angles), self._edge(piece, 1, angles)
        rear_over, front_over = self._edge(piece, 0, over), self._edge(piece, 1, over)
        for i, (a, b) in enumerate(pairwise(angles)):
            m = (a + b) / 2
            # A strip of a flat looks where the flat does.
            looks = m if piece.radius(piece.r0, m) == piece.r0 else math.copysign(math.pi / 2, m)
            grey = _shade(out * math.cos(looks), out * math.sin(looks), slope)
            strip = (rear[i], rear_over[i], front_over[i], front[i])
            yield Fill(strip, LineStyle.PICTURE, grey)
        if reach < math.pi and long * self.f > SHORT:
            yield Line((rear[0], front[0]), LineStyle.PICTURE)
            yield Line((rear[-1], front[-1]), LineStyle.PICTURE)
        if edged:
            yield Line(tuple(front), LineStyle.PICTURE)

    def _helix(self, stretch: Stretch, piece: _Piece, inside: bool) -> Iterator[tuple[Point, ...]]:
        """The crests on the side that is seen, in their own hand and lead; where they would stand
        closer than lines may, every second or third of them."""
        form = stretch.thread
        assert form is not None
        middle, reach = piece.visible(inside)
        apart = form.pitch * max(1, math.ceil(CLOSEST / (form.pitch * self.f)))
        rise = form.lead / math.tau * (-1 if form.left_hand else 1)
        first = piece.z0 - abs(rise) * reach
        for n in range(math.ceil((piece.z1 - first) / apart) + 1):
            z = first + n * apart
            turns = [reach * (2 * i / STEPS - 1) for i in range(STEPS + 1)]
            on = [(z + rise * t, t) for t in turns if piece.z0 <= z + rise * t <= piece.z1]
            if len(on) > 1:
                yield tuple(self._at(h, piece.r0, middle + t) for h, t in on)

    def _bore(self) -> Iterator[Item]:
        """The mouth of a bore that opens at the front, and as much of its far wall as it shows."""
        bore = _front_bore(self.mandrel)
        if not bore:
            return
        front = bore[-1]
        mouth = self._ring(_Piece(front.z0, front.d0 / 2, front.z1, front.d1 / 2),
                           front.z1, front.d1 / 2)  # fmt: skip
        yield Fill(mouth, LineStyle.PICTURE, INSIDE * DARK)
        for stretch in bore:
            yield from self._wall(stretch, mouth)
        yield Line(mouth, LineStyle.PICTURE, closed=True)

    def _wall(self, stretch: Stretch, mouth: tuple[Point, ...]) -> Iterator[Item]:
        """The far wall of a stretch of a bore inside ``mouth``."""
        piece = _Piece(stretch.z0, stretch.d0 / 2, stretch.z1, stretch.d1 / 2)
        middle, reach = piece.visible(inside=True)
        if reach <= 0.0 or piece.z1 - piece.z0 < TOUCH:
            return
        long = math.hypot(piece.z1 - piece.z0, piece.r1 - piece.r0)
        slope, out = (piece.r1 - piece.r0) / long, (piece.z1 - piece.z0) / long
        angles = [middle + reach * (2 * i / BANDS - 1) for i in range(BANDS + 1)]
        for a, b in pairwise(angles):
            m = (a + b) / 2
            grey = INSIDE * _shade(-out * math.cos(m), -out * math.sin(m), slope)
            rear, front = self._edge(piece, 0, [a, b]), self._edge(piece, 1, [b, a])
            if len(shown := _clipped((*rear, *front), mouth)) > 2:
                yield Fill(shown, LineStyle.PICTURE, grey)
        if stretch.thread is not None:
            for line in self._helix(stretch, piece, True):
                within = tuple(p for p in line if _within(p, mouth))
                if len(within) > 1:
                    yield Line(within, LineStyle.PICTURE)


def _split(stretch: Stretch, flats: Flats | None) -> Iterator[_Piece]:
    """The stretch in one piece, or parted where flats begin and end."""

    def radius(z: float) -> float:
        share = (z - stretch.z0) / (stretch.z1 - stretch.z0)
        return (stretch.d0 + (stretch.d1 - stretch.d0) * share) / 2

    if stretch.z1 - stretch.z0 < TOUCH:
        return
    cuts = [stretch.z0, stretch.z1]
    if flats is not None:
        cuts[1:1] = [z for z in (flats.z0, flats.z1) if stretch.z0 + TOUCH < z < stretch.z1 - TOUCH]
    for a, b in pairwise(cuts):
        flat = flats is not None and flats.z0 - TOUCH < a and b < flats.z1 + TOUCH
        half = flats.across / 2 if flats is not None and flat else math.inf
        yield _Piece(z0=a, r0=radius(a), z1=b, r1=radius(b), half=half)


def _steps_down(before: _Piece, after: _Piece) -> bool:
    """A plane looks at the viewer between the two."""
    return before.r1 > after.r0 + TOUCH or after.half < min(before.half, before.r1)


def _angles(piece: _Piece, middle: float, reach: float, bands: int) -> list[float]:
    """Where the strips of a surface end, from one edge of what is seen to the other, the edges of
    flats among them."""
    found = {middle + reach * (2 * i / bands - 1) for i in range(bands + 1)}
    if piece.half < max(piece.r0, piece.r1):
        edge = math.asin(piece.half / max(piece.r0, piece.r1))
        low, high = middle - reach, middle + reach
        found |= {a for a in (edge, math.pi - edge, -edge, edge - math.pi) if low < a < high}
    return sorted(found)


def _shade(up: float, near: float, along: float) -> float:
    """How light a surface is that looks this way: parts of a unit vector along y, −x and z."""
    looks = [up * UP[k] + near * NEAR[k] + along * AXIS[k] for k in range(3)]
    shine = max(0.0, sum(a * b for a, b in zip(looks, LIGHT, strict=True)) / _BRIGHT)
    return round(DARK + (BRIGHT - DARK) * shine, 2)


def _front_bore(mandrel: Mandrel) -> list[Stretch]:
    """The stretches of the bore that opens at the front, the deepest first."""
    found: list[Stretch] = []
    z = mandrel.outer[-1].z1
    for s in sorted(mandrel.inner, key=lambda s: -s.z1):
        if abs(s.z1 - z) < TOUCH:
            found.insert(0, s)
            z = s.z0
    return found


def _clipped(shape: tuple[Point, ...], mouth: tuple[Point, ...]) -> tuple[Point, ...]:
    """What of ``shape`` lies in the convex ``mouth``, cut off edge by edge."""
    points = list(shape)
    for a, b in pairwise((*mouth, mouth[0])):
        if not points:
            break
        sides = [_side(p, a, b) for p in points]
        kept: list[Point] = []
        for i, p in enumerate(points):
            q, s, t = points[i - 1], sides[i], sides[i - 1]
            if (s >= 0.0) != (t >= 0.0):
                k = t / (t - s)
                kept.append((q[0] + (p[0] - q[0]) * k, q[1] + (p[1] - q[1]) * k))
            if s >= 0.0:
                kept.append(p)
        points = kept
    return tuple(points)


def _within(p: Point, mouth: tuple[Point, ...]) -> bool:
    return all(_side(p, a, b) >= 0.0 for a, b in pairwise((*mouth, mouth[0])))


def _side(p: Point, a: Point, b: Point) -> float:
    """Above 0 left of the line from ``a`` to ``b``."""
    return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])
