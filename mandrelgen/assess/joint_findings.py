"""Findings about joints and the holes under threads, each with the sizes that would mend it."""

from __future__ import annotations

from collections.abc import Iterator

from mandrelgen.assess import joint_remedies
from mandrelgen.assess.pen_joints import Joined, Passage, ShortHole, TapHole
from mandrelgen.assess.pen_places import Place, put_in_front, set_bore
from mandrelgen.assess.pen_walls import PenWall
from mandrelgen.assess.resolved import ResolvedPen
from mandrelgen.core.errors import Change, Finding, Level, Remedy
from mandrelgen.core.tolerance import text_of
from mandrelgen.mechanics import engagement, remedy
from mandrelgen.mechanics.joint import drill_point
from mandrelgen.mechanics.practice import judged
from mandrelgen.mechanics.walls import Place as Kind
from mandrelgen.mechanics.walls import least_wall

# A hole may be this much under the least minor diameter before the tap has to work, mm
# (common practice, no source).
TIGHT_HOLE = 0.1
# What a part needs to pass another's thread with, on the diameter, mm (common practice, no source).
SPARE = 0.1
# Room behind the tap for its point and the chips: a pitch, at least this, mm, more than two depths
# set by hand differ (common practice, no source).
_BEHIND_TAP = 0.5
# What a nib stands out in front of its section at the most, with room in front of it, mm (common
# practice, no source).
NIB = 26.0
# A nut may be tapped deeper by no more than this before its tap needs another hole, mm.
_NOTHING = 0.005


def check(pen: ResolvedPen) -> tuple[Finding, ...]:
    """How each joint closes and holds, the holes under threads, what has to pass."""
    return (
        *(f for j in pen.joints for f in (*_closing(j, pen.walls), *_screwing(j))),
        *(f for h in pen.tap_holes for f in _tap_hole(h)),
        *(f for s in pen.short_holes for f in _short(s)),
        *(f for p in pen.passages for f in _passage(p)),
    )


def _both(j: Joined) -> tuple[str, ...]:
    return tuple(dict.fromkeys((j.joint.external.part, j.joint.internal.part)))


# -- closing ---------------------------------------------------------------------------------------
def _closing(j: Joined, walls: tuple[PenWall, ...]) -> Iterator[Finding]:
    short = max(-j.room, -j.nose_room)
    worst = max(-j.closing.thread_room, -j.closing.bottom_room)
    if short > _NOTHING or worst > _NOTHING:
        level = Level.ERROR if short > _NOTHING else Level.WARNING
        by = short if level is Level.ERROR else worst
        taken = _taken_as(j, by)
        yield Finding(
            level=level,
            code="pen.bottoms",
            where=j.joint.id,
            message=f"the joint bottoms {text_of(by, 2)} mm before it shuts on its shoulder"
            + ("" if level is Level.ERROR else " at worst limits")
            + taken,
            remedy="a deeper thread (or a bottoming tap), or a shorter tenon",
            remedies=(*joint_remedies.room(j, worst), *(_it_shuts(j, worst) if taken else ())),
            parts=_both(j),
            value=round(by, 4),
        )
        return
    yield from _held_open(j, walls)
    yield from _engaged(j)


def _taken_as(j: Joined, short: float) -> str:
    """What nobody said and the finding rests on: with the turns cut to the bottom there would be
    room."""
    left = j.tapped.tapped - j.tapped.full
    if not j.tapped.lead_taken or left <= 0 or short > left + _NOTHING:
        return ""
    if max(-j.nose_room, -j.closing.bottom_room) > _NOTHING:
        return ""
    return f" (incomplete thread at the bottom taken as {text_of(left, 2)}, two pitches: say yours)"


def _it_shuts(j: Joined, short: float) -> Iterator[Remedy]:
    """What follows for the tap where the maker sees the joint shut."""
    left = remedy.at_most(j.tapped.tapped - j.tapped.full - short)
    if left > 0:
        at = j.joint.internal
        key = Place(at.part, at.end).key("internal", "tap_lead")
        yield Remedy(
            (Change(key, left),),
            f"it shuts on my bench: {j.joint.internal} has at most {text_of(left)} of incomplete "
            "thread at its bottom",
        )


def _held_open(j: Joined, walls: tuple[PenWall, ...]) -> Iterator[Finding]:
    gap = j.closing.shoulder_gap
    if gap <= _NOTHING:
        return
    taken = f" (taken as {text_of(j.tenon.unformed_max, 2)}: say yours)" * bool(j.tenon.assumptions)
    yield Finding(
        level=Level.WARNING,
        code="pen.shoulder",
        where=j.joint.id,
        message="the incomplete threads at the shoulder may hold the joint open by "
        f"{text_of(gap, 2)} mm{taken}",
        remedy="a counterbore in the nut as deep as the incomplete threads, or a relief groove "
        "behind the thread",
        remedies=tuple(joint_remedies.shut(j, walls)),
        parts=_both(j),
        value=round(gap, 4),
        brief=f"incomplete threads that may hold the joint open by {text_of(gap, 2)}",
    )


def _engaged(j: Joined) -> Iterator[Finding]:
    least = judged("engagement", "least_pitches")
    if j.pitches >= least - 1e-6:
        return
    yield Finding(
        level=Level.WARNING,
        code="pen.engagement",
        where=j.joint.id,
        message=f"only {text_of(j.pitches, 1)} pitches hold when it is shut; {least:g} or more "
        "is usual",
        remedy="a longer tenon or a deeper thread",
        remedies=tuple(joint_remedies.more_thread(j, least)),
        parts=_both(j),
        value=round(j.pitches, 3),
        less_is_worse=True,
    )


def _screwing(j: Joined) -> Iterator[Finding]:
    """Whether the threads go together, and in how many turns."""
    if j.play.tightest < -_NOTHING:
        yield Finding(
            level=Level.WARNING,
            code="pen.tight",
            where=j.joint.id,
            message=f"the threads bind at worst limits by {text_of(-j.play.tightest)} mm on "
            "diameter",
            remedy="measure both threads, or open one of them",
            parts=_both(j),
            value=round(-j.play.tightest, 4),
        )
    if j.starts > 1 and j.turns is not None:
        t = j.turns
        yield Finding(
            Level.NOTE,
            "pen.turns",
            j.joint.id,
            f"closes in {text_of(t.nominal, 1)} turns ({text_of(t.least, 1)} to "
            f"{text_of(t.most, 1)})",
        )


# -- holes -----------------------------------------------------------------------------------------
def _tap_hole(h: TapHole) -> Iterator[Finding]:
    parts = (h.place.part, *((h.mate.part,) if h.mate else ()))
    size = h.bored.hole.size
    level = engagement.level(h.found)
    if level is not None:
        yield Finding(
            level=level,
            code="pen.tap_hole",
            where=str(h.place),
            message=_overlap_said(h),
            remedy="a smaller hole",
            remedies=tuple(_smaller_hole(h)),
            parts=tuple(dict.fromkeys(parts)),
            value=round(100 * h.found.given, 1),
            less_is_worse=True,
            firm=h.found.given <= 0,
        )
    elif size.upper < h.minor - TIGHT_HOLE:
        yield Finding(
            level=Level.WARNING,
            code="pen.tight_hole",
            where=str(h.place),
            message=f"the hole of ⌀{text_of(size.upper)} at most is under the thread's least minor "
            f"diameter of ⌀{text_of(h.minor)}: the tap has to cut the rest and may bind",
            remedy="a larger hole",
            remedies=tuple(_larger_hole(h)),
            parts=(h.place.part,),
            value=round(h.minor - size.upper, 4),
        )


def _overlap_said(h: TapHole) -> str:
    mate = f"{h.mate}'s crest of ⌀{text_of(h.crest)}" if h.mate else "the usual crest"
    size = f"⌀{text_of(h.bored.given)}"
    if h.found.given <= 0:
        return f"a hole of {size} leaves no thread for {mate}"
    said = (
        f"a hole of {size} leaves {text_of(h.found.percent_given, 0)} % thread for {mate} "
        f"({text_of(h.found.percent_worst, 0)} % at worst limits)"
    )
    asked = judged("engagement", "warning_given")
    return f"{said}; {text_of(engagement.percent_thread(asked), 0)} % is usual"


def _smaller_hole(h: TapHole) -> Iterator[Remedy]:
    b = h.bored
    size = remedy.hole_for(h.crest, h.pitch, crest_min=h.crest_min, over=b.over, drilled=b.drilled)
    if size is not None and size < b.hole.size.nominal:
        yield set_bore(b, size)


def _larger_hole(h: TapHole) -> Iterator[Remedy]:
    """Wider as far as the thread goes, the rest as it is; or wider all the way down."""
    b = h.bored
    deep = remedy.at_least(h.tapped + max(h.pitch, _BEHIND_TAP), remedy.DEPTH_STEP)
    sizes = dict.fromkeys((h.drill, remedy.drill_at_least(h.minor)))
    if deep < b.hole.end - _NOTHING:
        for size in sizes:
            if size is not None and size >= h.minor - _NOTHING:
                yield put_in_front(b, h.steps, size, deep)
    size = remedy.drill_at_least(h.minor) if b.drilled else remedy.at_least(h.minor)
    if size is not None:
        yield set_bore(b, size)


def _short(s: ShortHole) -> Iterator[Finding]:
    over = s.tapped - s.drilled
    if over <= _NOTHING:
        return
    deeper = [remedy.at_least(s.tapped + x, remedy.DEPTH_STEP) for x in (_BEHIND_TAP, 0.0)]
    less = [remedy.at_most(s.drilled - x, remedy.DEPTH_STEP) for x in (_BEHIND_TAP, 0.0)]
    yield Finding(
        level=Level.ERROR,
        code="pen.short_hole",
        where=str(s.place),
        message=f"it is tapped {text_of(s.tapped)} deep in a hole {text_of(s.drilled)} deep",
        remedy="a deeper hole, or less thread",
        remedies=(
            *(
                Remedy(
                    (Change(s.place.key("bore", s.steps - 1, "depth"), x),),
                    f"bore {s.place} {text_of(x)} deep (now {text_of(s.drilled)})",
                )
                for x in deeper
            ),
            *(
                Remedy(
                    (Change(s.place.key("internal", "depth"), x),),
                    f"tap {s.place} {text_of(x)} deep (now {text_of(s.tapped)})",
                )
                for x in less
                if x > 0
            ),
        ),
        parts=(s.place.part,),
        value=round(over, 4),
        firm=True,
    )


# -- passages --------------------------------------------------------------------------------------
def _passage(p: Passage) -> Iterator[Finding]:
    parts = (p.part, p.through.part)
    spare = p.free - p.diameter
    if spare < SPARE - _NOTHING:
        most = remedy.at_most(p.free - SPARE)
        taken = " (its outside taken as straight between its ends: say yours)" * p.straight
        wider = "a wider bore behind its thread" if p.step else "a larger cap thread"
        yield Finding(
            level=Level.ERROR,
            code="pen.passage",
            where=p.part,
            message=f"⌀{text_of(p.diameter)} does not pass {p.through} (⌀{text_of(p.free)} at "
            "the least) "
            f"with {SPARE:g} to spare{taken}",
            remedy=f"⌀{text_of(most)} or less, or {wider}",
            remedies=(*_slimmer(p, most), *_wider(p)),
            parts=parts,
            value=round(SPARE - spare, 4),
        )
    elif p.straight and p.narrowest - p.widest < SPARE - _NOTHING:
        yield Finding(
            level=Level.NOTE,
            code="pen.passage_straight",
            where=p.part,
            message=f"⌀{text_of(p.widest)} passes {p.through} (⌀{text_of(p.narrowest)} at the "
            "least) as long as its outside bulges nowhere beyond a straight line between its ends",
            remedy="say it point by point: outside, at one of its ends",
            parts=parts,
            value=round(p.widest - p.narrowest, 4),
        )
    short = p.reach - p.depth
    if not p.steps and short > _NOTHING:
        wide = remedy.at_least(p.diameter + SPARE)
        yield Finding(
            level=Level.WARNING,
            code="pen.cap_bore",
            where=str(p.through),
            message=f"no bore is said: its thread ends {text_of(p.depth)} deep, and what screws "
            f"into it reaches {text_of(p.reach)} (without the nib)",
            remedy=f"say its bore: ⌀{text_of(wide)} or more, deeper than {text_of(p.reach)} by the "
            "nib and some room",
            remedies=tuple(_bored(p)),
            parts=parts,
            value=round(short, 4),
        )
    if p.steps and short > _NOTHING:
        deeper = remedy.at_least(p.reach, remedy.DEPTH_STEP)
        yield Finding(
            level=Level.ERROR,
            code="pen.cap_depth",
            where=str(p.through),
            message=f"it is bored {text_of(p.depth)} deep, and what screws into it reaches "
            f"{text_of(p.reach)} (without the nib)",
            remedy="a deeper bore",
            remedies=(
                Remedy(
                    (Change(p.through.key("bore", p.steps - 1, "depth"), deeper),),
                    f"bore {p.through} {text_of(deeper)} deep (now {text_of(p.depth)})",
                ),
            ),
            parts=parts,
            value=round(short, 4),
        )


def _bored(p: Passage) -> Iterator[Remedy]:
    """With the drill that its thread is tapped in, or one that lets the part pass; as deep as a
    usual nib asks for, or as a closed end is left."""
    wide = remedy.drill_at_least(p.diameter + SPARE)
    if wide is None:
        return
    size = max(wide, p.drill)
    least = least_wall(Kind.CROWN).warning
    most = remedy.depth_for(p.length, drill_point(size, 118.0), least)
    deep = remedy.at_least(p.reach + NIB, remedy.DEPTH_STEP)
    for depth in dict.fromkeys(x for x in (deep, most) if x is not None and p.reach < x <= deep):
        at = p.through.key("bore", 0)
        yield Remedy(
            (Change((*at, "diameter"), size), Change((*at, "depth"), depth)),
            f"bore {p.through} ⌀{text_of(size)}, {text_of(depth)} deep (the nib taken as "
            f"{text_of(depth - p.reach)} with its room: say yours)",
        )


def _wider(p: Passage) -> Iterator[Remedy]:
    """A bore behind the thread that lets the part pass."""
    size = remedy.drill_at_least(p.diameter + SPARE)
    if p.step and size is not None:
        key = p.through.key("bore", p.step, "diameter")
        yield Remedy(
            (Change(key, size),), f"bore {p.through} ⌀{text_of(size)} from {text_of(p.begins)} on"
        )


def _slimmer(p: Passage, most: float) -> Iterator[Remedy]:
    if most > 0:
        changes = [Change(("parts", p.part, "diameter"), most)]
        changes += [Change(path, most) for path in p.ends]
        yield Remedy(tuple(changes), f"{p.part} ⌀{text_of(most)} or less")
