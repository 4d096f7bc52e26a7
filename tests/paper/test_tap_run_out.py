"""A tapped cup on its sheet: the thread's line stops where the full thread does (ISO 6410-1)."""

from __future__ import annotations

from itertools import pairwise

import pytest

from mandrelgen.model.half_section import outline
from mandrelgen.paper.drawing.layout import drawing
from mandrelgen.paper.drawing.model import Line, LineStyle
from mandrelgen.paper.drawing.views import main_view
from tests.design.test_cup_tapped import made, pen
from tests.paper.test_dimensions import ISSUE

F = 5.0


def lines(style: LineStyle) -> list[tuple[tuple[float, float], ...]]:
    m = made(pen())
    view = main_view(m, outline(m), F)
    return [i.points for i in view if isinstance(i, Line) and i.pen is style]


def test_full_thread_ends_at_a_thick_line_and_its_run_out_slants_to_the_crest() -> None:
    m = made(pen())
    full = m.characteristic("thread.depth").nominal
    thread = next(s for s in m.inner if s.thread is not None)
    assert thread.thread is not None
    root, crest = thread.thread.root_diameter / 2, thread.d0 / 2
    narrow = [p for line in lines(LineStyle.THREAD) for p in pairwise(line) if p[0][1] > 0]
    level = [p for p in narrow if p[0][1] == pytest.approx(p[1][1])]
    slanted = [p for p in narrow if p not in level]
    assert min(x for p in level for x, _ in p) == pytest.approx(-full * F)
    ((first, last),) = slanted
    assert {(round(x / F, 3), round(y / F, 2)) for x, y in (first, last)} == {
        (round(-full, 3), round(root, 2)),
        (round(thread.z0, 3), round(crest, 2)),
    }
    across = [
        p
        for line in lines(LineStyle.OUTLINE)
        for p in pairwise(line)
        if p[0][0] == pytest.approx(p[1][0]) and p[0][1] == pytest.approx(-p[1][1])
    ]
    at = [p[0][0] / F for p in across]
    assert any(x == pytest.approx(-full) for x in at)
    assert not any(x == pytest.approx(thread.z0) for x in at)


def test_full_depth_and_hole_depth_stand_on_the_sheet_and_no_groove() -> None:
    m = made(pen())
    sheet = drawing(m, outline(m), ISSUE)
    said = {d.id for d in sheet.dimensions()}
    assert {"thread.depth", "pilot.depth"} <= said
    assert not any("relief" in i for i in said)
