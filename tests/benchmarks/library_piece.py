"""The piece of `threads.profile` by a general thread library: bd_warehouse 0.4 (PyPI) on build123d.

Runs in an environment of its own (see `library`), so it imports nothing of ours. Arguments: starts,
hand, and in mm crest radius, root radius, crest and root groove width, pitch, length. Each line on
standard input builds the piece once; the answer is its volume in mm³ and whether it is one solid.
"""

from __future__ import annotations

import sys

from bd_warehouse.thread import Thread
from build123d import Axis, Cylinder, Face, Pos, Rot, Wire, revolve

OVERLAP = 0.2


def piece(starts, hand, crest, root, crest_width, ridge_width, pitch, length):  # type: ignore
    """One ridge by the library, turned for each start; fused to a core; ends cut by cones."""
    lead = starts * pitch
    foot = root - 0.2
    z0 = 3.0 + crest - foot
    z1 = z0 + length
    top = z1 + crest - foot
    # The ridges pass the cones by half a turn at least, and the blank's crest stands off theirs:
    # surfaces that coincide make the kernel lose the body.
    low, high, off = z0 - lead / 2, z1 + lead / 2, 0.2
    ridge = Thread(
        crest, crest_width, root, ridge_width, lead, high - low,
        interference=OVERLAP, hand=hand, end_finishes=("raw", "raw"),
    )  # fmt: skip
    core = Pos(0, 0, top / 2) * Cylinder(root, top + 2)
    for n in range(starts):
        core = core + Pos(0, 0, low) * Rot(0, 0, 360 / starts * n) * ridge
    corners = [
        (0, 0), (foot, 0), (foot, 3.0), (crest + off, z0 + off), (crest + off, z1 - off),
        (foot, top), (0, top),
    ]  # fmt: skip
    face = Face(Wire.make_polygon([(x, 0, z) for x, z in corners]))
    return revolve(face, Axis.Z) & core


def main() -> None:
    """Build on request."""
    starts, hand, *sizes = sys.argv[1:]
    for _ in sys.stdin:
        made = piece(int(starts), hand, *map(float, sizes))
        print(made.volume, len(made.solids()), made.is_valid, flush=True)


if __name__ == "__main__":
    main()
