"""A surface that may stay as the bar is bought carries the sign that permits any process."""

from __future__ import annotations

import pytest

from mandrelgen.assess.settled import designs
from mandrelgen.model.half_section import outline
from mandrelgen.paper.drawing.layout import drawing
from mandrelgen.paper.drawing.model import Line, Mark
from mandrelgen.spec.pen import Pen
from mandrelgen.workshop.turning.bar_stock import from_bar
from tests.support.randompens import SHOP
from tests.support.samples_sheet import ISSUE


def cup(shank: float) -> Pen:
    end = {"diameter": 11.2, "external": {"thread": "M7x0.75", "length": 9.0, "unformed": 0.8}}
    return Pen.model_validate(
        {
            "schema": 1,
            "pen": {"id": "reed", "name": "Reed"},
            "parts": {"section": {"length": 30.0, "diameter": 15.0, "ends": {"rear": end}}},
            "mandrels": {
                "defaults": {"shank_diameter": shank, "thread_order": "single-point"},
                "requests": [{"holds": "section.rear", "kind": "cup"}],
            },
        }
    )


@pytest.mark.parametrize(("shank", "as_bought"), [(12.0, True), (8.0, False)])
def test_only_a_shank_of_bar_permits_any_process(shank: float, as_bought: bool) -> None:
    """ISO 1302:2002, 4.2 and 4.3 (clauses from memory): the sign with a bar requires that material
    is removed, the one without permits any process."""
    (d,) = designs(cup(shank), SHOP)
    assert d.mandrel is not None
    assert from_bar(d.mandrel) is as_bought
    sheet = drawing(d.mandrel, outline(d.mandrel), ISSUE)
    signs = {
        m.id: sum(isinstance(i, Line) for i in m.items)
        for s in sheet.sheets
        for m in s.drawn
        if isinstance(m, Mark) and m.role == "roughness"
    }
    tick, with_bar = 1, 2
    assert signs["shank.roughness"] == (tick if as_bought else with_bar)
    assert signs["seat.roughness"] == with_bar
