"""Assumptions of the workshop, read from data files: manners of cutting, loads, friction, safety.

None of them was measured for this job; every value carries its basis, which is printed beside it.
"""

from __future__ import annotations

import math
from functools import cache
from typing import NamedTuple

from mandrelgen.standards.tables import load


class Assumed(NamedTuple):
    """An assumed value and what it stands on."""

    value: float
    basis: str


class MannerErrors(NamedTuple):
    """What a manner of cutting leaves behind: ``face_squareness`` mm over the face,
    ``thread_tilt`` degrees, ``bore_drift`` mm per mm, ``bore_oversize`` mm."""

    name: str
    face_squareness: Assumed
    thread_tilt: Assumed
    bore_drift: Assumed
    bore_oversize: Assumed


class ToolLoad(NamedTuple):
    """A hand tool's load: ``force`` across the axis in N, ``torque`` on the part in N·m."""

    name: str
    force: float
    torque: float
    basis: str


@cache
def manner(name: str) -> MannerErrors:
    """The manner of that name (``freehand``, ``guided``, ``single-point``, ``drilled``,
    ``reamed``, ``bored``). Raises KeyError for another."""
    row = load("manners")[name]
    return MannerErrors(
        name=name,
        face_squareness=Assumed(**row["face_squareness"]),
        thread_tilt=Assumed(**row["thread_tilt"]),
        bore_drift=Assumed(**row["bore_drift"]),
        bore_oversize=Assumed(**row["bore_oversize"]),
    )


@cache
def tool_load(name: str) -> ToolLoad:
    """The load case ``normal``, ``heavy`` or ``catch``. Raises KeyError for another."""
    row = load("loads")["load"][name]
    return ToolLoad(name, row["force"], row["torque"], row["basis"])


@cache
def assumed(group: str, name: str) -> Assumed:
    """One assumption, e.g. ``assumed("friction", "thread")``. Raises KeyError if there is none."""
    return Assumed(**load("loads")[group][name])


def power_bound(power: float, speed: float, diameter: float) -> tuple[float, float]:
    """What a motor can push with at most: (force N, torque N·m) at ``power`` W, ``speed`` rev/min
    and ``diameter`` mm. A spinning chuck's momentum comes on top for an instant."""
    if min(power, speed, diameter) <= 0:
        raise ValueError("power, speed and diameter must be above 0")
    torque = power / (speed * 2 * math.pi / 60)
    return torque / (diameter / 2000), torque


@cache
def judged(group: str, name: str) -> float:
    """One threshold of ``data/judging.toml``, e.g. ``judged("engagement", "error_worst")``, in
    mm, N or a share. Raises KeyError if there is none.

    >>> judged("force", "least_supported")
    30.0
    """
    return float(load("judging")[group][name]["value"])


def judged_basis(group: str, name: str) -> str:
    """What a threshold of ``data/judging.toml`` stands on, to be printed beside it."""
    return str(load("judging")[group][name]["basis"])
