"""Every faulty pen, of all kinds."""

from __future__ import annotations

import importlib

from tests.judging.cases import KINDS, Case, Kind, bases

MODULES = tuple(
    f"tests.judging.{name}"
    for name in ("faulty", "faulty_joints", "faulty_mandrels", "faulty_strength")
)


def kinds() -> tuple[Kind, ...]:
    """Every kind, module by module, in the order they are written."""
    for name in MODULES:  # each registers its kinds
        importlib.import_module(name)
    return tuple(sorted(KINDS.values(), key=lambda k: MODULES.index(k.module)))


def faulty(seed: str = "first") -> tuple[Case, ...]:
    """Every case of every kind, silent sides included, in a stable order."""
    every = kinds()
    return tuple(c for s in bases(seed) for k in every for c in k.make(s))
