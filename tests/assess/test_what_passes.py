"""A section inside a cap: each of its diameters passes what lies before it, as far as they are
said. Worked by hand from the sizes in support/plover: 16 stand out of the barrel, whose tenon takes
8 of the cap."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mandrelgen.assess.pen_joints import widest_from
from mandrelgen.core.errors import Finding
from mandrelgen.spec.patch import patched_text
from tests.assess.test_what_a_die_can_do import seen
from tests.support.plover import PLOVER

FRONT = '[parts.section.ends.front]\nside = "nib"\n'
STEP = "bore = [{ diameter = 12.6, depth = 14 }, { diameter = 10.5, depth = 52 }]"


def pen(front: str, bore: str = STEP) -> str:
    text = PLOVER.replace("depth = 9\n", "depth = 9.3\n").replace(FRONT, FRONT + front)
    return text.replace("bore = [{ diameter = 12.6, depth = 52 }]", bore)


def told(text: str) -> list[Finding]:
    return [f for f in seen(text).findings if f.code.startswith("pen.passage")]


def test_a_straight_section_is_as_wide_everywhere() -> None:
    (one,) = told(pen(""))
    assert one.code == "pen.passage"
    assert one.message.startswith("⌀11.5 does not pass cap.mouth (⌀10.5 at the least)")
    assert "straight" not in one.message


def test_a_tapered_one_is_judged_where_the_bore_is_narrow() -> None:
    """From 14 on ⌀10.5; there, 6 in front of its shoulder, it has 11.5 − 1.7·6/16 = 10.8625."""
    (one,) = told(pen("diameter = 9.8\n"))
    assert one.code == "pen.passage"
    assert one.message.startswith("⌀10.863 does not pass")
    assert one.message.endswith("(its outside taken as straight between its ends: say yours)")
    assert one.value == pytest.approx(0.1 + 10.8625 - 10.5, abs=1e-4)
    assert [r.says for r in one.remedies] == [
        "section ⌀10.4 or less",
        "bore cap.mouth ⌀11 from 14 on",
    ]
    for way in one.remedies:
        after = told(patched_text(pen("diameter = 9.8\n"), way.changes))
        assert not [f for f in after if f.code == "pen.passage"]


def test_one_that_is_slim_by_then_passes_and_what_that_rests_on_is_said() -> None:
    """At 18, 10 in front of its shoulder, it has 11.5 − 1.7·10/16 = 10.4375, too much for 0.1 to
    spare in ⌀10.5; at 19 it has 11.5 − 1.7·11/16 = 10.331."""
    wide = STEP.replace("depth = 14", "depth = 19")
    (one,) = told(pen("diameter = 9.8\n", wide))
    assert (one.code, one.level.value) == ("pen.passage_straight", "note")
    assert "as long as its outside bulges nowhere" in one.message
    (near,) = told(pen("diameter = 9.8\n", STEP.replace("depth = 14", "depth = 18")))
    assert near.code == "pen.passage"


def test_an_outside_said_point_by_point_needs_no_guess() -> None:
    """Seen from the front: ⌀9.8, ⌀10.3 at 10, ⌀11.5 at the shoulder."""
    row = (
        "outside = [{ at = 0, diameter = 9.8 }, { at = 10, diameter = 10.3 }, "
        "{ at = 16, diameter = 11.5 }]\ndiameter = 9.8\n"
    )
    assert told(pen(row)) == []
    waist = row.replace("{ at = 10, diameter = 10.3 }", "{ at = 5, diameter = 10.9 }")
    (one,) = told(pen(waist))
    assert one.message.startswith("⌀11.173 does not pass")  # 10.9 + 0.6·5/11
    assert "taken as straight" not in one.message


@given(
    row=st.lists(st.tuples(st.floats(0, 50), st.floats(5, 20)), min_size=1, max_size=6),
    places=st.tuples(st.floats(-5, 60), st.floats(-5, 60)),
)
def test_nothing_is_wider_from_further_on(
    row: list[tuple[float, float]], places: tuple[float, float]
) -> None:
    points = tuple(sorted(row))
    near, far = sorted(places)
    assert widest_from(points, far) <= widest_from(points, near) + 1e-9
    assert widest_from(points, -10.0) == max(d for _, d in points)
