"""The house keeps its rule: DEVELOPERS.md quotes the contract, modules stay small."""

from __future__ import annotations

import ast
import io
import re
import tokenize
import tomllib

import pytest

from tests.paths import ROOT

PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
PACKAGE = ROOT / "mandrelgen"


def test_developers_md_quotes_the_layer_rule_as_the_contract_has_it() -> None:
    contracts = PROJECT["tool"]["importlinter"]["contracts"]
    (rooms,) = (c["layers"] for c in contracts if c["id"] == "rooms")
    text = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    (quoted,) = re.findall(r"^`(cli → .*)`$", text, re.M)
    assert quoted.split(" → ") == rooms


def test_nothing_stands_in_the_package_root_but_its_two_files() -> None:
    assert {p.name for p in PACKAGE.glob("*.py")} == {"__init__.py", "__main__.py"}


def test_no_module_is_longer_than_400_lines() -> None:
    long = {
        str(p.relative_to(ROOT)): n
        for p in PACKAGE.rglob("*.py")
        if (n := len(p.read_text(encoding="utf-8").splitlines())) > 400
    }
    assert not long


# A dataclass or a named tuple; what follows its name and bracket where an argument goes by place.
RECORD = re.compile(r"^@dataclass\b[^\n]*\nclass (\w+)|^class (\w+)\(NamedTuple\)", re.M)
BY_PLACE = re.compile(r"(?<!class )\b(\w+)\((?=\s*(?!\w+=[^=]|\)|\s))")


def by_place(names: set[str], text: str) -> list[str]:
    """Calls of one of ``names`` with more than four arguments, of which some go by place. Parsing
    those calls alone takes a tenth of what whole modules would; texts and doctests are left."""
    found = []
    for m in BY_PLACE.finditer(text):
        line = text[text.rfind("\n", 0, m.start()) + 1 : m.start()]
        said = line.count('"') % 2 or line.lstrip().startswith((">>>", "..."))
        if m[1] not in names or said:
            continue
        call = ast.parse(whole(text[m.start() :]), mode="eval").body
        assert isinstance(call, ast.Call)
        if len(call.args) + len(call.keywords) > 4:
            found.append(f"{text.count(chr(10), 0, m.start()) + 1}: {m[1]}")
    return found


def whole(text: str) -> str:
    """The call that ``text`` begins with, up to the bracket that closes it."""
    depth = 0
    for token in tokenize.generate_tokens(io.StringIO(text).readline):
        if token.type != tokenize.OP:  # from Python 3.12 the text of an f-string is a token too
            continue
        depth += {"(": 1, "[": 1, "{": 1, ")": -1, "]": -1, "}": -1}.get(token.string, 0)
        if depth == 0 and token.string == ")":
            row, column = token.end
            lines = text.splitlines(keepends=True)[:row]
            return "".join((*lines[:-1], lines[-1][:column]))
    raise AssertionError("a call that does not end")


def test_constructors_with_more_than_four_arguments_are_called_by_name() -> None:
    """What a place in a row means is not seen where the row is long."""
    texts = {p: p.read_text("utf-8") for p in PACKAGE.rglob("*.py")}
    names = {a or b for text in texts.values() for a, b in RECORD.findall(text)}
    assert len(names) > 300
    assert not {
        str(p.relative_to(ROOT)): rows
        for p, text in texts.items()
        if (rows := by_place(names, text))
    }


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("x = m.Row(1, 2, 3, 4, e=5)", ["1: Row"]),
        ("y = 0\nRow(\n    f(1, 2), (3, ')'),\n    4, *z, e=5)\n", ["2: Row"]),
        ("Row(1, f'{a} ({b})', 3, f'){c[0]}', 5) + 6", ["1: Row"]),
        ("Row(1, 2, 3, 4)", []),
        ("Row(a=1, b=2, c=3, d=4, e=5)", []),
        ("Other(1, 2, 3, 4, 5)", []),
    ],
)
def test_an_argument_by_place_in_a_long_row_is_seen(text: str, found: list[str]) -> None:
    assert by_place({"Row"}, text) == found
