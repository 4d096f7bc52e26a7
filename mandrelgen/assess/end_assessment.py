"""The verdict on one end of a mandrel: how true, how strong, how fast, and on what it stands."""

from __future__ import annotations

import math
from collections.abc import Mapping

from mandrelgen.assess import clearances, runout, stiffness, strength
from mandrelgen.assess.locators import holding
from mandrelgen.assess.part_shape import OUTSIDE_SAID
from mandrelgen.assess.setup import Situated
from mandrelgen.design.chosen_tolerances import ToleranceChoice
from mandrelgen.mechanics.assessment_types import Assessment, Stiffness
from mandrelgen.mechanics.holding import Conflict, conflicts
from mandrelgen.mechanics.life import Life, trial_life
from mandrelgen.mechanics.practice import assumed, manner
from mandrelgen.mechanics.speed import Speed, Stuff, speed
from mandrelgen.mechanics.strength import StrengthCheck, weakest
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.materials import material

CENTRES_BELOW = math.tan(math.radians(15.0))
WARM = 35.0


def judge(s: Situated, neighbours: Mapping[str, Situated], pen: Pen, shop: Shop) -> Assessment:
    """Everything there is to know of ``s``; ``neighbours``: part id → that part on its own
    mandrel. Nothing is rounded."""
    true = runout.truth(s, neighbours, pen, shop)
    bent = stiffness.stiffness(s) if s.collet_face is not None else None
    found = strength.checks(s, bent, true.runout_seat.tight.worst / 2)
    return Assessment(
        mandrel=s.mandrel.id,
        part=s.hold.part,
        end=s.hold.end,
        material=s.mandrel.ordering.material,
        gaps=clearances.gaps(s),
        conflicts=_conflicts(s),
        screwed=strength.screwed(s),
        truth=true,
        stiffness=bent,
        checks=found,
        weakest=weakest(found) if found else None,
        speed=None if bent is None else _speed(s, shop, bent),
        life=None if bent is None else _life(s, found),
        flats=s.mandrel.flats is not None,
        tailstock=s.loads.tailstock,
        tailstock_missing=s.loads.tailstock_missing,
        seat_conflict_friction=s.loads.seat_friction >= CENTRES_BELOW and s.thread is not None,
        wanted_speed=s.loads.speed,
        assumptions=_assumptions(s),
    )


def _conflicts(s: Situated) -> tuple[Conflict, ...]:
    """Locators cut in one setting share one axis: only what stands beside it can bind."""
    return conflicts(holding(s, ToleranceChoice(rung=0.0)))


def _stuff(s: Situated) -> Stuff:
    kind = material(s.mandrel.ordering.material).kind
    if kind == "metal":
        return Stuff.METAL
    return Stuff.PRINTED if kind == "printed" else Stuff.PLASTIC


def _speed(s: Situated, shop: Shop, bent: Stiffness) -> Speed:
    return speed(
        float(shop.lathe.max_speed),
        bent.critical,
        bent.overhang,
        bent.slimmest,
        _stuff(s),
        s.loads.tailstock,
        s.loads.speed,
    )


def _life(s: Situated, found: tuple[StrengthCheck, ...]) -> Life | None:
    own = material(s.mandrel.ordering.material)
    if own.kind == "metal":
        return None
    stress = max(
        (c.demand for c in found if c.kind == "bend" and c.at != stiffness.PART), default=0.0
    )
    return trial_life(stress, own.tensile_strength, own.max_temperature, WARM)


def _assumptions(s: Situated) -> tuple[str, ...]:
    said = [*s.said]
    own = material(s.mandrel.ordering.material)
    if own.strength_holds:
        said.append(f"strength of {own.name}: as {own.standard}, bars of {own.strength_holds}")
    spec = {"internal": s.end.internal, "external": s.end.external}.get(s.hold.by)
    if spec is not None:
        tilt = manner(spec.made.value).thread_tilt
        said.append(f"part's thread cut {spec.made.value}: leans {tilt.value:g}° ({tilt.basis})")
    face = manner(s.end.face_made.value).face_squareness
    said.append(
        f"part's face cut {s.end.face_made.value}: out of square {face.value:g} ({face.basis})"
    )
    drift = holding(s).part.bore_drift
    if drift:
        said.append(f"bore drifts {drift * 10:.3g} in 10 mm")
    if s.thread is not None:
        residual = assumed("centring", "residual")
        said.append(
            f"pulled tight, {residual.value:.0%} of the thread's play is left "
            f"({residual.basis}: estimate)"
        )
        hand = assumed("speed", "hand_torque")
        said.append(f"a hand frees {hand.value:g} N·m ({hand.basis})")
        if s.thread.limits.designation.starts > 1:
            error = assumed("indexing", "error")
            said.append(f"starts indexed up to {error.value:g}° off ({error.basis})")
    if s.grip is not None:
        nut, grip = assumed("collet", "nut_torque"), assumed("friction", "collet")
        said.append(
            f"collet drawn up with {nut.value:g} N·m, friction {grip.value:g} ({nut.basis})"
        )
    notch = assumed("notch", "thread")
    said.append(f"notch factor {notch.value:g} at a thread's root ({notch.basis})")
    said.append(f"part of {s.part.material}; {OUTSIDE_SAID}")
    return tuple(said)
