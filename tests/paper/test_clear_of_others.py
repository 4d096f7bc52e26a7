"""What a reader must tell apart stands apart: circles and their dimension line."""

from __future__ import annotations

import pytest

from mandrelgen.paper.drawing.model import Arc, Line, LineStyle, Mark
from tests.paper.test_dimensions import MANDRELS
from tests.paper.test_sheet_ink import sheet_of


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
            for a, b in zip(line.points, line.points[1:], strict=False)
            if a[1] == b[1]
        ]
        assert rings
        for ring in rings:
            x, y = ring.centre
            off = [abs(s[1] - y) for s in level if min(s[0], s[2]) < x < max(s[0], s[2])]
            white = min(off, default=99.0) - ring.radius - ring.pen.width / 2
            assert white - LineStyle.DIM.width / 2 > 0.3
