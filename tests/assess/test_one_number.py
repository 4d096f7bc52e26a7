"""The same thing has the same number wherever it is said, and numbers keep their order."""

from __future__ import annotations

from functools import cache

import pytest

from mandrelgen.assess.settled import designs
from mandrelgen.assess.what_if import compare
from mandrelgen.design import ends
from mandrelgen.design.designed import Designed
from mandrelgen.mechanics.assessment_types import Assessment
from mandrelgen.paper.drawing.notes import notes_block
from mandrelgen.paper.drawing.text_block import Block
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.shop import Shop
from mandrelgen.workshop.home.part_end import end_steps
from tests.judging.sane import sane
from tests.support.judged_pens import STARTERS, starters


@cache
def judged() -> list[tuple[Pen, Shop, tuple[Designed, ...]]]:
    """The starters and some sane pens of a seed of their own."""
    pens = [starters(name) for name in STARTERS]
    pens += [(Pen.model_validate(s.pen), Shop.model_validate(s.shop)) for s in sane(7301, 6)]
    return [(pen, shop, designs(pen, shop)) for pen, shop in pens]


def verdicts() -> list[Assessment]:
    return [
        v for _, _, ds in judged() for d in ds for v in (d.verdict, d.verdict_b) if v is not None
    ]


def test_remounting_shifts_no_less_when_more_is_disturbed() -> None:
    found = [v.truth for v in verdicts()]
    assert len(found) > 20
    assert all(t.regripped.worst >= t.remount.worst for t in found)
    assert all(t.regripped.statistical >= t.remount.statistical for t in found)
    assert any(t.regripped.statistical > t.remount.statistical for t in found)


@pytest.mark.parametrize("name", STARTERS)
def test_check_and_what_if_give_a_joint_one_step(name: str) -> None:
    pen, shop = starters(name)
    for d in designs(pen, shop):
        _, (base, *_) = compare(pen, shop, d.planned.id)
        assert d.verdict is not None
        assert base.verdict is not None
        assert base.verdict.truth.step == d.verdict.truth.step


def said(block: Block) -> str:
    return " ".join(str(getattr(x, "text", "")) for x in block.drawn)


def test_the_corner_at_the_seat_is_one_radius() -> None:
    """What is decided is what the sheet asks for."""
    seen = 0
    for _, _, ds in judged():
        for m in (d.mandrel for d in ds if d.mandrel is not None):
            for x in (x for x in m.decisions if x.id == "seat.corner"):
                assert f"R {x.value} at most" in said(notes_block(m, (), {}, 150.0))
                seen += 1
    assert seen > 10


@pytest.mark.parametrize("lead", [None, 1.5])
def test_a_full_thread_alone_leaves_the_tap_its_lead(lead: float | None) -> None:
    """7 mm to the last full turn: the tap went on by its lead, 2 P = 1.5 for a bottoming tap
    (common practice, no source) or as said."""
    internal = {"thread": "M9x0.75", "full_thread": 7.0}
    if lead is not None:
        internal["tap_lead"] = lead
    mouth = {"diameter": 13.0, "internal": internal}
    pen = Pen.model_validate(
        {
            "schema": 1,
            "pen": {"id": "rail", "name": "Rail"},
            "parts": {"barrel": {"length": 60.0, "diameter": 13.0, "ends": {"mouth": mouth}}},
        }
    )
    part = pen.parts["barrel"]
    found = ends.tapped_end(part, part.ends["mouth"], Shop.model_validate({"schema": 1}))
    assert (found.full, found.tapped) == (7.0, 8.5)
    assert found.bottom_min >= 8.5 - ends.DEPTH_BY_HAND - 1e-9
    steps = end_steps(part, part.ends["mouth"], Shop.model_validate({"schema": 1}), set())
    assert [s.length for s in steps if s.what in ("drill", "tap")] == [8.5, 8.5]
