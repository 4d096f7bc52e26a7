"""The loop: what is designed anew and when, and that every rule's findings arrive."""

from __future__ import annotations

from dataclasses import replace

import pytest

from mandrelgen.assess import settled as loop
from mandrelgen.assess.resolved import resolve
from mandrelgen.design.chosen_tolerances import ToleranceChoice
from mandrelgen.design.designed import Designed
from mandrelgen.design.designer import Made, designer
from mandrelgen.design.plan import Planned, plan
from mandrelgen.spec.pen import Pen, ThreadOrder
from mandrelgen.spec.shop import Shop
from tests.support.flush_pen import trio
from tests.support.judged_pens import cup_pen, plug_pen
from tests.support.randompens import SHOP

Row = tuple[Designed, ...]


def orders(row: Row) -> dict[str, ThreadOrder]:
    return {d.planned.id: d.mandrel.threads[0].order for d in row if d.mandrel is not None}


def watched(monkeypatch: pytest.MonkeyPatch, worse: dict[str, str]) -> list[tuple[Row, Row]]:
    """What was compared of tapped and screwcut; ``worse`` is what comes of it."""
    seen: list[tuple[Row, Row]] = []

    def costs(tapped: Row, cut: Row) -> dict[str, str]:
        seen.append((tapped, cut))
        return worse

    monkeypatch.setattr(loop, "tapping_costs", costs)
    return seen


def two_cups() -> Pen:
    return trio(holds=("barrel.front.external", "tail.root.external"))


def test_a_stock_tap_that_nobody_asked_for_is_tried_against_screwcutting(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    seen = watched(monkeypatch, {})
    found = loop.designs(two_cups(), SHOP)
    ((tapped, cut),) = seen
    assert set(orders(tapped).values()) == {ThreadOrder.STOCK_TAP}
    assert set(orders(cut).values()) == {ThreadOrder.SINGLE_POINT}
    assert found == tapped


def test_the_one_that_loses_by_it_is_screwcut_with_its_reason(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    watched(monkeypatch, {"tail-root-cup": "because of its joint"})
    found = loop.designs(two_cups(), SHOP)
    assert orders(found) == {
        "barrel-front-cup": ThreadOrder.STOCK_TAP, "tail-root-cup": ThreadOrder.SINGLE_POINT
    }  # fmt: skip
    assert {d.planned.id: d.settled.screwcut for d in found} == {
        "barrel-front-cup": "", "tail-root-cup": "because of its joint"
    }  # fmt: skip


def test_where_none_is_taken_nothing_is_tried(monkeypatch: pytest.MonkeyPatch) -> None:
    seen = watched(monkeypatch, {})
    loop.designs(plug_pen(), SHOP)
    loop.designs(cup_pen(wishes={"thread_order": "single-point"}), SHOP)
    assert seen == []


def test_a_final_design_has_what_set_and_verdict_settled_and_its_verdict() -> None:
    """The bar's own 16 for a ring of ⌀14.2; flats, since a strap does not free a catch of 4 N·m."""
    (found,) = loop.designs(plug_pen({"catch_torque": 4.0}), SHOP)
    assert found.settled.shank == 16.0
    assert found.settled.flats
    assert found.mandrel is not None
    assert found.mandrel.flats is not None
    assert found.verdict is not None
    assert found.verdict.flats
    assert "tipped off its seat" in found.settled.why_centre


def failing(monkeypatch: pytest.MonkeyPatch, *places: str) -> list[str]:
    """A designer that cannot make those; what it was asked for first with the usual tolerances."""
    asked: list[str] = []

    def made_by(pen: Pen, shop: Shop) -> Made:
        real = designer(pen, shop)

        def made(p: Planned, choice: ToleranceChoice) -> Designed:
            asked.append(p.hold.text)
            d = real(p, choice)
            return replace(d, mandrel=None) if p.hold.text in places else d

        return made

    monkeypatch.setattr(loop, "designer", made_by)
    return asked


def test_one_that_cannot_be_designed_stops_no_other(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = failing(monkeypatch, "cap.mouth")
    cap, barrel = loop.designs(trio(holds=("cap.mouth", "barrel.rear")), SHOP)
    assert (cap.mandrel, cap.verdict) == (None, None)
    assert barrel.verdict is not None
    assert barrel.settled.shank == 12.0  # of its own ring alone, ⌀11.2
    # Nothing is settled of what is not there: after the first tries it is left.
    assert asked.index("cap.mouth") == 0
    assert asked[-1] == "barrel.rear"


def unasked() -> Pen:
    """Nothing asked for by name, and joints that nobody feels."""
    text = trio(15.0).model_dump(by_alias=True, exclude_unset=True)
    text["mandrels"] = {}
    text["parts"]["tail"]["length"] = 40.0
    text["parts"]["tail"]["ends"]["root"]["diameter"] = 13.3
    return Pen.model_validate(text)


def test_where_the_usual_end_cannot_be_made_another_is_designed_in_full(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    failing(monkeypatch, "barrel.rear")
    found = loop.designs(unasked(), SHOP)
    assert [d.planned.hold.text for d in found] == ["cap.mouth", "barrel.front", "tail.root"]
    assert all(d.verdict is not None and d.settled.shank is not None for d in found)


def test_ends_that_were_chosen_already_are_not_chosen_again(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    pen = unasked()
    other = tuple(p for p in plan(pen) if p.hold.part != "tail")
    failing(monkeypatch, "barrel.rear")
    monkeypatch.setattr(loop, "fewest", lambda *_: other)
    found = loop.designs(pen, SHOP)
    assert [d.planned.hold.text for d in found] == ["cap.mouth", "barrel.rear"]
    assert found[1].mandrel is None


def faulty() -> tuple[Pen, Shop]:
    """A tail that nothing joins to the barrel's rear it fits, of a rod to take care with; a clip of
    no thread; and a tap in the shop that cuts none of it."""
    text = trio(13.3).model_dump(by_alias=True, exclude_unset=True)
    text["mandrels"] = {}
    parts = text["parts"]
    del parts["tail"]["ends"]["root"]["external"]["mates"]
    parts["tail"]["material"] = "cast-acrylic"
    parts["cap"]["ends"]["mouth"]["internal"]["made"] = "guided"
    parts["clip"] = {"length": 9.0, "diameter": 8.0, "ends": {"back": {"diameter": 8.0}}}
    owns = SHOP.model_dump(by_alias=True, exclude_unset=True) | {"taps": [{"thread": "M6x0.5"}]}
    return Pen.model_validate(text), Shop.model_validate(owns)


def test_every_rule_s_findings_arrive() -> None:
    pen, shop = faulty()
    found = loop.settled(pen, shop)
    places = {(f.code, f.where) for f in found.findings}
    assert {
        ("pen.not_held", "parts.clip"),
        ("pen.not_joined", "tail.root"),
        ("pen.shoulder", "barrel.front-cap.mouth"),
        ("material.caution", "parts.tail.material"),
        ("thread.no_tool", "cap.mouth"),
    } <= places
    assert any(code.startswith("use.") for code, _ in places)
    assert found.resolved == resolve(pen, shop)
    assert [d.planned.id for d in found.designed] == [
        d.planned.id for d in loop.designs(pen, shop)
    ]  # fmt: skip


def test_of_the_pen_itself_what_needs_no_design_is_told() -> None:
    pen, shop = faulty()
    told = {(f.code, f.where) for f in loop.pen_level(pen, shop)}
    assert ("pen.not_joined", "tail.root") in told
    assert ("pen.shoulder", "barrel.front-cap.mouth") in told
    assert not {c for c, _ in told} & {"thread.no_tool", "pen.not_held", "material.caution"}
    assert told < {(f.code, f.where) for f in loop.settled(pen, shop).findings}
