"""One part as a half section at nominal sizes, z from its nib side, mm.

The outside is drawn as the file says it. Where it does not, it keeps each end's diameter as deep as
that end's bore and runs straight between, as the walls are judged; a larger diameter of the part is
drawn half way along.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from mandrelgen.core.frozen import dataclass
from mandrelgen.design import ends, outside
from mandrelgen.mechanics.joint import drill_point
from mandrelgen.paper.pen_drawing.profile import Point, Slope, highest, slopes
from mandrelgen.spec.pen import Bottom, End, Part, Pen, Side
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.thread_spelling import read_thread
from mandrelgen.standards.threads import limits


@dataclass(frozen=True, slots=True)
class ThreadLine:
    """The narrow line of a thread: an external one's root, an internal one's groove, mm."""

    z0: float
    z1: float
    radius: float
    external: bool


@dataclass(frozen=True, slots=True)
class EndPlace:
    """Where an end is: ``face`` and ``shoulder`` (its face, where there is no tenon), mm;
    ``looks``: −1 towards the nib, +1 towards the tail."""

    face: float
    shoulder: float
    looks: int

    def deep(self, depth: float) -> float:
        """The place ``depth`` mm inside the face."""
        return self.face - self.looks * depth


@dataclass(frozen=True, slots=True)
class PartOutline:
    """``outer`` and ``inner`` run from 0 to ``length``; ``inner`` is 0 where the part is solid."""

    id: str
    name: str
    length: float
    outer: tuple[Point, ...]
    inner: tuple[Point, ...]
    threads: tuple[ThreadLine, ...]
    ends: Mapping[str, EndPlace]

    @property
    def material(self) -> tuple[Point, ...]:
        """The cut material above the axis, as a closed loop."""
        return (*self.outer, *reversed(self.inner))


def outlines(pen: Pen, shop: Shop) -> dict[str, PartOutline]:
    """Every part by its id. Raises as the standards do for a thread that is not held."""
    return {name: outline(name, part, shop) for name, part in pen.parts.items()}


def outline(name: str, part: Part, shop: Shop) -> PartOutline:
    """One part."""
    length = float(part.length)
    places = {n: _place(part, part.ends[n], looks) for n, looks in _sides(part).items()}
    inner: list[Slope] = []
    outer: list[Slope] = []
    threads: list[ThreadLine] = []
    depths: dict[str, float] = {}
    for n, end in part.ends.items():
        at = places[n]
        hollow, grooves, depths[n] = _inside(part, end, shop)
        inner += [_turned(s, at) for s in hollow]
        tenon, roots = _tenon(end)
        outer += [_turned(s, at) for s in tenon]
        threads += [_thread(z0, z1, r, at, False) for z0, z1, r in grooves]
        threads += [_thread(z0, z1, r, at, True) for z0, z1, r in roots]
    outer += _body(part, places, depths)
    return PartOutline(
        id=name,
        name=part.name or name,
        length=length,
        outer=highest(outer, 0.0, length),
        inner=highest(inner, 0.0, length),
        threads=tuple(threads),
        ends=places,
    )


def _sides(part: Part) -> dict[str, int]:
    """Which way each end looks: as said, else away from the other one, the first to the nib."""
    said = {n: -1 if e.side is Side.NIB else 1 for n, e in part.ends.items() if e.side is not None}
    out: dict[str, int] = {}
    for n in part.ends:
        free = [s for s in (-1, 1) if s not in {**said, **out}.values()]
        out[n] = said[n] if n in said else (free or [1])[0]
    return out


def _place(part: Part, end: End, looks: int) -> EndPlace:
    face = 0.0 if looks < 0 else float(part.length)
    tenon = float(end.external.length) if end.external is not None else 0.0
    return EndPlace(face, face - looks * min(tenon, float(part.length)), looks)


def _turned(s: Slope, at: EndPlace) -> Slope:
    """A stretch in depths from an end's face, along the part."""
    a, b = at.deep(s.z0), at.deep(s.z1)
    return Slope(a, b, s.r0, s.r1) if a < b else Slope(b, a, s.r1, s.r0)


def _thread(z0: float, z1: float, radius: float, at: EndPlace, external: bool) -> ThreadLine:
    a, b = sorted((at.deep(z0), at.deep(z1)))
    return ThreadLine(a, b, radius, external)


def _inside(
    part: Part, end: End, shop: Shop
) -> tuple[list[Slope], list[tuple[float, float, float]], float]:
    """What is hollow behind an end's face, its thread's groove, how deep its bore is."""
    length = float(part.length)
    row: list[Slope] = []
    grooves: list[tuple[float, float, float]] = []
    holes = ends.plain_holes(part, end, shop)[0]
    if end.internal is not None:
        tapped = ends.tapped_end(part, end, shop)
        holes = tapped.holes
        thread = tapped.thread.basic
        deep = min(tapped.tapped, length)
        front = tapped.counterbore.end if tapped.counterbore else 0.0
        if tapped.counterbore is not None:
            row.append(_straight(0.0, front, tapped.counterbore.size.nominal / 2))
        row.append(_straight(0.0, deep, thread.minor / 2))
        row += _countersink(end, front, thread.major, thread.minor)
        grooves.append((min(tapped.start, deep), deep, thread.major / 2))
    row += [_straight(h.start, min(h.end, length), h.size.nominal / 2) for h in holes]
    deepest = max([h.end for h in holes], default=0.0)
    if end.bore and end.bottom is Bottom.THROUGH:
        last = holes[-1]
        row.append(_straight(last.end, length, last.size.nominal / 2))
        deepest = length
    elif end.bore and end.bottom is Bottom.DRILL_POINT:
        r = holes[-1].size.nominal / 2
        point = min(drill_point(2 * r, end.drill_point_angle), max(length - deepest, 0.0))
        row.append(Slope(deepest, deepest + point, r, 0.0))
    return [s for s in row if s.z1 > s.z0], grooves, min(deepest, length)


def _straight(z0: float, z1: float, radius: float) -> Slope:
    return Slope(z0, z1, radius, radius)


def _countersink(end: End, front: float, major: float, minor: float) -> list[Slope]:
    spec = end.internal
    if spec is None:
        return []
    wide = float(spec.countersink) if spec.countersink else major + ends.MOUTH_BREAK
    deep = max(wide - minor, 0.0) / 2 / math.tan(math.radians(spec.countersink_angle / 2))
    return [Slope(front, front + deep, wide / 2, minor / 2)] if deep > 0 else []


def _tenon(end: End) -> tuple[list[Slope], list[tuple[float, float, float]]]:
    spec = end.external
    if spec is None:
        return [], []
    basic = limits(read_thread(spec.thread), True).basic
    length, crest, root = float(spec.length), basic.major / 2, basic.minor / 2
    chamfer = min(float(spec.chamfer) if spec.chamfer is not None else 0.65 * float(
        read_thread(spec.thread).pitch), length / 2, crest - 0.1)  # fmt: skip
    row = [Slope(0.0, chamfer, crest - chamfer, crest), _straight(chamfer, length, crest)]
    return [s for s in row if s.z1 > s.z0], [(chamfer, length, root)]


def _body(part: Part, places: Mapping[str, EndPlace], depths: Mapping[str, float]) -> list[Slope]:
    """The outside without tenons, edge breaks included."""
    length, widest = float(part.length), float(part.diameter) / 2
    start, end = 0.0, length
    keeps, far = 0.0, length
    r0 = r1 = widest
    breaks = [0.0, 0.0]
    through = any(e.bottom is Bottom.THROUGH and e.bore for e in part.ends.values())
    for n, at in places.items():
        e = part.ends[n]
        if at.looks < 0:
            start, keeps, r0 = at.shoulder, at.deep(depths[n]), float(e.diameter) / 2
            breaks[0] = float(e.edge_break)
        else:
            end, far, r1 = at.shoulder, at.deep(depths[n]), float(e.diameter) / 2
            breaks[1] = float(e.edge_break)
    if end - start < 1e-6:
        return []
    if said := _said(part, places, start, end):
        return slopes(_broken(highest(slopes(said), start, end), breaks))
    keeps, far = min(max(keeps, start), end), max(min(far, end), start)
    if through or keeps >= far - 1e-6:
        keeps, far = start, end
    chain = [(start, r0), (keeps, r0), (far, r1), (end, r1)]
    row = slopes(chain)
    if widest > max(r0, r1) + 1e-6:
        mid = (start + end) / 2
        row += slopes([(start, r0), (mid, widest), (end, r1)])
    whole = highest(row, start, end)
    return slopes(_broken(whole, breaks))


def _said(part: Part, places: Mapping[str, EndPlace], start: float, end: float) -> list[Point]:
    """The outside as the file says it, from ``start`` to ``end``; empty where it does not. Beyond
    its last point it goes on as wide."""
    name, at = next(iter(places.items()))
    row = [(at.deep(z), d / 2) for z, d in outside.of_part(part, name)]
    if not row:
        return []
    row = row if at.looks < 0 else row[::-1]
    return [(min(start, row[0][0]), row[0][1]), *row, (max(end, row[-1][0]), row[-1][1])]


def _broken(chain: tuple[Point, ...], breaks: list[float]) -> list[Point]:
    """The chain with its two corners broken at 45°."""
    (z0, r0), (z1, r1) = chain[0], chain[-1]
    a, b = (min(x, (z1 - z0) / 3, r * 0.5) for x, r in zip(breaks, (r0, r1), strict=True))
    inside = [p for p in chain[1:-1] if z0 + a < p[0] < z1 - b]
    return [(z0, r0 - a), (z0 + a, r0), *inside, (z1 - b, r1), (z1, r1 - b)]
