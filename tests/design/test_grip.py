"""The collet on the shelf is carried as a value, not read back from what paper calls it."""

from __future__ import annotations

import pytest

from mandrelgen.design.shank import grips
from mandrelgen.spec.shop import Shop
from mandrelgen.standards import iso_15488
from mandrelgen.standards.tables import NotHeldError


def shelf(system: str, **more: float) -> Shop:
    return Shop.model_validate(
        {"schema": 1, "collets": [{"system": system, "sizes": [8, 10], **more}]}
    )


def test_a_grip_knows_the_size_of_its_system() -> None:
    # ISO 15488:2003, Table 2: size 25 has the nut thread M32×1.5.
    for grip in grips(shelf("ISO 15488-25")):
        assert grip.system is not None
        assert (grip.system.size, grip.system.nut_diameter) == (25, 32.0)


def test_a_system_of_another_name_has_none() -> None:
    assert [g.system for g in grips(shelf("draw-in", length=30, closes=0.2))] == [None, None]
    assert iso_15488.of_system("ISO 15488-wide") is None


def test_a_size_the_standard_has_not_is_told() -> None:
    with pytest.raises(NotHeldError, match="17"):
        iso_15488.of_system("ISO 15488-17")
