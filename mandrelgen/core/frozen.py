"""Frozen values with slots, as `dataclasses.dataclass` makes them, in a third of the time.

The standard library writes and compiles six functions for each frozen class. A run makes two
hundred such classes before it begins to work: an eighth of a short one. Here only ``__init__`` is
compiled; the other five differ by the names of the fields alone and are closures over these.
For type checkers this *is* `dataclasses.dataclass`.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Sequence
from operator import attrgetter
from reprlib import recursive_repr
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from dataclasses import dataclass as dataclass
else:

    def dataclass(cls=None, /, *, frozen=False, slots=False, **options):
        """`dataclasses.dataclass`, quicker where ``frozen`` and ``slots`` are asked for and, of
        the rest, at most ``kw_only``.

        Raises TypeError as the standard library does, and for a field that is not in ``__init__``.
        """

        def made(kind):
            if frozen and slots and not options.keys() - {"kw_only"}:
                return _frozen(kind, **options)
            return dataclasses.dataclass(frozen=frozen, slots=slots, **options)(kind)

        return made if cls is None else made(cls)


def _frozen(kind: type, **options: bool) -> type:
    if not kind.__doc__:
        kind.__doc__ = kind.__name__  # else it would be made of a signature
    own = vars(kind)
    cls: type = dataclasses.dataclass(init=False, repr=False, eq=False, slots=True, **options)(kind)
    fields = dataclasses.fields(cls)
    if outside := [f.name for f in fields if not f.init]:
        raise TypeError(f"{outside[0]} is not in __init__: use dataclasses.dataclass")
    names = [f.name for f in fields]
    methods: dict[str, Callable[..., Any]] = {
        **_shared(names, [f.name for f in fields if f.compare]),
        "__init__": _init(cls, fields),
        "__repr__": _repr([f.name for f in fields if f.repr]),
    }
    for name, method in methods.items():
        if name not in own or own[name] is None:
            method.__qualname__ = f"{cls.__qualname__}.{name}"
            setattr(cls, name, method)
    return cls


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
    """The fields as a tuple, which compares what is the same object as equal (NaN too)."""
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
    scope: dict[str, Any] = {
        "__name__": cls.__module__,
        "_set_": object.__setattr__,
        "_no_": missing,
    }
    lines = []
    places: dict[bool, list[str]] = {False: ["self"], True: []}
    for f in fields:
        parameter = given = f.name
        if f.default is not missing:
            scope[f"_{f.name}_"] = f.default
            parameter += f"=_{f.name}_"
        elif f.default_factory is not missing:
            scope[f"_{f.name}_"] = f.default_factory
            parameter += "=_no_"
            given = f"_{f.name}_() if {f.name} is _no_ else {f.name}"
        elif not f.kw_only and "=" in places[False][-1]:
            raise TypeError(f"non-default argument {f.name!r} follows default argument")
        places[bool(f.kw_only)].append(parameter)
        lines.append(f" _set_(self, {f.name!r}, {given})")
    if hasattr(cls, "__post_init__"):
        lines.append(" self.__post_init__()")
    star = ["*"] if places[True] else []
    parameters = ", ".join([*places[False], *star, *places[True]])
    exec(f"def __init__({parameters}):\n" + "\n".join(lines or [" pass"]), scope)
    init: Callable[..., None] = scope["__init__"]
    init.__annotations__ = {**{f.name: f.type for f in fields}, "return": None}
    return init
