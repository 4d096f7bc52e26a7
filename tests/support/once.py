"""What follows from a pen's and a shop's content alone, worked out once in a process: for tests
whose subject is what becomes of a design, and not the design."""

from __future__ import annotations

import pickle
from collections.abc import Callable, Hashable, Iterator
from typing import Any

import pytest
from pydantic import BaseModel

from mandrelgen.assess.settled import designs, settled
from mandrelgen.workflows import bench_look, check, rejudge, trial
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
        yield


def _kept(call: Callable[..., Any], key: Callable[..., Hashable]) -> Callable[..., Any]:
    known: dict[Hashable, Any] = {}

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
