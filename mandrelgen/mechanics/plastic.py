"""One rule for turning on a plastic or printed mandrel, for every command and paper.

Turning is refused where life, strength or speed refuse it, whatever speed is asked for. Force in
N, stress in MPa, speeds in rev/min.
"""

from __future__ import annotations

from enum import StrEnum
from typing import NamedTuple

from mandrelgen.core.tolerance import ceil_to, floor_to
from mandrelgen.mechanics.life import Life
from mandrelgen.mechanics.speed import Cap, Stuff


class Refused(StrEnum):
    """Which of the three refuses, and what else is asked of a plastic mandrel."""

    LIFE = "life"
    STRENGTH = "strength"
    SPEED = "speed"
    TAILSTOCK = "tailstock"


class TurningRule(NamedTuple):
    """Whether a mandrel may be turned on. ``cap`` rev/min (0 when refused); ``refused``: each
    reason once, with its words, in which what it falls short by is never rounded away."""

    cap: float
    refused: tuple[tuple[Refused, str], ...]

    @property
    def allowed(self) -> bool:
        """True if nothing refuses it."""
        return not self.refused


def turning_rule(
    stuff: Stuff,
    caps: tuple[Cap, ...],
    life: Life | None,
    borne: float | None,
    asked: float,
    slowest: float,
    tailstock: bool,
) -> TurningRule:
    """Judge a mandrel of ``stuff``. A metal one is always allowed here (its strength is told as a
    capacity).

    ``caps``: the limits of speed, lowest first; ``life``: of the mandrel in normal work (None: not
    known, which does not refuse); ``borne``: force it bears as it is used, N (None: nothing is
    known of it, which does not refuse); ``asked``: force it has to bear, N; ``slowest``: least
    speed the work needs; ``tailstock``: it is up for the cut.

    >>> from mandrelgen.mechanics.life import trial_life
    >>> fast = (Cap("plastic", 1500.0, "a plastic mandrel", "from memory"),)
    >>> hard = trial_life(15.0, 14.0, 50.0, 35.0)  # 15 MPa where 1.75 may stay
    >>> rule = turning_rule(Stuff.PLASTIC, fast, hard, 60.0, 30.0, 400.0, True)
    >>> rule.cap, [str(r) for r, _ in rule.refused]
    (0.0, ['life'])
    """
    if stuff is Stuff.METAL:
        return TurningRule(caps[0].speed, ())
    found: list[tuple[Refused, str]] = []
    if life is not None and life.high < 1:
        found.append((Refused.LIFE, life.basis.partition(";")[0]))
    if borne is not None and borne < asked - 1e-9:
        force, needed = floor_to(borne, 1.0), ceil_to(asked, 1.0)
        said = f"it bears {force:.0f} N where {needed:.0f} N are needed"
        found.append((Refused.STRENGTH, said))
    if caps[0].speed < slowest - 1e-9:
        top, least = floor_to(caps[0].speed, 1.0), ceil_to(slowest, 1.0)
        said = f"{caps[0].why} allows {top:.0f} rpm, the work needs {least:.0f} rpm"
        found.append((Refused.SPEED, said))
    if not tailstock:
        found.append((Refused.TAILSTOCK, f"a {stuff.value} mandrel turns only with the tailstock "
                      "up"))  # fmt: skip
    return TurningRule(0.0 if found else caps[0].speed, tuple(found))


def lasts(life: Life) -> str:
    """Words for a mandrel's life; none in pens where none can be promised.

    >>> from mandrelgen.mechanics.life import trial_life
    >>> lasts(trial_life(1.0, 52.0, 50.0))
    'about 5 to 10 pens (estimate)'
    >>> lasts(trial_life(15.0, 14.0, 50.0))
    'too highly stressed to turn even one pen (estimate)'
    """
    if life.high < 1:
        return f"too highly stressed to turn even one pen ({life.label})"
    if life.low < 1:
        return f"{life.high} pens at most ({life.label})" if life.high > 1 else (
            f"one pen at most ({life.label})"
        )  # fmt: skip
    return f"about {life.low} to {life.high} pens ({life.label})"
