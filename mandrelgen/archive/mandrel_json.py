"""A published mandrel back from its ``mandrel.json``, as the value it was written from."""

from __future__ import annotations

import dataclasses
import functools
import json
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


def read_mandrel(folder: Path) -> Mandrel:
    """The mandrel of a published folder. Raises DiskError if its file is damaged."""
    path = folder / NAME
    data = read_file(path, MAX_JSON)
    try:
        raw = json.loads(data)
        found = revive(Mandrel, raw.get("mandrel", raw))
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as e:
        raise DiskError(
            f"{path} cannot be read as a mandrel: {e}.",
            "Run `mandrelgen verify` on the archive, then put the file back from a backup.",
        ) from e
    assert isinstance(found, Mandrel)
    return found


@functools.cache
def _hints(kind: type) -> dict[str, Any]:
    """A dataclass's types; asking each time is most of the work."""
    return typing.get_type_hints(kind)


def revive(kind: Any, value: Any) -> Any:
    """``value`` from JSON as the annotated type ``kind``: dataclasses, tuples, enums, None.

    Raises ValueError, KeyError or TypeError for a value that does not fit.
    """
    origin, args = typing.get_origin(kind), typing.get_args(kind)
    if origin in (types.UnionType, typing.Union):
        if value is None and type(None) in args:
            return None
        return revive(next(a for a in args if a is not type(None)), value)
    if origin is tuple:
        if len(args) == 2 and args[1] is Ellipsis:
            return tuple(revive(args[0], v) for v in value)
        return tuple(revive(a, v) for a, v in zip(args, value, strict=True))
    if origin is dict:
        return {k: revive(args[1], v) for k, v in value.items()}
    if dataclasses.is_dataclass(kind):
        hints = _hints(kind)  # type: ignore[arg-type]
        known = {f.name for f in dataclasses.fields(kind)}
        return kind(**{k: revive(hints[k], v) for k, v in value.items() if k in known})  # type: ignore[operator]
    if kind is Length:
        return Length.parse(value)
    if kind is float:
        return float(value)
    if isinstance(kind, type) and issubclass(kind, Enum):
        return kind(value)
    return value
