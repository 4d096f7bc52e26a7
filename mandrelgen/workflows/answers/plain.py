"""Frozen values as plain dictionaries for --json; nothing is computed here."""

from __future__ import annotations

import dataclasses
from enum import Enum
from fractions import Fraction
from typing import Any

View = dict[str, Any]
"""One JSON object."""

PLACES = 6
"""Places of a number in JSON."""


def view(value: Any) -> Any:
    """Any of the bench's frozen results as dicts, lists, numbers (6 places) and texts.

    Raises TypeError for a foreign type.
    """
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: view(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, tuple) and hasattr(value, "_asdict"):
        return view(value._asdict())
    if isinstance(value, dict):
        return {str(k): view(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [view(v) for v in value]
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, Fraction):
        return rounded(value)
    if isinstance(value, bool | str) or value is None:
        return value
    if isinstance(value, int):
        return value
    if isinstance(value, float):
        return rounded(value)
    raise TypeError(f"{type(value).__name__} cannot stand in JSON")


def rounded(x: float | Fraction | None, places: int = PLACES) -> float | None:
    """A number as JSON shows it; None stays None."""
    return None if x is None else round(float(x), places)
