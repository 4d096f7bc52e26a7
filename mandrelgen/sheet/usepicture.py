"""A small picture of the mandrel in its part."""

from __future__ import annotations

from mandrelgen.mandrel import Mandrel
from mandrelgen.profile import Profile
from mandrelgen.sheet.block import Block, block
from mandrelgen.sheet.lettering import clean, fitted
from mandrelgen.sheet.model import Drawn, Line, Pen, Point, Text
from mandrelgen.sheet.symbols import SMALL

WIDTH = 120.0


def use_picture(mandrel: Mandrel, profile: Profile) -> Block | None:
    """The mandrel's outline with the held parts in double-dot chain lines; None without parts."""
    if not mandrel.held:
        return None
    zs = [p[0] for h in mandrel.held for p in h.outline]
    zs += [z for s in mandrel.outer for z in (s.z0, s.z1)]
    f = next((x for x in (1.0, 0.5, 0.2) if (max(zs) - min(zs)) * x <= WIDTH), 0.1)
    drawn: list[Drawn] = []
    top = (
        max([p[1] for h in mandrel.held for p in h.outline] + [s.d0 / 2 for s in mandrel.outer]) * f
    )
    for face in profile.faces:
        for sign in (1.0, -1.0):
            ends = ((face.z0 * f, sign * face.r0 * f), (face.z1 * f, sign * face.r1 * f))
            drawn.append(Line(ends, Pen.NARROW))
    for part in mandrel.held:
        for sign in (1.0, -1.0):
            ring: tuple[Point, ...] = tuple((z * f, sign * r * f) for z, r in part.outline)
            drawn.append(Line(ring, Pen.PHANTOM, True))
    drawn.append(Line(((min(zs) * f - 3, 0.0), (max(zs) * f + 3, 0.0)), Pen.CENTRE))
    scale = f"{f:g}:1" if f >= 1 else f"1:{1 / f:g}"
    names = ", ".join(clean(h.name) for h in mandrel.held)
    wide = max((max(zs) - min(zs)) * f, 60.0)
    text, _ = fitted(f"In use ({scale}), for information: {names}", SMALL, wide)
    drawn.append(Text((min(zs) * f, top + 3.0), text, SMALL))
    return block(drawn)
