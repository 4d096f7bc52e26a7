"""The mandrel in use as a cadquery assembly: the mandrel with its threads, what it holds where it
seats, the front of the collet that holds it; each a named, coloured body, in mm.

z = 0 at the seat, + towards the free end, as everywhere. The part is the outline of the picture of
use: threads as plain cylinders at their major diameter, so that a held tenon and a cup's thread
overlap by the depth of the thread. The collet is shown as a plain ring on the shank.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import cadquery as cq

from mandrelgen.geometry.kernel import exchange
from mandrelgen.geometry.kernel.build import build, turned
from mandrelgen.model.half_section import TOUCH, outline
from mandrelgen.model.mandrel import Mandrel

# Red, green, blue, opacity, 0…1: steel, a part one sees through, a darker collet.
STEEL, PART, COLLET = (0.60, 0.62, 0.66, 1.0), (0.20, 0.45, 0.33, 0.5), (0.25, 0.27, 0.30, 1.0)
# The ring that stands for the collet: length, mm, and outside diameter as a multiple of the shank.
RING_LENGTH, RING_RATIO = 12.0, 1.6


def mandrel_body(mandrel: Mandrel) -> cq.Workplane:
    """A designed mandrel as a cadquery workplane that holds its one solid, threads modelled, mm,
    z = 0 at the seat. Raises ValueError if a thread or the flats cannot be modelled."""
    return cq.Workplane("XY").newObject([build(outline(mandrel))])


def assembly(mandrel: Mandrel, collet_face: float | None) -> cq.Assembly:
    """The mandrel, its parts and (unless ``collet_face``, its z, is None) the collet's front.
    Raises ValueError as ``mandrel_body`` does."""
    made = cq.Assembly(name="in-use")
    made.add(build(outline(mandrel)), name="mandrel", color=cq.Color(*STEEL))
    for n, held in enumerate(mandrel.held, 1):
        made.add(part_body(held.outline), name=f"part-{n}", color=cq.Color(*PART))
    shank = next((s for s in mandrel.outer if s.feature == "shank"), None)
    if shank is not None and collet_face is not None:
        low = max(shank.z0, collet_face - RING_LENGTH)
        inside, outside = shank.d0 / 2, RING_RATIO * shank.d0 / 2
        ring = ((low, inside), (low, outside), (collet_face, outside), (collet_face, inside))
        made.add(turned(ring), name="collet", color=cq.Color(*COLLET))
    return made


def part_body(ring: Sequence[tuple[float, float]]) -> cq.Solid:
    """A held part from its closed half-section (z, r), mm."""
    corners = [p for p, q in pairwise((*ring, ring[0])) if not _same(p, q)]
    return turned(tuple(corners))


def _same(p: tuple[float, float], q: tuple[float, float]) -> bool:
    return abs(p[0] - q[0]) < TOUCH and abs(p[1] - q[1]) < TOUCH


def write(
    mandrel: Mandrel, collet_face: float | None, number: str, description: str, timestamp: str
) -> bytes:
    """The assembly as a STEP file; the product is called ``number``, a part by its own name."""
    names = {"in-use": f"{number} in use", "mandrel": number, "collet": "collet, front (ring)"}
    names |= {f"part-{n}": held.name for n, held in enumerate(mandrel.held, 1)}
    made = assembly(mandrel, collet_face)
    return exchange.assembly_to_step(made, names, f"{number} in use", description, timestamp)
