"""The index: an SQLite file in the archive's cache folder, one row a revision.

It is a cache and nothing else: deleted, damaged, of another archive or another version, it is made
again from the records. What changed since is told by the journal (see `journal`); numbers that came
or went without it (a restored backup) are noticed by the root folder's time stamp. A change made by
hand *inside* a number's folder is seen by ``reindex`` only. Where the cache cannot be written the
index is made in memory. SQLite writes its own file; everything else passes through the store.
"""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any

from mandrelgen import cachedisk, store
from mandrelgen.archive.describe import Row, describe, row_from_json
from mandrelgen.archive.index import numbers
from mandrelgen.archive.journal import CACHE, INDEX, JOURNAL, noted
from mandrelgen.archive.naming import MARKER
from mandrelgen.archive.records import Marker, load
from mandrelgen.archive.root import Archive
from mandrelgen.errors import DiskError

VERSION = 1
_WAIT = 60.0  # seconds for another run that writes the index
_TABLES = """
DROP TABLE IF EXISTS fixture; DROP TABLE IF EXISTS thread; DROP TABLE IF EXISTS size;
DROP TABLE IF EXISTS fault; DROP TABLE IF EXISTS state;
CREATE TABLE fixture (
  id INTEGER PRIMARY KEY, number TEXT, place INTEGER, status TEXT, newest INTEGER, kind TEXT,
  pen TEXT, part TEXT, end TEXT, role TEXT, date TEXT, material TEXT, collet TEXT, owned INTEGER,
  pen_hash TEXT, folder TEXT, words TEXT, row TEXT);
CREATE TABLE thread (
  fixture INTEGER, diameter REAL, pitch REAL, starts INTEGER, left_hand INTEGER, external INTEGER);
CREATE TABLE size (fixture INTEGER, name TEXT, low REAL, high REAL);
CREATE TABLE fault (number TEXT PRIMARY KEY, message TEXT);
CREATE TABLE state (key TEXT PRIMARY KEY, value TEXT);
CREATE INDEX fixture_number ON fixture (number);
CREATE INDEX fixture_pen ON fixture (pen, part);
CREATE INDEX thread_numbers ON thread (diameter, pitch, starts, left_hand, external);
CREATE INDEX thread_fixture ON thread (fixture);
CREATE INDEX size_name ON size (name, low);
CREATE INDEX size_fixture ON size (fixture);
"""


class Index:
    """An opened index that brings itself up to date at every question; close it after use."""

    def __init__(self, archive: Archive) -> None:
        self.archive = archive
        self._path = archive.root / CACHE / INDEX
        self._seen: tuple[int, int] | None = None
        self._db: sqlite3.Connection | None = None
        self._memory = False

    def ask(self, sql: str, args: Sequence[Any] = ()) -> list[tuple[Any, ...]]:
        """The rows of one question (SELECT), up to date. Raises DiskError."""
        found: list[tuple[Any, ...]] = self._safely(lambda db: db.execute(sql, args).fetchall())
        return found

    def rows(self, sql: str, args: Sequence[Any] = ()) -> tuple[Row, ...]:
        """As `ask`, for a question that selects the column ``row``. Raises DiskError."""
        found: tuple[Row, ...] = self._safely(
            lambda db: tuple(_revived(text) for (text,) in db.execute(sql, args))
        )
        return found

    def faults(self) -> tuple[str, ...]:
        """The numbers that could not be read, with the reason; they are missing in the index."""
        found = self.ask("SELECT message FROM fault ORDER BY number")
        return tuple(str(message) for (message,) in found)

    def rebuild(self) -> int:
        """Make the whole index again from the records; how many revisions it holds."""
        self._drop()
        return int(self.ask("SELECT count(*) FROM fixture")[0][0])

    def close(self) -> None:
        """Close the file."""
        if self._db is not None:
            self._db.close()
        self._db, self._seen = None, None

    def _safely(self, question: Any) -> Any:
        for attempt in (1, 2):
            try:
                return question(self._fresh())
            except sqlite3.DatabaseError as exc:
                # Damaged, or not writable here: once more with a new file, then in memory.
                self.close()
                if self._memory:
                    raise DiskError(f"The index failed: {exc}.", "Run the command again.") from exc
                if attempt == 1:
                    self._drop()
                else:
                    self._memory = True
        return question(self._fresh())

    def _drop(self) -> None:
        self.close()
        for tail in ("", "-journal", "-wal", "-shm"):
            store.remove_file(self._path.with_name(INDEX + tail))

    def _signs(self) -> tuple[int, int]:
        """What changes when the archive does: the journal's size, the root folder's time."""
        size, _ = cachedisk.mark(self.archive.root / CACHE / JOURNAL)
        _, time = cachedisk.mark(self.archive.root)
        return size, time

    def _fresh(self) -> sqlite3.Connection:
        if self._db is not None and (self._memory or self._signs() == self._seen):
            return self._db
        if not self._memory:
            try:
                with self._held():
                    return self._update(self._open())
            except DiskError:
                self.close()
                self._memory = True
        self._db = sqlite3.connect(":memory:", isolation_level=None)
        self._fill(self._db)
        return self._db

    @contextlib.contextmanager
    def _held(self) -> Iterator[None]:
        """The archive's lock, and a cache folder to write in. Raises DiskError."""
        folder = self.archive.root / CACHE
        with store.locked(self.archive.root / MARKER) as same:
            if not same:
                raise DiskError(f"{self.archive.root} is no archive.", "")
            if not store.is_folder(folder):
                store.reserve_folder(folder)
            if not store.exists(folder / JOURNAL):
                cachedisk.append(folder / JOURNAL, b"")
                store.remove_file(self._path)  # without its journal nobody knows how old it is
            yield

    def _open(self) -> sqlite3.Connection:
        if self._db is None or not store.exists(self._path):
            self.close()
            if store.exists(self._path) and not store.is_plain_file(self._path):
                raise DiskError(f"{self._path} is not a file.", "Move it away.")
            self._db = sqlite3.connect(self._path, timeout=_WAIT, isolation_level=None)
        return self._db

    def _update(self, db: sqlite3.Connection) -> sqlite3.Connection:
        """Bring the file up to date; the archive's lock is held. Raises sqlite3.DatabaseError."""
        signs, root = self._signs(), self.archive.root
        state = _state(db)
        same = state.get("archive") == self._archive_id()
        start = int(state.get("journal", -1)) if same else -1
        if not 0 <= start <= signs[0]:
            self._fill(db)
        elif (start, state.get("root")) != (signs[0], str(signs[1])):
            changed, _ = noted(root, start)
            here = set(numbers(root, self.archive.prefix))
            known = {str(n) for (n,) in db.execute(
                "SELECT DISTINCT number FROM fixture UNION SELECT number FROM fault")}  # fmt: skip
            empty = {
                n for n in here - known
                if not store.is_folder(root / n) or not store.list_folder(root / n)
            }  # fmt: skip
            with _transaction(db):
                self._replace(db, sorted((changed & (here | known)) | (here ^ known) - empty))
                self._remember(db, signs)
        self._seen = signs
        return db

    def _fill(self, db: sqlite3.Connection) -> None:
        signs = self._signs()
        with _transaction(db):
            for statement in _TABLES.split(";"):
                db.execute(statement)
            self._replace(db, numbers(self.archive.root, self.archive.prefix))
            self._remember(db, signs)
        db.execute(f"PRAGMA user_version = {VERSION}")

    def _remember(self, db: sqlite3.Connection, signs: tuple[int, int]) -> None:
        rows = {"journal": signs[0], "root": signs[1], "archive": self._archive_id()}
        db.executemany(
            "INSERT OR REPLACE INTO state VALUES (?, ?)", [(k, str(v)) for k, v in rows.items()]
        )

    def _archive_id(self) -> str:
        return load(Marker, self.archive.root / MARKER).id

    def _replace(self, db: sqlite3.Connection, changed: Iterable[str]) -> None:
        for number in changed:
            for table in ("thread", "size"):
                db.execute(
                    f"DELETE FROM {table} WHERE fixture IN "
                    "(SELECT id FROM fixture WHERE number = ?)", (number,),
                )  # fmt: skip
            db.execute("DELETE FROM fixture WHERE number = ?", (number,))
            db.execute("DELETE FROM fault WHERE number = ?", (number,))
            try:
                for place, row in enumerate(describe(self.archive, number)):
                    _insert(db, row, place)
            except DiskError as exc:
                db.execute("INSERT INTO fault VALUES (?, ?)", (number, f"{number}: {exc}"))


@contextlib.contextmanager
def opened(archive: Archive) -> Iterator[Index]:
    """The archive's index, closed at the end."""
    index = Index(archive)
    try:
        yield index
    finally:
        index.close()


def _revived(text: str) -> Row:
    try:
        return row_from_json(text)
    except (ValueError, KeyError, TypeError, AttributeError) as exc:
        raise sqlite3.DatabaseError("a row is damaged") from exc


def _state(db: sqlite3.Connection) -> dict[str, str]:
    """What the file says of itself; nothing if it is new or of another version."""
    if db.execute("PRAGMA user_version").fetchone()[0] != VERSION:
        return {}
    return {str(k): str(v) for k, v in db.execute("SELECT key, value FROM state")}


@contextlib.contextmanager
def _transaction(db: sqlite3.Connection) -> Iterator[None]:
    db.execute("BEGIN IMMEDIATE")
    try:
        yield
    except BaseException:
        with contextlib.suppress(sqlite3.Error):
            db.execute("ROLLBACK")
        raise
    db.execute("COMMIT")


def _insert(db: sqlite3.Connection, row: Row, place: int) -> None:
    fixture = db.execute(
        "INSERT INTO fixture VALUES (NULL, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (
            row.number, place, row.status, row.newest, row.kind, row.pen, row.part, row.end,
            row.role, row.date, row.material.casefold(), row.collet.casefold(), row.owned,
            row.pen_hash, row.folder, row.text, row.to_json(),
        ),
    ).lastrowid  # fmt: skip
    db.executemany(
        "INSERT INTO thread VALUES (?, ?, ?, ?, ?, ?)",
        [(fixture, t.diameter, t.pitch, t.starts, t.left_hand, t.external) for t in row.threads],
    )
    db.executemany(
        "INSERT INTO size VALUES (?, ?, ?, ?)",
        [(fixture, s.name, s.low, s.high) for s in row.sizes],
    )


def cache_path(root: Path) -> Path:
    """Where the index of an archive stands."""
    return root / CACHE / INDEX
