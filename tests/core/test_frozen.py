"""Our decorator of frozen values against the standard library's: made alike, they behave alike."""

from __future__ import annotations

import copy
import dataclasses
import inspect
import pickle
from dataclasses import FrozenInstanceError, field, replace
from typing import Any

import pytest

from mandrelgen.core import frozen

MOST = 10


def _counted(self: Any) -> None:
    if self.size > MOST:
        raise ValueError("too large")


@frozen.dataclass(frozen=True, slots=True)
class Slotted:
    """Every kind of field the program uses."""

    name: str
    size: float = 1.5
    parts: list[int] = field(default_factory=list)
    __post_init__ = _counted


@frozen.dataclass(frozen=True)
class Open:
    """With a dictionary of its own."""

    name: str
    size: float = 1.5
    parts: tuple[int, ...] = ()
    __post_init__ = _counted


@frozen.dataclass(frozen=True, slots=True)
class Apart:
    """A field that is not compared."""

    name: str
    origin: str = field(default="", compare=False)


@frozen.dataclass(frozen=True, slots=True)
class Empty:
    """Nothing in it."""


@frozen.dataclass(frozen=True, slots=True)
class Own:
    """A method of its own stays."""

    size: float

    def __repr__(self) -> str:
        return "own"


@dataclasses.dataclass(frozen=True, slots=True)
class StandardSlotted:
    """The same by the standard library."""

    name: str
    size: float = 1.5
    parts: list[int] = field(default_factory=list)
    __post_init__ = _counted


@dataclasses.dataclass(frozen=True)
class StandardOpen:
    """The same by the standard library."""

    name: str
    size: float = 1.5
    parts: tuple[int, ...] = ()
    __post_init__ = _counted


PAIRS: list[tuple[Any, Any]] = [(Slotted, StandardSlotted), (Open, StandardOpen)]


@pytest.mark.parametrize(("ours", "standard"), PAIRS)
def test_a_value_says_equals_hashes_and_copies_as_the_standard_ones(
    ours: Any, standard: Any
) -> None:
    for args, more in ((("a",), {}), (("a", 2.0), {"parts": (1, 2)}), ((), {"name": "é"})):
        mine, theirs = ours(*args, **more), standard(*args, **more)
        assert repr(mine) == repr(theirs).removeprefix("Standard")
        assert dataclasses.astuple(mine) == dataclasses.astuple(theirs)
        assert mine == ours(*args, **more) != theirs
        assert mine != ours("b", 2.0)
        changed = replace(mine, size=3.0)
        assert dataclasses.asdict(changed) == dataclasses.asdict(replace(theirs, size=3.0))
        for again in (copy.copy(mine), copy.deepcopy(mine), pickle.loads(pickle.dumps(mine))):
            assert again == mine
            assert type(again) is ours
        assert ours.__match_args__ == standard.__match_args__
        assert hasattr(mine, "__dict__") == hasattr(theirs, "__dict__")
    # Of values that can be hashed the hash is the standard one: that of the fields' tuple.
    assert (
        hash(ours("a", 2.0, (1, 2))) == hash(standard("a", 2.0, (1, 2))) == hash(("a", 2.0, (1, 2)))
    )


@pytest.mark.parametrize(("ours", "standard"), PAIRS)
def test_a_value_refuses_what_the_standard_ones_refuse(ours: Any, standard: Any) -> None:
    for kind in (ours, standard):
        value = kind("a")
        for act in (
            lambda v: setattr(v, "size", 2.0),
            lambda v: delattr(v, "size"),
        ):
            with pytest.raises(FrozenInstanceError, match=r"cannot (assign to|delete) field"):
                act(value)
        # The standard decorator stumbles over a class with slots here, with a TypeError.
        with pytest.raises((FrozenInstanceError, TypeError)):
            value.other = 2.0
        assert value.size == 1.5
        with pytest.raises(ValueError, match="too large"):
            kind("a", 11.0)
        with pytest.raises(TypeError, match="missing 1 required positional argument: 'name'"):
            kind()
        with pytest.raises(TypeError, match="unexpected keyword argument 'weight'"):
            kind("a", weight=1)


def test_a_factory_makes_a_new_value_each_time() -> None:
    first, second = Slotted("a"), Slotted("b")
    first.parts.append(1)
    assert second.parts == []


def test_methods_are_written_once_and_by_the_fields() -> None:
    Slotted("a")
    written = Slotted.__init__
    Slotted("b")
    assert Slotted.__init__ is written
    names = list(inspect.signature(written).parameters)
    assert names == ["self", "name", "size", "parts"]
    assert Empty() == Empty()
    assert hash(Empty()) == hash(())
    assert repr(Empty()) == "Empty()"
    assert repr(Own(1.0)) == "own"


def test_ordered_and_changeable_ones_are_the_standard_ones() -> None:
    @frozen.dataclass(frozen=True, order=True)
    class Ordered:
        size: float

    @frozen.dataclass
    class Changed:
        size: float

    assert Ordered(1.0) < Ordered(2.0)
    value = Changed(1.0)
    value.size = 2.0
    assert value == Changed(2.0)


def test_a_standard_class_may_follow_ours() -> None:
    @dataclasses.dataclass(frozen=True)
    class Longer(Open):
        more: int = 0

    assert Longer("a", more=2) == Longer("a", 1.5, (), 2)


def test_a_field_that_is_not_compared_is_neither_equal_nor_hashed() -> None:
    assert Apart("a", "x") == Apart("a", "y") != Apart("b", "x")
    assert hash(Apart("a", "x")) == hash(Apart("a", "y"))
    assert "origin='x'" in repr(Apart("a", "x"))
