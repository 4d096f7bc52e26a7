"""Commands that die at one operation on the disk, as by kill -9: a child process whose doors to
the disk are counted and which ends there, without any clearing up.

Counted are the functions of ``os`` that write (shutil's too) and every statement to SQLite, which
writes the index by itself.
"""

from __future__ import annotations

import itertools
import json
import os
import shutil
import signal
import sqlite3
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from mandrelgen.archive import index
from mandrelgen.archive.disk.files import TEMP_PREFIX, exists
from mandrelgen.archive.journal import CACHE
from mandrelgen.archive.naming import MARKER, prefix_of
from mandrelgen.archive.root import open_root
from mandrelgen.archive.verify import RESERVED, verify
from mandrelgen.cli.app import main
from mandrelgen.files.formats import HOME, name_of
from mandrelgen.workflows import cards, order, package
from mandrelgen.workflows.build import Build
from mandrelgen.workflows.package import Package
from tests.support.disk_calls import REMOVING, WRITING, in_child, tree

DEAD = 137  # what a shell says of a process that was killed by signal 9


def drawn(build: Build, formats: tuple[str, ...]) -> Package:
    """A few bytes under each name, of which nothing is proved."""
    there = (f for f in formats if f not in HOME or build.own is not None)
    files = {name_of(build, f): f"{f} {build.issue}".encode() for f in there}
    return Package(files, {name: {} for name in files})


def modelled(build: Build, formats: tuple[str, ...], deep: bool) -> Package:
    """A few bytes under each name."""
    return drawn(build, formats)


def carded(checked: Any, words: Any, numbers: Any, executor: Any) -> dict[str, bytes]:
    """A pen's cards without drawings."""
    return {"route-card.pdf": f"{sorted(numbers.items())}".encode()}


def ordered(
    checked: Any, builds: Any, entries: Any, date: str, id: str, executor: Any, before: str
) -> Any:
    """An order without drawings."""
    return {"cover.pdf": f"{id} {date}".encode(), "request.pdf": f"request{before}".encode()}


def without_drawings(patch: pytest.MonkeyPatch) -> None:
    """In place of every drawing and model a few bytes under its name: only the disk is worked."""
    patch.setattr(package, "draw", drawn)
    patch.setattr(package, "model", modelled)
    patch.setattr(package, "load", lambda *_: None)
    patch.setattr(order, "order_files", ordered)
    patch.setattr(cards, "card_files", carded)


def die() -> None:
    """As by kill -9."""
    os._exit(DEAD)


def interrupt(number: int = signal.SIGINT) -> None:
    """Ctrl-C, or another signal."""
    os.kill(os.getpid(), number)


def hear_ctrl_c() -> None:
    """In a command's process before it begins: Ctrl-C reaches it however the tests were started (a
    shell's job in the background ignores it, and all that it starts)."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


@dataclass(frozen=True)
class At:
    """What happens at the n-th (from 1) of the operations ``names``: in its place, or if ``after``
    is set, behind it."""

    n: int
    act: Callable[[], None] = die
    names: tuple[str, ...] = WRITING + REMOVING
    after: bool = False


def run(args: list[str], at: At | None = None) -> int:
    """The command's exit code; ``at``: what happens to it on the way."""

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


def _arm(at: At) -> None:
    signal.signal(signal.SIGINT, signal.default_int_handler)
    numbers = itertools.count(1)  # files are flushed in threads

    def step() -> None:
        if next(numbers) == at.n:
            at.act()

    def counted(real: Callable[..., Any]) -> Callable[..., Any]:
        def wrapped(*args: Any, **kwargs: Any) -> Any:
            if not at.after:
                step()
            result = real(*args, **kwargs)
            if at.after:
                step()
            return result

        return wrapped

    for name in at.names:
        setattr(os, name, counted(getattr(os, name)))
    if at.names != WRITING + REMOVING:
        return

    class Counted(sqlite3.Connection):
        execute = counted(sqlite3.Connection.execute)
        executemany = counted(sqlite3.Connection.executemany)

    def connect(*args: Any, **kwargs: Any) -> sqlite3.Connection:
        return sqlite3.connect(*args, factory=Counted, **kwargs)

    index.sqlite3 = SimpleNamespace(  # type: ignore[attr-defined]
        **{n: getattr(sqlite3, n) for n in dir(sqlite3) if n != "connect"}, connect=connect
    )


def kept_tree(root: Path) -> dict[str, str]:
    """Every path and hash of an archive but those of the cache, which may go at any time."""
    return {k: v for k, v in tree(root).items() if not k.startswith(CACHE)}


def records(root: Path) -> Iterator[tuple[str, dict[str, Any]]]:
    """Folder and record of every published revision."""
    for path in sorted(root.glob("*/*/record.json")):
        yield path.parent.relative_to(root).as_posix(), json.loads(path.read_bytes())


def told(root: Path) -> list[str]:
    """Every event of an archive by its number, place and kind: none is lost, none said twice."""
    return sorted(p.relative_to(root).as_posix() for p in root.glob("*/events/*.json"))


def empty_numbers(root: Path) -> list[str]:
    """The numbers that are reserved and hold nothing."""
    return sorted(n for n in os.listdir(root) if prefix_of(n) and not os.listdir(root / n))


def check_whole(root: Path, before: dict[str, str], killed: bool = False) -> None:
    """Nothing that was there is lost or changed; what is visible is whole; every slot has one
    number and every number one slot. ``killed``: reserved numbers may have stayed empty."""
    after = kept_tree(root)
    assert {k: after.get(k) for k in before} == before
    if not exists(root / MARKER):
        assert not list(records(root))
        assert killed or empty_numbers(root) == []
        return
    faults = verify(open_root(root))
    assert [f.path for f in faults] == (empty_numbers(root) if killed else []), faults
    assert {f.detail for f in faults} <= {RESERVED}, faults
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
    said = told(undisturbed)
    deaths, at = 0, 1
    while True:
        root = house / str(at)
        lay(root)
        before = kept_tree(root)
        code = run(args(root), At(at))
        check_whole(root, before, killed=code != 0)
        if code == 0:
            return deaths
        assert code == DEAD, f"operation {at}: code {code}"
        deaths += 1
        assert run(args(root)) == 0, f"after operation {at}"
        # What was swept is the next run's to give again; these three ask for no number.
        check_whole(root, before, killed=args(root)[0] in ("release", "book", "receive"))
        assert told(root) == said, f"after operation {at}"
        assert sorted(json.dumps(r["slot"]) for _, r in records(root)) == wanted, at
        left = [n for n in os.listdir(root) if n.startswith(TEMP_PREFIX)]
        assert left == [], f"after operation {at}"
        shutil.rmtree(root)
        at += every
