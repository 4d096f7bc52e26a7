"""Collets against other published tables.

Checks data/iso_15488_sizes.toml and data/iso_15488_run_out.toml.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mandrelgen.standards.designation import parse
from mandrelgen.standards.iso_15488 import clamping_range, clamps, collet_size, run_out, sizes
from mandrelgen.standards.tables import NotHeldError


# A tool maker's technical pages (DIN 6499): largest shank, nut thread, through bore.
@pytest.mark.parametrize(
    ("size", "largest", "nut", "bore"),
    [
        (11, 7, "M14x0.75", 7.5), (16, 10, "M22x1.5", 10.5), (20, 13, "M25x1.5", 13.5),
        (25, 16, "M32x1.5", 18), (32, 20, "M40x1.5", 23.5), (40, 26, "M50x1.5", 30.5),
    ],
)  # fmt: skip
def test_sizes(size: int, largest: float, nut: str, bore: float) -> None:
    s = collet_size(size)
    assert (s.seat, s.largest, s.nut_thread, s.bore) == (size, largest, nut, bore)
    assert parse(s.nut_thread).diameter > s.body_diameter
    # The body stands about 1 mm above the size number: read for 11, 16, 25 and 32.
    assert s.body_diameter == pytest.approx(size + (0.5 if size == 11 else 1))
    assert s.least_insert == pytest.approx(2 / 3 * s.body_length)


def test_lengths_from_memory() -> None:
    # Body lengths of DIN 6499 collets; 11 and 16 read, the rest from memory.
    assert [s.body_length for s in sizes()] == [18, 27.5, 31.5, 34, 40, 46]
    assert [round(s.least_insert) for s in sizes()] == [12, 18, 21, 23, 27, 31]


# ISO 15488:2003, Table 4, as a collet maker and a tool catalogue print it.
@pytest.mark.parametrize(
    ("bore", "length", "class_1", "class_2"),
    [
        (1, 6, 0.010, 0.015), (1.6, 6, 0.010, 0.015), (3, 10, 0.010, 0.015),
        (6, 16, 0.010, 0.015), (8, 25, 0.010, 0.015), (10, 25, 0.010, 0.015),
        (10.01, 40, 0.015, 0.020), (12, 40, 0.015, 0.020), (20, 50, 0.015, 0.020),
        (26, 50, 0.015, 0.020),
    ],
)  # fmt: skip
def test_run_out(bore: float, length: float, class_1: float, class_2: float) -> None:
    assert (run_out(bore, 1).length, run_out(bore, 1).value) == (length, class_1)
    assert (run_out(bore).length, run_out(bore).value) == (length, class_2)


# Makers' rule: collets up to 3 mm close by 0.5 mm, larger ones by 1 mm; the nominal is the largest.
def test_clamping() -> None:
    assert clamping_range(2) == (1.5, 2)
    assert clamping_range(3) == (2.5, 3)
    assert clamping_range(6) == (5, 6)
    assert clamping_range(3.05) == pytest.approx((2.05, 3.05))
    assert clamps(12, 11.5)
    assert not clamps(11, 11.5)
    assert not clamps(12, 12.05)
    assert clamps(12, 12)
    assert clamps(12, 11)
    assert not clamps(12, 10.95)
    assert clamping_range(0.4) == (0.0, 0.4)
    assert clamping_range(1) == (0.5, 1)


@given(st.integers(1, 26), st.floats(0.1, 27))
def test_a_collet_never_opens(nominal: int, shank: float) -> None:
    if clamps(nominal, shank):
        assert nominal - 1 - 1e-6 <= shank <= nominal + 1e-6


def test_refusals() -> None:
    for call in (lambda: collet_size(12), lambda: run_out(27), lambda: run_out(8, 3)):
        with pytest.raises(NotHeldError):
            call()
    with pytest.raises(NotHeldError, match=r"0\.9"):
        run_out(0.9)
    with pytest.raises(NotHeldError) as e:
        collet_size(12)
    assert e.value.remedy.endswith("11, 16, 20, 25, 32, 40")
