"""The starters' characteristics stay as they were: the same pen gives the same sizes."""

from __future__ import annotations

import json

import pytest

from mandrelgen.assess.settled import designs
from mandrelgen.spec.read import effective_shop, read_pen, read_shop
from mandrelgen.spec.starters import starter
from tests.paths import GOLDEN

SHOPS = {"heron": "bench", "wren": "bench", "bittern": "small"}
Row = tuple[str, float, float | None, float | None, str, str]


def sizes(pen: str) -> dict[str, list[Row]]:
    """Mandrel → its characteristics: id, nominal, lower, upper, unit, tolerance; six places."""

    def places(x: float | None) -> float | None:
        return None if x is None else round(x, 6) + 0.0

    model = read_pen(starter("pen", pen), pen)
    shop = effective_shop(read_shop(starter("shop", SHOPS[pen]), SHOPS[pen]), model)
    return {
        d.mandrel.id: [
            (c.id, round(c.nominal, 6), places(c.lower), places(c.upper), c.unit, c.written)
            for c in d.mandrel.characteristics
        ]
        for d in designs(model, shop)
        if d.mandrel is not None
    }


@pytest.mark.parametrize("pen", SHOPS)
def test_a_starter_keeps_its_sizes(pen: str) -> None:
    kept = json.loads((GOLDEN / f"sizes-{pen}.json").read_text("utf-8"))
    now = {name: [list(row) for row in rows] for name, rows in sizes(pen).items()}
    assert now == kept
