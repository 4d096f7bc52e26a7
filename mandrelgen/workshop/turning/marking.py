"""Where a fixture carries its number, said alike on the sheet and in the sequence of operations."""

from __future__ import annotations

from mandrelgen.model.mandrel import Mandrel, MandrelKind


def marked(mandrel: Mandrel, number: str = "") -> str:
    """The sentence: what is marked (the maker's own wish, else ``number``) and where."""
    own = mandrel.ordering.marking
    why = " (the customer's own mark, in place of the number)" if own else ""
    return f"Mark {own or number or 'the number'} {_place(mandrel)}{why}"


def _place(mandrel: Mandrel) -> str:
    if mandrel.kind is MandrelKind.BUTTON:
        return "on the collar's edge"
    if mandrel.flats is not None:
        return "on a spanner flat"
    if any(s.feature == "neck" for s in mandrel.outer):
        return "on the neck or the shank's end face"
    return "on the shank's end face"
