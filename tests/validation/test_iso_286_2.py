"""Limits of plain cylinders against printed ISO 286-2 tables.

Checks data/iso_286_grades.toml and data/iso_286_deviations.toml. The printed limits are from
ISO 286-2 / JIS B 0401 tables; the data files hold only grades and fundamental deviations.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mandrelgen.standards.iso_286 import HOLES, SHAFTS, grade, tolerance
from mandrelgen.standards.tables import NotHeldError, records

# ISO 286-2 shaft limits es/ei, µm: over 3 to 6, 6 to 10, 10 to 18, 18 to 30.
SHAFT_LIMITS = """
d6 -30/-38 -40/-49 -50/-61 -65/-78
d8 -30/-48 -40/-62 -50/-77 -65/-98
d9 -30/-60 -40/-76 -50/-93 -65/-117
e7 -20/-32 -25/-40 -32/-50 -40/-61
e8 -20/-38 -25/-47 -32/-59 -40/-73
e9 -20/-50 -25/-61 -32/-75 -40/-92
f6 -10/-18 -13/-22 -16/-27 -20/-33
f7 -10/-22 -13/-28 -16/-34 -20/-41
f8 -10/-28 -13/-35 -16/-43 -20/-53
g5 -4/-9 -5/-11 -6/-14 -7/-16
g6 -4/-12 -5/-14 -6/-17 -7/-20
g7 -4/-16 -5/-20 -6/-24 -7/-28
h5 0/-5 0/-6 0/-8 0/-9
h6 0/-8 0/-9 0/-11 0/-13
h7 0/-12 0/-15 0/-18 0/-21
h8 0/-18 0/-22 0/-27 0/-33
h9 0/-30 0/-36 0/-43 0/-52
h10 0/-48 0/-58 0/-70 0/-84
h11 0/-75 0/-90 0/-110 0/-130
js5 2.5/-2.5 3/-3 4/-4 4.5/-4.5
js6 4/-4 4.5/-4.5 5.5/-5.5 6.5/-6.5
js7 6/-6 7.5/-7.5 9/-9 10.5/-10.5
k5 6/1 7/1 9/1 11/2
k6 9/1 10/1 12/1 15/2
"""
# ISO 286-2 hole limits ES/EI, µm.
HOLE_LIMITS = """
F6 18/10 22/13 27/16 33/20
F7 22/10 28/13 34/16 41/20
F8 28/10 35/13 43/16 53/20
G6 12/4 14/5 17/6 20/7
G7 16/4 20/5 24/6 28/7
H6 8/0 9/0 11/0 13/0
H7 12/0 15/0 18/0 21/0
H8 18/0 22/0 27/0 33/0
H9 30/0 36/0 43/0 52/0
H10 48/0 58/0 70/0 84/0
H11 75/0 90/0 110/0 130/0
K6 2/-6 2/-7 2/-9 2/-11
K7 3/-9 5/-10 6/-12 6/-15
JS7 6/-6 7.5/-7.5 9/-9 10.5/-10.5
"""
RANGES = ((3, 6), (6, 10), (10, 18), (18, 30))


@pytest.mark.parametrize("line", (SHAFT_LIMITS.strip() + HOLE_LIMITS.rstrip()).splitlines())
def test_printed_limits(line: str) -> None:
    klass, *cells = line.split()
    for (over, to), cell in zip(RANGES, cells, strict=True):
        upper, lower = (float(v) for v in cell.split("/"))
        for size in (over + 0.001, (over + to) / 2, to):
            t = tolerance(size, klass)
            assert t.upper_deviation * 1000 == pytest.approx(upper, abs=1e-6)
            assert t.lower_deviation * 1000 == pytest.approx(lower, abs=1e-6)
            assert t.note == klass


# ISO 286-1, Table 1: single grades at band edges.
@pytest.mark.parametrize(
    ("size", "it", "value"),
    [
        (10, 7, 15), (12, 6, 11), (5, 5, 5), (25, 8, 33), (8, 9, 36), (40, 11, 160), (18, 10, 70),
        (3, 6, 6), (3.001, 6, 8), (50, 7, 25), (2, 7, 10), (12, 13, 270), (12, 14, 430),
    ],
)  # fmt: skip
def test_grades(size: float, it: int, value: int) -> None:
    assert grade(size, it) == pytest.approx(value / 1000)


def test_grades_stand_by_the_formula() -> None:
    # ISO 286-1: i = 0.45 D^(1/3) + 0.001 D, IT5 to IT11 = 7 10 16 25 40 64 100 i; the printed
    # values are rounded, below 3 mm upwards.
    for row in records("iso_286_grades")[1:]:
        d = math.sqrt(row["over"] * row["to"])
        i = 0.45 * d ** (1 / 3) + 0.001 * d
        for it, factor in zip(range(5, 12), (7, 10, 16, 25, 40, 64, 100), strict=True):
            assert row[str(it)] == pytest.approx(factor * i, rel=0.1), (row, it)


def test_grades_repeat_tenfold_after_five_steps() -> None:
    # ISO 286-1: above IT6 the tolerance is ten times that of the fifth grade before.
    for row in records("iso_286_grades"):
        for it in (12, 13, 14):
            assert row[str(it)] == 10 * row[str(it - 5)]
        assert 0.6 * row["5"] <= row["4"] < row["5"]


# Clearances of common fits computed from printed limits, µm.
@pytest.mark.parametrize(
    ("size", "hole", "shaft", "low", "high"),
    [
        (12, "H7", "g6", 6, 35), (8, "H7", "h6", 0, 24), (12, "H8", "f7", 16, 61),
        (25, "H9", "d9", 65, 169), (8, "H7", "k6", -10, 14),
    ],
)  # fmt: skip
def test_fits(size: float, hole: str, shaft: str, low: int, high: int) -> None:
    h, s = tolerance(size, hole), tolerance(size, shaft)
    assert (h.lower - s.upper) * 1000 == pytest.approx(low, abs=1e-6)
    assert (h.upper - s.lower) * 1000 == pytest.approx(high, abs=1e-6)


# Holes K as ISO 286-2's table prints them (also any workshop handbook), µm.
@pytest.mark.parametrize(
    ("size", "klass", "low", "high"),
    [(2, "K7", -10, 0), (3, "K7", -10, 0), (3, "K8", -14, 0), (3.5, "K7", -9, 3),
     (8, "K6", -7, 2), (12, "K7", -12, 6), (12, "K8", -19, 8), (25, "K7", -15, 6)],
)  # fmt: skip
def test_transition_holes(size: float, klass: str, low: int, high: int) -> None:
    t = tolerance(size, klass)
    assert (t.lower_deviation * 1000, t.upper_deviation * 1000) == pytest.approx((low, high))


@given(
    st.floats(0.001, 50),
    st.sampled_from([c for c in SHAFTS + HOLES if c != "K"]),
    st.integers(5, 11),
)
def test_every_class_is_as_wide_as_its_grade(size: float, letter: str, it: int) -> None:
    t = tolerance(size, f"{letter}{it}")
    assert t.width == pytest.approx(grade(size, it), abs=1e-9)
    mirror = tolerance(size, f"{letter.swapcase()}{it}") if letter.lower() != "k" else None
    if mirror is not None:
        # ISO 286-1: deviations of D to H are those of d to h with the sign changed.
        assert mirror.upper_deviation == pytest.approx(-t.lower_deviation, abs=1e-9)


@pytest.mark.parametrize(
    ("size", "klass"), [(12, "h4"), (12, "p6"), (12, "8h"), (0, "h8"), (51, "h8"), (12, "K9")]
)
def test_refusals(size: float, klass: str) -> None:
    with pytest.raises(NotHeldError) as e:
        tolerance(size, klass)
    assert e.value.remedy
