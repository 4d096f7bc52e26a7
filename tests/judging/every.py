"""Every faulty pen, of all kinds."""

from __future__ import annotations

import importlib

from tests.judging.cases import KINDS, Case, bases

MODULES = ("faulty", "faulty_joints", "faulty_mandrels", "faulty_strength")


def faulty(seed: str = "first") -> tuple[Case, ...]:
    """Every case of every kind, silent sides included, in a stable order."""
    for name in MODULES:  # each registers its kinds
        importlib.import_module(f"tests.judging.{name}")
    return tuple(c for s in bases(seed) for k in KINDS.values() for c in k.make(s))
