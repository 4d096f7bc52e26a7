"""A command that is killed at an operation on the disk: a short sample of
``tests/long/test_killing.py``, which takes every operation."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.support.killing import without_drawings
from tests.support.killroads import die

EVERY = {
    "make": 110,
    "make, new archive": 110,
    "import": 13,
    "release": 5,
    "receive": 19,
    "reindex": 13,
}
pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")


@pytest.mark.parametrize("command", EVERY)
def test_killed_anywhere_nothing_is_lost_and_the_next_run_works(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, command: str
) -> None:
    without_drawings(monkeypatch)
    assert die(command, tmp_path, EVERY[command]) >= 3
