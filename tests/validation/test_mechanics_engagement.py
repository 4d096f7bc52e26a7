"""Percentage of thread against a tap maker's handbook, drill charts and published limits."""

from __future__ import annotations

import pytest

from mandrelgen.core.errors import Level
from mandrelgen.mechanics.engagement import engagement, level, percent_thread, share
from mandrelgen.standards.designation import parse
from mandrelgen.standards.threads import limits

# A tap maker's handbook: (d, P, hole, % of the ISO thread height).
HANDBOOK = [
    (10, 1.5, 8.5, 92.4),
    (10, 1.5, 8.676, 81.5),
    (12, 1.75, 10.3, 89.7),
    (12, 1.75, 10.441, 82.3),
    (5, 0.8, 4.334, 76.9),
    (4, 0.7, 3.422, 76.3),
]


@pytest.mark.parametrize(("major", "pitch", "hole", "printed"), HANDBOOK)
def test_handbooks_percentage(major: float, pitch: float, hole: float, printed: float) -> None:
    assert 100 * share(major, hole, pitch) == pytest.approx(printed, abs=0.06)


@pytest.mark.parametrize(("major", "pitch"), [(6, 1.0), (10, 1.5), (8, 0.75), (12, 1.0)])
def test_a_hole_of_d_less_p_is_the_charts_77_percent(major: float, pitch: float) -> None:
    """Drill formula of the charts: hole = d − 0.01299 · P · %; the "76.98" factor."""
    printed = percent_thread(share(major, major - pitch, pitch))
    assert printed == pytest.approx(76.98, abs=0.01)
    assert major - 0.01299038 * pitch * printed == pytest.approx(major - pitch, abs=1e-4)


# Published limits 6g/6H: d min, D1 max (ISO 965-1 tables as reprinted), and what they leave.
WORST = [
    ("M3x0.5", 2.874, 2.599, 0.51),
    ("M5x0.5", 4.874, 4.599, 0.51),
    ("M8x0.75", 7.838, 7.378, 0.57),
    ("M10x0.75", 9.838, 9.378, 0.57),
    ("M5x0.8", 4.826, 4.334, 0.57),
]


@pytest.mark.parametrize(("name", "crest", "hole", "left"), WORST)
def test_ordinary_classes_at_worst_limits(
    name: str, crest: float, hole: float, left: float
) -> None:
    """Arithmetic on the published limits: 51 % at P 0.5, 57 % at P 0.75 and 0.8; no finding from
    the worst limits of ordinary classes alone."""
    thread = parse(name)
    assert round((crest - hole) / 2 / (0.541265877 * float(thread.pitch)), 2) == left
    found = engagement(limits(thread, True, "6g"), limits(thread, False, "6H"))
    assert round(found.worst, 2) == left
    assert level(found) is None


def test_an_open_hole_is_found() -> None:
    """M8x0.75 (d as its middle 7.908, H1 = 0.40595): a hole of 7.5 leaves 50 % as given, a warning;
    7.6 leaves 38 %, an error."""
    screw, nut = limits(parse("M8x0.75"), True), limits(parse("M8x0.75"), False)
    assert level(engagement(screw, nut, hole_given=7.5)) is Level.WARNING
    assert level(engagement(screw, nut, hole_given=7.6)) is Level.ERROR
    assert level(engagement(screw, nut, hole_given=7.25)) is None
