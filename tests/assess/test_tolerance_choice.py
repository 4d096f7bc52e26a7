"""The verdict drives the design: run-outs, fit and flats are what the judgement asks for, and both
ends of a double-ended mandrel are judged.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from mandrelgen.assess.choose_tolerances import judged
from mandrelgen.assess.settled import designs
from mandrelgen.design.chosen_tolerances import LADDER, SEAT_LOOSEST
from mandrelgen.design.designer import design_one
from mandrelgen.design.plan import plan
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.pen import Pen
from tests.support.judged_pens import codes, plug_pen, starters, verdict_of
from tests.support.randompens import SHOP


def runouts(m: Mandrel) -> dict[str, float]:
    return {c.id: c.upper or 0.0 for c in m.characteristics if c.id.endswith(".runout")}


def test_tolerances_are_the_loosest_that_meet_the_target() -> None:
    """Each rung looser would miss the target; the drawing carries the number behind it."""
    seen = set()
    for target in (0.02, 0.025, 0.03, 0.035, 0.04, 0.06, 0.1):
        pen = plug_pen({"target_step": target})
        (d,) = designs(pen, SHOP)
        v = verdict_of(d)
        assert d.mandrel is not None
        drawn = runouts(d.mandrel)
        rung = drawn["spigot1.runout"]
        seen.add(rung)
        assert rung in LADDER
        assert drawn["seat.runout"] == min(rung, SEAT_LOOSEST)
        looser = [r for r in LADDER if r > rung]
        if v.truth.step.met and looser:
            p = plan(pen)[0]
            again = design_one(pen, SHOP, p, replace(d.settled, rung=looser[-1]))
            assert not verdict_of(judged(pen, SHOP, (again,))[0]).truth.step.met
        text = next(x for x in d.mandrel.decisions if x.id == "spigot1.runout")
        # The number is the first design's: the settled one has its own on the maker's page.
        assert "first design's step at the joint" in text.why
        assert "the settled design's own step: see How true" in text.why
        assert any(ch.isdigit() for ch in text.why)
    assert len(seen) >= 3


def test_a_closer_fit_is_chosen_only_where_it_alone_helps_and_none_was_asked() -> None:
    fits = {}
    for target in (0.02, 0.024, 0.028, 0.032, 0.036, 0.06):
        (d,) = designs(plug_pen({"target_step": target}), SHOP)
        assert d.wishes is not None
        fits[target] = d.wishes.fit.value
        (asked,) = designs(plug_pen({"target_step": target}, wishes={"fit": "normal"}), SHOP)
        assert asked.wishes is not None
        assert asked.wishes.fit.value == "normal"
    assert fits[0.06] == "normal"
    assert "close" in fits.values()


def test_flats_come_when_a_hand_cannot_free_the_part() -> None:
    hard, easy = {"catch_torque": 4.0}, {"catch_torque": 1.0}
    (d,) = designs(plug_pen(hard), SHOP)
    assert d.mandrel is not None
    assert d.mandrel.flats is not None
    why = next(x.why for x in d.mandrel.decisions if x.id == "flats.across")
    assert "N·m free it" in why
    (d,) = designs(plug_pen(easy), SHOP)
    assert d.mandrel is not None
    assert d.mandrel.flats is None
    (d,) = designs(plug_pen(hard, wishes={"flats": False}), SHOP)
    assert d.mandrel is not None
    assert d.mandrel.flats is None
    assert "use.flats" in codes((d,))


def test_a_double_ended_mandrel_is_judged_at_both_ends() -> None:
    pen, shop = starters("heron")
    data = pen.model_dump(by_alias=True)
    rows = []
    for a, b in (("section.front", "cap.crown"), ("cap.crown", "section.front")):
        data["mandrels"] = {"requests": [{"holds": a, "also_holds": b, "shank_diameter": 14.0}]}
        (d,) = designs(Pen.model_validate(data), shop)
        assert d.verdict is not None
        assert d.verdict_b is not None
        rows.append((d.verdict, d.verdict_b))
    # Turned round, each end serves as it did at the other side.
    for one, other in ((rows[0][0], rows[1][1]), (rows[0][1], rows[1][0])):
        assert one.part == other.part
        assert one.truth.step.states.tight.statistical == pytest.approx(
            other.truth.step.states.tight.statistical
        )
        assert one.gaps == other.gaps
        assert one.stiffness is not None
        assert other.stiffness is not None
        assert one.stiffness.overhang == pytest.approx(other.stiffness.overhang)
