"""The pen's own walls at worst limits, by place; what is left of a crown. One convention for all:
coaxial diameters, the outside at the end's diameter, edge breaks only where they are."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from mandrelgen.assess.pen_places import Bored, Place, bored
from mandrelgen.core.errors import Path
from mandrelgen.design import ends, outside
from mandrelgen.mechanics.joint import drill_point
from mandrelgen.mechanics.play import root_max, root_min
from mandrelgen.mechanics.walls import LeastWall, least_wall
from mandrelgen.mechanics.walls import Place as Kind
from mandrelgen.spec.pen import Bottom, End, Part, Pen
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.rods import rod_group


class PenWall(NamedTuple):
    """A wall at worst limits, mm: what is asked of it, between what, and where both sides stand.

    ``outside``/``inside``: least and greatest diameter. ``hole``: the bore that makes it, if one
    does; ``counterbore``: the path of its table; ``body``: the path of the outside's key, which may
    not pass ``largest``, the part's own.
    """

    place: Place
    kind: Kind
    between: str
    outside: float
    inside: float
    asked: LeastWall
    hole: Bored | None = None
    counterbore: Path = ()
    body: Path = ()
    largest: float = 0.0

    @property
    def value(self) -> float:
        """What is left, mm."""
        return (self.outside - self.inside) / 2


class Crown(NamedTuple):
    """Material left between the ends of a part's bores, mm: of the deeper one."""

    place: Place
    left: float
    asked: LeastWall
    length: float
    depth: float
    point: float
    opposite: float
    steps: int


def walls(pen: Pen, shop: Shop) -> tuple[PenWall, ...]:
    """Every wall of every part."""
    return tuple(
        w
        for name, part in pen.parts.items()
        for end_name, end in part.ends.items()
        for w in _of_end(Place(name, end_name), part, end, shop)
    )


def _of_end(at: Place, part: Part, end: End, shop: Shop) -> Iterator[PenWall]:
    tapped = ends.tapped_end(part, end, shop) if end.internal is not None else None
    holes = tapped.holes if tapped else ends.plain_holes(part, end, shop)[0]
    steps = bored(at, end, holes)
    reach = 0.0
    if end.external is not None:
        yield from _tenon(at, part, end, tapped, steps, shop)
        reach = ends.tenon_end(end, shop).length.lower
    elif tapped is not None:
        yield from _lip(at, part, end, tapped)
    threaded = _tapped_depth(end)
    asked = _asked(Kind.BODY, part, end)
    for b in steps:
        if b.hole.end > max(threaded, reach) + 1e-9:
            around, key = _around(at, part, end, b.hole, max(threaded, reach))
            yield PenWall(
                place=at,
                kind=Kind.BODY,
                between=f"its bore of ⌀{b.hole.size.nominal:g} and its outside",
                outside=around,
                inside=b.hole.size.upper,
                asked=asked,
                hole=b,
                body=key,
                largest=float(part.diameter),
            )


def _around(at: Place, part: Part, end: End, hole: ends.Hole, start: float) -> tuple[float, Path]:
    """The least outside around a step of the bore behind the thread, mm, and its key if one size
    says it."""
    row = outside.points(part, at.end)
    if row:
        begin = max(hole.start, start)
        return outside.least(row, begin, min(hole.end, float(part.length))), ()
    if end.body is not None:
        return float(end.body), at.key("body")
    return float(end.diameter), at.key("diameter")


def _tenon(
    at: Place, part: Part, end: End, tapped: ends.TappedEnd | None, steps: tuple[Bored, ...],
    shop: Shop,
) -> Iterator[PenWall]:  # fmt: skip
    tenon = ends.tenon_end(end, shop)
    root, asked = root_min(tenon.thread), _asked(Kind.TENON, part, end)
    under = "the root of its external thread"
    if tapped is not None:
        inner = root_max(tapped.thread)
        yield PenWall(
            place=at,
            kind=Kind.TENON,
            between=f"{under} and its internal thread",
            outside=root,
            inside=inner,
            asked=asked,
        )
        if tapped.counterbore is not None:
            yield PenWall(
                place=at, kind=Kind.TENON, between=f"{under} and its counterbore", outside=root,
                inside=tapped.counterbore.size.upper, asked=asked,
                counterbore=at.key("internal", "counterbore", "diameter"),
            )  # fmt: skip
    for b in steps:
        if b.hole.start < tenon.length.upper:
            yield PenWall(
                place=at,
                kind=Kind.TENON,
                between=f"{under} and its bore",
                outside=root,
                inside=b.hole.size.upper,
                asked=asked,
                hole=b,
            )


def _lip(at: Place, part: Part, end: End, tapped: ends.TappedEnd) -> Iterator[PenWall]:
    asked, body = _asked(Kind.LIP, part, end), at.key("diameter")
    outside = float(end.diameter)
    yield PenWall(
        place=at,
        kind=Kind.LIP,
        between="its internal thread and its outside",
        outside=outside,
        inside=root_max(tapped.thread),
        asked=asked,
        body=body,
        largest=float(part.diameter),
    )
    if tapped.counterbore is not None:
        yield PenWall(
            place=at, kind=Kind.LIP, between="its counterbore and its outside", outside=outside,
            inside=tapped.counterbore.size.upper, asked=asked,
            counterbore=at.key("internal", "counterbore", "diameter"), body=body,
            largest=float(part.diameter),
        )  # fmt: skip


def _asked(kind: Kind, part: Part, end: End) -> LeastWall:
    own = part.least_wall
    overruled = None if own is None else (float(own) * OWN_ERROR, float(own))
    return least_wall(kind, rod_group(part.material), end.band, overruled)


OWN_ERROR = 2 / 3
"""Share of the pen's own least wall below which it is an error, as in the table's rows."""


def _tapped_depth(end: End) -> float:
    if end.internal is None:
        return 0.0
    return float(end.internal.depth or end.internal.full_thread or 0.0)


def crowns(pen: Pen) -> tuple[Crown, ...]:
    """The least that is left across each part."""
    found = []
    for name, part in pen.parts.items():
        row = [c for n, e in part.ends.items() if (c := _crown(Place(name, n), part, e))]
        if row:
            found.append(min(row, key=lambda c: c.left))
    return tuple(found)


def _crown(at: Place, part: Part, end: End) -> Crown | None:
    depth = max([float(s.depth) for s in end.bore], default=0.0)
    if not depth or end.bottom is Bottom.THROUGH:
        return None
    point = 0.0
    if end.bottom is Bottom.DRILL_POINT:
        point = drill_point(float(end.bore[-1].diameter), end.drill_point_angle)
    opposite = max(
        (
            max([_tapped_depth(e), *(float(s.depth) for s in e.bore)])
            for n, e in part.ends.items()
            if n != at.end
        ),
        default=0.0,
    )
    left = float(part.length) - depth - point - opposite
    asked = _asked(Kind.CROWN, part, end)
    return Crown(
        place=at,
        left=left,
        asked=asked,
        length=float(part.length),
        depth=depth,
        point=point,
        opposite=opposite,
        steps=len(end.bore),
    )
