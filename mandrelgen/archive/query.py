"""Finding fixtures by what they do: thread, part, sizes, pen, material, collet, date, words."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from mandrelgen.archive.index import Index
from mandrelgen.archive.index_rows import IndexRow
from mandrelgen.archive.index_schema import COLUMNS
from mandrelgen.assess.fitting import LOOSEST
from mandrelgen.core.frozen import dataclass
from mandrelgen.standards.designation import Designation

# Two notations of one thread differ by no more (rounded inch sizes), mm.
SAME_SIZE = 0.002
SAME_PITCH = 0.0005

_Term = tuple[str, list[Any]]


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreadAsked:
    """A thread by what was said of it, mm; None: no matter."""

    diameter: float | None = None
    pitch: float | None = None
    starts: int | None = None
    left: bool | None = None

    @classmethod
    def of(cls, d: Designation) -> ThreadAsked:
        """All of a thread, in whatever notation it is filed."""
        return cls(
            diameter=float(d.diameter), pitch=float(d.pitch), starts=d.starts, left=d.left_hand
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Query:
    """What is asked for; None or empty: no matter. Sizes in mm. ``threads``: what is said of one
    thread of the fixture.

    ``spigot``: a spigot's limits lie within; ``bore``: a spigot goes into this bore and guides in
    it; ``since``/``until``: days, both included; ``words``: all of them somewhere in the record.
    Only the newest revisions unless ``all_revisions``.
    """

    threads: tuple[ThreadAsked, ...] = ()
    kind: str = ""
    part: str = ""
    pen: str = ""
    spigot: tuple[float, float] | None = None
    bore: float | None = None
    shank: float | None = None
    material: str = ""
    collet: str = ""
    since: str = ""
    until: str = ""
    status: str = ""
    words: tuple[str, ...] = ()
    all_revisions: bool = False


def find(index: Index, query: Query, limit: int | None = None) -> tuple[IndexRow, ...]:
    """The revisions that answer the query, by number. Raises DiskError."""
    sql, args = statement(query)
    if limit is not None:
        sql += f" LIMIT {int(limit)}"
    return index.rows(sql, args)


_SAME = (
    "FROM fixture f WHERE f.newest AND f.design_hash = ? "
    "AND f.status IN ('released', 'in preparation')"
)


def pens_of_design(index: Index, design_hash: str) -> frozenset[str]:
    """The pens that live newest revisions of that design were made for. Raises DiskError."""
    found = index.ask(f"SELECT DISTINCT f.pen {_SAME}", [design_hash])
    return frozenset(str(pen) for (pen,) in found)


def same_design(index: Index, design_hash: str, pens: Iterable[str]) -> tuple[IndexRow, ...]:
    """Live newest revisions of that design made for one of these pens, by number. Raises
    DiskError."""
    sql = f"SELECT {COLUMNS} {_SAME} AND f.pen IN (SELECT value FROM json_each(?)) ORDER BY f.id"
    return index.rows(sql, [design_hash, json.dumps(sorted(pens))])


def find_whole(index: Index, query: Query) -> tuple[IndexRow, ...]:
    """As `find`, and every row can be read to its last size: a damaged index is made again.

    Raises DiskError.
    """
    rows = find(index, query)
    if all(row.whole for row in rows):
        return rows
    index.rebuild()
    return find(index, query)


def statement(query: Query) -> tuple[str, list[Any]]:
    """The query as SQL with its arguments."""
    where: list[str] = []
    args: list[Any] = []

    def need(text: str, *values: Any) -> None:
        where.append(text)
        args.extend(values)

    for text, values in _said(query.threads) if query.threads else ():
        need(text, *values)
    for column in ("kind", "part", "pen", "status"):
        if value := getattr(query, column):
            need(f"f.{column} = ?", value)
    for column in ("material", "collet"):
        if value := getattr(query, column):
            need(f"instr(f.{column}_key, ?)", value.casefold())
    if query.spigot is not None:
        low, high = query.spigot
        need(_within_size("s.low BETWEEN ? AND ? AND s.high <= ?"), "spigot", low, high, high)
    if query.bore is not None:
        need(_within_size("s.low BETWEEN ? AND ? AND s.high <= ?"),
             "spigot", query.bore - LOOSEST, query.bore, query.bore)  # fmt: skip
    if query.shank is not None:
        need(_within_size("s.low <= ? AND s.high >= ?"),
             "shank", query.shank + 1e-6, query.shank - SHANK_TOLERANCE)  # fmt: skip
    if query.since:
        need("f.date >= ?", query.since)
    if query.until:
        need("f.date <= ?", query.until)
    for word in query.words:
        need("instr(f.text, ?)", word.casefold())
    if not query.all_revisions:
        need("f.newest")
    condition = " AND ".join(where) or "1"
    return f"SELECT {COLUMNS} FROM fixture f WHERE {condition} ORDER BY f.id", args


# A shank of that nominal: ground or turned, not more below it than a collet minds, mm.
SHANK_TOLERANCE = 0.05


def _within_thread(asked: Sequence[ThreadAsked], side: bool | None = None) -> _Term:
    """A fixture with one thread of which all this is true; ``side``: external or not."""
    terms: list[str] = []
    args: list[Any] = []
    for a in asked:
        rows = (("diameter", a.diameter, SAME_SIZE), ("pitch", a.pitch, SAME_PITCH))
        for column, value, off in rows:
            if value is not None:
                terms.append(f"{column} BETWEEN ? AND ?")
                args += [value - off, value + off]
        for column, said in (("starts", a.starts), ("left_hand", a.left)):
            if said is not None:
                terms.append(f"{column} = ?")
                args.append(said)
    if side is not None:
        terms.append("external = ?")
        args.append(side)
    return f"f.id IN (SELECT fixture FROM thread WHERE {' AND '.join(terms)})", args


def _said(asked: Sequence[ThreadAsked]) -> Iterator[_Term]:
    """Several whole threads: each is one of the fixture's; what says less belongs to all of them,
    as crest and starts do that stand apart."""
    parts = [a for a in asked if a.pitch is None]
    for one in [a for a in asked if a.pitch is not None] or [ThreadAsked()]:
        yield _within_thread((one, *parts))


def _within_size(text: str) -> str:
    return f"f.id IN (SELECT fixture FROM size s WHERE s.name = ? AND {text})"


def candidates(
    index: Index, thread: Designation | None, external: bool, spigot_below: float | None,
    collar_below: float, limit: int, plain: str = "spigot",
) -> tuple[IndexRow, ...]:  # fmt: skip
    """Live newest revisions that could hold an end: the mandrel's thread (None: a plain one of the
    kind ``plain``, held by its spigot), no spigot above ``spigot_below``, a collar not above
    ``collar_below``, mm.

    At most ``limit``: those in the drawer first, then the largest spigots. Raises DiskError.
    """
    sql, args = candidates_statement(thread, external, spigot_below, collar_below, limit, plain)
    return index.rows(sql, args)


def candidates_statement(
    thread: Designation | None, external: bool, spigot_below: float | None, collar_below: float,
    limit: int, plain: str = "spigot",
) -> tuple[str, list[Any]]:  # fmt: skip
    """`candidates` as SQL with its arguments."""
    where = ["f.newest", "f.status IN ('released', 'in preparation')", "f.collar <= ?"]
    args: list[Any] = [collar_below + 1e-6]
    if thread is not None:
        text, values = _within_thread((ThreadAsked.of(thread),), external)
        where.append(text)
        args += values
        if spigot_below is not None:
            # End b of a double-ended one has its own spigots: the exact question is asked later.
            where.append("(f.kind = 'double-ended' OR f.spigot <= ?)")
            args.append(spigot_below + 1e-6)
    else:
        where.append("f.kind = ?")
        args.append(plain)
        if spigot_below is not None:
            where.append("f.spigot <= ?")
            args.append(spigot_below + 1e-6)
    return (
        f"SELECT {COLUMNS} FROM fixture f WHERE {' AND '.join(where)} "
        f"ORDER BY f.owned DESC, f.spigot DESC, f.id LIMIT {int(limit)}",
        args,
    )
