"""Where in a TOML text a key stands. Loaded only when something is to be told."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from typing import TYPE_CHECKING

from mandrelgen.core.errors import Path

if TYPE_CHECKING:
    from tree_sitter import Node

_DEEPEST = 30


class Places:
    """The line of every key, table heading and list entry of a TOML text."""

    def __init__(self, text: str) -> None:
        import tree_sitter
        import tree_sitter_toml

        parser = tree_sitter.Parser(tree_sitter.Language(tree_sitter_toml.language()))
        self._lines: dict[Path, int] = {}
        self._counts: dict[Path, int] = {}
        self._document(parser.parse(text.encode("utf-8")).root_node)

    def line(self, path: Path) -> int:
        """The line (from 1) of a path, or of the nearest table around it; 0 if there is none."""
        for end in range(len(path), 0, -1):
            if path[:end] in self._lines:
                return self._lines[path[:end]]
        return 0

    def _note(self, path: Path, node: Node) -> None:
        line = node.start_point[0] + 1
        for end in range(1, len(path) + 1):
            self._lines.setdefault(path[:end], line)

    def _document(self, root: Node) -> None:
        for node in root.children:
            if node.type == "pair":
                self._pair((), node)
            elif node.type in ("table", "table_array_element"):
                self._table(node)

    def _table(self, node: Node) -> None:
        keys = _keys(_child(node, ("bare_key", "quoted_key", "dotted_key")))
        if not keys:
            return
        path = self._resolve(keys[:-1])
        path = (*path, keys[-1])
        if node.type == "table_array_element":
            self._note(path, node)
            self._counts[path] = self._counts.get(path, -1) + 1
            path = (*path, self._counts[path])
            for known in [p for p in self._counts if p[: len(path)] == path]:
                del self._counts[known]
        # The heading itself is the place of the table, even if a deeper one came before it.
        self._note(path, node)
        self._lines[path] = node.start_point[0] + 1
        for child in node.children:
            if child.type == "pair":
                self._pair(path, child)

    def _resolve(self, keys: Path) -> Path:
        """A heading's path, with the last entry of every list of tables on the way."""
        path: Path = ()
        for key in keys:
            path = (*path, key)
            if path in self._counts:
                path = (*path, self._counts[path])
        return path

    def _pair(self, path: Path, node: Node) -> None:
        keys = _keys(node.children[0]) if node.children else ()
        if not keys or len(path) + len(keys) > _DEEPEST:
            return
        here = (*path, *keys)
        self._note(here, node)
        self._value(here, node.children[-1])

    def _value(self, path: Path, node: Node) -> None:
        if len(path) > _DEEPEST:
            return
        if node.type == "inline_table":
            for child in node.children:
                if child.type == "pair":
                    self._pair(path, child)
        elif node.type == "array":
            for i, child in enumerate(_entries(node)):
                self._note((*path, i), child)
                self._value((*path, i), child)


def _entries(array: Node) -> Iterator[Node]:
    return (c for c in array.children if c.is_named and c.type != "comment")


def _child(node: Node, types: tuple[str, ...]) -> Node | None:
    return next((c for c in node.children if c.type in types), None)


def _keys(node: Node | None) -> Path:
    """The steps of a key as TOML reads it (quotes and escapes taken off)."""
    if node is None or node.text is None:
        return ()
    try:
        table: object = tomllib.loads(node.text.decode("utf-8") + " = 0")
    except (ValueError, RecursionError):
        return ()
    steps: list[str | int] = []
    while isinstance(table, dict) and table:
        (key,) = table
        steps.append(key)
        table = table[key]
    return tuple(steps)
