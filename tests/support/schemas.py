"""Damage for tests of a published schema: every key gone, and every key of a wrong type."""

from __future__ import annotations

import copy
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

Way = Sequence[str | int]


def damaged(view: Any, ways: Iterable[Way]) -> Iterator[tuple[Any, str]]:
    """Copies of ``view`` with the value at the end of each way taken out, then made wrong, and what
    was done."""
    for *way, key in ways:
        for change in ("gone", "wrong"):
            bad = copy.deepcopy(view)
            at: Any = bad
            for step in way:
                at = at[step]
            if change == "gone":
                del at[key]
            else:
                at[key] = "wrong" if isinstance(at[key], dict | list) else {"wrong": []}
            yield bad, f"{way} {key} {change}"
