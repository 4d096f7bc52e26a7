"""Findings about the pen itself: walls, crowns, holes, and parts that nothing holds; worded from
what was resolved, each with the sizes that would mend it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from mandrelgen.assess import joint_findings
from mandrelgen.assess.pen_places import set_bore, set_outside
from mandrelgen.assess.pen_walls import Crown, PenWall
from mandrelgen.assess.resolved import ResolvedPen
from mandrelgen.core.errors import Change, Finding, Level, Remedy
from mandrelgen.core.tolerance import text_of
from mandrelgen.design.designed import Designed
from mandrelgen.mechanics import remedy, walls
from mandrelgen.mechanics.walls import LeastWall
from mandrelgen.spec.pen import Pen
from mandrelgen.standards import material_names


def check(pen: ResolvedPen) -> tuple[Finding, ...]:
    """Walls, crowns, joints, holes and passages of the pen."""
    return (
        *_walls(pen),
        *_crowns(pen),
        *joint_findings.check(pen),
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
    elif not designed and set(pen.parts) <= set(pen.mandrels.skip):
        yield Finding(
            level=Level.ERROR,
            code="pen.no_mandrel",
            where="mandrels.skip",
            message="every part is left out",
            remedy="take the one that is to be held out of skip",
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
            if name not in pen.mandrels.skip and all(h.part != name for h in holds):
                yield Finding(
                    level=Level.NOTE,
                    code="pen.not_held",
                    where=f"parts.{name}",
                    message="no mandrel is made for it: no end of it has a thread or a bore",
                    remedy="give one a thread (internal or external) or a bore, if it is to "
                    "be held",
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
            level=Level.NOTE,
            code="material.caution",
            where=f"parts.{name}.material",
            message=f"{material_names.spoken(part.material)}: {'; '.join(cautions)}",
        )


# -- walls -----------------------------------------------------------------------------------------
def _walls(pen: ResolvedPen) -> Iterator[Finding]:
    """The thinnest wall of each kind at each end, if it is too thin."""
    thinnest: dict[tuple[str, walls.Place], PenWall] = {}
    for w in pen.walls:
        key = (str(w.place), w.kind)
        if key not in thinnest or w.value < thinnest[key].value:
            thinnest[key] = w
    for w in thinnest.values():
        level = walls.level(w.value, w.asked)
        if level is not None:
            yield _wall(w, level)


def _wall(w: PenWall, level: Level) -> Finding:
    message = f"{_left(w.value)} is left between {w.between} at worst limits; "
    message += _limits(level, w.asked)
    b = w.hole
    if b is not None and b.assumed and walls.level(w.value + b.over / 2, w.asked) is not level:
        message += (
            f"; the bore is taken as up to {text_of(b.over, 2)} larger than said: say yours "
            "(upper = …)"
        )
    return Finding(
        level=level,
        code=f"pen.wall-{w.kind.value}",
        where=str(w.place),
        message=message,
        remedy="a smaller bore or inner thread, or a larger outside",
        remedies=tuple(_thicker(w)),
        parts=(w.place.part,),
        value=round(w.value, 4),
        less_is_worse=True,
        firm=w.value <= 0,
        brief=_brief("wall", w.value, level, w.asked),
    )


def _left(amount: float) -> str:
    return f"{text_of(amount, 2)} mm" if amount > 0 else "nothing"


def _limits(level: Level, asked: LeastWall) -> str:
    """What is the least (below it must be mended, the words mean nothing else) and what is
    recommended; on what both stand, and how to say another."""
    least, advised = text_of(asked.error, 2), text_of(asked.warning, 2)
    if level is Level.ERROR:
        own = "" if asked.basis == walls.OWN else "; or say your own least_wall"
        return f"{least} is the least, {advised} recommended ({asked.basis}{own})"
    return f"{advised} is recommended ({asked.basis})"


def _brief(what: str, amount: float, level: Level, asked: LeastWall) -> str:
    if level is Level.ERROR:
        return f"the {what} too thin ({text_of(amount, 2)}, {text_of(asked.error, 2)} is the least)"
    return f"the {what} thin ({text_of(amount, 2)}, {text_of(asked.warning, 2)} recommended)"


def _thicker(w: PenWall) -> Iterator[Remedy]:
    """Sizes that leave what is recommended; then those that leave the least."""
    yield from _sizes(w, w.asked.warning, lesser=False)
    if walls.level(w.value, w.asked) is Level.ERROR:
        yield from _sizes(w, w.asked.error, lesser=True)


def _sizes(w: PenWall, asked: float, lesser: bool) -> Iterator[Remedy]:
    if w.hole is not None:
        size = remedy.bore_for(w.outside, asked, w.hole.over, w.hole.drilled)
        if size is not None and size < w.hole.hole.size.nominal:
            yield replace(set_bore(w.hole, size), lesser=lesser)
    if w.counterbore:
        size = remedy.at_most(walls.largest_inside(w.outside, asked, _OVER_COUNTERBORE))
        if size > 0:
            says = f"counterbore ⌀{text_of(size)}"
            yield Remedy((Change(w.counterbore, size),), says, lesser=lesser)
    if w.body:
        size = remedy.outside_for(w.inside, asked)
        yield set_outside(w.place, w.body, size, w.largest, lesser)


# What a counterbore may come out larger, where its limits are taken from how it was made, mm.
_OVER_COUNTERBORE = 0.1


def _crowns(pen: ResolvedPen) -> Iterator[Finding]:
    for c in pen.crowns:
        level = walls.level(c.left, c.asked)
        if level is None:
            continue
        yield Finding(
            level=level,
            code="pen.crown",
            where=str(c.place),
            message=f"{_left(c.left)} is left beyond the end of the bore; "
            + _limits(level, c.asked),
            remedy="a shallower bore, a flat bottom, or a longer part",
            remedies=tuple(_shorter(c)),
            parts=(c.place.part,),
            value=round(c.left, 4),
            less_is_worse=True,
            firm=c.left <= 0,
            brief=_brief("closed end", c.left, level, c.asked),
        )


def _shorter(c: Crown) -> Iterator[Remedy]:
    """As deep as the part is long: through it, above all. Sizes that leave what is recommended;
    then those that leave the least."""
    if c.depth >= c.length:
        says = f"bore {c.place} through the part"
        yield Remedy((Change(c.place.key("bottom"), "through"),), says)
    yield from _lengths(c, c.asked.warning, lesser=False)
    if walls.level(c.left, c.asked) is Level.ERROR:
        yield from _lengths(c, c.asked.error, lesser=True)


def _lengths(c: Crown, asked: float, lesser: bool) -> Iterator[Remedy]:
    depth = remedy.depth_for(c.length, c.point, asked, c.opposite)
    if depth is not None and depth > 0:
        path = c.place.key("bore", c.steps - 1, "depth")
        says = f"bore {c.place} {text_of(depth)} deep (now {c.depth:g})"
        yield Remedy((Change(path, depth),), says, lesser=lesser)
    if not lesser and c.point and walls.level(c.left + c.point, c.asked) is None:
        yield Remedy((Change(c.place.key("bottom"), "flat"),), "a flat-bottomed bore")
    longer = remedy.at_least(c.length + asked - c.left)
    yield Remedy(
        (Change(("parts", c.place.part, "length"), longer),),
        f"the part {text_of(longer)} long",
        lesser=lesser,
    )
