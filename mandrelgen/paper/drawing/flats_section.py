"""The cut through the spanner flats."""

from __future__ import annotations

import math

from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.mandrel import Flats, Mandrel
from mandrelgen.paper.drawing.dimension_labels import label_of
from mandrelgen.paper.drawing.dimensions import PITCH, horizontal, vertical
from mandrelgen.paper.drawing.label_ground import Ground
from mandrelgen.paper.drawing.label_placement import place
from mandrelgen.paper.drawing.model import Arc, Drawn, Hatch, Line, LineStyle, Text
from mandrelgen.paper.drawing.text_block import Block, block
from mandrelgen.paper.drawing.text_width import width_of
from mandrelgen.paper.drawing.views import radius_at

# The section through the flats is not larger than the main view, nor than a large coin on paper.
SECTION_SCALES = (10.0, 5.0, 2.0, 1.0)
COIN = 60.0


def cut_at(mandrel: Mandrel, flats: Flats, f: float) -> float:
    """Where the flats are cut: clear of every station's extension line by half the letter's width
    and a millimetre, at the main view's scale ``f``."""
    spots = [
        flats.z0 + t * (flats.z1 - flats.z0)
        for t in (0.68, 0.32, 0.74, 0.26, 0.6, 0.4, 0.82, 0.18, 0.5)
    ]

    def clear(z: float) -> float:
        apart = min((abs(z - s) for s in mandrel.stations.values()), default=math.inf)
        return min(apart * f, 3.2)

    return max(spots, key=clear)


def flats_section(
    mandrel: Mandrel,
    across: tuple[Characteristic, ...],
    f: float,
    numbers: dict[str, int],
    scaled: bool = False,
) -> Block | None:
    """Section B–B through the spanner flats with the size across them; ``scaled``: its title says
    the scale even if it is the main view's."""
    flats = mandrel.flats
    if flats is None or not across:
        return None
    z = cut_at(mandrel, flats, f)
    main, width = f, radius_at(mandrel, z)
    f = next((s for s in SECTION_SCALES if s <= main and 2 * width * s <= COIN), main)
    r, a = width * f, flats.across / 2 * f
    holes = [s.d0 / 2 * f for s in mandrel.inner if s.z0 <= z <= s.z1]
    drawn = _flatted(r, a, holes)
    e = r + 3
    drawn += [
        Line(((-e, 0.0), (e, 0.0)), LineStyle.CENTRE),
        Line(((0.0, -e), (0.0, e)), LineStyle.CENTRE),
    ]
    h = math.sqrt(max(r * r - a * a, 0.0))
    ground = Ground(solids=[(-r, -r, r, r)])
    wishes = []
    for c in across:
        label = label_of(c, numbers)
        if c.kind is Kind.DIAMETER:
            levels = [r + 6 + PITCH * k for k in range(4)]
            # Beside the section: on the centre line it would seem a part of it.
            wishes.append(vertical(label, [0.0], r, levels, f, shifts=(r + 6.0,)))
        else:
            rows = [-r - 6 - PITCH * k for k in range(6)]
            wishes.append(horizontal(label, (-a, -h), (a, -h), rows, f))
    placed = place(ground, wishes, attempts=1)
    for chosen in placed.chosen:
        drawn += chosen.build()
    high = max([e, *[b[3] for c in placed.chosen for b in c.boxes]])
    title = "B–B" if f == main and not scaled else f"B–B ({f:g}:1)"
    drawn.append(Text((-width_of(title, 5.0) / 2, high + 4), title, 5.0))
    return block(drawn, placed.failed)


def _flatted(r: float, a: float, holes: list[float]) -> list[Drawn]:
    """A round of radius ``r`` with flats ``a`` from its middle, cut, with round ``holes`` (radii);
    all in mm on paper."""
    half = math.degrees(math.acos(min(1.0, a / r)))
    h = math.sqrt(max(r * r - a * a, 0.0))
    arc = [
        (r * math.cos(math.radians(t)), r * math.sin(math.radians(t)))
        for t in [half + i * (180 - 2 * half) / 24 for i in range(25)]
    ]
    loops: list[tuple[tuple[float, float], ...]] = [(*arc, *[(-x, -y) for x, y in arc])]
    for hole in holes:
        turns = [t * math.pi / 24 for t in range(48)]
        loops.append(tuple((hole * math.cos(t), hole * math.sin(t)) for t in turns))
    return [
        Hatch(tuple(loops), 2.5),
        Arc(centre=(0.0, 0.0), radius=r, pen=LineStyle.OUTLINE, start=half, end=180 - half),
        Arc(centre=(0.0, 0.0), radius=r, pen=LineStyle.OUTLINE, start=180 + half, end=360 - half),
        Line(((a, -h), (a, h)), LineStyle.OUTLINE),
        Line(((-a, -h), (-a, h)), LineStyle.OUTLINE),
        *[Arc((0.0, 0.0), hole, LineStyle.OUTLINE) for hole in holes],
    ]
