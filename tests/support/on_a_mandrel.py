"""A part on the mandrel designed for it, and the same with sizes of the mandrel as a test has them.

Of M10x0.75 by ISO 965-1:2013: 6H D1 9.188 to 9.378, D2 9.513 to 9.645, D 10 at least; 6g d 9.838
to 9.978, d2 9.391 to 9.491, d1 9.166 at most.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

from mandrelgen.assess.choose_tolerances import situated
from mandrelgen.assess.setup import Situated
from mandrelgen.design.chosen_tolerances import ToleranceChoice
from mandrelgen.design.designed import Designed
from mandrelgen.design.designer import design_one
from mandrelgen.design.plan import plan
from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.feature import Feature, subject_name
from mandrelgen.model.mandrel import Mandrel, Stretch
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.read import read_shop
from mandrelgen.spec.shop import Shop
from mandrelgen.spec.starters import starter
from tests.support.held import bar

Limits = tuple[float | None, float | None]


@cache
def bench() -> Shop:
    """The shop of the bench: collets of 4 to 16."""
    return read_shop(starter("shop", "bench"), "bench")


def designed(pen: Pen, shop: Shop | None = None) -> Designed:
    """The first mandrel of a pen."""
    return design_one(pen, shop or bench(), plan(pen)[0], ToleranceChoice(run_out=0.02))


def on_mandrel(pen: Pen, shop: Shop | None = None) -> Situated:
    """The first part on its mandrel."""
    return situated(designed(pen, shop), pen, shop or bench())[0]


def made(m: Mandrel, sizes: dict[str, Limits | None], *more: Stretch) -> Mandrel:
    """The mandrel with these sizes, lower and upper (None: it has none), and more stretches."""
    kept = [c for c in m.characteristics if c.id not in sizes]
    new = [
        Characteristic(
            id=id, feature=Feature(subject_name(id)), kind=Kind.DIAMETER,
            nominal=next((x for x in limits if x is not None), 0.0),
            lower=limits[0], upper=limits[1],
        )
        for id, limits in sizes.items() if limits is not None
    ]  # fmt: skip
    return replace(m, characteristics=(*kept, *new), outer=(*m.outer, *more))


def with_sizes(s: Situated, sizes: dict[str, Limits | None], *more: Stretch) -> Situated:
    """The same part on a mandrel with these sizes and stretches."""
    return replace(s, mandrel=made(s.mandrel, sizes, *more))


def stretch(name: str, z0: float, z1: float, d: float = 9.0) -> Stretch:
    """A cylinder."""
    return bar(name, z0, z1, d)


def washed(s: Situated, washer: float) -> Situated:
    """The same with a soft washer on the seat."""
    return replace(s, wishes=replace(s.wishes, soft_washer=washer))


def threaded(s: Situated, **change: Any) -> Situated:
    """The same with another thread on the mandrel."""
    assert s.thread is not None
    return replace(s, thread=replace(s.thread, **change))
