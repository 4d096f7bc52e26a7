"""A mandrel of one's own in another material: run as a plastic one may be, else as was said."""

from __future__ import annotations

from typing import Any

import pytest

from mandrelgen.assess.own_materials import in_material
from mandrelgen.assess.settled import designs
from mandrelgen.spec.read import read_pen, read_shop
from mandrelgen.spec.starters import starter
from tests.support.judged_pens import fixed, plug_pen
from tests.support.randompens import SHOP

CAP = 1500.0
"""The most a plastic mandrel turns, rev/min (judging.toml: from memory)."""


def judged(
    own: str, use: str = "", fastest: int = 2500
) -> dict[str, tuple[bool, float | None, str]]:
    pen = read_pen(starter("pen", "heron") + use.encode(), "heron.toml")
    shop = read_shop(starter("shop", "bench"), "shop.toml")
    lathe = shop.lathe.model_copy(update={"max_speed": fastest})
    shop = shop.model_copy(update={"lathe": lathe})
    found = in_material(pen, shop, designs(pen, shop), own)
    return {k: (v.tailstock, v.wanted_speed, v.material) for k, v in found.items()}


@pytest.mark.parametrize(
    ("use", "fastest", "speed"),
    [
        ("", 2500, CAP), ("", 900, 900.0),
        ("\n[mandrels.use]\nspeed = 400\n", 2500, 400.0),
        ("\n[mandrels.use]\nspeed = 2000\n", 2500, CAP),
        ("\n[mandrels.use]\ntailstock = false\n", 2500, CAP),
    ],
)  # fmt: skip
def test_a_plastic_one_runs_with_the_tailstock_up_at_a_speed_it_may_have(
    use: str, fastest: int, speed: float
) -> None:
    found = judged("acetal", use, fastest)
    assert len(found) == 4
    assert set(found.values()) == {(True, speed, "acetal")}


def test_a_metal_one_runs_as_was_said() -> None:
    assert set(judged("CW614N").values()) == {(False, None, "CW614N")}
    said = "\n[mandrels.use]\nspeed = 2000\ntailstock = true\n"
    assert set(judged("CW614N", said).values()) == {(True, 2000.0, "CW614N")}


def test_a_request_of_its_own_is_careful_too() -> None:
    asked = '\n[[mandrels.requests]]\nholds = "barrel.mouth"\nuse = {{ speed = {} }}\n'
    assert set(judged("acetal", asked.format(300)).values()) == {(True, 300.0, "acetal")}
    assert set(judged("acetal", asked.format(2200)).values()) == {(True, CAP, "acetal")}


@pytest.mark.parametrize(
    ("use", "request_", "speed"),
    [
        ({"speed": 400}, {}, 400.0),  # a request that says nothing of its use
        ({"speed": 400}, {"use": {"far_end": "pip", "tailstock": False}}, 400.0),
        ({"speed": 2200}, {"use": {"far_end": "pip"}}, CAP),
        ({}, {"use": {"far_end": "pip"}}, CAP), ({}, {}, CAP),
        ({"speed": 400}, {"use": {"speed": 300}}, 300.0),
    ],
)  # fmt: skip
def test_a_request_that_says_no_speed_runs_at_the_pens(
    use: dict[str, Any], request_: dict[str, Any], speed: float
) -> None:
    pen = plug_pen(use, wishes=request_)
    (d,) = fixed(pen, SHOP)
    (v,) = in_material(pen, SHOP, [d], "acetal").values()
    assert (v.tailstock, v.wanted_speed) == (True, speed)
