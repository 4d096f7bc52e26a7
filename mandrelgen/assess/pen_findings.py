"""Findings about the pen itself, worded from the resolved joints and walls."""

from __future__ import annotations

from collections.abc import Iterator

from mandrelgen.assess.resolved import Joined, ResolvedPen
from mandrelgen.core.errors import Finding, Level
from mandrelgen.core.tolerance import text_of
from mandrelgen.design.designed import Designed
from mandrelgen.spec.pen import Pen
from mandrelgen.standards import material_names

LEAST_WALL = 0.6
LEAST_CROWN = 1.0
LEAST_PITCHES = 3.0


def check(pen: ResolvedPen) -> tuple[Finding, ...]:
    """Walls, joints, tap holes, crowns and passages of the pen."""
    return (
        *_walls(pen),
        *(f for j in pen.joints for f in (*_closing(j), *_screwing(j))),
        *_tap_holes(pen),
        *_crowns(pen),
        *_passages(pen),
    )


def held(pen: Pen, designed: tuple[Designed, ...]) -> Iterator[Finding]:
    """Parts that no mandrel is planned for, though every needed one is wanted; a pen that leads to
    no mandrel at all."""
    if not designed and not pen.mandrels.wants_all:
        yield Finding(
            level=Level.ERROR,
            code="pen.no_mandrel",
            where="mandrels",
            message="all_needed is false and no mandrel is asked for",
            remedy="leave all_needed out, or ask for mandrels under [[mandrels.requests]]",
        )
    elif not designed:
        names = ", ".join(pen.parts)
        yield Finding(
            level=Level.ERROR,
            code="pen.no_mandrel",
            where="parts",
            message=f"nothing to hold any part by ({names}): no end has a thread or a bore",
            remedy="give a part's end a thread (internal or external) or a bore",
        )
    elif pen.mandrels.wants_all:
        holds = [h for d in designed for h in (d.planned.hold, d.planned.other) if h is not None]
        for name in pen.parts:
            if all(h.part != name for h in holds):
                yield Finding(
                    level=Level.NOTE,
                    code="pen.not_held",
                    where=f"parts.{name}",
                    message="no mandrel is made for it: no end of it has a thread or a bore",
                    remedy="give one a thread (internal or external) or a bore, if it is to be "
                    "held",
                )


def rods(pen: Pen) -> Iterator[Finding]:
    """What the rods that the file names ask one to take care of, each material once."""
    told: set[str] = set()
    for name, part in pen.parts.items():
        cautions = material_names.cautions(part.material)
        if "material" not in part.model_fields_set or part.material in told or not cautions:
            continue
        told.add(part.material)
        yield Finding(
            Level.NOTE,
            "material.caution",
            f"parts.{name}.material",
            f"{material_names.spoken(part.material)}: {'; '.join(cautions)}",
            "keep to local rules; if in doubt ask a qualified person",
        )


def _walls(pen: ResolvedPen) -> Iterator[Finding]:
    for w in pen.walls:
        if w.value <= 0.05:
            yield Finding(
                level=Level.ERROR,
                code="pen.wall",
                where=w.where,
                message=f"nothing is left between {w.between} at worst limits "
                f"({text_of(w.value, 2)} mm)",
                remedy="a smaller bore or inner thread, or a larger outside",
            )
        elif w.value < LEAST_WALL:
            yield Finding(
                level=Level.WARNING,
                code="pen.wall",
                where=w.where,
                message=f"only {text_of(w.value, 2)} mm between {w.between} at worst limits",
                remedy=f"{LEAST_WALL} or more is usual: a smaller bore or inner thread, or a "
                "larger "
                "outside",
            )


def _tap_holes(pen: ResolvedPen) -> Iterator[Finding]:
    for h in pen.tap_holes:
        drill = f"a drill of ⌀{text_of(h.allowed_lower)} to {text_of(h.allowed_upper)}"
        if h.lower < h.allowed_lower - 0.05:
            said = (
                f"the hole may be ⌀{text_of(h.lower)}, the thread's minor diameter is at least "
                f"⌀{text_of(h.allowed_lower)}: the tap has to cut "
                f"{text_of(h.allowed_lower - h.lower)} more and may bind"
            )
        elif h.upper > h.allowed_upper + 0.05:
            said = (
                f"the hole may be ⌀{text_of(h.upper)}, the thread's minor diameter is at most "
                f"⌀{text_of(h.allowed_upper)}: the thread comes out shallow"
            )
        else:
            continue
        yield Finding(
            level=Level.WARNING, code="pen.tap_hole", where=h.where, message=said, remedy=drill
        )


def _crowns(pen: ResolvedPen) -> Iterator[Finding]:
    for c in pen.crowns:
        if c.left < LEAST_CROWN:
            yield Finding(
                level=Level.ERROR if c.left <= 0 else Level.WARNING,
                code="pen.crown",
                where=c.where,
                message=f"only {text_of(c.left, 2)} mm is left beyond the end of the bore",
                remedy="a shallower bore, a flat-bottomed drill, or a longer part",
            )


def _passages(pen: ResolvedPen) -> Iterator[Finding]:
    for p in pen.passages:
        if p.diameter > p.free - 0.1:
            yield Finding(
                level=Level.ERROR,
                code="pen.passage",
                where=p.part,
                message=f"⌀{text_of(p.diameter)} does not pass the thread of {p.through} "
                f"(⌀{text_of(p.free)} at least) with 0.1 to spare: "
                f"{text_of(p.diameter - p.free + 0.1, 2)} too large",
                remedy=f"a diameter of {text_of(p.free - 0.1, 1)} or less, or a larger cap thread",
            )


def _closing(j: Joined) -> Iterator[Finding]:
    """Whether the joint closes, and on how much thread."""
    c, name, pitch = j.closing, j.joint.id, j.lead / j.starts
    if c.engaged < LEAST_PITCHES * pitch:
        yield Finding(
            level=Level.WARNING,
            code="pen.engagement",
            where=name,
            message=f"only {text_of(c.engaged / pitch, 1)} full pitches engage when closed",
            remedy="a longer tenon or a deeper thread",
        )
    if c.shoulder_gap > 0.02:
        yield Finding(
            level=Level.WARNING,
            code="pen.shoulder",
            where=name,
            message="the unformed turns at the shoulder may hold the joint open by "
            f"{text_of(c.shoulder_gap, 2)} mm",
            remedy="a deeper countersink or counterbore in the nut, or form the turns up to the "
            "shoulder",
        )
    if c.bottom_room < 0.1 or c.thread_room < 0:
        short = max(0.1 - c.bottom_room, -c.thread_room)
        yield Finding(
            level=Level.ERROR,
            code="pen.bottoms",
            where=name,
            message="the threads bottom before the shoulder closes at worst limits, by "
            f"{text_of(short, 2)} mm",
            remedy="a deeper thread (or a bottoming tap), or a shorter tenon",
        )


def _screwing(j: Joined) -> Iterator[Finding]:
    """Whether the threads go together, and in how many turns."""
    c, name = j.closing, j.joint.id
    if j.play.tightest < 0:
        yield Finding(
            level=Level.WARNING,
            code="pen.tight",
            where=name,
            message=f"the threads bind at worst limits by {text_of(-j.play.tightest)} mm on "
            "diameter",
            remedy="measure both threads, or open one of them",
        )
    if j.starts > 1:
        yield Finding(
            level=Level.NOTE,
            code="pen.turns",
            where=name,
            message=f"{text_of(c.turns, 2)} turns over {text_of(c.travel, 1)} mm close the joint "
            f"({j.starts} starts; one start of this pitch would take "
            f"{text_of(c.turns * j.starts, 1)})",
            remedy="",
        )
