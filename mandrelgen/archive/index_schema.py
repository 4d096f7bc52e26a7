"""The tables of the index: what a question is asked of, and how a row is put in and taken out.

The columns of ``fixture`` are the fields of a `Row` and what questions need beside them, so that
an answer is one indexed query and nothing has to be read or decoded for it. The key of a row is
its number's count and its place among the number's revisions: the order of the list.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable

from mandrelgen.archive.index_rows import IndexRow

VERSION = 7
# Of the alias ``f``: what `Row` is made from.
COLUMNS = ", ".join(f"f.{name}" for name in IndexRow._fields)
# Revisions and drafts of one number that keys have room for.
_ROOM = 1 << 20
BLOCK = 100
"""Running numbers in a block: what was made of a block is forgotten when one of them changes."""
_TABLES = """
DROP TABLE IF EXISTS fixture; DROP TABLE IF EXISTS thread; DROP TABLE IF EXISTS size;
DROP TABLE IF EXISTS fault; DROP TABLE IF EXISTS state; DROP TABLE IF EXISTS derived;
CREATE TABLE fixture (
  id INTEGER PRIMARY KEY, number TEXT, revision TEXT, draft INTEGER, folder TEXT, status TEXT,
  newest INTEGER, kind TEXT, title TEXT, pen TEXT, part TEXT, end TEXT, role TEXT, date TEXT,
  material TEXT, collet TEXT, checked TEXT, verdict TEXT, owned INTEGER, state TEXT,
  design_hash TEXT, pen_hash TEXT, text TEXT, threads_json TEXT, sizes_json TEXT,
  material_key TEXT, collet_key TEXT, spigot REAL, collar REAL);
CREATE TABLE thread (
  fixture INTEGER, diameter REAL, pitch REAL, starts INTEGER, left_hand INTEGER, external INTEGER);
CREATE TABLE size (fixture INTEGER, name TEXT, low REAL, high REAL);
CREATE TABLE fault (number TEXT PRIMARY KEY, message TEXT);
CREATE TABLE state (key TEXT PRIMARY KEY, value TEXT);
CREATE TABLE derived (block INTEGER PRIMARY KEY, value TEXT)
"""
# Made after the rows of a whole new index: sorting once is quicker than 100,000 insertions.
_INDEXES = """
CREATE INDEX IF NOT EXISTS fixture_slot ON fixture (pen, part, end, role);
CREATE INDEX IF NOT EXISTS fixture_design ON fixture (design_hash);
CREATE INDEX IF NOT EXISTS fixture_kind ON fixture (kind, spigot);
CREATE INDEX IF NOT EXISTS fixture_part ON fixture (part);
CREATE INDEX IF NOT EXISTS fixture_status ON fixture (status);
CREATE INDEX IF NOT EXISTS fixture_date ON fixture (date);
CREATE INDEX IF NOT EXISTS thread_numbers
  ON thread (diameter, pitch, starts, left_hand, external, fixture);
CREATE INDEX IF NOT EXISTS thread_fixture ON thread (fixture);
CREATE INDEX IF NOT EXISTS size_name ON size (name, low, high, fixture);
CREATE INDEX IF NOT EXISTS size_fixture ON size (fixture);
ANALYZE
"""
_INSERT = f"INSERT INTO fixture VALUES ({', '.join('?' * (len(IndexRow._fields) + 5))})"


def make_tables(db: sqlite3.Connection) -> None:
    """Empty tables, whatever was there."""
    _run(db, _TABLES)


def make_indexes(db: sqlite3.Connection) -> None:
    """What makes questions quick; those there are stay."""
    _run(db, _INDEXES)


def _run(db: sqlite3.Connection, script: str) -> None:
    for statement in script.split(";"):
        db.execute(statement)


def remove(db: sqlite3.Connection, number: str, count: int | None) -> None:
    """Take every row of a number out; ``count``: its running number, None: it has no rows."""
    db.execute("DELETE FROM fault WHERE number = ?", (number,))
    if count is not None:
        db.execute("DELETE FROM derived WHERE block = ?", (count // BLOCK,))
        ids = (count * _ROOM, (count + 1) * _ROOM - 1)
        db.execute("DELETE FROM fixture WHERE id BETWEEN ? AND ?", ids)
        db.execute("DELETE FROM thread WHERE fixture BETWEEN ? AND ?", ids)
        db.execute("DELETE FROM size WHERE fixture BETWEEN ? AND ?", ids)


def in_block(block: int) -> tuple[str, tuple[int, int]]:
    """A condition on ``fixture f``, and its values, that only a block's rows meet."""
    return "f.id BETWEEN ? AND ?", (block * BLOCK * _ROOM, (block + 1) * BLOCK * _ROOM - 1)


def blocks(db: sqlite3.Connection) -> list[tuple[int, int]]:
    """The blocks that hold fixtures, in order, with how many numbers each has."""
    return db.execute(
        f"SELECT id / {BLOCK * _ROOM}, count(DISTINCT number) FROM fixture GROUP BY 1 ORDER BY 1"
    ).fetchall()


def insert(db: sqlite3.Connection, count: int, rows: Iterable[IndexRow]) -> None:
    """Put the revisions of a number in, oldest first."""
    for place, row in enumerate(rows):
        fixture = count * _ROOM + place
        threads, sizes = row.threads, row.sizes
        spigots = [s.high for s in sizes if s.name == "spigot"]
        collars = [s.low for s in sizes if s.name == "collar"]
        db.execute(
            _INSERT,
            (
                fixture, *row, row.material.casefold(), row.collet.casefold(),
                max(spigots, default=0.0), min(collars, default=None),
            ),
        )  # fmt: skip
        db.executemany(
            "INSERT INTO thread VALUES (?, ?, ?, ?, ?, ?)",
            [(fixture, t.diameter, t.pitch, t.starts, t.left_hand, t.external) for t in threads],
        )
        db.executemany(
            "INSERT INTO size VALUES (?, ?, ?, ?)",
            [(fixture, s.name, s.low, s.high) for s in sizes],
        )
