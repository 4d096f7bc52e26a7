"""Frozen values with slots, as `dataclasses.dataclass` makes them, in a third of the time.

The standard library writes and compiles six functions for each frozen class. A run makes two
hundred such classes before it begins to work: an eighth of a short one. Here only ``__init__`` is
compiled; the other five differ by the names of the fields alone and are closures over these.
For type checkers this *is* `dataclasses.dataclass`.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping, Sequence
from operator import attrgetter
from reprlib import recursive_repr
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from dataclasses import dataclass as dataclass
else:

    def dataclass(cls=None, /, *, frozen=False, slots=False, **options):
        """`dataclasses.dataclass`, quicker where ``frozen`` and ``slots`` are asked for and, of
        the rest, at most ``kw_only``; such a class inherits from such classes alone.

        Raises TypeError as the standard library does, and for what the quick way does not know: a
        field outside ``__init__``, a ``hash`` of its own, an ``InitVar``.
        """

        def made(kind):
            if frozen and slots and not options.keys() - {"kw_only"}:
                return _frozen(kind, **options)
            return dataclasses.dataclass(frozen=frozen, slots=slots, **options)(kind)

        return made if cls is None else made(cls)


def _frozen(kind: type, **options: bool) -> type:
    own: Mapping[str, Any] = vars(kind)
    if held := {"__setattr__", "__delattr__"} & own.keys():
        raise TypeError(f"cannot overwrite attribute {min(held)} in class {kind.__name__}")
    if not kind.__doc__:
        kind.__doc__ = kind.__name__  # else it would be made of a signature
    # Not frozen for the standard library: else it would compile what stands in `_shared`.
    cls: type = dataclasses.dataclass(init=False, repr=False, eq=False, slots=True, **options)(kind)
    fields = dataclasses.fields(cls)
    _check(cls, fields)
    methods: dict[str, Callable[..., Any]] = {
        **_shared([f.name for f in fields], [f.name for f in fields if f.compare]),
        "__init__": _init(cls, fields),
        "__repr__": _repr([f.name for f in fields if f.repr]),
    }
    if "__eq__" in own and own["__hash__"] is None:  # by Python itself
        own = {k: v for k, v in own.items() if k != "__hash__"}
    for name, method in methods.items():
        if name not in own:
            method.__name__, method.__qualname__ = name, f"{cls.__qualname__}.{name}"
            setattr(cls, name, method)
    return cls


def _check(cls: type, fields: Sequence[dataclasses.Field[Any]]) -> None:
    unknown = [f.name for f in fields if not f.init or f.hash is not None]
    unknown += [name for name, said in cls.__annotations__.items() if "InitVar" in str(said)]
    if unknown:
        raise TypeError(f"{unknown[0]} is more than a plain field: use dataclasses.dataclass")


def _shared(names: Sequence[str], compared: Sequence[str]) -> dict[str, Callable[..., Any]]:
    """What depends on the names of the fields only; ``compared``: those that make values equal."""
    values = _getter(compared)

    def eq(self: object, other: object) -> Any:
        if other.__class__ is not self.__class__:
            return NotImplemented
        return values(self) == values(other)

    def state(self: object) -> list[Any]:
        return [getattr(self, n) for n in names]

    def restore(self: object, state: Sequence[Any]) -> None:
        for name, value in zip(names, state, strict=True):
            object.__setattr__(self, name, value)

    def keep(self: object, name: str, value: object) -> None:
        raise dataclasses.FrozenInstanceError(f"cannot assign to field {name!r}")

    def hold(self: object, name: str) -> None:
        raise dataclasses.FrozenInstanceError(f"cannot delete field {name!r}")

    return {
        "__eq__": eq,
        "__hash__": lambda self: hash(values(self)),
        "__getstate__": state,
        "__setstate__": restore,
        "__setattr__": keep,
        "__delattr__": hold,
    }


def _getter(names: Sequence[str]) -> Callable[[object], tuple[Any, ...]]:
    """The fields as a tuple, in which what is the same object is equal (NaN too)."""
    if len(names) > 1:
        return attrgetter(*names)
    return lambda value: tuple(getattr(value, n) for n in names)


def _repr(names: Sequence[str]) -> Callable[[object], str]:
    @recursive_repr()
    def text(self: object) -> str:
        values = ", ".join(f"{n}={getattr(self, n)!r}" for n in names)
        return f"{self.__class__.__qualname__}({values})"

    return text


def _init(cls: type, fields: Sequence[dataclasses.Field[Any]]) -> Callable[..., None]:
    """``__init__`` alone is written and compiled: a general one would be slow at each value."""
    missing = dataclasses.MISSING
    me = "self" if all(f.name != "self" for f in fields) else "__self__"
    scope: dict[str, Any] = {
        "__name__": cls.__module__,
        "__set__": object.__setattr__,
        "__missing__": missing,
    }
    lines = []
    places: dict[bool, list[str]] = {False: [me], True: []}
    for f in fields:
        parameter = given = f.name
        if f.default is not missing:
            scope[f"__of_{f.name}__"] = f.default
            parameter += f"=__of_{f.name}__"
        elif f.default_factory is not missing:
            scope[f"__of_{f.name}__"] = f.default_factory
            parameter += "=__missing__"
            given = f"__of_{f.name}__() if {f.name} is __missing__ else {f.name}"
        elif not f.kw_only and "=" in places[False][-1]:
            raise TypeError(f"non-default argument {f.name!r} follows default argument")
        places[bool(f.kw_only)].append(parameter)
        lines.append(f" __set__({me}, {f.name!r}, {given})")
    if hasattr(cls, "__post_init__"):
        lines.append(f" {me}.__post_init__()")
    star = ["*"] if places[True] else []
    parameters = ", ".join([*places[False], *star, *places[True]])
    exec(f"def __init__({parameters}):\n" + "\n".join(lines or [" pass"]), scope)
    init: Callable[..., None] = scope["__init__"]
    return init
