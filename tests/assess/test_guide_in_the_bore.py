"""What a guide in the bore gives with the tailstock away is computed and printed."""

from __future__ import annotations

import re

import pytest

from mandrelgen.assess import runout
from mandrelgen.assess.choose_tolerances import situated
from mandrelgen.assess.settled import designs
from mandrelgen.design.designed import Designed
from mandrelgen.mechanics.play import thread_play
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.read import effective_shop, read_pen, read_shop
from mandrelgen.spec.shop import Shop
from mandrelgen.spec.starters import starter


def designed(more: str = "") -> tuple[Designed, Pen, Shop]:
    pen = read_pen(starter("pen", "heron") + more.encode(), "heron.toml")
    shop = effective_shop(read_shop(starter("shop", "bench"), "shop.toml"), pen)
    d = next(d for d in designs(pen, shop) if d.planned.id == "barrel-mouth-plug")
    return d, pen, shop


def test_the_free_end_tips_by_the_play_over_the_guided_length() -> None:
    """Plane geometry: in a sleeve of diametral play c and length L an axis runs from corner to
    corner, c/2 off at either end, so c/2 + c (x - L) / L off at x from its beginning."""
    d, pen, shop = designed()
    assert d.mandrel is not None
    (s,) = situated(d, pen, shop)
    thread = d.mandrel.threads[0]
    c = thread_play(thread.limits, thread.partner).pitch_max
    at = s.stretch("thread")
    assert at is not None
    long = at.z1 - at.z0
    expected = c / 2 + c * (s.shape.far - at.z1) / long
    assert runout.tipped(s) == pytest.approx(expected, rel=1e-9)

    spigot, pen, shop = designed("\n[mandrels.defaults]\nspigot_length = 15.3\n")
    (guided,) = situated(spigot, pen, shop)
    hole = next(x for x in pen.parts["barrel"].ends["mouth"].bore if x.made.value != "drilled")
    front = guided.stretch("spigot1")
    size = guided.size("spigot1.diameter")
    assert front is not None
    assert size is not None
    assert size.lower is not None
    # The spigot's far end and the thread's near end bound the axis: each half its play away.
    play = float(hole.diameter) + 0.05 - size.lower
    most = play / 2 + (play / 2 + c / 2) * (guided.shape.far - front.z1) / (front.z1 - at.z0)
    assert runout.tipped(guided) <= most
    assert runout.tipped(guided) < 0.5 * runout.tipped(s)


def test_the_decision_prints_both_numbers() -> None:
    d, pen, shop = designed()
    assert d.mandrel is not None
    (said,) = (x.why for x in d.mandrel.decisions if x.id == "spigot1.diameter")
    found = re.search(r"free end can stand ([\d.]+) off the axis by the thread alone, "
                      r"([\d.]+) with the spigot", said)  # fmt: skip
    assert found
    (s,) = situated(d, pen, shop)
    assert float(found[1]) == pytest.approx(runout.tipped(s), abs=0.005 + 1e-9)
    assert float(found[2]) < float(found[1])
