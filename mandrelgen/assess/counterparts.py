"""Where the counterpart of a thread could be cut that no other part has: ends with room for it,
the usual part's first, then by the nearest outside; or which thread nearby was meant for it. How
deep it goes is what a tap leaves; how it closes is judged once it is there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

from mandrelgen.core.errors import Change, Remedy
from mandrelgen.core.tolerance import text_of
from mandrelgen.mechanics import remedy
from mandrelgen.spec.joints import EndRef, joints, other_end
from mandrelgen.spec.pen import BoreStep, End, Pen, Side
from mandrelgen.standards.designation import Designation
from mandrelgen.standards.thread_spelling import read_thread

SHOULDER = 0.5
"""Least step of a tenon's shoulder, on the diameter, mm (common practice, no source)."""
WALL = 1.6
"""Least wall round a tapped hole, on the diameter over the thread, mm (common practice, no
source)."""
LEAD = 2.0
"""Pitches that a tap's lead leaves at the bottom (common practice, no source)."""
USUAL = {"cap": ("barrel",), "barrel": ("section", "cap"), "section": ("barrel",),
         "finial": ("cap", "barrel")}  # fmt: skip
"""Which part screws to which, the usual first (common practice, no source)."""


class _Room(NamedTuple):
    """An end that could take the counterpart; ``outside`` mm, ``there``: the thread of that side
    that it has already, which nothing screws to."""

    ref: EndRef
    outside: float
    side: Side | None
    bore: tuple[BoreStep, ...] = ()
    there: str = ""


def counterparts(pen: Pen, ref: EndRef, other: str) -> Iterator[Remedy]:
    """The remedies for a thread at ``ref`` whose counterpart would be ``other`` (internal or
    external), by how near the outsides are. Raises ThreadTextError."""
    mine = pen.parts[ref.part].ends[ref.end]
    deep = _reach(mine, other)
    thread = mine.internal if other == "external" else mine.external
    if thread is None or deep <= 0:
        return
    named = replace(read_thread(thread.thread), tolerance_class="")
    first = USUAL.get(_kind(ref.part), ())

    def far(r: _Room) -> tuple[int, float]:
        kind = _kind(r.ref.part)
        place = first.index(kind) if kind in first else len(first)
        return place, abs(r.outside - float(mine.diameter))

    def usual(r: _Room) -> bool:
        return _kind(r.ref.part) in first

    rooms = [r for r in _ends(pen, ref, other) if _fits(r, mine, named, other, usual(r))]
    # What screws to such a part as a rule leaves no question where else it might go.
    for r in sorted([r for r in rooms if usual(r)] or rooms, key=far):
        yield _alike(r, ref, named, other) if r.there else _cut(r.ref, ref, named, other, deep)


def _kind(part: str) -> str:
    return part.rstrip("0123456789")


def _reach(mine: End, other: str) -> float:
    """How long the tenon may be, or how deep the hole is to be tapped, mm; 0 if it is not known."""
    if other == "external" and mine.internal is not None:
        pitch = float(read_thread(mine.internal.thread).pitch)
        if mine.internal.full_thread is not None:
            return remedy.at_most(float(mine.internal.full_thread), remedy.DEPTH_STEP)
        deep = float(mine.internal.depth or 0.0)
        return remedy.at_most(deep - LEAD * pitch, remedy.DEPTH_STEP)
    if other == "internal" and mine.external is not None:
        pitch = float(read_thread(mine.external.thread).pitch)
        return remedy.at_least(float(mine.external.length) + LEAD * pitch, remedy.DEPTH_STEP)
    return 0.0


def _ends(pen: Pen, ref: EndRef, other: str) -> Iterator[_Room]:
    """The ends of other parts that screw to nothing there, those too that the file does not
    name."""
    joined = joints(pen)
    taken = {j.external if other == "external" else j.internal for j in joined}
    for name, part in pen.parts.items():
        if name == ref.part:
            continue
        for end_id, end in part.ends.items():
            thread, at = (
                (end.external if other == "external" else end.internal),
                EndRef(name, end_id),
            )
            if at not in taken:
                there = "" if thread is None else thread.thread
                yield _Room(
                    ref=at, outside=float(end.diameter), side=end.side, bore=end.bore, there=there
                )
        # An end that the file does not name yet may be tapped; nobody leaves a tenon on it.
        if other == "internal" and (second := other_end(name, part)):
            (first,) = part.ends.values()
            side = None if first.side is None else _across(first.side)
            yield _Room(EndRef(name, second), float(part.diameter), side)


def _across(side: Side) -> Side:
    return Side.TAIL if side is Side.NIB else Side.NIB


def _fits(r: _Room, mine: End, thread: Designation, other: str, usual: bool) -> bool:
    """Whether an end looks the other way, and has room for the thread; another thread that it has
    is changed only where the parts usually screw together."""
    if None not in (r.side, mine.side) and r.side is mine.side:
        return False
    if r.there and not usual:
        return False
    wide = float(thread.diameter)
    if other == "external":
        return r.outside >= wide + SHOULDER
    clear = all(float(b.diameter) < wide for b in r.bore[:1])
    return clear and r.outside >= wide + WALL


def _cut(at: EndRef, to: EndRef, thread: Designation, other: str, deep: float) -> Remedy:
    key = ("parts", at.part, "ends", at.end, other)
    reach = "length" if other == "external" else "depth"
    changes = (
        Change((*key, "thread"), thread.text), Change((*key, reach), deep),
        Change((*key, "mates"), str(to)),
    )  # fmt: skip
    if other == "external":
        says = f"cut {thread.text} on {at}, {text_of(deep)} long, and screw it into {to}"
    else:
        says = f"tap {at} {thread.text}, {text_of(deep)} deep, and screw {to} into it"
    return Remedy(changes, says, reveals=True)


def _alike(r: _Room, to: EndRef, thread: Designation, other: str) -> Remedy:
    """The thread that is there as this one, and both joined."""
    own = read_thread(r.there)
    klass = own.tolerance_class if own.system == thread.system else ""
    key = ("parts", r.ref.part, "ends", r.ref.end, other)
    changes = (
        Change((*key, "thread"), replace(thread, tolerance_class=klass).text),
        Change((*key, "mates"), str(to)),
    )
    screw, nut = (r.ref, to) if other == "external" else (to, r.ref)
    says = f"{thread.text} at {r.ref} too, and screw {screw} into {nut}"
    return Remedy(changes, says, reveals=True)
