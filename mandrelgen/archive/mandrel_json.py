"""A published mandrel back from its ``mandrel.json``, as the value it was written from."""

from __future__ import annotations

import dataclasses
import functools
import json
import math
import types
import typing
from collections.abc import Callable
from enum import Enum
from pathlib import Path
from typing import Any

from mandrelgen.archive.disk.files import read_file
from mandrelgen.archive.records import MAX_JSON
from mandrelgen.core.errors import DiskError
from mandrelgen.core.lengths import Length
from mandrelgen.model.feature import Feature
from mandrelgen.model.mandrel import Mandrel

NAME = "mandrel.json"


class ShapeError(ValueError):
    """A value from JSON that is not of the form it must have; says where it stands."""

    def __init__(self, found: object, wanted: str, where: str = "") -> None:
        self.found, self.wanted, self.where = found, wanted, where
        what = "null" if found is None else _KINDS.get(type(found), f"{found!r:.40}")
        super().__init__(f"{where or 'the file'} is {what}, and must be {wanted}")

    def within(self, step: str | int) -> ShapeError:
        """The same, seen from one step further out."""
        own = f"[{step}]" if isinstance(step, int) else step
        dot = "." if self.where and not self.where.startswith("[") else ""
        return ShapeError(self.found, self.wanted, f"{own}{dot}{self.where}")


_KINDS: dict[type, str] = {dict: "an object", list: "a list"}
_Reader = Callable[[Any], Any]


def read_mandrel(folder: Path) -> Mandrel:
    """The mandrel of a published folder. Raises DiskError if its file is damaged."""
    path = folder / NAME
    data = read_file(path, MAX_JSON)
    try:
        raw = json.loads(data)
        if isinstance(raw, dict):
            raw = raw.get("mandrel", raw)
        found = revive(Mandrel, raw)
        _check_ids(found)
    except (ValueError, KeyError, TypeError, ArithmeticError, RecursionError) as e:
        raise damaged(folder, str(e)) from e
    assert isinstance(found, Mandrel)
    return found


def damaged(folder: Path, why: str) -> DiskError:
    """A published folder whose ``mandrel.json`` is no mandrel."""
    return DiskError(
        f"{folder / NAME} cannot be read as a mandrel: {why}.",
        "Run `mandrelgen verify` on the archive, then put the file back from a backup.",
    )


def _check_ids(m: Mandrel) -> None:
    """What every mandrel has that was ever published. Raises ShapeError."""
    if not m.outer:
        raise ShapeError([], "a list of stretches", "outer")
    for c in m.characteristics:
        for station in c.between or ():
            if station not in m.stations:
                raise ShapeError(None, f"a place that {c.id} spans", f"stations.{station}")


def revive(kind: Any, value: Any) -> Any:
    """``value`` from JSON as the annotated type ``kind``: dataclasses, tuples, enums, None.

    Raises ShapeError (or another ValueError) for a value that does not fit, TypeError for a missing
    field.
    """
    return _reader(kind)(value)


@functools.cache
def _reader(kind: Any) -> _Reader:
    """How values of a type are read; worked out once, an index reads thousands."""
    origin, args = typing.get_origin(kind), typing.get_args(kind)
    if origin in (types.UnionType, typing.Union):
        inner = _reader(next(a for a in args if a is not type(None)))
        if type(None) not in args:
            return inner
        return lambda value: None if value is None else inner(value)
    if origin is tuple:
        if len(args) == 2 and args[1] is Ellipsis:
            return _rows(_reader(args[0]))
        return _row([_reader(a) for a in args])
    if origin is dict:
        return _table(_reader(args[1]))
    if kind is Length:
        return _length
    if dataclasses.is_dataclass(kind):
        hints = typing.get_type_hints(kind)
        names = [f.name for f in dataclasses.fields(kind)]
        return _object(kind, {name: _reader(hints[name]) for name in names})
    if isinstance(kind, type) and issubclass(kind, Enum):
        return _enum(kind)
    if kind is Feature:
        return lambda value: Feature(_PLAIN[str](value))
    return _PLAIN.get(kind, lambda value: value)


def _rows(inner: _Reader) -> _Reader:
    def read(value: Any) -> Any:
        if type(value) is not list:
            raise ShapeError(value, "a list")
        n = 0
        found = []
        try:
            for n, item in enumerate(value):  # noqa: B007  # told where it stopped
                found.append(inner(item))
        except ShapeError as e:
            raise e.within(n) from None
        return tuple(found)

    return read


def _row(inners: list[_Reader]) -> _Reader:
    def read(value: Any) -> Any:
        if type(value) is not list or len(value) != len(inners):
            raise ShapeError(value, f"a list of {len(inners)}")
        return tuple(inner(item) for inner, item in zip(inners, value, strict=True))

    return read


def _table(inner: _Reader) -> _Reader:
    def read(value: Any) -> Any:
        if type(value) is not dict:
            raise ShapeError(value, "an object")
        found, key = {}, ""
        try:
            for key, item in value.items():
                found[key] = inner(item)
        except ShapeError as e:
            raise e.within(key) from None
        return found

    return read


def _object(kind: Any, readers: dict[str, _Reader]) -> _Reader:
    def read(value: Any) -> Any:
        if type(value) is not dict:
            raise ShapeError(value, "an object")
        found, name = {}, ""
        try:
            for name, reader in readers.items():
                if name in value:
                    found[name] = reader(value[name])
        except ShapeError as e:
            raise e.within(name) from None
        return kind(**found)

    return read


def _enum(kind: type[Enum]) -> _Reader:
    known = {k.value: k for k in kind}

    def read(value: Any) -> Any:
        if type(value) is not str or value not in known:
            raise ShapeError(value, f"one of {', '.join(known)}")
        return known[value]

    return read


def _length(value: Any) -> Length:
    try:
        return Length.parse(value)
    except ValueError as e:
        raise ShapeError(value, "a length") from e


def _number(value: Any) -> float:
    if type(value) not in (float, int):
        raise ShapeError(value, "a number")
    if not math.isfinite(value):
        raise ShapeError(value, "a finite number")
    return float(value)


def _just(kind: type, wanted: str) -> _Reader:
    def read(value: Any) -> Any:
        if type(value) is not kind:
            raise ShapeError(value, wanted)
        return value

    return read


_PLAIN: dict[Any, _Reader] = {
    float: _number,
    int: _just(int, "a whole number"),
    bool: _just(bool, "true or false"),
    str: _just(str, "text"),
}
