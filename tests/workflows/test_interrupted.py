"""Ctrl-C while a set is published, at each of its renames and between other operations on the
disk: all of the set or nothing, whatever was there stays, and the next run makes up for it."""

from __future__ import annotations

import os
import shutil
import signal
from pathlib import Path

import pytest

from mandrelgen.archive.disk.files import TEMP_PREFIX, may_be_empty
from mandrelgen.archive.disk.store import reserve_number
from mandrelgen.archive.numbering import sweep_reserved
from mandrelgen.archive.record_files import numbers
from mandrelgen.archive.root import Archive, clear, open_root
from mandrelgen.spec.starters import starter
from mandrelgen.workflows import lifecycle
from tests.support.archived import DAY, publish_pen
from tests.support.killing import (
    DEAD,
    At,
    check_whole,
    empty_numbers,
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


def stopped(house: Path, at: At, stops: int = STOPPED) -> tuple[int, int]:
    """Exit code of a run that is interrupted, and how much of the set it left visible. What it
    left is whole, and the same command heals it."""
    root = house / "to"
    shutil.copytree(house / "full", root)
    before = kept_tree(root)
    code = run(make(house), at)
    assert code in (0, stops), at
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
    """Three fixtures, then the order: four renames. Before each; after the first and the last (what
    comes after one comes before the next)."""
    due = {1: (STOPPED, 0), 2: (STOPPED, 0), 3: (STOPPED, 0), 4: (STOPPED, 3), 5: (0, 3)}
    for n in (1, 4) if after else due:
        assert stopped(house, At(n, interrupt, ("rename",), after)) == due[n], n


def test_at_any_operation_all_of_the_set_or_nothing_is_there(house: Path) -> None:
    """A sample of them; ``tests/long/test_killing.py`` takes more."""
    all_or_nothing(house, 97)


def all_or_nothing(house: Path, step: int) -> None:
    """Stopped at every ``step``-th operation, before and after it in turn."""
    at, found = 1, []
    while True:
        code, visible = stopped(house, At(at, interrupt, after=at % 2 == 0))
        assert visible in (0, 3), at
        found.append(visible)
        if code == 0:
            break
        at += step
    assert found[0] == 0
    assert found[-1] == 3
    assert len(found) > 100 // step


SIGNALS = ("SIGTERM", "SIGHUP", "SIGQUIT", "SIGUSR1", "SIGXCPU")
# Just behind each folder that reserves one of the three numbers, and at the first rename.
EVERYWHERE = (("mkdir", 1), ("mkdir", 2), ("mkdir", 3), ("rename", 1))


@pytest.mark.parametrize(
    ("name", "places"),
    [("SIGTERM", EVERYWHERE[::2]), ("SIGHUP", EVERYWHERE[1::2]), ("SIGXCPU", EVERYWHERE[1:2])],
    ids=lambda x: x if isinstance(x, str) else "",
)
def test_a_signal_that_can_be_caught_gives_the_numbers_back(
    house: Path, name: str, places: tuple[tuple[str, int], ...]
) -> None:
    """A sample; ``tests/long/test_larger_samples.py`` sends every signal at every place."""
    gives_the_numbers_back(house, name, places)


def gives_the_numbers_back(house: Path, name: str, places: tuple[tuple[str, int], ...]) -> None:
    """The code is what a shell says of a process that such a signal ends: 128 and its number."""
    number = signal.Signals[name]

    def act() -> None:
        interrupt(number)

    before = signal.signal(number, signal.SIG_DFL)  # the suite itself may run under nohup
    try:
        for call, n in places:
            at = At(n, act, (call,), after=call == "mkdir")
            assert stopped(house, at, 128 + number) == (128 + number, 0)
    finally:
        signal.signal(number, before)


def test_a_signal_that_is_ignored_stays_ignored(house: Path) -> None:
    """As under ``nohup``."""

    def act() -> None:
        interrupt(signal.SIGHUP)

    before = signal.signal(signal.SIGHUP, signal.SIG_IGN)
    try:
        assert stopped(house, At(2, act, ("mkdir",), True)) == (0, 3)
    finally:
        signal.signal(signal.SIGHUP, before)


def test_what_a_killed_run_reserved_is_named_and_taken_back_by_the_next(house: Path) -> None:
    root = house / "to"
    assert run(make(house), At(3, names=("mkdir",), after=True)) == DEAD
    assert empty_numbers(root) == ["MG-0001", "MG-0002"]
    faults = lifecycle.archive_faults(root)
    assert [f.path for f in faults] == ["mandrelgen-archive.json", "MG-0001", "MG-0002"]
    assert "killed" in faults[1].detail
    assert run(make(house)) == 0
    assert sorted(p.name for p in root.glob("MG-*")) == ["MG-0001", "MG-0002", "MG-0003"]
    assert lifecycle.archive_faults(root) == ()


def test_what_a_living_run_reserved_is_neither_a_fault_nor_swept(tmp_path: Path) -> None:
    publish_pen(tmp_path, "bittern")
    held, archive = tmp_path / "MG-0009", open_root(tmp_path)
    into, out = os.pipe()
    pid = os.fork()
    if pid == 0:
        reserve_number(held)
        os.write(out, b"x")
        signal.pause()
    try:
        os.read(into, 1)
        assert lifecycle.archive_faults(tmp_path) == ()
        assert sweep_reserved(archive) == ()
        assert held.is_dir()
    finally:
        os.kill(pid, signal.SIGKILL)
        os.waitpid(pid, 0)
    assert [f.path for f in lifecycle.archive_faults(tmp_path)] == ["MG-0009"]
    assert sweep_reserved(archive) == ("MG-0009",)


def test_of_many_fixtures_a_sweep_lists_those_alone_that_may_be_empty(tmp_path: Path) -> None:
    for n in range(1, 6):
        (tmp_path / f"MG-{n:04d}" / "A").mkdir(parents=True)
    (tmp_path / "MG-0006").mkdir()
    (tmp_path / "MG-0007").mkdir()
    (tmp_path / "MG-0007" / "note.txt").write_text("kept by hand")
    taken = numbers(tmp_path, "MG")
    maybe = may_be_empty(tmp_path, [*taken, "MG-0099"])
    assert {"MG-0006", "MG-0007"} <= set(maybe) <= set(taken)
    if (tmp_path / "MG-0001").stat().st_nlink == 3:  # a file system that counts
        assert maybe == ("MG-0006", "MG-0007")
    assert sweep_reserved(Archive(tmp_path, "MG")) == ("MG-0006",)
    assert numbers(tmp_path, "MG") == tuple(n for n in taken if n != "MG-0006")


def test_reserving_and_sweeping_at_once_nobody_loses_a_number(tmp_path: Path) -> None:
    """Three processes reserve and give back the same few numbers, one sweeps all the while."""

    def reserve() -> None:
        for n in range(300):
            path = tmp_path / f"MG-{n % 3 + 1:04d}"
            if reserve_number(path):
                assert os.listdir(path) == []  # it is there
                (path / "A").mkdir()
                (path / "A").rmdir()
                clear(Archive(tmp_path, "MG"), [path])

    def sweep() -> None:
        for _ in range(600):
            sweep_reserved(Archive(tmp_path, "MG"))

    children = []
    for body in (reserve, reserve, reserve, sweep):
        pid = os.fork()
        if pid == 0:
            code = 1
            try:
                body()
                code = 0
            finally:
                os._exit(code)
        children.append(pid)
    assert [os.waitpid(pid, 0)[1] for pid in children] == [0] * 4
