"""What lies exactly at a limit of a rule: it belongs to the side the rule or the trade gives it to.

Limits as the standards print them ("over … up to and including …"); the rest is plain arithmetic.
"""

from __future__ import annotations

import math

import pytest

from mandrelgen.standards import (
    cutting,
    din_76,
    gears,
    iso_6411,
    iso_14253,
    iso_15488,
    measuring,
    stock,
    wires,
)
from mandrelgen.standards.designation import parse
from mandrelgen.standards.thread_aloud import in_words


@pytest.mark.parametrize(
    ("shank", "held"), [(13.0, True), (14.0, True), (12.99, False), (14.01, False)]
)
def test_a_collet_clamps_its_whole_range_and_no_more(shank: float, held: bool) -> None:
    """A 14 collet clamps 14 down to 13 (makers' rule: it closes by 1 mm)."""
    assert iso_15488.clamps(14.0, shank) is held


def test_a_small_collet_closes_by_half_a_millimetre() -> None:
    """Up to 3 mm (makers' rule); to nothing, and no further."""
    assert iso_15488.clamping_range(3.0) == (2.5, 3.0)
    assert iso_15488.clamping_range(3.5) == (2.5, 3.5)
    assert iso_15488.clamping_range(0.4) == (0.0, 0.4)


def test_only_the_standards_name_names_its_system() -> None:
    assert iso_15488.of_system("ISO 15488-25") == iso_15488.collet_size(25)
    assert iso_15488.of_system("DIN 6343-25") is None
    assert iso_15488.of_system("ISO 15488") is None
    assert iso_15488.of_system("ISO 15488-B") is None
    assert iso_15488.of_system("ISO 15488-B-25") is None
    assert iso_15488.with_letters("ISO 15488-25, 14, 2 off") == "ER25 (ISO 15488-25), 14, 2 off"
    assert iso_15488.with_letters("5C, 14") == "5C, 14"


def test_passes_at_a_row_of_the_table_and_beyond_it() -> None:
    """A pitch that is a row takes that row (0.5: 4, 1: 5, 1.5: 6; an insert maker's table, within
    the ranges of tests/validation/test_workshop_tables.py); past it by the chip: 3 mm takes 12."""
    assert [cutting.usual_passes(p) for p in (0.5, 1.0, 1.05, 1.5)] == [4, 5, 6, 6]
    assert cutting.usual_passes(3.0) == 12
    assert cutting.usual_passes(1.6) == 7  # 6.4 chips, rounded up


def test_a_centre_hole_leaves_half_a_millimetre_of_face() -> None:
    """Type B of pilot 1 is 3.15 mm wide (ISO 6411): the least face is 4.15 mm."""
    assert iso_6411.for_work(4.15, "B").pilot == 1.0
    with pytest.raises(ValueError, match="too small"):
        iso_6411.for_work(4.14, "B")


def test_a_bar_as_thick_as_is_asked_is_taken() -> None:
    for d in stock.bars("11SMn30"):
        assert stock.bar_for("11SMn30", d) == d
    with pytest.raises(ValueError, match=rf"the largest is ⌀{stock.bars('C45')[-1]:g}$"):
        stock.bar_for("C45", 200)


def test_one_reading_is_left_where_the_limits_are_two_uncertainties_apart() -> None:
    """ISO 14253-1: 0 to 0.5 with U 0.25 leaves 0.25 alone, with more nothing."""
    zone = measuring.acceptance_zone(0.0, 0.5, 0.25)
    assert zone == (0.25, 0.25)
    assert measuring.acceptance_zone(0.0, 0.5, 0.26) is None
    assert iso_14253.zone(0.0, 0.5, 0.25) == (0.25, 0.25)
    assert iso_14253.zone(1.0, None, 0.25) == (1.25, None)
    assert iso_14253.zone(None, 1.0, 0.25) == (None, 0.75)


def test_a_wire_stands_above_the_crest_and_below_its_edge() -> None:
    """Flanks of the ISO profile run from H/8 below the sharp crest to H/4 above the sharp root; by
    geometry a wire touches them between 7H/12 and 7H/6 (H = 0.866 P)."""
    h = math.sqrt(3) / 2
    assert wires.fits(7 * h / 12 + 1e-6, 1.0)
    assert not wires.fits(7 * h / 12 - 1e-6, 1.0)
    assert wires.fits(7 * h / 6 - 1e-6, 1.0)
    assert not wires.fits(7 * h / 6 + 1e-6, 1.0)
    assert not wires.fits(wires.LEAST, 1.0)
    assert not wires.fits(wires.MOST, 1.0)


@pytest.mark.parametrize(
    ("text", "mm"),
    [("3 mm", 3.0), ("0.5 mm", 0.5), ("0,75 MM", 0.75), ("8 TPI", 3.175), ("1 / 2 mm", 0.5)],
)
def test_the_lead_of_a_lead_screw(text: str, mm: float) -> None:
    """25.4 / 8 = 3.175."""
    assert float(gears.lead_of(text)) == mm


@pytest.mark.parametrize("pitch", [0.5, 0.75, 0.6])
def test_an_undercut_is_of_the_pitch_that_was_asked(pitch: float) -> None:
    for found in (din_76.external(pitch), din_76.internal(pitch), din_76.run_out(pitch)):
        assert found.pitch == pitch


def test_between_two_rows_of_din_76_lies_what_lies_between_their_figures() -> None:
    """DIN 76-1, external: P 0.7 has dg −1.1, g1 1.5 and 0.8, g2 2.45 and 1.75; P 0.75 −1.2, 1.6 and
    0.9, 2.6 and 1.9. At 0.72 two fifths of the way."""
    u = din_76.external(0.72)
    figures = (u.dg, u.g1_normal, u.g1_short, u.g2_normal, u.g2_short, u.r)
    assert figures == pytest.approx((-1.14, 1.54, 0.84, 2.51, 1.81, 0.4))
    assert u.extended
    assert "no row for P 0.72, interpolated between P 0.7 and 0.75" in u.source


def test_a_thread_said_aloud_says_everything_once() -> None:
    """6 mm at a lead of 2.25 mm are 2.67 turns; of 3.2 mm 1.9, of 4 mm 1.5; 25.4 / 32 = 0.79375."""
    assert in_words(parse("M12.5xPh2.25P0.75")) == (
        "metric thread, 12.5 mm over the crests, pitch 0.75 mm, three starts, lead 2.25 mm: "
        "one turn closes 2.25 mm, 6 mm of thread takes 2.7 turns"
    )
    assert in_words(parse("3/8-32 UNEF-LH")) == (
        "inch thread, 3/8 in over the crests, 32 threads per inch (pitch 0.7937 mm), single start, "
        "lead 0.7937 mm: one turn closes 0.7937 mm, 6 mm of thread takes 7.6 turns, left hand"
    )
    assert ", four starts, " in in_words(parse("M12xPh3.2P0.8"))
    assert ", 5 starts, " in in_words(parse("M12xPh4P0.8"))
