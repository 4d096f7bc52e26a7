"""What may stand at a place: asked of the models themselves."""

from __future__ import annotations

import types
from collections.abc import Iterable, Iterator
from typing import Annotated, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from mandrelgen.core.errors import Path

_ANY = "<name>"


def fields(model: type[BaseModel]) -> dict[str, FieldInfo]:
    """The fields of a model by the key a person writes."""
    return {f.alias or name: f for name, f in model.model_fields.items()}


def model_at(model: type[BaseModel], path: Path) -> type[BaseModel] | None:
    """The model of the table at ``path`` below ``model``; None if that is not a model."""
    here: object = model
    for step in path:
        if isinstance(here, type) and issubclass(here, BaseModel):
            field = fields(here).get(str(step))
            if field is None:
                return None
            here = bare(field.annotation)
        else:
            args = get_args(here)
            if get_origin(here) is dict:
                here = bare(args[1])
            elif get_origin(here) is tuple:
                here = bare(args[0])
            else:
                return None
    return here if isinstance(here, type) and issubclass(here, BaseModel) else None


def bare(annotation: object) -> object:
    """An annotation without Annotated and without ``| None``."""
    while True:
        origin = get_origin(annotation)
        if origin is Annotated:
            annotation = get_args(annotation)[0]
        elif origin in (Union, types.UnionType):
            annotation = next(a for a in get_args(annotation) if a is not type(None))
        else:
            return annotation


def description(model: type[BaseModel], key: str) -> str:
    """What a key means, in a few words; empty if the models do not say."""
    field = fields(model).get(key)
    return (field.description or "") if field else ""


def nearest(word: str, known: Iterable[str]) -> str:
    """The known word most like ``word``, or the only one it begins; else an empty text."""
    import difflib

    words, short = list(known), word[:80].lower()
    found = difflib.get_close_matches(short, words, n=1, cutoff=0.66)
    begun = [w for w in words if len(short) > 2 and w.startswith(short)]
    return found[0] if found else begun[0] if len(begun) == 1 else ""


def tables_with(model: type[BaseModel], key: str) -> tuple[str, ...]:
    """The tables of a file that know ``key``, named as a person writes them."""
    return tuple(name for name, table in _tables(model, ()) if name and key in fields(table))


def _tables(model: type[BaseModel], path: Path) -> Iterator[tuple[str, type[BaseModel]]]:
    yield ".".join(str(step) for step in path), model
    for key, field in fields(model).items():
        kind = bare(field.annotation)
        many = get_origin(kind)
        below = model_at(model, (key, _ANY)) if many in (dict, tuple) else model_at(model, (key,))
        if below is not None:
            yield from _tables(below, (*path, key, _ANY) if many is dict else (*path, key))
