"""The same thing has the same number wherever it is said, and numbers keep their order."""

from __future__ import annotations

import re
from functools import cache
from itertools import pairwise

import pytest

from mandrelgen.assess import stiffness
from mandrelgen.assess.choose_tolerances import situated
from mandrelgen.assess.mandrel_findings import of_verdict
from mandrelgen.assess.settled import designs
from mandrelgen.assess.what_if import compare
from mandrelgen.design import ends, seat
from mandrelgen.design.designed import Designed
from mandrelgen.design.draft import Draft
from mandrelgen.mechanics.assessment_types import Assessment
from mandrelgen.mechanics.beam import shoulder_notch
from mandrelgen.model.mandrel import Issue
from mandrelgen.paper.drawing.notes import notes_block
from mandrelgen.paper.drawing.text_block import Block
from mandrelgen.paper.drawing.title_block import TitleData, title_block
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


@pytest.mark.parametrize("name", ["wren", "bittern"])
def test_check_and_what_if_give_a_joint_one_step(name: str) -> None:
    """The heron has the same joints as the wren, and more: among the long suites."""
    one_step_each(name)


def one_step_each(name: str) -> None:
    pen, shop = starters(name)
    for d in designs(pen, shop):
        _, (base, *_) = compare(pen, shop, d.planned.id)
        assert d.verdict is not None
        assert base.verdict is not None
        assert base.verdict.truth.step == d.verdict.truth.step


def said(block: Block) -> str:
    return " ".join(str(getattr(x, "text", "")) for x in block.drawn)


def sign() -> list[float]:
    """The limits of inside corners in the title block's sign of ISO 13715, the greater first."""
    issue = Issue(**dict.fromkeys(("number", "revision", "date", "status", "owner"), "-"),
                  drawn_by="-", approved_by="-")  # fmt: skip
    data = TitleData(**{f: "-" for f in TitleData._fields if f != "exceptions"})
    texts = [getattr(x, "text", "") for x in title_block(issue, data).drawn]
    return [float(t) for t in texts if t.startswith("+")]


def test_strength_counts_on_the_least_corner_radius_the_sheet_allows() -> None:
    """The radius at the seat is read off the sheet's note, that of other corners off the sign of
    ISO 13715; each shoulder's factor is Peterson's at the least of it."""
    assert sign() == [0.3, 0.1]
    seats = others = 0
    for pen, shop, ds in judged():
        for s in (s for d in ds if d.mandrel for s in situated(d, pen, shop) if s.grip):
            note = said(notes_block(s.mandrel, (), {}, 150.0))
            asked = re.search(r"inside corner R ([\d.]+) to ([\d.]+)", note)
            for a, b in pairwise(stiffness.beam(s)):
                if b.feature in ("relief", "undercut") and asked and a.outer > b.outer:
                    least = float(asked[1])
                    assert 0 < least < float(asked[2]) <= 0.4
                    assert b.notch == shoulder_notch(a.outer, b.outer, least)
                    seats += 1
                if (a.feature, b.feature) == ("shank", "collar") and a.outer > b.outer:
                    assert b.notch == shoulder_notch(a.outer, b.outer, sign()[1])
                    others += 1
    assert seats > 10
    assert others > 5


def test_the_corner_at_the_seat_is_one_radius() -> None:
    """What is decided is what the sheet asks for, and what the maker's own card says."""
    seen = 0
    for _, _, ds in judged():
        for m in (d.mandrel for d in ds if d.mandrel is not None):
            for x in (x for x in m.decisions if x.id == "seat.corner"):
                note = said(notes_block(m, (), {}, 150.0))
                assert f"R {x.value}," in note or f"corner {x.value}," in note
                seen += 1
    assert seen > 10


@pytest.mark.parametrize(
    ("groove", "told", "note"),
    [
        (9.0, "0.2 to 0.4", "outer edge 0.1 at most, inside corner R 0.2 to 0.4"),
        (9.2, "0.1 to 0.3", "outer edge 0.1 at most, inside corner R 0.1 to 0.3"),
        (9.5, "0.1 at most", "outer edge and inside corner 0.1 at most"),
    ],
)
def test_a_corner_has_a_least_radius_wherever_there_is_room(
    groove: float, told: str, note: str
) -> None:
    """The part's flat begins at 10: (10 - groove)/2 less 0.1 is free, 0.4 at most; half of it, in
    tenths downwards, is the least."""
    draft = Draft("cap.mouth")
    draft.turn("collar", -2.0, 0.0, 14.0)
    draft.turn("relief", 0.0, 2.0, groove)
    seat.decide_corner(draft, 10.0, groove)
    assert draft.decisions[0].value == told
    assert seat.edges(draft) == note


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


def test_what_most_of_a_mismatch_comes_from_is_said_without_its_id() -> None:
    """The finial's joint: most of it is the neighbour's, and whose face it is stands in words."""
    pen, shop = starters("heron")
    made = [d.verdict for d in designs(pen, shop) if d.planned.id == "finial-root-cup"]
    (verdict,) = made
    assert verdict is not None
    (told,) = (f for f in of_verdict(verdict, "finial-root-cup") if f.code == "use.step")
    cause = told.message.partition("the most comes from ")[2].split(";")[0]
    assert cause == "neighbour: part's face out of square"
