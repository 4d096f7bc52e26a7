"""What the drawing says beside its lines: walls with their margin, how the joints close."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from mandrelgen.assess.pen_joints import Joined, Passage
from mandrelgen.assess.pen_places import Place as PlaceOfPart
from mandrelgen.assess.pen_walls import Crown, PenWall
from mandrelgen.assess.resolved import ResolvedPen
from mandrelgen.core.errors import Level, Path
from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import text_of
from mandrelgen.mechanics.joint import SHUT, can_close
from mandrelgen.mechanics.walls import Place as Kind
from mandrelgen.mechanics.walls import level
from mandrelgen.paper.pen_drawing.outline import PartOutline
from mandrelgen.spec.joints import split_place
from mandrelgen.spec.pen import Pen
from mandrelgen.standards.designation import Designation

GOOD = "good"
# What is drawn of a closed end that is not there, at the least, mm.
BROKEN = 0.5


def dotted(path: Path) -> str:
    """A key of the pen file as one text: ``parts.cap.ends.mouth.bore.0.diameter``."""
    return ".".join(str(step) for step in path)


def thread_name(d: Designation) -> str:
    """A thread's name without its class.

    >>> from mandrelgen.standards.designation import parse
    >>> thread_name(parse("M12xPh2.4P0.8-6g")), thread_name(parse("3/8-32 UNEF-2A"))
    ('M12xPh2.4P0.8', '3/8-32 UNEF')
    """
    return replace(d, tolerance_class="").text


@dataclass(frozen=True, slots=True)
class WallZone:
    """A wall where it is: a stretch of a part, mm along it; ``grade``: error, warning or good;
    ``radius``: of what is left behind a bore, which no outside bounds (None: a wall beside one)."""

    part: str
    start: float
    end: float
    key: str
    grade: str
    value: float
    asked: float
    says: str
    radius: float | None = None


@dataclass(frozen=True, slots=True)
class JointFact:
    """A joint as it closes: ``says`` in words, ``grade`` error, warning or good."""

    id: str
    thread: str
    external: str
    internal: str
    says: tuple[str, ...]
    grade: str
    key: str


@dataclass(frozen=True, slots=True)
class PassageFact:
    """A part inside another: room across (a side) and in depth, mm."""

    part: str
    through: str
    aside: float
    behind: float
    grade: str
    key: str
    says: str


def wall_zones(
    pen: Pen, resolved: ResolvedPen, parts: Mapping[str, PartOutline]
) -> tuple[WallZone, ...]:
    """Every wall, the worst last, so that it is drawn over the others."""
    row = [z for w in resolved.walls if (z := _zone(pen, w, parts[w.place.part])) is not None]
    row += [_closed_end(pen, c, parts[c.place.part]) for c in resolved.crowns]
    order = (GOOD, Level.WARNING.value, Level.ERROR.value)
    return tuple(sorted(row, key=lambda z: (order.index(z.grade), -z.value)))


def _closed_end(pen: Pen, c: Crown, part: PartOutline) -> WallZone:
    """What is left behind a bore; where nothing is, from the end of the bore's full width on."""
    end, at = pen.parts[c.place.part].ends[c.place.end], part.ends[c.place.end]
    deepest = c.depth + c.point if c.left > 0 else c.depth
    last = c.length - c.opposite
    z0, z1 = sorted((at.deep(min(deepest, last - BROKEN)), at.deep(last)))
    found = level(c.left, c.asked)
    left = f"{text_of(c.left, 2)} mm" if c.left > 0 else "nothing"
    return WallZone(
        part=c.place.part,
        start=z0,
        end=z1,
        key=dotted(c.place.key("bore", c.steps - 1, "depth")),
        grade=found.value if found is not None else GOOD,
        value=c.left,
        asked=c.asked.warning,
        says=f"{c.place}: {left} left beyond the end of the bore, "
        f"{text_of(c.asked.warning, 2)} asked for ({c.asked.basis})",
        radius=float(end.bore[-1].diameter) / 2,
    )


def _zone(pen: Pen, w: PenWall, part: PartOutline) -> WallZone | None:
    end = pen.parts[w.place.part].ends[w.place.end]
    at = part.ends[w.place.end]
    tenon = float(end.external.length) if end.external is not None else 0.0
    tapped = 0.0
    if end.internal is not None:
        tapped = float(end.internal.depth or end.internal.full_thread or 0.0)
    first, last = 0.0, tapped
    key: Path = w.place.key("internal", "thread")
    if w.hole is not None:
        first, last = w.hole.hole.start, w.hole.hole.end
        key = (*w.hole.path, "diameter")
        if w.kind is Kind.BODY:
            first = max(first, tapped, tenon)
    elif w.counterbore:
        counterbore = end.internal.counterbore if end.internal is not None else None
        last = float(counterbore.depth) if counterbore is not None else 0.0
        key = w.counterbore
    if w.kind is Kind.TENON:
        last = min(last, tenon)
    if last - first < 1e-6:
        return None
    z0, z1 = sorted((at.deep(first), at.deep(last)))
    found = level(w.value, w.asked)
    says = (
        f"{w.place}: {text_of(w.value, 2)} mm between {w.between} at worst limits, "
        f"{text_of(w.asked.warning, 2)} asked for ({w.asked.basis})"
    )
    return WallZone(
        part=w.place.part,
        start=max(z0, 0.0),
        end=min(z1, part.length),
        key=dotted(key),
        grade=found.value if found is not None else GOOD,
        value=w.value,
        asked=w.asked.warning,
        says=says,
    )


def joint_facts(resolved: ResolvedPen) -> tuple[JointFact, ...]:
    """Every joint in the order of the file."""
    return tuple(_joint(j) for j in resolved.joints)


def _joint(j: Joined) -> JointFact:
    c, closes, at = j.closing, can_close(j.closing), j.joint.external
    room = min(c.thread_room, c.bottom_room)
    said: list[str] = []
    if j.turns is not None:
        way = j.turns.nominal * j.lead
        said.append(f"{text_of(j.turns.nominal, 1)} turns to close over {text_of(way, 1)} mm")
    elif c.shoulder_gap <= SHUT or room < 0 or c.engaged <= 0:
        said.append("does not close")
    if c.shoulder_gap > SHUT:
        said.append(
            f"the incomplete thread at the shoulder may hold it open by up to "
            f"{text_of(c.shoulder_gap, 2)} mm"
        )
    said.append(
        f"{text_of(room, 2)} mm in hand at the bottom" if room >= 0
        else f"bottoms {text_of(-room, 2)} mm too early"
    )  # fmt: skip
    return JointFact(
        id=j.joint.id,
        thread=thread_name(j.tenon.thread.designation),
        external=str(j.joint.external),
        internal=str(j.joint.internal),
        says=tuple(said),
        grade=GOOD if closes else Level.ERROR.value if room < 0 else Level.WARNING.value,
        key=dotted(("parts", at.part, "ends", at.end, "external", "length")),
    )


def nib_front(pen: Pen, resolved: ResolvedPen) -> PlaceOfPart | None:
    """The end that the nib sits in: said, else the front of the part that goes into the cap; None
    if the file names no nib, or no such end."""
    unit = pen.inside.nib_unit
    if unit is None:
        return None
    if unit.front:
        named = split_place(unit.front)
        return None if named is None else PlaceOfPart(named[0].part, named[0].end)
    rear = {j.joint.external.part: j.joint.external.end for j in resolved.joints}
    for p in resolved.passages:
        for name in pen.parts[p.part].ends:
            if name != rear.get(p.part):
                return PlaceOfPart(p.part, name)
    return None


def passage_facts(pen: Pen, resolved: ResolvedPen) -> tuple[PassageFact, ...]:
    """Every part that has to go into another."""
    front = nib_front(pen, resolved)
    unit = pen.inside.nib_unit
    out = 0.0 if unit is None else float(unit.stick_out)
    return tuple(
        _passage(p, out if front is not None and front.part == p.part else None)
        for p in resolved.passages
    )


def _passage(p: Passage, nib: float | None) -> PassageFact:
    """``nib``: how far it stands out of the part, mm; None if the file does not say."""
    aside, behind = (p.free - p.diameter) / 2, p.depth - p.reach
    grade = GOOD if aside > 0 and behind > (nib or 0.0) else Level.ERROR.value
    across = (
        f"{text_of(aside, 2)} mm free a side" if aside > 0
        else f"{text_of(-aside, 2)} mm too wide a side"
    )  # fmt: skip
    deep = (
        f"{text_of(behind, 1)} mm in front of it" if behind > 0
        else f"{text_of(-behind, 1)} mm too deep"
    )  # fmt: skip
    if nib is None:
        deep += ", the nib not counted: how far it stands out is not said"
    elif behind > 0:
        room = behind - nib
        deep += (
            f", {text_of(room, 1)} mm in front of the nib"
            if room > 0
            else (f", and the nib is {text_of(-room, 1)} mm too long for it")
        )
    return PassageFact(
        part=p.part,
        through=str(p.through),
        aside=aside,
        behind=behind,
        grade=grade,
        key=dotted(("parts", p.part, "diameter")),
        says=f"{p.part} in {p.through.part}: {across}, {deep}",
    )
