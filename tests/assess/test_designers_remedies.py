"""What is offered against what the designer finds: which key of which end, to what value; worked by
hand on a body and a knob that screws into it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from mandrelgen.assess.mandrel_remedies import of_design, option_path, own_tool
from mandrelgen.core.lengths import Length
from mandrelgen.design.designed import Designed
from mandrelgen.design.plan import Hold
from mandrelgen.design.thread_relief import NOT_MET
from mandrelgen.spec.pen import Pen, ThreadOrder, ThreadRelief
from mandrelgen.standards.thread_spelling import read_thread
from tests.support.reed_ends import (
    MOUTH,
    ROOT,
    Rows,
    check,
    designed,
    finding,
    keys,
    offered,
    reed,
    reed_mandrels,
    said,
    wished,
)


@pytest.fixture(scope="module")
def made() -> dict[str, Designed]:
    return reed_mandrels()


def both_ends(made: dict[str, Designed]) -> Designed:
    """A double one: the body at its first end, the knob at its second."""
    d = made["body"]
    return replace(d, planned=replace(d.planned, other=Hold("knob", "root", "external")))


def test_the_second_ends_finding_changes_the_second_ends_part(made: dict[str, Designed]) -> None:
    double = both_ends(made)
    at_b = {"where": "body-mouth-plug, end B"}
    found = keys(designed(double, reed(), "seat.clearance", **at_b))
    assert [next(iter(k)) for k in found] == [
        f"{ROOT}.diameter", f"{ROOT}.diameter", f"{ROOT}.edge_break",
    ]  # fmt: skip
    for where in ({"where": "body-mouth-plug"}, {"where": "end B"}):
        found = keys(designed(double, reed(), "seat.clearance", **where))
        assert all(k.startswith(MOUTH) for row in found for k in row)
    single = keys(designed(made["body"], reed(), "seat.clearance", **at_b))
    assert all(k.startswith(MOUTH) for row in single for k in row)
    weak = {"checks": (check(1.0, 2.0),)}
    assert f"{ROOT}.external.length" in offered(double, reed(), "use.strip", weak, **at_b)[0][1]
    assert f"{MOUTH}.internal.depth" in offered(double, reed(), "use.strip", weak)[0][1]


def test_a_ring_widens_by_what_lacks_on_both_sides(made: dict[str, Designed]) -> None:
    """0.05 a side lack of 0.1: 13 + 0.1, and a step of 0.05 more. The part of 14 needs not grow;
    one of 13.1 does with the second."""
    row = [{f"{MOUTH}.diameter": 13.1}, {f"{MOUTH}.diameter": 13.15}]
    sharp = reed(body={"edge_break": 0.05})
    assert keys(designed(made["body"], sharp, "seat.clearance")) == row
    part = sharp.parts["body"]
    slim = part.model_copy(update={"diameter": Length.parse(13.1)})
    pen = sharp.model_copy(update={"parts": {**sharp.parts, "body": slim}})
    found = keys(designed(made["body"], pen, "seat.clearance"))
    assert found == [row[0], row[1] | {"parts.body.diameter": 13.15}]


@pytest.mark.parametrize(
    ("broken", "left"), [(0.2, 0.15), (0.1, 0.05), (0.12, 0.05), (0.09, None), (0.05, None)]
)
def test_an_edge_is_broken_less_where_that_alone_does(
    made: dict[str, Designed], broken: float, left: float | None
) -> None:
    """By the 0.05 that lack, down to steps of 0.05; an edge that would be sharp is none."""
    found = designed(made["body"], reed(body={"edge_break": broken}), "seat.clearance")[2:]
    assert found == (
        []
        if left is None
        else [(f"break the edge of body.mouth by {left:g} at most", {f"{MOUTH}.edge_break": left})]
    )


def test_a_ring_that_is_gone_gets_its_usual_room_and_then_what_would_do(
    made: dict[str, Designed],
) -> None:
    """0.2 a side lack, and 0.05 for the tool's usual room: 13.5; 13.4 would do, and is the lesser.
    An edge broken by 0.3 leaves 0.1."""
    f = finding("seat.none", value=0.2)
    rows = of_design(f, made["body"], reed(body={"edge_break": 0.3}), ())
    assert keys(said(rows)) == [
        {f"{MOUTH}.diameter": 13.5}, {f"{MOUTH}.diameter": 13.55}, {f"{MOUTH}.edge_break": 0.1},
        {f"{MOUTH}.diameter": 13.4}, {f"{MOUTH}.diameter": 13.45},
    ]  # fmt: skip
    assert [r.lesser for r in rows] == [False, False, False, True, True]
    for other in (finding("seat.none"), finding("seat.other", value=0.2), finding("wall.thin")):
        assert of_design(other, made["body"], reed(), ()) == ()


def two_ended(tail: dict[str, Any], mouth: dict[str, Any] | None = None, **mandrels: Any) -> Pen:
    """The body with another end that could hold it."""
    pen = reed(mouth, **mandrels).model_dump(by_alias=True, exclude_unset=True)
    end = {"diameter": 13.0, "internal": {"thread": "M7x0.5", "depth": 9.0}} | tail
    pen["parts"]["body"]["ends"]["tail"] = end
    return Pen.model_validate(pen)


def test_another_end_is_offered_where_nobody_said_which(made: dict[str, Designed]) -> None:
    """One that shows is none for one that is hidden; a visible one for a visible one is."""
    d = made["body"]

    def by(d: Designed, pen: Pen) -> Rows:
        found = designed(d, pen, "wall.thin", value=0.2)
        return [r for r in found if any(k.startswith("mandrels") for k in r[1])]

    tail = [("hold body by its tail", {"mandrels.hold.body": "tail"})]
    assert by(d, two_ended({})) == tail
    assert by(d, reed()) == []
    shown, hidden = {"visible_face": True}, {"visible_face": False}
    assert by(d, two_ended(shown, hidden)) == []
    assert by(d, two_ended(shown, shown)) == tail
    assert by(d, two_ended(hidden, shown)) == tail
    assert by(d, two_ended({}, hold={"body": "mouth"})) == []
    assert by(d, two_ended({}, hold={"knob": "root"})) == tail
    asked = reed(requests=[{"holds": "body.mouth"}]).mandrels.requests[0]
    assert by(replace(d, planned=replace(d.planned, request=asked)), two_ended({})) == []
    assert by(both_ends(made), two_ended({})) == []


GROOVE = ("a groove behind the thread", {"mandrels.defaults.thread_relief": "groove"})
NO_GROOVE = ("no groove behind the thread", {"mandrels.defaults.thread_relief": "none"})


def test_a_groove_asked_for_goes_first_where_it_takes_the_room(made: dict[str, Designed]) -> None:
    knob = wished(made["knob"], thread_relief=ThreadRelief.GROOVE)
    for code, value in (("seat.clearance", None), ("seat.none", 0.2), ("wall.thin", 0.2)):
        assert designed(knob, reed(), code, value=value)[0] == NO_GROOVE
        assert NO_GROOVE not in designed(made["knob"], reed(), code, value=value)
    assert designed(made["knob"], reed(), NOT_MET)[0] == GROOVE


def test_a_wish_that_is_not_met_is_taken_back_where_it_stands(made: dict[str, Designed]) -> None:
    d = made["body"]
    found = designed(d, reed(), "button.closed", remedy="it is closed")
    assert found == [("no button: it is closed", {"mandrels.defaults.tailstock_button": False})]
    pen = reed(requests=[{"holds": "knob.root"}, {"holds": "body.mouth"}])
    own = replace(d, planned=replace(d.planned, request=pen.mandrels.requests[1]))
    assert option_path(own, pen, "fit") == ("mandrels", "requests", 1, "fit")
    assert keys(designed(own, pen, "spigot.not_possible")) == [
        {"mandrels.requests.1.spigot_length": 0.0}
    ]
    assert keys(offered(own, pen, "use.taper")) == [{"mandrels.requests.1.use.tailstock": True}]
    # One that stands in another file is none of this one's.
    assert option_path(own, reed(), "fit") == ("mandrels", "defaults", "fit")


# -- one's own tool --------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("starts", "material", "order", "warned"),
    [
        (2, "11SMn30", "my-tool", True), (3, "1.4305", "my-tool", True),
        (1, "11SMn30", "my-tool", False), (2, "CW614N", "my-tool", False),
        (2, "acetal", "my-tool", False), (2, "11SMn30", "single-point", False),
        (2, "11SMn30", "blank", False),
    ],
)  # fmt: skip
def test_a_tool_for_resin_tears_several_starts_in_steel(
    made: dict[str, Designed], starts: int, material: str, order: str, warned: bool
) -> None:
    d = wished(made["body"], thread_order=ThreadOrder(order))
    assert d.mandrel is not None
    (t,) = d.mandrel.threads
    text = "M8x0.5" if starts == 1 else f"M8xPh{0.5 * starts:g}P0.5"
    several = replace(t, limits=replace(t.limits, designation=read_thread(text)))
    mandrel = replace(d.mandrel, threads=(several,),
                      ordering=replace(d.mandrel.ordering, material=material))  # fmt: skip
    found = list(own_tool(replace(d, mandrel=mandrel), reed()))
    assert [f.code for f in found] == (["thread.own_tool"] if warned else [])
    for f in found:
        assert f"a tool for {starts} starts" in f.message
        assert keys(said(f.remedies)) == [
            {"mandrels.defaults.material": "CW614N"},
            {"mandrels.defaults.thread_order": "single-point"},
        ]
    for nothing in (None, replace(mandrel, threads=())):
        assert list(own_tool(replace(d, mandrel=nothing), reed())) == []
    assert list(own_tool(replace(d, mandrel=mandrel, wishes=None), reed())) == []
