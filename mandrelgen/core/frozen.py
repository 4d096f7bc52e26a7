"""Frozen dataclasses whose methods are written when they are first called.

The standard decorator writes and compiles six methods for each class while its module is imported:
for the classes a `check` needs that was a quarter of its time, and most of them are never called.
Here the standard decorator still finds the fields, so `replace`, `fields` and `asdict` work, and
to mypy it is the standard decorator. Fields take what the program uses:
defaults, factories and `compare`.
"""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING, Any, TypeVar

T = TypeVar("T")

if TYPE_CHECKING:
    from dataclasses import dataclass as dataclass
else:

    def dataclass(cls=None, /, *, frozen=False, slots=False, order=False):
        """The standard decorator; a class frozen and without an order gets its methods late."""
        if not frozen or order:
            return dataclasses.dataclass(cls, frozen=frozen, slots=slots, order=order)

        def made(cls):
            plain = dataclasses.dataclass(init=False, repr=False, eq=False, slots=slots)
            return _equipped(plain(cls), slots)

        return made


def _equipped(cls: type[T], slots: bool) -> type[T]:
    """``cls`` with the methods of a frozen dataclass."""
    # What a subclass made by the standard decorator asks.
    cls.__dataclass_params__.frozen = True  # type: ignore[attr-defined]
    methods: dict[str, Any] = {"__repr__": _repr, "__setattr__": _no_set, "__delattr__": _no_delete}
    if slots:
        methods |= {"__getstate__": _state, "__setstate__": _restore}
    methods |= {name: _late(cls, name) for name in _WRITERS}
    for name, method in methods.items():
        # Its own method stays, as with the standard decorator.
        if name not in cls.__dict__ or (name == "__hash__" and cls.__dict__[name] is None):
            setattr(cls, name, method)
    return cls


def _late(cls: type, name: str) -> Any:
    """A method that writes itself when it is first called."""

    def method(*args: Any, **kwargs: Any) -> Any:
        names: dict[str, Any] = {}
        exec(_WRITERS[name](cls, names), names)
        written = names[name]
        written.__qualname__ = f"{cls.__qualname__}.{name}"
        setattr(cls, name, written)
        return written(*args, **kwargs)

    method.__name__, method.__qualname__ = name, f"{cls.__qualname__}.{name}"
    return method


def _init(cls: type, names: dict[str, Any]) -> str:
    """Source of ``__init__``; what it needs by name goes into ``names``."""
    head, body = [], []
    for f in dataclasses.fields(cls):
        value = f.name
        if f.default_factory is not dataclasses.MISSING:
            names[f"new_{f.name}"], names["MISSING"] = f.default_factory, dataclasses.MISSING
            head.append(f"{f.name}=MISSING")
            value = f"new_{f.name}() if {f.name} is MISSING else {f.name}"
        elif f.default is not dataclasses.MISSING:
            names[f"default_{f.name}"] = f.default
            head.append(f"{f.name}=default_{f.name}")
        else:
            head.append(f.name)
        slot = cls.__dict__.get(f.name)
        if slot is not None and hasattr(slot, "__set__"):
            names[f"set_{f.name}"] = slot.__set__
            body.append(f" set_{f.name}(self, {value})")
        else:
            names["set_any"] = object.__setattr__
            body.append(f" set_any(self, {f.name!r}, {value})")
    if hasattr(cls, "__post_init__"):
        body.append(" self.__post_init__()")
    return "\n".join([f"def __init__({', '.join(['self', *head])}):", *body, " return None"])


def _values(cls: type, of: str) -> str:
    compared = (f.name for f in dataclasses.fields(cls) if f.compare)
    return "(" + "".join(f"{of}.{name}," for name in compared) + ")"


def _eq(cls: type, names: dict[str, Any]) -> str:
    return (
        "def __eq__(self, other):\n"
        " if other.__class__ is self.__class__:\n"
        f"  return {_values(cls, 'self')} == {_values(cls, 'other')}\n"
        " return NotImplemented"
    )


def _hash(cls: type, names: dict[str, Any]) -> str:
    return f"def __hash__(self):\n return hash({_values(cls, 'self')})"


_WRITERS = {"__init__": _init, "__eq__": _eq, "__hash__": _hash}


def _repr(self: Any) -> str:
    said = (f"{f.name}={getattr(self, f.name)!r}" for f in dataclasses.fields(self))
    return f"{type(self).__qualname__}({', '.join(said)})"


def _no_set(self: Any, name: str, value: object) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot assign to field {name!r}")


def _no_delete(self: Any, name: str) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot delete field {name!r}")


def _state(self: Any) -> list[Any]:
    return [getattr(self, f.name) for f in dataclasses.fields(self)]


def _restore(self: Any, state: list[Any]) -> None:
    for f, value in zip(dataclasses.fields(self), state, strict=True):
        object.__setattr__(self, f.name, value)
