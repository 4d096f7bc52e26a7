"""What the page says of a pen names no key of a file and no option of a command: every text of the
rooms that find something out is read from their source and spoken."""

from __future__ import annotations

import ast
import inspect
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from pydantic import BaseModel

import mandrelgen
from mandrelgen.spec import pen, shop
from mandrelgen.workflows.answers.spoken import place, spoken
from tests.support.bench_page import folder_with
from tests.support.page_client import Tags, client_of

HOME = Path(mandrelgen.__file__).parent
ROOMS = ("assess", "design", "mechanics", "spec/cross*", "archive/disk/messages*")
KEYS = {
    key
    for module in (pen, shop)
    for kind in vars(module).values()
    if inspect.isclass(kind) and issubclass(kind, BaseModel)
    for key in kind.model_fields
    if "_" in key
}


def said() -> Iterator[tuple[str, str]]:
    """Texts with a blank in them, but for docstrings; what is filled in stands as …"""
    for room in ROOMS:
        base = HOME / room
        paths = base.rglob("*.py") if base.is_dir() else base.parent.glob(base.name)
        for path in sorted(paths):
            tree = ast.parse(path.read_text("utf-8"))
            plain = {id(n.value) for n in ast.walk(tree) if isinstance(n, ast.Expr)}
            inner = {id(v) for n in ast.walk(tree) if isinstance(n, ast.JoinedStr)
                     for v in n.values}  # fmt: skip
            for node in ast.walk(tree):
                if id(node) in plain | inner:
                    continue
                if isinstance(node, ast.JoinedStr):
                    parts = [v.value if isinstance(v, ast.Constant) else "x" for v in node.values]
                    text = "".join(map(str, parts))
                elif isinstance(node, ast.Constant) and isinstance(node.value, str):
                    text = node.value
                else:
                    continue
                if " " in text:
                    yield f"{path.name}:{node.lineno}", text


TECHNICAL = re.compile(
    rf"\[\[|\[\w+\.|\b({'|'.join(sorted(KEYS))})\b|\b[a-z_]{{2,}} = |--[a-z]|shop file|pen file|"
    r"\.toml|mandrelgen (?!was)"
)


def test_nothing_that_is_found_is_said_in_the_language_of_files() -> None:
    rows = list(said())
    before = [r for r in rows if TECHNICAL.search(r[1])]
    assert len(before) > 30, "the terminal keeps the keys"
    left = [(at, spoken(text)) for at, text in before if TECHNICAL.search(spoken(text))]
    assert left == []


@pytest.mark.parametrize(
    ("where", "said"),
    [
        ("reed.toml:12 parts.cap.ends.mouth.diameter", "cap, mouth, diameter"),
        ("reed.toml:9 parts.cap.ends.mouth.bore[2].depth", "cap, mouth, hole 2, depth"),
        ("parts.cap.ends.mouth.bore.1.depth", "cap, mouth, hole 2, depth"),
        ("cap-mouth-plug", "cap-mouth-plug"),
        ("barrel.mouth-cap.mouth", "barrel's mouth in cap's mouth"),
    ],
)
def test_a_place_is_said_as_a_person_says_it(where: str, said: str) -> None:
    assert place(where) == said


def test_the_page_says_where_to_go_and_the_terminal_keeps_the_key(tmp_path: Path) -> None:
    folder = folder_with(tmp_path, "dunlin")
    (folder / "shop.toml").write_text("schema = 1\n", "utf-8")
    with client_of(folder) as page:
        text = page.get("/pens/dunlin/mandrels").text
        words = Tags(text).text
        assert not re.search(r"\[\[|\[mandrels|shop\.toml|far_end|pens = ", words)
        assert '<a href="/shop">My shop</a>' in text
        key = "parts.section.ends.rear.diameter"
        told = page.post("/pens/dunlin/pen/set", data={"key": key, "value": "30"}).text
    assert "30 is more than the part" in Tags(told).text
    with client_of(folder) as page:
        way = Tags(page.get("/pens/dunlin/ways/cap-mouth-plug").text).text
        assert "pens on this thread" in way or "own a die" in way
        assert "pens = " not in way
    assert "dunlin.toml" not in Tags(told).text
    assert "parts.section" not in Tags(told).text
