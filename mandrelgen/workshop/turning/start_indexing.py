"""Going from one start to the next, and what an error costs. mm, degrees."""

from __future__ import annotations

import math
from collections.abc import Sequence

from mandrelgen.core.frozen import dataclass
from mandrelgen.mechanics.fit import spacing_error, spacing_for, spacing_limit, virtual_change
from mandrelgen.standards.gears import usual_gears

# Radius at which a catch plate's slots usually stand, mm (common practice, no source).
PLATE_RADIUS = 40.0


@dataclass(frozen=True, slots=True)
class Gear:
    """A wheel turning with the spindle: mark a tooth every ``step`` of ``teeth``."""

    teeth: int
    step: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Indexing:
    """How to index ``starts`` starts, and what errors cost on the pitch diameter, mm.

    ``angles``: spindle angle of every start. ``shift``: the axial shift, one pitch. ``gears``:
    owned wheels whose teeth divide. ``per_degree``/``per_hundredth``: pitch diameter lost for each
    degree of angle and each 0.01 mm of shift; ``per_slot_tenth``: for a slot of the catch plate
    0.1 mm off at ``plate_radius``. ``room``: least play on the pitch diameter; ``angle_allowed``
    and ``shift_allowed`` the errors that would use all of it; ``spacing`` what the drawing allows.
    """

    starts: int
    pitch: float
    lead: float
    angles: tuple[float, ...]
    shift: float
    gears: tuple[Gear, ...]
    per_degree: float
    per_hundredth: float
    per_slot_tenth: float
    plate_radius: float
    room: float
    angle_allowed: float
    shift_allowed: float
    spacing: float


def index(starts: int, pitch: float, room: float, gears: Sequence[int] = ()) -> Indexing | None:
    """Indexing of a thread with ``room`` mm of least play on the pitch diameter; None for one
    start. ``gears`` owned, none given: the usual set. Raises ValueError for a pitch not above 0."""
    if pitch <= 0:
        raise ValueError("the pitch must be above 0")
    if starts < 2:
        return None
    lead = starts * pitch
    per_degree = virtual_change(spacing_error(1.0, lead))
    per_mm = virtual_change(1.0)
    slot = math.degrees(0.1 / PLATE_RADIUS)
    left = max(room, 0.0)
    dividing = sorted({t for t in gears or usual_gears() if t % starts == 0})
    return Indexing(
        starts=starts,
        pitch=pitch,
        lead=lead,
        angles=tuple(360 * k / starts for k in range(starts)),
        shift=pitch,
        gears=tuple(Gear(t, t // starts) for t in dividing),
        per_degree=per_degree,
        per_hundredth=0.01 * per_mm,
        per_slot_tenth=slot * per_degree,
        plate_radius=PLATE_RADIUS,
        room=room,
        angle_allowed=left / per_degree,
        shift_allowed=spacing_for(left),
        spacing=spacing_limit(left),
    )
