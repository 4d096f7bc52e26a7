"""Which ways to hold a part are compared, and which are none: the pieces that the choice of the
fewest mandrels is made of."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from mandrelgen.assess import fewest as few
from mandrelgen.assess import runout
from mandrelgen.assess.choose_tolerances import situated
from mandrelgen.assess.fewest import Way, choose
from mandrelgen.assess.setup import Situated
from mandrelgen.assess.words import Word
from mandrelgen.design.chosen_tolerances import ToleranceChoice
from mandrelgen.design.designed import Designed
from mandrelgen.design.designer import designer
from mandrelgen.design.plan import Hold, Planned, plan
from mandrelgen.mechanics import concentricity
from mandrelgen.mechanics.assessment_types import Mismatch
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.shop import Shop
from tests.support.flush_pen import trio
from tests.support.held import held
from tests.support.judged_pens import cup_pen, plug_pen
from tests.support.randompens import SHOP

A, B, C = (Hold("barrel", end, "internal") for end in "abc")
ORDER, MAKE, SKIP = Word.ORDER, Word.MAKE, Word.SKIP


def unasked(pen: Pen | None = None, **mandrels: Any) -> Pen:
    """The cap, its barrel and the tail, nothing asked for by name."""
    text = (pen or trio()).model_dump(by_alias=True, exclude_unset=True)
    text["mandrels"] = mandrels
    return Pen.model_validate(text)


def holds(planned: tuple[Planned, ...]) -> list[str]:
    return [f"{p.hold.text} {p.hold.by}" for p in planned]


# -- the choice ------------------------------------------------------------------------------------
def rows_of(parts: int, ways: int) -> list[list[Hold]]:
    return [[Hold(f"p{i}", f"e{j}", "internal") for j in range(ways)] for i in range(parts)]


@pytest.mark.parametrize(("parts", "chosen"), [(9, "e1"), (10, "e0")])
def test_a_pen_with_too_many_choices_keeps_the_usual_ends(parts: int, chosen: str) -> None:
    """Two ways for each of 9 parts are 512 choices, of 10 they are 1024. Another end than the usual
    one could be made of each."""
    rows = rows_of(parts, 2)
    ways = {h: Way(("x",) if h.end == "e1" else (), ORDER) for row in rows for h in row}
    assert {h.end for h in choose(rows, ways)} == {chosen}


def test_what_is_left_to_feel_is_asked_of_equal_choices_alone() -> None:
    asked: list[tuple[Hold, ...]] = []

    def left(choice: tuple[Hold, ...]) -> float:
        asked.append(choice)
        return float(choice[0].end == "e0")

    (row,) = rows_of(1, 3)
    ways = dict(zip(row, (Way((1,), ORDER), Way((2,), ORDER), Way((3,), MAKE)), strict=True))
    assert choose([row], ways, left) == (row[2],)
    assert asked == []
    ways[row[2]] = Way((), MAKE)
    assert choose([row], ways, left) == (row[1],)
    assert asked == [(row[0],), (row[1],)]
    # Without a word on that the usual end stays.
    assert choose([row], ways) == (row[0],)


# -- strong enough ---------------------------------------------------------------------------------
WEAK, GONE = (20.0, True), (0.0, True)


@pytest.mark.parametrize(
    ("borne", "rescue", "kept"),
    [
        # Where the usual way bears what is asked, others must too.
        (((100.0, False), (100.0, False), WEAK), False, (A, B)),
        (((100.0, False), WEAK, (50.0, False)), False, (A, C)),
        # Where it does not, all are compared.
        ((WEAK, WEAK, (50.0, False)), False, (A, B, C)),
        ((GONE, WEAK, (50.0, False)), False, (A, B, C)),
        # Where it cannot be made at all, those that bear it take its place.
        ((GONE, WEAK, (50.0, False)), True, (A, C)),
        ((WEAK, GONE, (50.0, False)), True, (A, B, C)),
        (((0.5, True), GONE, (50.0, False)), True, (A, B, C)),
    ],
)
def test_a_way_that_bears_less_than_is_asked_is_none_where_the_usual_one_bears_it(
    borne: tuple[tuple[float, bool], ...], rescue: bool, kept: tuple[Hold, ...]
) -> None:
    found = few._strong((A, B, C), dict(zip((A, B, C), borne, strict=True)), rescue)
    assert found == kept


@pytest.mark.parametrize(
    ("usual", "other", "weaker"),
    [(200.0, 90.0, False), (200.0, 89.9, True), (50.0, 50.0, False), (50.0, 49.9, True),
     (90.0, 200.0, False)],
)  # fmt: skip
def test_no_mismatch_is_worth_less_than_the_usual_way_bears_and_than_a_roughing_cut(
    usual: float, other: float, weaker: bool
) -> None:
    """A roughing cut is 90 N (data/judging.toml, an estimate)."""
    borne = {A: (usual, False), B: (other, False)}
    assert few._weaker((A, B), borne) == (frozenset({B}) if weaker else frozenset())


def test_what_a_way_bears_is_its_weaker_end_s() -> None:
    """The plug bears 296 N free, the cup's tenon 70; a lip that bursts in a dig-in is too weak."""
    plug, cup = held(plug_pen()), held(cup_pen())
    pen = plug_pen()
    force, weak = few._bears(pen, SHOP, (plug,))
    assert (round(force), weak) == (296, False)
    assert few._bears(pen, SHOP, (plug, cup)) == few._bears(pen, SHOP, (cup, plug))
    assert round(few._bears(pen, SHOP, (plug, cup))[0]) == 70
    assert few._bears(pen, SHOP, ()) == (0.0, True)
    button = replace(plug, collet_face=None, grip=None)
    assert few._bears(pen, SHOP, (plug, button)) == (0.0, True)
    away = replace(cup, loads=cup.loads._replace(roughing_up=False))
    assert few._bears(pen, SHOP, (away,))[1]
    assert few._bears(pen, SHOP, (plug, away))[1]
    soft = replace(plug, loads=plug.loads._replace(catch_side=2000.0, catch_torque=40.0))
    assert few._bears(pen, SHOP, (soft,)) == (pytest.approx(force), True)


# -- which ways there are --------------------------------------------------------------------------
def test_a_visible_end_is_held_only_where_it_is_the_usual_one() -> None:
    text = unasked().model_dump(by_alias=True, exclude_unset=True)
    ends = text["parts"]["barrel"]["ends"]

    def ways() -> list[str]:
        return [f"{h.end} {h.by}" for h in few._ways(Pen.model_validate(text), "barrel")]

    assert ways() == ["rear internal", "front external"]
    ends["front"]["visible_face"] = True
    assert ways() == ["rear internal"]
    ends["rear"]["visible_face"] = True
    assert len(ways()) == 1
    ends["front"]["visible_face"] = False
    assert ways() == ["front external"]


def test_what_is_asked_for_by_name_has_no_other_way() -> None:
    pen = unasked()
    assert [[h.text for h in row] for row in few._rows(pen, plan(pen))] == [
        ["cap.mouth"], ["barrel.rear", "barrel.front"], ["tail.root"]
    ]  # fmt: skip
    asked = unasked(requests=[{"holds": "barrel.front"}], all_needed=True)
    assert [[h.text for h in row] for row in few._rows(asked, plan(asked))] == [
        ["cap.mouth"], ["tail.root"]
    ]  # fmt: skip
    text = unasked(defaults={"tailstock_button": True}).model_dump(
        by_alias=True, exclude_unset=True
    )
    del text["parts"]["barrel"]["ends"]["rear"]["internal"]
    buttoned = Pen.model_validate(text)
    assert any(p.kind.value == "tailstock-button" for p in plan(buttoned))
    assert [row[0].part for row in few._rows(buttoned, plan(buttoned))].count("barrel") == 1


# -- whether it matters ----------------------------------------------------------------------------
def matters(pen: Pen, shop: Shop = SHOP) -> bool:
    usual = plan(pen)
    return few._matters(pen, shop, usual, few._rows(pen, usual))


def shouldered(cap: float) -> Pen:
    """A tail long enough for a mandrel of its own, on a shoulder of 0.65 with its barrel."""
    text = unasked(trio(cap)).model_dump(by_alias=True, exclude_unset=True)
    text["parts"]["tail"] |= {"length": 40.0}
    text["parts"]["tail"]["ends"]["root"]["diameter"] = 13.3
    return Pen.model_validate(text)


@pytest.mark.parametrize(
    ("cap", "felt"), [(13.0, True), (13.2, True), (13.6, True), (13.62, False), (15.0, False)]
)
def test_the_choice_matters_where_a_mismatch_is_felt_or_seen(cap: float, felt: bool) -> None:
    """On a shoulder of up to 0.3."""
    assert matters(shouldered(cap)) is felt


def test_a_part_that_needs_no_mandrel_makes_no_mismatch() -> None:
    """The tail of 20 stands 13 out of the barrel; of 18 only 11, so it is turned on it."""
    for length, expected in ((40.0, True), (18.0, False)):
        text = shouldered(15.0).model_dump(by_alias=True, exclude_unset=True)
        text["parts"]["tail"]["length"] = length
        text["parts"]["tail"]["ends"]["root"]["diameter"] = 12.0
        assert matters(Pen.model_validate(text)) is expected


def test_two_parts_with_one_thread_matter_and_one_part_s_two_ends_do_not() -> None:
    def shares(rear: str) -> bool:
        text = shouldered(15.0).model_dump(by_alias=True, exclude_unset=True)
        text["parts"]["barrel"]["ends"]["rear"]["internal"]["thread"] = rear
        text["parts"]["barrel"]["ends"]["rear"]["bore"][0]["diameter"] = 7.2
        del text["parts"]["tail"]["ends"]["root"]["external"]["mates"]
        pen = Pen.model_validate(text)
        return few._share_a_thread(pen, few._rows(pen, plan(pen)))

    assert shares("M10x0.75-6H")
    # The class is the part's own affair; the side is not: a screw is no nut.
    assert shares("M10x0.75")
    assert not shares("M8x0.75")
    assert few._share_a_thread(
        unasked(), [(Hold("cap", "mouth", "internal"),), (Hold("barrel", "front", "external"),)]
    ) is False  # fmt: skip
    same = Hold("cap", "mouth", "internal")
    assert not few._share_a_thread(unasked(), [(same, same)])
    by_bore = Hold("cap", "mouth", "bore"), Hold("barrel", "rear", "bore")
    assert not few._share_a_thread(unasked(), [by_bore[:1], by_bore[1:]])


def test_tools_that_cut_one_end_and_not_the_other_matter() -> None:
    pen = shouldered(15.0)
    assert not matters(pen)
    owns = SHOP.model_dump(by_alias=True, exclude_unset=True)
    for key, thread, expected in (
        ("dies", "M8x0.75", True), ("taps", "M10x0.75", True), ("dies", "M9x0.5", False),
    ):  # fmt: skip
        shop = Shop.model_validate(owns | {key: [{"thread": thread}]})
        assert matters(pen, shop) is expected, thread


def test_nothing_is_designed_where_it_does_not_matter() -> None:
    def never(p: Planned, choice: ToleranceChoice) -> Designed:
        raise AssertionError(p)

    pen = shouldered(15.0)
    assert few.fewest(pen, SHOP, never) == plan(pen)
    single = plug_pen()
    assert few.fewest(single, SHOP, never) == plan(single)
    # Nor to rescue a part that has one way only.
    failed = [p for p in plan(pen) if p.hold.part == "cap"]
    assert few.rescued(pen, SHOP, failed, never) == plan(pen)


# -- instead of what cannot be made ----------------------------------------------------------------
def test_another_end_does_where_the_usual_one_cannot_be_made() -> None:
    pen = shouldered(15.0)
    real = designer(pen, SHOP)

    def made(p: Planned, choice: ToleranceChoice) -> Designed:
        d = real(p, choice)
        return replace(d, mandrel=None) if p.hold.text == "barrel.rear" else d

    failed = [p for p in plan(pen) if p.hold.text == "barrel.rear"]
    assert holds(few.rescued(pen, SHOP, failed, made)) == [
        "cap.mouth internal", "barrel.front external", "tail.root external"
    ]  # fmt: skip
    # With no tailstock the tenon bears too little: the usual end stays, and its error is told.
    lathe = SHOP.lathe.model_copy(update={"tailstock": False})
    bare = SHOP.model_copy(update={"lathe": lathe})
    assert holds(few.rescued(pen, bare, failed, made)) == holds(plan(pen))


# -- what is left to feel --------------------------------------------------------------------------
def test_what_flush_joints_miss_their_target_by_and_narrow_reveals_a_third() -> None:
    judged = concentricity.judge
    assert few._too_much(judged(0.0, 0.08, 0.02, 0.05)) == pytest.approx(0.03)
    assert few._too_much(judged(0.0, 0.05, 0.02, 0.05)) == 0.0
    # A shoulder of 0.15 is uneven from 0.05 on.
    assert few._too_much(judged(0.15, 0.08, 0.02, 0.05)) == pytest.approx(0.03)
    assert few._too_much(judged(0.15, 0.05, 0.02, 0.05)) == 0.0
    assert few._too_much(judged(0.4, 0.9, 0.02, 0.05)) == 0.0


@pytest.mark.parametrize(
    ("one", "other", "touch"),
    [("cap", "barrel", True), ("barrel", "cap", True), ("tail", "barrel", True),
     ("cap", "tail", False), ("cap", "cap", False)],
)  # fmt: skip
def test_parts_touch_that_a_joint_screws_together(one: str, other: str, touch: bool) -> None:
    assert few._touches(unasked(), one, other) is touch


def test_only_joints_whose_two_parts_are_turned_on_mandrels_leave_something(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Each such end of a part leaves the 0.0304 by which its joint misses."""
    pen = unasked()
    real = designer(pen, SHOP)
    placed = {
        p.hold: situated(real(p, ToleranceChoice()), pen, SHOP) for p in plan(pen)
    }  # fmt: skip
    asked: list[str] = []
    step = runout.step

    def missed(s: Situated, near: Any, pen: Pen, shop: Shop) -> Mismatch:
        asked.append(s.hold.part)
        joined = concentricity.judge(0.0, 0.0804, 0.0804, 0.05)
        return replace(step(s, near, pen, shop), joined=replace(joined, over=0.0304))

    monkeypatch.setattr(runout, "step", missed)
    choice = tuple(placed)
    ways = {h: Way((h.text,), ORDER) for h in choice}
    left = few._felt(pen, SHOP, ways, placed)
    # The cap, the barrel and the tail, each with its neighbour there; printed to three places.
    assert left(choice) == 0.091
    assert sorted(asked) == ["barrel", "cap", "tail"]
    assert left(choice) == 0.091
    assert len(asked) == 3
    # Without the tail's mandrel the barrel's own joint has no neighbour.
    tail = next(h for h in choice if h.part == "tail")
    assert few._felt(pen, SHOP, ways | {tail: Way(("t",), SKIP)}, placed)(choice) == 0.03
    assert few._felt(pen, SHOP, ways, {})(choice) == 0.0


# -- ways by themselves ----------------------------------------------------------------------------
def test_a_way_that_was_not_designed_is_to_be_ordered_and_cannot_be_made() -> None:
    assert few._way(unasked(), SHOP, A, {}) == Way((), ORDER)


def test_every_way_is_designed_with_the_usual_tolerances() -> None:
    pen = unasked()
    seen: list[tuple[str, ToleranceChoice]] = []
    real = designer(pen, SHOP)

    def made(p: Planned, choice: ToleranceChoice) -> Designed:
        seen.append((p.hold.text, choice))
        return real(p, choice)

    rows = few._rows(pen, plan(pen))
    trial = few._trial(pen, made, rows)
    assert set(trial) == {h for row in rows for h in row}
    assert all(d.planned.hold == h for h, d in trial.items())
    assert sorted(seen, key=lambda x: x[0]) == [
        (name, ToleranceChoice())
        for name in ("barrel.front", "barrel.rear", "cap.mouth", "tail.root")
    ]
    ways = {h: few._way(pen, SHOP, h, trial) for h in trial}
    assert all(w.key for w in ways.values())
