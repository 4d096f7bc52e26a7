"""The turner's pages: every starter pen, and what must be on them."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import pytest

from mandrelgen.model.half_section import outline
from mandrelgen.model.mandrel import Mandrel, MandrelKind
from mandrelgen.paper.reports import quotation, turning_pages
from mandrelgen.standards import materials
from mandrelgen.workflows.answers import plain
from mandrelgen.workshop.turning import bar_stock, operations
from mandrelgen.workshop.turning.turner_card import turner_card
from tests.support.bench_pens import ALL, HERON, MANDRELS, made, texts


@pytest.mark.parametrize(("m", "shop"), MANDRELS)
def test_pages_of_every_mandrel(m: Mandrel, shop) -> None:  # type: ignore[no-untyped-def]
    card = turner_card(m, shop)
    found = turning_pages.tables(card)
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
    json.dumps(plain.view(card), allow_nan=False)


@pytest.mark.parametrize(("m", "shop"), MANDRELS)
def test_bar_and_mass(m: Mandrel, shop) -> None:  # type: ignore[no-untyped-def]
    """The bar covers the mandrel with a skin, or is its shank, and the masses are those of its
    bodies: the finished one by Pappus over the half-section (volume of a body of revolution)."""
    s = bar_stock.choose(m)
    assert s.bar is not None
    shank = next(o.d0 for o in m.outer if o.feature == "shank")
    assert s.bar >= s.widest + 1 - 1e-9 or s.bar == shank == s.widest
    assert s.length >= s.finished_length + 1 + 3  # a facing and the parting cut
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
    assert bar_stock.finished_volume(plain) == pytest.approx(abs(pappus), rel=1e-6)
    assert s.finished_mass < s.bar_mass


def test_three_starts_on_the_lathe() -> None:
    """Lead 2.4 in a groove of 2.1: beside the collar, (13.6 − 10.844) / 2 above the root, a 60°
    point is 0.796 wide a side, and 0.1 of air: (2.1 − 0.896) / 2.4 turns in half a second, 60 rpm
    by hand and so no time on a lathe that runs at 100 at least: away from the seat; 24/30 on a
    3 mm screw; a third of a turn for each start."""
    shop = ALL["heron"][1]
    fast = shop.model_copy(update={"turner": shop.turner.model_copy(update={"lowest_speed": 100})})
    card = turner_card(HERON["cap-mouth-plug"], fast)
    (t,) = card.threads
    assert t.card.leaving is not None
    assert t.card.leaving.speed == 60
    assert not t.card.leaving.by_hand
    assert "away from the seat" in t.card.leaving.advice
    assert t.gears.exact[0].text == "24/30"
    assert t.indexing is not None
    assert t.indexing.angles == (0, 120, 240)
    assert math.tan(math.radians(t.card.clearance.steepest)) == pytest.approx(
        2.4 / (math.pi * HERON["cap-mouth-plug"].threads[0].form.root_diameter)
    )
    assert t.card.clearance.shim == 4


@pytest.mark.parametrize(
    ("order", "said"), [("my-tool", "supplied in its holder"), ("blank", "not thread")]
)
def test_thread_left_to_the_maker(order: str, said: str) -> None:
    _, shop, designed = made("heron", f'\n[mandrels.defaults]\nthread_order = "{order}"\n')
    for d in designed:
        if d.mandrel is None or not d.mandrel.threads:
            continue
        card = turner_card(d.mandrel, shop)
        text = "\n".join(texts(p) for p in turning_pages.tables(card))
        assert said in text
        assert "Change gears" not in text
        assert "cross slide" not in text
        tool = "die" if d.mandrel.threads[0].limits.external else "tap"
        assert (
            quotation.ORDERED[order].format(tool=tool)
            in quotation.item(d.mandrel, shop).thread_order
        )


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


def test_views_refuse_what_is_no_json() -> None:
    with pytest.raises(TypeError):
        plain.view(object())


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
        assert [p.id for p in turning_pages.tables(card)] == ["work", "inspection"]
        assert quotation.item(kinds[kind], shop).thread == "plain"
        assert operations.order_of_work(kinds[kind])


@pytest.mark.parametrize(("m", "shop"), MANDRELS)
def test_threads_to_be_cut_say_which_insert_suits(m: Mandrel, shop) -> None:  # type: ignore[no-untyped-def]
    found = "\n".join(texts(p) for p in turning_pages.tables(turner_card(m, shop)))
    cut = any(t.order == "single-point" for t in m.threads)
    assert ("partial profile (a V that does not top) suits" in found) is cut
    assert ("Full profile (tops, P" in found) is cut


@pytest.mark.parametrize(("m", "shop"), MANDRELS)
def test_the_shop_has_columns_for_its_own_readings(m: Mandrel, shop) -> None:  # type: ignore[no-untyped-def]
    found = turning_pages.tables(turner_card(m, shop))
    every = {g.title: g for p in found for g in p.grids}
    for title, heads in (
        ("Measure at the lathe, while it can be reached", ("read",)),
        ("Every characteristic, by its balloon", ("supplier actual", "customer actual")),
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
