"""Several ways to make one mandrel: which are tried, of which mandrel, and what comes of them."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from mandrelgen.assess import what_if
from mandrelgen.assess.settled import settled
from mandrelgen.assess.what_if import Variant, compare
from mandrelgen.assess.words import Answer, Word
from mandrelgen.core.errors import Finding, InputError, Level
from mandrelgen.design.designed import Designed
from mandrelgen.design.plan import Planned, plan
from mandrelgen.spec.pen import Fit, MandrelType, Pen
from mandrelgen.spec.shop import Shop
from tests.support.judged_pens import cup_pen, plug_pen
from tests.support.on_a_mandrel import bench, designed
from tests.support.own_mandrels import starter_pen

Compared = tuple[Planned, tuple[Variant, ...]]


@pytest.fixture(scope="module")
def compared() -> Compared:
    """A cup for the body, asked for by name."""
    return compare(cup_pen(), bench(), None)


def tree(pen: Pen) -> dict[str, Any]:
    return pen.model_dump(mode="json", by_alias=True, exclude_unset=True)


# -- what is tried -------------------------------------------------------------------------------
def options(shop: Shop, pen: Pen) -> list[tuple[str, str, dict[str, Any]]]:
    return list(what_if._options(shop, plan(pen)[0]))


def test_the_tailstock_is_tried_first_and_the_two_widest_collets_last() -> None:
    found = options(bench(), cup_pen())
    assert [(g, v) for g, v, _ in found] == [
        ("tailstock", "up"), ("tailstock", "away"),
        ("material", "11SMn30"), ("material", "1.4305"), ("material", "CW614N"),
        ("stick-out", "2"), ("stick-out", "5"), ("fit", "close"), ("fit", "free"),
        ("shank", "16"), ("shank", "15"),
    ]  # fmt: skip


def test_each_way_asks_for_one_thing() -> None:
    wishes = {f"{g} {v}": w for g, v, w in options(bench(), cup_pen())}
    assert wishes["tailstock up"]["use"].tailstock is True
    assert wishes["tailstock away"]["use"].tailstock is False
    assert wishes["material CW614N"] == {"material": "CW614N"}
    assert {k: float(v) for k, v in wishes["stick-out 2"].items()} == {"stand_off": 2.0}
    # A fit settles the class: what was said of it gives way.
    gone = {"thread_class": None, "deviation": None}
    assert wishes["fit close"] == {"fit": Fit.CLOSE, **gone}
    assert wishes["fit free"] == {"fit": Fit.FREE, **gone}
    assert {k: float(v) for k, v in wishes["shank 15"].items()} == {"shank_diameter": 15.0}


def test_what_the_bench_has_not_is_not_tried() -> None:
    """No tailstock; one collet of a size that stands on the shelf twice; a bore has no fit."""
    shop = tree_of_shop()
    shop["lathe"]["tailstock"] = False
    (own,) = shop["collets"]
    shop["collets"] = [{**own, "sizes": [12]}, {**own, "sizes": [12]}]
    bore = plug_pen(wishes={"kind": "spigot", "holds": "body.mouth.bore"})
    found = options(Shop.model_validate(shop), bore)
    assert [(g, v) for g, v, _ in found if g != "material"] == [
        ("stick-out", "2"), ("stick-out", "5"), ("shank", "12"),
    ]  # fmt: skip


def tree_of_shop() -> dict[str, Any]:
    return bench().model_dump(mode="json", by_alias=True, exclude_unset=True)


def test_no_more_ways_are_tried_than_most(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(what_if, "MOST", 1)
    _, found = compare(cup_pen(), bench(), None)
    assert [v.name for v in found] == ["as it is", "tailstock up"]


# -- which mandrel -------------------------------------------------------------------------------
def two() -> Pen:
    both = tree(plug_pen())
    both["parts"]["tail"] = tree(cup_pen())["parts"]["body"]
    both["mandrels"] = {
        "requests": [
            {"holds": "body.mouth", "id": "one"},
            {"holds": "tail.mouth", "id": "other", "tailstock_button": True},
        ]
    }
    return Pen.model_validate(both)


def test_the_only_mandrel_needs_no_name_and_one_of_several_does() -> None:
    assert what_if._named(cup_pen(), None).id == "body-mouth-cup"
    assert what_if._named(cup_pen(), "body-mouth-cup").id == "body-mouth-cup"
    assert what_if._named(two(), "other").hold.part == "tail"
    with pytest.raises(InputError) as caught:
        what_if._named(two(), None)
    (f,) = caught.value.findings
    assert (f.level, f.code, f.where) == (Level.ERROR, "what_if.unknown", "what-if")
    assert (f.message, f.remedy) == ("which mandrel?", "one of: one, other")


def test_a_name_that_is_not_planned_is_refused_with_those_that_are() -> None:
    for pen, ids in ((two(), "one, other"), (cup_pen(), "body-mouth-cup")):
        with pytest.raises(InputError) as caught:
            compare(pen, bench(), "none")
        (f,) = caught.value.findings
        assert (f.message, f.remedy) == ("there is no mandrel 'none'", f"one of: {ids}")


def test_a_button_is_compared_in_no_way() -> None:
    """The body's far end is open, so that its button is planned, and not offered."""
    open_end = tree(cup_pen())
    open_end["parts"]["body"]["ends"]["tail"] = {"bore": [{"diameter": 6.0, "depth": 9.0}]}
    open_end["mandrels"]["requests"][0]["tailstock_button"] = True
    pen = Pen.model_validate(open_end)
    cup, button = plan(pen)
    assert button.kind is MandrelType.BUTTON
    assert what_if._named(pen, None) == cup
    with pytest.raises(InputError) as caught:
        what_if._named(pen, button.id)
    assert caught.value.findings[0].remedy == f"one of: {cup.id}"


# -- one mandrel asked for otherwise -------------------------------------------------------------
def test_a_request_is_changed_in_its_place_and_no_other() -> None:
    pen = two()
    p = what_if._named(pen, "other")
    asked = what_if._with(pen, p, {"material": "CW614N"}).mandrels
    assert [(r.id, r.material) for r in asked.requests] == [("one", None), ("other", "CW614N")]
    assert asked.requests[1].tailstock_button is True
    assert asked.requests[0] is pen.mandrels.requests[0]
    assert pen.mandrels.requests[1].material is None


def test_what_was_not_asked_for_is_asked_for_beside_all_the_others() -> None:
    both = tree(two())
    both["mandrels"] = {"requests": [{"holds": "body.mouth", "id": "one"}], "all_needed": True}
    pen = Pen.model_validate(both)
    p = what_if._named(pen, "tail-mouth-cup")
    asked = what_if._with(pen, p, {"material": "CW614N"})
    first, new = asked.mandrels.requests
    assert first is pen.mandrels.requests[0]
    assert (new.id, new.holds, new.kind) == (
        "tail-mouth-cup", "tail.mouth.external", MandrelType.CUP,
    )  # fmt: skip
    assert new.material == "CW614N"
    assert [q.id for q in plan(asked)] == [q.id for q in plan(pen)]


def test_a_pen_that_asks_for_nothing_goes_on_planning_all_its_mandrels() -> None:
    both = tree(two())
    del both["mandrels"]
    pen = Pen.model_validate(both)
    for p in plan(pen):
        asked = what_if._with(pen, p, {"material": "CW614N"})
        assert {q.id for q in plan(asked)} == {q.id for q in plan(pen)}


# -- the comparison ------------------------------------------------------------------------------
def test_every_way_is_designed_and_judged_as_if_the_file_asked_for_it(compared: Compared) -> None:
    p, found = compared
    assert p.id == "body-mouth-cup"
    ways = {v.name: v for v in found}
    assert next(iter(ways)) == "as it is"
    assert len(ways) == 12
    for name, wishes in (
        ("as it is", {}), ("fit close", {"fit": "close"}), ("stick-out 5", {"stand_off": 5.0}),
        ("tailstock away", {"use": {"tailstock": False}}),
    ):  # fmt: skip
        (d,) = settled(cup_pen(wishes=wishes), bench()).designed
        assert ways[name].verdict == d.verdict, name
        assert ways[name].refused == ""


def test_of_several_mandrels_the_one_that_is_named_is_compared(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(what_if, "MOST", 1)
    for name, part in (("one", "body"), ("other", "tail")):
        p, found = compare(two(), bench(), name)
        assert (p.id, p.hold.part) == (name, part)
        assert [v.verdict.part for v in found if v.verdict] == [part] * 2
        assert {v.answer.planned for v in found} == {name}


def test_what_is_as_it_was_changes_nothing(compared: Compared) -> None:
    base = compared[1][0]
    assert (base.group, base.value, base.name) == ("as it is", "", "as it is")
    assert (base.changes, base.found, base.settles, base.mends) == ((), (), (), False)
    assert base.verdict is not None
    assert base.answer.planned == "body-mouth-cup"
    assert base.word is base.answer.word is Word.ORDER


def test_a_warning_that_comes_is_told_with_a_plus(compared: Compared) -> None:
    """Away, the part bears less than is asked at its last thread; nothing else comes."""
    away = next(v for v in compared[1] if v.name == "tailstock away")
    assert (away.found, away.settles) == (("use.part_weak",), ("+use.part_weak",))
    assert not away.mends
    assert away.least is not None
    assert away.least[0] < 1
    assert any(c.startswith("least factor / required ") for c in away.changes)
    up = next(v for v in compared[1] if v.name == "tailstock up")
    assert (up.found, up.settles) == ((), ())


def test_what_goes_is_told_with_a_minus(compared: Compared) -> None:
    ways = {v.name: v.verdict for v in compared[1]}
    was, now = ways["tailstock away"], ways["tailstock up"]
    assert was is not None
    assert now is not None
    assert what_if._settles(was, now) == ("−use.part_weak",)
    assert what_if._settles(was, was) == ()


def test_a_way_that_cannot_be_made_says_why(compared: Compared) -> None:
    p, found = compared
    was = replace(designed(cup_pen()), verdict=found[0].verdict)
    answer = Answer("body-mouth-cup", Word.CHANGE, "no room")
    why = tuple(
        Finding(level=Level.ERROR, code="seat.none", where=p.id, message=m, remedy="")
        for m in ("no room for a seat", "nor for a wall")
    )
    now = Designed(planned=p, mandrel=None, findings=why)
    v = what_if._variant("shank", "4", was, now, answer)
    assert (v.name, v.refused, v.verdict) == ("shank 4", "no room for a seat", None)
    assert (v.changes, v.found, v.settles, v.least, v.failing) == ((), (), (), None, ())
    assert (v.word, v.answer) == (Word.CHANGE, answer)
    silent = what_if._variant("shank", "4", was, replace(now, findings=()), answer)
    assert silent.refused == "cannot be made"
    # Where the one as it is cannot be made, what is found of the other is told all the same.
    away = next(v.verdict for v in found if v.name == "tailstock away")
    back = what_if._variant("tailstock", "away", now, replace(was, verdict=away), answer)
    assert (back.changes, back.settles, back.found) == ((), (), ("use.part_weak",))
    assert back.refused == ""


def test_a_mandrel_that_is_not_needed_is_not_needed_because_a_way_of_it_is_tried(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The dunlin's cap is turned on its neighbour: that a way of its mandrel is tried by name is
    no wish of the maker's."""
    monkeypatch.setattr(what_if, "MOST", 2)
    pen, shop = starter_pen("dunlin")
    p, found = compare(pen, shop, "cap-mouth-plug")
    assert (p.id, p.request) == ("cap-mouth-plug", None)
    assert [v.word for v in found] == [Word.SKIP] * 3
    assert {v.answer.planned for v in found} == {p.id}
