"""The pen's joints resolved to limits: how they close, what holds, what has to pass."""

from __future__ import annotations

from typing import NamedTuple

from mandrelgen.assess.pen_places import Bored, Place, bored
from mandrelgen.core.errors import Path
from mandrelgen.core.tolerance import Toleranced
from mandrelgen.design import ends, outside
from mandrelgen.mechanics import engagement as engaging
from mandrelgen.mechanics.engagement import Engagement
from mandrelgen.mechanics.joint import Closing, ClosingTurns, can_close, close, closing_turns
from mandrelgen.mechanics.play import ThreadPlay, thread_play
from mandrelgen.mechanics.remedy import sold_drill
from mandrelgen.spec.joints import Joint, end_of, joints
from mandrelgen.spec.pen import BoreStep, Bottom, Part, Pen
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.designation import Designation
from mandrelgen.standards.threads import ThreadLimits, limits


class Joined(NamedTuple):
    """A joint of the pen; lengths mm.

    ``closing``: at worst limits; ``room``: between the tenon's last full thread and the nut's, and
    ``nose_room`` between nose and floor, as given. ``pitches``: that hold when it is shut, counting
    the hole that is there. ``turns``: None for a joint that does not shut.
    """

    joint: Joint
    closing: Closing
    turns: ClosingTurns | None
    play: ThreadPlay
    tenon: ends.TenonEnd
    tapped: ends.TappedEnd
    pitches: float
    room: float
    nose_room: float
    lead: float
    starts: int

    @property
    def pitch(self) -> float:
        """Pitch, mm."""
        return self.lead / self.starts


class TapHole(NamedTuple):
    """The hole under an internal thread: what it engages of the mate's crest; ``crest`` as given
    and at the least, ``minor`` the least minor diameter of the class, ``drill`` the tapping
    drill that is sold for it, ``tapped`` how deep the tap goes, mm. ``mate``: None if the file
    names none, so that the thread's own class stands in. ``steps``: of the whole bore."""

    place: Place
    bored: Bored
    found: Engagement
    crest: float
    crest_min: float
    pitch: float
    minor: float
    drill: float
    tapped: float
    mate: Place | None
    steps: tuple[BoreStep, ...]


class ShortHole(NamedTuple):
    """A thread that is tapped deeper than its hole, mm."""

    place: Place
    tapped: float
    drilled: float
    steps: int


class Passage(NamedTuple):
    """A part inside another: what it needs and what is free for it where it is tightest, mm:
    across, and in depth; ``drill``: the tapping drill of the thread in front of it, ``length``: of
    the part around it. ``widest``: of the part; ``straight``: its outside is taken as straight
    between its ends, since nobody said it; ``step``: which of the bore's is the tightest, and
    where it begins; ``narrowest``: the narrowest it has to pass."""

    part: str
    through: Place
    diameter: float
    free: float
    reach: float
    depth: float
    steps: int
    ends: tuple[Path, ...]
    drill: float
    length: float
    widest: float
    straight: bool
    step: int
    begins: float
    narrowest: float


def joined(pen: Pen, shop: Shop) -> tuple[Joined, ...]:
    """Every joint."""
    return tuple(_joined(pen, j, shop) for j in joints(pen))


def _joined(pen: Pen, j: Joint, shop: Shop) -> Joined:
    outside, inside = end_of(pen, j.external), end_of(pen, j.internal)
    if outside is None or inside is None or outside.external is None or inside.internal is None:
        raise ValueError(f"{j.id} names no ends")
    tenon = ends.tenon_end(outside, shop)
    tapped = ends.tapped_end(pen.parts[j.internal.part], inside, shop)
    thread = tenon.thread.designation
    lead, pitch = float(thread.lead), float(thread.pitch)
    closing = close(
        tenon_length=tenon.length,
        tenon_full_end=tenon.full_end,
        unformed=tenon.unformed_max,
        start=tapped.start,
        full=tapped.full_min,
        hole_end=tapped.bottom_min,
        lead=lead,
    )
    by_hand = ends.DEPTH_BY_HAND
    nose = tenon.length.nominal - (tenon.length.lower - tenon.full_end)
    room = tapped.full_min + by_hand - nose
    turns = closing_turns(
        contact=Toleranced.symmetric(nose, by_hand),
        start=Toleranced.symmetric(tapped.start, 0.0),
        lead=lead,
        closes=can_close(closing),
    )
    crest, _ = _crest(tenon.thread)
    holes = [engaging.Hole(h.start, h.end, h.size.upper) for h in tapped.holes]
    end = min(tenon.full_end, tapped.full_min)
    pitches = engaging.engaged_pitches(
        crest, holes, max(tenon.unformed_max, tapped.start), end, pitch
    )
    play = thread_play(tenon.thread, tapped.thread)
    floor = tapped.bottom_min + (0.0 if tapped.through else by_hand)
    return Joined(
        joint=j, closing=closing, turns=turns, play=play, tenon=tenon, tapped=tapped,
        pitches=pitches, room=room, nose_room=floor - tenon.length.nominal, lead=lead,
        starts=thread.starts,
    )  # fmt: skip


def _crest(screw: ThreadLimits) -> tuple[float, float]:
    """The screw's crest as given or measured (the class's middle), and the least, mm."""
    if screw.major.min is None or screw.major.max is None:
        raise ValueError("no limits of the crest")
    return (screw.major.min + screw.major.max) / 2, screw.major.min


def tap_holes(pen: Pen, found: tuple[Joined, ...], shop: Shop) -> tuple[TapHole, ...]:
    """The hole that is there under each internal thread; none where no bore is written."""
    mates = {str(j.joint.internal): j for j in found}
    out = []
    for name, part in pen.parts.items():
        for end_name, end in part.ends.items():
            if end.internal is None or not end.bore:
                continue
            at = Place(name, end_name)
            tapped = ends.tapped_end(part, end, shop)
            if "minor" in tapped.thread.measured:
                continue
            mate = mates.get(str(at))
            screw = mate.tenon.thread if mate else _of_class(tapped.thread.designation)
            crest, least = _crest(screw)
            pitch = float(tapped.thread.designation.pitch)
            steps = bored(at, end, tapped.holes)
            under = [b for b in steps if b.hole.start < tapped.full_min and
                     b.hole.end > tapped.start]  # fmt: skip
            for b in under:
                share = Engagement(
                    engaging.share(crest, b.given, pitch),
                    engaging.share(least, b.hole.size.upper, pitch),
                )
                place = Place(mate.joint.external.part, mate.joint.external.end) if mate else None
                minor = tapped.thread.minor.min or 0.0
                out.append(
                    TapHole(
                        place=at,
                        bored=b,
                        found=share,
                        crest=crest,
                        crest_min=least,
                        pitch=pitch,
                        minor=minor,
                        drill=_drill(tapped.thread),
                        tapped=tapped.tapped,
                        mate=place,
                        steps=end.bore,
                    )
                )
    return tuple(out)


def _drill(t: ThreadLimits) -> float:
    wanted = float(t.designation.diameter - t.designation.pitch)
    return sold_drill(wanted, t.minor.min or wanted, t.minor.max or wanted)


def _of_class(d: Designation) -> ThreadLimits:
    """The usual screw of a thread whose mate is not in the file."""
    usual = "2A" if d.system == "UN" else "6g"
    return limits(
        Designation(
            system=d.system,
            diameter=d.diameter,
            pitch=d.pitch,
            starts=d.starts,
            left_hand=d.left_hand,
            tolerance_class=usual,
            series=d.series,
        ),
        True,
    )


def short_holes(pen: Pen) -> tuple[ShortHole, ...]:
    """Threads tapped deeper than they are drilled."""
    out = []
    for name, part in pen.parts.items():
        for end_name, end in part.ends.items():
            if end.internal is None or not end.bore or end.bottom is Bottom.THROUGH:
                continue
            tapped = float(end.internal.depth or end.internal.full_thread or 0.0)
            drilled = max(float(s.depth) for s in end.bore)
            out.append(ShortHole(Place(name, end_name), tapped, drilled, len(end.bore)))
    return tuple(out)


def _as_wide(name: str, part: Part) -> tuple[Path, ...]:
    """The keys of the ends that are as wide as the part."""
    return tuple(
        Place(name, n).key("diameter")
        for n, e in part.ends.items()
        if float(e.diameter) >= float(part.diameter) - 1e-9
    )


def passages(pen: Pen, found: tuple[Joined, ...], shop: Shop) -> tuple[Passage, ...]:
    """A part screwed into an end whose outside takes a cap: it has to pass the cap's hole, and the
    cap has to be as deep as both reach."""
    out: list[Passage] = []
    for cap in found:
        for inner in (i for i in found if i.joint.internal == cap.joint.external):
            at = Place(cap.joint.internal.part, cap.joint.internal.end)
            end = end_of(pen, cap.joint.internal)
            if end is None:
                continue
            passing = pen.parts[inner.joint.external.part]
            reach = cap.tenon.length.nominal + float(passing.length) - inner.tenon.length.nominal
            row, straight = _outside(passing, inner.joint.external.end)
            before = cap.tenon.length.nominal
            holes = [(h.start, h.size.lower) for h in cap.tapped.holes if h.start < reach]
            if not end.bore:
                holes = [(0.0, cap.tapped.thread.minor.min or 0.0)]
            # What lies in front of a place passes every hole that begins before it.
            tight = [
                (widest_from(row, start - before), free, n) for n, (start, free) in enumerate(holes)
            ]
            diameter, free, step = min(tight, key=lambda t: (t[1] - t[0], -t[2]))
            # Where no bore is written, the hole ends with its thread.
            depth = max([float(s.depth) for s in end.bore], default=cap.tapped.tapped)
            if end.bottom is Bottom.THROUGH:
                depth = float(pen.parts[at.part].length)
            out.append(
                Passage(
                    part=inner.joint.external.part,
                    through=at,
                    diameter=diameter,
                    free=free,
                    reach=reach,
                    depth=depth,
                    steps=len(end.bore),
                    ends=_as_wide(inner.joint.external.part, passing),
                    drill=_drill(cap.tapped.thread),
                    length=float(pen.parts[at.part].length),
                    widest=float(passing.diameter),
                    straight=straight,
                    step=step,
                    begins=holes[step][0],
                    narrowest=min(free for _, free in holes),
                )
            )
    return tuple(out)


def _outside(part: Part, end_name: str) -> tuple[outside.Points, bool]:
    """The outside in front of a tenon's shoulder, from there on; whether it is taken as straight
    between its ends, a larger diameter half way along, as it is drawn."""
    end = part.ends[end_name]
    tenon = float(end.external.length) if end.external is not None else 0.0
    length = float(part.length) - tenon
    said = outside.of_part(part, end_name)
    if said:
        return tuple((at - tenon, d) for at, d in said), False
    other = next((e for n, e in part.ends.items() if n != end_name), None)
    wide = float(part.diameter)
    near = float(end.diameter)
    far = wide if other is None else float(other.diameter)
    if min(near, far) >= wide - 1e-9:
        return ((0.0, wide), (length, wide)), False
    middle = ((length / 2, wide),) * (wide > max(near, far) + 1e-9)
    return ((0.0, near), *middle, (length, far)), True


def widest_from(row: outside.Points, z: float) -> float:
    """The largest diameter of an outside from a place on, mm.

    >>> widest_from(((0.0, 11.0), (10.0, 11.0), (20.0, 9.0)), 15.0)
    10.0
    """
    return max([outside.diameter_at(row, max(z, row[0][0])), *(d for a, d in row if a >= z - 1e-9)])
