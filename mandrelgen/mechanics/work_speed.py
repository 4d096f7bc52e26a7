"""Speeds by what is done: turning by the material's surface speed, sanding and polishing by heat.

A limit is set only by the lathe, by half the critical speed where that lies under the lathe's
highest, or by a plastic mandrel; stick-out alone sets none (the rule of thumb for it is about bar
behind the headstock). mm, rev/min. Wet sanding, dust and plastic under speed: the usual cautions
and the local rules come first.
"""

from __future__ import annotations

import math
from enum import StrEnum
from typing import NamedTuple

from mandrelgen.core.tolerance import floor_to
from mandrelgen.mechanics.practice import assumed
from mandrelgen.mechanics.speed import Cap, Stuff, spindle_speed
from mandrelgen.standards.rods import rod_group
from mandrelgen.standards.tables import load, records

# Speeds are printed and set to this step, rev/min.
_STEP = 10.0


class Work(StrEnum):
    """What is done to the part."""

    TURNING = "turning"
    SANDING = "wet sanding"
    POLISHING = "polishing"


class WorkSpeed(NamedTuple):
    """From ``low`` to ``high`` rev/min for one kind of work, both under the limit; ``limited``
    names the cap that cut the range (None: the work itself sets it)."""

    work: Work
    low: float
    high: float
    limited: Cap | None
    basis: str


def limits(
    lathe_max: float, critical: float | None, stuff: Stuff = Stuff.METAL, said: bool = True
) -> tuple[Cap, ...]:
    """What limits the speed, the lowest first: the lathe always; half the critical speed only where
    it lies under the lathe's highest; a plastic or printed mandrel. ``critical``: None if unknown;
    ``said``: whether the shop file says the lathe's, or a usual one is taken.

    Raises ValueError for a speed not above 0.

    >>> [c.id for c in limits(3000, 59618)]
    ['lathe']
    >>> [(c.id, c.speed) for c in limits(3000, 4200)]
    [('whirl', 2100.0), ('lathe', 3000)]
    """
    if lathe_max <= 0 or (critical is not None and critical <= 0):
        raise ValueError("speeds must be above 0")
    own = Cap("lathe", lathe_max, "the lathe's highest speed", "shop file")
    usual = Cap(
        "lathe", lathe_max, "the lathe's highest speed is not said: taken as this", "from memory"
    )
    caps = [own if said else usual]
    share = assumed("speed", "whirl_fraction")
    if critical is not None and critical * share.value < lathe_max:
        why = f"{share.value:g} of the critical speed"
        caps.append(Cap("whirl", critical * share.value, why, share.basis))
    if stuff is not Stuff.METAL:
        cap = assumed("speed", f"{stuff.value}_cap")
        caps.append(Cap(stuff.value, cap.value, f"a {stuff.value} mandrel", cap.basis))
    return tuple(sorted(caps, key=lambda c: (c.speed, c.id)))


def work_speed(work: Work, material: str, diameter: float, caps: tuple[Cap, ...]) -> WorkSpeed:
    """The range of speeds for ``work`` on a part of ``material`` (its id), rev/min.

    Turning: the surface speed of its material (carbide's published range; else by its group);
    sanding and polishing: the same surface speed as 400 to 800 at ⌀15 (from memory), half of it for
    soft rod (estimate). The low end rounds up, the high end down, to 10. Raises ValueError for a
    diameter not above 0 or without a cap.

    >>> free = limits(3000, None)
    >>> s = work_speed(Work.SANDING, "cast-acrylic", 15.0, free)
    >>> s.low, s.high
    (400.0, 800.0)
    >>> t = work_speed(Work.TURNING, "cast-acrylic", 15.0, free)  # 60 to 150 m/min
    >>> t.low, t.high, t.limited.id
    (1280.0, 3000.0, 'lathe')
    """
    if diameter <= 0:
        raise ValueError("the diameter must be above 0")
    if not caps:
        raise ValueError("the lathe at least sets a limit")
    low, high, basis = _free(work, material, diameter)
    cap = caps[0]
    top = floor_to(cap.speed, _STEP)
    cut = high > top
    last = top if cut else floor_to(high, _STEP)
    first = min(last, math.ceil(low / _STEP - 1e-9) * _STEP)
    return WorkSpeed(work=work, low=first, high=last, limited=cap if cut else None, basis=basis)


def work_speeds(material: str, diameter: float, caps: tuple[Cap, ...]) -> tuple[WorkSpeed, ...]:
    """The ranges for every kind of work, in order of doing. Raises as :func:`work_speed`."""
    return tuple(work_speed(w, material, diameter, caps) for w in Work)


def _free(work: Work, material: str, diameter: float) -> tuple[float, float, str]:
    """Range without any cap, rev/min, and its basis."""
    group = next(r for r in records("speeds_by_work") if r["group"] == rod_group(material))
    if work is not Work.TURNING:
        scale = float(load("speeds_by_work")["at"]["diameter"]) / diameter
        low, high = group["work_low"] * scale, group["work_high"] * scale
        return low, high, load("speeds_by_work")["confidence"]
    wanted = material.strip().lower()
    row = next((r for r in records("cutting_speeds") if r["material"].lower() == wanted), None)
    surface = (
        (group["turn_low"], group["turn_high"])
        if row is None
        else (row["carbide_low"], row["carbide_high"])
    )
    basis = load("speeds_by_work" if row is None else "cutting_speeds")["confidence"]
    return spindle_speed(diameter, surface[0]), spindle_speed(diameter, surface[1]), basis
