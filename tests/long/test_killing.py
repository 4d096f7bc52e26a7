"""`make`, `import`, `release` and `reindex` killed at every operation on the disk, one after the
other: nothing that was there is lost or changed, no half package is visible, no number is given
twice, and the same command again brings what an undisturbed run brings.

    python -m pytest tests/long/test_killing.py -n 0 -s
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.support.killing import without_drawings
from tests.support.killroads import COMMANDS, die
from tests.workflows.test_interrupted import all_or_nothing, house

__all__ = ["house"]


@pytest.mark.parametrize("command", COMMANDS)
def test_killed_at_every_operation(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, command: str
) -> None:
    without_drawings(monkeypatch)
    deaths = die(command, tmp_path, 1)
    print(f"\n{command}: died at {deaths} operations")
    assert deaths > 5


def test_stopped_at_any_operation_all_of_the_set_or_nothing_is_there(
    house: Path,
) -> None:
    all_or_nothing(house, 5)
