"""The pen with every end resolved to limits, for the checks between its parts."""

from __future__ import annotations

from typing import NamedTuple

from mandrelgen.assess import pen_joints, pen_walls
from mandrelgen.assess.pen_joints import Joined, Passage, ShortHole, TapHole
from mandrelgen.assess.pen_walls import Crown, PenWall
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.shop import Shop


class ResolvedPen(NamedTuple):
    """Everything the pen-level checks speak of."""

    walls: tuple[PenWall, ...]
    crowns: tuple[Crown, ...]
    joints: tuple[Joined, ...]
    tap_holes: tuple[TapHole, ...]
    short_holes: tuple[ShortHole, ...]
    passages: tuple[Passage, ...]


def resolve(pen: Pen, shop: Shop) -> ResolvedPen:
    """Resolve every end and joint. Raises ThreadLimitError or NotHeldError as the standards do."""
    found = pen_joints.joined(pen, shop)
    return ResolvedPen(
        walls=pen_walls.walls(pen, shop),
        crowns=pen_walls.crowns(pen),
        joints=found,
        tap_holes=pen_joints.tap_holes(pen, found, shop),
        short_holes=pen_joints.short_holes(pen),
        passages=pen_joints.passages(pen, found, shop),
    )
