"""What each error adds to the step at a joint, the wall, the shift when put back, the run-out.

How it works. The outside turned on a mandrel is concentric with the *spindle*. Whatever sets the
part's own axis off the spindle's leaves the outside off that axis: by an eccentricity e(z), half
of a run-out (TIR). Each cause is a vector of unknown direction:

* worst case: all eccentricities point the same way at their limits: their sum;
* statistical: the root of the sum of squares. Assumption: each eccentricity lies anywhere from 0
  to its limit, in any direction, independent of the others. Then 95 of 100 parts stay below it;
  where one cause rules, it is up to 5 % too high.

``step`` is radial: how far one outside stands proud of the other at the worst place round the
joint (a finger nail feels it). Run-out is twice the eccentricity.

A budget by hand. Collet of 0.020 TIR at 40 from its face, seat 12 in front of it: 0.010 at the
seat (never taken less than at 40) and a tilt of 0.010/40. Thread run-out 0.02: 0.010. Thread play
0.12: 0.060 loose, a quarter tightened: 0.015. Seat 0.01 over 12, part's face 0.03 over 12: tilts
that do nothing at the seat, 0.0025 + 0.0075 = 0.010 at 30 … all mm:

>>> collet = Cause("collet.runout", "collet", Origin.COLLET, 0.010, 0.010 / 40)
>>> mandrel = Cause("thread.runout", "thread to shank", Origin.MANDREL, 0.010)
>>> seat = Cause("seat.runout", "seat", Origin.MANDREL, 0.0, 0.01 / 12)
>>> face = Cause("part.face", "part's face", Origin.PART, 0.0, 0.03 / 12)
>>> play = Cause("thread.pitch_diameter", "play", Origin.FIT, 0.015)
>>> causes = (collet, mandrel, seat, face, play)
>>> at_seat = budget(causes, 0.0)
>>> round(at_seat.worst, 4), round(at_seat.statistical, 4)  # .010 + .010 + .015
(0.035, 0.0206)
>>> round(budget(causes, 30.0).worst, 4)  # .0175 + .010 + .025 + .075 + .015
0.1425
>>> [f"{s.cause.id} {s.of_worst:.0%}" for s in at_seat.shares[:2]]
['thread.pitch_diameter 43%', 'collet.runout 29%']
>>> round(remount_shift(causes, 0.0).worst, 4)  # the play twice
0.03
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from enum import StrEnum
from typing import NamedTuple

from mandrelgen.core.frozen import dataclass
from mandrelgen.mechanics.locate import Guide, envelope

NEIGHBOUR = "neighbour:"
"""Stands in front of the id of a cause that belongs to the joint's other part."""


class Origin(StrEnum):
    """Where a cause sits, which decides whether it comes back when the part is put back."""

    COLLET = "collet"
    MANDREL = "mandrel"
    FIT = "fit"
    PART = "part"


@dataclass(frozen=True, slots=True)
class Cause:
    """One error. ``id``: the characteristic it comes from.

    ``lateral`` mm of eccentricity at the seat (half of a TIR), ``tilt`` rad about ``pivot`` (z,
    mm); both are taken in the same direction. ``play``: instead, the bounds of locators (see
    :mod:`mandrelgen.mechanics.locate`), which allow shift or tilt.
    """

    id: str
    label: str
    origin: Origin
    lateral: float = 0.0
    tilt: float = 0.0
    pivot: float = 0.0
    play: tuple[Guide, ...] = ()

    def __post_init__(self) -> None:
        if self.lateral < 0 or self.tilt < 0:
            raise ValueError(f"{self.id}: shift and tilt are limits; give them without sign")

    @property
    def said(self) -> str:
        """What it is called, and whose it is where that is the neighbour."""
        return f"neighbour: {self.label}" if self.id.startswith(NEIGHBOUR) else self.label

    def at(self, z: float) -> float:
        """Largest eccentricity at ``z`` mm from the seat, mm."""
        offset = envelope(self.play, z) if self.play else 0.0
        return offset + self.lateral + self.tilt * abs(z - self.pivot)


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """What one cause adds: ``eccentricity`` mm, its part of the worst case and of the variance
    (0 to 1). ``draws``: how many times it strikes independently (2: off and on again)."""

    cause: Cause
    eccentricity: float
    of_worst: float
    of_variance: float
    draws: int = 1


class Budget(NamedTuple):
    """Sum of the causes at ``z``: radial, mm. ``shares`` from the largest to the smallest."""

    z: float
    worst: float
    statistical: float
    shares: tuple[Share, ...]

    @property
    def run_out(self) -> float:
        """Worst-case run-out (TIR), mm."""
        return 2 * self.worst

    @property
    def run_out_statistical(self) -> float:
        """Statistical run-out (TIR), mm."""
        return 2 * self.statistical


class WallBudget(NamedTuple):
    """Thinnest wall left, mm: with every axis true, at worst, and statistically."""

    true: float
    worst: float
    statistical: float
    budget: Budget


class Gain(NamedTuple):
    """What halving one cause would take off the result, mm."""

    cause: Cause
    worst: float
    statistical: float


def budget(causes: Iterable[Cause], z: float) -> Budget:
    """Eccentricity of the part's axis against the spindle at ``z`` mm from the seat."""
    return _total([(c, c.at(z), 1) for c in causes], z)


def joint_step(
    own: Iterable[Cause], joint: Iterable[Cause], neighbour: Iterable[Cause] = ()
) -> Budget:
    """Radial step between two outsides at their joint, mm.

    ``own``: the causes when this part was turned, ``neighbour``: when the other was (empty: taken
    as true, ids get :data:`NEIGHBOUR` in front), ``joint``: play of the two in each other and, if
    wanted, half the difference of their diameters.
    """
    other = [replace(c, id=NEIGHBOUR + c.id) for c in neighbour]
    return budget([*own, *joint, *other], 0.0)


def thinnest_wall(
    outside_min: float, inside_max: float, causes: Iterable[Cause], z: float
) -> WallBudget:
    """Wall left at ``z`` between the turned outside and the bore or thread root, mm.

    ``causes`` set the *inside's* axis off the spindle. A negative wall has been turned through.
    """
    found = budget(causes, z)
    true = (outside_min - inside_max) / 2
    return WallBudget(true, true - found.worst, true - found.statistical, found)


def remount_shift(
    causes: Iterable[Cause], z: float, regripped: bool = False, starts: int = 1
) -> Budget:
    """How far the outside sits off the spindle after taking the part off and putting it back.

    Play strikes twice; the collet twice if the mandrel too was ``regripped``; the mandrel's own
    errors, and those of a collet left closed, only if the part is entered at another of several
    ``starts`` (turned by φ against the mandrel: 2 e sin φ/2); the part's own errors come back as
    they were.
    """
    if starts < 1:
        raise ValueError("a thread has at least one start")
    turned = max(2 * math.sin(math.pi * k / starts) for k in range(starts))
    found: list[tuple[Cause, float, int]] = []
    for c in causes:
        if c.origin is Origin.FIT or (c.origin is Origin.COLLET and regripped):
            found.append((c, c.at(z), 2))
        elif c.origin in (Origin.MANDREL, Origin.COLLET) and turned > 0:
            found.append((c, c.at(z) * turned, 1))
    return _total(found, z)


def remount_shifts(
    causes: Iterable[Cause], z: float, starts: int = 1
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Shift with the mandrel left in the collet, and with it gripped anew: (worst, 95 %) each, mm.

    :func:`remount_shift` takes the worst start where the mandrel stays, and any turn where it is
    gripped anew, which may read as less. It can come back as it was, so more disturbed never counts
    as less shifted: the greater of both is told.

    >>> collet = Cause("collet.runout", "collet", Origin.COLLET, 0.01)
    >>> kept, anew = remount_shifts([collet], 0.0, starts=2)
    >>> kept, anew, round(remount_shift([collet], 0.0, True, 2).statistical, 4)
    ((0.02, 0.02), (0.02, 0.02), 0.0141)
    """
    held = tuple(causes)
    kept, anew = (remount_shift(held, z, again, starts) for again in (False, True))
    return (kept.worst, kept.statistical), (
        max(kept.worst, anew.worst),
        max(kept.statistical, anew.statistical),
    )


def gains(result: Budget) -> tuple[Gain, ...]:
    """What would buy most: the causes by what halving each takes off the statistical result."""
    square = result.statistical**2
    found = []
    for s in result.shares:
        rest = max(0.0, square - 0.75 * s.draws * s.eccentricity**2)
        saved = result.statistical - math.sqrt(rest)
        found.append(Gain(s.cause, s.draws * s.eccentricity / 2, saved))
    return tuple(sorted(found, key=lambda g: (-g.statistical, g.cause.id)))


def _total(parts: Sequence[tuple[Cause, float, int]], z: float) -> Budget:
    worst = sum(e * n for _, e, n in parts)
    square = sum(e * e * n for _, e, n in parts)
    shares = [
        Share(
            cause=c,
            eccentricity=e,
            of_worst=e * n / worst if worst else 0.0,
            of_variance=e * e * n / square if square else 0.0,
            draws=n,
        )
        for c, e, n in parts
    ]
    shares.sort(key=lambda s: (-s.eccentricity * s.draws, s.cause.id))
    return Budget(z, worst, math.sqrt(square), tuple(shares))
