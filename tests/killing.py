"""Commands that die at one operation on the disk, as by kill -9: a child process whose doors to
the disk are counted and which ends there, without any clearing up.

Counted are the functions of ``os`` that write (shutil's too) and every statement to SQLite, which
writes the index by itself.
"""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from mandrelgen import making, ordering, store
from mandrelgen.archive import records_index
from mandrelgen.archive.journal import CACHE
from mandrelgen.archive.naming import MARKER
from mandrelgen.archive.root import open_root
from mandrelgen.archive.verify import verify
from mandrelgen.cli import main
from tests.test_store import REMOVING, WRITING, in_child, tree

DEAD = 137  # what a shell says of a process that was killed by signal 9


def without_drawings(patch: pytest.MonkeyPatch) -> None:
    """In place of every drawing and model a few bytes under its name: only the disk is worked."""

    def written(build: Any, formats: tuple[str, ...]) -> dict[str, bytes]:
        return {making.name_of(build, f): f"{f} {build.issue}".encode() for f in formats}

    def ordered(checked: Any, builds: Any, entries: Any, date: str, id: str) -> dict[str, bytes]:
        return {"cover.pdf": f"{id} {date}".encode(), "request.pdf": b"request"}

    patch.setattr(making, "write", written)
    patch.setattr(making, "_proved", lambda *_: {})
    patch.setattr(making, "_crowded", lambda *_: [])
    patch.setattr(ordering, "order_files", ordered)


def run(args: list[str], at: int | None = None) -> int:
    """The command's exit code; with ``at`` it dies in place of that operation (from 1)."""

    def body() -> None:
        null = os.open(os.devnull, os.O_WRONLY)
        os.dup2(null, 1)
        os.dup2(null, 2)
        if at is not None:
            _arm(at)
        try:
            main(args, prog_name="mandrelgen")
        except SystemExit as end:
            os._exit(int(end.code or 0))

    return in_child(body)


def _arm(at: int) -> None:
    count = 0

    def step() -> None:
        nonlocal count
        count += 1
        if count == at:
            os._exit(DEAD)

    def counted(real: Callable[..., Any]) -> Callable[..., Any]:
        def wrapped(*args: Any, **kwargs: Any) -> Any:
            step()
            return real(*args, **kwargs)

        return wrapped

    for name in WRITING + REMOVING:
        setattr(os, name, counted(getattr(os, name)))

    class Counted(sqlite3.Connection):
        execute = counted(sqlite3.Connection.execute)
        executemany = counted(sqlite3.Connection.executemany)

    def connect(*args: Any, **kwargs: Any) -> sqlite3.Connection:
        return sqlite3.connect(*args, factory=Counted, **kwargs)

    records_index.sqlite3 = SimpleNamespace(  # type: ignore[attr-defined]
        **{n: getattr(sqlite3, n) for n in dir(sqlite3) if n != "connect"}, connect=connect
    )


def kept_tree(root: Path) -> dict[str, str]:
    """Every path and hash of an archive but those of the cache, which may go at any time."""
    return {k: v for k, v in tree(root).items() if not k.startswith(CACHE)}


def records(root: Path) -> Iterator[tuple[str, dict[str, Any]]]:
    """Folder and record of every published revision."""
    for path in sorted(root.glob("*/*/record.json")):
        yield path.parent.relative_to(root).as_posix(), json.loads(path.read_bytes())


def check_whole(root: Path, before: dict[str, str]) -> None:
    """Nothing that was there is lost or changed; what is visible is whole; every slot has one
    number and every number one slot."""
    after = kept_tree(root)
    assert {k: after.get(k) for k in before} == before
    if not store.exists(root / MARKER):
        assert not list(records(root))
        return
    assert verify(open_root(root)) == ()
    found = {(folder.split("/")[0], json.dumps(r["slot"])) for folder, r in records(root)}
    assert max(Counter(number for number, _ in found).values(), default=1) == 1
    assert max(Counter(slot for _, slot in found).values(), default=1) == 1


def killed_everywhere(
    args: Callable[[Path], list[str]], lay: Callable[[Path], None], house: Path, every: int = 1
) -> int:
    """Run a command on a fresh copy of an archive and let it die at the first operation, the one
    ``every`` further on, and so on until it lives; after each death the same command again must
    bring what an undisturbed run brings. Returns how often it died."""
    undisturbed = house / "undisturbed"
    lay(undisturbed)
    assert run(args(undisturbed)) == 0
    wanted = sorted(json.dumps(r["slot"]) for _, r in records(undisturbed))
    deaths, at = 0, 1
    while True:
        root = house / str(at)
        lay(root)
        before = kept_tree(root)
        code = run(args(root), at)
        check_whole(root, before)
        if code == 0:
            return deaths
        assert code == DEAD, f"operation {at}: code {code}"
        deaths += 1
        assert run(args(root)) == 0, f"after operation {at}"
        check_whole(root, before)
        assert sorted(json.dumps(r["slot"]) for _, r in records(root)) == wanted, at
        left = [n for n in os.listdir(root) if n.startswith(store.TEMP_PREFIX)]
        assert left == [], f"after operation {at}"
        shutil.rmtree(root)
        at += every
