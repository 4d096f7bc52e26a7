"""Material values against published ranges, and instrument limits.

Checks data/materials.toml, din_862.toml, din_863_1.toml and measuring_uncertainty.toml.
"""

from __future__ import annotations

import pytest

from mandrelgen.standards import measuring
from mandrelgen.standards.materials import KINDS, material, names
from mandrelgen.standards.tables import NotHeldError

# Published ranges, low and high: density g/cm³, E MPa, tensile strength MPa, expansion 1e-6/K.
# EN AW-6082: extruders' data sheets 2.70-2.71, 69 000-70 000, 310, 23.1-23.4. 11SMn30+C:
# EN 10277, 490-760. C45+N: EN ISO 683-1, at least 620. Others as text books and data sheets of
# plastics give them; steels' density, E and expansion, brass, wood and resin, silver steel,
# polyester and urethane resin, celluloid, cellulose acetate, casein: from memory; stabilised wood:
# estimate.
RANGES = {
    "11SMn30": ((7.8, 7.9), (200e3, 212e3), (490, 760), (11, 12.5)),
    "11SMnPb30": ((7.8, 7.95), (200e3, 212e3), (490, 760), (11, 12.5)),
    "C45": ((7.8, 7.9), (205e3, 212e3), (560, 850), (11, 12.5)),
    "1.4305": ((7.85, 8.05), (190e3, 200e3), (500, 750), (16, 17.5)),
    "CW614N": ((8.4, 8.55), (96e3, 102e3), (430, 500), (19, 21.5)),
    "6082-T6": ((2.70, 2.71), (69e3, 70e3), (290, 340), (23, 23.5)),
    "2011-T3": ((2.8, 2.85), (70e3, 72e3), (310, 380), (22.5, 23.5)),
    "ebonite": ((1.15, 1.68), (2000, 3000), (52, 67), (60, 90)),
    "cast-acrylic": ((1.18, 1.20), (2800, 3300), (62, 75), (65, 80)),
    "casting-resin": ((1.1, 1.3), (1000, 4000), (25, 80), (60, 120)),
    "acetal": ((1.39, 1.41), (2500, 2855), (62, 67), (104, 120)),
    "wood": ((0.6, 1.3), (8000, 20000), (50, 150), (3, 8)),
    "1.2210": ((7.75, 7.9), (205e3, 215e3), (550, 800), (10.5, 12.5)),
    "polyester-resin": ((1.1, 1.4), (2000, 4500), (35, 90), (55, 120)),
    "urethane-resin": ((1.03, 1.25), (700, 3000), (25, 80), (60, 150)),
    "celluloid": ((1.35, 1.40), (1300, 2800), (35, 70), (80, 120)),
    "cellulose-acetate": ((1.22, 1.34), (450, 2800), (12, 60), (80, 180)),
    "casein": ((1.34, 1.36), (3000, 4000), (40, 70), (40, 80)),
    "stabilised-wood": ((0.8, 1.3), (5000, 20000), (30, 150), (3, 40)),
    "PLA": ((1.22, 1.26), (3000, 4000), (35, 65), (60, 90)),
    "PETG": ((1.25, 1.29), (1800, 2400), (25, 57), (55, 90)),
    "resin": ((1.15, 1.20), (1000, 2900), (28, 73), (60, 130)),
}


def test_every_material_is_checked() -> None:
    assert set(names()) == set(RANGES)


@pytest.mark.parametrize("id", sorted(RANGES))
def test_published_ranges(id: str) -> None:
    m = material(id)
    density, modulus, tensile, expansion = RANGES[id]
    assert density[0] <= m.density <= density[1]
    assert modulus[0] <= m.youngs_modulus <= modulus[1]
    assert tensile[0] <= m.tensile_strength <= tensile[1]
    assert expansion[0] <= m.expansion <= expansion[1]
    assert m.kind in KINDS
    assert m.shear_strength < m.tensile_strength
    assert m.yield_strength <= m.tensile_strength
    assert m.confidence
    assert (m.max_temperature > 0) == (m.kind != "metal")


@pytest.mark.parametrize("id", [m for m in sorted(RANGES) if material(m).kind != "wood"])
def test_shear_modulus_is_that_of_an_isotropic_body(id: str) -> None:
    # G = E/(2 (1 + ν)), ν 0.27 to 0.46.
    m = material(id)
    assert 0.24 <= m.youngs_modulus / (2 * m.shear_modulus) - 1 <= 0.46


# EN 10277 and EN 754-2 least values (steel makers' and aluminium makers' data sheets).
def test_least_strengths() -> None:
    assert (material("11SMn30").yield_strength, material("11SMn30").tensile_strength) == (410, 490)
    assert (material("6082-T6").yield_strength, material("6082-T6").tensile_strength) == (255, 310)
    assert (material("C45").yield_strength, material("C45").tensile_strength) == (340, 620)


def test_names() -> None:
    assert material(" pla ").id == "PLA"
    with pytest.raises(NotHeldError, match="did you mean ebonite"):
        material("ebonit")


# DIN 862 and DIN 863-1 as a maker's sheet prints them.
def test_instrument_limits() -> None:
    assert measuring.caliper_limit(100) == 0.02
    assert measuring.caliper_limit(100.1) == 0.03
    assert measuring.caliper_limit(50, inside=True) == pytest.approx(0.04)
    assert measuring.micrometer_limit(25) == 0.004
    assert measuring.micrometer_limit(60) == 0.005
    with pytest.raises(NotHeldError):
        measuring.micrometer_limit(101)


def test_uncertainty_is_not_below_the_instruments_limit() -> None:
    # Common practice, no source: the figures themselves cannot be checked, only that they do not
    # undercut the permissible error of the instrument.
    assert measuring.uncertainty("caliper", "outside") >= measuring.caliper_limit(100)
    assert measuring.uncertainty("caliper", "inside") >= measuring.caliper_limit(50, inside=True)
    assert measuring.uncertainty("micrometer") >= measuring.micrometer_limit(25)
    for name in measuring.instruments():
        assert 0.002 <= measuring.uncertainty(name) <= 0.1
    with pytest.raises(NotHeldError, match="caliper"):
        measuring.uncertainty("ruler")
    with pytest.raises(NotHeldError, match="outside"):
        measuring.uncertainty("micrometer", "depth")


# ISO 14253-1:2017, proof of conformity: 10 0/−0.05 with U 0.02 accepts 9.97 to 9.98.
def test_acceptance_zone() -> None:
    assert measuring.acceptance_zone(9.95, 10.0, 0.02) == pytest.approx((9.97, 9.98))
    assert measuring.acceptance_zone(9.95, 10.0, 0.03) is None
