"""Metric threads off the tables and at the edges of what is held, worked out by hand from the rule
of ISO 965-1 (formulas also in ASME B1.13M-2005, section 8; R40 by ISO 3)."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest

from mandrelgen.core.lengths import Length
from mandrelgen.standards import iso_965_1
from mandrelgen.standards.designation import Designation, parse
from mandrelgen.standards.threads import (
    ThreadLimitError,
    iso_engagement,
    limits,
    limits_with_deviation,
)


def test_off_the_table_every_tolerance_is_the_formula_on_its_step() -> None:
    """P 0.9, which no table holds, by hand: deviations 15, 30, 50 + 9.9 on R40 (24.9, 39.9, 59.9 by
    25, 40, 60); Td2(6) 90·0.9^0.4·√(5.6·11.2)^0.1 = 106.1 by 106, TD2(6) five steps on, 140;
    Td(6) 180·0.9^(2/3) − 3.15/√0.9 = 164.5 by 160 (160 and 170 part at 165), eight steps to 4 and
    8; TD1(6) 230·0.9^0.7 = 213.6 by 212."""
    for position, value in (("G", 25), ("g", -25), ("f", -40), ("e", -60)):
        assert iso_965_1.deviation(position, 0.9) == iso_965_1.PrintedCell(value, False)
    for position in "hH":
        assert iso_965_1.deviation(position, 0.9) == iso_965_1.PrintedCell(0, True)
    assert iso_965_1.pitch_tolerance(True, 9, 0.9, 6) == iso_965_1.PrintedCell(106, False)
    assert iso_965_1.pitch_tolerance(False, 9, 0.9, 6) == iso_965_1.PrintedCell(140, False)
    for grade, external, internal in ((4, 100, 132), (6, 160, 212), (8, 250, 335)):
        assert iso_965_1.crest_tolerance(True, 0.9, grade) == iso_965_1.PrintedCell(external, False)
        assert iso_965_1.crest_tolerance(False, 0.9, grade) == iso_965_1.PrintedCell(
            internal, False
        )
    # A grade the row lacks is stepped from the row's own 6: P 0.5, 106 by eight steps to 170.
    assert iso_965_1.crest_tolerance(True, 0.5, 8) == iso_965_1.PrintedCell(170, False)
    # So is a pitch diameter's: M6x0.5 has a printed 6, 75 where the formula gives 71 (see above).
    assert iso_965_1.pitch_tolerance(True, 5, 0.5, 9) == iso_965_1.PrintedCell(150, False)
    assert iso_965_1.engagement(9, 0.9).published is False


def test_off_the_table_every_grade_is_its_share_of_grade_6() -> None:
    """P 0.9 from 5.6 to 11.2, Td2(6) 106 and TD1(6) 212 (above), by the grades' factors of
    ISO 965-1 (also ASME B1.13M-2005, section 8): Td2 0.5, 0.63, 0.8, 1, 1.25, 1.6, 2; TD2 0.85,
    1.06, 1.32, 1.7, 2.12; TD1 0.63, 0.8, 1, 1.25, 1.6; each product (53, 66.8, 84.8, …) on the
    R40 number beside it."""
    for external, numbers in (
        (True, {3: 53, 4: 67, 5: 85, 6: 106, 7: 132, 8: 170, 9: 212}),
        (False, {4: 90, 5: 112, 6: 140, 7: 180, 8: 224}),
    ):
        for grade, value in numbers.items():
            got = iso_965_1.pitch_tolerance(external, 9, 0.9, grade)
            assert got == iso_965_1.PrintedCell(value, False), (external, grade)
    for grade, value in {4: 132, 5: 170, 6: 212, 7: 265, 8: 335}.items():
        assert iso_965_1.crest_tolerance(False, 0.9, grade) == iso_965_1.PrintedCell(value, False)


def test_off_the_table_a_pitch_tolerance_turns_half_way_between_two_numbers() -> None:
    """90 P^0.4 d^0.1 with d = √(5.6·11.2), d^0.1 = 1.22990, by hand: P 0.96 108.90, P 0.965 109.12;
    109 lies half way from 106 to 112."""
    assert iso_965_1.pitch_tolerance(True, 9, 0.96, 6) == iso_965_1.PrintedCell(106, False)
    assert iso_965_1.pitch_tolerance(True, 9, 0.965, 6) == iso_965_1.PrintedCell(112, False)


def test_a_printed_grade_6_goes_before_its_formula() -> None:
    """TD1 of P 0.5: 140 printed for grade 6 (Table 5), 134.9 and so 132 by the formula; grade 8,
    which is not printed, is eight steps from 140: 224, not 212."""
    assert iso_965_1.crest_tolerance(False, 0.5, 6) == iso_965_1.PrintedCell(140, True)
    assert iso_965_1.crest_tolerance(False, 0.5, 8) == iso_965_1.PrintedCell(224, False)


def test_grades_and_sizes_the_standard_does_not_have() -> None:
    """Td has grades 4, 6 and 8, TD1 4 to 8, Td2 3 to 9, TD2 4 to 8 (clause 6); the smallest range
    begins above 0.99."""
    for pitch in (0.9, 1.0):
        for grades, tolerance in (
            ((3, 5, 7, 9), lambda g, p: iso_965_1.crest_tolerance(True, p, g)),
            ((3, 9), lambda g, p: iso_965_1.crest_tolerance(False, p, g)),
            ((2, 10), lambda g, p: iso_965_1.pitch_tolerance(True, 9, p, g)),
            ((3, 9), lambda g, p: iso_965_1.pitch_tolerance(False, 9, p, g)),
        ):
            for grade in grades:
                with pytest.raises(KeyError):
                    tolerance(grade, pitch)
    for diameter in (0.99, 45.001):
        with pytest.raises(ValueError, match=r"outside 0\.99 to 45 mm"):
            iso_965_1.diameter_range(diameter)
    assert iso_965_1.diameter_range(0.991) == (0.99, 1.4)


@pytest.mark.parametrize(
    ("positions", "pitch", "microns"),
    [("gG", 1.26, 28), ("gG", 1.28, 30), ("f", 1.94, 50), ("f", 1.97, 53), ("e", 0.39, 53),
     ("e", 0.42, 56)],
)  # fmt: skip
def test_a_deviation_off_the_table_turns_half_way_between_two_numbers(
    positions: str, pitch: float, microns: int
) -> None:
    """15, 30, 50 + 11 P on the nearest R40 number, by hand: 28.86 and 29.08 beside 29 (28, 30),
    51.34 and 51.67 beside 51.5 (50, 53), 54.29 and 54.62 beside 54.5 (53, 56)."""
    for position in positions:
        sign = 1 if position == "G" else -1
        assert iso_965_1.deviation(position, pitch) == iso_965_1.PrintedCell(sign * microns, False)


def test_the_edges_of_what_is_held() -> None:
    """M45 is held, no pitch above 4.5 nor coarser than coarse; a factor of 2 and no more."""
    assert limits(parse("M45x4.5"), True).pitch.max is not None
    assert limits(parse("M12x1"), True, factor=2.0).factor == 2.0
    for name, factor, says in (
        ("M45x5", 1.0, "0.2 to 4.5 mm"), ("M4x1.1", 1.0, "no coarser than coarse"),
        ("M12x1", 2.01, "use 1"),
    ):  # fmt: skip
        d = parse(name) if name == "M12x1" else _thread(name)
        with pytest.raises(ThreadLimitError) as e:
            limits(d, True, factor=factor)
        assert says in e.value.remedy
        assert e.value.message
    with pytest.raises(ThreadLimitError, match="no tolerances are held"):
        limits(parse("M45.1x1.5"), True)
    with pytest.raises(ThreadLimitError, match=r"M0\.99x0\.2"):
        limits(parse("M0.99x0.2"), True)
    with pytest.raises(ThreadLimitError, match="an external metric"):
        limits(parse("M12x1"), True, "6H")
    with pytest.raises(ThreadLimitError, match="an internal metric"):
        limits(parse("M12x1"), False, "6g")
    with pytest.raises(ThreadLimitError, match="use a metric thread"):
        iso_engagement(parse("3/8-32 UNEF"))
    with pytest.raises(ThreadLimitError, match="not a size"):
        limits_with_deviation(parse("M12x1"), True, "6g", math.inf)


def _thread(name: str) -> Designation:
    """A thread that no text may name, since its pitch is coarser than coarse."""
    d, p = name[1:].split("x")
    return Designation("M", Length(Fraction(d), d), Length(Fraction(p), p))


def test_a_nut_with_a_deviation_rises_with_it() -> None:
    """6G against 6H: EI of P 1 is 26 µm (Table 1), on all three diameters and both limits."""
    plain, raised = limits(parse("M12x1"), False), limits(parse("M12x1"), False, "6G")
    chosen = limits_with_deviation(parse("M12x1"), False, "6H", 26)
    for t in (raised, chosen):
        assert t.major.min == pytest.approx((plain.major.min or 0) + 0.026)
        for name in ("pitch", "minor"):
            a, b = getattr(plain, name), getattr(t, name)
            assert (b.min - a.min, b.max - a.max) == pytest.approx((0.026, 0.026))
    assert raised.tolerance_class == "6G"
    assert chosen.tolerance_class == "6 (EI +26 µm)"
    assert not chosen.extended  # its grades are printed
    assert limits_with_deviation(parse("M12x1"), True, "4g6g", -5).tolerance_class == (
        "4/6 (es −5 µm)"
    )


def test_engagement_off_the_table() -> None:
    # ISO 965-1: lN min = 2.24 P d^0.2, max = 6.7 P d^0.2, d the lower end of the range.
    e = iso_engagement(parse("M12x0.75"))
    assert not e.published
    assert (round(e.over, 1), round(e.to, 1)) == (2.7, 8.1)


def test_multi_start_keeps_the_limits_of_its_pitch_unless_a_factor_is_asked_for() -> None:
    single, triple = limits(parse("M12x1"), True), limits(parse("M12xPh3P1"), True)
    assert (single.major, single.pitch, single.minor) == (triple.major, triple.pitch, triple.minor)
    # ISO 2903 factor for three starts, 1.25: Td2 118 becomes 148, TD2 160 becomes 200.
    wide = limits(parse("M12xPh3P1"), True, factor=1.25)
    assert wide.pitch.max - wide.pitch.min == pytest.approx(0.148, abs=1e-9)
    wide = limits(parse("M12xPh3P1"), False, factor=1.25)
    assert wide.pitch.max - wide.pitch.min == pytest.approx(0.200, abs=1e-9)
    assert wide.crest == limits(parse("M12x1"), False).crest


def test_off_the_table_the_source_says_so() -> None:
    printed = limits(parse("M12x1"), True)
    assert (printed.extended, printed.source) == (False, "ISO 965-1:2013")
    extended = limits(parse("M12xPh2.4P0.8"), False)
    assert extended.extended
    assert extended.source == "ISO 965-1 rule extended, no published row"
    # DIN 13 carries the rule to M12x0.75: TD2 140 (published 6H limits above).
    assert limits(parse("M12x0.75"), False).extended


def test_a_chosen_deviation_moves_all_three_diameters() -> None:
    plain = limits(parse("M12x1"), True, "4h")
    moved = limits_with_deviation(parse("M12x1"), True, "4h", -40)
    for name in ("major", "pitch", "minor"):
        a, b = getattr(plain, name), getattr(moved, name)
        assert a.max - b.max == pytest.approx(0.040)
        assert a.min - b.min == pytest.approx(0.040)
    assert moved.tolerance_class == "4 (es −40 µm)"
    assert "chosen" in moved.source
