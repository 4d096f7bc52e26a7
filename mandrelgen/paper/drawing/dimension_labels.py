"""From a characteristic to what is lettered at its dimension."""

from __future__ import annotations

from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.paper.drawing.dimensions import Label
from mandrelgen.paper.drawing.words import after, before, number_text, stacked


def label_of(
    c: Characteristic, numbers: dict[str, int], angle: Characteristic | None = None
) -> Label:
    """The label of ``c``; the ``angle`` its callout says too stands behind its tolerance."""
    stack = stacked(c)
    suffix = "" if angle is None else f" × {number_text(angle)}{after(angle)}"
    return Label(
        id=c.id,
        number=numbers.get(c.id, 0),
        before=before(c),
        value=number_text(c),
        after=after(c) if stack else after(c) + suffix,
        stack=stack,
        tail=suffix if stack else "",
        also="" if angle is None else angle.id,
    )


def dimension_label(mandrel: Mandrel, c: Characteristic, numbers: dict[str, int]) -> Label:
    """The label of a size, with the angle that its callout says too."""
    every = mandrel.characteristics
    angle = next((a for a in every if a.kind is Kind.ANGLE and a.said_by == c.id), None)
    return label_of(c, numbers, angle)
