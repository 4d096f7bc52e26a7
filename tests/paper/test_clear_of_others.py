"""What a reader must tell apart stands apart: circles and their dimension line, a frame and the
extension line it touches, a diameter and the part's edge,
a bore's lengths and the leaders through it, an outside size and what is cut open."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from mandrelgen.assess.settled import designs
from mandrelgen.model.balloon_numbers import numbered
from mandrelgen.paper.drawing.details import detail
from mandrelgen.paper.drawing.dimension_assignment import allot
from mandrelgen.paper.drawing.dimensions import (
    OVER,
    SQUEEZED,
    UNDER,
    Flag,
    Tip,
    flagged,
)
from mandrelgen.paper.drawing.model import Arc, Dimension, Drawn, Line, LineStyle, Mark
from mandrelgen.paper.drawing.segments import Segment, cross
from mandrelgen.paper.drawing.views import cut_zones
from mandrelgen.spec.pen import Pen
from tests.paper.test_dimensions import MANDRELS
from tests.paper.test_sheet_ink import sheet_of
from tests.support.randompens import SHOP
from tests.support.sheet_clearances import tips_too_near, too_near


@pytest.mark.parametrize("name", sorted(MANDRELS))
def test_a_heavy_circle_does_not_touch_a_dimension_line(name: str) -> None:
    """Between the ink of the two is as much white as a dimension line is wide, at least."""
    for sheet in sheet_of(MANDRELS[name]).sheets:
        rings = [
            i
            for d in sheet.drawn
            if isinstance(d, Mark) and d.role == "balloon"
            for i in d.items
            if isinstance(i, Arc) and i.pen is LineStyle.INSPECTED
        ]
        level = [
            (*a, *b)
            for line in sheet.items()
            if isinstance(line, Line) and line.pen is LineStyle.DIM
            for a, b in pairwise(line.points)
            if a[1] == b[1]
        ]
        assert rings
        for ring in rings:
            x, y = ring.centre
            off = [abs(s[1] - y) for s in level if min(s[0], s[2]) < x < max(s[0], s[2])]
            white = min(off, default=99.0) - ring.radius - ring.pen.width / 2
            assert white - LineStyle.DIM.width / 2 > 0.3


@pytest.mark.parametrize("angle", [0.0, 180.0])
def test_a_frame_leaves_air_over_the_extension_line_it_touches(angle: float) -> None:
    """A frame that stands over it and near costs what one beside it does not; higher up it may."""
    flag = Flag(name="frame", width=20.0, height=7.0, joint=3.5, draw=lambda at, side: ())
    tip = Tip((50.0, 20.0), angle, (50.0, 16.0))
    near, high = 20.0 + OVER + UNDER - 0.1, 20.0 + OVER + UNDER
    wish = flagged(flag, [tip], [near, high])
    for c in wish.candidates:
        left, low, right, _ = c.boxes[0]
        row = float(low == high)
        assert c.cost - row - SQUEEZED * (left < 50.0 < right and low == near) < 0.5
        # The ways are looked at by what they are said to cost at least.
        assert c.cost in wish.candidates.least
    over = [c.cost for c in wish.candidates if c.boxes[0][0] < 50.0 < c.boxes[0][2]]
    assert min(over) < SQUEEZED <= max(over)


@pytest.mark.parametrize("name", sorted(MANDRELS))
def test_a_diameters_line_does_not_run_along_an_edge(name: str) -> None:
    """A cone's size at the part's end hangs on an extension line: on the end's own line it would
    read as a length."""
    for sheet in sheet_of(MANDRELS[name]).sheets:
        edges = [
            (a[0], min(a[1], b[1]), max(a[1], b[1]))
            for line in sheet.items()
            if isinstance(line, Line) and line.pen is LineStyle.OUTLINE
            for a, b in pairwise(line.points)
            if abs(a[0] - b[0]) < 0.01
        ]
        for d in (d for d in sheet.dimensions() if d.one_sided):
            (x, one), (_, other) = next(i for i in d.items if isinstance(i, Line)).points[:2]
            along = [
                min(high, max(one, other)) - max(low, min(one, other))
                for at, low, high in edges
                if abs(at - x) < 0.7
            ]
            assert max(along, default=0.0) < 1.0, d.id


@pytest.mark.parametrize("name", sorted(n for n, m in MANDRELS.items() if "cup" in n))
def test_no_leader_through_a_bore_crosses_a_length(name: str) -> None:
    """A bore's lengths hang below its detail, its other sizes stand above it; in the low form,
    which is for a sheet with no room below, nothing hangs there."""
    mandrel, seen = MANDRELS[name], 0
    for window, cs in allot(mandrel, 5.0).details:
        if window.external or not cs:
            continue
        blocks = [
            detail(mandrel, window, cs, "X", 5.0, numbered(mandrel), low=low)
            for low in (False, True)
        ]
        for d in blocks[0].drawn:
            if isinstance(d, Dimension) and d.angle == 0.0 and d.kind == "linear":
                seen += 1
                line = _dim_lines(d)[0]
                others = [s for o in blocks[0].drawn if o is not d for s in _dim_lines(o)]
                assert not any(cross(line, s) for s in others), d.id
        (ring,) = [d for d in blocks[1].drawn if isinstance(d, Arc)]
        assert blocks[1].box[1] > ring.centre[1] - ring.radius - 1.0
    assert seen


@pytest.mark.parametrize("name", sorted(n for n, m in MANDRELS.items() if "cup" in n))
def test_an_outside_size_stands_where_nothing_is_cut_if_that_has_room(name: str) -> None:
    """Clear of hatching, of the break line and of the step behind, 2 mm at least."""
    mandrel, sheet = MANDRELS[name], sheet_of(MANDRELS[name])
    f = sheet.scale
    ((cut, _),) = cut_zones(mandrel, f)
    broken = next(s for s in mandrel.outer if s.z0 < cut < s.z1)
    (size,) = [
        d for d in sheet.dimensions()
        if d.angle == 90.0 and not d.one_sided and abs(d.per_mm - f) < 1e-9
        and abs(math.dist(d.p, d.q) - broken.d0 * f) < 1e-6
    ]  # fmt: skip
    x = (size.at[0] - sheet.origin[0]) / f
    roomy = (cut - broken.z0) * f >= 5.0
    assert not roomy or broken.z0 * f + 2.0 < x * f < cut * f - 2.0


def _dim_lines(d: Drawn) -> list[Segment]:
    """The narrow lines of a size, piece by piece."""
    items = d.items if isinstance(d, Dimension | Mark) else (d,)
    lines = [i.points for i in items if isinstance(i, Line) and i.pen is LineStyle.DIM]
    return [(*a, *b) for points in lines for a, b in pairwise(points)]


# A lip of half a millimetre before the seat, on drawings with little room for its detail.
LIPS = (
    {"thread": "M29.9xPh2.1P0.35", "length": 5.5, "unformed": 0.7, "chamfer": 0.21},
    {"thread": "M27.9x0.8-LH", "length": 11.5, "unformed": 0.4, "chamfer": 0.48},
    {"thread": "M29.9xPh6P1-LH", "length": 10.4, "unformed": 1.0, "chamfer": 0.6},
)
DEFAULTS = {"thread_order": "single-point", "soft_washer": 0.5}
HOLDING = (
    {"fit": "normal", "centre_holes": "both", "thread_relief": "none"},
    {"fit": "normal", "flats": True, "centre_holes": "none", "thread_relief": "groove"},
    {"fit": "close", "flats": True, "centre_holes": "none"},
)


@pytest.mark.parametrize("case", range(3))
def test_the_arrows_on_a_short_lip_point_at_places_of_their_own(case: int) -> None:
    """The diameter's, the run-out's and the countersink's angle's: one of them in the air before
    the end, or in a larger detail."""
    lip, wide = LIPS[case], (35.9, 30.8, 34.6)[case]
    tree = {
        "schema": 1,
        "pen": {"id": "lip", "name": "Lip"},
        "parts": {
            "body": {
                "length": (25.5, 31.5, 30.4)[case],
                "diameter": wide,
                "ends": {"mouth": {"diameter": wide, "external": lip}},
            }
        },
        "mandrels": {
            "defaults": {**DEFAULTS, **HOLDING[case]},
            "requests": [{"holds": "body.mouth"}],
        },
    }
    (made,) = designs(Pen.model_validate(tree), SHOP)
    assert made.mandrel is not None
    sheet = sheet_of(made.mandrel)
    assert not sheet.more
    for one in sheet.sheets:
        assert not one.crowded
        assert tips_too_near(one) == []
        assert not too_near(one)
