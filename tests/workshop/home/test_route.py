"""The route of a pen by chuckings: its numbers by plain arithmetic, its order as the trade has it
(common practice, no source), and nothing invented where the pen file is silent."""

from __future__ import annotations

import json
import math
from copy import deepcopy
from itertools import pairwise

import pytest
from hypothesis import given, reject, settings

from mandrelgen.assess.settled import designs
from mandrelgen.assess.words import Answer, Word
from mandrelgen.paper.reports.one_page import LOW, leaves
from mandrelgen.paper.reports.route_card import route_page
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.designation import ThreadTextError
from mandrelgen.workflows.answers import plain
from mandrelgen.workshop.home.route import Route, route
from tests.judging.sane import sane
from tests.support.bench_pens import ALL, HERON, PENS, made, texts
from tests.support.clear_pages import clear
from tests.support.randompens import SHOP, pens


def the(name: str, extra: str = "", **how: object) -> Route:
    pen, shop, designed = made(name, extra) if extra else ALL[name]
    return route(pen, shop, designed, **how)  # type: ignore[arg-type]


def one(r: Route) -> str:
    """The card's whole text, on one page where nothing covers anything."""
    (leaf,) = leaves(route_page(r), "Take care")
    clear(leaf, LOW)
    return texts(route_page(r))


@pytest.mark.parametrize("name", PENS)
def test_the_card_is_one_clear_page(name: str) -> None:
    said = one(the(name))
    assert "  " not in said
    assert " ;" not in said
    assert "None" not in said


@settings(max_examples=20, deadline=None)
@given(pens())
def test_the_card_of_a_random_pen_is_one_clear_page(pen: Pen) -> None:
    try:
        found = route(pen, SHOP, designs(pen, SHOP))
    except ThreadTextError:  # a file with such a thread is refused when it is read
        reject()
    one(found)


def test_blanks_lie_about_where_the_trade_cuts_them() -> None:
    """Finished + 2 saw + 2 × 1 facing, 3 more where an end is closed; about 95 for a barrel, 35 for
    a section, 65 to 70 for a cap; 0.1 of the diameter goes with the polish."""
    blanks = {p.part: p.blank for p in the("heron").parts}
    assert blanks["barrel"].length == 84 + 2 + 2 + 3 == pytest.approx(95, abs=5)
    assert blanks["section"].length == 29 + 4 == pytest.approx(35, abs=3)
    assert 65 <= blanks["cap"].length == 65 + 4 <= 70
    assert blanks["barrel"].rod == pytest.approx(13.6 + 0.1)


@pytest.mark.parametrize("name", PENS)
def test_the_die_comes_before_the_drill_and_the_outside_last(name: str) -> None:
    """A tenon twists off a drilled core: die while it is solid; counterbore before the tap; a wide
    drill led by the narrow hole. Chuckings are numbered through the pen, the mandrel last."""
    r = the(name)
    assert [c.number for p in r.parts for c in p.chuckings] == list(
        range(1, 1 + sum(len(p.chuckings) for p in r.parts))
    )
    for p in r.parts:
        assert p.chuckings[-1].mandrel is not None or p.chuckings[-1].instead
        assert [c.first for c in p.chuckings].count(True) == 1
        for c in p.chuckings:
            what = [s.what for s in c.steps]
            if "die" in what and "drill" in what:
                assert what.index("die") < what.index("drill")
            if "tap" in what:
                assert what[-1] == "tap"
            holes = [s for s in c.steps if s.what in ("drill", "ream", "bore")]
            assert all(a.diameter <= b.diameter for a, b in pairwise(holes))
            for s in c.steps:
                assert (s.low is not None) == (s.what in ("die", "tap"))


def test_what_is_measured_before_a_die_is_the_thread_s_major_and_before_a_tap_the_hole() -> None:
    """M8.5x0.75-6g: 8.5 − 0.022 − 0.140 to 8.5 − 0.022 by ISO 965-1; H8 on 7.75: 0 to +0.022 by
    ISO 286-2. The crown's hole is not in the file: D − P = 6.5 is drilled, 6H's minor diameter of
    M7x0.5 (6.459 to 6.599) measured, and the card says that the file is silent."""
    by = {(p.part, c.end): c for p in the("heron").parts for c in p.chuckings if c.end}
    (die,) = [s for s in by["section", "rear"].steps if s.what == "die"]
    assert (die.low, die.high) == pytest.approx((8.338, 8.478))
    (tenon,) = [s for s in by["section", "rear"].steps if s.what == "tenon"]
    assert tenon.diameter == pytest.approx(8.45)
    tap = by["barrel", "mouth"].steps[-1]
    assert (tap.low, tap.high) == pytest.approx((7.75, 7.772))
    crown = by["cap", "crown"].steps
    assert [s.what for s in crown] == ["drill", "counterbore", "countersink", "tap"]
    assert (crown[0].diameter, crown[0].unsaid) == (6.5, True)
    assert (crown[-1].low, crown[-1].high) == pytest.approx((6.459, 6.599), abs=0.001)
    page = one(the("heron"))
    assert page.count("(the pen file does not say the hole)") == 1
    # Rounded inwards to what a caliper shows.
    assert f"⌀{math.ceil(833.8) / 100:g} to {math.floor(847.8) / 100:g}" in page
    # The section is drilled through once, and its front is tapped into that very hole.
    assert [s.what for s in by["section", "front"].steps] == ["counterbore", "tap"]
    assert by["section", "front"].steps[-1].low == 6.0


def test_on_its_mandrel_a_part_has_the_verdict_s_speeds() -> None:
    designed = ALL["heron"][2]
    r = the("heron", numbers={"cap-mouth-plug": "MG-0001 A"})
    held = [c.mandrel for p in r.parts for c in p.chuckings if c.mandrel is not None]
    assert [m.mandrel for m in held] == list(HERON)
    cap = held[0]
    assert cap.collet == "ISO 15488-25, 14"
    assert cap.stand_off == pytest.approx(15, abs=0.6)  # the designer's stand-off, nut to seat
    assert (cap.number, held[1].number) == ("MG-0001 A", "")
    verdicts = {d.planned.id: d.verdict for d in designed}
    for m in held:
        v = verdicts[m.mandrel]
        assert v is not None
        assert v.speed is not None
        assert m.speed == v.speed.allowed > 0
        assert m.limited_by == v.speed.governing.why
        assert m.work == v.work
    assert {m.speed for m in held} == {3200}  # the lathe's: no cap by stick-out
    said = one(r)
    assert "MG-0001 A, collet ER25 (ISO 15488-25), 14, seat 15 from the nut" in said
    assert "far end not said" in said
    assert any("no gloves" in c for c in r.cautions)
    json.dumps(plain.view(r), allow_nan=False)


def test_the_card_names_no_mandrel_that_nobody_makes() -> None:
    """What is not needed says how the part is turned instead; what is owned goes by its number, and
    what one piece serves twice by the number of that piece."""
    words = [
        Answer("cap-mouth-plug", Word.HAVE, "it fits", "MG-0007"),
        Answer("finial-root-cup", Word.SKIP, "turn it screwed into its cap"),
        Answer("barrel-mouth-plug", Word.ORDER, "no die"),
        Answer("section-rear-cup", Word.SKIP, "the same piece", "barrel-mouth-plug"),
    ]
    r = the("heron", numbers={"barrel-mouth-plug": "MG-0008 A"}, words=words)
    last = {p.part: p.chuckings[-1] for p in r.parts}
    numbers = {n: c.mandrel.number for n, c in last.items() if c.mandrel is not None}
    assert numbers == {"cap": "MG-0007", "barrel": "MG-0008 A", "section": "MG-0008 A"}
    assert last["finial"].instead == "turn it screwed into its cap"
    assert "turn it screwed into its cap" in one(r)


def test_a_part_that_is_held_back_is_named_with_its_reason_and_has_no_row() -> None:
    words = [Answer("barrel-mouth-plug", Word.CHANGE, "no wall is left under the thread")]
    r = the("heron", without=("barrel",), words=words)
    assert "barrel" not in [p.part for p in r.parts]
    assert r.held_back == (("barrel", "no wall is left under the thread"),)
    assert "Not on this card: barrel. Change the pen first: no wall is left" in one(r)


def test_a_speed_that_is_refused_says_so_and_both_ends_have_a_line() -> None:
    """A plastic mandrel without a tailstock must not run; a double-ended one holds two parts."""
    r = the(
        "heron",
        '\n[mandrels.defaults]\nmaterial = "acetal"\n[[mandrels.requests]]\n'
        'holds = "barrel.mouth"\n[[mandrels.requests]]\nholds = "barrel.mouth.internal"\n'
        'also_holds = "section.rear"\nkind = "double-ended"\nshank_diameter = 13\n',
    )
    held = [(p.part, c.mandrel) for p in r.parts for c in p.chuckings if c.mandrel is not None]
    assert [part for part, _ in held] == ["barrel", "barrel", "section"]
    assert {m.speed for _, m in held} == {0}
    assert one(r).count("DO NOT RUN") == 3
    # A part that no mandrel was asked for says so instead of inventing one.
    assert "no mandrel is planned for this part" in one(r)


def test_a_lathe_without_a_tailstock_is_not_given_one() -> None:
    pen, shop, _ = ALL["heron"]
    bare = shop.model_copy(update={"lathe": shop.lathe.model_copy(update={"tailstock": False})})
    said = one(route(pen, bare, designs(pen, bare)))
    assert "tailstock for drill" not in said
    assert "no tailstock" in said


def test_what_no_speed_mends_is_said_before_any_speed() -> None:
    """A left-hand finial that a dig-in would strip: its row begins with neither 3,000 rpm nor a
    number at all, but with what to beware of."""
    (s,) = sane(4102, 1)
    tree = deepcopy(s.pen)
    for part, end, side in (("finial", "root", "external"), ("cap", "crown", "internal")):
        thread = tree["parts"][part]["ends"][end][side]
        thread["thread"] = thread["thread"].replace("-6", "-LH-6")
    shop = Shop.model_validate(s.shop)
    pen = Pen.model_validate(tree)
    r = route(pen, shop, designs(pen, shop))
    (on,) = [c.mandrel for p in r.parts for c in p.chuckings
             if c.mandrel is not None and c.mandrel.mandrel == "finial-root-cup"]  # fmt: skip
    assert len(on.first) == 2
    said = texts(route_page(r))
    left, light = said.index("LEFT-HAND: forward"), said.index("LIGHT CUTS: in a dig-in the screw")
    assert left < light < said.index("rpm", light)
    # The other parts of the pen have no such row.
    assert sum(bool(c.mandrel.first) for p in r.parts for c in p.chuckings if c.mandrel) == 1
