"""What a change of a pen's or shop's file did, in a few words: which values it set, from what to
what."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from typing import Any

from mandrelgen.workflows.answers.spoken import place
from mandrelgen.workflows.answers.texts import text

MOST = 3
"""Values that are named."""
HIDDEN = ("pen.id",)
"""What follows another value and is no box."""
Row = tuple[str, Any, Any]


def changes_said(before: bytes, after: bytes) -> str:
    """The values that differ, the first few by name; empty if none does or a text is no TOML."""
    try:
        old, new = (tomllib.loads(b.decode("utf-8-sig")) for b in (before, after))
    except ValueError:
        return ""
    rows = [r for r in _rows("", old, new) if r[0] not in HIDDEN]
    more = len(rows) - MOST
    tail = [text("changed.more", more)] if more > 0 else []
    return "; ".join([*(_said(*r) for r in rows[:MOST]), *tail])


def _rows(at: str, old: Any, new: Any) -> Iterator[Row]:
    """Every place that differs; of a table that is new or gone, the table. Places in lists count
    from 1, as those of messages do."""
    if isinstance(old, Mapping) and isinstance(new, Mapping):
        for key in dict.fromkeys((*old, *new)):
            yield from _rows(f"{at}.{key}".lstrip("."), old.get(key), new.get(key))
    elif _alike(old, new):
        for n, (a, b) in enumerate(zip(old, new, strict=True), 1):
            yield from _rows(f"{at}[{n}]", a, b)
    elif old != new:
        yield at, old, new


def _alike(old: Any, new: Any) -> bool:
    """Whether both are lists of as many tables."""
    both = isinstance(old, list) and isinstance(new, list) and len(old) == len(new)
    return both and all(isinstance(x, Mapping) for x in (*old, *new))


def _said(key: str, old: Any, new: Any) -> str:
    where = place(key.replace(".bore", ".holes") if key.endswith(".bore") else key)
    if isinstance(old or new, Mapping | list):
        way = "in" if old is None else "out" if new is None else "other"
        return text(f"changed.{way}", place=where)
    return text("changed.value", place=where, old=_value(old), new=_value(new))


def _value(value: Any) -> str:
    if value is None:
        return text("box.not_said")
    if isinstance(value, bool):
        return text("changed.yes" if value else "changed.no")
    return f"{value:g}" if isinstance(value, float) else str(value)
