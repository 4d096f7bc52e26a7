"""The examples in docstrings, wherever they stand: each is run, none can rot unseen."""

from __future__ import annotations

import doctest
from importlib import import_module

import pytest

from tests.paths import ROOT

MODULES = sorted(
    ".".join(p.relative_to(ROOT).with_suffix("").parts)
    for p in (ROOT / "mandrelgen").rglob("*.py")
    if ">>> " in p.read_text(encoding="utf-8")
)


@pytest.mark.parametrize("name", MODULES)
def test_examples_hold(name: str) -> None:
    result = doctest.testmod(import_module(name))
    assert result.attempted > 0
    assert result.failed == 0
