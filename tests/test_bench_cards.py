"""The turner's and the maker's pages: every starter pen, and what must be on them."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import pytest

from mandrelgen.bench import (
    infeed,
    orderpages,
    overwires,
    pages,
    papers,
    stock,
    threading,
    views,
    work,
)
from mandrelgen.bench.benchcard import bench_card
from mandrelgen.bench.card import turner_card
from mandrelgen.bench.variants import tool_of
from mandrelgen.design.designer import design
from mandrelgen.mandrel import Mandrel, MandrelKind, ThreadData
from mandrelgen.profile import outline
from mandrelgen.spec.read import effective_shop, read_pen, read_shop
from mandrelgen.spec.shop import Shop
from mandrelgen.spec.starters import starter
from mandrelgen.standards import materials

PENS = {"heron": "bench", "wren": "bench", "bittern": "small"}


def made(name: str, extra: str = ""):  # type: ignore[no-untyped-def]
    pen = read_pen(starter("pen", name) + extra.encode(), f"{name}.toml")
    shop = effective_shop(read_shop(starter("shop", PENS[name]), "shop.toml"), pen)
    return pen, shop, design(pen, shop)


ALL = {name: made(name) for name in PENS}
MANDRELS = [
    pytest.param(d.mandrel, shop, id=f"{name}-{d.mandrel.id}")
    for name, (_, shop, designed) in ALL.items()
    for d in designed
    if d.mandrel is not None
]
HERON = {d.mandrel.id: d.mandrel for d in ALL["heron"][2] if d.mandrel is not None}


def texts(page: pages.Page) -> str:
    cells = [c for g in page.grids for row in g.rows for c in row]
    return "\n".join([page.title, *(g.title for g in page.grids), *cells, *page.notes])


@pytest.mark.parametrize(("m", "shop"), MANDRELS)
def test_pages_of_every_mandrel(m: Mandrel, shop) -> None:  # type: ignore[no-untyped-def]
    card = turner_card(m, shop)
    found = pages.tables(card)
    assert [p.id for p in found][:1] == ["work"]
    assert found[-1].id == "inspection"
    for page in found:
        for grid in page.grids:
            assert sum(grid.widths) == pytest.approx(1)
            assert all(len(row) == len(grid.heads) == len(grid.widths) for row in grid.rows)
            assert len(grid.ids) in (0, len(grid.rows))
    assert found[-1].grids[0].ids == tuple(c.id for c in m.characteristics)
    text = "\n".join(texts(p) for p in found)
    for word in ("None", "nan", "inf/min", "Traceback"):
        assert word not in text.split()
    for t in m.threads:
        assert t.limits.designation.text in text
        assert "Change gears" in text or t.order != "single-point"
        assert ("Indexing" in text) == any(x.limits.designation.starts > 1 for x in m.threads)
    json.dumps(views.view(card), allow_nan=False)


@pytest.mark.parametrize(("m", "shop"), MANDRELS)
def test_bar_and_mass(m: Mandrel, shop) -> None:  # type: ignore[no-untyped-def]
    """The bar covers the mandrel with a skin, and the masses are those of its bodies: the finished
    one by Pappus over the half-section (volume of a body of revolution)."""
    s = stock.choose(m)
    assert s.bar is not None
    assert s.bar >= s.widest + 1 - 1e-9
    assert s.length >= s.finished_length + 5
    density = materials.material(m.ordering.material).density
    assert s.bar_mass == pytest.approx(math.pi * s.bar**2 / 4 * s.length * density / 1000)
    plain = replace(
        m,
        outer=tuple(replace(o, thread=None) for o in m.outer),
        inner=tuple(replace(o, thread=None) for o in m.inner),
    )
    pappus = 0.0
    for f in outline(plain).faces:
        pappus += math.pi * (f.z1 - f.z0) * (f.r0**2 + f.r0 * f.r1 + f.r1**2) / 3
    assert stock.finished_volume(plain) == pytest.approx(abs(pappus), rel=1e-6)
    assert s.finished_mass < s.bar_mass


def test_three_starts_on_the_lathe() -> None:
    """Lead 2.4 in a groove of 0.9: no time by hand, so away from the seat; 24/30 on a 3 mm screw;
    a third of a turn for each start."""
    card = turner_card(HERON["cap-mouth-plug"], ALL["heron"][1])
    (t,) = card.threads
    assert t.card.leaving is not None
    assert not t.card.leaving.by_hand
    assert "away from the seat" in t.card.leaving.advice
    assert t.gears.exact[0].text == "24/30"
    assert t.indexing is not None
    assert t.indexing.angles == (0, 120, 240)
    assert math.tan(math.radians(t.card.clearance.lead_angle_root)) == pytest.approx(
        2.4 / (math.pi * HERON["cap-mouth-plug"].threads[0].form.root_diameter)
    )
    assert t.card.clearance.shim == 4


def test_shim_as_worked_in_the_trade() -> None:
    """M12xPh3P1: lead angle at d3 about 5.07°; the usual 1° shim would leave 2° of the holder's 6,
    so a 3 or 4° shim is asked for."""
    thread = HERON["cap-mouth-plug"].threads[0]
    form = replace(thread.form, starts=3, pitch=1.0, crest_diameter=12.0, root_diameter=10.773)
    c = threading.clearance(replace(thread, form=form))
    assert c.lead_angle_root == pytest.approx(5.07, abs=0.02)
    assert 6 - (c.lead_angle_root - 1) == pytest.approx(2, abs=0.1)
    assert c.shim in (3, 4)
    assert c.left >= 2.5


def test_wires_that_do_not_reach() -> None:
    """3 to 4 mm of thread beside a collar: an anvil of 6.35 has 3.2 of radius (the trade's rule).
    Moving the collar away, or a small anvil, mends it."""
    m = HERON["cap-mouth-plug"]
    t = m.threads[0]
    short = replace(
        m,
        outer=tuple(replace(s, z0=1.0, z1=4.0) if s.feature == "thread" else s for s in m.outer),
    )  # the thread's grooves 1 to 4 mm in front of the collar
    far = overwires.reach(short, t)
    assert not far.wires
    assert any("small anvils" in x for x in far.instead)
    assert any("ring gauges" in x for x in far.instead)
    assert overwires.reach(short, t, anvil=2.0).wires
    slim = replace(short, outer=tuple(
        replace(s, d0=min(s.d0, 11.0), d1=min(s.d1, 11.0)) for s in short.outer))  # fmt: skip
    assert overwires.reach(slim, t).wires
    assert overwires.reach(m, t).wires
    assert not overwires.reach(
        HERON["section-rear-cup"], HERON["section-rear-cup"].threads[0]
    ).wires


def test_reach_of_a_second_end_is_the_same() -> None:
    """The mandrel turned round, its thread on the other side, gives the same answer."""
    m = HERON["barrel-mouth-plug"]
    t = m.threads[0]
    turned = replace(
        m,
        outer=tuple(
            replace(s, feature=f"b.{s.feature}", z0=-s.z1, z1=-s.z0, d0=s.d1, d1=s.d0)
            for s in reversed(m.outer)
        ),
    )
    assert overwires.reach(turned, replace(t, feature="b.thread")) == overwires.reach(m, t)


def test_limits_over_wires_are_rounded_inwards() -> None:
    for m in HERON.values():
        for t in m.threads:
            w = overwires.over_wires(t)
            assert (w is None) == (not t.limits.external)
            if w is None:
                continue
            d = t.limits.designation
            plain = 3 * w.wire - math.sqrt(3) / 2 * d.pitch + w.correction
            assert t.limits.pitch.min is not None
            assert t.limits.pitch.max is not None
            assert 0 <= w.lower - (t.limits.pitch.min + plain) < 0.0011
            assert 0 <= (t.limits.pitch.max + plain) - w.upper < 0.0011


def test_even_starts_take_two_wires() -> None:
    t = HERON["cap-mouth-plug"].threads[0]
    d = replace(t.limits.designation, starts=2)
    two = overwires.over_wires(replace(t, limits=replace(t.limits, designation=d)))
    three = overwires.over_wires(t)
    assert two is not None
    assert three is not None
    assert (two.count, three.count) == (2, 3)
    assert "opposite" in two.setting


@pytest.mark.parametrize(("order", "said"), [("my-tool", "sent along"), ("blank", "not thread")])
def test_thread_left_to_the_maker(order: str, said: str) -> None:
    _, shop, designed = made("heron", f'\n[mandrels.defaults]\nthread_order = "{order}"\n')
    for d in designed:
        if d.mandrel is None or not d.mandrel.threads:
            continue
        card = turner_card(d.mandrel, shop)
        text = "\n".join(texts(p) for p in pages.tables(card))
        assert said in text
        assert "Change gears" not in text
        assert "cross slide" not in text
        tool = "die" if d.mandrel.threads[0].limits.external else "tap"
        assert papers.ORDERED[order].format(tool=tool) in papers.item(d.mandrel, shop).thread_order


def test_double_ended_mandrels_have_both_threads() -> None:
    _, shop, designed = made(
        "heron",
        '\n[[mandrels.requests]]\nid = "both"\nholds = "barrel.mouth.internal"\n'
        'also_holds = "section.rear"\nkind = "double-ended"\n'
        "shank_diameter = 16.0\n",
    )
    (m,) = [d.mandrel for d in designed if d.mandrel is not None]
    assert m.kind is MandrelKind.DOUBLE_ENDED
    card = turner_card(m, shop)
    assert [t.card.feature for t in card.threads] == ["thread", "b.thread"]
    assert [t.card.external for t in card.threads] == [True, False]
    assert card.threads[1].card.bar is not None
    assert 5 < card.threads[1].card.bar.reach < 15
    assert any("on the same shank" in s.what for s in card.order_of_work)


def test_request_for_quotation() -> None:
    """What an e-mail for a quotation holds (a summary of buyers' check lists): quantities,
    material with condition, certificate, inspection report, samples, marking, delivery, and
    questions to answer back; plain text of at most 76 characters a line."""
    pen, shop, _ = ALL["heron"]
    asked = papers.request(
        pen.pen.name, pen.pen.owner, "2026-05-31",
        [(m, f"RB-{n:04d}", "A") for n, m in enumerate(HERON.values(), 1)], shop,
    )  # fmt: skip
    text = papers.email(asked)
    assert max(len(line) for line in text.splitlines()) <= 76
    words = " ".join(text.split())
    for word in ("RB-0001 A", "1, 2, 5", "EN 10277", "EN 10204", "inspection report",
                 "sample parts", "marking", "delivery", "Lead time", "Price",
                 "thread pitch diameter", "M12xPh2.4P0.8-6f"):  # fmt: skip
        assert word in words, word
    assert texts(orderpages.request_page(asked))


def test_bench_card() -> None:
    pen, shop, designed = ALL["heron"]
    card = bench_card(pen, shop, designed, {"cap-mouth-plug": "MG-0001 A"})
    blanks = {b.part: b for b in card.blanks}
    assert blanks["barrel"].length == 84 + 2 + 2 + 3
    assert blanks["section"].length == 29 + 4
    assert [h.mandrel for h in card.held] == list(HERON)
    cap = card.held[0]
    assert cap.collet == "ISO 15488-25, 13"
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
    assert len({h.speed for h in card.held}) > 1
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
    page = orderpages.bench_page(card)
    assert all(len(r) == len(g.heads) for g in page.grids for r in g.rows)
    json.dumps(views.view(card), allow_nan=False)


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
    assert "DO NOT RUN" in texts(orderpages.bench_page(card))


def test_blanks_lie_about_where_the_trade_cuts_them() -> None:
    """Common practice, no source: about 95 for a barrel, 35 for a section, 65 to 70 for a cap."""
    pen, shop, designed = ALL["heron"]
    length = {b.part: b.length for b in bench_card(pen, shop, designed).blanks}
    assert length["barrel"] == pytest.approx(95, abs=5)
    assert length["section"] == pytest.approx(35, abs=3)
    assert 65 <= length["cap"] <= 70


@pytest.mark.parametrize("name", PENS)
def test_request_and_card_are_one_page_each(name: str) -> None:
    from mandrelgen.ordering import _tables
    from mandrelgen.writers.pdf.tables import pages_of

    pen, shop, designed = ALL[name]
    asked = papers.request(
        pen.pen.name, pen.pen.owner, "2026-05-31",
        [(d.mandrel, f"MG-{n:04d}", "A") for n, d in enumerate(designed, 1)], shop,
    )  # fmt: skip
    for page in (orderpages.request_page(asked),
                 orderpages.bench_page(bench_card(pen, shop, designed))):  # fmt: skip
        assert len(pages_of(_tables(page))) == 1, page.id


@pytest.mark.parametrize("order", ["single-point", "my-tool", "blank"])
def test_sheet_and_request_name_the_same_judge(order: str) -> None:
    """The sheet's note, the request's point and the order's facts."""
    from mandrelgen.bench.judging import rule_of
    from mandrelgen.sheet.notes import _sentences

    pen, shop, designed = made("heron", f'\n[mandrels.defaults]\nthread_order = "{order}"\n')
    named = [(d.mandrel, f"MG-{n:04d}", "A") for n, d in enumerate(designed, 1)]
    asked = papers.request(pen.pen.name, "", "2026-05-31", named, shop)  # type: ignore[arg-type]
    judge = "sample part" if order == "my-tool" else "limits"
    assert {j for i in papers.facts(asked)["items"] for j in i["judged_by"]} == {judge}
    words = " ".join(papers.email(asked).split())
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
    for said in ("by hand until it bears on the seat all round", f"shake as the {tool} leaves it",
                 f"the customer answers for the {tool}", f"own {tool}, sent along in its holder",
                 "the thread's run-out is what the one setting gives",
                 f"sample part and {tool} come along and go back"):  # fmt: skip
        assert said in sheet, said
    assert other not in sheet.replace("tapered", "").split()
    cards = " ".join("\n".join(texts(p) for p in pages.tables(turner_card(m, shop))).split())
    assert ("stop and ask: the customer answers for" in cards) is own.usable


def test_what_home_cannot_prove_is_in_the_request() -> None:
    """By the same characteristics, with their balloons, as the inspection sheet asks of the shop;
    a maker with every instrument asks less."""
    from mandrelgen.bench import inspection

    pen, shop, _ = ALL["heron"]
    m = HERON["barrel-mouth-plug"]
    i = papers.item(m, shop, "MG-0003", "A")
    lines = [x for x in inspection.sheet(m, shop) if x.proof == "shop" and x.functional]
    assert [(a.balloon, a.id) for a in i.report] == [(x.number, x.id) for x in lines]
    assert all(m.characteristics[a.balloon - 1].id == a.id for a in i.report)
    text = papers.email(papers.request(pen.pen.name, "", "2026-05-31", [(m, "MG-0003", "A")], shop))
    for a in i.report:
        assert f"MG-0003 no. {a.balloon}" in " ".join(text.split())
    rich = read_shop(
        starter("shop", "bench") + b'\n[instruments.dial]\nkind = "indicator"\n'
        b"uncertainty = 0.002\n", "shop.toml",
    )  # fmt: skip
    gone = {a.id for a in i.report} - {a.id for a in papers.item(m, rich).report}
    assert gone == {"spigot1.runout", "seat.runout"}


def test_views_refuse_what_is_no_json() -> None:
    with pytest.raises(TypeError):
        views.view(object())


def test_spigots_and_buttons_have_pages_without_a_thread() -> None:
    _, shop, designed = made(
        "heron",
        '\n[[mandrels.requests]]\nholds = "section.rear"\ntailstock_button = true\n'
        '[[mandrels.requests]]\nholds = "barrel.mouth.bore"\nkind = "spigot"\n',
    )
    kinds = {d.mandrel.kind: d.mandrel for d in designed if d.mandrel is not None}
    assert {MandrelKind.SPIGOT, MandrelKind.BUTTON} <= set(kinds)
    for kind in (MandrelKind.SPIGOT, MandrelKind.BUTTON):
        card = turner_card(kinds[kind], shop)
        assert card.threads == ()
        assert [p.id for p in pages.tables(card)] == ["work", "inspection"]
        assert papers.item(kinds[kind], shop).thread == "plain"
        assert work.order_of_work(kinds[kind])


def test_a_full_profile_insert_leaves_the_crest_of_iso_68_1() -> None:
    """ISO 68-1 as a handbook prints it: d - d2 = 0.649519 P, D2 - D1 = (1.082532 - 0.649519) P."""
    for name, step in (("cap-mouth-plug", 0.649519), ("section-rear-cup", -0.433013)):
        t = HERON[name].threads[0]
        found = infeed.topping(t)
        low, high = t.limits.pitch.min, t.limits.pitch.max
        assert low is not None
        assert high is not None
        p = t.form.pitch
        assert found.crest == pytest.approx((low + step * p, high + step * p), abs=1e-5)
        assert found.pitch is not None
        crest = t.limits.crest
        for d in found.pitch:
            assert crest.min is not None
            assert crest.max is not None
            assert crest.min - 1e-9 <= d + step * p <= crest.max + 1e-5


def test_a_full_profile_insert_that_spoils_the_crest_is_refused() -> None:
    t = HERON["cap-mouth-plug"].threads[0]
    tight = replace(t.limits, major=replace(t.limits.major, min=11.99, max=12.0))
    assert infeed.topping(replace(t, limits=tight)).pitch is None


@pytest.mark.parametrize(("m", "shop"), MANDRELS)
def test_threads_to_be_cut_say_which_insert_suits(m: Mandrel, shop) -> None:  # type: ignore[no-untyped-def]
    found = "\n".join(texts(p) for p in pages.tables(turner_card(m, shop)))
    cut = any(t.order == "single-point" for t in m.threads)
    assert ("partial profile (a V that does not top) suits" in found) is cut
    assert ("Full profile (tops, P" in found) is cut


@pytest.mark.parametrize(("m", "shop"), MANDRELS)
def test_the_shop_has_columns_for_its_own_readings(m: Mandrel, shop) -> None:  # type: ignore[no-untyped-def]
    found = pages.tables(turner_card(m, shop))
    every = {g.title: g for p in found for g in p.grids}
    for title, heads in (
        ("Measure at the lathe, while it can be reached", ("read",)),
        ("Every characteristic, by its balloon", ("shop reads", "I read")),
    ):
        grid = every[title]
        for head in heads:
            at = grid.heads.index(head)
            assert all(row[at] == "" for row in grid.rows)
            # Room for ⌀12.973 in a hand's writing: 15 mm of the 180 the tables are wide.
            assert grid.widths[at] * 180 >= 15
    by_eye = [r for r in every["Every characteristic, by its balloon"].rows if "angle" in r[1]]
    assert by_eye
    assert all("protractor" in r[4] and "comparator" in r[4] for r in by_eye)
