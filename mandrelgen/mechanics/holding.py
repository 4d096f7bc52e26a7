"""How a part is held, turned into the list of causes for a budget.

Coordinates are the mandrel's: z = 0 at the seat, + towards the nose. A plug's locators lie at
z > 0 (inside the part), a cup's at z < 0. Units: mm, degrees where named.

What is followed is the part's thread axis (for the joint) or its bore axis (for the wall). Each
locator alone bounds it by half its play, half the run-out of the mandrel's feature, and the offset
between the axis it holds and the one followed; the **tightest governs** the shift. The seat governs
the tilt when it bears; without a seat, play governs both.
"""

from __future__ import annotations

import math
from enum import StrEnum
from typing import NamedTuple

from mandrelgen.core.frozen import dataclass
from mandrelgen.mechanics.budget import Cause, Origin
from mandrelgen.mechanics.locate import Guide, centring_residual, face_tilt, guides


class Surface(StrEnum):
    """Which of the part's surfaces a locator or a question is about."""

    THREAD = "thread"
    BORE = "bore"


class State(StrEnum):
    """How the part is held: thread not drawn up, or tightened on the seat (an estimate)."""

    LOOSE = "loose"
    TIGHT = "tight"


class ColletHold(NamedTuple):
    """A collet's run-out (TIR) measured ``at`` mm from its face; the seat stands ``stand_off`` mm
    in front of the face. ``slope``: of the TIR in mm per mm, where two readings give it; then
    ``run_out`` is at the face."""

    run_out: float
    at: float
    stand_off: float
    id: str = "collet.runout"
    slope: float | None = None


class Locator(NamedTuple):
    """A thread, spigot or register between ``z0`` and ``z1``.

    ``clearance``: largest diametral play (a thread's: on the pitch diameter), ``clearance_min``
    the smallest. ``run_out``: of the mandrel's feature against the shank (TIR). ``id`` names the
    characteristic that sets the play, ``run_out_id`` the one that sets the run-out.
    """

    id: str
    on: Surface
    clearance: float
    z0: float
    z1: float
    clearance_min: float = 0.0
    run_out: float = 0.0
    run_out_id: str = ""
    label: str = ""

    @property
    def middle(self) -> float:
        """z of the locator's middle, mm."""
        return (self.z0 + self.z1) / 2


class SeatFace(NamedTuple):
    """The seat: axial run-out against the shank over its ``diameter``, mm."""

    run_out: float
    diameter: float
    id: str = "seat.runout"


class PartEnd(NamedTuple):
    """The part's own errors: face out of square by ``face_squareness`` mm over
    ``face_diameter``; the thread leans ``thread_tilt`` degrees; the bore drifts ``bore_drift`` mm
    per mm from the mouth."""

    face_squareness: float = 0.0
    face_diameter: float = 10.0
    thread_tilt: float = 0.0
    bore_drift: float = 0.0
    id: str = "part"


@dataclass(frozen=True, slots=True)
class Holding:
    """A part on its mandrel. ``friction`` between the threads and at the seat, ``residual``: the
    share of a thread's play left when tightened (both: see ``data/loads.toml``). ``left``:
    instead of that share, the eccentricity left in mm, where the thread centres itself
    (:func:`~mandrelgen.mechanics.concentricity.left_by_centring`'s figures)."""

    locators: tuple[Locator, ...]
    part: PartEnd
    collet: ColletHold | None = None
    seat: SeatFace | None = None
    friction: float = 0.15
    residual: float = 0.25
    left: float | None = None


class Conflict(NamedTuple):
    """Locators that work against each other: ``needed`` mm (or rad) against ``available`` at the
    tightest limits and ``most`` at the loosest."""

    id: str
    message: str
    needed: float
    available: float
    most: float

    @property
    def certain(self) -> bool:
        """True if they bind at any limits."""
        return self.needed > self.most


def causes(
    held: Holding, state: State, follow: Surface = Surface.THREAD, z: float = 0.0
) -> tuple[Cause, ...]:
    """The causes of run-out of the part's ``follow`` axis, for a look at ``z``.

    Raises ValueError without a locator, or if one locator alone must hold the tilt and has no
    length.
    """
    if not held.locators:
        raise ValueError("a part needs at least one locator")
    found = [*_collet(held.collet), *_part(held)]
    if held.seat is None:
        return (*found, *_unseated(held, follow))
    found.append(
        Cause(
            held.seat.id,
            "seat out of square",
            Origin.MANDREL,
            tilt=face_tilt(held.seat.run_out, held.seat.diameter),
        )
    )
    governing = min(held.locators, key=lambda loc: _reach(held, loc, state, follow, z))
    return (*found, *_seated(held, governing, state, follow))


def governing_locator(
    held: Holding, state: State, follow: Surface = Surface.THREAD, z: float = 0.0
) -> Locator:
    """The locator that bounds the shift of the ``follow`` axis most tightly at ``z``."""
    return min(held.locators, key=lambda loc: _reach(held, loc, state, follow, z))


def conflicts(held: Holding) -> tuple[Conflict, ...]:
    """Where the part cannot follow all its locators at the tightest limits.

    Two locators off one another by more than their joined least play bind; a thread that leans
    more than its least play allows keeps the face off the seat.
    """
    found = []
    for i, a in enumerate(held.locators):
        for b in held.locators[i + 1 :]:
            drift = held.part.bore_drift * sum(
                abs(x.middle) for x in (a, b) if x.on is Surface.BORE and a.on is not b.on
            )
            needed = drift + (a.run_out + b.run_out) / 2
            available = (a.clearance_min + b.clearance_min) / 2
            if needed > available:
                text = f"{a.id} and {b.id} can stand {needed:.3f} off each other and bind"
                most = (a.clearance + b.clearance) / 2
                found.append(
                    Conflict(
                        id=f"{a.id}+{b.id}",
                        message=text,
                        needed=needed,
                        available=available,
                        most=most,
                    )
                )
    lean = math.radians(held.part.thread_tilt)
    for loc in held.locators:
        if loc.on is Surface.THREAD and held.seat is not None:
            room = loc.clearance_min / abs(loc.z1 - loc.z0)
            if lean > room:
                text = (
                    f"thread axis tilted more than {loc.id}'s play allows: the face does not seat"
                )
                most = loc.clearance / abs(loc.z1 - loc.z0)
                found.append(
                    Conflict(
                        id=f"{held.part.id}.thread",
                        message=text,
                        needed=lean,
                        available=room,
                        most=most,
                    )
                )
    return tuple(found)


def _half_play(held: Holding, loc: Locator, state: State) -> float:
    if state is State.TIGHT and held.seat is not None and loc.on is Surface.THREAD:
        if held.left is not None and centring_residual(held.friction, 0.0) == 0.0:
            return min(loc.clearance / 2, held.left)
        return loc.clearance / 2 * centring_residual(held.friction, held.residual)
    return loc.clearance / 2


def _drift(held: Holding, loc: Locator, follow: Surface) -> Cause | None:
    """Offset of the axis followed from the axis that ``loc`` holds: bore and thread meet at the
    mouth and part by the drift."""
    slope = held.part.bore_drift
    if slope == 0 or (follow is Surface.THREAD and loc.on is Surface.THREAD):
        return None
    name, label = f"{held.part.id}.bore", "bore drifts off the thread"
    if follow is Surface.THREAD:
        return Cause(name, label, Origin.PART, lateral=slope * abs(loc.middle))
    pivot = loc.middle if loc.on is Surface.BORE else 0.0
    return Cause(id=name, label=label, origin=Origin.PART, tilt=slope, pivot=pivot)


def _reach(held: Holding, loc: Locator, state: State, follow: Surface, z: float) -> float:
    drift = _drift(held, loc, follow)
    return _half_play(held, loc, state) + loc.run_out / 2 + (drift.at(z) if drift else 0.0)


def _seated(held: Holding, loc: Locator, state: State, follow: Surface) -> list[Cause]:
    label = loc.label or f"play of the {loc.on.value} locator"
    if state is State.TIGHT and loc.on is Surface.THREAD:
        label += " (tightened: estimate)"
    found = [Cause(loc.id, label, Origin.FIT, lateral=_half_play(held, loc, state))]
    if loc.run_out:
        name = loc.run_out_id or f"{loc.id}.runout"
        found.append(Cause(name, "run-out to the shank", Origin.MANDREL, lateral=loc.run_out / 2))
    drift = _drift(held, loc, follow)
    return found + ([drift] if drift else [])


def _unseated(held: Holding, follow: Surface) -> list[Cause]:
    """Play bounds shift and tilt together; run-out and drift widen each locator's bounds, so
    that none is counted too low."""
    bounds: list[Guide] = []
    for loc in held.locators:
        off = loc.run_out / 2
        if loc.on is not follow:
            off += held.part.bore_drift * max(abs(loc.z0), abs(loc.z1))
        bounds += [(z, h + off) for z, h in guides(loc.clearance, loc.z0, loc.z1)]
    tightest = min(held.locators, key=lambda loc: loc.clearance)
    return [Cause(tightest.id, "play, no seat", Origin.FIT, play=tuple(bounds))]


def _collet(collet: ColletHold | None) -> list[Cause]:
    """Half the TIR where it was measured, growing in proportion beyond (the axis pivots in the
    collet's mouth), never taken less nearer to the collet."""
    if collet is None:
        return []
    if collet.at <= 0:
        raise ValueError("a collet's run-out needs the distance it was measured at")
    if collet.slope is not None:
        out = max(collet.run_out, collet.run_out + collet.slope * collet.stand_off)
        return [
            Cause(
                id=collet.id,
                label="collet",
                origin=Origin.COLLET,
                lateral=out / 2,
                tilt=abs(collet.slope) / 2,
            )
        ]
    half, scale = collet.run_out / 2, max(1.0, collet.stand_off / collet.at)
    return [
        Cause(
            id=collet.id,
            label="collet",
            origin=Origin.COLLET,
            lateral=half * scale,
            tilt=half / collet.at,
        )
    ]


def _part(held: Holding) -> list[Cause]:
    """Face and thread of the part. Both are taken in full: play could absorb some of a thread's
    lean on a good seat, but the bore behind it follows the face or the thread, whichever wins."""
    part, found = held.part, []
    if part.face_squareness and held.seat is not None:
        tilt = face_tilt(part.face_squareness, part.face_diameter)
        found.append(Cause(f"{part.id}.face", "part's face out of square", Origin.PART, tilt=tilt))
    if part.thread_tilt:
        lean = math.radians(abs(part.thread_tilt))
        found.append(Cause(f"{part.id}.thread", "part's thread leans", Origin.PART, tilt=lean))
    return found
