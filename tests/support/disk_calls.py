"""The disk in tests: what stands on it, and failures at the n-th call of the system."""

from __future__ import annotations

import hashlib
import itertools
import os
import threading
from collections.abc import Callable
from pathlib import Path

import pytest

FILES = {"a.txt": b"alpha", "b.bin": bytes(range(256)) * 40, "empty": b""}
WRITING = ("mkdir", "open", "write", "fsync", "rename", "replace", "link")
REMOVING = ("unlink", "rmdir")
needs_fork = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")


def tree(root: Path) -> dict[str, str]:
    """Every path under ``root`` with the hash of its bytes."""
    return {
        p.relative_to(root).as_posix(): hashlib.sha256(p.read_bytes()).hexdigest()
        if p.is_file()
        else "folder"
        for p in sorted(root.rglob("*"))
    }


def furnished(root: Path) -> Path:
    """The new folder ``root`` with something foreign in it."""
    (root / "mine").mkdir(parents=True)
    (root / "mine" / "letter.txt").write_bytes(b"do not touch")
    return root


def at_each_call(
    monkeypatch: pytest.MonkeyPatch, names: tuple[str, ...], n: int, act: Callable[[], None]
) -> list[int]:
    """Do ``act`` in place of the n-th call (from 1) of these functions of os; counts the calls."""
    count, numbers = [0], itertools.count(1)  # files are flushed in threads
    for name in names:
        real = getattr(os, name)

        def wrapped(*args: object, _real: object = real, **kwargs: object) -> object:
            count[0] = number = next(numbers)
            if number == n:
                act()
            return _real(*args, **kwargs)  # type: ignore[operator]

        monkeypatch.setattr(os, name, wrapped)
    return count


def raiser(exc: BaseException) -> Callable[[], None]:
    def act() -> None:
        raise exc

    return act


# The lock library refuses a fork while another thread is forking.
_FORKING = threading.Lock()


def in_child(body: Callable[[], None]) -> int:
    """Run ``body`` in a forked child; its exit code (0: it came to its end)."""
    with _FORKING:
        pid = os.fork()
    if pid == 0:
        code = 1
        try:
            body()
            code = 0
        finally:
            os._exit(code)
    return os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])
