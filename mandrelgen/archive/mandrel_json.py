"""A published mandrel back from its ``mandrel.json``, as the value it was written from."""

from __future__ import annotations

import dataclasses
import functools
import json
import math
import types
import typing
from enum import Enum
from pathlib import Path
from typing import Any

from mandrelgen.archive.disk.files import read_file
from mandrelgen.archive.records import MAX_JSON
from mandrelgen.core.errors import DiskError
from mandrelgen.core.lengths import Length
from mandrelgen.model.mandrel import Mandrel

NAME = "mandrel.json"


class ShapeError(ValueError):
    """A value from JSON that is not of the form it must have; says where it stands."""

    def __init__(self, where: str, found: object, wanted: str) -> None:
        what = "null" if found is None else _KINDS.get(type(found), f"{found!r:.40}")
        super().__init__(f"{where or 'the file'} is {what}, and must be {wanted}")


_KINDS: dict[type, str] = {dict: "an object", list: "a list"}


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
        raise ShapeError("outer", [], "a list of stretches")
    for c in m.characteristics:
        for station in c.between or ():
            if station not in m.stations:
                raise ShapeError(f"stations.{station}", None, f"the place that {c.id} begins at")


@functools.cache
def _hints(kind: type) -> dict[str, Any]:
    """A dataclass's types; asking each time is most of the work."""
    return typing.get_type_hints(kind)


def revive(kind: Any, value: Any, where: str = "") -> Any:
    """``value`` from JSON as the annotated type ``kind``: dataclasses, tuples, enums, None.
    ``where``: its place in the file.

    Raises ShapeError (or another ValueError) for a value that does not fit, TypeError for a missing
    field.
    """
    origin, args = typing.get_origin(kind), typing.get_args(kind)
    if origin in (types.UnionType, typing.Union):
        if value is None and type(None) in args:
            return None
        return revive(next(a for a in args if a is not type(None)), value, where)
    if origin is tuple:
        return _row(args, value, where)
    if origin is dict:
        found = _is(dict, value, where, "an object")
        return {k: revive(args[1], v, f"{where}.{k}") for k, v in found.items()}
    if dataclasses.is_dataclass(kind) and kind is not Length:
        hints = _hints(kind)  # type: ignore[arg-type]
        known = {f.name for f in dataclasses.fields(kind)}
        given = _is(dict, value, where, "an object").items()
        dot = f"{where}." if where else ""
        return kind(**{k: revive(hints[k], v, dot + k) for k, v in given if k in known})  # type: ignore[operator]
    return _plain(kind, value, where)


def _row(args: tuple[Any, ...], value: Any, where: str) -> tuple[Any, ...]:
    row = _is(list, value, where, "a list")
    if len(args) == 2 and args[1] is Ellipsis:
        return tuple(revive(args[0], v, f"{where}[{n}]") for n, v in enumerate(row))
    if len(row) != len(args):
        raise ShapeError(where, value, f"a list of {len(args)}")
    pairs = zip(args, row, strict=True)
    return tuple(revive(a, v, f"{where}[{n}]") for n, (a, v) in enumerate(pairs))


def _plain(kind: Any, value: Any, where: str) -> Any:
    if kind is Length:
        try:
            return Length.parse(value)
        except ValueError as e:
            raise ShapeError(where, value, "a length") from e
    if kind is float:
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise ShapeError(where, value, "a number")
        if not math.isfinite(value):
            raise ShapeError(where, value, "a finite number")
        return float(value)
    if kind is bool:
        return _is(bool, value, where, "true or false")
    if kind is int:
        if isinstance(value, bool):
            raise ShapeError(where, value, "a whole number")
        return _is(int, value, where, "a whole number")
    if isinstance(kind, type) and issubclass(kind, Enum):
        try:
            return kind(value)
        except (ValueError, TypeError):
            wanted = ", ".join(str(k.value) for k in kind)
            raise ShapeError(where, value, f"one of {wanted}") from None
    if kind is str:
        return _is(str, value, where, "text")
    return value


def _is(kind: type, value: Any, where: str, wanted: str) -> Any:
    if not isinstance(value, kind):
        raise ShapeError(where, value, wanted)
    return value
