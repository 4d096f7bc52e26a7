"""Whether a mismatch at a joint is felt, and what of the play is left when it is tightened.

Felt only where both outsides are meant to be flush; with a designed shoulder it is an uneven reveal
at most. Two models bracket what a tightened joint keeps: a quarter of its play (from memory, an
estimate), or what errors of form and lead leave when 60° flanks centre it. Radial, mm; thresholds:
``data/judging.toml``.
"""

from __future__ import annotations

import math
from enum import StrEnum

from mandrelgen.core.frozen import dataclass
from mandrelgen.mechanics.practice import assumed, judged

# Mismatches are printed, and therefore judged, to this many places.
PLACES = 3


class Felt(StrEnum):
    """What a mismatch does at a joint: felt by a finger, seen as an uneven reveal, or nothing."""

    FLUSH = "flush"
    REVEAL = "reveal"
    NOT_FELT = "not felt"


class Outcome(StrEnum):
    """Both models below the target, both above, or they disagree."""

    MET = "met"
    NOT_MET = "not met"
    DEPENDS = "depends"


@dataclass(frozen=True, slots=True)
class Judged:
    """A joint's mismatch, mm, as printed: "typically ``typical``, seldom above ``seldom``";
    ``over``: printed ``seldom`` less printed target (0 where it is not above). ``outcome`` is None
    where the joint is not meant to be flush; ``uneven``: the reveal is visibly uneven."""

    felt: Felt
    shoulder: float
    typical: float
    seldom: float
    target: float
    over: float
    outcome: Outcome | None
    uneven: bool


def shoulder(outside_a: float, outside_b: float) -> float:
    """The designed shoulder s = |D1 − D2|/2 of two outsides, mm.

    >>> round(shoulder(13.0, 12.2), 6)
    0.4
    """
    return abs(outside_a - outside_b) / 2


def felt(step: float) -> Felt:
    """What a mismatch can do on a designed shoulder of ``step`` mm (estimate): flush up to 0.1, a
    reveal up to 0.3.

    >>> felt(0.1).value, felt(0.3).value, felt(0.4).value
    ('flush', 'reveal', 'not felt')
    """
    if round(step, PLACES) <= judged("concentricity", "flush_shoulder"):
        return Felt.FLUSH
    if round(step, PLACES) <= judged("concentricity", "reveal_shoulder"):
        return Felt.REVEAL
    return Felt.NOT_FELT


def left_by_quarter(play: float) -> float:
    """Upper model: eccentricity left of a diametral ``play`` when tightened, mm: a quarter of the
    half (from memory, an estimate).

    >>> left_by_quarter(0.12)
    0.015
    """
    return max(0.0, play) / 2 * assumed("centring", "residual").value


def left_by_centring(play: float, worst: bool = False) -> float:
    """Lower model: the joint centres itself; errors of form and lead leave 0.01 (``worst``: 0.02),
    an estimate, and never more than the play's half, mm.

    >>> left_by_centring(0.12), left_by_centring(0.12, worst=True), left_by_centring(0.006)
    (0.01, 0.02, 0.003)
    """
    name = "centred_high" if worst else "centred_low"
    return min(max(0.0, play) / 2, judged("concentricity", name))


def centring_ratio(friction: float) -> float:
    """Force by which 60° flanks push to the middle over the axial pull: tan(30° − atan µ), less the
    flanks' own friction µ.

    >>> round(centring_ratio(0.15), 2)
    0.39
    """
    if friction < 0:
        raise ValueError("friction must not be negative")
    return math.tan(math.radians(30) - math.atan(friction))


def centres(flank_friction: float, face_friction: float) -> bool:
    """Whether the flanks overcome the face's friction: tan(30° − atan µ) > µ of the face.

    >>> centres(0.15, 0.15), centres(0.3, 0.3)
    (True, False)
    """
    return centring_ratio(flank_friction) > face_friction


def judge(step: float, quarter: float, centred: float, target: float) -> Judged:
    """Judge a tightened joint. ``step``: designed shoulder; ``quarter`` and ``centred``: the 95 %
    mismatch by the two models (either may be the larger); ``target``: what the maker accepts; mm.

    Everything is rounded first and then compared and subtracted, so that what is printed adds up.
    Raises ValueError for a negative value.

    >>> j = judge(0.0, 0.0619, 0.021, 0.05)
    >>> j.typical, j.seldom, j.over, j.outcome.value
    (0.021, 0.062, 0.012, 'depends')
    """
    if min(step, quarter, centred, target) < 0:
        raise ValueError("shoulder, mismatch and target must not be negative")
    low, high = sorted((round(quarter, PLACES), round(centred, PLACES)))
    aim, s, kind = round(target, PLACES), round(step, PLACES), felt(step)
    outcome = None
    if kind is Felt.FLUSH:
        outcome = Outcome.MET if high <= aim else Outcome.NOT_MET if low > aim else Outcome.DEPENDS
    uneven = kind is Felt.REVEAL and high > s * judged("concentricity", "reveal_share") + 1e-9
    over = round(max(0.0, high - aim), PLACES)
    return Judged(
        felt=kind,
        shoulder=s,
        typical=low,
        seldom=high,
        target=aim,
        over=over,
        outcome=outcome,
        uneven=uneven,
    )


def shoulder_not_uneven(mismatch: float) -> float:
    """Smallest designed shoulder on which a mismatch is not visibly uneven, mm, not rounded: three
    times the mismatch, more than a flush one, at most the largest reveal that is looked at.

    >>> shoulder_not_uneven(0.06), shoulder_not_uneven(0.2)
    (0.18, 0.301)
    """
    above = 0.001  # one of the last place printed
    least = judged("concentricity", "flush_shoulder") + above
    most = judged("concentricity", "reveal_shoulder") + above
    asked = round(mismatch, PLACES) / judged("concentricity", "reveal_share")
    return round(min(max(asked, least), most), 6)
