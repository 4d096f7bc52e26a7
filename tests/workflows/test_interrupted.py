"""Ctrl-C while a set is published, at each of its renames and between other operations on the
disk: all of the set or nothing, whatever was there stays, and the next run makes up for it."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from mandrelgen.archive.disk.files import TEMP_PREFIX
from mandrelgen.spec.starters import starter
from tests.support.archived import DAY, publish_pen
from tests.support.killing import (
    At,
    check_whole,
    interrupt,
    kept_tree,
    records,
    run,
    without_drawings,
)

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
STOPPED = 130


@pytest.fixture
def house(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An archive ``full`` with the bittern's fixtures, the wren's pen file and a shop."""
    without_drawings(monkeypatch)
    publish_pen(tmp_path / "full", "bittern")
    (tmp_path / "pen.toml").write_bytes(starter("pen", "wren"))
    (tmp_path / "shop.toml").write_bytes(starter("shop", "bench"))
    return tmp_path


def make(house: Path) -> list[str]:
    to = str(house / "to")
    return ["make", str(house / "pen.toml"), "--again", "--date", DAY, "--to", to]


def wrens(house: Path) -> int:
    """How many of the wren's fixtures are visible."""
    return sum(r["slot"]["pen"] == "wren" for _, r in records(house / "to"))


def stopped(house: Path, at: At) -> tuple[int, int]:
    """Exit code of a run that is interrupted, and how much of the set it left visible. What it
    left is whole, and the same command heals it."""
    root = house / "to"
    shutil.copytree(house / "full", root)
    before = kept_tree(root)
    code = run(make(house), at)
    assert code in (0, STOPPED), at
    check_whole(root, before)
    visible = wrens(house)
    assert run(make(house)) == 0, at
    check_whole(root, before)
    assert wrens(house) == 3, at
    assert not [n for n in os.listdir(root) if n.startswith(TEMP_PREFIX)], at
    shutil.rmtree(root)
    return code, visible


@pytest.mark.parametrize("after", [False, True], ids=["before", "after"])
def test_between_two_renames_of_a_set_it_is_taken_back(house: Path, after: bool) -> None:
    """Three fixtures, then the order: four renames."""
    found = [stopped(house, At(n, interrupt, ("rename",), after)) for n in (1, 2, 3, 4, 5)]
    codes, visible = zip(*found, strict=True)
    assert codes == (STOPPED,) * 4 + (0,)
    assert visible == (0, 0, 0, 3, 3)


def test_at_any_operation_all_of_the_set_or_nothing_is_there(house: Path) -> None:
    at, found = 1, []
    while True:
        code, visible = stopped(house, At(at, interrupt, after=at % 2 == 0))
        assert visible in (0, 3), at
        found.append(visible)
        if code == 0:
            break
        at += 13
    assert found[0] == 0
    assert found[-1] == 3
    assert len(found) > 8
