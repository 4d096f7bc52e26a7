"""Which mandrels: those asked for, or the fewest that let every outside surface be turned."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from mandrelgen.core.frozen import dataclass
from mandrelgen.spec.joints import EndRef, joints
from mandrelgen.spec.pen import (
    End,
    ExternalThread,
    InternalThread,
    MandrelRequest,
    MandrelType,
    Part,
    Pen,
)
from mandrelgen.standards.thread_spelling import read_thread

SMALL = 0.75
"""A thread smaller than this share of the part's largest holds it less well (own rule)."""


class Hold(NamedTuple):
    """One end of one part, held by its internal or external thread, or by its plain bore."""

    part: str
    end: str
    by: str  # internal | external | bore

    @property
    def text(self) -> str:
        """``part.end`` as the pen file names it."""
        return f"{self.part}.{self.end}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """A mandrel to design."""

    id: str
    kind: MandrelType
    hold: Hold
    other: Hold | None
    request: MandrelRequest | None
    why: str


def plan(pen: Pen, chosen: Mapping[str, Hold] | None = None) -> tuple[Planned, ...]:
    """The mandrels of the pen, requests first; ids are unique. ``chosen``: by part, another end
    to hold it by than the usual one."""
    other_ends = chosen or {}
    found = [_requested(pen, r) for r in pen.mandrels.requests]
    if pen.mandrels.wants_all:
        held = {p.hold.part for p in found} | {p.other.part for p in found if p.other}
        for name, part in pen.parts.items():
            if name in pen.mandrels.skip:
                continue
            h = other_ends.get(name) or best_hold(pen, name)
            if name not in held and h is not None:
                found.append(
                    Planned(
                        id=_id(h, _kind(h)),
                        kind=_kind(h),
                        hold=h,
                        other=None,
                        request=None,
                        why=_why(h, part),
                    )
                )
    wishes = pen.mandrels.defaults.tailstock_button
    for p in list(found):
        wanted = p.request.tailstock_button if p.request is not None else None
        if wanted if wanted is not None else wishes:
            found.extend(_button(pen, p))
    return _unique(found)


def best_hold(pen: Pen, name: str) -> Hold | None:
    """The end to hold a part by, so that every outside surface stays free; None if it has none."""
    found = possible_holds(pen, name)
    return found[0] if found else None


def possible_holds(pen: Pen, name: str) -> tuple[Hold, ...]:
    """The ways to hold a part, the usual one first; by a bore only where there is no thread.

    An end hidden in a joint before one that stays visible; a joint with a part of the pen before a
    loose one; an internal thread (plug) before an external one (cup); then none by a thread much
    smaller than another of the part; then the larger end. The end that ``[mandrels] hold`` names is
    the only one asked.
    """
    part = pen.parts[name]
    wished = pen.mandrels.hold.get(name)
    mated = {("external", j.external) for j in joints(pen)}
    mated |= {("internal", j.internal) for j in joints(pen)}
    found: list[tuple[tuple[bool, bool, bool, bool, float], Hold]] = []
    largest = max((_size(t) for e in part.ends.values() for t in (e.internal, e.external) if t),
                  default=0.0)  # fmt: skip
    for end_name, end in part.ends.items():
        if wished not in (None, end_name):
            continue
        for by, thread in (("internal", end.internal), ("external", end.external)):
            if thread is None:
                continue
            in_joint = (by, EndRef(name, end_name)) in mated
            key = (not end.visible_face, in_joint, by == "internal",
                   _size(thread) >= SMALL * largest, float(end.diameter))  # fmt: skip
            found.append((key, Hold(name, end_name, by)))
    if found:
        # Of equal ones the first of the file: the sort is stable.
        return tuple(h for _, h in sorted(found, key=lambda f: f[0], reverse=True))
    bored = [n for n, e in part.ends.items() if e.bore and wished in (None, n)]
    return tuple(Hold(name, n, "bore") for n in bored[:1])


def _size(thread: ExternalThread | InternalThread) -> float:
    return float(read_thread(thread.thread).diameter)


def _why(h: Hold, part: Part) -> str:
    thread = {"internal": "its internal thread", "external": "its tenon", "bore": "its bore"}[h.by]
    others = len(part.ends) - 1
    return (
        f"the part is held by {thread} at its {h.end}, so that its outside"
        + (" and its other end stay" if others else " stays")
        + " free for the tool; one mandrel a part is enough"
    )


def _requested(pen: Pen, r: MandrelRequest) -> Planned:
    hold = parse_hold(pen, r.holds)
    kind = r.kind or (MandrelType.DOUBLE_ENDED if r.also_holds else _kind(hold))
    other = parse_hold(pen, r.also_holds) if r.also_holds else None
    if kind is MandrelType.PLUG:
        hold = Hold(hold.part, hold.end, "internal")
    elif kind is MandrelType.CUP:
        hold = Hold(hold.part, hold.end, "external")
    elif kind in (MandrelType.SPIGOT, MandrelType.BUTTON):
        hold = Hold(hold.part, hold.end, "bore")
    return Planned(
        id=r.id or _id(hold, kind), kind=kind, hold=hold, other=other, request=r, why="asked for"
    )


def parse_hold(pen: Pen, text: str) -> Hold:
    """``part.end`` or ``part.end.internal``; without a side the internal thread is preferred."""
    part, end_name, *side = text.split(".")
    end: End = pen.parts[part].ends[end_name]
    usual = "internal" if end.internal else "external" if end.external else "bore"
    return Hold(part, end_name, side[0] if side else usual)


def _button(pen: Pen, p: Planned) -> list[Planned]:
    """A tailstock button for the far end of the part, if that end is open."""
    h = far_end(pen, p)
    if h is None:
        return []
    return [
        Planned(
            id=_id(h, MandrelType.BUTTON),
            kind=MandrelType.BUTTON,
            hold=h,
            other=None,
            request=p.request,
            why="the far end is open: a button takes the revolving centre",
        )
    ]


def far_end(pen: Pen, p: Planned) -> Hold | None:
    """The part's other end that a tailstock button can stand in, None if none is open."""
    for name, end in pen.parts[p.hold.part].ends.items():
        if name != p.hold.end and (end.bore or end.internal):
            return Hold(p.hold.part, name, "bore")
    return None


def _kind(h: Hold) -> MandrelType:
    return {
        "internal": MandrelType.PLUG,
        "external": MandrelType.CUP,
        "bore": MandrelType.SPIGOT,
    }[h.by]


def _id(h: Hold, kind: MandrelType) -> str:
    return f"{h.part}-{h.end}-{kind.value}"


def _unique(found: list[Planned]) -> tuple[Planned, ...]:
    seen: dict[str, Planned] = {}
    for p in found:
        name, n = p.id, 2
        while name in seen:
            name, n = f"{p.id}-{n}", n + 1
        seen[name] = Planned(
            id=name, kind=p.kind, hold=p.hold, other=p.other, request=p.request, why=p.why
        )
    return tuple(seen.values())
