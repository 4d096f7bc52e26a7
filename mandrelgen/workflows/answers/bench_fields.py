"""What a person can type about a pen, in the order of the page: each a key of the pen file."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from mandrelgen.core.errors import Path
from mandrelgen.paper.pen_drawing.facts import dotted
from mandrelgen.spec.joints import EndRef, Joint
from mandrelgen.spec.pen import Bottom, End, Manner, Pen, Side
from mandrelgen.standards import materials

SIZE, THREAD, TEXT, CHOICE, FLAG = "size", "thread", "text", "choice", "flag"
WHOLE = "whole"
Choices = tuple[tuple[str, str], ...]

HOLES: Choices = (
    (Manner.DRILLED.value, "drilled"),
    (Manner.REAMED.value, "reamed"),
    (Manner.BORED.value, "bored"),
)
CUT: Choices = (
    (Manner.GUIDED.value, "guided in the tailstock"),
    (Manner.FREEHAND.value, "freehand"),
    (Manner.SINGLE_POINT.value, "screwcut"),
)
BOTTOMS: Choices = (
    (Bottom.DRILL_POINT.value, "as the drill leaves it"),
    (Bottom.FLAT.value, "flat"),
    (Bottom.THROUGH.value, "through the part"),
)
SIDES: Choices = ((Side.NIB.value, "the nib"), (Side.TAIL.value, "the tail"))


@dataclass(frozen=True, slots=True)
class Field:
    """One box: ``key`` dotted, ``value`` as it is written (empty: left out), ``taken`` what stands
    in for it then, ``needed`` if it cannot be left out."""

    key: str
    label: str
    value: str
    kind: str = SIZE
    choices: Choices = ()
    taken: str = ""
    needed: bool = False

    @property
    def id(self) -> str:
        """For the page."""
        return "f-" + self.key.replace(".", "-")

    @property
    def path(self) -> Path:
        """The key's path in the file."""
        return tuple(int(s) if s.isdigit() else s for s in self.key.split("."))


@dataclass(frozen=True, slots=True)
class Group:
    """Boxes under one heading; ``more``: behind a fold."""

    title: str
    fields: tuple[Field, ...]
    more: tuple[Field, ...] = ()


@dataclass(frozen=True, slots=True)
class PartForm:
    """A part's boxes: its own, then each end's."""

    id: str
    name: str
    own: Group
    ends: tuple[Group, ...]


@dataclass(frozen=True, slots=True)
class HoleForm:
    """One step of a bore: which, its boxes."""

    number: int
    fields: tuple[Field, ...]


@dataclass(frozen=True, slots=True)
class ThreadForm:
    """One end with what is cut into it: threads, holes, how the bore ends."""

    part: str
    end: str
    title: str
    groups: tuple[Group, ...]
    holes: tuple[HoleForm, ...]
    free: tuple[str, ...]


class Tree:
    """A pen file's values, asked for by path."""

    def __init__(self, values: Mapping[str, Any]) -> None:
        self.values = values

    def text(self, path: Path) -> str:
        """A value as a person writes it; empty if it is not there."""
        here: Any = self.values
        for step in path:
            try:
                here = here[step]
            except (KeyError, IndexError, TypeError):
                return ""
        if isinstance(here, bool):
            return "true" if here else ""
        return f"{here:.12g}" if isinstance(here, float) else str(here)

    def size(self, label: str, *path: str | int, needed: bool = False, taken: str = "") -> Field:
        """A box for a length."""
        return Field(dotted(path), label, self.text(path), SIZE, (), taken, needed)

    def choice(self, label: str, choices: Choices, taken: str, *path: str | int) -> Field:
        """A box to choose from."""
        return Field(dotted(path), label, self.text(path), CHOICE, choices, taken)

    def flag(self, label: str, *path: str | int) -> Field:
        """A box to tick."""
        return Field(dotted(path), label, self.text(path), FLAG)


def part_forms(values: Mapping[str, Any], pen: Pen) -> tuple[PartForm, ...]:
    """The boxes of the first step: outsides."""
    t = Tree(values)
    rods = tuple((m, m.replace("-", " ")) for m in materials.names())
    out = []
    for name, part in pen.parts.items():
        own = Group(
            part.name or name,
            (
                t.size("Length over all", "parts", name, "length", needed=True),
                t.size("Largest diameter", "parts", name, "diameter", needed=True),
            ),
            (
                t.choice("Material", rods, "cast acrylic", "parts", name, "material"),
                Field(f"parts.{name}.name", "Name on paper", part.name, TEXT, (), name),
                t.flag("Pale or clear: a bore would show", "parts", name, "pale"),
                t.size("Thinnest wall I mean to leave", "parts", name, "least_wall",
                       taken="by place and material"),
            ),
        )  # fmt: skip
        ends = tuple(_end(t, name, n, e) for n, e in part.ends.items())
        out.append(PartForm(name, part.name or name, own, ends))
    return tuple(out)


def _end(t: Tree, part: str, name: str, end: End) -> Group:
    at = ("parts", part, "ends", name)
    where = "at the shoulder" if end.external is not None else "at the face"
    return Group(
        name,
        (t.size(f"Diameter {where}", *at, "diameter", needed=True),),
        (
            t.choice("Looks towards", SIDES, "not said", *at, "side"),
            t.size("Edge break, on the radius", *at, "edge_break", taken="0.2"),
            t.flag("The face shows on the finished pen", *at, "visible_face"),
            t.flag("A metal band holds this end", *at, "band"),
            t.choice("Face cut", CUT, "guided in the tailstock", *at, "face_made"),
        ),
    )


def thread_forms(values: Mapping[str, Any], pen: Pen) -> tuple[ThreadForm, ...]:
    """The boxes of the second step: what is cut into each end."""
    t = Tree(values)
    return tuple(
        _threads(t, part_id, n, e, part.name or part_id)
        for part_id, part in pen.parts.items()
        for n, e in part.ends.items()
    )


def _threads(t: Tree, part: str, name: str, end: End, title: str) -> ThreadForm:
    at = ("parts", part, "ends", name)
    groups = []
    if end.external is not None:
        groups.append(_external(t, (*at, "external")))
    if end.internal is not None:
        groups.append(_internal(t, (*at, "internal")))
    holes = tuple(HoleForm(n, tuple(_hole(t, (*at, "bore", n), n))) for n in range(len(end.bore)))
    if end.bore:
        angle = Field(
            dotted((*at, "bottom")), "The hole ends", t.text((*at, "bottom")), CHOICE, BOTTOMS,
            "as the drill leaves it",
        )  # fmt: skip
        groups.append(Group("Bottom of the hole", (angle,)))
    free = [s for s, have in (("external", end.external), ("internal", end.internal)) if not have]
    return ThreadForm(part, name, f"{title}, {name}", tuple(groups), holes, tuple(free))


def _thread(t: Tree, at: Path) -> Field:
    key = (*at, "thread")
    return Field(dotted(key), "Thread", t.text(key), THREAD, (), "", True)


def _external(t: Tree, at: Path) -> Group:
    return Group(
        "External thread",
        (
            _thread(t, at),
            t.size("Length of the tenon", *at, "length", needed=True),
            t.size("Incomplete thread at the shoulder", *at, "unformed", taken="two pitches"),
        ),
        (
            t.size("Lead-in chamfer", *at, "chamfer", taken="0.65 of a pitch"),
            t.choice("Cut", CUT, "guided in the tailstock", *at, "made"),
            t.size("Measured over the crest", *at, "measured", "crest"),
            t.size("Measured pitch diameter", *at, "measured", "pitch"),
        ),
    )


def _internal(t: Tree, at: Path) -> Group:
    return Group(
        "Internal thread",
        (
            _thread(t, at),
            t.size("Tapped to a depth of", *at, "depth"),
            t.size("Incomplete thread at the bottom", *at, "tap_lead", taken="two pitches"),
        ),
        (
            t.size("Full thread to a depth of", *at, "full_thread"),
            t.size("Countersink diameter", *at, "countersink", taken="thread + 0.2"),
            t.size("Counterbore diameter", *at, "counterbore", "diameter", taken="none"),
            t.size("Counterbore depth", *at, "counterbore", "depth"),
            t.choice("Cut", CUT, "guided in the tailstock", *at, "made"),
            t.size("Measured minor diameter", *at, "measured", "crest"),
        ),
    )


def _hole(t: Tree, at: Path, number: int) -> Iterator[Field]:
    nth = f"Hole {number + 1}"
    yield t.size(f"{nth}: diameter", *at, "diameter", needed=True)
    yield t.size(f"{nth}: depth from the face", *at, "depth", needed=True)
    yield t.choice(f"{nth}: how made", HOLES, "drilled", *at, "made")


def joint_key(joint: Joint) -> str:
    """The key of the one box for both threads of a joint."""
    return f"joint.{joint.id}"


def mates_of(ref: EndRef, side: str) -> Path:
    """Where the thread of one side of a joint stands."""
    return ("parts", ref.part, "ends", ref.end, side, "thread")


def all_fields(values: Mapping[str, Any], pen: Pen) -> dict[str, Field]:
    """Every box of both steps by its key."""
    found: list[Field] = []
    for p in part_forms(values, pen):
        for g in (p.own, *p.ends):
            found += (*g.fields, *g.more)
    for f in thread_forms(values, pen):
        for g in f.groups:
            found += (*g.fields, *g.more)
        for h in f.holes:
            found += h.fields
    return {f.key: f for f in found}
