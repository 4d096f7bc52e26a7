"""The fixture: a row of turned stretches along the axis, with its characteristics and decisions."""

from __future__ import annotations

import math
from dataclasses import field
from enum import StrEnum

from mandrelgen.core.frozen import dataclass
from mandrelgen.model.characteristic import Characteristic, Decision
from mandrelgen.model.corner import Corner
from mandrelgen.model.feature import Feature, MandrelEnd
from mandrelgen.standards.threads import ThreadLimits

FLANK_HALF_ANGLE = 30.0
ADOPTED = "adopted"
"""The pen (and the role) of a fixture older than the archive: it was made for none of its pens."""


class MandrelKind(StrEnum):
    """The shapes the designer builds."""

    PLUG = "plug"
    CUP = "cup"
    SPIGOT = "spigot"
    DOUBLE_ENDED = "double-ended"
    BUTTON = "tailstock-button"
    GAUGE = "gauge"


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreadForm:
    """The thread as it is modelled: trapezoid of 60° flanks, sizes at mid-limits, mm.

    ``crest_diameter`` is the major diameter of an external thread and the minor diameter of an
    internal one; ``root_diameter`` the other. On the pitch cylinder groove and ridge are both
    ``pitch/2`` wide. ``fade``: over which length, mm, the root comes down to the crest at the end
    where the crest's cylinder runs on, as a tap's lead leaves it (0: nowhere).
    """

    external: bool
    starts: int
    pitch: float
    left_hand: bool
    crest_diameter: float
    pitch_diameter: float
    root_diameter: float
    fade: float = 0.0

    @property
    def lead(self) -> float:
        """Ph = starts × pitch, mm."""
        return self.starts * self.pitch

    @property
    def crest_flat(self) -> float:
        """Axial width of the crest, mm."""
        depth = abs(self.crest_diameter - self.pitch_diameter) / 2
        return self.pitch / 2 - 2 * depth * math.tan(math.radians(FLANK_HALF_ANGLE))

    @property
    def root_flat(self) -> float:
        """Axial width of the root, mm."""
        depth = abs(self.pitch_diameter - self.root_diameter) / 2
        return self.pitch / 2 - 2 * depth * math.tan(math.radians(FLANK_HALF_ANGLE))


@dataclass(frozen=True, slots=True)
class Stretch:
    """One turned stretch of the outside or of a bore: a straight generator from ``z0`` to ``z1``.

    z in mm from the seat, + towards the nose; ``d0``/``d1`` the diameters there (equal: cylinder;
    0 is allowed for the tip of a drill point). A threaded stretch is a cylinder at the crest
    diameter; its neighbours are cones (or steps) that pass the root by 0.1 mm or more, or at one
    end the same cylinder, if the thread fades there. ``corner``:
    least and greatest radius at the locating face it begins or ends at, where the sheet gives one.
    """

    feature: Feature
    z0: float
    z1: float
    d0: float
    d1: float
    thread: ThreadForm | None = None
    corner: Corner | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "feature", Feature(self.feature))


@dataclass(frozen=True, slots=True)
class Flats:
    """Two parallel spanner flats, ``across`` mm apart, between ``z0`` and ``z1``."""

    z0: float
    z1: float
    across: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreadData:
    """A mandrel's thread for paper: designation, limits, and the part's thread it enters."""

    feature: Feature
    limits: ThreadLimits
    partner: ThreadLimits
    full_pitches: float
    turns_of_lead: float
    order: str
    form: ThreadForm

    def __post_init__(self) -> None:
        object.__setattr__(self, "feature", Feature(self.feature))


@dataclass(frozen=True, slots=True, kw_only=True)
class CentreHole:
    """A centre hole by ISO 6411: ``type`` A or B, pilot ``d``, mouth ``mouth``; at ``rear`` or
    ``nose``; ``keep``: required, may remain or must not remain."""

    at: str
    type: str
    d: float
    mouth: float
    keep: str

    @property
    def designation(self) -> str:
        """As ISO 6411 writes it."""
        return f"ISO 6411 - {self.type}{self.d:g}/{self.mouth:g}"


@dataclass(frozen=True, slots=True)
class Ordering:
    """What the turner is asked for besides the geometry."""

    material: str
    quantity: int = 1
    thread_order: str = "single-point"
    marking: str = ""
    soft_washer: float = 0.0
    collet: str = ""


@dataclass(frozen=True, slots=True)
class HeldPart:
    """The part's end in the mandrel, for the small picture of use: half-section in the mandrel's
    own (z, r) coordinates, closed polygon, mm."""

    name: str
    outline: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Mandrel:
    """A designed fixture. Coordinates: z = 0 at the seat, + towards the nose, mm.

    ``outer`` runs from the spindle side to the nose without gaps. ``inner`` holds the stretches
    of bores, sorted by z; touching stretches form one bore, and a bore that reaches an end of
    ``outer`` opens there. ``stations`` names axial positions for the characteristics' ``between``.
    """

    id: str
    kind: MandrelKind
    pen: str
    part: str
    end: str
    title: str
    purpose: str
    outer: tuple[Stretch, ...]
    inner: tuple[Stretch, ...]
    characteristics: tuple[Characteristic, ...]
    decisions: tuple[Decision, ...]
    ordering: Ordering
    stations: dict[str, float]
    threads: tuple[ThreadData, ...] = ()
    centre_holes: tuple[CentreHole, ...] = ()
    flats: Flats | None = None
    held: tuple[HeldPart, ...] = ()
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = field(default=())

    def characteristic(self, id: str) -> Characteristic:
        """The characteristic of that id; KeyError if there is none."""
        for c in self.characteristics:
            if c.id == id:
                return c
        raise KeyError(id)


def shank_front(mandrel: Mandrel) -> float | None:
    """z in front of which no collet is to come, mm: where the shank ends; where a cup's body is
    the same bar, behind what is bored into it. None: it has no shank."""
    shank = next((s for s in mandrel.outer if s.feature == "shank"), None)
    if shank is None:
        return None
    return mandrel.stations["collar.start"] if body_is_bar(mandrel) else shank.z1


def body_is_bar(mandrel: Mandrel) -> bool:
    """Whether a cup's body is the shank's own bar: one diameter from end to end."""
    shank = next((s for s in mandrel.outer if s.feature == "shank"), None)
    start = mandrel.stations.get("collar.start")
    return shank is not None and start is not None and shank.z0 < start < shank.z1


def collar_diameter(mandrel: Mandrel, end: MandrelEnd = MandrelEnd.FIRST) -> Characteristic | None:
    """The diameter that ends a seat: its collar's, or the shank's whose bar a cup's body is."""
    own = "shank.diameter" if body_is_bar(mandrel) else end.named("collar.diameter")
    return next((c for c in mandrel.characteristics if c.id == own), None)


# In place of a number, on whatever was not published.
NOT_ISSUED = "NOT ISSUED"


@dataclass(frozen=True, slots=True, kw_only=True)
class Issue:
    """Under which name a sheet leaves: number, revision, date (ISO 8601), status, title block.

    ``accepted``: what was found of the mandrel or its part and the maker lives with, a sentence
    each: it belongs to the paper of the day and to no design.
    """

    number: str
    revision: str
    date: str
    status: str
    owner: str
    drawn_by: str
    approved_by: str
    projection: str = "first"
    history: tuple[tuple[str, str, str], ...] = ()
    issued: bool = True
    accepted: tuple[str, ...] = ()
