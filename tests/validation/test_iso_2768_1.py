"""General tolerances against printed ISO 2768-1:1989 values.

Checks data/iso_2768_1_linear.toml, iso_2768_1_edges.toml and iso_2768_1_angles.toml.
"""

from __future__ import annotations

import pytest

from mandrelgen.standards.iso_2768 import CLASSES, angle, edge, linear
from mandrelgen.standards.tables import NotHeldError, records


# ISO 2768-1, Table 1, as printed in engineering text books; band edges belong to the lower band.
@pytest.mark.parametrize(
    ("size", "cls", "half"),
    [
        (0.5, "m", 0.1), (3, "m", 0.1), (5, "m", 0.1), (6, "m", 0.1), (6.01, "m", 0.2),
        (12, "m", 0.2), (30, "m", 0.2), (31, "m", 0.3), (120, "m", 0.3), (121, "m", 0.5),
        (401, "m", 0.8), (12, "f", 0.1), (5, "f", 0.05), (60, "f", 0.15), (5, "c", 0.3),
        (60, "c", 0.8), (5, "v", 0.5), (12, "v", 1), (60, "v", 1.5),
    ],
)  # fmt: skip
def test_linear(size: float, cls: str, half: float) -> None:
    t = linear(size, cls)
    assert (t.lower, t.upper, t.note) == (size - half, size + half, f"ISO 2768-{cls}")


# ISO 2768-1, Tables 2 and 3.
@pytest.mark.parametrize(
    ("size", "cls", "half"),
    [(2, "m", 0.2), (4, "m", 0.5), (8, "m", 1), (2, "c", 0.4), (4, "v", 1), (8, "c", 2)],
)
def test_edges(size: float, cls: str, half: float) -> None:
    assert edge(size, cls).upper_deviation == pytest.approx(half)


@pytest.mark.parametrize(
    ("leg", "cls", "degrees"),
    [
        (10, "m", 1), (20, "m", 0.5), (60, "m", 1 / 3), (60, "c", 0.5), (5, "v", 3),
        (500, "f", 1 / 12), (500, "c", 1 / 6), (500, "v", 1 / 3),
    ],
)  # fmt: skip
def test_angles(leg: float, cls: str, degrees: float) -> None:
    assert angle(leg, cls) == pytest.approx(degrees)
    assert angle(leg) == angle(leg, "m")  # medium is the usual class


def test_coarser_classes_and_larger_sizes_are_wider() -> None:
    for table, grows in (
        ("iso_2768_1_linear", 1), ("iso_2768_1_edges", 1), ("iso_2768_1_angles", -1)
    ):  # fmt: skip
        rows = records(table)
        for row in rows:
            held = [row[c] for c in CLASSES if c in row]
            assert held == sorted(held)
        for cls in CLASSES:
            column = [grows * row[cls] for row in rows if cls in row]
            assert column == sorted(column)


@pytest.mark.parametrize(("size", "cls"), [(0.4, "m"), (2, "v"), (1001, "m"), (12, "x")])
def test_refusals(size: float, cls: str) -> None:
    with pytest.raises(NotHeldError):
        linear(size, cls)
    with pytest.raises(NotHeldError):
        edge(0.49)
    assert edge(0.5).width == pytest.approx(0.4)
    assert edge(3.01).width == pytest.approx(1)


def test_an_angle_needs_a_leg_a_length_may_begin_at_its_first_limit() -> None:
    """Table 3 begins over 0, Tables 1 and 2 from and with 0.5 mm."""
    with pytest.raises(NotHeldError):
        angle(0)
    assert linear(0.5).upper_deviation == pytest.approx(0.1)
    with pytest.raises(NotHeldError):
        linear(0.49)
