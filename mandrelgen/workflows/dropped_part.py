"""A part taken out of a pen's file, and with it all that names the part: joints and ``mates``,
wishes, what goes inside it, accepted findings. The other side of a joint keeps its thread."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from mandrelgen.core.errors import Change, Path
from mandrelgen.spec.expand import expand
from mandrelgen.spec.joints import SIDES
from mandrelgen.spec.patch import patched_text
from mandrelgen.workflows.edit import Transform

_PLACED = {"nib_unit": "front", "reservoir": "into", "clip_ring": "on", "posting": "end"}
"""Which key of what goes inside names an end."""
_OPTIONAL = ("front", "into")
"""The keys without which the rest can stand."""


def drop_part(part: str) -> Transform:
    """Without a part and what names it."""

    def transform(text: str) -> str:
        tree = tomllib.loads(text)
        written = expand(tree)[0]
        named = re.compile(rf"(?:^|[-.\s]){re.escape(part)}(?=[.\-\s,]|$)")
        changes = [
            Change(("parts", part), None),
            *joints_out(tree, written, lambda _, place: _of(part, place)),
            *_mates(tree, part),
            *_wishes(tree, part),
            *_inside(tree, part),
            *accepted_out(tree, lambda where: bool(named.search(where))),
        ]
        return patched_text(text, changes)

    return transform


def _of(part: str, place: object) -> bool:
    """Whether a place (``part.end``, ``part.end.side``) is of the part."""
    return isinstance(place, str) and place.split(".")[0].strip() == part


def joints_out(
    tree: Mapping[str, Any], written: Mapping[str, Any], gone: Callable[[str, object], bool]
) -> Iterator[Change]:
    """The joints of which one side (``external`` or ``internal``, its place) is ``gone`` go whole;
    what each said of its other end is said there."""
    joints = tree.get("joints", {})
    named = [n for n, j in joints.items() if any(gone(side, j.get(side)) for side in SIDES)]
    for name in named:
        for side in SIDES:
            place = joints[name].get(side)
            if isinstance(place, str) and not gone(side, place):
                yield from _kept(tree, written, place, side)
    if named and len(named) == len(joints):
        yield Change(("joints",), None)
    else:
        yield from (Change(("joints", n), None) for n in named)


def _kept(
    tree: Mapping[str, Any], written: Mapping[str, Any], place: str, side: str
) -> Iterator[Change]:
    """The end as its joint wrote it out: the thread without its mate, and the shoulder."""
    part, end = (s.strip() for s in place.split("."))
    at: Path = ("parts", part, "ends", end)
    there = tree["parts"][part].get("ends", {}).get(end, {})
    full = written["parts"][part]["ends"][end]
    for key, value in full.get(side, {}).items():
        if key != "mates" and key not in there.get(side, {}):
            yield from _flat((*at, side, key), value)
    if "diameter" not in there and "diameter" in full:
        yield Change((*at, "diameter"), full["diameter"])


def _flat(path: Path, value: Any) -> Iterator[Change]:
    if isinstance(value, Mapping):
        for key, below in value.items():
            yield from _flat((*path, key), below)
    else:
        yield Change(path, value)


def _mates(tree: Mapping[str, Any], part: str) -> Iterator[Change]:
    for name, other in tree.get("parts", {}).items():
        for end_name, end in other.get("ends", {}).items() if name != part else ():
            at: Path = ("parts", name, "ends", end_name)
            for way in ((), *((s,) for s in SIDES)):
                table = end.get(way[0], {}) if way else end
                if _of(part, table.get("mates")):
                    yield Change((*at, *way, "mates"), None)


def _wishes(tree: Mapping[str, Any], part: str) -> Iterator[Change]:
    """Left out, held by another end, asked for by name."""
    wanted = tree.get("mandrels", {})
    out = wanted.get("skip", [])
    if out and all(p == part for p in out):
        yield Change(("mandrels", "skip"), None)
    elif part in out:
        yield from (
            Change(("mandrels", "skip", n), None)
            for n in reversed(range(len(out))) if out[n] == part
        )  # fmt: skip
    if part in wanted.get("hold", {}):
        yield Change(("mandrels", "hold", part), None)
    yield from requests_out(tree, lambda place, _: _of(part, place))


def requests_out(
    tree: Mapping[str, Any], gone: Callable[[object, object], bool]
) -> Iterator[Change]:
    """Mandrels asked for that hold what is ``gone`` (a place, and the kind that is to hold it; no
    kind for a double-ended one's other end)."""
    asked = tree.get("mandrels", {}).get("requests", [])
    lost = [n for n, r in enumerate(asked) if gone(r.get("holds"), r.get("kind"))]
    if lost and len(lost) == len(asked):
        yield Change(("mandrels", "requests"), None)
        return
    for n in reversed(range(len(asked))):
        at: Path = ("mandrels", "requests", n)
        if n in lost:
            yield Change(at, None)
        elif gone(asked[n].get("also_holds"), None):
            yield Change((*at, "also_holds"), None)


def _inside(tree: Mapping[str, Any], part: str) -> Iterator[Change]:
    for name, key in _PLACED.items():
        if _of(part, tree.get("inside", {}).get(name, {}).get(key)):
            path: Path = ("inside", name)
            yield Change((*path, key) if key in _OPTIONAL else path, None)


def accepted_out(tree: Mapping[str, Any], gone: Callable[[str], bool]) -> Iterator[Change]:
    """Accepted findings at places that are ``gone``."""
    row = tree.get("accept", [])
    left = [n for n, a in enumerate(row) if gone(str(a.get("where", "")))]
    if left and len(left) == len(row):
        yield Change(("accept",), None)
    else:
        yield from (Change(("accept", n), None) for n in reversed(left))
