"""Centre holes against other published sizes.

Checks data/iso_6411.toml and data/centre_hole_by_work.toml.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mandrelgen.standards.iso_965_1 import r40_index, r40_value
from mandrelgen.standards.iso_6411 import centre_hole, for_work
from mandrelgen.standards.tables import NotHeldError, records

# ISO 3 preferred numbers R10.
R10 = (1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0, 10.0, 12.5)


def test_sizes_are_preferred_numbers() -> None:
    # ISO 866 and ISO 2540: pilots are R10, the protecting chamfer's mouth five R10 steps above,
    # the cone's mouth an R40 number 13 steps above the pilot; pilot depths from memory.
    for row in records("iso_6411"):
        assert row["d"] in R10
        assert row["D3"] == R10[R10.index(row["d"]) + 5]
        assert row["D"] == pytest.approx(r40_value(r40_index(row["d"]) + 13))
        # The protecting chamfer has 120°, so it deepens B by (D3 − D)/2 · tan 30°.
        deeper = (row["D3"] - row["D"]) / 2 / math.sqrt(3)
        assert row["t_B"] - row["t_A"] == pytest.approx(deeper, abs=0.06)
        assert row["t1"] == pytest.approx(0.89 * row["d"], abs=0.07)


# DIN EN ISO 6411 examples in technical-drawing school books and DIN 332-1 mouths (form R).
@pytest.mark.parametrize(
    ("type", "pilot", "mouth", "text"),
    [
        ("A", 2, 4.25, "ISO 6411 - A2/4.25"),
        ("A", 2.5, 5.3, "ISO 6411 - A2.5/5.3"),
        ("A", 4, 8.5, "ISO 6411 - A4/8.5"),
        ("B", 2.5, 8, "ISO 6411 - B2.5/8"),
    ],
)
def test_designations(type: str, pilot: float, mouth: float, text: str) -> None:
    hole = centre_hole(type, pilot)
    assert (hole.mouth, hole.designation) == (mouth, text)


# DIN 332-1:1986, form R table (scan): mouth D and depth t by pilot d; form A has the same ones.
@pytest.mark.parametrize(
    ("pilot", "cone", "depth"),
    [(1, 2.12, 1.9), (1.25, 2.65, 2.3), (1.6, 3.35, 2.9), (2, 4.25, 3.7), (2.5, 5.3, None)],
)
def test_mouths(pilot: float, cone: float, depth: float | None) -> None:
    assert centre_hole("A", pilot).cone == cone
    assert depth is None or centre_hole("A", pilot).depth == depth
    assert centre_hole("B", pilot).cone == cone


# Cone length l = (D - d)/2·√3, by hand; least depths t, handbook table of centre holes.
@pytest.mark.parametrize(
    ("pilot", "length", "t_a", "t_b"),
    [(1, 0.97, 1.9, 2.2), (1.6, 1.52, 2.9, 3.4), (2, 1.95, 3.7, 4.3), (2.5, 2.42, 4.6, 5.4),
     (3.15, 3.07, 5.9, 6.8), (4, 3.90, 7.4, 8.6)],
)  # fmt: skip
def test_depths(pilot: float, length: float, t_a: float, t_b: float) -> None:
    a, b = centre_hole("A", pilot), centre_hole("B", pilot)
    assert a.cone_length == pytest.approx(length, abs=0.006)
    assert (a.depth, b.depth) == (t_a, t_b)
    # Pilot and cone fit into the depth.
    assert a.pilot_depth + a.cone_length == pytest.approx(a.depth, abs=0.15)


@pytest.mark.parametrize(
    ("work", "pilot"),
    [(6, 1), (8, 1), (8.1, 1.6), (12, 1.6), (15, 2), (20, 2.5), (40, 3.15), (80, 4)],
)
def test_choice_by_work_diameter(work: float, pilot: float) -> None:
    # Guide in a handbook table: up to 8: 1; 12: 1.6; 18: 2; 25: 2.5; 40: 3.15; 80: 4.
    assert for_work(work).pilot == pilot


@given(st.floats(3.2, 80), st.sampled_from("AB"))
def test_a_face_is_left(work: float, type: str) -> None:
    try:
        hole = for_work(work, type)
    except NotHeldError:
        assert work < 4.2
    else:
        assert hole.mouth + 1 <= work


def test_refusals() -> None:
    for call in (
        lambda: centre_hole("C", 2), lambda: centre_hole("A", 3), lambda: for_work(80.1),
        lambda: for_work(2.5),
    ):  # fmt: skip
        with pytest.raises(NotHeldError):
            call()
