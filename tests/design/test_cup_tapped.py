"""Under a tap a cup needs no groove: drilled deeper instead where that costs less."""

from __future__ import annotations

import math

import pytest

from mandrelgen.assess.settled import designs
from mandrelgen.design import cup_bottom, making_price
from mandrelgen.model.feature import FeatureKind
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.pen import Pen
from mandrelgen.workshop.turning.operations import order_of_work
from tests.support import cost_proxy
from tests.support.randompens import SHOP


def pen(thread: str = "M9x0.75", length: float = 7.0, order: str = "my-tool") -> Pen:
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
                "defaults": {"thread_order": order},
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
        pen(order="blank"),
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
