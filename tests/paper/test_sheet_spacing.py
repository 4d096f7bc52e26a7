"""What stands near what on a sheet: details' circles, symbols on their frames, rows, letters."""

from __future__ import annotations

from itertools import combinations, permutations

import pytest

from mandrelgen.model.half_section import outline
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.paper.drawing.label_ground import Candidate, Ground, Ways
from mandrelgen.paper.drawing.label_placement import Annotation
from mandrelgen.paper.drawing.layout import drawing
from mandrelgen.paper.drawing.marks import kept_clear
from mandrelgen.paper.drawing.model import Arc, Line, LineStyle, Mark, Sheet, Text
from tests.paper.test_dimensions import MANDRELS
from tests.support.samples_sheet import ISSUE


def sheet_of(mandrel: Mandrel) -> Sheet:
    return drawing(mandrel, outline(mandrel), ISSUE, 45.3, 3)


@pytest.mark.parametrize("name", sorted(MANDRELS))
def test_a_circle_on_the_main_view_is_the_details_own_field(name: str) -> None:
    whole = sheet_of(MANDRELS[name])
    titles = [t.text for s in whole.sheets for t in s.texts() if t.text[:2] in ("X ", "Y ", "Z ")]
    scales = [float(t.split("(")[1].split(":")[0]) for t in titles]
    rings = [
        (sheet is whole.sheets[0] and _within(d.centre, whole.main), d.radius)
        for sheet in whole.sheets
        for d in sheet.drawn
        if isinstance(d, Arc) and d.pen is LineStyle.NARROW and d.end - d.start == 360.0
    ]
    main = sorted(radius / whole.scale for here, radius in rings if here)
    details = [radius for here, radius in rings if not here]
    assert titles
    assert len(main) == len(details) == len(titles)
    # Which ring is at which scale is not told: one way to deal the scales out must fit.
    assert any(
        sorted(r / f for r, f in zip(details, dealt, strict=True)) == pytest.approx(main)
        for dealt in permutations(scales)
    )


def test_a_letter_keeps_off_a_text_and_a_line_that_it_would_read_on_from() -> None:
    """Of two places the dearer one is taken if the cheaper one is behind a text or along a line."""
    near, far = (10.0, 0.0, 13.0, 5.0), (10.0, 30.0, 13.0, 35.0)
    for ground, leader in (
        (Ground(boxes=[(0.0, 0.0, 6.0, 3.5)]), ()),  # a text 4 mm in front of the letter
        (Ground(lines=[(0.0, 0.0, 10.0, 0.0)]), ((0.0, 0.3, 10.0, 0.3),)),
    ):
        cheap, dear = Candidate((near,), leader, 0.0, list), Candidate((far,), (), 3.0, list)
        wish = Annotation("X", Ways.of((cheap, dear)))
        (letter,) = kept_clear([wish], ground)
        assert letter.candidates[0].cost > letter.candidates[1].cost == 3.0
        assert tuple(kept_clear([wish], Ground())[0].candidates) == (cheap, dear)


@pytest.mark.parametrize("name", sorted(MANDRELS))
def test_roughness_stands_on_a_line(name: str) -> None:
    """ISO 1302: the symbol stands on the outline, a leader's line or the tolerance frame."""
    for sheet in sheet_of(MANDRELS[name]).sheets:
        lines = [i for i in sheet.items() if isinstance(i, Line)]
        for mark in (m for m in sheet.drawn if isinstance(m, Mark) and m.role == "roughness"):
            x, y = next(i for i in mark.items if isinstance(i, Line)).points[1]
            own = set(map(id, mark.items))
            level = [
                (min(a[0], b[0]), max(a[0], b[0]))
                for line in lines
                if id(line) not in own
                for a, b in zip(line.points, line.points[1:] + line.points[:1], strict=True)
                if abs(a[1] - y) < 0.01 and abs(b[1] - y) < 0.01
            ]
            assert any(low <= x <= high for low, high in level), mark.id


@pytest.mark.parametrize("name", sorted(MANDRELS))
def test_level_dimension_lines_of_one_row_share_an_end_or_keep_apart(name: str) -> None:
    for sheet in sheet_of(MANDRELS[name]).sheets:
        rows = []
        for d in sheet.dimensions():
            if d.kind == "linear" and d.angle == 0.0 and sheet.items():
                line = next(i for i in d.items if isinstance(i, Line))
                xs = sorted(p[0] for p in line.points)
                rows.append((d.id, line.points[0][1], xs[0], xs[1]))
        for (a, ya, a0, a1), (b, yb, b0, b1) in combinations(rows, 2):
            gap = max(a0 - b1, b0 - a1)
            assert abs(ya - yb) > 0.05 or gap >= 2.0 - 1e-9 or abs(gap) < 0.06, (a, b)


@pytest.mark.parametrize("name", sorted(MANDRELS))
def test_a_details_letter_keeps_off_the_texts_on_its_line(name: str) -> None:
    sheet = sheet_of(MANDRELS[name])
    texts = sheet.texts()
    for letter in (t for t in texts if t.text in ("X", "Y", "Z")):
        for other in texts:
            if other is letter or other.text == letter.text:
                continue
            a, b = _box(letter), _box(other)
            level = a[1] < b[3] and b[1] < a[3]
            assert not level or max(a[0] - b[2], b[0] - a[2]) >= 4.0, (letter.text, other.text)


def _box(t: Text) -> tuple[float, float, float, float]:
    xs, ys = zip(*t.corners(), strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def _within(p: tuple[float, float], box: tuple[float, float, float, float] | None) -> bool:
    assert box is not None
    return box[0] <= p[0] <= box[2] and box[1] <= p[1] <= box[3]
