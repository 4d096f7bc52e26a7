"""Characteristics (every size and geometrical need, by id) and decisions."""

from __future__ import annotations

from enum import StrEnum

from mandrelgen.frozen import dataclass


class Kind(StrEnum):
    """What a characteristic measures."""

    DIAMETER = "diameter"
    LENGTH = "length"
    ANGLE = "angle"
    CHAMFER = "chamfer"
    RADIUS = "radius"
    COUNT = "count"
    THREAD_MAJOR = "thread major diameter"
    THREAD_PITCH_DIAMETER = "thread pitch diameter"
    THREAD_MINOR = "thread minor diameter"
    PITCH = "pitch"
    LEAD = "lead"
    ACROSS_FLATS = "across flats"
    RUNOUT = "circular run-out"
    FACE_RUNOUT = "circular axial run-out"
    CYLINDRICITY = "cylindricity"
    ROUGHNESS = "roughness"
    CENTRE = "centre hole"


@dataclass(frozen=True, slots=True)
class Characteristic:
    """One size or geometrical need. Everything refers to it by ``id``, never by its number.

    ``lower``/``upper`` are limits of size (``None``: the standard sets none). Lengths are in mm,
    angles in degrees, roughness in µm. ``between`` names the two stations a LENGTH or CHAMFER
    spans (see :class:`mandrelgen.mandrel.Mandrel.stations`), ``feature`` the stretch it belongs
    to. ``written`` is the tolerance as paper shows it (``h8``, ``6g``, ``ISO 2768-m``);
    ``general`` is true where the sheet's general tolerance governs. ``decision`` is the id of the
    decision that set it. ``places``: digits behind the point on paper; limits are rounded inwards
    to them.
    """

    id: str
    feature: str
    kind: Kind
    nominal: float
    lower: float | None
    upper: float | None
    unit: str = "mm"
    source: str = ""
    decision: str = ""
    written: str = ""
    general: bool = False
    functional: bool = False
    between: tuple[str, str] | None = None
    datum: str = ""
    places: int = 3


@dataclass(frozen=True, slots=True)
class Decision:
    """What was chosen, its value, why, and by which rule or standard; printed, so that a maker can
    argue with it."""

    id: str
    what: str
    value: str
    why: str
    source: str = ""
