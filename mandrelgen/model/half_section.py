"""The half-section of a mandrel as a closed chain of faces in (z, r), thread zones included."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

from mandrelgen.core.frozen import dataclass
from mandrelgen.model.feature import Feature
from mandrelgen.model.mandrel import Flats, Mandrel, Stretch, ThreadForm

# Two stretches touch when their ends differ by less than this (mm).
TOUCH = 1e-6
# A point no stretch ends at.
NAMELESS = Feature("")


@dataclass(frozen=True, slots=True, kw_only=True)
class ProfileFace:
    """One generator of the half-section from (z0, r0) to (z1, r1), material on its left hand
    when the axis points right. ``feature`` names the stretch it came from; a step's plane takes
    the larger neighbour's name. ``thread`` is set on the cylinder that carries a thread (at its
    crest)."""

    feature: Feature
    z0: float
    r0: float
    z1: float
    r1: float
    thread: ThreadForm | None = None

    @property
    def kind(self) -> str:
        """``plane``, ``cylinder`` or ``cone``."""
        if abs(self.z1 - self.z0) < TOUCH:
            return "plane"
        return "cylinder" if abs(self.r1 - self.r0) < TOUCH else "cone"


@dataclass(frozen=True, slots=True)
class Profile:
    """Outer faces (spindle side to nose), front faces and bores back to the axis, in one chain.

    The chain starts and ends on the axis for a solid part. For a through bore it is a closed
    loop. ``rings`` holds one chain; a blind bore is part of it.
    """

    faces: tuple[ProfileFace, ...]
    closed: bool
    flats: Flats | None = None


def outline(mandrel: Mandrel) -> Profile:
    """The half-section of ``mandrel``. Raises ValueError if its stretches leave a gap."""
    return chain(mandrel.outer, mandrel.inner, mandrel.flats)


def chain(
    outer: tuple[Stretch, ...], inner: tuple[Stretch, ...], flats: Flats | None = None
) -> Profile:
    """Join stretches into a chain of faces: rear bore outwards, outside to the nose, front bore
    inwards. Raises ValueError if ``outer`` has a gap or a bore floats inside the material."""
    for a, b in pairwise(outer):
        if abs(a.z1 - b.z0) > TOUCH:
            raise ValueError(f"gap between {a.feature} and {b.feature}: {a.z1} to {b.z0}")
    z_min, z_max = outer[0].z0, outer[-1].z1
    rear, front, through = [], [], False
    for bore in _bores(inner):
        at_rear = abs(bore[0].z0 - z_min) < TOUCH
        at_front = abs(bore[-1].z1 - z_max) < TOUCH
        if at_rear and at_front:
            through = True
            front = bore
        elif at_rear:
            rear = bore
        elif at_front:
            front = bore
        else:
            raise ValueError(f"bore {bore[0].feature} opens at neither end")
    points: list[tuple[float, float, Feature, ThreadForm | None]] = []
    if not through:
        points.append((rear[-1].z1 if rear else z_min, 0.0, NAMELESS, None))
        for s in reversed(rear):
            points.append((s.z1, s.d1 / 2, NAMELESS, None))
            points.append((s.z0, s.d0 / 2, s.feature, s.thread))
    for s in outer:
        points.append((s.z0, s.d0 / 2, NAMELESS, None))
        points.append((s.z1, s.d1 / 2, s.feature, s.thread))
    for s in reversed(front):
        points.append((s.z1, s.d1 / 2, NAMELESS, None))
        points.append((s.z0, s.d0 / 2, s.feature, s.thread))
    if through:
        points.append((*points[0][:2], NAMELESS, None))
    else:
        points.append((front[0].z0 if front else z_max, 0.0, NAMELESS, None))
    return Profile(_faces(points), through, flats)


def _bores(inner: tuple[Stretch, ...]) -> list[list[Stretch]]:
    bores: list[list[Stretch]] = []
    for s in sorted(inner, key=lambda s: s.z0):
        if bores and abs(bores[-1][-1].z1 - s.z0) < TOUCH:
            bores[-1].append(s)
        else:
            bores.append([s])
    return bores


def _faces(
    points: list[tuple[float, float, Feature, ThreadForm | None]],
) -> tuple[ProfileFace, ...]:
    named = [p[2] for p in points]
    faces = []
    for i, ((z0, r0, _, _), (z1, r1, name, thread)) in enumerate(pairwise(points)):
        if math.hypot(z1 - z0, r1 - r0) < TOUCH:
            continue
        if not name:
            before = named[i]
            after = next((n for n in named[i + 1 :] if n), NAMELESS)
            name = (before if r0 > r1 else after) or before or after
        faces.append(ProfileFace(feature=name, z0=z0, r0=r0, z1=z1, r1=r1, thread=thread))
    return tuple(faces)


def complete(before: Stretch | None, s: Stretch, after: Stretch | None) -> tuple[float, float]:
    """Between which z the thread of ``s`` is complete: it fades where the crest's cylinder runs on
    in a neighbour."""
    assert s.thread is not None

    def fade(o: Stretch | None) -> float:
        runs_on = o is not None and max(abs(o.d0 - s.d0), abs(o.d1 - s.d0)) < TOUCH
        return s.thread.fade if runs_on and s.thread is not None else 0.0

    return s.z0 + fade(before), s.z1 - fade(after)


def plain(profile: Profile) -> Profile:
    """The same part with every thread a plain cylinder at its crest."""
    return replace(profile, faces=tuple(replace(f, thread=None) for f in profile.faces))
