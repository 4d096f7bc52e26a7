"""The index: an SQLite file in the archive's cache folder, one row a revision.

It is a cache and nothing else: deleted, damaged, of another archive or another version, it is made
again from the records. What changed since is told by the journal (see `journal`); numbers that came
or went without it (a restored backup) are noticed by the root folder's time stamp. A change made by
hand *inside* a number's folder is seen by ``reindex`` only. Where the cache cannot be written the
index is made in memory, and only ``reindex`` fails. SQLite writes its own file; everything else
passes through the store.
"""

from __future__ import annotations

import contextlib
import errno
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any

from mandrelgen.archive import index_schema
from mandrelgen.archive.disk.files import (
    append,
    exists,
    is_folder,
    is_plain_file,
    list_folder,
    mark,
    remove_file,
)
from mandrelgen.archive.disk.locks import locked
from mandrelgen.archive.disk.messages import disk_error
from mandrelgen.archive.disk.store import reserve_folder
from mandrelgen.archive.index_rows import IndexRow, describe
from mandrelgen.archive.journal import CACHE, INDEX, JOURNAL, noted
from mandrelgen.archive.naming import MARKER, number_count, numbers_among
from mandrelgen.archive.record_files import numbers
from mandrelgen.archive.records import Marker, load
from mandrelgen.archive.root import Archive
from mandrelgen.core.errors import DiskError

_WAIT = 60.0  # seconds for another run that writes the index


class Index:
    """An opened index that brings itself up to date at every question; close it after use."""

    def __init__(self, archive: Archive, locked: bool = False, passing: bool = False) -> None:
        """``locked``: the caller holds the archive's lock already. ``passing``: asked between
        reservations, each of which gives the root folder another time: that alone is not written
        down, which would flush the file."""
        self.archive = archive
        self._locked = locked
        self._passing = passing
        self._path = archive.root / CACHE / INDEX
        self._seen: tuple[int, int] | None = None
        self._db: sqlite3.Connection | None = None
        self._memory: DiskError | None = None  # why it is made in memory

    def ask(self, sql: str, args: Sequence[Any] = ()) -> list[tuple[Any, ...]]:
        """The rows of one question (SELECT), up to date. Raises DiskError."""
        found: list[tuple[Any, ...]] = self._safely(lambda db: db.execute(sql, args).fetchall())
        return found

    def rows(self, sql: str, args: Sequence[Any] = ()) -> tuple[IndexRow, ...]:
        """As `ask`, for a question that selects ``COLUMNS``. Raises DiskError."""
        found: tuple[IndexRow, ...] = self._safely(
            lambda db: tuple(map(IndexRow._make, db.execute(sql, args)))
        )
        return found

    def connection(self) -> sqlite3.Connection:
        """The open file, up to date, to read only. Raises DiskError."""
        found: sqlite3.Connection = self._safely(lambda db: db)
        return found

    def faults(self) -> tuple[str, ...]:
        """The numbers that could not be read, with the reason; they are missing in the index."""
        found = self.ask("SELECT message FROM fault ORDER BY number")
        return tuple(str(message) for (message,) in found)

    def blocks(self) -> list[tuple[int, int, str]]:
        """Each block of numbers that holds fixtures, in order: how many, and what `remember` was
        told of it since one of them last changed (empty: nothing). Raises DiskError."""
        found: list[tuple[int, int, str]] = self._safely(_blocks)
        return found

    def remember(self, block: int, text: str) -> None:
        """Keep what was made of a block until one of its fixtures changes. The archive's lock is
        held. Raises DiskError."""
        self._safely(
            lambda db: db.execute("INSERT OR REPLACE INTO derived VALUES (?, ?)", (block, text))
        )

    def rebuild(self) -> int:
        """Make the whole index again from the records; how many revisions it holds.

        Raises DiskError, also if it can be made in memory only.
        """
        self._drop()
        count = int(self.ask("SELECT count(*) FROM fixture")[0][0])
        if self._memory:
            raise self._memory
        return count

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
                failed = self._failed(exc)
                if self._memory:
                    raise failed from exc
                if attempt == 1:
                    self._drop()
                else:
                    self._memory = failed
        return question(self._fresh())

    def _failed(self, exc: sqlite3.DatabaseError) -> DiskError:
        if getattr(exc, "sqlite_errorname", "") == "SQLITE_FULL":
            return disk_error(OSError(errno.ENOSPC, ""), self._path)
        return DiskError(f"The index failed: {exc}.", "Run the command again.")

    def _drop(self) -> None:
        self.close()
        for tail in ("", "-journal", "-wal", "-shm"):
            remove_file(self._path.with_name(INDEX + tail))

    def _signs(self) -> tuple[int, int]:
        """What changes when the archive does: the journal's size, the root folder's time."""
        size, _ = mark(self.archive.root / CACHE / JOURNAL)
        _, time = mark(self.archive.root)
        return size, time

    def _fresh(self) -> sqlite3.Connection:
        if self._db is not None and (self._memory or self._signs() == self._seen):
            return self._db
        if not self._memory:
            try:
                with self._held():
                    return self._update(self._open())
            except DiskError as exc:
                self.close()
                self._memory = exc
        self._db = sqlite3.connect(":memory:", isolation_level=None)
        self._fill(self._db)
        return self._db

    @contextlib.contextmanager
    def _held(self) -> Iterator[None]:
        """The archive's lock, and a cache folder to write in. Raises DiskError."""
        folder = self.archive.root / CACHE
        if not exists(self.archive.root / MARKER):
            raise DiskError(f"{self.archive.root} is no archive.", "")
        with contextlib.nullcontext() if self._locked else locked(self.archive.root):
            if not is_folder(folder):
                reserve_folder(folder)
                if not is_folder(folder):
                    raise DiskError(f"{folder} is a link or a file.", "Move it away.")
            if not exists(folder / JOURNAL):
                append(folder / JOURNAL, b"")
                remove_file(self._path)  # without its journal nobody knows how old it is
            yield

    def _open(self) -> sqlite3.Connection:
        if self._db is None or not exists(self._path):
            self.close()
            if exists(self._path) and not is_plain_file(self._path):
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
            here = set(list_folder(root))
            known = {str(n) for (n,) in db.execute(
                "SELECT number FROM fixture UNION ALL SELECT number FROM fault")}  # fmt: skip
            new = {
                n for n in numbers_among(self.archive.prefix, here - known)
                if n in changed or (is_folder(root / n) and list_folder(root / n))
            }  # fmt: skip
            again = sorted((changed & known) | (known - here) | new)
            if again or start != signs[0] or not self._passing:
                with _transaction(db):
                    self._replace(db, again)
                    self._remember(db, signs)
        self._seen = signs
        return db

    def _fill(self, db: sqlite3.Connection) -> None:
        signs = self._signs()
        with _transaction(db):
            index_schema.make_tables(db)
            self._replace(db, numbers(self.archive.root, self.archive.prefix), new=True)
            index_schema.make_indexes(db)
            self._remember(db, signs)
        db.execute(f"PRAGMA user_version = {index_schema.VERSION}")

    def _remember(self, db: sqlite3.Connection, signs: tuple[int, int]) -> None:
        rows = {"journal": signs[0], "root": signs[1], "archive": self._archive_id()}
        db.executemany(
            "INSERT OR REPLACE INTO state VALUES (?, ?)", [(k, str(v)) for k, v in rows.items()]
        )

    def _archive_id(self) -> str:
        return load(Marker, self.archive.root / MARKER).id

    def _replace(self, db: sqlite3.Connection, changed: Iterable[str], new: bool = False) -> None:
        """Read these numbers again; ``new``: the tables are empty."""
        for number in changed:
            count = number_count(self.archive.prefix, number)
            if not new:
                index_schema.remove(db, number, count)
            if count is None:
                continue
            try:
                index_schema.insert(db, count, describe(self.archive, number))
            except DiskError as exc:
                if not new:
                    index_schema.remove(db, number, count)
                db.execute("INSERT INTO fault VALUES (?, ?)", (number, f"{number}: {exc}"))


@contextlib.contextmanager
def opened(archive: Archive) -> Iterator[Index]:
    """The archive's index, closed at the end."""
    index = Index(archive)
    try:
        yield index
    finally:
        index.close()


def _blocks(db: sqlite3.Connection) -> list[tuple[int, int, str]]:
    kept = dict(db.execute("SELECT block, value FROM derived"))
    return [(b, n, str(kept.get(b, ""))) for b, n in index_schema.blocks(db)]


def _state(db: sqlite3.Connection) -> dict[str, str]:
    """What the file says of itself; nothing if it is new or of another version."""
    if db.execute("PRAGMA user_version").fetchone()[0] != index_schema.VERSION:
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


def cache_path(root: Path) -> Path:
    """Where the index of an archive stands."""
    return root / CACHE / INDEX
