"""The home form names the drawing's own balloons."""

from __future__ import annotations

import pytest

from mandrelgen.model.mandrel import Mandrel
from mandrelgen.paper.drawing.model import Mark, Text
from mandrelgen.spec.read import read_shop
from mandrelgen.spec.starters import starter
from mandrelgen.workshop.receipt.home_form import form_of
from tests.paper.test_dimensions import MANDRELS
from tests.paper.test_sheet_ink import sheet_of

SHOP = read_shop(starter("shop", "bench"), "bench.toml")


def drawn_numbers(mandrel: Mandrel) -> dict[str, set[int]]:
    """The figures in the balloons of the sheets, by the characteristic's id."""
    found: dict[str, set[int]] = {}
    for sheet in sheet_of(mandrel).sheets:
        for mark in sheet.drawn:
            if isinstance(mark, Mark) and mark.role == "balloon":
                for t in mark.items:
                    if isinstance(t, Text):
                        found.setdefault(mark.id, set()).add(int(t.text))
    return found


@pytest.mark.parametrize("name", sorted(MANDRELS))
def test_the_home_form_names_the_balloons_that_are_drawn(name: str) -> None:
    mandrel = MANDRELS[name]
    drawn = drawn_numbers(mandrel)
    asked = [q for q in form_of(mandrel, SHOP).questions if q.balloons]
    assert asked
    for q in asked:
        for id, number in zip(q.stands_for, q.balloons, strict=True):
            said = mandrel.characteristic(id).said_by or id
            assert drawn[said] == {number}, (q.id, id)
