"""What can be told of the bare values, whatever model they belong to."""

from __future__ import annotations

import math
from collections.abc import Iterator

from mandrelgen.core.errors import Path
from mandrelgen.spec.glyphs import char_name, foreign_letters, latin_twin, undrawn
from mandrelgen.spec.remark import Remark, dotted, shown

DEEPEST = 12
MOST_VALUES = 20_000
_LARGEST = 10**9


def walk(data: dict[str, object]) -> Iterator[tuple[Path, object]]:
    """Every value below ``data`` with its path, tables and lists included, in file order.

    Does not descend below DEEPEST steps.
    """
    stack: list[tuple[Path, object]] = [((), data)]
    while stack:
        path, value = stack.pop()
        if path:
            yield path, value
        if len(path) >= DEEPEST:
            continue
        if isinstance(value, dict):
            stack.extend(((*path, k), v) for k, v in reversed(value.items()))
        elif isinstance(value, list):
            stack.extend(((*path, i), v) for i, v in reversed(list(enumerate(value))))


def shape_remarks(data: dict[str, object]) -> tuple[Remark, ...]:
    """Faults of shape (too deep, too many values) that make any further look pointless."""
    for count, (path, value) in enumerate(walk(data)):
        if len(path) >= DEEPEST and isinstance(value, dict | list):
            return (
                Remark(
                    "file.deep",
                    path[:3],
                    f"tables or lists stand more than {DEEPEST - 1} deep in one another",
                    "keep to the form of the starter files",
                ),
            )
        if count > MOST_VALUES:
            return (
                Remark(
                    "file.large",
                    path[:1],
                    f"the file has more than {MOST_VALUES} values",
                    "give a pen or shop file written by hand; is this the right file?",
                ),
            )
    return ()


def value_remarks(data: dict[str, object]) -> tuple[Remark, ...]:
    """Numbers no length can have, and characters the paper cannot show."""
    out: list[Remark] = []
    for path, value in walk(data):
        if isinstance(path[-1], str):
            out.extend(_key(path, path[-1]))
        if isinstance(value, str):
            out.extend(_text(path, value))
        elif isinstance(value, int | float) and not isinstance(value, bool):
            out.extend(_number(path, value))
    return tuple(out)


def _number(path: Path, value: int | float) -> Iterator[Remark]:
    if isinstance(value, float) and not math.isfinite(value):
        yield Remark(
            "value.number", path, f"{shown(value)} is not a number", "give a finite number"
        )
    elif abs(value) > _LARGEST:
        yield Remark(
            "value.number",
            path,
            f"{shown(value)} is larger than anything a pen needs",
            "give sizes in mm, angles in degrees",
        )


def _key(path: Path, key: str) -> Iterator[Remark]:
    letters = foreign_letters(key)
    if letters:
        names = ", ".join(char_name(c) for c in letters)
        yield Remark(
            "key.lookalike",
            path,
            f"the key {shown(key)} has letters that only look like Latin ones ({names})",
            f"type it again with the letters a to z: {latin_twin(key)[:40]}",
        )


def _text(path: Path, text: str) -> Iterator[Remark]:
    bad = undrawn(text)
    if bad:
        names = ", ".join(char_name(c) for c in bad[:5])
        more = f" and {len(bad) - 5} more" if len(bad) > 5 else ""
        yield Remark(
            "text.character",
            path,
            f"the text of {dotted(path[-1:])} has characters the paper cannot show ({names}{more})",
            "write it with Latin, Greek or Cyrillic letters, digits and plain signs, on one line",
        )
