"""What a thread is judged with: a ring gauge is named only where it passes over what stands in
front of the thread."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from mandrelgen.model.mandrel import Mandrel
from mandrelgen.workshop.turning.acceptance import in_the_way, ring_bore, rule_of, special_gauge
from mandrelgen.workshop.turning.instruments import elsewhere
from mandrelgen.workshop.turning.over_wires import reach
from mandrelgen.workshop.turning.turner_card import turner_card
from tests.paper.test_sheet_ink import EVERY
from tests.support.bench_pens import SPIGOTTED
from tests.support.randompens import SHOP

# M8.5x0.75-6g: D1 = 8.5 - 1.0825 x 0.75 = 7.688 (ISO 724), es = -22 um (ISO 965-1, table of
# deviations, P 0.75, g). A GO ring's bore lies on D1 + es with half of T_R on each side (ISO 1502;
# T_R for pitch tolerances of 80 to 125 um from memory: 14 um).
GO_RING_M8_5 = 7.688 - 0.022


def with_spigot(d: float) -> Mandrel:
    """The heron's barrel plug with another spigot, limits below its nominal size."""
    m = SPIGOTTED["barrel-mouth-plug"]
    old = next(c for c in m.characteristics if c.id == "spigot1.diameter")
    cs = tuple(
        replace(c, nominal=d, lower=d - 0.015, upper=d) if c is old else c
        for c in m.characteristics
    )
    outer = tuple(
        replace(s, d0=d, d1=d) if s.feature == "spigot1" and s.d0 == s.d1 else s for s in m.outer
    )
    return replace(m, characteristics=cs, outer=outer)


def test_the_least_bore_of_a_ring_is_that_of_iso_1502() -> None:
    (t,) = EVERY["heron-barrel-mouth-plug"].threads
    assert ring_bore(t) == pytest.approx(GO_RING_M8_5 - 0.007, abs=0.0006)


@pytest.mark.parametrize(
    ("spigot", "passes"), [(7.6, True), (7.658, True), (7.66, False), (7.7, False)]
)
def test_a_ring_gauge_is_named_only_where_it_passes(spigot: float, passes: bool) -> None:
    m = with_spigot(spigot)
    (t,) = m.threads
    said = rule_of(t, m)
    assert (in_the_way(t, m) == 0) is passes
    assert ("a GO ring that the shop turns" in said.text) is passes
    assert said.judge == ("go gauge or test piece" if passes else "test piece")
    assert (f"no ring gauge: ⌀{spigot:g} in front" in said.text) is not passes
    pitch = next(c for c in m.characteristics if c.id == "thread.pitch_diameter")
    assert ("GO ring" in elsewhere(m, pitch)) is passes
    far = reach(m, t, anvil=30.0)  # an anvil so large that wires cannot do
    assert not far.wires
    assert any("GO ring" in x for x in far.instead) is passes
    pages = turner_card(m, SHOP).threads
    assert {bool(p.gauges) for p in pages} == {passes}
    assert all(p.gauges or f"⌀{spigot:g} in front" in p.no_gauges for p in pages)


def test_an_inch_ring_is_told_by_its_basic_bore() -> None:
    """3/8-32 UNEF-2A: minor 0.3411 in internal (ASME B1.1, 3/8-32 UNEF), allowance 0.0010 in."""
    (t,) = EVERY["bittern-barrel-plug"].threads
    assert ring_bore(t) == pytest.approx((0.3411 - 0.0010) * 25.4, abs=0.003)
    assert in_the_way(t, EVERY["bittern-barrel-plug"]) == 0


def test_nothing_stands_in_the_way_of_a_plug_gauge() -> None:
    m = EVERY["bittern-section-rear-cup"]
    (t,) = m.threads
    assert in_the_way(t, m) == 0
    assert "plug gauge" in rule_of(t, m).text
    assert rule_of(t, m).judge == "limits"


@pytest.mark.parametrize("name", [n for n, m in sorted(EVERY.items()) if m.threads])
def test_where_no_shop_has_a_gauge_nobody_has_to_buy_one(name: str) -> None:
    """What the design says of gauges, the rule says too: a GO gauge turned for it or the sample
    part decides, and every page names the same."""
    m = EVERY[name]
    for t in m.threads:
        said = rule_of(t, m)
        own = t.feature.end.named("thread.gauge")
        special = any(d.id == own and "no shop has it" in d.value for d in m.decisions)
        assert special_gauge(t, m) is special
        if not special:
            continue
        assert "test piece, screwing home by hand" in said.text
        assert "limits in its table guide" in said.text
        assert "no gauge has to be bought" in said.supply
        assert "customer's risk: ask" in said.supply
        pitch = m.characteristic(t.feature.end.named("thread.pitch_diameter"))
        told = " ".join((said.text, said.supply, elsewhere(m, pitch), *reach(m, t, 30.0).instead))
        assert not re.search(r"not-go|the shop brings|(?<!no )(ring|plug) gauge", told)


@pytest.mark.parametrize("name", [n for n, m in sorted(EVERY.items()) if m.threads])
def test_no_thread_micrometer_where_groove_faces_groove(name: str) -> None:
    """Half a turn on, the profile of n starts of pitch P has moved by n·P/2: with an even n groove
    faces groove, and the point and notch of a thread micrometer cannot both seat (geometry)."""
    m = EVERY[name]
    for t in m.threads:
        if not t.limits.external or t.order != "single-point":
            continue
        moved = t.form.starts / 2 % 1  # in pitches
        c = next(
            c for c in m.characteristics if c.id == t.feature.end.named("thread.pitch_diameter")
        )
        told = (rule_of(t, m).text, elsewhere(m, c), *reach(m, t).instead)
        offered = any(re.search(r"(?<!no )thread micrometer", x) for x in told)
        assert offered is (moved == 0.5), told
        if moved == 0:
            assert "two wires straight opposite" in told[0]


@pytest.mark.parametrize("starts", [1, 2, 3, 4, 5, 6])
def test_wires_a_lead_apart_and_one_between_them_opposite_lie_in_one_start(starts: int) -> None:
    """Geometry of the helix: a groove of start s stands at lead x (turn / 360° + s / starts). Two
    wires straight opposite one another lie in different starts (where their number is even)."""
    lead = 1.6

    def start_at(z: float, turn: float) -> float:
        return (z / lead - turn / 360.0) * starts % starts

    assert start_at(0.0, 0.0) == start_at(lead, 0.0) == start_at(lead / 2, 180.0) == 0.0
    if starts % 2 == 0:
        assert start_at(0.0, 180.0) == starts / 2
    else:
        assert start_at(0.0, 180.0) % 1 == 0.5  # a crest stands there: no wire finds a groove
