"""What mends a wish for a groove behind a thread, or for none: which key, which value, where."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from mandrelgen.assess.relief_remedies import grooved, without
from mandrelgen.core.errors import Change, Remedy
from mandrelgen.design.plan import Hold
from mandrelgen.spec.pen import Pen, ThreadRelief
from tests.support.judged_pens import cup_pen
from tests.support.on_a_mandrel import designed

OWN = ("mandrels", "requests", 0)
TENON, NUT = Hold("body", "mouth", "external"), Hold("body", "mouth", "internal")
A_GROOVE = Remedy((Change((*OWN, "thread_relief"), "groove"),), "a groove behind the thread")
A_TAP = Remedy((Change((*OWN, "thread_order"), "stock-tap"),), "tapped with a stock tap")


@pytest.mark.parametrize(
    ("thread", "wishes", "offered"),
    [
        # Screwcut by the maker's word: M10x0.75-6H is in ISO 261, one start, right hand.
        ("M10x0.75-6g", {"thread_order": "single-point"}, [A_GROOVE, A_TAP]),
        # He left it open: the designer has looked for a tap already.
        ("M10x0.75-6g", {}, [A_GROOVE]),
        ("M10x0.75-6g", {"thread_order": "my-tool"}, [A_GROOVE]),
        ("M10x0.75-6g", {"thread_order": "stock-tap"}, [A_GROOVE]),
        # No tap is sold of a pitch outside ISO 261, nor of another class.
        ("M10x0.8-6g", {"thread_order": "single-point"}, [A_GROOVE]),
        ("M10x0.75-6g", {"thread_order": "single-point", "thread_class": "5H"}, [A_GROOVE]),
    ],
)
def test_a_groove_or_a_tap_from_stock_where_one_is_sold(
    thread: str, wishes: dict[str, Any], offered: list[Remedy]
) -> None:
    pen = cup_pen(thread=thread, wishes=wishes)
    assert list(grooved(designed(pen), pen)) == offered


@pytest.mark.parametrize("missing", ["wishes", "mandrel"])
def test_without_a_design_a_groove_alone_is_offered(missing: str) -> None:
    pen = cup_pen(wishes={"thread_order": "single-point"})
    d = replace(designed(pen), **{missing: None})  # type: ignore[arg-type]
    assert list(grooved(d, pen)) == [A_GROOVE]


@pytest.mark.parametrize(
    ("hold", "relief", "offered"),
    [
        (TENON, "groove", True), (TENON, "none", False), (TENON, None, False),
        (NUT, "groove", False), (Hold("body", "mouth", "bore"), "groove", False),
    ],
)  # fmt: skip
def test_a_groove_is_left_out_where_a_cups_maker_asked_for_it(
    hold: Hold, relief: str | None, offered: bool
) -> None:
    pen = cup_pen()
    d = designed(pen)
    assert d.wishes is not None
    asked = None if relief is None else ThreadRelief(relief)
    found = list(without(hold, replace(d, wishes=replace(d.wishes, thread_relief=asked)), pen))
    change = Change((*OWN, "thread_relief"), "none")
    assert found == ([Remedy((change,), "no groove behind the thread")] if offered else [])


def test_without_wishes_there_is_no_groove_to_leave_out() -> None:
    pen = cup_pen()
    assert list(without(TENON, replace(designed(pen), wishes=None), pen)) == []


def test_what_was_asked_for_all_is_changed_for_all() -> None:
    """No request of its own: the wish stands in the pen's defaults."""
    tree = cup_pen().model_dump(mode="json", by_alias=True, exclude_unset=True)
    tree["mandrels"] = {"defaults": {"thread_relief": "groove"}}
    pen = Pen.model_validate(tree)
    (way,) = without(TENON, designed(pen), pen)
    assert way.changes == (Change(("mandrels", "defaults", "thread_relief"), "none"),)
