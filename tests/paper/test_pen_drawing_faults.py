"""What is broken through is red on the pen's drawing, no part is coloured like a wall that has
little left, and the nib is seen in its cap. Lengths from support/plover."""

from __future__ import annotations

import colorsys
import tomllib

import pytest

from mandrelgen.assess.pen_findings import check
from mandrelgen.assess.resolved import resolve
from mandrelgen.core.errors import Finding
from mandrelgen.files.writers.pen_colours import TINTS, WALLS, fill_of, ink_of
from mandrelgen.paper.drawing.model import Fill, Line, Mark
from mandrelgen.paper.pen_drawing import facts
from mandrelgen.paper.pen_drawing.drawing import PenDrawing, draw
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.shop import Shop
from tests.support.plover import PLOVER

SHOP = Shop.model_validate({"schema": 1})
NIB = "[inside.nib_unit]\nstick_out = {}\n"


def drawn(text: str, state: str = "capped") -> PenDrawing:
    pen = Pen.model_validate(tomllib.loads(text))
    return draw(pen, SHOP, resolve(pen, SHOP), state)


def marked(d: PenDrawing, role: str) -> list[Mark]:
    return [m for m in d.marks if m.role == role]


def passage(text: str) -> facts.PassageFact:
    pen = Pen.model_validate(tomllib.loads(text))
    (one,) = facts.passage_facts(pen, resolve(pen, SHOP))
    return one


@pytest.mark.parametrize("deep", ["72", "73.9"])
def test_a_closed_end_that_is_drilled_through_is_red_with_an_area(deep: str) -> None:
    d = drawn(PLOVER.replace("depth = 60", f"depth = {deep}"))
    (bad,) = marked(d, "wall wall-error")
    assert bad.id == "parts.barrel.ends.mouth.bore.0.depth"
    (area,) = (i for i in bad.items if isinstance(i, Fill))
    xs, ys = [p[0] for p in area.points], [p[1] for p in area.points]
    assert max(xs) - min(xs) > 0.4
    assert max(ys) - min(ys) == pytest.approx(4.4 * d.scale)  # half of ⌀8.8
    # Nothing of a part is painted over it.
    later = d.marks[d.marks.index(bad) :]
    assert not [m for m in later if m.role == "edge" or m.role.startswith(("section", "outside"))]
    assert not marked(drawn(PLOVER), "wall wall-error")


def test_what_is_too_thin_to_fill_is_drawn_round_in_red() -> None:
    bad = marked(drawn(PLOVER.replace("diameter = 8.8", "diameter = 13.2")), "wall wall-error")
    assert bad
    assert all(any(isinstance(i, Line) and i.closed for i in m.items) for m in bad)
    assert ink_of("wall wall-error") != ink_of("edge")
    assert fill_of("wall wall-error") == WALLS["wall-error"]


def test_no_part_is_coloured_like_amber_or_red() -> None:
    """Yellow, orange and red lie below 0.2 and above 0.9 of the colour circle."""
    for tint in TINTS:
        r, g, b = (int(tint[i : i + 2], 16) / 255 for i in (1, 3, 5))
        hue, _, _ = colorsys.rgb_to_hls(r, g, b)
        assert 0.5 <= hue <= 0.85, tint


def test_the_nib_stands_in_its_cap_to_scale_and_its_room_is_told() -> None:
    assert "the nib not counted" in passage(PLOVER).says
    assert not marked(drawn(PLOVER), "nib")
    # 52 deep, the section reaches 24: 28 in front of it.
    good, long = passage(PLOVER + NIB.format(20)), passage(PLOVER + NIB.format(40))
    assert "28 mm in front of it, 8 mm in front of the nib" in good.says
    assert good.grade == "good"
    assert "the nib is 12 mm too long for it" in long.says
    assert long.grade == "error"
    d = drawn(PLOVER + NIB.format(20))
    (mark,) = marked(d, "nib")
    (line,) = (i for i in mark.items if isinstance(i, Line))
    assert abs(line.points[0][0] - line.points[1][0]) == pytest.approx(20 * d.scale)


def test_a_cap_without_a_bore_is_asked_for_it() -> None:
    """The section reaches 24, the thread ends at 9; ⌀11.5 and 0.1 to pass."""

    def found(text: str) -> list[Finding]:
        pen = Pen.model_validate(tomllib.loads(text))
        return [f for f in check(resolve(pen, SHOP)) if f.code == "pen.cap_bore"]

    (one,) = found(PLOVER.replace("bore = [{ diameter = 12.6, depth = 52 }]\n", ""))
    assert one.where == "cap.mouth"
    assert "its thread ends 9 deep, and what screws into it reaches 24" in one.message
    assert one.remedy.startswith("say its bore: ⌀11.6 or more, deeper than 24")
    assert found(PLOVER) == []
