"""What goes inside the pen, against the holes and lengths that are there, each with one check."""

from __future__ import annotations

from collections.abc import Iterator

from mandrelgen.assess.pen_joints import Joined, Passage
from mandrelgen.assess.pen_places import Place, bored, set_bore
from mandrelgen.assess.resolved import ResolvedPen
from mandrelgen.core.errors import Change, Finding, Level, Remedy
from mandrelgen.core.tolerance import text_of
from mandrelgen.design import ends
from mandrelgen.mechanics import remedy
from mandrelgen.mechanics.practice import judged
from mandrelgen.spec.joints import split_place
from mandrelgen.spec.pen import Bottom, Pen
from mandrelgen.spec.shop import Shop

# Room in front of a nib and behind a converter, mm (common practice, no source).
ROOM = 1.0
# What a converter needs around it, on the diameter, mm (common practice, no source).
AROUND = 0.2
_NOTHING = 0.005


def check(pen: Pen, shop: Shop, resolved: ResolvedPen) -> tuple[Finding, ...]:
    """The findings of everything the file names under ``[inside]``."""
    return (
        *_nib(pen, resolved),
        *_reservoir(pen, shop, resolved),
        *_ring(pen, resolved),
        *_posted(pen, resolved),
    )


def _room(pen: Pen) -> float:
    return ROOM if pen.inside.room is None else float(pen.inside.room)


# -- the nib in the cap ----------------------------------------------------------------------------
def _nib(pen: Pen, resolved: ResolvedPen) -> Iterator[Finding]:
    """The cap is deep enough for section and nib, and for the floor of an inner cap."""
    unit, cup = pen.inside.nib_unit, pen.inside.inner_cap
    if unit is None:
        return
    wanted = split_place(unit.front) if unit.front else None
    for p in resolved.passages:
        if wanted is not None and wanted[0].part != p.part:
            continue
        floor = float(cup.floor) if cup else 0.0
        needed = p.reach + float(unit.stick_out) + _room(pen) + floor
        short = needed - p.depth
        if not p.steps or short <= _NOTHING:
            continue
        yield Finding(
            level=Level.ERROR if short > _room(pen) + _NOTHING else Level.WARNING,
            code="pen.nib_room",
            where=str(p.through),
            message=f"it is bored {text_of(p.depth)} deep; section and nib reach "
            f"{text_of(p.reach + float(unit.stick_out))}"
            + (f", the inner cap's floor takes {text_of(floor)}" if cup else "")
            + f", and {text_of(_room(pen))} is to be spare",
            remedy="a deeper cap, or a shorter section",
            remedies=tuple(_deeper_cap(pen, p, needed)),
            parts=(p.part, p.through.part),
            value=round(short, 4),
        )


def _deeper_cap(pen: Pen, p: Passage, needed: float) -> Iterator[Remedy]:
    deeper = remedy.at_least(needed, remedy.DEPTH_STEP)
    change = Change(p.through.key("bore", p.steps - 1, "depth"), deeper)
    says = f"bore {p.through} {text_of(deeper)} deep (now {text_of(p.depth)})"
    yield Remedy((change,), says)
    length = float(pen.parts[p.through.part].length)
    longer = remedy.at_least(length + needed - p.depth)
    yield Remedy(
        (change, Change(("parts", p.through.part, "length"), longer)),
        f"{says} and the part {text_of(longer)} long",
    )


# -- converter or cartridge ------------------------------------------------------------------------
def _reservoir(pen: Pen, shop: Shop, resolved: ResolvedPen) -> Iterator[Finding]:
    """The barrel is bored wide and deep enough for what stands out behind the section."""
    r = pen.inside.reservoir
    at = _behind(pen, resolved)
    if r is None or at is None:
        return
    place, front = at
    part = pen.parts[place.part]
    end = part.ends[place.end]
    if not end.bore:
        return
    tapped = ends.tapped_end(part, end, shop) if end.internal else None
    steps = bored(place, end, tapped.holes if tapped else ends.plain_holes(part, end, shop)[0])
    back = front + float(r.behind)
    through = end.bottom is Bottom.THROUGH
    depth = float(part.length) if through else max(b.hole.end for b in steps)
    wide = float(r.diameter) + AROUND
    along = [b for b in steps if b.hole.start < back and b.hole.end > front]
    for b in (b for b in along if b.hole.size.lower < wide - _NOTHING):
        size = remedy.drill_at_least(wide) if b.drilled else remedy.at_least(wide)
        yield Finding(
            level=Level.ERROR if b.hole.size.lower < float(r.diameter) else Level.WARNING,
            code="pen.reservoir_width",
            where=str(place),
            message=f"converter or cartridge of ⌀{text_of(float(r.diameter))} in a bore of "
            f"⌀{text_of(b.hole.size.lower)}, with {AROUND:g} to spare",
            remedy="a wider bore",
            remedies=(set_bore(b, size),) if size is not None else (),
            parts=(place.part,),
            value=round(wide - b.hole.size.lower, 4),
        )
    room = _room(pen)
    short = back + room - depth
    if short > _NOTHING:
        deeper = remedy.at_least(back + room, remedy.DEPTH_STEP)
        change = Change(place.key("bore", len(end.bore) - 1, "depth"), deeper)
        says = f"bore {place} {text_of(deeper)} deep (now {text_of(depth)})"
        yield Finding(
            level=Level.ERROR if short > room + _NOTHING else Level.WARNING,
            code="pen.reservoir_depth",
            where=str(place),
            message=f"it is bored {text_of(depth)} deep; the converter or cartridge reaches "
            f"{text_of(back)}, and {text_of(room)} is to be spare",
            remedy="a deeper bore",
            remedies=(Remedy((change,), says),),
            parts=(place.part,),
            value=round(short, 4),
        )


def _behind(pen: Pen, resolved: ResolvedPen) -> tuple[Place, float] | None:
    """The end the reservoir goes into, and how deep the section's rear face stands in it, mm."""
    r = pen.inside.reservoir
    if r is None:
        return None
    wanted = split_place(r.into) if r.into else None
    sections = {p.part for p in resolved.passages}
    for j in resolved.joints:
        at = Place(j.joint.internal.part, j.joint.internal.end)
        if (str(at) == str(wanted[0])) if wanted else j.joint.external.part in sections:
            return at, j.tenon.length.nominal
    return (Place(wanted[0].part, wanted[0].end), 0.0) if wanted else None


# -- the clip's ring -------------------------------------------------------------------------------
def _ring(pen: Pen, resolved: ResolvedPen) -> Iterator[Finding]:
    """The ring goes over the tenon, and what it takes of the tenon leaves thread enough."""
    ring = pen.inside.clip_ring
    wanted = split_place(ring.on) if ring else None
    j = next((j for j in resolved.joints if wanted and j.joint.external == wanted[0]), None)
    if ring is None or j is None:
        return
    crest = j.tenon.thread.major.max or 0.0
    screw = Place(j.joint.external.part, j.joint.external.end)
    if float(ring.hole) < crest - _NOTHING:
        yield Finding(
            level=Level.ERROR,
            code="pen.ring_hole",
            where=str(screw),
            message=f"the clip's ring has a hole of ⌀{text_of(float(ring.hole))}; the tenon's "
            "thread "
            f"{j.tenon.thread.designation.text} is ⌀{text_of(crest)} at the most",
            remedy="a smaller thread, or open the ring's hole",
            remedies=(
                Remedy(
                    (Change(("inside", "clip_ring", "hole"), remedy.at_least(crest)),),
                    f"open the ring's hole to ⌀{text_of(remedy.at_least(crest))}",
                ),
            ),
            parts=(screw.part,),
            value=round(crest - float(ring.hole), 4),
        )
    yield from _ring_thread(pen, j, screw, float(ring.thickness))


def _ring_thread(pen: Pen, j: Joined, screw: Place, thickness: float) -> Iterator[Finding]:
    least = judged("engagement", "least_pitches")
    start = max(j.tenon.unformed_max, j.tapped.start + thickness)
    left = min(j.tenon.full_end, j.tapped.full_min + thickness) - start
    pitches = max(0.0, left / j.pitch)
    if pitches >= least - 1e-6:
        return
    length = remedy.at_least(j.tenon.length.nominal + (least - pitches) * j.pitch)
    yield Finding(
        level=Level.ERROR if pitches < 1.0 else Level.WARNING,
        code="pen.ring_thread",
        where=str(screw),
        message=f"with the clip's ring of {text_of(thickness)} between, {text_of(pitches, 1)} "
        "pitches "
        f"hold; {least:g} or more is usual",
        remedy="a longer tenon",
        remedies=(
            Remedy(
                (Change(screw.key("external", "length"), length),),
                f"a tenon {text_of(length)} long (now {text_of(j.tenon.length.nominal)})",
            ),
        ),
        parts=(j.joint.external.part, j.joint.internal.part),
        value=round(pitches, 3),
        less_is_worse=True,
    )


# -- posting ---------------------------------------------------------------------------------------
def _posted(pen: Pen, resolved: ResolvedPen) -> Iterator[Finding]:
    """How long the pen is with the cap on its other end."""
    posting = pen.inside.posting
    at = split_place(posting.end) if posting else None
    cap = next((p.through.part for p in resolved.passages), None)
    if posting is None or at is None or cap is None:
        return
    body = float(pen.parts[at[0].part].length)
    seen = sum(
        float(pen.parts[j.joint.external.part].length) - j.tenon.length.nominal
        for j in resolved.joints
        if j.joint.internal.part == at[0].part and j.joint.external.part != cap
    )
    posted = body + seen + float(pen.parts[cap].length) - float(posting.depth)
    over = posted - float(posting.longest) if posting.longest is not None else 0.0
    if over <= _NOTHING:
        yield Finding(
            Level.NOTE, "pen.posted", posting.end,
            f"posted, the pen is {text_of(posted, 1)} long without the nib",
        )  # fmt: skip
        return
    deeper = remedy.at_least(float(posting.depth) + over)
    yield Finding(
        level=Level.WARNING,
        code="pen.posted",
        where=posting.end,
        message=f"posted, the pen is {text_of(posted, 1)} long without the nib, "
        f"{text_of(over, 1)} more "
        "than wanted",
        remedy="a cap that goes on deeper, or a shorter cap or barrel",
        remedies=(
            Remedy(
                (Change(("inside", "posting", "depth"), deeper),),
                f"let the cap go on {text_of(deeper)} deep (now {text_of(float(posting.depth))})",
            ),
        ),
        parts=(at[0].part,),
        value=round(over, 4),
    )
