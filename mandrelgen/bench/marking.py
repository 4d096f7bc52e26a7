"""Where a fixture carries its number, said alike on the sheet and in the order of work."""

from __future__ import annotations

from mandrelgen.mandrel import Mandrel, MandrelKind


def marked(mandrel: Mandrel, number: str = "") -> str:
    """The sentence: what is marked (the maker's own wish, else ``number``) and where."""
    what = mandrel.ordering.marking or number or "the number"
    return f"Mark {what} {_place(mandrel)}"


def _place(mandrel: Mandrel) -> str:
    if mandrel.kind is MandrelKind.BUTTON:
        return "on the collar's edge"
    if any(s.feature == "neck" for s in mandrel.outer):
        return "on the neck or the shank's end face"
    return "on the shank's end face"
