"""What else changes in a pen's file with one of its boxes, in one edit: a bore through the part
goes with its length, a reamer's tolerance with the reamer, and a table that says nothing any more
is left out."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from typing import Any

from mandrelgen.core.errors import Change, Path, Value
from mandrelgen.spec.expand import mm_of
from mandrelgen.spec.patch import value_at
from mandrelgen.spec.pen import Bottom, DepthFrom

OF_MANNER = ("tolerance", "upper", "lower")
"""What of a hole's size comes from how it was made."""
SIZES = {
    "counterbore": ("diameter", "depth"),
    "measured": ("crest", "pitch_diameter", "pitch", "value"),
    "nib_unit": ("stick_out",),
}
"""Tables of a thread, a hole or the pen, and the keys without which the rest says nothing."""
FLOOR = DepthFrom.FLOOR.value
NOTHING = 1e-6
"""Two lengths are one within this, mm: what binary fractions leave."""


def following(text: str, change: Change) -> list[Change]:
    """The changes of a pen file's text that come with ``change``, in its own order. Raises
    ValueError for a text that is no TOML."""
    tree = tomllib.loads(text)
    path = change.path
    if len(path) == 3 and path[0] == "parts" and path[2] == "length":
        return list(_through(tree, str(path[1]), change.value))
    if len(path) > 3 and path[-1] == "made" and "bore" in path:
        return list(_of_manner(tree, change))
    if len(path) > 2 and change.value is None and path[-2] in SIZES:
        return list(_emptied(tree, change))
    return []


# -- a bore through the part
def _through(tree: Mapping[str, Any], part: str, value: Value | None) -> Iterator[Change]:
    """Every end's last step goes as far as the part does; a step that the other end's says too,
    seen from there, stays where it is in the part."""
    old, new = mm_of(value_at(tree, ("parts", part, "length"))), mm_of(value)
    ends = value_at(tree, ("parts", part, "ends"))
    if old is None or new is None or not isinstance(ends, Mapping):
        return
    rows = {n: e["bore"] for n, e in ends.items() if _goes_through(e, old)}
    kept: set[float] = set()
    for name, row in rows.items():
        deep = [mm_of(s.get("depth")) or 0.0 for s in row]
        at: Path = ("parts", part, "ends", name, "bore")
        for n, d in enumerate(deep[:-1]):
            if any(abs(old - d - k) < NOTHING for k in kept):
                yield Change((*at, n, "depth"), round(new - (old - d), 6))
        yield Change((*at, len(row) - 1, "depth"), value)
        kept |= set(deep[:-1])


def _goes_through(end: object, length: float) -> bool:
    row = end.get("bore") if isinstance(end, Mapping) else None
    if not isinstance(end, Mapping) or not isinstance(row, list) or not row:
        return False
    last = mm_of(row[-1].get("depth"))
    whole = last is not None and abs(last - length) < NOTHING
    return whole and end.get("bottom") == Bottom.THROUGH.value


# -- how a hole was made
def _of_manner(tree: Mapping[str, Any], change: Change) -> Iterator[Change]:
    """The class or deviations were of the manner that is left."""
    at = change.path[:-1]
    step = value_at(tree, at)
    if isinstance(step, Mapping) and step.get("made") != change.value:
        yield from (Change((*at, k), None) for k in OF_MANNER if k in step)


# -- tables that say nothing any more
def _emptied(tree: Mapping[str, Any], change: Change) -> Iterator[Change]:
    """A counterbore whose sizes both are gone, a reading without its value; depths that counted
    from the counterbore's floor count from the face without it."""
    at = change.path[:-1]
    table = value_at(tree, at)
    if not isinstance(table, Mapping):
        return
    if not any(k in table for k in SIZES[str(at[-1])] if k != change.path[-1]):
        yield Change(at, None)
    floor = mm_of(table.get("depth"))
    if (
        change.path[-1] != "depth"
        or floor is None
        or value_at(tree, (*at[:-1], "depth_from")) != FLOOR
    ):
        return
    for key in ("depth", "full_thread"):
        here: Path = (*at[:-1], key)
        if (deep := mm_of(value_at(tree, here))) is not None:
            yield Change(here, round(deep + floor, 6))
    yield Change((*at[:-1], "depth_from"), None)
