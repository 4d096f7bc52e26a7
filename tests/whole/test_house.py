"""The house keeps its rule: DEVELOPERS.md quotes the contract, modules stay small."""

from __future__ import annotations

import re
import tomllib

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
