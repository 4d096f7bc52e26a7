"""One end of a mandrel with a part on it, for the tests of what is judged: of a pen as it is
designed, or a plain bar whose bending is worked by hand.
"""

from __future__ import annotations

from dataclasses import replace

from mandrelgen.assess.choose_tolerances import situated
from mandrelgen.assess.part_shape import PartShape
from mandrelgen.assess.setup import Situated
from mandrelgen.design.chosen_tolerances import ToleranceChoice
from mandrelgen.design.designer import design_one
from mandrelgen.design.plan import plan
from mandrelgen.model.feature import Feature
from mandrelgen.model.mandrel import Stretch
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.shop import Shop
from tests.support.randompens import SHOP


def held(pen: Pen, shop: Shop = SHOP) -> Situated:
    """The part on the one mandrel that is designed for it with the usual tolerances."""
    return rows_of(pen, shop)[0][0]


def rows_of(pen: Pen, shop: Shop = SHOP) -> list[tuple[Situated, ...]]:
    """The ends of every mandrel that is planned, designed with the usual tolerances."""
    return [situated(design_one(pen, shop, p, ToleranceChoice()), pen, shop) for p in plan(pen)]


def bar(name: str, z0: float, z1: float, d0: float, d1: float | None = None) -> Stretch:
    """A stretch of plain bar, or a cone."""
    return Stretch(Feature(name), z0, z1, d0, d0 if d1 is None else d1)


def plain(s: Situated, shank: float = 10.0, part: float = 20.0, thread: float = 10.0) -> Situated:
    """``s`` on a plain bar: ⌀``shank`` from a collet's face 20 behind the seat, ⌀``thread`` over
    10 mm of thread, and a solid part of ⌀``part`` from there to 40."""
    row = (bar("shank", -50.0, 0.0, shank), bar("thread", 0.0, 10.0, thread))
    mandrel = replace(s.mandrel, outer=row, inner=(), flats=None)
    of = PartShape(
        face=0.0, body=0.0, far=40.0, d0=part, d1=part, keeps=0.0, from_far=40.0, bores=()
    )
    return replace(s, mandrel=mandrel, shape=of, collet_face=-20.0, holes=())
