"""Items of a sheet: moving one changes its place and nothing else; section lines; arcs."""

from __future__ import annotations

import math
from itertools import combinations

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from shapely import unary_union
from shapely.geometry import MultiLineString, Polygon, box

from mandrelgen.paper.drawing.hatching import left_free
from mandrelgen.paper.drawing.model import Arc, Fill, Hatch, Item, Line, LineStyle, Text

# No field stands at its default, so that one forgotten by `moved` shows.
ITEMS: tuple[Item, ...] = (
    Line(((1.0, 2.0), (3.0, 4.0)), LineStyle.DIM, True),
    Arc(centre=(1.0, 2.0), radius=3.0, pen=LineStyle.DIM, start=10.0, end=80.0),
    Fill(((1.0, 2.0), (3.0, 4.0), (5.0, 0.0)), LineStyle.DIM),
    Text(at=(1.0, 2.0), text="M8", height=3.5, align="right", angle=90.0, pen=LineStyle.DIM),
    Hatch(
        loops=(((1.0, 2.0), (3.0, 4.0), (5.0, 0.0)),),
        pitch=2.0,
        pen=LineStyle.DIM,
        angle=30.0,
        through=(1.0, 1.0),
    ),
)


@pytest.mark.parametrize("item", ITEMS, ids=lambda i: type(i).__name__)
def test_moving_there_and_back_leaves_an_item_as_it_was(item: Item) -> None:
    assert item.moved(4.0, -8.0) != item
    assert item.moved(4.0, -8.0).moved(-4.0, 8.0) == item


def triangles() -> st.SearchStrategy[list[tuple[float, float]]]:
    places = st.tuples(st.floats(-30, 30), st.floats(-30, 30))
    return st.lists(places, min_size=3, max_size=3).filter(lambda t: Polygon(t).area > 5.0)


@given(triangles(), st.floats(1.0, 4.0), st.floats(0.0, 180.0))
def test_section_lines_are_what_shapely_cuts_from_long_lines(
    corners: list[tuple[float, float]], pitch: float, angle: float
) -> None:
    """A square with a triangular hole, or the triangle reaching out of it: even-odd. Every line
    through the pattern's point and its neighbours, cut by shapely."""
    square = [(-20.0, -20.0), (20.0, -20.0), (20.0, 20.0), (-20.0, 20.0)]
    hatch = Hatch((tuple(square), tuple(corners)), pitch, angle=angle, through=(3.0, 4.0))
    inside = Polygon(square).symmetric_difference(Polygon(corners))
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    long = []
    for k in range(-100, 101):
        x, y = 3.0 - k * pitch * s, 4.0 + k * pitch * c
        long.append(((x - 200 * c, y - 200 * s), (x + 200 * c, y + 200 * s)))
    wanted = MultiLineString(long).intersection(inside)
    found = MultiLineString([line.points for line in hatch.items])
    # A line along an edge is in or out of it by the last figure.
    edges = inside.boundary.buffer(1e-6)
    assert found.difference(edges).length == pytest.approx(
        wanted.difference(edges).length, abs=1e-3
    )
    assert found.difference(wanted.buffer(1e-6)).difference(edges).length < 1e-3


def test_a_section_line_through_a_corner_leaves_no_dot() -> None:
    square = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))
    lines = Hatch((square,), 10.0 / math.sqrt(2.0)).items
    assert [line.points for line in lines] == [
        (pytest.approx((0.0, 0.0)), pytest.approx((10.0, 10.0)))
    ]
    assert len(Hatch((square,), 5.0 / math.sqrt(2.0)).items) == 3


# A sliver of the hole in a box, of 3e-7 mm²: a line of 0.0004 mm was left in it.
@example([(0.0, -2.0), (0.001953125, 0.0), (-5.0, 1.0)], [(0.0, 0.0)])
@given(triangles(), st.lists(st.tuples(st.floats(-28, 28), st.floats(-28, 28)), max_size=6))
def test_hatching_leaves_boxes_free_wherever_they_lie(
    corners: list[tuple[float, float]], places: list[tuple[float, float]]
) -> None:
    """Boxes in the material, across its edge, over its hole, on one another: what shapely takes
    off. Boxes that share paper are left free as one, so no more than the box round them."""
    square = [(-20.0, -20.0), (20.0, -20.0), (20.0, 20.0), (-20.0, 20.0)]
    boxes = [(x, y, x + 4.2, y + 2.0) for x, y in places]
    hatch = Hatch((tuple(square), tuple(corners)), 2.5)
    cut = Hatch(left_free(hatch.loops, boxes), 2.5)
    inside = Polygon(square).symmetric_difference(Polygon(corners))
    lines = MultiLineString([line.points for line in hatch.items])
    kept = MultiLineString([line.points for line in cut.items])
    free = unary_union([box(*b) for b in boxes])
    assert kept.intersection(free.buffer(-1e-6)).length < 1e-6
    assert kept.difference(lines.buffer(1e-6)).length < 1e-6
    alone = all(not box(*a).intersects(box(*b)) for a, b in combinations(boxes, 2))
    edges = inside.boundary.buffer(1e-6)
    if alone:
        lost = lines.difference(free.buffer(1e-6)).difference(edges)
        assert lost.difference(kept.buffer(1e-6)).length < 1e-3


@pytest.mark.parametrize(
    ("start", "end", "sweep"),
    [(0.0, 360.0, 360.0), (30.0, 300.0, 270.0), (350.0, 370.0, 20.0), (350.0, 10.0, 20.0)],
)
def test_an_arc_sweeps_anticlockwise(start: float, end: float, sweep: float) -> None:
    assert Arc(
        centre=(0.0, 0.0), radius=1.0, pen=LineStyle.DIM, start=start, end=end
    ).sweep == pytest.approx(sweep)
