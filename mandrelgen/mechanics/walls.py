"""Least walls of the pen's own parts, by place and material, and how they are met.

One convention for all: coaxial diameters at worst limits, wall = (least outside − greatest
inside)/2, edge breaks and chamfers only where they are. Thresholds: ``data/least_walls.toml``
(estimates, common practice, no source). Lengths in mm.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from enum import StrEnum
from typing import NamedTuple

from mandrelgen.core.errors import Level
from mandrelgen.mechanics.practice import judged
from mandrelgen.standards.rods import RodGroup
from mandrelgen.standards.tables import load, records


class Place(StrEnum):
    """Where a wall is: a tenon's thread root over its bore or inner thread; a cap's lip over its
    thread or counterbore; a body over a bore; a crown over a drill's point."""

    TENON = "tenon"
    LIP = "lip"
    BODY = "body"
    CROWN = "crown"


class Skin(NamedTuple):
    """A stretch of a part's outside between two depths from its end, least diameter, mm; a thread
    counts at its root (``threaded``). An edge break or chamfer is a stretch of its own."""

    start: float
    end: float
    diameter: float
    threaded: bool = False
    label: str = "outside"


class Hollow(NamedTuple):
    """A stretch inside a part between two depths from its end, greatest diameter, mm; a thread
    counts at its root. ``mouth``: a thread, counterbore or countersink, whose outside is a lip."""

    start: float
    end: float
    diameter: float
    mouth: bool = False
    label: str = "bore"


class Wall(NamedTuple):
    """The least wall between one outside and one inside, mm, and where along the part."""

    place: Place
    outside: str
    inside: str
    start: float
    end: float
    value: float


OWN = "pen file"
"""The basis of a least wall that the pen file says."""


class LeastWall(NamedTuple):
    """Error below ``error``, warning below ``warning``, mm; ``basis`` is printed beside them."""

    error: float
    warning: float
    basis: str


def least_wall(
    place: Place,
    group: RodGroup = RodGroup.FIRM,
    banded: bool = False,
    overruled: tuple[float, float] | None = None,
) -> LeastWall:
    """What is asked of a wall, mm. ``banded``: a metal band holds it, half is enough, as for a
    part of metal; ``overruled``: the pen file's own (error, warning).

    >>> least_wall(Place.LIP, RodGroup.SOFT)
    LeastWall(error=0.6, warning=1.0, basis='estimate (common practice, no source)')
    >>> least_wall(Place.LIP, banded=True).error
    0.25
    """
    if overruled is not None:
        return LeastWall(*overruled, OWN)
    table = load("least_walls")
    half = banded or group is RodGroup.METAL
    row_group = RodGroup.FIRM if group is RodGroup.METAL else group
    row = next(r for r in records("least_walls") if r["place"] == place and r["group"] == row_group)
    factor = float(table["band"]["share"]) if half else 1.0
    return LeastWall(row["error"] * factor, row["warning"] * factor, table["confidence"])


def walls(skins: Sequence[Skin], hollows: Sequence[Hollow]) -> tuple[Wall, ...]:
    """The least wall of every outside over every inside that lies behind it, thinnest first, mm.

    At each depth the slimmest outside and the widest inside stand against each other: a bore under
    a thread is judged by the thread, a thread under a counterbore by the counterbore, and each
    stretch only over its own length. Depths that nothing covers outside or inside have no wall.

    A cap ⌀15 with an M12x1 thread 8 deep behind a counterbore of 12.3, then its bore:

    >>> inside = [Hollow(0, 1.5, 12.33, True, "counterbore"), Hollow(1.5, 8, 12.3, True, "thread"),
    ...           Hollow(0, 50, 11.1)]
    >>> [(w.place.value, w.inside, round(w.value, 3)) for w in walls([Skin(0, 60, 15.0)], inside)]
    [('lip', 'counterbore', 1.335), ('lip', 'thread', 1.35), ('body', 'bore', 1.95)]
    """
    ends = {z for s in skins for z in (s.start, s.end)}
    cuts = sorted(ends | {z for h in hollows for z in (h.start, h.end)})
    found: dict[tuple[Place, str, str], Wall] = {}
    for z0, z1 in itertools.pairwise(cuts):
        outside = [s for s in skins if s.start <= z0 and z1 <= s.end]
        inside = [h for h in hollows if h.start <= z0 and z1 <= h.end]
        if not outside or not inside:
            continue
        skin = min(outside, key=lambda s: s.diameter)
        hollow = max(inside, key=lambda h: h.diameter)
        place = Place.TENON if skin.threaded else Place.LIP if hollow.mouth else Place.BODY
        value = (skin.diameter - hollow.diameter) / 2
        key = (place, skin.label, hollow.label)
        before = found.get(key)
        if before is None or value < before.value:
            found[key] = Wall(
                place=place, outside=skin.label, inside=hollow.label, start=z0, end=z1, value=value
            )
    return tuple(sorted(found.values(), key=lambda w: (w.value, w.start)))


def level(wall: float, asked: LeastWall) -> Level | None:
    """Error, warning or None for a wall of ``wall`` mm; 0.005 is forgiven.

    A bore of 7.35 in an M8.6x0.75 tenon leaves 0.06 under the root:

    >>> level(0.06, least_wall(Place.TENON)), level(0.595, least_wall(Place.TENON))
    (<Level.ERROR: 'error'>, None)
    """
    forgiven = judged("compare", "tolerance") + 1e-9
    if wall < asked.error - forgiven:
        return Level.ERROR
    return Level.WARNING if wall < asked.warning - forgiven else None


def shows_through(wall: float) -> bool:
    """Whether a bore shows through a body of pale or clear resin: below about 1.5 mm (estimate).

    >>> shows_through(1.4), shows_through(1.5)
    (True, False)
    """
    return wall < float(load("least_walls")["shows_through"]["below"]) - (
        judged("compare", "tolerance") + 1e-9
    )


def crown(length: float, depth: float, point: float, opposite: float = 0.0) -> float:
    """Material between a bore's point and what is cut from the other side, mm: ``length`` of the
    part less the bore's ``depth``, its drill ``point`` and the ``opposite`` side's depth.

    >>> crown(60, 55, 2.1, 1.5)
    1.4
    """
    return round(length - depth - point - opposite, 9)


def largest_inside(outside_min: float, least: float, over: float = 0.0) -> float:
    """Largest nominal bore for a wall of ``least``, mm, not rounded. ``over``: by how much the bore
    may come out larger than nominal.

    >>> round(largest_inside(11.1, 0.6, 0.1), 3)
    9.8
    """
    return outside_min - 2 * least - over


def smallest_outside(inside_max: float, least: float, under: float = 0.0) -> float:
    """Smallest nominal outside for a wall of ``least``, mm, not rounded. ``under``: by how much the
    outside may come out smaller than nominal.

    >>> smallest_outside(9.45, 0.5)
    10.45
    """
    return inside_max + 2 * least + under
