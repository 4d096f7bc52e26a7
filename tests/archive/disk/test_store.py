"""The door to the disk, on real files: whole or not at all, whatever fails and whenever."""

from __future__ import annotations

import contextlib
import errno
import os
import shutil
import time
from pathlib import Path

import pytest

from mandrelgen.archive.disk import locks
from mandrelgen.archive.disk.files import (
    TEMP_PREFIX,
    append_numbered,
    create_file,
    exists,
    temp_path,
    write_file,
    write_files,
)
from mandrelgen.archive.disk.locks import LOCK, forget, locked
from mandrelgen.archive.disk.store import OLD_AFTER, publish_folder, staged, sweep
from mandrelgen.core.errors import DiskError
from tests.support.disk_calls import (
    FILES,
    REMOVING,
    WRITING,
    at_each_call,
    furnished,
    in_child,
    needs_fork,
    raiser,
    tree,
)


@pytest.fixture
def house(tmp_path: Path) -> Path:
    return furnished(tmp_path / "house")


def test_a_package_appears_whole(house: Path) -> None:
    before = tree(house)
    publish_folder(house / "new", FILES)
    assert {p.name: p.read_bytes() for p in (house / "new").iterdir()} == FILES
    assert {k: v for k, v in tree(house).items() if not k.startswith("new")} == before


@pytest.mark.parametrize("kind", ["folder", "empty folder", "file", "dangling link"])
def test_what_stands_there_is_never_overwritten(house: Path, kind: str) -> None:
    target = house / "new"
    if kind == "file":
        target.write_bytes(b"old")
    elif kind == "dangling link":
        target.symlink_to(house / "nowhere")
    else:
        target.mkdir()
        if kind == "folder":
            (target / "old").write_bytes(b"old")
    before = tree(house)
    with pytest.raises(DiskError, match="already exists"):
        publish_folder(target, FILES)
    assert tree(house) == before
    assert os.path.lexists(target)


@pytest.mark.parametrize(
    "failure",
    [OSError(errno.ENOSPC, "full"), OSError(errno.EIO, "bad"), KeyboardInterrupt()],
    ids=["full", "io", "ctrl-c"],
)
def test_a_failure_at_any_call_leaves_everything_as_it_was(
    house: Path, failure: BaseException
) -> None:
    before, failed = tree(house), 0
    for n in range(1, 200):
        with pytest.MonkeyPatch.context() as patch:
            count = at_each_call(patch, WRITING, n, raiser(failure))
            try:
                publish_folder(house / "new", FILES)
            except (DiskError, KeyboardInterrupt):
                assert tree(house) == before, f"call {n}"
                failed += 1
                continue
        # No failure told: the call was not reached, or did not matter (the parent was there).
        assert {p.name: p.read_bytes() for p in (house / "new").iterdir()} == FILES
        if count[0] < n:
            break
        shutil.rmtree(house / "new")
    # open and fsync for each file, a write for those with bytes, and the folders' own calls
    assert failed >= 2 * len(FILES) + 2 + 4
    assert (house / "new" / "a.txt").read_bytes() == b"alpha"


def test_two_packages_become_visible_together_or_not_at_all(house: Path) -> None:
    before = tree(house)
    real, calls = os.rename, []

    def second_fails(src: Path, dst: Path) -> None:
        calls.append(dst)
        if len(calls) == 2:
            raise OSError(errno.EIO, "bad")
        real(src, dst)

    targets = {house / "one": FILES, house / "two": FILES}
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "rename", second_fails)
        with pytest.raises(DiskError), staged(targets, house) as stage:
            stage.commit(targets)
    assert calls[:2] == [house / "one", house / "two"]
    assert tree(house) == before


@needs_fork
def test_killed_at_any_call_nothing_half_written_is_visible(house: Path) -> None:
    before = tree(house)
    whole = 0
    for n in range(1, 200):
        target = house / "new"

        def run(n: int = n, target: Path = target) -> None:
            at_each_call(pytest.MonkeyPatch(), WRITING + REMOVING, n, lambda: os._exit(9))
            publish_folder(target, FILES)

        code = in_child(run)
        if target.exists():
            assert {p.name: p.read_bytes() for p in target.iterdir()} == FILES
            whole += 1
            for path in target.iterdir():
                path.unlink()
            target.rmdir()
        sweep(house)
        assert tree(house) == before, f"call {n}"
        if code == 0:
            break
        assert code == 9
    assert n > 12
    assert whole >= 2  # after the rename, and the run that was not killed


def test_a_single_file_is_replaced_whole(house: Path) -> None:
    path = house / "note"
    write_file(path, b"one")
    for n in range(1, 20):
        with pytest.MonkeyPatch.context() as patch:
            count = at_each_call(patch, WRITING, n, raiser(OSError(errno.ENOSPC, "full")))
            try:
                write_file(path, b"two")
            except DiskError:
                assert path.read_bytes() in (b"one", b"two")
            reached = count[0] >= n
        if not reached:
            break
        assert not [p for p in house.iterdir() if p.name.startswith(TEMP_PREFIX)]
    assert path.read_bytes() == b"two"


def test_of_several_files_each_is_replaced_whole(house: Path) -> None:
    old, new = ({f"{n}.txt": word + bytes([n]) for n in range(9)} for word in (b"old", b"new"))
    write_files(house, old)
    failed = 0
    for n in range(1, 99):
        with pytest.MonkeyPatch.context() as patch:
            count = at_each_call(patch, WRITING, n, raiser(OSError(errno.EIO, "bad")))
            with contextlib.suppress(DiskError):
                write_files(house, new)
                assert count[0] < n
            if count[0] < n:
                break
        failed += 1
        found = {p.name: p.read_bytes() for p in house.glob("*.txt")}
        assert all(found[k] in (old[k], new[k]) for k in old)
        assert sorted(p.name for p in house.iterdir()) == [*sorted(old), "mine"]
        write_files(house, old)
    assert failed > 3 * len(old)
    assert {p.name: p.read_bytes() for p in house.glob("*.txt")} == new


def test_one_file_that_cannot_be_flushed_fails_them_all(
    house: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whichever it is."""
    for n in range(1, 12):
        with monkeypatch.context() as patch:
            at_each_call(patch, ("fsync",), n, raiser(OSError(errno.EIO, "bad")))
            with pytest.raises(DiskError):
                publish_folder(house / "new", {f"{k}.txt": b"x" for k in range(11)})
        assert not exists(house / "new")


@pytest.mark.parametrize("links", [True, False], ids=["hard links", "no hard links"])
def test_a_file_is_created_once(house: Path, monkeypatch: pytest.MonkeyPatch, links: bool) -> None:
    if not links:
        monkeypatch.setattr(os, "link", lambda *a: raiser(OSError(errno.EPERM, "no"))())
    assert create_file(house / "note", b"one")
    assert not create_file(house / "note", b"two")
    assert (house / "note").read_bytes() == b"one"
    assert sorted(p.name for p in house.iterdir()) == ["mine", "note"]


def test_short_writes_of_the_system_are_carried_on(
    house: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = os.write
    monkeypatch.setattr(os, "write", lambda fd, data: real(fd, bytes(data[:7])))
    publish_folder(house / "new", FILES)
    assert (house / "new" / "b.bin").read_bytes() == FILES["b.bin"]


def test_events_are_numbered_and_never_overwritten(house: Path) -> None:
    paths = [append_numbered(house / "events", "released", b"%d" % n) for n in range(3)]
    assert [p.name for p in paths] == [f"000{n}-released.json" for n in (1, 2, 3)]
    assert [p.read_bytes() for p in paths] == [b"0", b"1", b"2"]


def test_leftovers_of_dead_and_old_runs_are_swept_others_are_not(house: Path) -> None:
    alive = temp_path(house)
    alive.mkdir()
    (alive / "x").write_bytes(b"x")
    dead_pid = os.fork() if hasattr(os, "fork") else 0
    if dead_pid == 0 and hasattr(os, "fork"):
        os._exit(0)
    os.waitpid(dead_pid, 0)
    mine = alive.name.split("-")
    dead = house / "-".join([*mine[:-2], str(dead_pid), mine[-1]])
    dead.mkdir()
    (dead / "x").write_bytes(b"x")
    other = house / (TEMP_PREFIX + f"00000000-{dead_pid}-" + "0" * 12)  # another machine
    other.write_bytes(b"x")
    foreign = house / (TEMP_PREFIX + "something-else")
    foreign.write_bytes(b"x")
    assert sweep(house) == (dead.name,)
    assert sweep(house, time.time() + OLD_AFTER + 60) == tuple(sorted([alive.name, other.name]))
    assert sorted(p.name for p in house.iterdir()) == sorted(["mine", foreign.name])


def test_the_lock_keeps_others_out_and_is_given_back_by_a_kill(house: Path) -> None:
    with locked(house):
        pass
    if not hasattr(os, "fork"):
        return
    out, into = os.pipe()

    def child() -> None:
        with locked(house):
            os.write(into, b"child")

    def killed() -> None:
        with locked(house):
            os._exit(9)

    with locked(house):
        pid = os.fork()
        if pid == 0:
            try:
                child()
            finally:
                os._exit(0)
        time.sleep(0.2)
        os.write(into, b"parent ")
    os.waitpid(pid, 0)
    assert os.read(out, 100) == b"parent child"
    assert in_child(killed) == 9
    with locked(house):
        pass


def test_who_waits_too_long_for_the_lock_is_told(
    house: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def waits() -> None:
        monkeypatch.setattr(locks, "PATIENCE", 0.05)
        with pytest.raises(DiskError, match="Another run"), locked(house):
            raise AssertionError

    with locked(house):
        assert in_child(waits) == 0


def test_a_lock_that_founded_nothing_is_forgotten_unless_it_is_held(house: Path) -> None:
    with locked(house):
        assert in_child(lambda: forget(house)) == 0
        assert exists(house / LOCK)
    forget(house)
    assert not exists(house / LOCK)
    forget(house)
