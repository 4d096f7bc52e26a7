"""What would let a joint close or hold: depths, tenons, counterbores, each solved for; proposed
only where the tap or die that cuts it can do it. Lengths mm."""

from __future__ import annotations

from collections.abc import Iterator

from mandrelgen.assess.pen_joints import Joined
from mandrelgen.assess.pen_places import Place, set_outside
from mandrelgen.assess.pen_walls import PenWall
from mandrelgen.core.errors import Change, Remedy
from mandrelgen.core.tolerance import text_of
from mandrelgen.design import seat
from mandrelgen.mechanics import remedy, walls

LEAST_UNFORMED = 1.0
"""Pitches that a die leaves incomplete at a shoulder even when it is turned round for the last
turns, its lead the other way; a tool that is drawn back by hand leaves no less (common practice, no
source)."""
# More than what worst limits ask for, mm, where there is room for it (common practice, no source).
_IN_HAND = 0.2
# How much wider than its thread a counterbore is made, and how much more it may come out, on the
# diameter, mm (common practice, no source).
_WIDER, _OVER = 0.2, 0.1


def nut(j: Joined) -> Place:
    """The end with the internal thread."""
    return Place(j.joint.internal.part, j.joint.internal.end)


def screw(j: Joined) -> Place:
    """The end with the external thread."""
    return Place(j.joint.external.part, j.joint.external.end)


def room(j: Joined, short: float) -> Iterator[Remedy]:
    """A deeper thread or a shorter tenon, for a joint that bottoms ``short`` too early at worst
    limits: with something in hand, else just enough."""
    for key, now in _depths(j):
        for more in (short + _IN_HAND, short):
            size = remedy.at_least(now + more, remedy.DEPTH_STEP)
            yield Remedy(
                (Change(nut(j).key("internal", key), size),),
                f"tap {nut(j)} {text_of(size)} deep (now {text_of(now)})",
            )
    for more in (short + _IN_HAND, short):
        length = remedy.at_most(j.tenon.length.nominal - more, remedy.DEPTH_STEP)
        if length > 0:
            yield Remedy(
                (Change(screw(j).key("external", "length"), length),),
                f"make the tenon of {screw(j)} {text_of(length)} long "
                f"(now {text_of(j.tenon.length.nominal)})",
            )


def shut(j: Joined, pen_walls: tuple[PenWall, ...]) -> Iterator[Remedy]:
    """A mouth without thread as deep as what the die leaves incomplete, with what its wall or its
    turns ask for besides; a thread nearer to its shoulder only where that can be cut."""
    plain = _counterbored(j)
    yield plain
    formed = remedy.at_most(j.tapped.start)
    if formed >= LEAST_UNFORMED * j.pitch - 1e-9:
        yield Remedy(
            (Change(screw(j).key("external", "unformed"), formed),),
            f"thread the tenon of {screw(j)} to within {text_of(formed)} of its shoulder (a die "
            "turned round for the last turns)",
        )
    if j.tapped.counterbore is None:
        yield from _wider(j, plain, pen_walls)
    added = float(plain.changes[-1].value or 0)
    added -= 0.0 if j.tapped.counterbore is None else j.tapped.counterbore.end
    deeper = [
        (Change(nut(j).key("internal", key), remedy.at_least(now + added, remedy.DEPTH_STEP)))
        for key, now in _depths(j)
    ]
    says = f"{plain.says}, tapped {text_of(float(deeper[0].value or 0))} deep"
    yield Remedy((*plain.changes, *deeper), says)


def _counterbored(j: Joined) -> Remedy:
    """Its last change is the depth."""
    at = nut(j).key("internal", "counterbore")
    if j.tapped.counterbore is not None:
        depth = remedy.at_least(
            j.tapped.counterbore.end + j.closing.shoulder_gap, remedy.DEPTH_STEP
        )
        return Remedy(
            (Change((*at, "depth"), depth),), f"counterbore {nut(j)} {text_of(depth)} deep"
        )
    wide = _wide(j)
    depth = remedy.at_least(j.tenon.unformed_max, remedy.DEPTH_STEP)
    return Remedy(
        (Change((*at, "diameter"), wide), Change((*at, "depth"), depth)),
        f"counterbore {nut(j)} ⌀{text_of(wide)} × {text_of(depth)}",
    )


def _wide(j: Joined) -> float:
    return remedy.at_least(float(j.tapped.thread.designation.diameter) + _WIDER)


def _wider(j: Joined, plain: Remedy, pen_walls: tuple[PenWall, ...]) -> Iterator[Remedy]:
    """The counterbore in a lip with wall enough round it, and a ring for a mandrel's seat."""
    lip = next((w for w in pen_walls if w.place == nut(j) and w.body), None)
    if lip is None or lip.kind is not walls.Place.LIP:
        return
    inside = _wide(j) + _OVER
    edges = lip.outside - j.tapped.ring.outer
    ring = 2 * (seat.MIN_SEAT + seat.LEAST_CLEARANCE) + seat.COLLAR_WIDTHS[0] + edges
    size = remedy.at_least(
        max(walls.smallest_outside(inside, lip.asked.warning), inside + ring), remedy.DEPTH_STEP
    )
    if size > lip.outside:
        wide = set_outside(lip.place, lip.body, size, lip.largest)
        yield Remedy((*plain.changes, *wide.changes), f"{plain.says}, and {wide.says}")


def more_thread(j: Joined, least: float) -> Iterator[Remedy]:
    """A longer tenon, a deeper thread, or both, for ``least`` pitches."""
    missing = (least - j.pitches) * j.pitch
    length = remedy.at_least(j.tenon.length.nominal + missing, remedy.DEPTH_STEP)
    longer = Change(screw(j).key("external", "length"), length)
    deep = [
        Change(nut(j).key("internal", key), remedy.at_least(now + missing, remedy.DEPTH_STEP))
        for key, now in _depths(j)
    ]
    says = f"make the tenon of {screw(j)} {text_of(length)} long"
    yield Remedy((longer,), says)
    for change in deep:
        says_deep = f"tap {nut(j)} {text_of(float(change.value or 0))} deep"
        yield Remedy((change,), says_deep)
        yield Remedy((longer, change), f"{says} and {says_deep}")


def _depths(j: Joined) -> tuple[tuple[str, float], ...]:
    """The keys that say how deep the nut is threaded, and what they say."""
    rows = (("depth", j.tapped.tapped), ("full_thread", j.tapped.full))
    return tuple((key, now) for key, now in rows if key in j.tapped.said)
