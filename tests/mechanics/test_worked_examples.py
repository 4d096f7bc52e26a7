"""The formulae that have a worked example: each names its source or is reckoned by hand in its
docstring. (Every example is run by ``tests/whole/test_examples.py``.)"""

from __future__ import annotations

from doctest import DocTestFinder
from importlib import import_module

import pytest

MODULES = (
    "mechanics.budget",
    "mechanics.combined",
    "mechanics.concentricity",
    "mechanics.engagement",
    "mechanics.fit",
    "mechanics.joint",
    "mechanics.play",
    "mechanics.screw",
    "mechanics.speed",
    "mechanics.strength",
    "mechanics.tailstock",
    "mechanics.walls",
    "mechanics.work_speed",
    "standards.wires",
    "workshop.turning.change_gears",
    "workshop.turning.infeed",
    "workshop.turning.leaving",
)


@pytest.mark.parametrize("name", MODULES)
def test_a_formula_shows_a_worked_example(name: str) -> None:
    found = DocTestFinder().find(import_module(f"mandrelgen.{name}"))
    assert any(t.examples for t in found)
