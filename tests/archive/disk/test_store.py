"""The door to the disk, on real files: whole or not at all, whatever fails and whenever."""

from __future__ import annotations

import contextlib
import errno
import os
import shutil
import threading
import time
from pathlib import Path

import pytest

from mandrelgen.archive.disk import store
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
    store.publish_folder(house / "new", FILES)
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
        store.publish_folder(target, FILES)
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
                store.publish_folder(house / "new", FILES)
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
        with pytest.raises(DiskError), store.staged(targets, house) as stage:
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
            store.publish_folder(target, FILES)

        code = in_child(run)
        if target.exists():
            assert {p.name: p.read_bytes() for p in target.iterdir()} == FILES
            whole += 1
            for path in target.iterdir():
                path.unlink()
            target.rmdir()
        store.sweep(house)
        assert tree(house) == before, f"call {n}"
        if code == 0:
            break
        assert code == 9
    assert n > 12
    assert whole >= 2  # after the rename, and the run that was not killed


def test_a_single_file_is_replaced_whole(house: Path) -> None:
    path = house / "note"
    store.write_file(path, b"one")
    for n in range(1, 20):
        with pytest.MonkeyPatch.context() as patch:
            count = at_each_call(patch, WRITING, n, raiser(OSError(errno.ENOSPC, "full")))
            try:
                store.write_file(path, b"two")
            except DiskError:
                assert path.read_bytes() in (b"one", b"two")
            reached = count[0] >= n
        if not reached:
            break
        assert not [p for p in house.iterdir() if p.name.startswith(store.TEMP_PREFIX)]
    assert path.read_bytes() == b"two"


def test_of_several_files_each_is_replaced_whole(house: Path) -> None:
    old, new = ({f"{n}.txt": word + bytes([n]) for n in range(9)} for word in (b"old", b"new"))
    store.write_files(house, old)
    failed = 0
    for n in range(1, 99):
        with pytest.MonkeyPatch.context() as patch:
            count = at_each_call(patch, WRITING, n, raiser(OSError(errno.EIO, "bad")))
            with contextlib.suppress(DiskError):
                store.write_files(house, new)
                assert count[0] < n
            if count[0] < n:
                break
        failed += 1
        found = {p.name: p.read_bytes() for p in house.glob("*.txt")}
        assert all(found[k] in (old[k], new[k]) for k in old)
        assert sorted(p.name for p in house.iterdir()) == [*sorted(old), "mine"]
        store.write_files(house, old)
    assert failed > 3 * len(old)
    assert {p.name: p.read_bytes() for p in house.glob("*.txt")} == new


def test_one_file_that_cannot_be_flushed_fails_them_all(
    house: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whichever it is, and on whichever thread."""
    for n in range(1, 12):
        with monkeypatch.context() as patch:
            at_each_call(patch, ("fsync",), n, raiser(OSError(errno.EIO, "bad")))
            with pytest.raises(DiskError):
                store.publish_folder(house / "new", {f"{k}.txt": b"x" for k in range(11)})
        assert not store.exists(house / "new")


def test_where_no_thread_can_be_started_files_are_flushed_one_by_one(
    house: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(thread: threading.Thread) -> None:
        raise RuntimeError("can't start new thread")

    monkeypatch.setattr(threading.Thread, "start", refused)
    count = at_each_call(monkeypatch, ("fsync",), 0, lambda: None)
    store.publish_folder(house / "new", FILES)
    assert count[0] >= len(FILES) + 2


@pytest.mark.parametrize("links", [True, False], ids=["hard links", "no hard links"])
def test_a_file_is_created_once(house: Path, monkeypatch: pytest.MonkeyPatch, links: bool) -> None:
    if not links:
        monkeypatch.setattr(os, "link", lambda *a: raiser(OSError(errno.EPERM, "no"))())
    assert store.create_file(house / "note", b"one")
    assert not store.create_file(house / "note", b"two")
    assert (house / "note").read_bytes() == b"one"
    assert sorted(p.name for p in house.iterdir()) == ["mine", "note"]


def test_short_writes_of_the_system_are_carried_on(
    house: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = os.write
    monkeypatch.setattr(os, "write", lambda fd, data: real(fd, bytes(data[:7])))
    store.publish_folder(house / "new", FILES)
    assert (house / "new" / "b.bin").read_bytes() == FILES["b.bin"]


def test_events_are_numbered_and_never_overwritten(house: Path) -> None:
    paths = [store.append_numbered(house / "events", "released", b"%d" % n) for n in range(3)]
    assert [p.name for p in paths] == [f"000{n}-released.json" for n in (1, 2, 3)]
    assert [p.read_bytes() for p in paths] == [b"0", b"1", b"2"]


def test_leftovers_of_dead_and_old_runs_are_swept_others_are_not(house: Path) -> None:
    alive = store.temp_path(house)
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
    other = house / (store.TEMP_PREFIX + f"00000000-{dead_pid}-" + "0" * 12)  # another machine
    other.write_bytes(b"x")
    foreign = house / (store.TEMP_PREFIX + "something-else")
    foreign.write_bytes(b"x")
    assert store.sweep(house) == (dead.name,)
    assert store.sweep(house, time.time() + store.OLD_AFTER + 60) == tuple(
        sorted([alive.name, other.name])
    )
    assert sorted(p.name for p in house.iterdir()) == sorted(["mine", foreign.name])


def test_the_lock_keeps_others_out_and_notices_a_lost_file(house: Path) -> None:
    path = house / "lock"
    with store.locked(path) as same:
        assert not same
    path.write_bytes(b"")
    with store.locked(path) as same:
        assert same
        path.unlink()
    path.write_bytes(b"")
    if not hasattr(os, "fork"):
        return
    out, into = os.pipe()

    def child() -> None:
        with store.locked(path):
            os.write(into, b"child")

    with store.locked(path):
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
