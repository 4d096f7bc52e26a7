"""The card of a mandrel that the maker makes: its numbers recomputed by plain arithmetic."""

from __future__ import annotations

import math
import re

import pytest

from mandrelgen.assess.own_materials import in_material
from mandrelgen.assess.settled import settled
from mandrelgen.core.tolerance import text_of
from mandrelgen.spec.shop import Instrument, InstrumentKind
from mandrelgen.workshop.home.own_mandrel import RODS, OwnMandrel
from tests.support.own_mandrels import (
    SHOPS,
    cards_of,
    made_at_home,
    starter_cards,
    starter_pen,
    with_tools,
    words_of,
)

BLANK = '\n[mandrels.defaults]\nthread_order = "blank"\n'


def size(card: OwnMandrel, id: str) -> tuple[float, float | None, float | None]:
    found = next(s for s in card.sizes if s.id == id)
    return found.aim, found.low, found.high


def said(card: OwnMandrel) -> str:
    return " ".join(s.what for s in card.steps)


@pytest.mark.parametrize("name", sorted(SHOPS))
def test_every_mandrel_whose_word_is_make_has_a_card_and_no_other(name: str) -> None:
    pen, shop = starter_pen(name)
    assert cards_of(pen, shop) == {}  # no tool, no make
    tools = with_tools(pen, shop)
    _, words = words_of(pen, tools)
    assert made_at_home(words)
    assert sorted(starter_cards(name)) == sorted(made_at_home(words))


def test_the_sizes_of_a_plug_are_the_limits_drawn_in_by_the_caliper() -> None:
    """M8.5x0.75-6g by ISO 965-1: es −0.022, Td 0.140, so a major of 8.338 to 8.478; the shop's
    caliper may be off by 0.03. What the fit does not depend on keeps the drawing's limits."""
    card = starter_cards("heron")["barrel-mouth-plug"]
    assert card.caliper == 0.03
    low, high = 8.5 - 0.022 - 0.140 + 0.03, 8.5 - 0.022 - 0.03
    assert size(card, "thread.major_diameter") == (
        8.4, math.ceil(low * 100) / 100, math.floor(high * 100) / 100
    )  # fmt: skip
    m = card.mandrel
    for id in ("collar.diameter", "neck.diameter", "relief.diameter", "relief.width"):
        c = m.characteristic(id)
        assert size(card, id)[1:] == pytest.approx((c.lower, c.upper))
    # The thread may end earlier while three pitches carry, by 0.5 at most: 9.2 − 0.5 + 0.03.
    end = m.characteristic("thread.end")
    assert (end.lower, end.upper) == pytest.approx((9.1, 9.2))
    t = m.threads[0]
    assert (t.full_pitches - 3) * 0.75 > 0.5
    assert size(card, "thread.end") == pytest.approx((8.95, 8.73, 9.17))


def test_a_thread_with_hardly_three_pitches_keeps_its_length() -> None:
    """The heron's cap plug: what exceeds three pitches of 0.8 at worst limits is all it may be
    shorter."""
    card = starter_cards("heron")["cap-mouth-plug"]
    spare = (card.thread.full_pitches - 3) * 0.8
    assert 0 < spare < 0.5
    end = card.mandrel.characteristic("thread.end")
    assert end.lower is not None
    assert size(card, "thread.end")[1] == math.ceil((end.lower - spare + 0.03) * 100 - 1e-9) / 100


def test_the_usual_caliper_where_the_shop_names_none() -> None:
    """0.03 outside, 0.05 in depth (common practice): a length's window is narrower by 0.02."""
    pen, shop = starter_pen("heron")
    pins = {"pins": Instrument(kind=InstrumentKind.PINS)}
    card = cards_of(pen, with_tools(pen, shop.model_copy(update={"instruments": pins})))
    found = card["barrel-mouth-plug"]
    assert size(found, "thread.end")[1:] == pytest.approx((8.75, 9.15))
    assert size(found, "thread.major_diameter")[1:] == pytest.approx((8.37, 8.44))


def test_lengths_add_up_along_the_rod() -> None:
    """Saw = length + 2 facings of 1 + the saw's 2, up to a whole millimetre; the turned stretch is
    what stands before the seat and the neck behind it; the mark leaves 0.1 for the last cut."""
    card = starter_cards("heron")["barrel-mouth-plug"]
    long = card.mandrel.outer[-1].z1 - card.mandrel.outer[0].z0
    assert card.saw == math.ceil(long + 2 * 1 + 2)
    front, neck = size(card, "thread.end")[0], size(card, "neck.end")[0]
    assert f"over {text_of(front + neck)} from the end" in said(card)
    assert f"Mark the seat {text_of(front - 0.1)} from the end" in said(card)
    collar = -card.mandrel.stations["collar.start"]
    assert f"the collar keeps {text_of(collar + 0.1)}" in said(card)
    # The stand-off that was asked for (15, nut to seat) and what stands before the seat.
    assert card.stands_out == pytest.approx(15 + card.mandrel.outer[-1].z1, abs=0.6)


def test_a_cup_is_drilled_as_deep_as_thread_lead_and_chips_need() -> None:
    """M8.5x0.75: D − P = 7.75 lies between the drills 7.7 and 7.8, both within 6H's minor diameter
    (7.688 to 7.878); a tap of form C leaves 3 P = 2.25, chips 1, in steps of 0.5."""
    card = starter_cards("heron")["section-rear-cup"]
    h = card.hole
    assert h is not None
    assert h.drill in (7.7, 7.8)
    floor = card.mandrel.characteristic("floor.depth").lower
    assert floor is not None
    assert h.full == floor
    assert h.lead == pytest.approx(3 * 0.75)
    assert h.deep == math.ceil((floor + 2.25 + 1) * 2) / 2
    assert f"point {text_of(floor + 2.25, 1)} deep" in said(card)
    # With the tap's own lead from the shop file it goes as much deeper.
    pen, shop = starter_pen("heron")
    own = cards_of(pen, with_tools(pen, shop, lead=3.2))["section-rear-cup"]
    assert own.hole is not None
    assert own.hole.deep == math.ceil((floor + 3.2 + 1) * 2) / 2
    assert "your shop file" in said(own)


@pytest.mark.parametrize("name", sorted(SHOPS))
def test_nothing_is_drilled_through_a_wall(name: str) -> None:
    """Behind the collar the hole goes into the rod, which is no thinner than the collar and solid 2
    in front of the nut where no collet takes it."""
    for card in starter_cards(name).values():
        if card.hole is None:
            continue
        collar = next(s for s in card.drawn.outer if s.feature == "collar")
        rod = next(s for s in card.drawn.outer if s.feature == "shank")
        assert rod.d0 >= collar.d0
        assert collar.d0 - card.hole.drill > 1.2
        if card.reduced is not None:
            point = card.hole.deep + card.hole.drill / 2 / math.tan(math.radians(59))
            assert card.stands_out >= point + 2


def test_where_no_collet_takes_the_rod_one_end_is_turned_to_the_shank_first() -> None:
    """The bittern's shop has inch collets up to 1/2 in; its cups are wider."""
    found = [c for c in starter_cards("bittern").values() if c.reduced is not None]
    assert found
    for card in found:
        shank = card.mandrel.characteristic("shank.diameter").nominal
        assert card.reduced is not None
        assert card.reduced[0] == shank
        assert card.steps[0].what.startswith(
            f"No collet of yours takes the rod: turn one end to ⌀{text_of(shank)} over"
        )
    assert all(c.reduced is None for c in starter_cards("heron").values())


@pytest.mark.parametrize("name", sorted(SHOPS))
def test_the_seat_comes_last_and_the_die_after_its_groove(name: str) -> None:
    for card in starter_cards(name).values():
        steps = [s.what for s in card.steps]
        assert "this is the seat" in steps[-1]
        cut = next(n for n, s in enumerate(steps) if " die on " in s or ": tap " in s)
        before = "Part in a groove" if card.hole is None else "Counterbore"
        assert next(n for n, s in enumerate(steps) if s.startswith(before)) < cut
        starts = card.thread.form.starts
        assert (f"each of the {starts} starts" in " ".join(card.checks)) is (starts > 1)


def test_a_die_longer_than_the_groove_is_turned_round() -> None:
    """Usual lead 2 P, from memory; the shop file's own counts before it."""
    pen, shop = starter_pen("heron")
    usual = said(starter_cards("heron")["barrel-mouth-plug"])
    assert "Its lead (1.5, from memory: measure yours) runs out in the groove" in usual
    own = said(cards_of(pen, with_tools(pen, shop, incomplete=3.0))["barrel-mouth-plug"])
    assert "Its lead (3, your shop file) is longer than the groove: turn the die round" in own


def test_speed_and_life_are_what_the_one_rule_says_of_that_material() -> None:
    """As `check` judges the same pen with every mandrel of that material, the tailstock up and the
    plastic's highest speed named."""
    cards = starter_cards("heron")
    for material in RODS:
        extra = f'\n[mandrels.defaults]\nmaterial = "{material}"\n'
        if material != "CW614N":
            extra += "[mandrels.use]\ntailstock = true\nspeed = 1500\n"
        pen, shop = starter_pen("heron", extra)
        judged = {d.planned.id: d.verdict for d in settled(pen, with_tools(pen, shop)).designed}
        for id, card in cards.items():
            rod = next(r for r in card.rods if r.material == material)
            v = judged[id]
            assert v is not None
            assert v.speed is not None
            assert (rod.speed, rod.start) == (v.speed.allowed, v.speed.start)
            # The shank of a plastic one is another, so that the newtons differ a little.
            assert [r.split(" ")[:2] for r in rod.refused] == [
                r.split(" ")[:2] for r in v.speed.refused
            ]
            assert rod.speed <= (1500 if material != "CW614N" else 3200)
            if v.life is not None and v.life.high >= 2:
                # Pens go with the cube of the stress.
                assert int(re.findall(r"\d+", rod.lasts)[-1]) == pytest.approx(v.life.high, abs=2)
    # The thin plug of M8.5 breaks in a dig-in if it is of hard rubber: the card says so.
    thin = cards["barrel-mouth-plug"].rods
    assert [r.speed for r in thin] == [3200, 0, 0]
    assert all("bears" in r.refused[0] for r in thin[1:])
    assert "not known" in thin[0].lasts


def test_without_a_tailstock_no_plastic_mandrel_turns() -> None:
    pen, shop = starter_pen("heron")
    lathe = shop.lathe.model_copy(update={"tailstock": False})
    bare = with_tools(pen, shop.model_copy(update={"lathe": lathe}))
    designed, _ = words_of(pen, bare)
    for v in in_material(pen, bare, designed, "acetal").values():
        assert v.speed is not None
        assert v.speed.allowed == 0
        assert any("tailstock" in r for r in v.speed.refused)


def test_the_rod_is_sold_and_a_collet_takes_it_as_it_is() -> None:
    """Brass by the millimetre, plastics 12, 15, 16 (from memory); the mandrel's widest is 14."""
    card = starter_cards("heron")["cap-mouth-plug"]
    assert [(r.material, r.diameter, r.collet) for r in card.rods] == [
        ("CW614N", 14.0, 14.0), ("ebonite", 15.0, 15.0), ("acetal", 15.0, 15.0)
    ]  # fmt: skip
    pen, shop = starter_pen("heron")
    none = cards_of(pen, with_tools(pen, shop.model_copy(update={"collets": ()})))
    assert all(r.collet is None for c in none.values() for r in c.rods)


def test_a_blank_asks_for_the_thread_alone() -> None:
    """Ordered as a blank: the turner makes the rest, so no rod, no saw, no seat to cut."""
    cards = starter_cards("heron", BLANK)
    pen, shop = starter_pen("heron", BLANK)
    _, words = words_of(pen, with_tools(pen, shop))
    assert not made_at_home(words)
    assert cards
    for card in cards.values():
        assert card.blank
        assert not card.rods
        assert "Grip the blank by its shank" in said(card)
        assert "Turn ⌀" not in said(card)


def test_a_spigot_that_a_die_cannot_pass_is_left_off() -> None:
    """Close in the reamed bore, the spigot is wider than the root: no die comes over it."""
    extra = "\n[mandrels.defaults]\nspigot_length = 15.3\n"
    card = starter_cards("heron", extra)["barrel-mouth-plug"]
    assert any(s.feature == "spigot1" for s in card.mandrel.outer) is False
    assert not any("spigot" in s.id for s in card.sizes)
    assert card.mandrel.outer[-1].feature == "chamfer"


def test_a_worn_tool_is_told() -> None:
    pen, shop = starter_pen("heron")
    card = cards_of(pen, with_tools(pen, shop, condition="worn"))["barrel-mouth-plug"]
    assert "worn" in card.tool_said


def test_a_double_ended_one_is_ordered_whatever_tools_are_owned() -> None:
    """One's own is turned and used in one chucking: there is no second end to it."""
    extra = (
        '\n[[mandrels.requests]]\nholds = "barrel.mouth.internal"\n'
        'also_holds = "section.rear"\nkind = "double-ended"\nshank_diameter = 13\n'
    )
    pen, shop = starter_pen("heron", extra)
    designed, words = words_of(pen, with_tools(pen, shop))
    double = next(d for d in designed if d.planned.other is not None)
    word = next(a for a in words if a.planned == double.planned.id)
    assert word.said == "order"
    assert "double-ended" in word.reason
    assert double.planned.id not in starter_cards("heron", extra)
