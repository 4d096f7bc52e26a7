"""Changes of a pen file: applied to its values, and written into its text."""

from __future__ import annotations

import copy
from collections.abc import Iterable
from typing import Any

from mandrelgen.core.errors import Change, Path
from mandrelgen.spec.taken import unmark


class NoPlaceError(ValueError):
    """A change whose path leads nowhere in the file."""


def patched(tree: dict[str, Any], changes: Iterable[Change]) -> dict[str, Any]:
    """A copy of a pen file's values with the changes; a key of a list's next table makes that
    table. Raises NoPlaceError."""
    out = copy.deepcopy(tree)
    for change in changes:
        _set(out, change)
    return out


def patched_text(text: str, changes: Iterable[Change]) -> str:
    """The text of a pen file with the changes; comments, order and the rest of it stay.

    Raises NoPlaceError, and ValueError for a text that is no TOML.
    """
    import tomlkit

    crlf = "\r\n" in text
    document = tomlkit.parse(text.replace("\r\n", "\n"))
    for change in changes:
        _set(document, change)
    out = tomlkit.dumps(document)
    return out.replace("\n", "\r\n") if crlf else out


def value_at(root: Any, path: Path) -> Any:
    """What stands at a path; None if nothing does."""
    here = root
    for step in path:
        try:
            here = here[step]
        except (KeyError, IndexError, TypeError):
            return None
    return here


def table_at(root: Any, path: Path) -> Any:
    """The table at a path, made where it is not there yet. Raises NoPlaceError."""
    here, dotted = root, False
    for depth, step in enumerate(path):
        dotted = dotted or _is_dotted(here, step)
        here = _down(here, step, (*path, ""), depth, dotted)
    return here


def _set(root: Any, change: Change) -> None:
    *way, last = change.path
    here, dotted = root, False
    for depth, step in enumerate(way):
        dotted = dotted or _is_dotted(here, step)
        here = _down(here, step, change.path, depth, dotted)
    if isinstance(last, int):
        if not isinstance(here, list) or not 0 <= last < len(here):
            raise NoPlaceError(change.path)
        if change.value is None:
            del here[last]
        else:
            here[last] = change.value
    elif not isinstance(here, dict):
        raise NoPlaceError(change.path)
    elif change.value is None:
        here.pop(last, None)
    else:
        here[last] = change.value
        unmark(here, last)


def _is_dotted(here: Any, step: str | int) -> bool:
    """Whether a key was written as ``ends.mouth.bore = …``: no table's heading can stand below."""
    body = getattr(getattr(here, "value", here), "body", ())
    return any(key is not None and key.key == step and key.is_dotted() for key, _ in body)


def _down(here: Any, step: str | int, path: Path, depth: int, dotted: bool) -> Any:
    if isinstance(step, int):
        if not isinstance(here, list) or not 0 <= step <= len(here):
            raise NoPlaceError(path)
        if step == len(here):
            if isinstance(path[depth + 1], int):
                raise NoPlaceError(path)
            here.append(_row(here))
        return here[step]
    if not isinstance(here, dict):
        raise NoPlaceError(path)
    if step not in here:
        following = path[depth + 1]
        if isinstance(following, int):
            # A list of tables begins with its first one, and with a key in it.
            if following != 0 or depth + 2 >= len(path) or path[depth + 2] == "":
                raise NoPlaceError(path)
            here[step] = _list(here)
        else:
            here[step] = _table(here, dotted)
    return here[step]


def _list(beside: Any) -> Any:
    """An empty list, of the kind its neighbours are: a plain one, or of a TOML document."""
    if type(beside) is dict:
        return []
    import tomlkit

    return tomlkit.array()


def _row(here: Any) -> Any:
    """One more table for a list, of the kind its neighbours are."""
    if type(here) is list:
        return {}
    import tomlkit
    from tomlkit.items import AoT

    return tomlkit.table() if isinstance(here, AoT) else tomlkit.inline_table()


def _table(beside: Any, dotted: bool) -> Any:
    """A table of the kind its neighbours are: of tomlkit's in its document, else plain."""
    if type(beside) is dict:
        return {}
    import tomlkit
    from tomlkit.items import InlineTable

    inline = dotted or isinstance(beside, InlineTable)
    return tomlkit.inline_table() if inline else tomlkit.table()
