"""How two parts of a pen close on each other, and the walls between their threads and bores."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from mandrelgen.core.tolerance import Toleranced
from mandrelgen.mechanics.play import root_max, root_min, wall
from mandrelgen.standards.threads import ThreadLimits


@dataclass(frozen=True, slots=True, kw_only=True)
class Closing:
    """A joint closing on its shoulder; lengths in mm, worst limits.

    ``travel``: way from first contact of the threads to the shoulder; ``turns`` = travel / lead;
    ``engaged``: full threads in engagement when closed; ``shoulder_gap``: how much the joint stands
    open because unformed turns meet the nut's first full thread (0: none); ``bottom_room``: room
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
