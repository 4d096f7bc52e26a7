"""Tables of the turner's trade: what was published is compared, the rest is kept within bounds.

Data: cutting_speeds.toml, threading_practice.toml, bar_sizes.toml, change_gears.toml,
blank_allowances.toml.
"""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction

import pytest

from mandrelgen.mechanics.speed import spindle_speed
from mandrelgen.model.mandrel import ThreadForm
from mandrelgen.standards import cutting, gears, materials, stock
from mandrelgen.standards.tables import NotHeldError, load, records
from mandrelgen.workshop.turning import infeed
from mandrelgen.workshop.turning.leaving import hand_speed

# Radial infeed of each pass as two insert makers publish it for external 60° threads.
MAKER_1 = {
    0.5: (0.10, 0.08, 0.07, 0.06),
    0.75: (0.16, 0.14, 0.10, 0.06),
    1.0: (0.18, 0.15, 0.12, 0.10, 0.06),
    1.25: (0.19, 0.17, 0.14, 0.11, 0.10, 0.06),
    1.5: (0.22, 0.21, 0.17, 0.14, 0.12, 0.06),
}
MAKER_2 = {0.75: (0.24, 0.12, 0.07, 0.05), 1.0: (0.25, 0.15, 0.11, 0.08, 0.05)}


def cumulative(passes: tuple[float, ...]) -> list[float]:
    return [sum(passes[: k + 1]) for k in range(len(passes))]


def worst(law: tuple[float, ...], table: list[float]) -> float:
    return max(abs(a - b) for a, b in zip(law, table, strict=True)) / table[-1]


@pytest.mark.parametrize("p", MAKER_1)
def test_depth_and_passes_against_the_first_maker(p: float) -> None:
    """Sum of the passes = 17H/24 within 3 hundredths; the eased law within 8 % of the depth at
    every pass, and nearer than the plain law of equal areas (15 to 18 % off)."""
    table = cumulative(MAKER_1[p])
    depth = infeed.basic_depths(p, external=True).full_form
    assert depth == pytest.approx(table[-1], abs=0.03)
    assert cutting.usual_passes(p) == len(table)
    eased = infeed.eased(table[-1], len(table))
    assert worst(eased, table) < 0.08
    assert worst(eased, table) < worst(infeed.equal_area(table[-1], len(table)), table)


@pytest.mark.parametrize("p", MAKER_2)
def test_the_second_maker_follows_equal_areas(p: float) -> None:
    table = cumulative(MAKER_2[p])
    plain = infeed.equal_area(table[-1], len(table))
    assert worst(plain, table) < 0.07
    assert worst(plain, table) < worst(infeed.eased(table[-1], len(table)), table)


def test_a_worked_equal_area_ladder() -> None:
    """M10x1.5, 0.92 deep in 6 passes: 0.376 0.531 0.651 0.751 0.840 0.920 (a published worked
    example of the G76 cycle)."""
    got = infeed.equal_area(0.92, 6)
    assert got == pytest.approx((0.376, 0.531, 0.651, 0.751, 0.840, 0.920), abs=0.0006)
    areas = [b**2 - a**2 for a, b in zip((0.0, *got), got, strict=False)]
    assert max(areas) == pytest.approx(min(areas))


def test_depths_of_the_basic_profile() -> None:
    """ISO 68-1: h3 = 0.61343 P and 7H/8 = 0.75777 P outside, H1 = 0.54127 P and 0.64952 P inside;
    a maker's table for P 1.5: 0.92 and 0.81, along the flank 1.06 and 0.94."""
    out, into = infeed.basic_depths(1.5, True), infeed.basic_depths(1.5, False)
    assert (out.full_form, out.sharp) == pytest.approx((0.613435 * 1.5, 0.757772 * 1.5), abs=1e-5)
    assert (into.full_form, into.sharp) == pytest.approx((0.541266 * 1.5, 0.649519 * 1.5), abs=1e-5)
    assert out.full_form == pytest.approx(0.92, abs=0.001)
    assert into.full_form == pytest.approx(0.81, abs=0.002)
    assert infeed.flank_infeed(out.full_form) == pytest.approx(1.06, abs=0.003)
    assert infeed.flank_infeed(into.full_form) == pytest.approx(0.94, abs=0.003)


@pytest.mark.parametrize("p", [0.5, 0.75, 0.8, 1.5])
def test_depths_of_a_real_thread_at_its_basic_sizes(p: float) -> None:
    """Crest d, pitch diameter d2 = d - 0.649519 P: the depths of ISO 68-1's profile again. A crest
    0.1 smaller takes 0.05 off both."""
    out = ThreadForm(
        external=True,
        starts=1,
        pitch=p,
        left_hand=False,
        crest_diameter=10.0,
        pitch_diameter=10 - 0.649519053 * p,
        root_diameter=10 - 1.2269 * p,
    )
    into = ThreadForm(
        external=False,
        starts=1,
        pitch=p,
        left_hand=False,
        crest_diameter=10 - 1.082531755 * p,
        pitch_diameter=10 - 0.649519053 * p,
        root_diameter=10.0,
    )
    for form in (out, into):
        got, basic = infeed.depths(form), infeed.basic_depths(p, form.external)
        assert got.full_form == pytest.approx(basic.full_form, abs=1e-6)
        assert got.sharp == pytest.approx(basic.sharp, abs=1e-6)
    less = infeed.depths(replace(out, crest_diameter=9.9))
    assert less.sharp == pytest.approx(infeed.depths(out).sharp - 0.05)


def test_leaving_a_groove_by_hand() -> None:
    """About 65/min at a lead of 2.4 in a groove of 1.7 (the trade's figure, P 0.8)."""
    assert hand_speed(1.7, 0.4, 2.4) == pytest.approx(65, abs=1)
    assert hand_speed(0.4, 0.4, 2.4) == 0
    assert hand_speed(1.7, 0.4, 0.8) == pytest.approx(3 * hand_speed(1.7, 0.4, 2.4))


def test_cutting_speeds() -> None:
    """Published feet per minute turned into m/min (1213/1215: 270 to 290; 12L14 HSS up to 260;
    18/8: 115 to 135; brass C360: 300 to 350; 6082: 500 to 600), carbide above high-speed steel,
    threading below turning, and the speed formula n = 1000 v/(π d): v 30, d 10 gives 955."""
    for name, low, high in (("11SMn30", 270, 290), ("1.4305", 115, 135), ("CW614N", 300, 350),
                            ("6082-T6", 500, 600), ("C45", 55, 180)):  # fmt: skip
        got = cutting.speeds(name).hss
        assert got == pytest.approx((low * 0.3048, high * 0.3048), abs=0.7)
    for row in records("cutting_speeds"):
        s = cutting.speeds(row["material"])
        assert materials.material(row["material"])
        assert s.threading[0] < s.threading[1] <= s.hss[1]
        assert s.carbide[0] >= s.hss[0]
    assert spindle_speed(10, 30) == pytest.approx(955, abs=0.5)
    with pytest.raises(NotHeldError):
        cutting.speeds("PLA")


def test_pass_counts_within_what_was_read() -> None:
    """Ranges read: 0.5 4-6, 0.75 4-7, 1 4-8, 1.25 5-9, 1.5 6-10."""
    read = {0.5: (4, 6), 0.75: (4, 7), 1.0: (4, 8), 1.25: (5, 9), 1.5: (6, 10)}
    for p, (low, high) in read.items():
        assert low <= cutting.usual_passes(p) <= high
    assert cutting.usual_passes(0.8) == 5
    assert cutting.usual_passes(2.0) == 8
    for group in ("hand", "infeed", "clearance", "bar", "tool"):
        for rule in load("threading_practice")[group].values():
            assert rule["basis"]


def test_flank_clearance_of_a_holder() -> None:
    """atan(tan(radial)·tan 30°): 5.8° for 10° (external), 8.8° for 15° (internal)."""
    for radial, name in ((10, "external"), (15, "internal")):
        by_angle = math.degrees(
            math.atan(math.tan(math.radians(radial)) * math.tan(math.radians(30)))
        )
        assert cutting.rule("clearance", name).value == pytest.approx(by_angle, abs=0.4)


def test_bars() -> None:
    """Ascending, whole millimetres, every metal has a row, and each bar is held by a collet or
    larger than any (sizes from memory: no published list was at hand)."""
    for row in records("bar_sizes"):
        sizes = row["sizes"]
        assert sizes == sorted(set(sizes))
        # The sizes that every stockholder's list has (common practice, no source).
        assert {10, 12, 16, 20, 25, 30} <= set(sizes)
    for name in materials.names():
        if materials.material(name).kind == "metal":
            assert stock.bar_for(name, 12.1) > 12.1
    assert stock.bar_for("11SMn30", 13.6 + 1) == 15
    assert stock.bar_for("1.4305", 12.5) == 14
    for bad in (lambda: stock.bars("PLA"), lambda: stock.bar_for("C45", 51)):
        with pytest.raises(NotHeldError):
            bad()
    assert 0.5 <= stock.allowance("skin") <= 2


def test_blanks_come_out_as_usual() -> None:
    """About 35 for a section of 29, 65 to 70 for a cap near 63 and 95 for a barrel near 88 before
    finishing (common practice, no source)."""
    add = stock.blank_allowance("saw") + 2 * stock.blank_allowance("facing")
    closed = add + stock.blank_allowance("centre")
    assert 29 + add <= 35
    assert 65 <= 63 + add <= 70
    assert 90 <= 88 + closed <= 96
    assert 0 < stock.blank_allowance("polish") <= 0.3


def test_gears_usually_owned() -> None:
    """127 is the inch in fifths of a millimetre (25.4 = 127/5), so it must be among them; 63/80
    is 1.27 nearly (0.8 in a thousand off)."""
    owned = gears.usual_gears()
    assert {127, 120, 63} <= set(owned)
    assert Fraction(127, 5) == Fraction("25.4")
    assert abs(Fraction(80, 63) / Fraction("1.27") - 1) < Fraction(1, 1000)
    assert len(set(owned)) == len(owned)
    assert gears.clearance_teeth() in range(12, 21)  # 15 to 20 teeth: from memory


@pytest.mark.parametrize(
    ("text", "lead"),
    [("3 mm", Fraction(3)), ("8 TPI", Fraction(127, 40)), ("1,5mm", Fraction(3, 2)),
     ("4tpi", Fraction(127, 20))],
)  # fmt: skip
def test_lead_screws(text: str, lead: Fraction) -> None:
    assert gears.lead_of(text) == lead


@pytest.mark.parametrize("text", ["", "3", "0 mm", "8 TPI or so", "1/0 mm", "-3 mm", "3 inch"])
def test_lead_screws_refused(text: str) -> None:
    with pytest.raises(ValueError, match="write '3 mm' or '8 TPI'"):
        gears.lead_of(text)
