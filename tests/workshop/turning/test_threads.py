"""What the bench pages compute of a thread: the tool's clearance, measuring over wires, and the
crest an insert leaves.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from mandrelgen.workshop.turning import infeed, over_wires, threading
from mandrelgen.workshop.turning.turner_card import turner_card
from tests.paper.test_sheet_ink import EVERY
from tests.support.bench_pens import HERON
from tests.support.randompens import SHOP


def test_shim_as_worked_in_the_trade() -> None:
    """M12xPh3P1: lead angle at d3 about 5.07°; the usual 1° shim would leave 2° of the holder's 6,
    so a 3 or 4° shim is asked for."""
    thread = HERON["cap-mouth-plug"].threads[0]
    form = replace(thread.form, starts=3, pitch=1.0, crest_diameter=12.0, root_diameter=10.773)
    c = threading.clearance(replace(thread, form=form))
    assert c.steepest == pytest.approx(5.07, abs=0.02)
    assert 6 - (c.steepest - 1) == pytest.approx(2, abs=0.1)
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
    far = over_wires.reach(short, t)
    assert not far.wires
    assert any("small anvils" in x for x in far.instead)
    assert any("a GO ring with 3 starts" in x for x in far.instead)
    assert over_wires.reach(short, t, anvil=2.0).wires
    slim = replace(short, outer=tuple(
        replace(s, d0=min(s.d0, 11.0), d1=min(s.d1, 11.0)) for s in short.outer))  # fmt: skip
    assert over_wires.reach(slim, t).wires
    assert over_wires.reach(m, t).wires
    assert not over_wires.reach(
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
    assert over_wires.reach(turned, replace(t, feature="b.thread")) == over_wires.reach(m, t)


def test_limits_over_wires_are_rounded_inwards() -> None:
    for m in HERON.values():
        for t in m.threads:
            w = over_wires.over_wires(t)
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
    two = over_wires.over_wires(replace(t, limits=replace(t.limits, designation=d)))
    three = over_wires.over_wires(t)
    assert two is not None
    assert three is not None
    assert (two.count, three.count) == (2, 3)
    assert "opposite" in two.setting


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


@pytest.mark.parametrize("name", [n for n, m in sorted(EVERY.items()) if m.threads])
def test_in_stainless_the_last_pass_takes_a_chip(name: str) -> None:
    """Stainless hardens where a tool rubs: 0.05 at least (common practice, no source)."""
    m = EVERY[name]
    if m.ordering.material != "1.4305":
        return
    for t in turner_card(m, SHOP).threads:
        *_, before, last = t.card.passes
        assert last - before >= 0.05 - 1e-9
