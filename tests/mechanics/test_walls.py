"""Least walls: both sides of each limit, halves and overrules, solved sizes."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mandrelgen.core.errors import Level
from mandrelgen.mechanics.walls import (
    Hollow,
    LeastWall,
    Place,
    Skin,
    Wall,
    crown,
    largest_inside,
    least_wall,
    level,
    shows_through,
    smallest_outside,
    walls,
)
from mandrelgen.standards.rods import RodGroup, rod_group

PLACES, GROUPS = st.sampled_from(list(Place)), st.sampled_from(list(RodGroup))


@pytest.mark.parametrize("place", list(Place))
@pytest.mark.parametrize("group", list(RodGroup))
@pytest.mark.parametrize("banded", [False, True])
def test_both_sides_of_each_limit(place: Place, group: RodGroup, banded: bool) -> None:
    """What misses a limit by 0.005 prints as meeting it; by 0.006 it does not."""
    asked = least_wall(place, group, banded)
    assert level(asked.error - 0.006, asked) is Level.ERROR
    assert level(asked.error - 0.005, asked) is Level.WARNING
    assert level(asked.warning - 0.006, asked) is Level.WARNING
    assert level(asked.warning - 0.005, asked) is None


def test_named_faults_are_errors() -> None:
    """7.35 in an M8.6x0.75 tenon leaves 0.06; a counterbore of 9.45 in a lip of 9.5 leaves 0.025;
    0.35 of tenon is an error too, 0.45 a warning."""
    tenon, lip = least_wall(Place.TENON), least_wall(Place.LIP)
    assert level(0.06, tenon) is level(0.35, tenon) is Level.ERROR
    assert level((9.5 - 9.45) / 2, lip) is Level.ERROR
    assert level(0.45, tenon) is Level.WARNING
    assert level(1.2, lip) is None


def test_a_pens_own_limits_overrule() -> None:
    asked = least_wall(Place.BODY, RodGroup.SOFT, True, (0.2, 0.3))
    assert (asked.error, asked.warning, asked.basis) == (0.2, 0.3, "pen file")


def test_metal_counts_as_banded_and_soft_is_thicker_at_the_lip() -> None:
    for place in Place:
        firm, metal = least_wall(place), least_wall(place, RodGroup.METAL)
        assert metal == least_wall(place, banded=True)
        assert (metal.error, metal.warning) == (firm.error / 2, firm.warning / 2)
        soft = least_wall(place, RodGroup.SOFT)
        assert soft.error >= firm.error
        assert soft.warning >= firm.warning
    assert rod_group("CW614N") is RodGroup.METAL
    assert rod_group("EBONITE") is RodGroup.SOFT
    assert rod_group("no such rod") is RodGroup.FIRM


def test_note_and_crown() -> None:
    assert shows_through(1.494)
    assert not shows_through(1.496)
    assert crown(60, 57.5, 1.8) == pytest.approx(0.7)


@given(place=PLACES, group=GROUPS, outside=st.floats(5, 20), over=st.floats(0, 0.3))
def test_solved_sizes_leave_the_wall(
    place: Place, group: RodGroup, outside: float, over: float
) -> None:
    asked = least_wall(place, group)
    inside = largest_inside(outside, asked.warning, over)
    assert level((outside - inside - over) / 2, asked) is None
    assert level((outside - inside - over - 0.02) / 2, asked) is not None
    assert smallest_outside(inside + over, asked.warning) == pytest.approx(outside)
    assert smallest_outside(inside, asked.warning, over) == pytest.approx(outside)


@given(place=PLACES, group=GROUPS, a=st.floats(-1, 3), b=st.floats(-1, 3))
def test_a_thicker_wall_is_never_judged_worse(
    place: Place, group: RodGroup, a: float, b: float
) -> None:
    rank = {Level.ERROR: 2, Level.WARNING: 1, None: 0}
    asked = least_wall(place, group)
    thin, thick = sorted((a, b))
    assert rank[level(thin, asked)] >= rank[level(thick, asked)]


def test_each_stretch_is_judged_where_it_is() -> None:
    """A barrel's mouth: tenon (root 11.6) 8 long over a thread (root 9.5, 6 deep) behind a
    countersink of 10.2, 0.4 deep, then the bore 8.8 under tenon and body ⌀13."""
    skins = [
        Skin(start=0, end=8, diameter=11.6, threaded=True, label="tenon"),
        Skin(8, 70, 13.0, label="body"),
    ]
    inside = [
        Hollow(start=0, end=0.4, diameter=10.2, mouth=True, label="countersink"),
        Hollow(start=0, end=6, diameter=9.5, mouth=True, label="thread"),
        Hollow(0, 40, 8.8),
    ]
    found = {(w.place, w.inside): (w.value, w.start, w.end) for w in walls(skins, inside)}
    assert found == {
        (Place.TENON, "countersink"): (pytest.approx(0.7), 0, 0.4),
        (Place.TENON, "thread"): (pytest.approx(1.05), 0.4, 6),
        (Place.TENON, "bore"): (pytest.approx(1.4), 6, 8),
        (Place.BODY, "bore"): (pytest.approx(2.1), 8, 40),
    }
    # Two stretches alike in name: the thinner one is told, wherever it stands.
    for order in ((12.0, 14.0), (14.0, 12.0)):
        steps = [Skin(10.0 * i, 10.0 * i + 10, d, label="body") for i, d in enumerate(order)]
        (thin,) = walls(steps, [Hollow(0, 20, 10.0)])
        assert (thin.value, thin.start) == (1.0, 10.0 * order.index(12.0))
    assert walls(skins, []) == walls([], inside) == ()
    assert walls([Skin(0, 5, 9.0)], [Hollow(5, 9, 12.0)]) == ()


@given(
    skins=st.lists(
        st.builds(Skin, st.floats(0, 20), st.floats(20, 60), st.floats(8, 16), st.booleans()),
        min_size=1,
        max_size=3,
    ),
    hollows=st.lists(
        st.builds(Hollow, st.floats(0, 20), st.floats(20, 60), st.floats(4, 14), st.booleans()),
        min_size=1,
        max_size=3,
    ),
)
def test_the_thinnest_wall_is_found(skins: list[Skin], hollows: list[Hollow]) -> None:
    """Against every pair that shares a depth, by brute force: none is thinner than the first."""
    shared = [
        (s.diameter - h.diameter) / 2
        for s in skins
        for h in hollows
        if max(s.start, h.start) < min(s.end, h.end)
    ]
    found = walls(skins, hollows)
    assert [w.value for w in found] == sorted(w.value for w in found)
    if shared:
        assert found[0].value == pytest.approx(min(shared))
    else:
        assert found == ()


def test_exactly_what_is_forgiven_is_forgiven() -> None:
    """0.005, and a billionth for the binary noise of the subtraction, below each limit; a body of
    1.495 prints as the 1.5 below which a bore shows."""
    asked, forgiven = LeastWall(0.4, 0.6, "by hand"), 0.005 + 1e-9
    assert level(0.4 - forgiven, asked) is Level.WARNING
    assert level(0.6 - forgiven, asked) is None
    assert not shows_through(1.495)
    assert not shows_through(1.5 - forgiven)
    assert shows_through(1.4949)


def test_of_walls_equally_thin_the_one_nearest_the_end_is_told() -> None:
    """(12 − 10)/2 over two stretches of the same body: told once, by name, where it begins."""
    skins = [Skin(0, 10, 12.0, label="body"), Skin(10, 20, 12.0, label="body")]
    (found,) = walls(skins, [Hollow(0, 20, 10.0)])
    assert found == Wall(Place.BODY, "body", "bore", 0, 10, 1.0)


def test_a_bore_that_comes_out_to_size_needs_no_allowance() -> None:
    """⌀11.1 less two walls of 0.6."""
    assert largest_inside(11.1, 0.6) == pytest.approx(9.9)
