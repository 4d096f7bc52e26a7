"""A published table without a validation test fails here."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

import mandrelgen

HERE = Path(__file__)
TABLES = sorted((Path(mandrelgen.__file__).parent / "standards" / "data").glob("*.toml"))


def test_there_are_tables() -> None:
    assert len(TABLES) >= 15


@pytest.mark.parametrize("path", TABLES, ids=lambda p: p.stem)
def test_a_validation_test_names_the_table(path: Path) -> None:
    naming = [
        test.name
        for test in HERE.parent.glob("test_*.py")
        if test != HERE and f"{path.stem}.toml" in test.read_text(encoding="utf-8")
    ]
    assert naming, f"no test in tests/validation names {path.name}"


@pytest.mark.parametrize("path", TABLES, ids=lambda p: p.stem)
def test_a_table_says_where_it_is_from(path: Path) -> None:
    table = tomllib.loads(path.read_text(encoding="utf-8"))
    for key in ("standard", "edition", "table", "unit", "confidence"):
        assert table[key], key
    if "columns" in table:
        assert all(len(row) == len(table["columns"]) for row in table["rows"])
