"""What follows from content alone, worked out once in a process: designs of a pen and a shop, and
files of a mandrel. For tests whose subject is what becomes of them, and not the design or drawing.
"""

from __future__ import annotations

import pickle
from collections.abc import Callable, Hashable, Iterator
from dataclasses import fields
from functools import wraps
from typing import Any

import pytest
from pydantic import BaseModel

from mandrelgen.assess.settled import designs, settled
from mandrelgen.workflows import bench_look, check, make, package, rejudge, trial
from mandrelgen.workflows.build import Build
from mandrelgen.workflows.remedies import tried


@pytest.fixture(scope="module", autouse=True)
def _designed_once() -> Iterator[None]:
    """For the whole folder in whose ``conftest.py`` this stands."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(rejudge, "designs", _DESIGNS)
        # Not its `designs` apart: its findings know a wish by the very object in the pen.
        for module in (bench_look, check, trial):
            patch.setattr(module, "settled", _SETTLED)
        for module in (check, bench_look):
            patch.setattr(module, "tried", _TRIED)
        for name, kept in _FILES.items():
            patch.setattr(package, name, kept)
        for name, kept in _TABLES.items():
            patch.setattr(make, name, kept)
        yield


@pytest.fixture
def drawn_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every file is written as if none had been: for a test that compares two made alike."""
    for name, kept in _FILES.items():
        monkeypatch.setattr(package, name, kept.__wrapped__)


def _kept(call: Callable[..., Any], key: Callable[..., Hashable]) -> Callable[..., Any]:
    known: dict[Hashable, Any] = {}

    @wraps(call)  # so that it may go to a worker by its name
    def asked(*args: Any) -> Any:
        what = key(*args)
        if what not in known:
            known[what] = call(*args)
        return known[what]

    return asked


def _content(model: BaseModel) -> bytes:
    """All of it: what was not said, and where a wish was read, count too. Alike in another order
    is only worked out twice."""
    return pickle.dumps(model)


def _of_pen(pen: BaseModel, shop: BaseModel) -> Hashable:
    return _content(pen), _content(shop)


_DESIGNS = _kept(designs, _of_pen)
_SETTLED = _kept(settled, _of_pen)
_TRIED = _kept(tried, lambda found, bench: (found, bench.data, _content(bench.shop)))


def _of_build(build: Build, *how: object) -> Hashable:
    """What was worked out of a build before is kept beside its fields, and is none of them."""
    return pickle.dumps(([getattr(build, f.name) for f in fields(build)], how))


_FILES = {name: _kept(getattr(package, name), _of_build) for name in ("draw", "model")}
_TABLES = {
    name: _kept(getattr(make, name), lambda *of: pickle.dumps(of))
    for name in ("cost_tables", "papers_beside")
}
