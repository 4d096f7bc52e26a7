"""What the program calls each kind of fault: the only file here that knows its codes.

``None``: there is no such finding yet. Several codes: any of them is the right one.
"""

from __future__ import annotations

CODES: dict[str, tuple[str, ...] | None] = {
    "wall.tenon-bore": ("pen.wall-tenon",),
    "wall.tenon-thread": ("pen.wall-tenon",),
    "wall.tenon-counterbore": ("pen.wall-tenon",),
    "wall.lip-thread": ("pen.wall-lip",),
    "wall.lip-thread-hard-rubber": ("pen.wall-lip",),
    "wall.lip-counterbore": ("pen.wall-lip",),
    "wall.lip-counterbore-soft-resin": ("pen.wall-lip",),
    "wall.counterbore-through": ("pen.wall-lip", "size.contradiction"),
    "wall.body-front": ("pen.wall-body",),
    "wall.body-undercut": ("pen.wall-body",),
    "wall.crown": ("pen.crown",),
    "wall.crown-tapped": ("pen.crown",),
    "hole.at-crest": ("pen.tap_hole",),
    "hole.overlap": ("pen.tap_hole",),
    "hole.overlap-worst": ("pen.tap_hole",),
    "hole.short": ("pen.short_hole",),
    "nothing-asked": ("pen.no_mandrel",),
    "joint.short-thread": ("pen.engagement",),
    "joint.unformed": ("pen.shoulder",),
    "joint.thread-bottoms": ("pen.bottoms",),
    "joint.nose-bottoms": ("pen.bottoms",),
    "thread.none-internal": ("size.contradiction",),
    "thread.none-external": ("size.contradiction",),
    "passes.diameter": ("pen.passage",),
    "passes.flared": ("pen.passage",),
    "passes.tapered": ("pen.passage",),
    "passes.length": ("pen.cap_depth",),
    "cap.unsaid": ("pen.cap_bore",),
    "mate.pitch": ("joint.differs",),
    "mate.starts": ("joint.differs",),
    "mate.hand": ("joint.differs",),
    "mate.diameter": ("joint.differs", "joint.diameter"),
    "seat.plug": ("seat.none",),
    "seat.cup": ("seat.none", "wall.thin"),
    "collet.none": ("shank.no_collet",),
    "shank.short": ("shank.short",),
    "shank.stand-off": ("shank.short",),
    "shank.long": ("shank.long",),
    "tailstock.none": ("use.tailstock",),
    "plastic.unsupported": ("use.speed", "use.life"),
    "plastic.weak": ("use.speed", "use.life"),
    "spigot.large": ("spigot.forced",),
    "mandrel.bore-wall": ("bore.wall",),
    "mandrel.binds": ("thread.interference",),
    "double.wide": ("double.wide",),
    "left-hand": ("use.sense",),
    "tool.steel": ("thread.own_tool",),
    "relief.none": ("thread.needs_groove",),
    "strength.mandrel": ("use.mandrel_weak",),
    "strength.part": ("use.part_weak",),
}

REFUSED_BY_READER = {
    "wall.counterbore-through", "thread.none-internal", "thread.none-external", "mate.pitch",
    "mate.starts", "mate.hand", "mate.diameter",
}  # fmt: skip
"""Kinds that contradict the file itself, so that reading may refuse the pen at its place."""

SAFETY = ("use.speed", "use.life", "use.tailstock")
"""Refusals to turn; none may stand on a sane pen."""
