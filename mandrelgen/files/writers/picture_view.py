"""How the shaded picture looks at a part: its size in dots, how the part is turned, its scale.

Apart from the painter, so that who only needs the scale loads no arrays.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from mandrelgen.paper.drawing.part_picture import TIP, TURN

WIDTH, HEIGHT = 1200, 600
EDGE = 0.06


def turned() -> tuple[tuple[float, float, float], ...]:
    """From the part's axes to the picture's (right, up, towards the viewer), one row each. The
    part's axis z goes right, its y up, its x towards the viewer, before it is turned and tipped."""
    s, c = math.sin(math.radians(TURN)), math.cos(math.radians(TURN))
    st, ct = math.sin(math.radians(TIP)), math.cos(math.radians(TIP))
    return (s, 0.0, c), (st * c, ct, -st * s), (-ct * c, st, ct * s)


def scale(width: float, height: float) -> float:
    """Dots of the picture for a mm, so that this fills it but for its edge."""
    return (1 - 2 * EDGE) * min(WIDTH / width, HEIGHT / height)


def shaded_width(circles: Sequence[tuple[float, float]]) -> float:
    """How many mm the whole picture of a body of revolution is wide.

    ``circles``: distance along the axis and diameter of its edges, mm. A circle square to the axis
    spans its diameter times the part of a picture's axis that lies in its plane.
    """
    spans = []
    for x, y, z in turned()[:2]:
        half = math.hypot(x, y) / 2
        ends = [(at * z - d * half, at * z + d * half) for at, d in circles]
        spans.append(max(b for _, b in ends) - min(a for a, _ in ends))
    return WIDTH / scale(*spans)
