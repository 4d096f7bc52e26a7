"""The request for quotation, and that sheet, request and order agree."""

from __future__ import annotations

import pytest

from mandrelgen.model.mandrel import Mandrel, ThreadData
from mandrelgen.paper.reports import order_pages, quotation, turning_pages
from mandrelgen.spec.read import read_shop
from mandrelgen.spec.shop import Shop
from mandrelgen.spec.starters import starter
from mandrelgen.workshop.turning.thread_alternatives import tool_of
from mandrelgen.workshop.turning.turner_card import turner_card
from tests.support.bench_pens import ALL, HERON, PENS, made, texts


def test_request_for_quotation() -> None:
    """What an e-mail for a quotation holds (a summary of buyers' check lists): quantities,
    material with condition, certificate, inspection report, samples, marking, delivery, and
    questions to answer back; plain text of at most 76 characters a line."""
    pen, shop, _ = ALL["heron"]
    asked = quotation.request(
        pen.pen.name, pen.pen.owner, "2026-05-31",
        [(m, f"RB-{n:04d}", "A") for n, m in enumerate(HERON.values(), 1)], shop,
    )  # fmt: skip
    text = quotation.email(asked)
    assert max(len(line) for line in text.splitlines()) <= 76
    words = " ".join(text.split())
    for word in ("RB-0001 A", "1, 2, 5", "EN 10088-3", "EN 10204", "inspection report",
                 "test pieces", "marking", "delivery", "Lead time", "Price",
                 "thread pitch diameter", "M12xPh2.4P0.8-6f"):  # fmt: skip
        assert word in words, word
    assert texts(order_pages.request_page(asked))


@pytest.mark.parametrize("name", PENS)
def test_the_strict_request_is_short(name: str) -> None:
    from mandrelgen.files.writers.pdf.tables import pages_of
    from mandrelgen.workflows.order import _tables

    pen, shop, designed = ALL[name]
    asked = quotation.request(
        pen.pen.name, pen.pen.owner, "2026-05-31",
        [(d.mandrel, f"MG-{n:04d}", "A") for n, d in enumerate(designed, 1)], shop,
    )  # fmt: skip
    # The plain request is one page (test_plain_request.py); the strict one may take a second.
    assert len(pages_of(_tables(order_pages.request_page(asked)))) <= 2


@pytest.mark.parametrize("order", ["single-point", "my-tool", "blank"])
def test_sheet_and_request_name_the_same_judge(order: str) -> None:
    """The sheet's note, the request's point and the order's facts."""
    from mandrelgen.paper.drawing.notes import _sentences
    from mandrelgen.workshop.turning.acceptance import rule_of

    pen, shop, designed = made("heron", f'\n[mandrels.defaults]\nthread_order = "{order}"\n')
    named = [(d.mandrel, f"MG-{n:04d}", "A") for n, d in enumerate(designed, 1)]
    asked = quotation.request(pen.pen.name, "", "2026-05-31", named, shop)  # type: ignore[arg-type]
    judge = {
        "my-tool": {"test piece"},
        # None of the heron's threads is of ISO 261 (M12x0.8, M7x0.5, M8.5x0.75).
        "single-point": {"go gauge or test piece"},
        "blank": {"limits"},
    }[order]
    assert {j for i in quotation.facts(asked)["items"] for j in i["judged_by"]} == judge
    words = " ".join(quotation.email(asked).split())
    for m, _, _ in named:
        assert m is not None
        sheet = " ".join(_sentences(m, ""))
        for t in m.threads:
            assert rule_of(t, m).text in words
            if order != "blank":
                assert rule_of(t, m).text in sheet
            if order == "my-tool":
                check_own_tool(m, t, sheet, shop)
    # The tool cuts the mandrel's own thread: a die for a plug, a tap for a cup.
    tools = ("die M12xPh2.4P0.8", "die M8.5x0.75", "tap M7x0.5", "tap M8.5x0.75")
    assert len(asked.sent.tools) == (len(tools) if order == "my-tool" else 0)
    for a, b in zip(asked.sent.tools, tools, strict=False):
        assert a.startswith(b)
    assert asked.sent.samples == ("barrel", "cap", "finial", "section")


def check_own_tool(m: Mandrel, t: ThreadData, sheet: str, shop: Shop) -> None:
    """What a turner asked of a thread cut with the customer's own tool: how near the seat it is
    complete, what the test piece must do, what if the tool cuts otherwise, and what holds it."""
    tool, other = ("die", "tap") if t.limits.external else ("tap", "die")
    own = tool_of(m, t)
    assert own.tool == tool
    assert not own.usable or f"Near the seat: {own.reach}" in sheet
    for said in ("by hand until it bears on the seat all round", f"fit as cut by the {tool}",
                 f"the customer answers for the {tool}", f"own {tool}, supplied in its holder",
                 f"test piece and {tool} are supplied on loan"):  # fmt: skip
        assert said in sheet, said
    assert "a test piece with the counter thread, screwed home, runs true to A within" in sheet
    assert other not in sheet.replace("tapered", "").split()
    cards = " ".join(
        "\n".join(texts(p) for p in turning_pages.tables(turner_card(m, shop))).split()
    )
    assert ("stop and ask: the customer answers for" in cards) is own.usable


def test_what_home_cannot_prove_is_in_the_request() -> None:
    """By the same characteristics, with their balloons, as the inspection sheet asks of the shop;
    a maker with every instrument asks less."""
    from mandrelgen.workshop.turning import inspection_plan

    pen, shop, _ = ALL["heron"]
    m = HERON["barrel-mouth-plug"]
    i = quotation.item(m, shop, "MG-0003", "A")
    lines = [x for x in inspection_plan.sheet(m, shop) if x.proof == "shop" and x.inspected]
    assert [(a.balloon, a.id) for a in i.report] == [(x.number, x.id) for x in lines]
    own = [c.id for c in m.characteristics if not c.said_by]
    assert all(own[a.balloon - 1] == a.id for a in i.report)
    text = quotation.email(
        quotation.request(pen.pen.name, "", "2026-05-31", [(m, "MG-0003", "A")], shop)
    )
    for a in i.report:
        assert f"MG-0003 no. {a.balloon}" in " ".join(text.split())
    rich = read_shop(
        starter("shop", "bench") + b'\n[instruments.dial]\nkind = "indicator"\n'
        b"uncertainty = 0.002\n", "shop.toml",
    )  # fmt: skip
    gone = {a.id for a in i.report} - {a.id for a in quotation.item(m, rich).report}
    assert gone == {"thread.runout", "seat.runout"}
