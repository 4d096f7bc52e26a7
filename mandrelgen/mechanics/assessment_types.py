"""What is known of a mandrel in use: how true, how strong, how fast, and why.

Plain results, filled by :mod:`mandrelgen.assess.end_assessment` and worded by the checks. Lengths
in mm, forces in N, torques in N·m, stresses in MPa, speeds in 1/min, angles in degrees.
"""

from __future__ import annotations

from typing import NamedTuple

from mandrelgen.core.frozen import dataclass
from mandrelgen.mechanics.beam import Stress
from mandrelgen.mechanics.budget import Budget, Gain
from mandrelgen.mechanics.combined import Bears, Weak
from mandrelgen.mechanics.concentricity import Judged, Outcome
from mandrelgen.mechanics.holding import Conflict
from mandrelgen.mechanics.life import Life
from mandrelgen.mechanics.speed import Speed
from mandrelgen.mechanics.strength import StrengthCheck
from mandrelgen.mechanics.tailstock import Allowed
from mandrelgen.mechanics.work_speed import WorkSpeed
from mandrelgen.spec.shop import ChuckMount


class Spread(NamedTuple):
    """A result at its worst (all errors the same way at their limits) and statistically (95 of 100
    parts stay below), mm."""

    worst: float
    statistical: float


class States(NamedTuple):
    """With a thread that is not drawn up, and tightened on the seat (an estimate), mm."""

    loose: Spread
    tight: Spread


class Gap(NamedTuple):
    """Room between part and mandrel, mm: least and most (None: no limit). Below 0 they touch.

    ``id`` names the characteristic it hangs on; ``kind`` is ``play`` (on diameter), ``seat``
    (what may not touch before the seat bears) or ``engagement``.
    """

    id: str
    label: str
    kind: str
    least: float
    most: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Screwed:
    """The thread against the part's: lead and spacing errors eat ``eaten`` mm of the play;
    ``pull`` N drawn up by a catch; ``locking`` friction at hand over friction needed; torques to
    free the part after normal work and after a catch, N·m; ``strap_needed``: the second is more
    than a hand gives, ``flats_needed``: more than a strap on the part;
    ``forward``: forward running tightens it."""

    eaten: float
    locking: float
    pull: float
    freeing: float
    freeing_catch: float
    strap_needed: bool
    flats_needed: bool
    forward: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Mismatch:
    """The radial mismatch at a joint, mm. ``joint``: its id (empty: no neighbour in the pen file,
    the neighbour is taken as true); ``states``: a quarter of a tightened thread's play stays;
    ``centred``: it centres itself; ``joined``: both set against the target and the designed
    shoulder (None: no joint); ``gains``: what halving a cause would take off."""

    joint: str
    at_held_end: bool
    target: float
    states: States
    centred: Spread
    joined: Judged | None
    budget: Budget
    gains: tuple[Gain, ...]
    neighbour_known: bool

    @property
    def outcome(self) -> Outcome | None:
        """Met, not met or depends; None where the joint is not meant to be flush."""
        return None if self.joined is None else self.joined.outcome


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftWall:
    """The thinnest wall left by turning the outside, mm; ``true``: with every axis true."""

    where: str
    z: float
    true: float
    worst: float
    statistical: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Truth:
    """What the errors do, mm. Run-out is a total reading (twice the eccentricity). ``remount``:
    the shift after taking the part off and putting it back, mandrel left in the collet;
    ``regripped``: with the mandrel taken out too."""

    step: Mismatch
    runout_seat: States
    runout_end: States
    end_z: float
    remount: Spread
    regripped: Spread
    wall: LeftWall | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Bend:
    """Deflection under the normal side load, mm: at the tool (``tool_z``), at the part's far end
    and at the seat; ``prop``: force on the tailstock, N; ``shape``: (z, deflection) to draw."""

    tailstock: bool
    tool_z: float
    tool: float
    end: float
    seat: float
    prop: float
    shape: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stiffness:
    """Both ways of running; ``used``: the one the maker means. ``stresses`` of every step in that
    one; ``critical``: the first whirling speed, 1/min; ``overhang`` from the collet to the part's
    far end; ``slimmest`` loaded diameter; ``side`` the tool's push in normal work, N."""

    away: Bend
    up: Bend
    used: Bend
    stresses: tuple[Stress, ...]
    critical: float
    overhang: float
    slimmest: float
    side: float

    @property
    def collet_face(self) -> float:
        """z of the collet's face, where the bent axis begins; 0 at the seat, mm."""
        return self.used.shape[0][0]


@dataclass(frozen=True, slots=True, kw_only=True)
class Capacity:
    """What is borne across the axis, N, before the weakest place gives way: ``free`` at the free
    end, tailstock away; ``up`` at mid-length with it up. ``judged``: the case that counts and
    ``asked``, N, of it; ``weak``: why it is too little; ``far_end``:
    whether it takes a centre, and why. ``per_newton``: deflection at the tool, mm
    per N, in both. ``mandrel``: what the mandrel alone bears in the case that counts, N;
    ``dig_in``: the torque that tightens the thread at worst, N·m."""

    free: Bears
    up: Bears
    judged: Bears
    asked: float
    weak: tuple[Weak, ...]
    far_end: Allowed
    far_end_why: str
    per_newton: float
    per_newton_up: float
    mandrel: float
    dig_in: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Assessment:
    """One end of one mandrel in use. ``chance``: that the play is too small for a tilted thread
    axis to seat, 0 to 1; ``chuck``: how it is mounted (None: not said)."""

    mandrel: str
    part: str
    end: str
    material: str
    gaps: tuple[Gap, ...]
    conflicts: tuple[Conflict, ...]
    chance: float
    screwed: Screwed | None
    truth: Truth
    stiffness: Stiffness | None
    capacity: Capacity | None
    checks: tuple[StrengthCheck, ...]
    weakest: StrengthCheck | None
    speed: Speed | None
    work: tuple[WorkSpeed, ...]
    life: Life | None
    flats: bool
    tailstock: bool
    roughing_up: bool
    finish_only: bool
    chuck: ChuckMount | None
    tailstock_missing: bool
    seat_conflict_friction: bool
    wanted_speed: float | None
    assumptions: tuple[str, ...]
