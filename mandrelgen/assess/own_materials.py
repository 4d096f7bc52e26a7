"""The same mandrels, made by the maker of another material: how they would serve."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from mandrelgen.assess.choose_tolerances import judged
from mandrelgen.design.designed import Designed
from mandrelgen.mechanics.assessment_types import Assessment
from mandrelgen.mechanics.practice import assumed
from mandrelgen.spec.pen import Pen, Use
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.materials import material


def in_material(
    pen: Pen, shop: Shop, designed: Sequence[Designed], own: str
) -> dict[str, Assessment]:
    """How each mandrel, its sizes unchanged, serves if it is made of ``own``; by planned id.

    A plastic one is judged in the only way it may run at all: tailstock up, at a speed that is
    named (the cap for plastic, or the lathe's highest). What the maker said of the use otherwise
    stays.
    """
    plastic = material(own).kind != "metal"
    if plastic:
        pen = _careful(pen, shop)
    made = tuple(_of(d, own, shop if plastic else None) for d in designed)
    return {d.planned.id: d.verdict for d in judged(pen, shop, made) if d.verdict is not None}


def _of(d: Designed, own: str, careful: Shop | None) -> Designed:
    """The designed mandrel of another material; ``careful``: run as a plastic one is."""
    if d.mandrel is None or d.wishes is None:
        return d
    request = d.planned.request
    if careful is not None and request is not None and request.use is not None:
        # A speed that it does not say is the pen's.
        use = _use(request.use, careful)
        use = use if request.use.speed is not None else use.model_copy(update={"speed": None})
        request = request.model_copy(update={"use": use})
    return replace(
        d,
        planned=replace(d.planned, request=request),
        mandrel=replace(d.mandrel, ordering=replace(d.mandrel.ordering, material=own)),
        wishes=replace(d.wishes, material=own),
    )


def _careful(pen: Pen, shop: Shop) -> Pen:
    use = _use(pen.mandrels.use, shop)
    return pen.model_copy(update={"mandrels": pen.mandrels.model_copy(update={"use": use})})


def _use(said: Use, shop: Shop) -> Use:
    """What is said of the use, with the tailstock up and a speed that plastic may have."""
    most = min(assumed("speed", "plastic_cap").value, float(shop.lathe.max_speed))
    speed = most if said.speed is None else min(most, float(said.speed))
    return said.model_copy(update={"tailstock": True, "speed": speed})
