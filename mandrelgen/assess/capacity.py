"""What mandrel and part bear across the axis before the weakest place gives way, in both load
cases: at the free end with the tailstock away, at mid-length with it up."""

from __future__ import annotations

import math
from collections.abc import Sequence

from mandrelgen.assess import stiffness as stiff
from mandrelgen.assess.setup import Situated
from mandrelgen.mechanics.assessment_types import Capacity
from mandrelgen.mechanics.beam import Segment
from mandrelgen.mechanics.combined import (
    Bears,
    Failure,
    Section,
    Spot,
    Weak,
    asked_of_free_end,
    critical_section,
    each_bears,
    failure_of,
    pull_per_newton,
    stiffness,
    weak,
)
from mandrelgen.mechanics.practice import assumed
from mandrelgen.mechanics.screw import Screw
from mandrelgen.mechanics.tailstock import Allowed, Propped, propped
from mandrelgen.standards.materials import Material, material

PART_THREAD = "the part just past the mandrel's last thread"
PART = "the part"


def capacity(s: Situated, screw: Screw | None, lip: float) -> Capacity:
    """Both cases, what is asked of the one that counts, and why it is too weak, if it is.

    ``screw``: the thread drawn against the seat (None: a plain spigot); ``lip``: least outside of
    the part over the thread, mm.
    """
    row = stiff.beam(s)
    reach = sum(x.length for x in row)
    seat = min(-(s.collet_face or 0.0), reach)
    radius = s.shape.outside(s.shape.face) / 2
    found = tuple(_spots(s, row, seat, pull_per_newton(screw, radius) if screw else 0.0, lip))
    middle = (seat + reach) / 2
    free = each_bears(row, found, reach, radius)
    up = each_bears(row, found, middle, radius, reach)
    far = _far_end(s)
    case, asked, why = _judged(s, _least(free), _least(up), far)
    counts = free if case.prop is None else up
    survives = [b for b in (up if s.loads.roughing_up else free) if not b.spot.of_mandrel]
    return Capacity(
        free=_least(free),
        up=_least(up),
        judged=case,
        asked=asked,
        weak=why,
        far_end=far.allowed,
        far_end_why=far.why,
        per_newton=stiffness(row, reach),
        per_newton_up=stiffness(row, middle, reach),
        mandrel=min((b.force for b in counts if b.spot.of_mandrel), default=math.inf),
        dig_in=_dig_in(s, survives, radius),
    )


def _least(found: Sequence[Bears]) -> Bears:
    return min(found, key=lambda b: (b.force, b.spot.name))


def _judged(
    s: Situated, free: Bears, up: Bears, far: Propped
) -> tuple[Bears, float, tuple[Weak, ...]]:
    """The case that counts, the force asked of it, and why it is weak.

    Up all the time: at mid-length, a roughing cut. Up for roughing: the free end takes finishing
    cuts. Away: the free end takes everything, unless the part is only finished on the mandrel.
    """
    roughing = asked_of_free_end(False)
    if s.loads.tailstock:
        return up, roughing, weak(up, False)[1]
    if s.loads.finish_only:
        only = tuple(w for w in weak(free, True)[1] if w is Weak.FINISHING)
        return free, asked_of_free_end(True), only
    why: tuple[Weak, ...]
    supported = s.loads.roughing_up and far.allowed is not Allowed.NO
    why = weak(free, supported)[1]
    if supported and not why and up.force < roughing - 1e-9:
        return up, roughing, (Weak.ROUGHING,)
    asked = roughing if Weak.MANDREL in why else asked_of_free_end(supported)
    return free, asked, why


def _dig_in(s: Situated, part: Sequence[Bears], radius: float) -> float:
    """Torque that tightens the thread at worst, N·m: a hand's, or a dig-in's as far as the part
    survives it."""
    hand = assumed("speed", "tightening").value
    force = min([s.loads.catch_side, *(b.force for b in part)])
    return max(hand, min(s.loads.catch_torque, force * radius / 1000))


def _far_end(s: Situated) -> Propped:
    """Whether the far end takes a centre."""
    of = material(s.part.material)
    other = next((e for n, e in s.part.ends.items() if n != s.hold.end), None)
    kind = of.kind if of.kind in ("metal", "printed") else "plastic"
    far = s.shape.far
    return propped(
        s.loads.far_end,
        strength=_strength(of),
        asked=assumed("safety", kind).value,
        bore=s.shape.inside(far),
        outer=s.shape.outside(far),
        tapped=other is not None and other.internal is not None,
    )


def _strength(m: Material) -> float:
    return m.yield_strength if failure_of(m.kind) is Failure.YIELDS else m.tensile_strength


def _spots(s: Situated, row: Sequence[Segment], seat: float, pull: float, lip: float) -> list[Spot]:
    """Both ends of every stretch, and the part's thread where the mandrel's ends."""
    own, of = material(s.mandrel.ordering.material), material(s.part.material)
    found: list[Spot] = []
    z, first = 0.0, True
    for x in row:
        part = x.feature == stiff.PART
        m = of if part else own
        if part and first:
            first = False
            found += _threaded(s, z, of, lip)
        notch = 1.0 if part else x.notch
        name = PART if part else f"the {x.feature.replace('.', ' ')}"
        for at in (z, z + x.length):
            found.append(
                Spot(
                    name=name,
                    z=at,
                    section=Section(x.outer, x.inner),
                    strength=_strength(m),
                    failure=failure_of(m.kind),
                    of_mandrel=not part,
                    notch=notch,
                    pull=pull if not part and at > seat else 0.0,
                )
            )
        z += x.length
    return found


def _threaded(s: Situated, z: float, of: Material, lip: float) -> list[Spot]:
    end = s.tapped or s.tenon
    if s.thread is None or end is None:
        return []
    bore = max((h.size.upper for h in s.holes), default=0.0)
    critical = critical_section(end.thread, lip, bore)
    if critical is None:
        return []
    section, notch = critical
    fails = failure_of(of.kind)
    return [
        Spot(
            name=PART_THREAD,
            z=z,
            section=section,
            strength=_strength(of),
            failure=fails,
            of_mandrel=False,
            notch=notch,
        )
    ]
