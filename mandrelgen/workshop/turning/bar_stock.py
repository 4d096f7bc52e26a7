"""Bar to saw off, and its mass."""

from __future__ import annotations

import math
from typing import NamedTuple

from mandrelgen.core.tolerance import text_of
from mandrelgen.design.shank import SHANK_CLASS, is_bar
from mandrelgen.geometry.mesh import exact
from mandrelgen.model.half_section import outline
from mandrelgen.model.mandrel import Mandrel, MandrelKind, Stretch
from mandrelgen.standards import materials, stock
from mandrelgen.standards.tables import NotHeldError


class BarStock(NamedTuple):
    """What to buy for one piece. Lengths in mm, masses in g. ``bar`` None: ``note`` says why.
    ``length`` is ``finished_length`` with ``facing`` at each of ``faced`` ends, one parting or saw
    cut ``part_off`` and ``grip`` for the chuck (0: the piece itself is long enough), rounded up."""

    material: str
    widest: float
    bar: float | None
    finished_length: float
    facing: float
    faced: int
    part_off: float
    grip: float
    length: float
    bar_mass: float
    finished_mass: float
    note: str
    source: str


def choose(mandrel: Mandrel) -> BarStock:
    """The bar for a mandrel: a skin to turn off all over, faces to face, one parting cut."""
    widest = max(max(s.d0, s.d1) for s in mandrel.outer)
    long = mandrel.outer[-1].z1 - mandrel.outer[0].z0
    facing, part_off = stock.allowance("facing"), stock.allowance("part_off")
    grip = stock.allowance("grip") if mandrel.kind is MandrelKind.BUTTON else 0.0
    faced = 1 if parted(mandrel) else 2
    length = math.ceil(long + faced * facing + part_off + grip)
    material = mandrel.ordering.material
    density = materials.material(material).density
    note = "machined all over"
    bar: float | None
    try:
        bar = stock.bar_for(material, widest + stock.allowance("skin"))
    except NotHeldError as e:
        bar, note = None, f"{e.message}; {e.remedy}"
    if from_bar(mandrel):
        bar = widest
        note = (
            f"drawn or ground bar ⌀{text_of(widest)} {SHANK_CLASS}: the shank stays as bought, the "
            "rest is turned in one chucking"
        )
    mass = 0.0 if bar is None else math.pi / 4 * bar**2 * length * density / 1000
    return BarStock(
        material=material,
        widest=widest,
        bar=bar,
        finished_length=long,
        facing=facing,
        faced=faced,
        part_off=part_off,
        grip=grip,
        length=float(length),
        bar_mass=mass,
        finished_mass=finished_volume(mandrel) * density / 1000,
        note=note,
        source="bar sizes from memory; allowances: common practice, no source",
    )


def from_bar(mandrel: Mandrel) -> bool:
    """Whether the shank is the bar as it is bought; a double-ended mandrel is turned round on a
    turned one."""
    shank = next((s.d0 for s in mandrel.outer if s.feature == "shank"), 0.0)
    widest = max(max(s.d0, s.d1) for s in mandrel.outer)
    single = mandrel.kind is not MandrelKind.DOUBLE_ENDED
    asked = {c.id: c.upper for c in mandrel.characteristics}
    true, rough = (asked.get(f"shank.{x}") or math.inf for x in ("cylindricity", "roughness"))
    return shank > 0 and single and is_bar(shank, widest, mandrel.ordering.material, true, rough)


def parted(mandrel: Mandrel) -> bool:
    """Whether the shank's end stays as it is parted off the bar: nothing is cut into it, and it
    holds nothing."""
    rear = any(h.at == "rear" for h in mandrel.centre_holes)
    bored = any(s.feature == "bore" for s in mandrel.inner)
    return from_bar(mandrel) and not rear and not bored


def finished_volume(mandrel: Mandrel) -> float:
    """Volume in mm³, threads as modelled, flats cut: what the sheet's mass is reckoned from. A
    thread that cannot be modelled counts at its pitch diameter."""
    try:
        return exact.volume(outline(mandrel))
    except ValueError:
        outer = sum(_volume(s) for s in mandrel.outer)
        return outer - sum(_volume(s) for s in mandrel.inner)


def _volume(s: Stretch) -> float:
    a, b = s.d0, s.d1
    if s.thread is not None:
        a = b = s.thread.pitch_diameter
    return math.pi / 12 * abs(s.z1 - s.z0) * (a * a + a * b + b * b)
