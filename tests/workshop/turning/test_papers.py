"""The request for quotation and the maker's bench card, and that sheet, request and order agree."""

from __future__ import annotations

import json

import pytest

from mandrelgen.assess.words import Answer, Word
from mandrelgen.model.mandrel import Mandrel, ThreadData
from mandrelgen.paper.reports import order_pages, quotation, turning_pages
from mandrelgen.paper.reports.bench_card import bench_card
from mandrelgen.spec.read import read_shop
from mandrelgen.spec.shop import Shop
from mandrelgen.spec.starters import starter
from mandrelgen.workflows.answers import plain
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
                 "sample parts", "marking", "delivery", "Lead time", "Price",
                 "thread pitch diameter", "M12xPh2.4P0.8-6f"):  # fmt: skip
        assert word in words, word
    assert texts(order_pages.request_page(asked))


def test_bench_card() -> None:
    pen, shop, designed = ALL["heron"]
    card = bench_card(pen, shop, designed, {"cap-mouth-plug": "MG-0001 A"})
    blanks = {b.part: b for b in card.blanks}
    assert blanks["barrel"].length == 84 + 2 + 2 + 3
    assert blanks["section"].length == 29 + 4
    assert [h.mandrel for h in card.held] == list(HERON)
    cap = card.held[0]
    assert cap.collet == "ISO 15488-25, 14"
    assert cap.stand_off == pytest.approx(15, abs=0.6)  # the designer's stand-off, nut to seat
    assert (cap.number, card.held[1].number) == ("MG-0001 A", "")
    # The speeds are the verdicts' own, each with what limits it.
    verdicts = {d.planned.id: d.verdict for d in designed}
    for h in card.held:
        v = verdicts[h.mandrel]
        assert v is not None
        assert v.speed is not None
        assert h.speed == v.speed.allowed > 0
        assert h.limited_by == v.speed.governing.why
    assert {h.speed for h in card.held} == {3200}  # the lathe's: no cap by stick-out
    threads = {c.thread for c in card.cuts}
    assert {"M8.5x0.75-6H", "M8.5x0.75-6g", "M7x0.5-6g"} <= threads
    narrow = [h.diameter for h in card.holes if (h.part, h.end) == ("cap", "mouth")
              and h.tool == "drill"]  # fmt: skip
    assert narrow == sorted(narrow)
    # The section is drilled through once; where a tap has no bore its drill comes first.
    assert [h.end for h in card.holes if h.part == "section" and h.tool == "drill"] == ["rear"]
    crown = [h.tool for h in card.holes if (h.part, h.end) == ("cap", "crown")]
    assert crown == ["drill for the tap", "counterbore"]
    assert any("no gloves" in c for c in card.cautions)
    page = order_pages.bench_page(card)
    assert all(len(r) == len(g.heads) for g in page.grids for r in g.rows)
    json.dumps(plain.view(card), allow_nan=False)


def test_the_card_names_no_mandrel_that_nobody_makes() -> None:
    """What is not needed says how the part is turned instead; what is owned goes by its number, and
    what one piece serves twice by the number of that piece."""
    pen, shop, designed = ALL["heron"]
    words = [
        Answer("cap-mouth-plug", Word.HAVE, "it fits", "MG-0007"),
        Answer("finial-root-cup", Word.SKIP, "turn it screwed into its cap"),
        Answer("barrel-mouth-plug", Word.ORDER, "no die"),
        Answer("section-rear-cup", Word.SKIP, "the same piece", "barrel-mouth-plug"),
    ]
    card = bench_card(pen, shop, designed, {"barrel-mouth-plug": "MG-0008 A"}, (), words)
    assert [h.number for h in card.held] == ["MG-0007", "", "MG-0008 A", "MG-0008 A"]
    assert [h.order for h in card.held] == [1, 2, 3, 4]
    (grid,) = [g for g in order_pages.bench_page(card).grids if "mandrels" in g.title]
    assert [r[2] for r in grid.rows] == ["MG-0007", "none", "MG-0008 A", "MG-0008 A"]
    assert grid.rows[1][-1] == "turn it screwed into its cap"


def test_a_speed_that_is_refused_says_so_and_both_ends_have_a_line() -> None:
    """A plastic mandrel without a tailstock must not run; a double-ended one holds two parts."""
    pen, shop, designed = made(
        "heron",
        '\n[mandrels.defaults]\nmaterial = "acetal"\n[[mandrels.requests]]\n'
        'holds = "barrel.mouth"\n[[mandrels.requests]]\nholds = "barrel.mouth.internal"\n'
        'also_holds = "section.rear"\nkind = "double-ended"\nshank_diameter = 13\n',
    )
    card = bench_card(pen, shop, designed)
    assert [h.part.lower() for h in card.held] == ["barrel", "barrel", "section"]
    assert [h.order for h in card.held] == [1, 2, 3]
    assert {h.speed for h in card.held} == {0}
    assert "DO NOT RUN" in texts(order_pages.bench_page(card))


def test_blanks_lie_about_where_the_trade_cuts_them() -> None:
    """Common practice, no source: about 95 for a barrel, 35 for a section, 65 to 70 for a cap."""
    pen, shop, designed = ALL["heron"]
    length = {b.part: b.length for b in bench_card(pen, shop, designed).blanks}
    assert length["barrel"] == pytest.approx(95, abs=5)
    assert length["section"] == pytest.approx(35, abs=3)
    assert 65 <= length["cap"] <= 70


@pytest.mark.parametrize("name", PENS)
def test_strict_request_and_card_are_short(name: str) -> None:
    from mandrelgen.files.writers.pdf.tables import pages_of
    from mandrelgen.workflows.order import _tables

    pen, shop, designed = ALL[name]
    asked = quotation.request(
        pen.pen.name, pen.pen.owner, "2026-05-31",
        [(d.mandrel, f"MG-{n:04d}", "A") for n, d in enumerate(designed, 1)], shop,
    )  # fmt: skip
    # The plain request is one page (test_plain_request.py); the strict one may take a second.
    for page, most in ((order_pages.request_page(asked), 2),
                       (order_pages.bench_page(bench_card(pen, shop, designed)), 1)):  # fmt: skip
        assert len(pages_of(_tables(page))) <= most, page.id


@pytest.mark.parametrize("order", ["single-point", "my-tool", "blank"])
def test_sheet_and_request_name_the_same_judge(order: str) -> None:
    """The sheet's note, the request's point and the order's facts."""
    from mandrelgen.paper.drawing.notes import _sentences
    from mandrelgen.workshop.turning.acceptance import rule_of

    pen, shop, designed = made("heron", f'\n[mandrels.defaults]\nthread_order = "{order}"\n')
    named = [(d.mandrel, f"MG-{n:04d}", "A") for n, d in enumerate(designed, 1)]
    asked = quotation.request(pen.pen.name, "", "2026-05-31", named, shop)  # type: ignore[arg-type]
    judge = "sample part" if order == "my-tool" else "limits"
    assert {j for i in quotation.facts(asked)["items"] for j in i["judged_by"]} == {judge}
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
    complete, what the sample part must do, what if the tool cuts otherwise, and what holds it."""
    tool, other = ("die", "tap") if t.limits.external else ("tap", "die")
    own = tool_of(m, t)
    assert own.tool == tool
    assert not own.usable or f"Near the seat: {own.reach}" in sheet
    for said in ("by hand until it bears on the seat all round", f"fit as cut by the {tool}",
                 f"the customer answers for the {tool}", f"own {tool}, sent along in its holder",
                 f"sample part and {tool} come along and go back"):  # fmt: skip
        assert said in sheet, said
    assert "test piece cut with it, screwed home, runs true to A within" in sheet
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
    lines = [x for x in inspection_plan.sheet(m, shop) if x.proof == "shop" and x.functional]
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
