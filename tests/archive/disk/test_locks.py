"""Locks: who holds what, and what happens on a disk that knows none."""

from __future__ import annotations

import errno
import fcntl
import os
import time
from collections.abc import Callable
from pathlib import Path

import filelock
import pytest

from mandrelgen.archive.disk import locks
from mandrelgen.core.errors import DiskError

WORDS = r"(?i)no permission for|input/output error"


def refusing(number: int) -> Callable[..., None]:
    """A call of the system that ends with this error."""

    def refuses(*args: object, **named: object) -> None:
        raise OSError(number, os.strerror(number))

    return refuses


def test_a_process_is_alive_until_it_is_gone() -> None:
    assert locks.process_alive(os.getpid())
    assert locks.process_alive(1)  # somebody else's, perhaps: one may not ask it
    pid = os.fork()
    if pid == 0:
        os._exit(0)
    os.waitpid(pid, 0)
    assert not locks.process_alive(pid)
    assert not locks.process_alive(2**70)


def test_a_folder_is_locked_for_one_at_a_time_and_the_other_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(locks, "PATIENCE", 0.05)
    with locks.locked(tmp_path):
        with (
            pytest.raises(DiskError, match="Another run has been publishing"),
            locks.locked(tmp_path),
        ):
            pass  # fmt: skip
        locks.forget(tmp_path)  # held: it stays
        assert (tmp_path / locks.LOCK).exists()
    with locks.locked(tmp_path):
        pass
    locks.forget(tmp_path)
    assert not (tmp_path / locks.LOCK).exists()
    locks.forget(tmp_path)


@pytest.mark.parametrize("number", [errno.ENOLCK, errno.EOPNOTSUPP])
def test_a_disk_that_knows_no_locks_is_worked_on_without(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    refuses = refusing(number)
    monkeypatch.setattr(filelock.FileLock, "acquire", refuses)
    monkeypatch.setattr(fcntl, "flock", refuses)
    monkeypatch.setattr(filelock, "lock_descriptor", refuses)
    done = []
    with locks.locked(tmp_path):
        done.append("locked")
    file = tmp_path / "file"
    file.write_bytes(b"")
    with locks.held_file(file) as same:
        assert same
    folder = tmp_path / "reserved"
    assert not locks.claim(folder)
    folder.mkdir()
    assert locks.claim(folder)
    # Held by its youth alone.
    with locks.abandoned(folder, 3600.0) as left:
        assert not left
    old = time.time() - 7200.0
    os.utime(folder, (old, old))
    with locks.abandoned(folder, 3600.0) as left:
        assert left
    assert done


@pytest.mark.parametrize("number", [errno.EACCES, errno.EIO])
def test_another_refusal_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    refuses = refusing(number)
    monkeypatch.setattr(filelock.FileLock, "acquire", refuses)
    monkeypatch.setattr(fcntl, "flock", refuses)
    with pytest.raises(DiskError, match=WORDS), locks.locked(tmp_path):
        pass
    file = tmp_path / "file"
    file.write_bytes(b"")
    with pytest.raises(DiskError, match=WORDS), locks.held_file(file):
        pass


def test_a_file_that_is_gone_or_was_exchanged_is_not_held(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "file"
    with locks.held_file(file) as same:
        assert not same
    file.write_bytes(b"")
    flock = fcntl.flock

    def waits(fd: int, how: int) -> None:
        flock(fd, how)
        (tmp_path / "new").write_bytes(b"")
        os.replace(tmp_path / "new", file)

    monkeypatch.setattr(fcntl, "flock", waits)
    with locks.held_file(file) as same:
        assert not same
    monkeypatch.setattr(fcntl, "flock", lambda fd, how: file.unlink())
    with locks.held_file(file) as same:
        assert not same


def test_a_reserved_folder_is_one_run_s_until_it_lets_go(tmp_path: Path) -> None:
    folder = tmp_path / "reserved"
    folder.mkdir()
    assert locks.claim(folder)
    assert locks.claimed(tmp_path) == (folder,)
    with locks.abandoned(folder, 0.0) as left:
        assert not left
    locks.give_back(folder)
    locks.give_back(folder)
    assert locks.claimed(tmp_path) == ()
    with locks.abandoned(folder, 0.0) as left:
        assert left
        assert not locks.claim(folder)  # nobody can take it meanwhile
    folder.rmdir()
    assert not locks.claim(folder)
    with locks.abandoned(folder, 0.0) as left:
        assert not left


def test_a_forked_child_holds_none_of_its_parents_folders(tmp_path: Path) -> None:
    folder = tmp_path / "reserved"
    folder.mkdir()
    assert locks.claim(folder)
    pid = os.fork()
    if pid == 0:
        os._exit(len(locks.claimed(tmp_path)))
    assert os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) == 0
    assert locks.claimed(tmp_path) == (folder,)
    locks.give_back(folder)
