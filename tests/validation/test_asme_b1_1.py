"""Unified threads against published worked examples and tables, inches.

Checks the formulas of standards/asme_b1_1.py and data/asme_b1_1_series.toml.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from mandrelgen.standards import asme_b1_1
from mandrelgen.standards.designation import parse, standard_series
from mandrelgen.standards.threads import ThreadLimitError, limits, limits_with_deviation

INCH = 25.4


def inches(value: float | None) -> float:
    assert value is not None
    return value / INCH


def test_worked_example_external() -> None:
    """1/2-28 UNEF-2A, Machinery's Handbook 31st ed., external thread calculations, Table 3."""
    length = asme_b1_1.engagement_length(0.5, 28, "UNEF")
    assert asme_b1_1.pitch_tolerance_2a(0.5, 28, length) == 0.003668
    assert asme_b1_1.allowance(0.5, 28, length, "2A") == 0.0011
    t = limits(parse("1/2-28 UNEF"), True)
    assert inches(t.major.max) == pytest.approx(0.4989, abs=1e-7)
    assert inches(t.major.min) == pytest.approx(0.4924, abs=1e-7)
    assert inches(t.pitch.max) == pytest.approx(0.4757, abs=1e-7)
    assert inches(t.pitch.min) == pytest.approx(0.4720, abs=1e-7)
    assert inches(t.minor.max) == pytest.approx(0.4602, abs=1e-7)


def test_worked_examples_internal() -> None:
    """1/2-28 UNEF-2B and 19/64-36 UNS-2B, Machinery's Handbook 31st ed., Tables 4 and 6."""
    t = limits(parse("1/2-28 UNEF"), False)
    assert inches(t.minor.min) == pytest.approx(0.461, abs=1e-7)
    t = limits(parse("19/64-36 UNS"), False)
    assert inches(t.minor.min) == pytest.approx(0.267, abs=1e-7)
    assert inches(t.minor.max) == pytest.approx(0.273, abs=1e-7)
    assert inches(t.pitch.min) == pytest.approx(0.2789, abs=1e-7)
    assert asme_b1_1.minor_tolerance(0.2969, 36, "2B") == 0.0066


# ASME B1.1 limits of size, published engineering table: allowance; external major max, min and
# pitch max, min; internal minor min, max and pitch min, max.
PUBLISHED = """
#0-80 UNF 2 .0005 .0595 .0563 .0514 .0496 .0465 .0514 .0519 .0542
#0-80 UNF 3 .0000 .0600 .0568 .0519 .0506 .0465 .0514 .0519 .0536
#1-64 UNC 2 .0006 .0724 .0686 .0623 .0603 .0561 .0623 .0629 .0655
#1-64 UNC 3 .0000 .0730 .0692 .0629 .0614 .0561 .0623 .0629 .0648
#1-72 UNF 2 .0006 .0724 .0689 .0634 .0615 .0580 .0635 .0640 .0665
#1-72 UNF 3 .0000 .0730 .0695 .0640 .0626 .0580 .0635 .0640 .0659
#2-56 UNC 2 .0006 .0854 .0813 .0738 .0717 .0667 .0737 .0744 .0772
#2-56 UNC 3 .0000 .0860 .0819 .0744 .0728 .0667 .0737 .0744 .0765
#2-64 UNF 2 .0006 .0854 .0816 .0753 .0733 .0691 .0753 .0759 .0786
#2-64 UNF 3 .0000 .0860 .0822 .0759 .0744 .0691 .0753 .0759 .0779
15/16-12 UN 2 .0017 .9358 .9244 .8817 .8760 .8470 .8650 .8834 .8908
15/16-12 UN 3 .0000 .9375 .9261 .8834 .8793 .8470 .8575 .8834 .8889
15/16-16 UN 2 .0015 .9360 .9266 .8954 .8904 .8700 .8840 .8969 .9034
15/16-16 UN 3 .0000 .9375 .9281 .8969 .8932 .8700 .8783 .8969 .9018
15/16-20 UNEF 2 .0014 .9361 .9280 .9036 .8991 .8830 .8950 .9050 .9109
"""


@pytest.mark.parametrize("line", PUBLISHED.strip().splitlines())
def test_published_limits(line: str) -> None:
    size, series, klass, *numbers = line.split()
    gap, *rest = (float(n) for n in numbers)
    d = parse(f"{size} {series}")
    assert d.series == series
    outer, inner = limits(d, True, f"{klass}A"), limits(d, False, f"{klass}B")
    ours = [
        outer.major.max, outer.major.min, outer.pitch.max, outer.pitch.min,
        inner.minor.min, inner.minor.max, inner.pitch.min, inner.pitch.max,
    ]  # fmt: skip
    for i, (mine, theirs) in enumerate(zip(ours, rest, strict=True)):
        # The table is of an earlier edition, which seems to have rounded tolerances to 0.0001
        # first: the far end of a tolerance may differ by one in the last place.
        slack = 1.1e-4 if i in (1, 3, 5, 7) else 1e-7
        assert inches(mine) == pytest.approx(theirs, abs=slack), i
    assert outer.basic.major - outer.major.max == pytest.approx(gap * INCH, abs=1e-6)


# Machinery's Handbook table of UNEF limits, from memory: 2A major, pitch; 2B minor, pitch.
def test_a_pen_size_from_memory() -> None:
    a, b = limits(parse("3/8-32 UNEF"), True), limits(parse("3/8-32 UNEF"), False)
    ours = [
        a.major.max, a.major.min, a.pitch.max, a.pitch.min,
        b.minor.min, b.minor.max, b.pitch.min, b.pitch.max,
    ]  # fmt: skip
    published = [0.3740, 0.3680, 0.3537, 0.3503, 0.341, 0.349, 0.3547, 0.3591]
    assert [inches(v) for v in ours] == pytest.approx(published, abs=1e-7)


# ANSI B1.1 nut threads in mm, a tap catalogue: pitch diameter min, max 2B, max 3B.
NUTS_MM = """
#0-80 1.318 1.377 1.361
#1-72 1.626 1.689 1.674
#2-64 1.928 1.996 1.979
#3-56 2.220 2.291 2.273
#4-48 2.502 2.581 2.560
#5-44 2.799 2.880 2.860
#6-40 3.094 3.180 3.157
#8-36 3.708 3.800 3.777
#10-32 4.310 4.409 4.384
#12-28 4.897 5.004 4.976
1/4-28 5.761 5.870 5.842
5/16-24 7.249 7.371 7.341
3/8-24 8.837 8.961 8.931
7/16-20 10.287 10.424 10.391
1/2-20 11.874 12.017 11.981
9/16-18 13.371 13.520 13.482
5/8-18 14.958 15.110 15.072
3/4-16 18.019 18.184 18.143
"""


@pytest.mark.parametrize("line", NUTS_MM.strip().splitlines())
def test_nut_pitch_diameters(line: str) -> None:
    name, *numbers = line.split()
    low, b2, b3 = (float(n) for n in numbers)
    d = parse(f"{name} UNF")
    two, three = limits(d, False, "2B"), limits(d, False, "3B")
    # Basic sizes are rounded to 0.0001 in (±1.3 µm) in ours; the far ends may differ by one in the
    # last place (2.5 µm) as above.
    assert two.pitch.min == pytest.approx(low, abs=0.0018)
    assert two.pitch.max == pytest.approx(b2, abs=0.0032)
    assert three.pitch.max == pytest.approx(b3, abs=0.0032)


# A screw-thread gauge makers' chart of sizes up to 1 inch (asme_b1_1_series.toml is from memory).
@pytest.mark.parametrize(
    ("size", "unc", "unf", "unef"),
    [
        ("#0", 0, 80, 0), ("#1", 64, 72, 0), ("#2", 56, 64, 0), ("#3", 48, 56, 0),
        ("#4", 40, 48, 0), ("#5", 40, 44, 0), ("#6", 32, 40, 0), ("#8", 32, 36, 0),
        ("#10", 24, 32, 0), ("#12", 24, 28, 32), ("1/4", 20, 28, 32), ("5/16", 18, 24, 32),
        ("3/8", 16, 24, 32), ("7/16", 14, 20, 28), ("1/2", 13, 20, 28), ("9/16", 12, 18, 24),
        ("5/8", 11, 18, 24), ("3/4", 10, 16, 20), ("7/8", 9, 14, 20), ("1", 8, 12, 20),
    ],
)  # fmt: skip
def test_series(size: str, unc: int, unf: int, unef: int) -> None:
    for name, tpi in (("UNC", unc), ("UNF", unf), ("UNEF", unef)):
        if tpi:
            assert standard_series(size, Fraction(tpi)) == name


# Above 1 inch: FreeCAD's (LGPL) lists of UNC, UNF and UNEF threads.
@pytest.mark.parametrize(
    ("size", "unc", "unf", "unef"),
    [("1 1/8", 7, 12, 18), ("1 1/4", 7, 12, 18), ("1 3/8", 6, 12, 18), ("1 1/2", 6, 12, 18)],
)
def test_series_above_one_inch(size: str, unc: int, unf: int, unef: int) -> None:
    for name, tpi in (("UNC", unc), ("UNF", unf), ("UNEF", unef)):
        assert standard_series(size, Fraction(tpi)) == name


def test_class_and_range_are_checked() -> None:
    d = parse("3/8-32 UNEF")
    for external, klass in ((True, "2B"), (False, "2A"), (True, "1A"), (True, "6g")):
        with pytest.raises(ThreadLimitError, match="use 2"):
            limits(d, external, klass)
    with pytest.raises(ThreadLimitError, match="2 inch"):
        limits(parse("3-16 UN"), True)


def test_a_chosen_deviation_replaces_the_allowance() -> None:
    d = parse("3/8-32 UNEF")
    t = limits_with_deviation(d, True, "2A", -50)
    assert t.pitch.max == pytest.approx(t.basic.pitch - 0.050, abs=0.002)
    assert t.major.max == pytest.approx(t.basic.major - 0.050)
    plain = limits(d, True)
    assert t.pitch.max - t.pitch.min == pytest.approx(plain.pitch.max - plain.pitch.min, abs=0.003)
    t = limits_with_deviation(d, False, "2B", 20)
    assert t.pitch.min == pytest.approx(t.basic.pitch + 0.020)
