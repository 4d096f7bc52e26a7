"""A change that mends several findings has its button once on a page, where it is first offered;
every other finding refers to that."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from mandrelgen.page.shown import Card, Said


def once(cards: Sequence[Card], found: Sequence[Said]) -> tuple[tuple[Card, ...], tuple[Said, ...]]:
    """The mandrels as they stand on the page, and under them what is ``found`` on the pen."""
    at: dict[str, str] = {}
    shown = tuple(replace(c, found=tuple(_once(s, at, c.id) for s in c.found)) for c in cards)
    return shown, tuple(_once(s, at, "") for s in found)


def _once(s: Said, at: dict[str, str], here: str) -> Said:
    """Without the buttons that stand ``at`` a mandrel above; its own are ``here``."""
    gone = [at[b] for b in s.buttons if b in at]
    left = tuple(b for b in s.buttons if b not in at)
    at.update(dict.fromkeys(left, here))
    return replace(s, buttons=left, to=f"#m-{gone[0]}", to_says="above") if gone else s
