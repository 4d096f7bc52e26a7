"""What the drawing says beside its lines: walls with their margin, how the joints close."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from mandrelgen.assess.pen_joints import Joined, Passage
from mandrelgen.assess.pen_walls import PenWall
from mandrelgen.assess.resolved import ResolvedPen
from mandrelgen.core.errors import Level, Path
from mandrelgen.core.tolerance import text_of
from mandrelgen.mechanics.joint import SHUT, can_close
from mandrelgen.mechanics.walls import Place as Kind
from mandrelgen.mechanics.walls import level
from mandrelgen.paper.pen_drawing.outline import PartOutline
from mandrelgen.spec.pen import Pen
from mandrelgen.standards.designation import Designation

GOOD = "good"


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
    """A wall where it is: a stretch of a part, mm along it; ``grade``: error, warning or good."""

    part: str
    start: float
    end: float
    key: str
    grade: str
    value: float
    asked: float
    says: str


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
    order = (GOOD, Level.WARNING.value, Level.ERROR.value)
    return tuple(sorted(row, key=lambda z: (order.index(z.grade), -z.value)))


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


def passage_facts(resolved: ResolvedPen) -> tuple[PassageFact, ...]:
    """Every part that has to go into another."""
    return tuple(_passage(p) for p in resolved.passages)


def _passage(p: Passage) -> PassageFact:
    aside, behind = (p.free - p.diameter) / 2, p.depth - p.reach
    grade = GOOD if aside > 0 and behind > 0 else Level.ERROR.value
    across = (
        f"{text_of(aside, 2)} mm free a side" if aside > 0
        else f"{text_of(-aside, 2)} mm too wide a side"
    )  # fmt: skip
    deep = (
        f"{text_of(behind, 1)} mm in front of it" if behind > 0
        else f"{text_of(-behind, 1)} mm too deep"
    )  # fmt: skip
    return PassageFact(
        part=p.part,
        through=str(p.through),
        aside=aside,
        behind=behind,
        grade=grade,
        key=dotted(("parts", p.part, "diameter")),
        says=f"{p.part} in {p.through.part}: {across}, {deep}",
    )
