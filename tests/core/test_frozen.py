"""Our frozen values behave as the standard library's.

Source: `dataclasses` of the Python that runs the tests, beside which each class is made.
"""

from __future__ import annotations

import ast
import copy
import dataclasses
import inspect
import math
import pickle
from dataclasses import FrozenInstanceError, field, fields, replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mandrelgen.core.frozen import dataclass

HERE = Path(__file__).parent.parent.parent / "mandrelgen"
NAMES = ("a", "set", "self", "missing")
VALUES = st.one_of(st.integers(0, 2), st.just("x"), st.just((1, 2)))
WAYS = st.sampled_from(("plain", "default", "factory", "uncompared", "unshown", "keyword"))


@dataclass(frozen=True, slots=True)
class Bore:
    """One that can be pickled."""

    diameter: float
    depth: float = 10.0


@dataclass(frozen=True, slots=True)
class Stepped(Bore):
    """One that is another."""

    step: tuple[float, ...] = field(default_factory=tuple)


def of(way: str) -> Any:
    """What stands behind a field."""
    return {
        "plain": ..., "default": 7, "factory": field(default_factory=list),
        "uncompared": field(default=1, compare=False), "unshown": field(default=2, repr=False),
        "keyword": field(kw_only=True),
    }[way]  # fmt: skip


def made(make: Any, ways: list[str], kw_only: bool) -> Any:
    """A class with one field for each way, made by ``make``."""
    said = dict(zip(NAMES, ways, strict=False))
    body = {n: of(w) for n, w in said.items() if w != "plain"}
    kind = type("Kind", (), {"__annotations__": dict.fromkeys(said, "object"), **body})
    kind.__qualname__ = "Kind"
    return make(frozen=True, slots=True, kw_only=kw_only)(kind)


def told(call: Any) -> Any:
    """What it gives, or what it raises."""
    try:
        return call()
    except Exception as e:
        return type(e), str(e)


@given(st.lists(WAYS, max_size=4), st.booleans(), st.lists(VALUES, max_size=5), st.data())
def test_a_class_behaves_as_one_of_the_standard_library(
    ways: list[str], kw_only: bool, values: list[Any], data: st.DataObject
) -> None:
    ours = told(lambda: made(dataclass, ways, kw_only))
    theirs = told(lambda: made(dataclasses.dataclass, ways, kw_only))
    if isinstance(theirs, tuple):
        assert ours[0] is theirs[0]  # a field without a default behind one with
        return
    names = data.draw(st.lists(st.sampled_from((*NAMES, "other")), unique=True, max_size=5))
    by_name = dict(zip(names, values, strict=False))
    by_place = data.draw(st.lists(VALUES, max_size=4))
    a, b = told(lambda: ours(*by_place, **by_name)), told(lambda: theirs(*by_place, **by_name))
    assert ours.__match_args__ == theirs.__match_args__
    assert ours.__slots__ == theirs.__slots__
    assert list(inspect.signature(ours).parameters) == list(inspect.signature(theirs).parameters)
    if isinstance(b, tuple):
        assert a == b
        return
    assert repr(a) == repr(b)
    assert told(lambda: hash(a)) == told(lambda: hash(b))
    other = data.draw(st.lists(VALUES, min_size=4, max_size=4))
    change = {f.name: v for f, v in zip(fields(theirs), other, strict=False)}
    c, d = replace(a, **change), replace(b, **change)
    assert (a == c) == (b == d)
    assert repr(c) == repr(d)
    assert a == copy.copy(a)
    assert repr(copy.deepcopy(a)) == repr(a)
    assert a != b
    assert (a == 3) is False


@given(st.sampled_from(("diameter", "depth", "other")))
def test_nothing_is_changed_after_it_is_made(name: str) -> None:
    bore = Bore(6.0)
    with pytest.raises(FrozenInstanceError, match=f"cannot assign to field '{name}'"):
        setattr(bore, name, 7.0)
    with pytest.raises(FrozenInstanceError, match=f"cannot delete field '{name}'"):
        delattr(bore, name)
    assert bore == Bore(6.0, 10.0)


def test_a_value_goes_to_another_process_and_back() -> None:
    for value in (Bore(6.0, 2.0), Stepped(6.0, step=(5.0, 4.0))):
        there = pickle.loads(pickle.dumps(value))
        assert there == value
        assert type(there) is type(value)
        assert hash(there) == hash(value)


def test_one_that_inherits_has_all_fields_and_equals_only_its_kind() -> None:
    assert repr(Stepped(6.0)) == "Stepped(diameter=6.0, depth=10.0, step=())"
    assert Stepped(6.0) != Bore(6.0)
    with pytest.raises(FrozenInstanceError):
        Stepped(6.0).step = (1.0,)  # type: ignore[misc]


def test_what_is_wanted_beside_frozen_and_slots_comes_of_the_standard_library() -> None:
    @dataclass(slots=True)
    class Open:
        a: int = 1

    @dataclass(frozen=True, slots=True, order=True)
    class Ordered:
        a: int

    value = Open()
    value.a = 2
    assert value == Open(2)
    assert Ordered(1) < Ordered(2)


def test_a_field_outside_init_and_a_list_as_default_are_refused() -> None:
    with pytest.raises(TypeError, match="made is more than a plain field"):

        @dataclass(frozen=True, slots=True)
        class Late:
            made: int = field(init=False, default=3)

    with pytest.raises(ValueError, match="mutable default"):

        @dataclass(frozen=True, slots=True)
        class Loose:
            made: list[int] = []  # noqa: RUF012 that is what is refused


def test_what_the_quick_way_does_not_know_is_refused() -> None:
    with pytest.raises(TypeError, match="made is more than a plain field"):

        @dataclass(frozen=True, slots=True)
        class Hashed:
            made: int = field(hash=False, default=3)

    with pytest.raises(TypeError, match="given is more than a plain field"):

        @dataclass(frozen=True, slots=True)
        class Given:
            given: dataclasses.InitVar[int]

    for make in (dataclass, dataclasses.dataclass):
        with pytest.raises(TypeError, match=r"(?i)cannot overwrite attribute __setattr__"):

            @make(frozen=True, slots=True)
            class Open:
                a: int

                def __setattr__(self, name: str, value: object) -> None:
                    """Would make it changeable."""


def test_one_that_says_it_has_no_hash_has_none() -> None:
    @dataclass(frozen=True, slots=True)
    class Plain:
        a: int
        __hash__ = None  # type: ignore[assignment]

    with pytest.raises(TypeError, match="unhashable"):
        hash(Plain(1))


def test_the_same_that_is_no_number_is_equal_to_itself() -> None:
    """As before Python 3.13, which compares field by field."""
    assert Bore(math.nan) == Bore(math.nan)
    assert Bore(float("nan")) != Bore(float("nan"))


def test_what_is_checked_at_the_end_of_init_is_checked() -> None:
    @dataclass(frozen=True, slots=True)
    class Positive:
        a: float

        def __post_init__(self) -> None:
            if self.a <= 0:
                raise ValueError("not positive")

    assert Positive(1.0).a == 1.0
    with pytest.raises(ValueError, match="not positive"):
        Positive(0.0)


def test_what_a_class_says_itself_stays() -> None:
    @dataclass(frozen=True, slots=True)
    class Named:
        """With a text of its own."""

        name: str

        def __repr__(self) -> str:
            return f"<{self.name}>"

        def __eq__(self, other: object) -> bool:
            return isinstance(other, Named) and self.name.lower() == other.name.lower()

    assert repr(Named("wren")) == "<wren>"
    assert Named("wren") == Named("WREN")
    assert hash(Named("wren")) == hash(("wren",))
    assert Named.__doc__ == "With a text of its own."


def test_every_frozen_class_of_the_program_with_slots_is_made_quickly() -> None:
    slow = []
    for path in HERE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module == "dataclasses":
                text = path.read_text(encoding="utf-8")
                named = any(n.name == "dataclass" for n in node.names)
                slow += [path.name] if named and "frozen=True, slots=True" in text else []
    assert not slow
