"""A pen with one fault (or, beside it, with none), and what is expected of the judging."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from tests.judging.sane import SEEDS, drawn
from tests.judging.trees import Sizes, Tree, pen, shop

BASES = 3
STEP = 0.02
"""How far inside and outside a limit the nearest pens lie, mm (or share): well over the 0.001 that
a pen file is written to, well under what a maker sets."""


@dataclass(frozen=True)
class Case:
    """One pen. ``level``: expected ("" on the silent side); ``places``: any of these names it (an
    end, a part, a mandrel); ``value``: the figure behind it; ``siblings`` are silent by the same
    arithmetic."""

    kind: str
    level: str
    places: tuple[str, ...]
    value: float
    pen: Tree
    shop: Tree
    sizes: Sizes

    @property
    def faulty(self) -> bool:
        """True on the error and the warning side."""
        return bool(self.level)


@dataclass(frozen=True)
class Kind:
    """A kind of fault: where its limits come from, and the pens of one base."""

    name: str
    family: str
    source: str
    module: str
    make: Callable[[Sizes], Iterator[Case]]


KINDS: dict[str, Kind] = {}

Maker = Callable[[Sizes], Iterator[tuple[str, tuple[str, ...], float, Tree, Tree]]]


def kind(name: str, family: str, source: str) -> Callable[[Maker], Maker]:
    """Register a generator of (level, places, value, pen, shop) under a stable name of ours."""

    def register(maker: Maker) -> Maker:
        def make(s: Sizes) -> Iterator[Case]:
            for level, places, value, tree, place_of_work in maker(s):
                yield Case(
                    kind=name,
                    level=level,
                    places=places,
                    value=round(value, 4),
                    pen=tree,
                    shop=place_of_work,
                    sizes=s,
                )

        KINDS[name] = Kind(
            name=name, family=family, source=source, module=maker.__module__, make=make
        )
        return maker

    return register


def bases(seed: str) -> tuple[Sizes, ...]:
    """The sane pens that the faults are put into."""
    rng = random.Random(SEEDS[seed] + 1)
    return tuple(drawn(rng, plain=True).but(nib_thread=False) for _ in range(BASES))


def grades(error: float, warning: float, *deep: float) -> Iterator[tuple[str, float]]:
    """Level and figure: deep in the error, in and just outside each limit."""
    for value in (*deep, error - STEP):
        yield "error", value
    yield "warning", error + STEP
    yield "warning", warning - STEP
    yield "", warning + STEP


def asking(tree: Tree, *holds: str, **wishes: Any) -> Tree:
    """The pen with only these mandrels asked for, so that consequences of a pen's fault in other
    places do not stand beside it."""
    requests = [{"holds": h, **wishes} for h in holds]
    tree["mandrels"] = {"all_needed": False, "requests": requests}
    return tree


def base_pen(s: Sizes, *holds: str, **wishes: Any) -> Tree:
    """A fresh tree of the sizes, asking for these mandrels."""
    return asking(pen(s), *holds, **wishes)


def lone_barrel(s: Sizes, *holds: str) -> Tree:
    """The same without a section, so that the barrel's inner thread may be any size."""
    tree = base_pen(s, *holds)
    del tree["parts"]["section"]
    tree["parts"]["barrel"]["ends"]["mouth"]["internal"].pop("mates")
    return tree


def bench() -> Tree:
    """The workshop of nearly every case."""
    return shop("bench")
