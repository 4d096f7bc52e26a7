"""Checks data/iso_261_fine.toml against the pitch table of ISO 965-1.

ISO 8765:2011, Table 1 (fine-pitch hexagon bolts, from memory): M8x1, M10x1 and M10x1.25, M12x1.5
and M12x1.25, M16x1.5, M20x1.5 and M20x2, M24x2. ISO 965-1 has a tolerance for every pitch named.
Also checks data/material_names.toml: each of its keys is a material of materials.toml.
"""

from __future__ import annotations

import pytest

from mandrelgen.standards import materials
from mandrelgen.standards.designation import coarse_pitch, parse
from mandrelgen.standards.tables import load
from mandrelgen.standards.threads import limits

FINE: dict[str, list[float]] = load("iso_261_fine")["pitches"]


@pytest.mark.parametrize(
    ("size", "pitches"),
    [("8", {1}), ("10", {1, 1.25}), ("12", {1.25, 1.5}), ("16", {1.5}), ("20", {1.5, 2}),
     ("24", {2})],
)  # fmt: skip
def test_the_fine_bolts_of_iso_8765_are_held(size: str, pitches: set[float]) -> None:
    assert pitches <= set(FINE[size])


@pytest.mark.parametrize("size", FINE)
def test_a_fine_pitch_is_finer_than_coarse_and_has_limits(size: str) -> None:
    assert FINE[size] == sorted(FINE[size], reverse=True)
    for pitch in FINE[size]:
        coarse = coarse_pitch(float(size))
        assert coarse is None or pitch < coarse
        assert limits(parse(f"M{size}x{pitch:g}"), True).pitch.min


def test_every_material_that_is_named_has_values() -> None:
    table = load("material_names")
    keys = {*table["rods"], *table["bars"], *(k for ks in table["asked"].values() for k in ks)}
    assert keys <= set(materials.names())
