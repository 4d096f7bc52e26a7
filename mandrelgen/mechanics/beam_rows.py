"""A mandrel's stretches as a beam: from the collet's face to the nose.

Threads count at their root, cones in slices of constant section, bores as hollow. Each stretch
carries its notch factor: a thread's, or the shoulder's against a larger neighbour. Units: mm,
MPa, g/cm³, g/mm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from mandrelgen.mechanics.beam import Segment, shoulder_notch
from mandrelgen.model import corner
from mandrelgen.model.mandrel import Stretch

# Slices of a cone: 16 leave less than 0.5 % in the deflection of a cone of 2 : 1.
_SLICES = 16
_TOUCH = 1e-6


class BeamMaterial(NamedTuple):
    """What the beam is made of: E MPa, density g/cm³; ``thread_notch`` the factor at a thread's
    root."""

    modulus: float
    density: float
    thread_notch: float = 2.5


class Carried(NamedTuple):
    """A part or blank on the mandrel between ``z0`` and ``z1``: ``mass`` per length, g/mm. Its
    stiffness is not counted."""

    z0: float
    z1: float
    mass: float


def beam_row(
    outer: Sequence[Stretch],
    inner: Sequence[Stretch],
    collet_face: float,
    stock: BeamMaterial,
    carried: Sequence[Carried] = (),
) -> tuple[Segment, ...]:
    """Segments from ``collet_face`` (z in the mandrel's coordinates, mm) to the nose.

    Raises ValueError if nothing stands in front of the collet's face, or if a bore breaks through
    the outside.
    """
    cuts = {collet_face}
    for s in [*outer, *inner]:
        count = 1 if _plain(s) else _SLICES
        cuts.update(s.z0 + (s.z1 - s.z0) * i / count for i in range(count + 1))
    for part in carried:
        cuts.update((part.z0, part.z1))
    nose = max(s.z1 for s in outer)
    places = sorted(z for z in cuts if collet_face - _TOUCH <= z <= nose + _TOUCH)
    found: list[tuple[Segment, Stretch]] = []
    z0 = places[0] if places else nose
    for z1 in places[1:]:
        if z1 - z0 < _TOUCH:
            continue
        found.append(_segment(outer, inner, z0, z1, stock, carried))
        z0 = z1
    if not found:
        raise ValueError(f"nothing stands in front of the collet's face at {collet_face}")
    return _with_shoulders(found)


def blank_mass(outer: float, inner: float, density: float) -> float:
    """Mass per length of a round blank, g/mm; diameters mm, density g/cm³."""
    return math.pi / 4 * (outer**2 - inner**2) * density * 1e-3


def _plain(s: Stretch) -> bool:
    return abs(s.d0 - s.d1) < _TOUCH


def _diameter(s: Stretch, z: float) -> float:
    """Diameter that carries load at ``z``: a thread's root."""
    if s.thread is not None:
        return s.thread.root_diameter
    return s.d0 + (s.d1 - s.d0) * (z - s.z0) / (s.z1 - s.z0)


def _at(row: Sequence[Stretch], z: float) -> Stretch | None:
    return next((s for s in row if s.z0 <= z <= s.z1), None)


def _segment(
    outer: Sequence[Stretch],
    inner: Sequence[Stretch],
    z0: float,
    z1: float,
    stock: BeamMaterial,
    carried: Sequence[Carried],
) -> tuple[Segment, Stretch]:
    mid = (z0 + z1) / 2
    outside, bore = _at(outer, mid), _at(inner, mid)
    if outside is None:
        raise ValueError(f"the outside has a gap at z = {mid:g}")
    hole = _diameter(bore, mid) if bore is not None else 0.0
    threaded = outside.thread is not None or (bore is not None and bore.thread is not None)
    segment = Segment(
        length=z1 - z0,
        outer=_diameter(outside, mid),
        inner=hole,
        modulus=stock.modulus,
        density=stock.density,
        added=sum(c.mass for c in carried if c.z0 <= mid <= c.z1),
        notch=stock.thread_notch if threaded else 1.0,
        feature=outside.feature,
    )
    return segment, outside


def _with_shoulders(row: list[tuple[Segment, Stretch]]) -> tuple[Segment, ...]:
    """The slimmer side of every step gets the shoulder's factor, at the least radius that the sheet
    allows there. Slices of one cone have none."""
    found = []
    for i, (seg, own) in enumerate(row):
        factor = seg.notch
        for j in (i - 1, i + 1):
            if not 0 <= j < len(row) or row[j][0].feature == seg.feature:
                continue
            step = (row[j][0].outer - seg.outer) / 2
            if step > 0:
                # A corner with a size of its own is the one at the locating face, behind it.
                radius = corner.least(step, own.corner if j < i else None)
                factor = max(factor, shoulder_notch(row[j][0].outer, seg.outer, radius))
        found.append(replace(seg, notch=factor))
    return tuple(found)
