"""Where a cup's body is about as wide as its shank: one bar, or a step that shows."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mandrelgen.archive.index_rows import _sizes
from mandrelgen.assess.fitting import fitting
from mandrelgen.assess.settled import designs
from mandrelgen.design.designed import Designed
from mandrelgen.model.mandrel import Mandrel, body_is_bar, collar_diameter, shank_front
from mandrelgen.spec.pen import Pen
from mandrelgen.workshop.turning import bar_stock
from mandrelgen.workshop.turning.operations import order_of_work
from tests.paper.test_dimensions import check_tree, compare
from tests.support.own_mandrels import cards_of, with_tools
from tests.support.randompens import SHOP


def pen(outside: float, shank: float, thread: str = "M7x0.75", **wishes: Any) -> Pen:
    end = {
        "diameter": outside,
        "edge_break": 0.1,
        "external": {"thread": thread, "length": 9.0, "unformed": 0.8},
    }
    return Pen.model_validate(
        {
            "schema": 1,
            "pen": {"id": "reed", "name": "Reed"},
            "parts": {"section": {"length": 30.0, "diameter": 15.0, "ends": {"rear": end}}},
            "mandrels": {
                "defaults": {"shank_diameter": shank, **wishes},
                "requests": [{"holds": "section.rear", "kind": "cup"}],
            },
        }
    )


def made(p: Pen) -> Designed:
    (d,) = designs(p, SHOP)
    assert d.mandrel is not None, d.findings
    return d


def gap(d: Designed) -> float:
    """Body less shank, mm on diameter."""
    assert d.mandrel is not None
    own = {c.id: c.nominal for c in d.mandrel.characteristics}
    return own["collar.diameter"] - own["shank.diameter"]


@pytest.mark.parametrize("outside", [10.9, 11.0, 11.2, 11.5])
def test_bar_that_clears_the_parts_edge_is_the_body_too(outside: float) -> None:
    m = made(pen(outside, 10.0)).mandrel
    assert m is not None
    ids = {c.id: c for c in m.characteristics}
    assert body_is_bar(m)
    assert not {"collar.diameter", "collar.length"} & ids.keys()
    long = m.outer[-1].z1 - m.outer[0].z0
    assert ids["shank.length"].nominal == pytest.approx(long)
    assert ids["shank.length"].between == ("rear", "seat")
    assert collar_diameter(m) == ids["shank.diameter"]
    assert bar_stock.choose(m).bar == 10.0


def test_a_body_of_bar_is_said_once_and_rebuilt_from_paper() -> None:
    m = made(pen(11.2, 10.0)).mandrel
    assert m is not None
    check_tree(m)
    compare(m)


def test_nothing_is_turned_on_a_body_of_bar() -> None:
    m = made(pen(11.2, 10.0)).mandrel
    assert m is not None
    steps = order_of_work(m)
    assert not any("collar" in s.what or "Rough" in s.what for s in steps)
    assert {i for s in steps for i in s.finishes} == {c.id for c in m.characteristics}


def test_the_collet_stays_behind_what_is_bored_into_a_body_of_bar() -> None:
    m = made(pen(11.2, 10.0)).mandrel
    assert m is not None
    front = shank_front(m)
    assert front is not None
    assert front < min(s.z0 for s in m.inner)
    first = order_of_work(m)[0].what  # stands out: the body, what stays shank, what is faced
    assert f"{-front + 8 + 1:g} standing out" in first


def test_a_body_of_bar_is_found_by_its_collar() -> None:
    m = made(pen(11.2, 10.0)).mandrel
    assert m is not None
    rows = {r.name: (r.low, r.high) for r in _sizes(m, ())}
    assert rows["collar"] == rows["shank"] == (9.964, 10.0)


def test_spanner_flats_of_a_body_of_bar_are_placed_from_the_seat() -> None:
    m = made(pen(11.2, 10.0, flats=True)).mandrel
    assert m is not None
    where = next(c for c in m.characteristics if c.id == "flats.start")
    assert where.between == ("flats.start", "seat")
    check_tree(m)


def test_a_body_of_bar_is_compared_by_its_diameter() -> None:
    p = pen(11.2, 10.0)
    bar, stepped = made(p), made(pen(11.2, 10.0, shank_form=0.005))
    assert bar.mandrel is not None
    assert stepped.mandrel is not None

    def differs(own: Mandrel, new: Mandrel) -> tuple[str, ...]:
        return fitting(own, p, SHOP, bar.planned, {}, new, bar.wishes).differs

    (said,) = differs(bar.mandrel, stepped.mandrel)
    assert said.startswith("collar.diameter 10")
    (said,) = differs(stepped.mandrel, bar.mandrel)
    assert said.startswith("collar.diameter")
    assert "(new: 10" in said
    assert differs(bar.mandrel, bar.mandrel) == ()


@pytest.mark.parametrize(
    ("outside", "shank", "wishes"),
    [
        (11.2, 10.0, {"thread_order": "my-tool"}),  # the maker turns it from rod of his own
        (10.7, 9.5, {}),  # no such bar is sold
        (11.2, 10.0, {"shank_form": 0.005}),  # truer than bar
        (10.2, 9.0, {}),  # a wall under 1 mm is finished last
    ],
)
def test_where_bar_will_not_do_a_step_shows(outside: float, shank: float, wishes: Any) -> None:
    d = made(pen(outside, shank, **wishes))
    assert d.mandrel is not None
    assert not body_is_bar(d.mandrel)
    assert abs(gap(d)) >= 0.4 - 1e-9


def test_who_owns_the_tap_turns_the_body_from_rod_of_his_own() -> None:
    p = pen(11.2, 10.0)
    (d,) = designs(p, with_tools(p, SHOP))
    assert d.mandrel is not None
    assert not body_is_bar(d.mandrel)
    assert abs(gap(d)) >= 0.4 - 1e-9
    cards = cards_of(p, with_tools(p, SHOP))
    assert "Turn ⌀" in " ".join(s.what for c in cards.values() for s in c.steps)


def test_the_test_pieces_figure_is_reckoned_with_the_body_that_is_made() -> None:
    d = made(pen(11.2, 10.0, thread_order="my-tool"))
    assert d.mandrel is not None
    body = next(c.nominal for c in d.mandrel.characteristics if c.id == "collar.diameter")
    why = next(x.why for x in d.mandrel.decisions if x.id == "thread.runout")
    assert f"⌀{body:g} adds" in why


@settings(max_examples=40, deadline=None, database=None)
@given(
    outside=st.integers(82, 150).map(lambda n: n / 10),
    shank=st.sampled_from([7.0, 8.0, 9.0, 10.0, 11.0, 12.0]),
    order=st.sampled_from(["single-point", "stock-tap", "my-tool"]),
)
def test_no_two_lengths_meet_where_no_step_shows(outside: float, shank: float, order: str) -> None:
    (d,) = designs(pen(outside, shank, thread_order=order), SHOP)
    if d.mandrel is None:
        assert any(f.level.value == "error" for f in d.findings)
        return
    m = d.mandrel
    seat = next(c for c in m.characteristics if c.id == "seat.runout")
    assert seat.upper
    if body_is_bar(m):
        assert outside - shank + 1e-9 >= 2 * 0.1
    else:
        assert abs(gap(d)) >= 0.1 - 1e-9
