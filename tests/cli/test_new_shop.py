"""``new``: the shop file beside a first pen, by what was said of the collets, taps and dies."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from mandrelgen.spec.key_list import keys
from mandrelgen.spec.read import read_shop
from tests.support.commands import here


def test_a_new_shop_file_holds_only_what_was_said(tmp_path: Path) -> None:
    done = here("new", "one", "--thread", "barrel=M9x0.75", "--collets", "ER 25: 4 to 6, 3/8 in",
               "--die", "M9x0.75", cwd=tmp_path)  # fmt: skip
    assert done.returncode == 0, done.stderr
    text = (tmp_path / "shop.toml").read_text("utf-8")
    assert tomllib.loads(text) == {
        "schema": 1, "collets": [{"system": "ER 25", "sizes": [4, 5, 6, "3/8 in"]}],
        "dies": [{"thread": "M9x0.75"}],
    }  # fmt: skip
    read_shop(text.encode(), "shop.toml")
    again = here("new", "two", "--thread", "barrel=M9x0.75", "--tap", "M8x1", cwd=tmp_path)
    assert again.returncode == 2
    assert "shop.toml is already there" in again.stderr


def test_nothing_said_of_a_shop_leaves_comments_each_a_key_of_it(tmp_path: Path) -> None:
    here("new", "one", "--thread", "barrel=M9x0.75", cwd=tmp_path)
    text = (tmp_path / "shop.toml").read_text("utf-8")
    assert tomllib.loads(text) == {"schema": 1}
    uncommented = "\n".join(
        line.removeprefix("# ") if re.match(r"# (\[|\w+ = )", line) else line
        for line in text.splitlines()
    )
    known = {k.path.replace(".<name>", ".caliper") for k in keys() if k.file == "shop"}
    assert set(_paths(tomllib.loads(uncommented))) <= known


def _paths(tree: dict[str, object], at: str = "") -> Iterator[str]:
    for name, value in tree.items():
        for row in value if isinstance(value, list) else [value]:
            if isinstance(row, dict):
                yield from _paths(row, f"{at}{name}.")
        if not isinstance(value, dict):
            yield at + name


@pytest.mark.parametrize(
    ("collets", "words"),
    [("6 8 10", "not a system"), ("ER25", "not a system"), ("ER25 6 eight", "eight"),
     ("ER25 6 60", "60"), ("mine: 6 8", "mine")],
)  # fmt: skip
def test_collets_that_cannot_be_read_are_told(tmp_path: Path, collets: str, words: str) -> None:
    done = here("new", "one", "--thread", "barrel=M9x0.75", "--collets", collets, cwd=tmp_path)
    assert done.returncode == 2
    assert words in done.stderr
    assert not list(tmp_path.iterdir())
