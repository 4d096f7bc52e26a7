"""Values that the program put into a pen file for want of a better one: the comment on their line
says so until somebody says what it really is."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from mandrelgen.core.errors import Path

MARK = "# taken as"


def taken(text: str) -> frozenset[Path]:
    """The keys whose line bears the mark. Raises ValueError for a text that is no TOML."""
    if MARK not in text:
        return frozenset()
    import tomlkit

    return frozenset(_marked((), tomlkit.parse(text.replace("\r\n", "\n"))))


def _marked(path: Path, here: Any) -> Iterator[Path]:
    rows = here.items() if isinstance(here, dict) else enumerate(here)
    for step, value in rows:
        if isinstance(value, dict | list):
            yield from _marked((*path, step), value)
        elif _comment(here, step).startswith(MARK):
            yield (*path, step)


def _comment(here: Any, key: str | int) -> str:
    """The comment on a value's line, of a document of tomlkit."""
    value = here.item(key) if hasattr(here, "item") else None
    return str(value.trivia.comment) if value is not None and hasattr(value, "trivia") else ""


def unmark(here: Any, key: str | int) -> None:
    """A value that somebody says now is not taken any more."""
    if _comment(here, key).startswith(MARK):
        trivia = here.item(key).trivia
        trivia.comment, trivia.comment_ws = "", ""
