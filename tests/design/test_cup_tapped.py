"""Under a tap a cup needs no groove: drilled deeper instead where that costs less."""

from __future__ import annotations

import math
import tomllib

import pytest

from mandrelgen.assess import stock_tapped
from mandrelgen.assess.settled import designs
from mandrelgen.design import cup_bottom, making_price
from mandrelgen.model.feature import FeatureKind, MandrelEnd
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.paper.drawing.model import Text
from mandrelgen.paper.drawing.notes import notes_block
from mandrelgen.paper.reports import quotation
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.starters import starter
from mandrelgen.workshop.home import own_drilling
from mandrelgen.workshop.receipt import home_form
from mandrelgen.workshop.turning import in_process_checks
from mandrelgen.workshop.turning.acceptance import rule_of
from mandrelgen.workshop.turning.operations import order_of_work
from mandrelgen.workshop.turning.thread_alternatives import tap
from tests.support import cost_proxy
from tests.support.randompens import SHOP


def pen(thread: str = "M9x0.75", length: float = 7.0, order: str | None = "my-tool") -> Pen:
    return Pen.model_validate(
        {
            "schema": 1,
            "pen": {"id": "reed", "name": "Reed"},
            "parts": {
                "section": {
                    "length": 30.0,
                    "diameter": 13.0,
                    "ends": {
                        "rear": {
                            "diameter": 12.5,
                            "external": {"thread": thread, "length": length, "unformed": 1.0},
                        }
                    },
                }
            },
            "mandrels": {
                "defaults": {} if order is None else {"thread_order": order},
                "requests": [{"holds": "section.rear"}],
            },
        }
    )


def made(p: Pen) -> Mandrel:
    (d,) = designs(p, SHOP)
    assert d.mandrel is not None, d.findings
    return d.mandrel


def grooved(m: Mandrel) -> bool:
    return any(s.feature.kind is FeatureKind.RELIEF for s in m.inner)


@pytest.mark.parametrize(
    ("order", "thread", "tapped"),
    [
        ("my-tool", "M9x0.75", True),
        ("stock-tap", "M6x0.75", True),
        ("single-point", "M9x0.75", False),
        ("blank", "M9x0.75", False),
    ],
)
def test_only_a_tapped_thread_is_judged_by_a_test_piece_alone(
    order: str, thread: str, tapped: bool
) -> None:
    """A tap follows its own start: the counterbore's run-out would tell nothing of it."""
    m = made(pen(thread, order=order))
    assert m.threads[0].order == order
    assert any(c.id == "counterbore.runout" for c in m.characteristics) is not tapped
    assert any(d.id == "thread.runout" for d in m.decisions) is tapped
    (found,) = [r for r in home_form.running(m, MandrelEnd.FIRST) if not r.axial]
    assert (found.on_piece, found.drawn) == (tapped, not tapped)
    if tapped:
        assert "a test piece with the counter thread" in rule_of(m.threads[0], m).text


def test_the_deeper_hole_takes_the_tenon_and_the_tap_by_plain_arithmetic() -> None:
    """A tenon of 7 (+ its tolerance) and 0.5 of air; behind the full thread at its deepest 3 P of a
    second tap (DIN 2197 form C, from memory) and 1 for chips."""
    m = made(pen())
    assert not grooved(m)
    full, hole = m.characteristic("thread.depth"), m.characteristic("pilot.depth")
    assert full.lower is not None
    assert full.upper is not None
    assert full.lower >= 7.0 + 0.5
    assert hole.nominal >= full.upper + 3 * 0.75 + 1.0
    assert hole.nominal - (full.upper + 3 * 0.75 + 1.0) < 0.5
    thread = next(s for s in m.inner if s.thread is not None)
    pilot = next(s for s in m.inner if s.feature == "pilot")
    assert thread.thread is not None
    assert -thread.z0 == pytest.approx(full.nominal + thread.thread.fade)
    assert thread.thread.fade == pytest.approx(3 * 0.75)
    # One drill: the hole goes on at the thread's minor diameter, and ends in a point of 118°.
    assert pilot.d0 == pilot.d1 == thread.d0
    tip = m.inner[0]
    assert (tip.z1 - tip.z0) * math.tan(math.radians(59)) == pytest.approx(tip.d1 / 2)


@pytest.mark.parametrize(
    "p",
    [
        pen(order="single-point"),  # a single point must run out somewhere
        pen("M9xPh1.5P0.75", order="blank"),
        pen("M9xPh1.5P0.75"),  # whose tap may have any lead
        pen("M5x0.5", length=13.0),  # more than two and a half diameters
    ],
)
def test_where_no_tap_does_it_the_groove_stays(p: Pen) -> None:
    assert grooved(made(p))


def test_both_ways_are_priced_as_the_figure_for_defaults_prices_them(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    deeper = made(pen())
    monkeypatch.setattr(cup_bottom, "too_deep", lambda *_: "kept for comparison")
    usual = made(pen())
    assert grooved(usual)
    (said,) = (d for d in deeper.decisions if d.id == "thread.bottom")
    (kept,) = (d for d in usual.decisions if d.id == "thread.bottom")
    prices = [
        making_price.of_inside(
            m.inner, [c for c in m.characteristics if c.feature in {s.feature for s in m.inner}]
        )
        for m in (usual, deeper)
    ]
    costs = [cost_proxy.counts(m).cost for m in (usual, deeper)]
    assert prices[0].minutes - prices[1].minutes == pytest.approx(costs[0] - costs[1])
    assert costs[1] < costs[0]
    assert len(order_of_work(usual)) == len(order_of_work(deeper))
    for d in (said, kept):
        assert d.why.count(" min (") == 2
    assert kept.why.startswith("kept for comparison")


def test_the_minutes_are_those_of_the_figure_for_defaults() -> None:
    assert {
        k: v for k, v in cost_proxy.WEIGHTS.items() if k in making_price.MINUTES
    } == making_price.MINUTES


def test_no_step_cuts_a_groove_that_is_not_there() -> None:
    text = " ".join(s.what for s in order_of_work(made(pen())))
    assert "relief" not in text
    assert "Drill" in text


# -- the turner's own stock tap --------------------------------------------------------------------
@pytest.mark.parametrize("thread", ["M6x1", "M8x1", "M8x0.75", "M9x0.75", "M10x1"])
def test_a_size_of_iso_261_is_tapped_by_default(thread: str) -> None:
    """Sizes and pitches as ISO 261:1998 lists them, table 2 (retyped, from memory)."""
    m = made(pen(thread, order=None))
    assert not grooved(m)
    assert {t.order for t in m.threads} == {m.ordering.thread_order} == {"stock-tap"}
    (bottom,) = (d for d in m.decisions if d.id == "thread.bottom")
    assert bottom.why.count(" min (") == 2
    (order,) = (d for d in m.decisions if d.id == "thread.order")
    assert "ISO 261" in order.why
    assert m.ordering.material == "1.4305"


@pytest.mark.parametrize(
    "p",
    [
        pen("M9x0.75", order="single-point"),  # asked for
        pen("M8.5x0.75", order=None),  # no such size
        pen("M9x0.8", order=None),  # nor such a pitch
        pen("M9x0.75-LH", order=None),
        pen("M9xPh1.5P0.75", order=None),
        pen("5/16-32 UNEF", order=None),
        pen("M5x0.5", length=13.0, order=None),  # more than two and a half diameters
    ],
)
def test_all_else_is_screwcut_with_its_groove(p: Pen) -> None:
    m = made(p)
    assert grooved(m)
    assert {t.order for t in m.threads} == {m.ordering.thread_order} == {"single-point"}


def test_another_class_than_the_shelfs_is_screwcut() -> None:
    tree = pen(order=None)
    for fit in ("close", "free"):
        wishes = tree.mandrels.defaults.model_copy(update={"fit": fit})
        asked = tree.mandrels.model_copy(update={"defaults": wishes})
        assert grooved(made(tree.model_copy(update={"mandrels": asked})))


def test_a_stock_tap_that_is_asked_for_is_answered() -> None:
    forced = made(pen("M5x0.5", length=13.0, order="stock-tap"))
    assert grooved(forced)  # too deep without one: tapped into it
    assert {t.order for t in forced.threads} == {"stock-tap"}
    (d,) = designs(pen("M8.5x0.75", order="stock-tap"), SHOP)
    assert d.mandrel is not None
    assert d.mandrel.ordering.thread_order == "single-point"
    assert [f.code for f in d.findings] == ["thread.no_stock_tap"]


def test_where_the_tap_costs_the_joint_more_than_is_felt_it_is_screwcut(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    (tapped,) = designs(pen(order=None), SHOP)
    (cut,) = designs(pen(order="single-point"), SHOP)
    steps = [d.verdict.truth.step for d in (tapped, cut) if d.verdict is not None]
    now, was = (s.states.tight.statistical for s in steps if s is not None)
    assert 0 < now - was <= 0.01
    monkeypatch.setattr(stock_tapped, "UNFELT", (now - was) / 2)
    m = made(pen(order=None))
    assert grooved(m)
    (order,) = (d for d in m.decisions if d.id == "thread.order")
    assert order.value == "screwcut"
    assert f"{now:.3f}".rstrip("0") in order.why
    assert f"{was:.3f}".rstrip("0") in order.why


def test_its_papers_say_tapped_and_none_says_screwcut() -> None:
    m = made(pen(order=None))
    steps = " ".join(s.what for s in order_of_work(m))
    assert "Tap the thread with a stock tap" in steps
    rule = rule_of(m.threads[0], m)
    assert rule.judge == "limits"
    assert "tapped with a stock tap" in rule.text
    assert "screwed home, runs true to A within 0.03" in rule.text
    item = quotation.item(m, SHOP)
    assert "stock tap" in item.thread_order
    notes = " ".join(t.text for t in notes_block(m, (), {}, 150.0).drawn if isinstance(t, Text))
    assert "tapped with a stock tap" in notes
    for text in (steps, rule.text, item.thread_order, notes):
        assert "screwcut" not in text
        assert "single point" not in text


def test_a_plug_of_the_same_pen_is_screwcut() -> None:
    """A tap cuts no external thread, whatever is asked for the whole pen."""
    tree = tomllib.loads(starter("pen", "wren").decode())
    tree["mandrels"] = {"defaults": {"thread_order": "stock-tap"}}
    tree["parts"]["cap"]["ends"]["mouth"]["internal"]["thread"] = "M11x0.75-6H"
    plugs = [d for d in designs(Pen.model_validate(tree), SHOP) if "plug" in d.planned.id]
    assert plugs
    for d in plugs:
        assert d.mandrel is not None
        assert d.mandrel.ordering.thread_order == "single-point"


# -- a blank that the maker taps -------------------------------------------------------------------
def test_a_blank_of_one_start_is_drilled_for_the_makers_tap() -> None:
    m = made(pen(order="blank"))
    assert not grooved(m)
    ids = {c.id for c in m.characteristics}
    assert "thread.depth" not in ids  # nobody has cut it yet
    assert {"thread.diameter", "pilot.depth"} <= ids
    said = [n for n in m.notes if "customer's tap" in n]
    assert len(said) == 1
    assert "full thread 7.7 deep at least" in said[0]
    hole = own_drilling.hole(m, m.threads[0], None)
    assert hole.full == pytest.approx(7.7)
    assert hole.deep >= hole.full + 3 * 0.75 + 1.0


def test_the_papers_of_a_blank_cup_treat_no_thread_as_cut() -> None:
    m = made(pen(order="blank"))
    said = " ".join(m.notes)
    assert "Thread NOT cut" in said
    assert "minor diameter for M9x0.75-6H" in said
    assert "Thread's blank" in said
    steps = order_of_work(m)
    assert not any("test piece" in s.what for s in steps)  # it screws into nothing yet
    assert not any("flanks" in c.what for c in in_process_checks.checks(m, steps))


@pytest.mark.parametrize("order", ["my-tool", None])
def test_the_card_stops_a_tap_where_the_drawing_ends_the_full_thread(order: str | None) -> None:
    """Of 7 tenon, +0.2 by ISO 2768-m, and 0.5 in front of its nose: 7.7 at least, 0.5 more at most
    (common practice, no source)."""
    m = made(pen(order=order))
    assert "first full tooth 7.7 to 8.2 from the seat" in tap(m, m.threads[0]).text


def test_an_angle_closer_than_the_note_on_chamfers_is_written() -> None:
    for name in ("wren", "bittern"):
        for d in designs(Pen.model_validate(tomllib.loads(starter("pen", name).decode())), SHOP):
            for c in () if d.mandrel is None else d.mandrel.characteristics:
                if c.own_id == "countersink.angle":
                    assert not c.general
