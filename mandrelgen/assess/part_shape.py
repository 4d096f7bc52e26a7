"""The part's outside and bore along its length, as far as the pen file tells."""

from __future__ import annotations

from itertools import pairwise
from typing import NamedTuple

from mandrelgen.design import ends
from mandrelgen.design.ends import Hole
from mandrelgen.design.outside import Points, diameter_at, of_part
from mandrelgen.spec.pen import Bottom, End, Part
from mandrelgen.spec.shop import Shop

OUTSIDE_TAKEN = (
    "the outside keeps each end's diameter as deep as that end's bore and runs straight between"
)
OUTSIDE_WRITTEN = "the outside as the pen file gives it"


class PartSection(NamedTuple):
    """A stretch of the part, z in the mandrel's coordinates, diameters mm."""

    z0: float
    z1: float
    outer: float
    inner: float


class PartShape(NamedTuple):
    """A held part: ``face`` is z of the end's face, ``body`` of its shoulder (or face), ``far`` of
    the other end; the outside is ``d0`` up to ``keeps``, ``d1`` from ``from_far``; ``bores`` as
    (z0, z1, largest diameter). ``points``: the outside as the file gives it, (z, diameter);
    where there are any, the others are not asked."""

    face: float
    body: float
    far: float
    d0: float
    d1: float
    keeps: float
    from_far: float
    bores: tuple[tuple[float, float, float], ...]
    points: Points = ()

    @property
    def said(self) -> str:
        """What the outside stands on."""
        return OUTSIDE_WRITTEN if self.points else OUTSIDE_TAKEN

    def outside(self, z: float) -> float:
        """Finished outside diameter at ``z``, mm."""
        if self.points:
            return diameter_at(self.points, z)
        share = (z - self.keeps) / (self.from_far - self.keeps)
        return self.d0 + (self.d1 - self.d0) * min(max(share, 0.0), 1.0)

    def inside(self, z: float) -> float:
        """Largest bore at ``z``, mm."""
        return max((d for a, b, d in self.bores if a <= z <= b), default=0.0)

    def sections(self, start: float) -> tuple[PartSection, ...]:
        """The part from ``start`` to its far end in stretches of constant section: the least
        outside and the largest bore of each."""
        cuts = {start, self.far, *(z for b in self.bores for z in b[:2])}
        span = self.far - start
        cuts |= {start + span * i / 4 for i in range(1, 4)} | {z for z, _ in self.points}
        places = sorted(z for z in cuts if start - 1e-9 <= z <= self.far + 1e-9)
        found = []
        for a, b in pairwise(places):
            if b - a < 1e-6:
                continue
            # Just inside, for a step stands at the stretch's end.
            nudge = min(1e-6, (b - a) / 4)
            outer = min(self.outside(a + nudge), self.outside(b - nudge))
            inner = self.inside((a + b) / 2)
            found.append(PartSection(a, b, outer, inner if inner < outer - 0.1 else 0.0))
        return tuple(found)


def shape(part: Part, end_name: str, by: str, washer: float, shop: Shop) -> PartShape:
    """The part held by ``end_name``; by its tenon the shoulder is at the washer's face."""
    end = part.ends[end_name]
    tenon = float(end.external.length) if end.external is not None else 0.0
    face = washer - tenon if by == "external" else washer
    far = face + max(float(part.length), tenon + 1.0)
    other = next((e for n, e in part.ends.items() if n != end_name), None)
    body = face + tenon
    own = _bores(part, end, shop)
    theirs = _bores(part, other, shop) if other and end.bottom is not Bottom.THROUGH else ()
    bores = [(face + h.start, face + h.end, h.size.upper) for h in own]
    bores += [(far - h.end, far - h.start, h.size.upper) for h in theirs]
    keeps = min(max([body, *(face + h.end for h in own)]), far)
    from_far = max(min([far, *(far - h.end for h in theirs)]), body)
    if end.bottom is Bottom.THROUGH or keeps >= from_far - 1e-6:
        keeps, from_far = body, far
    d0 = float(end.diameter)
    d1 = float(other.diameter) if other is not None else float(part.diameter)
    row = of_part(part, end_name)
    return PartShape(
        face=face,
        body=body,
        far=far,
        d0=d0,
        d1=d1,
        keeps=keeps,
        from_far=from_far,
        bores=tuple(bores),
        points=tuple((face + z, d) for z, d in row),
    )


def _bores(part: Part, end: End, shop: Shop) -> tuple[Hole, ...]:
    if end.internal is not None:
        return ends.tapped_end(part, end, shop).holes
    return ends.plain_holes(part, end, shop)[0]
