"""Undo and redo over a restart; a memory that cannot be written costs undo, never the work."""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path

import pytest

from mandrelgen.page.memory import DEEPEST, NAME, Memory, state_folder
from tests.support.bench_page import folder_with, served
from tests.support.page_client import client_of, put


def test_undo_and_redo_live_over_a_killed_server(tmp_path: Path) -> None:
    folder = folder_with(tmp_path / "pens", "heron")
    path = folder / "heron.toml"
    states = [path.read_bytes()]
    for value in ("66", "67"):
        with served(str(folder)) as page, page.client() as client:
            client.post("/pens/heron/pen/set", data={"key": "parts.cap.length", "value": value})
            client.post("/pens/heron/pen/set", data={"key": "parts.cap.diameter", "value": value})
            states.append(path.read_bytes())
            page.process.kill()
            page.process.wait()
    with served(str(folder)) as page, page.client() as client:
        for wanted in (None, states[1], None, states[0], None):
            client.post("/pens/heron/pen/undo")
            assert wanted is None or path.read_bytes() == wanted
        assert path.read_bytes() == states[0]
        for _ in range(4):
            client.post("/pens/heron/pen/redo")
        assert path.read_bytes() == states[2]
    assert {p.name for p in folder.iterdir() if p.suffix != ".lock"} <= {"heron.toml", "shop.toml"}


def test_two_folders_do_not_mix_their_changes(tmp_path: Path) -> None:
    for name in ("a", "b"):
        folder_with(tmp_path / name, "heron")
    with client_of(tmp_path / "a") as a, client_of(tmp_path / "b") as b:
        put(a, "parts.cap.length", "66")
        before = (tmp_path / "b/heron.toml").read_bytes()
        b.post("/pens/heron/pen/undo")
        assert (tmp_path / "b/heron.toml").read_bytes() == before
        assert b"66" in (tmp_path / "a/heron.toml").read_bytes()


def test_only_so_many_changes_are_remembered(tmp_path: Path) -> None:
    memory = Memory(tmp_path, tmp_path / "state")
    for n in range(DEEPEST + 30):
        memory.add("x.toml", b"%d" % n, b"%d" % (n + 1), f"{n}")
    assert memory.counts("x.toml") == (DEEPEST, 0)
    last = memory.next("x.toml", back=True)
    assert last is not None
    assert last.after == b"%d" % (DEEPEST + 30)


def test_a_state_folder_that_cannot_be_made_costs_undo_at_the_end_alone(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    memory = Memory(tmp_path, tmp_path / "file" / "under")
    memory.add("x.toml", b"a", b"b", "")
    assert memory.counts("x.toml") == (1, 0)


def test_a_damaged_memory_costs_undo_alone(tmp_path: Path) -> None:
    (tmp_path / NAME).write_bytes(b"no database at all" * 100)
    memory = Memory(tmp_path, tmp_path)
    memory.add("x.toml", b"a", b"b", "")
    assert memory.counts("x.toml") == (1, 0)


@pytest.mark.skipif(os.name == "nt", reason="modes are POSIX's")
def test_what_is_remembered_is_read_by_its_owner_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "mine"))
    Memory(tmp_path).add("x.toml", b"a", b"b", "")
    assert state_folder() == tmp_path / "mine" / "mandrelgen"
    assert state_folder().stat().st_mode & 0o077 == 0
    rows = sqlite3.connect(state_folder() / NAME).execute("SELECT file FROM change").fetchall()
    assert rows == [("x.toml",)]
