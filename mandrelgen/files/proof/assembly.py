"""The assembly read back: by its text (whole, in mm, names, colours) and, since who asked for it
has the CAD kernel, by its bodies (each valid, of its volume, where it belongs)."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from mandrelgen.files.proof.report import Case
from mandrelgen.files.proof.step import check_whole, products
from mandrelgen.geometry.mesh import exact

# Share of a volume; places, mm.
_VOLUME, _WITHIN = 2e-6, 1e-5


def check(case: Case) -> dict[str, Any]:
    """Compare an assembly with the mandrel and the outlines of the parts it holds."""
    text = check_whole(case)
    if text is None:
        return {}
    held = case.expected.mandrel.held
    number = case.expected.number
    names = products(text)
    wanted = [f"{number} in use", number, *(h.name for h in held)]
    case.equal("bodies", wanted, names[: len(wanted)])
    case.equal("places", len(names) - 1, text.count("NEXT_ASSEMBLY_USAGE_OCCURRENCE("))
    case.equal("coloured bodies", len(names) - 1, text.count("STYLED_ITEM("))
    return _bodies(case, len(names) - 1)


def _bodies(case: Case, count: int) -> dict[str, Any]:
    from mandrelgen.geometry.kernel import exchange, measure

    found = exchange.from_step(case.data).Solids()
    if not case.equal("solids", count, len(found)):
        return {}
    held = case.expected.mandrel.held
    volumes = [exact.volume(case.expected.profile), *(_turned(h.outline) for h in held)]
    for n, body in enumerate(found):
        case.equal(f"body {n + 1}, valid", wanted=True, found=body.isValid())
    for n, (wanted, body) in enumerate(zip(volumes, found, strict=False)):
        case.near(f"body {n + 1}, volume", wanted, measure.volume(body), _VOLUME * wanted, "mm³")
    for part, body in zip(held, found[1:], strict=False):
        box, zs = measure.bounding_box(body), [z for z, _ in part.outline]
        case.near(f"{part.name}, from z", min(zs), box[2], _WITHIN)
        case.near(f"{part.name}, to z", max(zs), box[5], _WITHIN)
    return {"bodies": count, "volumes_mm3": [round(measure.volume(b), 4) for b in found]}


def _turned(ring: Sequence[tuple[float, float]]) -> float:
    """Volume of a closed half-section (z, r) turned about the axis: the signed frusta under its
    sides, mm³."""
    sides = pairwise((*ring, ring[0]))
    return abs(
        math.pi / 3 * sum((b[0] - a[0]) * (a[1] ** 2 + a[1] * b[1] + b[1] ** 2) for a, b in sides)
    )
