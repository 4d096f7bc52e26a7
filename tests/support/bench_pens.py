"""Every starter pen designed, for the tests of the turner's and the maker's pages."""

from __future__ import annotations

import pytest

from mandrelgen.assess.settled import designs
from mandrelgen.paper.reports import turning_pages
from mandrelgen.spec.read import effective_shop, read_pen, read_shop
from mandrelgen.spec.starters import starter

PENS = {"heron": "bench", "wren": "bench", "bittern": "small"}


def made(name: str, extra: str = ""):  # type: ignore[no-untyped-def]
    pen = read_pen(starter("pen", name) + extra.encode(), f"{name}.toml")
    shop = effective_shop(read_shop(starter("shop", PENS[name]), "shop.toml"), pen)
    return pen, shop, designs(pen, shop)


ALL = {name: made(name) for name in PENS}
MANDRELS = [
    pytest.param(d.mandrel, shop, id=f"{name}-{d.mandrel.id}")
    for name, (_, shop, designed) in ALL.items()
    for d in designed
    if d.mandrel is not None
]
HERON = {d.mandrel.id: d.mandrel for d in ALL["heron"][2] if d.mandrel is not None}


def texts(page: turning_pages.GridPage) -> str:
    cells = [c for g in page.grids for row in g.rows for c in row]
    return "\n".join([page.title, *(g.title for g in page.grids), *cells, *page.notes])
