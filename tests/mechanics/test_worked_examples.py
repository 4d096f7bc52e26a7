"""The formulae's worked examples: each names its source or is reckoned by hand in its docstring."""

from __future__ import annotations

import doctest
import importlib

import pytest

MODULES = (
    "mechanics.fit",
    "mechanics.joint",
    "mechanics.play",
    "mechanics.screw",
    "mechanics.speed",
    "mechanics.strength",
    "standards.wires",
    "workshop.turning.change_gears",
    "workshop.turning.infeed",
    "workshop.turning.threading",
)


@pytest.mark.parametrize("name", MODULES)
def test_the_worked_examples_of_a_module_come_out(name: str) -> None:
    result = doctest.testmod(importlib.import_module(f"mandrelgen.{name}"))
    assert result.attempted > 0
    assert result.failed == 0
