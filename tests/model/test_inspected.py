"""One rule says which sizes are inspected: sheet, request, inspection sheet and receipt agree."""

from __future__ import annotations

import pytest

from mandrelgen.model.balloon_numbers import numbered
from mandrelgen.model.characteristic import Kind
from mandrelgen.model.inspected import MOST
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.paper.drawing.model import Arc, LineStyle, Sheet
from mandrelgen.paper.reports import quotation
from mandrelgen.spec.shop import Shop
from mandrelgen.workflows.build import Build
from mandrelgen.workshop.receipt.readings import judge
from mandrelgen.workshop.turning import instruments
from mandrelgen.workshop.turning.turner_card import turner_card
from tests.support.bench_pens import ALL
from tests.support.proving import NAME

EVERY = [
    pytest.param(d.mandrel, shop, id=f"{pen}/{d.mandrel.id}")
    for pen, (_, shop, designed) in ALL.items()
    for d in designed
    if d.mandrel is not None
]


def heavy(sheet: Sheet) -> set[str]:
    """The sizes whose circle is drawn heavy on paper."""
    return {
        m.id for m in sheet.marks("balloon")
        if any(isinstance(i, Arc) and i.pen is LineStyle.INSPECTED for i in m.items)
    }  # fmt: skip


@pytest.mark.parametrize(("mandrel", "shop"), EVERY)
def test_sheet_request_inspection_sheet_and_receipt_mean_the_same_sizes(
    mandrel: Mandrel, shop: Shop
) -> None:
    marked = heavy(Build(mandrel, NAME).sheet)
    lines = turner_card(mandrel, shop).inspection
    numbers = numbered(mandrel)
    assert marked == {x.id for x in lines if x.inspected}
    assert 3 <= len(marked) <= MOST
    # The strict request asks for those that home cannot prove, by their balloons.
    report = quotation.item(mandrel, shop, "MG-0001", "A").report
    shop_s = {x.id for x in lines if x.proof == "shop"}
    assert {a.id for a in report} == marked & shop_s
    assert all(a.balloon == numbers[a.id] for a in report)
    # A fixture that arrived is finished with these, and with no fewer.
    assert {j.id for j in judge(mandrel, shop, ()).judged} == {
        i for i in marked if not instruments.informative(mandrel, mandrel.characteristic(i))
    }


@pytest.mark.parametrize(("mandrel", "shop"), EVERY)
def test_what_is_inspected_is_what_the_use_hangs_on(mandrel: Mandrel, shop: Shop) -> None:
    """Every run-out asked for is among them, of a screwcut thread its pitch diameter, and nothing
    that the record does not call functional."""
    marked = heavy(Build(mandrel, NAME).sheet)
    by = {c.id: c for c in mandrel.characteristics}
    assert all(by[i].functional for i in marked)
    assert all(c.id in marked for c in by.values() if c.kind in (Kind.RUNOUT, Kind.FACE_RUNOUT))
    for t in mandrel.threads:
        own = t.feature.end.named("thread.pitch_diameter")
        assert (own in marked) is (t.order == "single-point")
