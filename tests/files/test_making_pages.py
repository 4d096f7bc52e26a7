"""The turner's pages are few, full, and lose nothing by being packed."""

from __future__ import annotations

import pytest

from mandrelgen.files.writers.pdf import tables
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.paper.drawing.model import Table
from mandrelgen.spec.shop import Shop
from mandrelgen.workflows.build import Build
from mandrelgen.workflows.order import turner_tables
from tests.support.bench_pens import ALL
from tests.support.proving import NAME

EVERY = [
    pytest.param(d.mandrel, shop, id=f"{pen}/{d.mandrel.id}")
    for pen, (_, shop, designed) in ALL.items()
    for d in designed
    if d.mandrel is not None
]


def making(mandrel: Mandrel, shop: Shop) -> tuple[Table, ...]:
    papers = Build(mandrel, NAME, extra=turner_tables(mandrel, shop)).papers
    return (*papers.tables, *papers.behind)


@pytest.mark.parametrize(("mandrel", "shop"), EVERY)
def test_four_pages_do_and_five_of_several_starts(mandrel: Mandrel, shop: Shop) -> None:
    pages = tables.pages_of(making(mandrel, shop))
    several = any(t.form.starts > 1 for t in mandrel.threads)
    assert len(pages) <= (5 if several else 4)
    room = tables.TOP - tables.BOTTOM
    for page in pages:
        # What stands last needs no space under it.
        assert sum(p.height for p in page) - tables.GAP <= room + 1e-6


@pytest.mark.parametrize(("mandrel", "shop"), EVERY)
def test_every_row_stands_on_a_page_in_its_order(mandrel: Mandrel, shop: Shop) -> None:
    def joined(cells: object) -> str:
        return "".join(str(cells).split())

    given = making(mandrel, shop)
    shown = [row for page in tables.pages_of(given) for piece in page for row in piece.rows]
    wanted = [row for table in given for row in table.rows]
    assert len(shown) == len(wanted)
    for lines, cells in zip(shown, wanted, strict=True):
        assert [joined("".join(c)) for c in lines] == [joined(c) for c in cells]


def test_lines_stand_as_far_apart_as_lettering_asks() -> None:
    """ISO 3098: lines without accents are 15/10 of the capitals' height apart at least."""
    assert pytest.approx(1.5 * tables.TEXT) == tables.LINE
