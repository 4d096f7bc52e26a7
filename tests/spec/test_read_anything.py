"""Reading pen and shop files: whatever is in them, it is read or refused in plain words."""

from __future__ import annotations

import json
import tomllib

import pytest
import tomlkit
from hypothesis import given, settings
from hypothesis import strategies as st

from mandrelgen.core.errors import Finding, InputError, Level
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.places import Places
from mandrelgen.spec.remark import dotted
from mandrelgen.spec.shop import Shop
from tests.spec.test_read import QUICK, STARTERS, TEXTS, VALIDATORS, check_words, read

WORDS = st.sampled_from(["a", "b", "c-1", "d_2", "x y", "ü", "q.r", ""])
SCALARS = st.one_of(st.integers(-5, 5), st.booleans(), st.text("ab\n\"#]}=\t'", max_size=6))
TREES = st.dictionaries(
    WORDS,
    st.recursive(
        SCALARS,
        lambda s: st.lists(s, max_size=3) | st.dictionaries(WORDS, s, max_size=3),
        max_leaves=8,
    ),
    max_size=4,
)


@QUICK
@given(TREES)
def test_places_find_a_key_that_tomlkit_wrote(tree: dict[str, object]) -> None:
    """A marker is written by an independent TOML writer and found on its line."""
    marked = {**tree, "mark": {"list": [{"x": 1}, {"in": {"target": 12345}}]}, "z": 1}
    text = tomlkit.dumps(marked)
    line = next(i for i, t in enumerate(text.split("\n"), 1) if "target" in t)
    assert Places(text).line(("mark", "list", 1, "in", "target")) == line


def check_survives(kind: str, data: bytes) -> None:
    """A model, or findings in plain words; never another exception."""
    try:
        assert isinstance(read(kind, data), Pen | Shop)
        findings: tuple[Finding, ...] | None = None
    except InputError as error:
        findings = error.findings
    if findings is not None:
        assert findings
        for finding in findings:
            check_words(finding, kind)
            assert finding.level is Level.ERROR


@QUICK
@given(st.sampled_from(STARTERS), st.data())
def test_broken_bytes_never_raise_anything_else(pair: tuple[str, str], data: st.DataObject) -> None:
    raw = bytearray(TEXTS[pair].encode())
    for _ in range(data.draw(st.integers(1, 4))):
        if not raw:
            break
        at = data.draw(st.integers(0, len(raw) - 1))
        how = data.draw(st.sampled_from(["set", "cut", "insert", "end"]))
        piece = data.draw(st.binary(min_size=1, max_size=6) | st.sampled_from(PIECES))
        if how == "end":
            del raw[max(at, 1) :]
        else:
            raw[at : at + (0 if how == "insert" else len(piece))] = b"" if how == "cut" else piece
    check_survives(pair[0], bytes(raw))


PIECES = [p.encode() for p in ("[[", "]", "{", "=", '"""', "'", "\n[parts]\n", "\r", "\u0430", ".")]


@QUICK
@given(st.sampled_from(STARTERS), st.data())
def test_shuffled_lines_never_raise_anything_else(
    pair: tuple[str, str], data: st.DataObject
) -> None:
    lines = [t for t in TEXTS[pair].split("\n") if t.strip() and not t.startswith("#")]
    for _ in range(data.draw(st.integers(1, 5))):
        i = data.draw(st.integers(0, len(lines) - 1))
        j = data.draw(st.integers(0, len(lines) - 1))
        match data.draw(st.sampled_from(["drop", "swap", "double"])):
            case "drop" if len(lines) > 1:
                del lines[i]
            case "swap":
                lines[i], lines[j] = lines[j], lines[i]
            case _:
                lines.insert(j, lines[i])
        if not lines:
            break
    check_survives(pair[0], "\n".join(lines).encode())


ODD = st.one_of(
    st.integers(),
    st.integers(-(10**30), 10**30),
    st.floats(),
    st.booleans(),
    st.text(max_size=20).filter(lambda t: not any("\ud800" <= c <= "\udfff" for c in t)),
    st.sampled_from(
        ["3/8 in", "1/0 in", "-0.1", "M6", "M6x0.75-6H-LH", "M1x9", "barrel.mouth", "١٢", "1e9",
         "cap.mouth.external", ".", "..", "H8", "6H", "zz", "9" * 39, "0/5 in", "²"]
    ),
    st.just([]), st.just({}), st.lists(st.integers(0, 9), max_size=3),
    st.dates(), st.datetimes(), st.times(),
)  # fmt: skip


def leaves(value: object, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    below: list[tuple[str | int, ...]] = [path] if path else []
    items = (
        value.items() if isinstance(value, dict)
        else enumerate(value) if isinstance(value, list) else ()
    )  # fmt: skip
    for key, child in items:
        below += leaves(child, (*path, key))
    return below


def changed(data: dict[str, object], draw: st.DataObject) -> dict[str, object]:
    for _ in range(draw.draw(st.integers(1, 3))):
        path = draw.draw(st.sampled_from(leaves(data)))
        holder: object = data
        for step in path[:-1]:
            holder = holder[step]  # type: ignore[index]
        match draw.draw(st.sampled_from(["set", "set", "drop", "rename"])):
            case "drop" if isinstance(holder, dict) and len(data) > 1:
                del holder[path[-1]]
            case "rename" if isinstance(holder, dict):
                holder[f"{path[-1]}x"] = holder.pop(path[-1])
            case _:
                holder[path[-1]] = draw.draw(ODD)  # type: ignore[index]
    return data


@pytest.mark.parametrize(("kind", "name"), [("pen", "bittern"), ("shop", "small")])
@pytest.mark.parametrize("wrong", [{"odd": 1}, "\u00a7 odd", -7])
def test_one_fault_brings_no_other(kind: str, name: str, wrong: object) -> None:
    """Each value in turn is made wrong; whatever is told, is told of that value and no other."""
    told = 0
    for path in leaves(tomllib.loads(TEXTS[kind, name])):
        tree = tomllib.loads(TEXTS[kind, name])
        holder: object = tree
        for step in path[:-1]:
            holder = holder[step]  # type: ignore[index]
        if isinstance(holder[path[-1]], dict | list):  # type: ignore[index]
            continue
        holder[path[-1]] = wrong  # type: ignore[index]
        try:
            read(kind, tomlkit.dumps(tree).encode())
        except InputError as error:
            told += 1
            place = dotted(path)
            strange = [f for f in error.findings if not f.where.split(" ")[1].startswith(place)]
            assert not strange, (path, strange)
    assert told > 15


@settings(QUICK, max_examples=120)
@given(st.sampled_from(STARTERS), st.data())
def test_odd_values_never_raise_anything_else(pair: tuple[str, str], data: st.DataObject) -> None:
    tree = changed(tomllib.loads(TEXTS[pair]), data)
    text = tomlkit.dumps(tree)
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        # What tomlkit cannot write (some control characters) is a test of tomlkit only.
        return
    check_survives(pair[0], text.encode())
    plain = json.loads(json.dumps(tomllib.loads(text), default=str))
    if any(VALIDATORS[pair[0]].iter_errors(plain)):
        # The published schema, in an independent library's hands, is never the stricter one,
        # but for a date, which JSON has to write as a text.
        with pytest.raises(InputError):
            read(pair[0], text.encode())
