"""Characteristics (every size and geometrical need, by id) and decisions."""

from __future__ import annotations

from enum import StrEnum

from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import lower_limit_text, text_of, upper_limit_text
from mandrelgen.model.feature import Feature, FeatureKind, MandrelEnd, own_name

MEASURED = "measured"
"""What stands where a tolerance would, for a size that was read off a fixture."""


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Characteristic:
    """One size or geometrical need. Everything refers to it by ``id``, never by its number.

    ``lower``/``upper`` are limits of size (``None``: the standard sets none). Lengths are in mm,
    angles in degrees, roughness in µm. ``between`` names the two stations a LENGTH or CHAMFER
    spans (see ``Mandrel.stations``), ``feature`` the stretch it belongs
    to. ``written`` is the tolerance as paper shows it (``h8``, ``6g``, ``ISO 2768-m``);
    ``general`` is true where the sheet's general tolerance governs. ``decision`` is the id of the
    decision that set it. ``places``: digits behind the point on paper; limits are rounded inwards
    to them. ``said_by``: the id of the one whose callout on the drawing says this one too, under
    one balloon (0.5 × 45°); empty in records from before there were such.
    """

    id: str
    feature: Feature
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
    said_by: str = ""

    def __post_init__(self) -> None:
        object.__setattr__(self, "feature", Feature(self.feature))

    @property
    def end(self) -> MandrelEnd:
        """The working end it belongs to."""
        return MandrelEnd.of(self.id)

    @property
    def own_id(self) -> str:
        """The id without the mark of its end."""
        return own_name(self.id)

    @property
    def subject(self) -> FeatureKind:
        """What its id speaks of; the feature it stands at may be another (``floor.depth`` of a
        relief)."""
        return Feature(self.id).kind


@dataclass(frozen=True, slots=True)
class Decision:
    """What was chosen, its value, why, and by which rule or standard; printed, so that a maker can
    argue with it."""

    id: str
    what: str
    value: str
    why: str
    source: str = ""


def size_text(c: Characteristic) -> str:
    """A characteristic's size with its tolerance as paper writes it, and its limits."""
    low = "" if c.lower is None else lower_limit_text(c.lower)
    high = "" if c.upper is None else upper_limit_text(c.upper)
    if c.lower is None and c.nominal == 0 and high:
        return f"{high} {c.unit} at most"
    limits = f" ({low or 'no limit'} to {high or 'no limit'})" if low or high else ""
    unit = "" if c.unit == "mm" else f" {c.unit}"
    return f"{text_of(c.nominal)}{unit}{f' {c.written}' if c.written else ''}{limits}"
