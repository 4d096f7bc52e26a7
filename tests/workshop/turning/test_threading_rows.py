"""What the turner's page of a thread says: how the tool leaves the relief, when the half nuts
may be opened, how many passes, which nose."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest

from mandrelgen.paper.reports import turning_pages
from mandrelgen.workshop.turning import infeed
from mandrelgen.workshop.turning.leaving import Lathe, half_nuts, hand_speed
from mandrelgen.workshop.turning.turner_card import TurnerCard, turner_card
from tests.paper.test_sheet_ink import EVERY
from tests.support.bench_pens import ALL, HERON


def _rows(card: TurnerCard) -> dict[str, str]:
    return {r[0]: r[-1] for p in turning_pages.tables(card) for g in p.grids for r in g.rows}


def test_top_slide_is_not_asked_to_do_two_things() -> None:
    card = turner_card(HERON["cap-mouth-plug"], ALL["heron"][1])
    rows = _rows(card)
    assert "radial" in rows["by the top slide"]
    assert "Not together with indexing" in rows["top slide at 29.5°"]
    assert "Running in reverse unscrews" in rows["half nuts"]
    single = turner_card(HERON["barrel-mouth-plug"], ALL["heron"][1])
    rows = _rows(single)
    assert "Not together" not in rows["top slide at 29.5°"]


def test_speed_of_leaving_by_hand() -> None:
    """A groove of 2 at P 0.75. Beside the collar, (10.6 − 7.429)/2 above the root, a 60° point is
    0.915 wide a side; 0.1 of air: 1.015, as the row beside the thread says. 2 − 1.015 = 0.985 of
    way, 1.31 turns, in half a second: 157, so 155 rpm; a side 0.1 nearer gains 0.1/0.75 turns:
    16/min."""
    card = turner_card(HERON["barrel-mouth-plug"], ALL["heron"][1])
    leaving = card.threads[0].card.leaving
    assert leaving is not None
    assert leaving.groove == 2.0
    collar = HERON["barrel-mouth-plug"].characteristic("collar.diameter").upper or 0
    side = (collar - 7.429) / 2 * math.tan(math.pi / 6) + 0.1
    assert leaving.side == pytest.approx(side, abs=1e-3)
    assert leaving.turns == pytest.approx((2 - side) / 0.75, abs=2e-3)
    assert leaving.speed == int(60 * (2 - side) / 0.75 / 0.5 / 5) * 5
    assert leaving.per_tenth == pytest.approx(16)
    rows = _rows(card)
    assert f"no more than {leaving.speed} rpm" in rows["leaving the relief"]
    assert f"beside the collar it needs {leaving.side:.2f} of 2" in rows["beside the thread"]


def test_a_blind_bore_is_cut_at_the_lowest_speed_or_outwards() -> None:
    """Drawing the tool out does not stop the bar. A groove of 2 less half a pitch, 1.625, is 2.17
    turns of lead 0.75; half a second to see and a second to stand (half of it at full speed): 130
    rpm at most, so the lathe's lowest, 50; a lathe that cannot go below 140 cuts outwards."""
    m, shop = HERON["section-rear-cup"], ALL["heron"][1]
    leaving = turner_card(m, shop).threads[0].card.leaving
    assert leaving is not None
    assert leaving.groove == 2.0
    assert hand_speed(2.0, 0.375, 0.75, 1.0) == pytest.approx(130)
    assert leaving.speed == shop.turner.lowest_speed
    assert "lowest speed" in leaving.advice
    assert "away from the floor, spindle in reverse" in leaving.instead
    fast = shop.model_copy(update={"turner": shop.turner.model_copy(update={"lowest_speed": 140})})
    slow = turner_card(m, fast).threads[0].card.leaving
    assert slow is not None
    assert not slow.by_hand
    assert slow.advice.startswith("thread away from the floor, spindle in reverse")


@pytest.mark.parametrize(
    ("name", "screw", "anywhere"),
    [
        # 3 / 0.75 = 4; 3 / 2.4 = 1.25; 2 / 0.75 is no whole number; 8 TPI is 3.175.
        ("barrel-mouth-plug", "3 mm", True),
        ("cap-mouth-plug", "3 mm", False),
        ("barrel-mouth-plug", "2 mm", False),
        ("barrel-mouth-plug", "8 TPI", False),
    ],
)
def test_half_nuts_close_anywhere_only_where_the_lead_divides_the_screws(
    name: str, screw: str, anywhere: bool
) -> None:
    t = HERON[name].threads[0]
    said = half_nuts(t, Lathe(50, screw, exact=True))
    assert ("closed again anywhere" in said) is anywhere
    assert ("leave them closed" in said) is not anywhere
    assert "leave them closed" in half_nuts(t, Lathe(50, screw, exact=False))


def test_half_nuts_closed_elsewhere_hit_another_start_or_none() -> None:
    """P 0.8, Ph 2.4: turns of 3 stand 0.6, 1.2 and 1.8 off, none a multiple of 0.8; turns of 4
    stand 1.6 and 0.8 off, which are the two other starts."""
    t = HERON["cap-mouth-plug"].threads[0]
    assert "spoils the thread" in half_nuts(t, Lathe(50, "3 mm", exact=True))
    assert "hit another start" in half_nuts(t, Lathe(50, "4 mm", exact=True))


def test_an_inch_lead_on_an_inch_screw() -> None:
    """32 threads to the inch on a screw of 8: four to a turn."""
    (t,) = EVERY["bittern-barrel-plug"].threads
    assert t.limits.designation.pitch.exact == Fraction(254, 10) / 32
    assert "closed again anywhere" in half_nuts(t, Lathe(50, "8 TPI", exact=True))
    assert "leave them closed" in half_nuts(t, Lathe(50, "3 mm", exact=True))


def test_passes_are_counted_plainly() -> None:
    for m in HERON.values():
        for t in turner_card(m, ALL["heron"][1]).threads:
            n = len(t.card.passes)
            assert t.card.passes_why.startswith(f"{n} in all")
            sums = re.findall(r"\((\d[^)]*)\)", t.card.passes_why)[0]
            added = sum(int(x.split()[0]) for x in sums.split(" + "))
            said = re.search(r": (\d+) \(", t.card.passes_why)
            assert added == (int(said.group(1)) if said else n)
            # The chips as they are: 0.3, 0.7, then alike (areas as depth squared).
            areas = [b**2 - a**2 for a, b in pairwise((0, *t.card.passes))]
            assert areas[0] / areas[2] == pytest.approx(0.3)
            assert areas[1] / areas[2] == pytest.approx(0.7)


def test_a_nose_radius_is_never_below_the_rounded_root_the_sheet_asks_for() -> None:
    """ISO 965-1: R of an external root at least 0.125 P. With a lower minor limit the geometry
    alone would allow a sharper tool."""
    t = HERON["cap-mouth-plug"].threads[0]
    assert t.limits.minor.min is not None
    deep = replace(t.limits, minor=replace(t.limits.minor, min=t.limits.minor.min - 0.15))
    nose = infeed.feed(replace(t, limits=deep)).nose
    assert nose is not None
    assert nose[0] == pytest.approx(0.125 * 0.8)


def test_a_v_tool_of_a_large_nose_stops_before_a_full_form_one() -> None:
    """A full-form point is rounded with H/6 and cuts H/3 below the pitch line (ISO 68-1), a V of
    nose radius r cuts H/2 − r: less than that where r is above H/6. M8.5x0.75: H/6 = 0.108."""
    plug = turner_card(HERON["barrel-mouth-plug"], ALL["heron"][1])
    (t,) = plug.threads
    h = math.sqrt(3) / 2 * 0.75
    assert t.card.feed.same == pytest.approx(h / 6)
    assert t.card.feed.nose is not None
    assert t.card.feed.nose[0] < t.card.feed.same < t.card.feed.nose[1]
    said = _rows(plug)["cross slide"]
    assert "A V tool of r 0.108 goes as deep; with less it goes on" in said
    assert "with more it stops at its own depth, before the last of these" in said
    row = t.card.feed.rows[1]
    assert row.sharp[1] - t.card.feed.nose[1] < row.full_form[1]


def test_a_v_tool_in_a_bore_goes_on_to_its_own_depth() -> None:
    """A full-form point is H/8 short of the V inside (3H/8 below the pitch line, ISO 68-1), and no
    nose that holds the root is rounder: M8.5x0.75: (8.013 + 0.6495 − 8.5)/2 = 0.081 = H/8."""
    cup = turner_card(HERON["section-rear-cup"], ALL["heron"][1])
    (t,) = cup.threads
    assert t.card.feed.nose is not None
    assert t.card.feed.same == pytest.approx(math.sqrt(3) / 16 * 0.75)
    assert t.card.feed.nose[1] == pytest.approx(t.card.feed.same, abs=1e-4)
    assert "r 0 to 0.08 leaves" in _rows(cup)["V tool"]
    assert ". A V tool goes on to its own depth" in _rows(cup)["cross slide"]
    none = replace(t, card=replace(t.card, feed=replace(t.card.feed, nose=None)))
    assert "V tool" not in _rows(replace(cup, threads=(none,)))["cross slide"]


def test_the_steepest_turn_of_a_thread_is_named() -> None:
    """Steepest at the smallest diameter: a screw's root, a nut's crest (tan = lead / π d)."""
    for name, word in (("barrel-mouth-plug", "root"), ("section-rear-cup", "crest")):
        card = turner_card(HERON[name], ALL["heron"][1])
        form = HERON[name].threads[0].form
        d = min(form.root_diameter, form.crest_diameter)
        angle = math.degrees(math.atan(0.75 / (math.pi * d)))
        said = _rows(card)["tool clearance"]
        assert said.startswith(
            f"lead angle at the {word} {angle:.1f}".rstrip("0").rstrip(".") + "°"
        )


def test_a_tapping_drill_wider_than_the_pilot_hole_has_an_end() -> None:
    """A pilot hole of 7.4 ± 0.2 and a drill of 7.7: driven through, the drill would widen it."""
    m = HERON["section-rear-cup"]
    assert (m.characteristic("pilot.diameter").upper or 0) < 7.7
    said = _rows(turner_card(m, ALL["heron"][1]))["bore to"]
    assert said.endswith("tapping drill 7.7, no deeper than the relief")
