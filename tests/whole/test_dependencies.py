"""Every declared dependency is imported somewhere, or is named here with what picks it up."""

from __future__ import annotations

import ast
import importlib.metadata as metadata
from functools import cache
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from tests.paths import ROOT
from tests.support.packages import PROJECT, files_of

EXTRAS = PROJECT["optional-dependencies"]
NEEDED = [*PROJECT["dependencies"], *EXTRAS["cad"]]
FOR_TESTS = [r for r in (*EXTRAS["light"], *EXTRAS["test"]) if not r.startswith("mandrelgen[")]
# Accelerators and helpers: package -> (who imports it, under which name).
PICKED_UP = {
    "networkx": ("trimesh", "networkx"),
    "python-multipart": ("starlette", "python_multipart"),  # the forms of the bench page
    "rl-accel": ("reportlab", "_rl_accel"),
}
# Programs and stubs: package -> (the file that calls or names them, how).
CALLED = {
    "hatchling": ("pyproject.toml", 'build-backend = "hatchling.build"'),
    "import-linter": (".ci/run", "lint-imports"),
    "mypy": (".ci/run", "mypy"),
    "pytest-xdist": ("pyproject.toml", "-n auto"),
    "ruff": (".ci/run", "ruff check"),
    "types-reportlab": ("pyproject.toml", '"reportlab.*"'),
}


@cache
def imported(*folders: str) -> frozenset[str]:
    """The top-level names that Python files below these folders import, at any place in them."""
    found = set()
    for path in (p for f in folders for p in (ROOT / f).rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Import):
                found |= {a.name.partition(".")[0] for a in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
                found.add(node.module.partition(".")[0])
            elif isinstance(node, ast.Call) and ast.unparse(node.func) == "pytest.importorskip":
                found |= {a.value for a in node.args if isinstance(a, ast.Constant)}
    return frozenset(found)


@cache
def modules() -> dict[str, set[str]]:
    """Package -> the top-level names it installs."""
    found: dict[str, set[str]] = {}
    for name, owners in metadata.packages_distributions().items():
        for owner in owners:
            found.setdefault(canonicalize_name(owner), set()).add(name)
    for d in metadata.distributions():  # some name no top level: then it is the package's own name
        name = canonicalize_name(d.name)
        found.setdefault(name, {name.replace("-", "_")})
    return found


def name_of(requirement: str) -> str:
    return canonicalize_name(Requirement(requirement).name)


@pytest.mark.parametrize("name", [n for n in map(name_of, NEEDED) if n not in PICKED_UP])
def test_what_we_need_is_imported_by_the_package(name: str) -> None:
    assert modules()[name] & imported("mandrelgen")


@pytest.mark.parametrize("name", sorted(PICKED_UP))
def test_an_accelerator_is_picked_up_by_the_package_named(name: str) -> None:
    assert name in map(name_of, NEEDED + FOR_TESTS)
    owner, module = PICKED_UP[name]
    assert module in modules()[name]
    own = [p for p in files_of({owner: metadata.distribution(owner)}) if p.suffix == ".py"]
    assert any(module in p.read_text("utf-8") for p in own)


@pytest.mark.parametrize("name", sorted(set(map(name_of, FOR_TESTS)) - set(PICKED_UP)))
def test_what_the_tests_need_is_used_by_them(name: str) -> None:
    if name in CALLED:
        file, how = CALLED[name]
        assert how in (ROOT / file).read_text("utf-8")
    else:
        assert modules()[name] & imported("tests")


def test_what_is_named_here_is_declared() -> None:
    assert set(CALLED) <= set(map(name_of, FOR_TESTS))
    assert Path(ROOT / "mandrelgen" / "py.typed").is_file()
