"""How two parts of a pen close on each other, and the walls between their threads and bores."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from mandrelgen.core.tolerance import Toleranced
from mandrelgen.mechanics.play import root_max, root_min, wall
from mandrelgen.mechanics.practice import judged
from mandrelgen.standards.threads import ThreadLimits


class Closing(NamedTuple):
    """A joint closing on its shoulder; lengths in mm, worst limits.

    ``travel``: way from first contact of the threads to the shoulder; ``turns`` = travel / lead;
    ``engaged``: full threads in engagement when closed; ``shoulder_gap``: how much the joint stands
    open because incomplete threads meet the nut's first full one (0: none); ``bottom_room``: room
    between the tenon's nose and the end of the hole; ``thread_room``: room between the tenon's last
    full thread and the end of the nut's full thread.
    """

    travel: float
    turns: float
    engaged: float
    shoulder_gap: float
    bottom_room: float
    thread_room: float


def close(
    *,
    tenon_length: Toleranced,
    tenon_full_end: float,
    unformed: float,
    start: float,
    full: float,
    hole_end: float,
    lead: float,
) -> Closing:
    """Geometry of a screwed joint (own derivation).

    ``tenon_length``: shoulder to nose; ``tenon_full_end``: shoulder to the last full thread;
    ``unformed``: turns without full form at the shoulder; ``start``, ``full``: from the mating face
    to the nut's first and last full thread; ``hole_end``: to the end of its hole.
    """
    travel = max(0.0, tenon_full_end - start)
    return Closing(
        travel=travel,
        turns=travel / lead,
        engaged=max(0.0, min(tenon_full_end, full) - max(unformed, start)),
        shoulder_gap=max(0.0, unformed - start),
        bottom_room=hole_end - tenon_length.upper,
        thread_room=full - tenon_full_end,
    )


SHUT = 0.02
"""Shoulder gap up to which a joint counts as shut, mm (common practice, no source)."""


class ClosingTurns(NamedTuple):
    """Turns that a hand counts from first contact of the threads to shut: nominal and range."""

    nominal: float
    least: float
    most: float


def can_close(c: Closing) -> bool:
    """Whether the joint shuts on its shoulder with threads in engagement: nothing bottoms, no
    incomplete thread holds it open by more than 0.02; 0.005 mm is forgiven."""
    forgiven = judged("compare", "tolerance") + 1e-9
    room = min(c.bottom_room, c.thread_room)
    return c.engaged > 0 and c.shoulder_gap <= SHUT + forgiven and room >= -forgiven


def closing_turns(
    *, contact: Toleranced, start: Toleranced, lead: float, closes: bool
) -> ClosingTurns | None:
    """Turns from first contact to shut; None for a joint that cannot close.

    ``contact``: from the tenon's shoulder to its front thread's first touch (its length less the
    lead-in chamfer), ``start``: from the mating face to the nut's first thread, ``lead``: one
    turn's travel, mm. Everything the hand turns counts, whatever the number of starts; where a
    thread is picked up is not. Raises ValueError for a lead not above 0.

    A tenon of 8 ± 0.1, its chamfer 0.6, a countersink of 0.5 ± 0.05, three starts of P 0.8:

    >>> t = closing_turns(contact=Toleranced(7.4, 7.3, 7.5), start=Toleranced(0.5, 0.45, 0.55),
    ...                   lead=2.4, closes=True)
    >>> round(t.nominal, 2), round(t.least, 2), round(t.most, 2)  # 6.9, 6.75 and 7.05 over 2.4
    (2.88, 2.81, 2.94)
    """
    if lead <= 0:
        raise ValueError("the lead must be above 0")
    if not closes or contact.nominal <= start.nominal:
        return None
    return ClosingTurns(
        (contact.nominal - start.nominal) / lead,
        max(0.0, contact.lower - start.upper) / lead,
        (contact.upper - start.lower) / lead,
    )


def least_full_end(start: float, unformed: float, pitch: float, pitches: float) -> float:
    """Least length from the tenon's shoulder to its last full thread that engages ``pitches``, mm,
    not rounded: from where both have full thread.

    >>> least_full_end(start=0.5, unformed=1.5, pitch=0.75, pitches=3)
    3.75
    """
    return max(start, unformed) + pitch * pitches


def drill_point(diameter: float, angle: float) -> float:
    """Height of a drill's point, mm; 0.30 d at 118° (a workshop rule, common practice).

    >>> f"{drill_point(10, 118):.1f}"
    '3.0'
    """
    return diameter / 2 / math.tan(math.radians(angle / 2))


def walls_of_tenon(
    outside: ThreadLimits,
    length: float,
    inside: ThreadLimits | None,
    holes: Sequence[tuple[float, float]],
) -> list[tuple[str, float]]:
    """Least walls under an external thread, mm: against the internal thread of the same end, and
    against each hole (start depth, largest diameter) that begins within the tenon."""
    root = root_min(outside)
    found = []
    if inside is not None:
        found.append(("external thread and internal thread", wall(root, root_max(inside))))
    reached = [d for start, d in holes if start < length]
    if reached:
        found.append(("external thread and bore", wall(root, max(reached))))
    return found
