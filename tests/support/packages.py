"""What is installed and who needs whom, for tests."""

from __future__ import annotations

import importlib.metadata as metadata
import tomllib
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from tests.paths import ROOT

PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
NEEDED = [Requirement(r) for r in PROJECT["dependencies"]]
CAD = [Requirement(r) for r in PROJECT["optional-dependencies"]["cad"]]


def closure(roots: list[Requirement]) -> dict[str, metadata.Distribution]:
    """Every installed package that these need here, without extras."""
    found: dict[str, metadata.Distribution] = {}
    waiting = list(roots)
    while waiting:
        need = waiting.pop()
        name = canonicalize_name(need.name)
        if name in found or (need.marker and not need.marker.evaluate({"extra": ""})):
            continue
        found[name] = metadata.distribution(need.name)
        waiting += map(Requirement, found[name].requires or [])
    return found


def files_of(distributions: dict[str, metadata.Distribution]) -> list[Path]:
    """Every file that these packages installed and that is there."""
    named = (Path(str(f.locate())) for d in distributions.values() for f in d.files or [])
    return [p for p in named if p.is_file()]
