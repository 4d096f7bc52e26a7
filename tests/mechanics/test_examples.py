"""The examples in the models' docstrings, each with its check value."""

from __future__ import annotations

import doctest
from importlib import import_module

import pytest

MODULES = [
    f"mandrelgen.mechanics.{name}"
    for name in (
        "budget",
        "close_fit",
        "combined",
        "concentricity",
        "engagement",
        "joint",
        "plastic",
        "practice",
        "remedy",
        "tailstock",
        "walls",
        "work_speed",
    )
] + ["mandrelgen.standards.rods"]


@pytest.mark.parametrize("name", MODULES)
def test_examples_hold(name: str) -> None:
    result = doctest.testmod(import_module(name))
    assert result.attempted > 0
    assert result.failed == 0
