"""Reading the published tables in ``mandrelgen/data``."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import resources
from typing import Any


class NotHeldError(ValueError):
    """Something outside what the tables hold: ``message`` says what, ``remedy`` what is held."""

    def __init__(self, message: str, remedy: str) -> None:
        self.message = message
        self.remedy = remedy
        super().__init__(f"{message}; {remedy}")


@cache
def load(name: str) -> dict[str, Any]:
    """The table ``name`` (file name without ``.toml``). Read once, then kept; do not change it.

    Raises FileNotFoundError if the package lacks the file.
    """
    path = resources.files("mandrelgen.standards").joinpath("data", f"{name}.toml")
    return tomllib.loads(path.read_text(encoding="utf-8"))


def citation(table: dict[str, Any]) -> str:
    """``ISO 965-1:2013, Table 1`` from the head of a table."""
    return f"{table['standard']}:{table['edition']}, {table['table']}"


@cache
def records(name: str, key: str = "rows") -> list[dict[str, Any]]:
    """The rows of a table as dictionaries by column; cells printed as ``-`` are left out. Made
    once, then kept; do not change them."""
    table = load(name)
    return [
        {c: v for c, v in zip(table["columns"], row, strict=True) if v != "-"} for row in table[key]
    ]
