"""What the page remembers over its end: how to take changes back, and answers not kept yet.

One SQLite file in the person's own state folder (`state_folder`), never beside the pens. Where it
cannot be written everything stays in memory: undo then ends with the program.
"""

from __future__ import annotations

import os
import sqlite3
import sys
import threading
from pathlib import Path
from typing import Any

from mandrelgen.core.frozen import dataclass

DEEPEST = 200
"""Changes that can be taken back, for each file."""
NAME = "bench-page.sqlite"
_TABLES = """
CREATE TABLE IF NOT EXISTS change (
  id INTEGER PRIMARY KEY AUTOINCREMENT, folder TEXT, file TEXT, key TEXT, before BLOB, after BLOB,
  undone INTEGER DEFAULT 0);
CREATE INDEX IF NOT EXISTS of_file ON change (folder, file, undone);
CREATE TABLE IF NOT EXISTS draft (
  folder TEXT, name TEXT, data BLOB, PRIMARY KEY (folder, name));
"""


def state_folder() -> Path:
    """Where this person's programs keep what they remember: ``XDG_STATE_HOME``, else the system's
    own place."""
    if told := os.environ.get("XDG_STATE_HOME"):
        return Path(told) / "mandrelgen"
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA", Path.home())) / "mandrelgen"
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Application Support" / "mandrelgen"
    return Path.home() / ".local" / "state" / "mandrelgen"


@dataclass(frozen=True, slots=True)
class Change:
    """A change of a file: its bytes before and after."""

    id: int
    before: bytes
    after: bytes


class Memory:
    """Changes and drafts of the files of one folder."""

    def __init__(self, folder: Path, place: Path | None = None) -> None:
        self.folder = str(folder)
        self._lock = threading.RLock()
        try:
            at = state_folder() if place is None else place
            at.mkdir(parents=True, exist_ok=True, mode=0o700)
            self._db = self._opened(str(at / NAME))
        except (OSError, sqlite3.Error, RuntimeError):  # RuntimeError: a person without a home
            self._db = self._opened(":memory:")

    @staticmethod
    def _opened(place: str) -> sqlite3.Connection:
        db = sqlite3.connect(place, timeout=5, isolation_level=None, check_same_thread=False)
        # A change lost by a power cut costs one step of undo, never the file.
        db.execute("PRAGMA journal_mode = WAL")
        db.execute("PRAGMA synchronous = NORMAL")
        db.executescript(_TABLES)
        return db

    def close(self) -> None:
        """Let go of the file."""
        with self._lock:
            self._db.close()

    def _ask(self, sql: str, *args: object) -> list[tuple[Any, ...]]:
        """Rows; a disk that fails meanwhile loses undo, not the work."""
        with self._lock:
            try:
                return self._db.execute(sql, args).fetchall()
            except sqlite3.Error:
                return []

    def add(self, file: str, before: bytes, after: bytes, key: str) -> None:
        """Remember a change; typing on in one box is one change, and what was taken back goes."""
        mine = self.folder, file
        with self._lock:
            self._ask("DELETE FROM change WHERE folder = ? AND file = ? AND undone", *mine)
            last = self._ask(
                "SELECT id, key, after FROM change WHERE folder = ? AND file = ? "
                "ORDER BY id DESC LIMIT 1", *mine,
            )  # fmt: skip
            if last and key and last[0][1:] == (key, before):
                self._ask("UPDATE change SET after = ? WHERE id = ?", after, last[0][0])
                return
            self._ask(
                "INSERT INTO change (folder, file, key, before, after) VALUES (?, ?, ?, ?, ?)",
                *mine, key, before, after,
            )  # fmt: skip
            self._ask(
                "DELETE FROM change WHERE folder = ? AND file = ? AND id <= (SELECT id FROM change "
                "WHERE folder = ? AND file = ? ORDER BY id DESC LIMIT 1 OFFSET ?)",
                *mine, *mine, DEEPEST,
            )  # fmt: skip

    def counts(self, file: str) -> tuple[int, int]:
        """How many changes can be taken back, and made again."""
        rows = self._ask(
            "SELECT count(*) FILTER (WHERE NOT undone), count(*) FILTER (WHERE undone) FROM change "
            "WHERE folder = ? AND file = ?", self.folder, file,
        )  # fmt: skip
        done, undone = rows[0] if rows else (0, 0)
        return int(done), int(undone)

    def next(self, file: str, back: bool) -> Change | None:
        """The change to be taken back, or to be made again, next."""
        order = "DESC" if back else "ASC"
        rows = self._ask(
            f"SELECT id, before, after FROM change WHERE folder = ? AND file = ? AND undone = ? "
            f"ORDER BY id {order} LIMIT 1", self.folder, file, int(not back),
        )  # fmt: skip
        return Change(*rows[0]) if rows else None

    def turn(self, change: Change, undone: bool) -> None:
        """Note that a change was taken back, or made again."""
        self._ask("UPDATE change SET undone = ? WHERE id = ?", int(undone), change.id)

    def forget(self, file: str) -> None:
        """Nothing of a file can be taken back any more, and its draft is gone."""
        with self._lock:
            self._ask("DELETE FROM change WHERE folder = ? AND file = ?", self.folder, file)
            self._ask("DELETE FROM draft WHERE folder = ? AND name = ?", self.folder, file)

    def draft(self, name: str) -> bytes:
        """What was typed and not kept yet; empty if nothing was."""
        rows = self._ask(
            "SELECT data FROM draft WHERE folder = ? AND name = ?", self.folder, name
        )  # fmt: skip
        return bytes(rows[0][0]) if rows else b""

    def set_draft(self, name: str, data: bytes) -> None:
        """Keep what was typed."""
        self._ask("INSERT OR REPLACE INTO draft VALUES (?, ?, ?)", self.folder, name, data)
