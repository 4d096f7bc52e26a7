"""A thread taken out of a pen's file, and with it what names it: the joint, the other side's
``mates``, accepted findings of the joint, wishes for an end that nothing holds any more. The other
side keeps its thread, and is named (`left_over`), so that a person can take it out too."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any

from mandrelgen.core.errors import Change, Path
from mandrelgen.core.frozen import dataclass
from mandrelgen.spec.expand import expand
from mandrelgen.spec.joints import OPPOSITE, SIDES, EndRef, joints
from mandrelgen.spec.patch import patched_text
from mandrelgen.spec.pen import MandrelType, Pen
from mandrelgen.workflows import dropped_part
from mandrelgen.workflows.edit import Transform

HELD_BY = {MandrelType.PLUG.value: "internal", MandrelType.CUP.value: "external"}
"""The thread that each kind of mandrel holds."""


def drop_thread(part: str, end: str, side: str) -> Transform:
    """Without a thread and what names it."""

    def transform(text: str) -> str:
        tree = tomllib.loads(text)
        written = expand(tree)[0]
        ref = EndRef(part, end)
        changes = [
            *dropped_part.joints_out(tree, written, lambda *at: at == (side, str(ref))),
            *_own_end(tree, written, ref, side),
            *_mates(tree, ref, side),
            *_wishes(tree, written, ref, side),
            *dropped_part.accepted_out(tree, _joint_of(ref, side)),
        ]
        return patched_text(text, changes)

    return transform


@dataclass(frozen=True, slots=True)
class LeftOver:
    """A thread that has lost its counterpart."""

    part: str
    end: str
    side: str
    thread: str


def left_over(pen: Pen, gone: Callable[[EndRef, str], bool]) -> tuple[LeftOver, ...]:
    """The threads that screwed into what is gone (an end and a side) and into nothing else."""
    out: dict[tuple[EndRef, str], None] = {}
    kept: set[tuple[EndRef, str]] = set()
    for j in joints(pen):
        pair = ((j.external, "external"), (j.internal, "internal"))
        for mine, other in (pair, pair[::-1]):
            if gone(*other):
                out[mine] = None
            else:
                kept.add(mine)
    return tuple(said_of(pen, [t for t in out if t not in kept and not gone(*t)]))


def said_of(pen: Pen, threads: Iterable[tuple[EndRef, str]]) -> Iterator[LeftOver]:
    """Each thread with its name."""
    for ref, side in threads:
        thread = getattr(pen.parts[ref.part].ends[ref.end], side)
        yield LeftOver(part=ref.part, end=ref.end, side=side, thread=thread.thread)


def has(pen: Pen, ref: EndRef, side: str) -> bool:
    """Whether there is such a thread."""
    part = pen.parts.get(ref.part)
    end = part.ends.get(ref.end) if part is not None else None
    return side in SIDES and end is not None and getattr(end, side) is not None


def _own_end(
    tree: Mapping[str, Any], written: Mapping[str, Any], ref: EndRef, side: str
) -> Iterator[Change]:
    """The thread's own table; an end that a joint alone made stays, with its diameter."""
    at: Path = ("parts", ref.part, "ends", ref.end)
    there = tree["parts"][ref.part].get("ends", {}).get(ref.end, {})
    if side in there:
        yield Change((*at, side), None)
    full = written["parts"][ref.part]["ends"][ref.end]
    if "diameter" not in there and "diameter" in full:
        yield Change((*at, "diameter"), full["diameter"])


def _mates(tree: Mapping[str, Any], ref: EndRef, side: str) -> Iterator[Change]:
    """What the other side's thread, or its end, says that it screws into."""
    mine = (str(ref), f"{ref}.{side}")
    for name, other in tree.get("parts", {}).items():
        for end_name, end in other.get("ends", {}).items():
            if not isinstance(end, Mapping) or (name, end_name) == ref:
                continue
            for way in ((), (OPPOSITE[side],)):
                table = end.get(way[0], {}) if way else end
                if isinstance(table, Mapping) and table.get("mates") in mine:
                    yield Change(("parts", name, "ends", end_name, *way, "mates"), None)


def _wishes(
    tree: Mapping[str, Any], written: Mapping[str, Any], ref: EndRef, side: str
) -> Iterator[Change]:
    """Mandrels asked for that hold the thread, or an end that has nothing left to be held by."""
    end = written["parts"][ref.part]["ends"][ref.end]
    bare = OPPOSITE[side] not in end and not end.get("bore")
    wanted = tree.get("mandrels", {})
    if bare and wanted.get("hold", {}).get(ref.part) == ref.end:
        yield Change(("mandrels", "hold", ref.part), None)

    def gone(place: object, kind: object) -> bool:
        if place == str(ref):
            return bare or HELD_BY.get(str(kind)) == side
        return place == f"{ref}.{side}"

    yield from dropped_part.requests_out(tree, gone)


def _joint_of(ref: EndRef, side: str) -> Callable[[str], bool]:
    """Whether a finding's place is a joint of the thread."""
    return lambda where: (
        where.startswith(f"{ref}-") if side == "external" else where.endswith(f"-{ref}")
    )
