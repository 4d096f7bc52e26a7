"""From a characteristic to what is lettered at its dimension."""

from __future__ import annotations

import math

from mandrelgen.core.tolerance import text_of
from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.mandrel import Mandrel, Stretch
from mandrelgen.paper.drawing.dimensions import Label
from mandrelgen.paper.drawing.words import after, before, number_text, stacked


def label_of(
    c: Characteristic,
    numbers: dict[str, int],
    suffix: str = "",
    also: Characteristic | None = None,
) -> Label:
    """The label of ``c``; ``suffix`` stands behind the tolerance (× 45°) and says ``also``."""
    stack = stacked(c)
    return Label(
        id=c.id,
        number=numbers.get(c.id, 0),
        before=before(c),
        value=number_text(c),
        after=after(c) if stack else after(c) + suffix,
        stack=stack,
        tail=suffix if stack else "",
        also=None if also is None else (also.id, numbers.get(also.id, 0)),
    )


def dimension_label(mandrel: Mandrel, c: Characteristic, numbers: dict[str, int]) -> Label:
    """The label of a length; a chamfer's says its angle too."""
    if c.kind is not Kind.CHAMFER:
        return label_of(c, numbers)
    cone = chamfer_cone(mandrel, c)
    if cone is None:
        return label_of(c, numbers)
    lean = math.degrees(math.atan2(abs(cone.d1 - cone.d0) / 2, cone.z1 - cone.z0))
    return label_of(c, numbers, f" × {text_of(lean, 1)}°", chamfer_angle(mandrel, c))


def chamfer_cone(mandrel: Mandrel, c: Characteristic) -> Stretch | None:
    """The cone between the two stations of a chamfer."""
    if c.between is None or any(n not in mandrel.stations for n in c.between):
        return None
    a, b = sorted(mandrel.stations[n] for n in c.between)
    for s in (*mandrel.outer, *mandrel.inner):
        if abs(s.z0 - a) < 1e-6 and abs(s.z1 - b) < 1e-6 and abs(s.d1 - s.d0) > 1e-6:
            return s
    return None


def chamfer_angle(mandrel: Mandrel, c: Characteristic) -> Characteristic | None:
    """The angle that "0.5 × 45°" says together with chamfer ``c``: of the same cone, under the
    general tolerance, and the cone's own lean."""
    cone = chamfer_cone(mandrel, c)
    if cone is None or c.kind is not Kind.CHAMFER:
        return None
    lean = math.degrees(math.atan2(abs(cone.d1 - cone.d0) / 2, cone.z1 - cone.z0))
    for a in mandrel.characteristics:
        same = a.kind is Kind.ANGLE and a.general and a.feature == cone.feature
        if same and abs(a.nominal - lean) < 1e-6:
            return a
    return None
