"""A short sample of the long suite of random pens (``tests/long/test_random_pens.py``): the same
road, the same judge, another seed."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.support.penroad import judge, random_trees

SEED, COUNT = 7, 4


@pytest.mark.cad
@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
def test_random_pens_give_proved_packages_or_clear_findings(tmp_path: Path) -> None:
    mix = [judge(t, tmp_path / str(n)) for n, t in enumerate(random_trees(COUNT, SEED))]
    assert len(mix) == COUNT
    assert any(word.startswith("packages") for word in mix), mix
