"""Starters as somebody's own pen: another id, and other names than the starters' people."""

from __future__ import annotations

from mandrelgen.spec.placeholders import STARTERS_NAMES
from mandrelgen.spec.starters import starter


def renamed(name: str, own: str) -> str:
    """The text of the starter pen ``name`` under the id ``own``, of a workshop of its own."""
    text = starter("pen", name).decode()
    assert f'id = "{name}"' in text
    return with_own_names(text.replace(f'id = "{name}"', f'id = "{own}"', 1))


def with_own_names(text: str) -> str:
    """The text with the starters' people replaced."""
    for n, other in enumerate(STARTERS_NAMES):
        text = text.replace(other, f"Marsh {n}")
    return text
