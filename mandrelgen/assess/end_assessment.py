"""The assessment of one end of a mandrel: concentricity, strength, speed, and on what it stands."""

from __future__ import annotations

import math
from collections.abc import Mapping

from mandrelgen.assess import clearances, runout, speeds, stiffness, strength
from mandrelgen.assess.capacity import capacity
from mandrelgen.assess.lathe_measured import MEASURED, thread_tilt
from mandrelgen.assess.locators import fit_of, holding
from mandrelgen.assess.setup import Situated
from mandrelgen.design.chosen_tolerances import ToleranceChoice
from mandrelgen.mechanics.assessment_types import Assessment
from mandrelgen.mechanics.close_fit import chance_of_less, play_needed
from mandrelgen.mechanics.holding import Conflict, conflicts
from mandrelgen.mechanics.practice import assumed, judged, manner
from mandrelgen.mechanics.strength import weakest
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.materials import material
from mandrelgen.standards.threads import ThreadLimits

CENTRES_BELOW = math.tan(math.radians(15.0))


def judge(s: Situated, neighbours: Mapping[str, Situated], pen: Pen, shop: Shop) -> Assessment:
    """Everything there is to know of ``s``; ``neighbours``: part id → that part on its own
    mandrel. Nothing is rounded."""
    true = runout.truth(s, neighbours, pen, shop)
    bent = stiffness.stiffness(s) if s.collet_face is not None else None
    screw = strength.screw_of(s)
    bears = capacity(s, screw, strength.lip_outside(s)) if bent is not None else None
    lasts = None if bent is None else speeds.life(s, bent)
    runs = None
    if bent is not None and bears is not None:
        runs = speeds.speed(s, shop, bent, bears, lasts)
    tightens = assumed("speed", "tightening").value if bears is None else bears.dig_in
    found = strength.checks(s, tightens, true.runout_seat.tight.worst / 2)
    return Assessment(
        mandrel=s.mandrel.id,
        part=s.hold.part,
        end=s.hold.end,
        material=s.mandrel.ordering.material,
        gaps=clearances.gaps(s),
        conflicts=_conflicts(s),
        chance=_chance(s),
        screwed=strength.screwed(s),
        truth=true,
        stiffness=bent,
        capacity=bears,
        checks=found,
        weakest=weakest(found) if found else None,
        speed=None if runs is None else runs[0],
        work=() if runs is None else runs[1],
        life=lasts,
        flats=s.mandrel.flats is not None,
        tailstock=s.loads.tailstock,
        roughing_up=s.loads.roughing_up,
        finish_only=s.loads.finish_only,
        chuck=shop.lathe.chuck,
        tailstock_missing=s.loads.tailstock_missing,
        seat_conflict_friction=s.loads.seat_friction >= CENTRES_BELOW and s.thread is not None,
        wanted_speed=s.loads.speed,
        assumptions=_assumptions(s),
    )


def _conflicts(s: Situated) -> tuple[Conflict, ...]:
    """Locators cut in one setting share one axis: only what stands beside it can bind."""
    return conflicts(holding(s, ToleranceChoice(run_out=0.0)))


def _chance(s: Situated) -> float:
    """Chance that the threads' play is too small for a tilted thread axis to seat, 0 to 1."""
    if s.thread is None or s.cut is None:
        return 0.0
    own, partner = s.thread.limits, s.thread.partner
    stretch = s.stretch("thread")
    fitted = fit_of(s)
    if stretch is None or fitted is None:
        return 0.0
    widths = [_width(x) for x in (own, partner)]
    needed = play_needed(abs(stretch.z1 - stretch.z0), thread_tilt(s.cut, s.lathe).value)
    return chance_of_less(needed, fitted[1].play_min, widths[0], widths[1])


def _width(x: ThreadLimits) -> float:
    low, high = x.pitch.min, x.pitch.max
    return 0.0 if low is None or high is None else high - low


def _assumptions(s: Situated) -> tuple[str, ...]:
    said = [*s.said]
    own = material(s.mandrel.ordering.material)
    if own.strength_holds:
        said.append(f"strength of {own.name}: as {own.standard}, bars of {own.strength_holds}")
    spec = {"internal": s.end.internal, "external": s.end.external}.get(s.hold.by)
    if spec is not None:
        tilt = thread_tilt(spec.made, s.lathe)
        said.append(
            f"part's thread cut {spec.made.value}: thread axis tilted {tilt.value:.3g}° "
            f"({tilt.basis})"
        )
    face = manner(s.end.face_made.value).face_squareness
    said.append(
        f"part's face cut {s.end.face_made.value}: out of square {face.value:g} ({face.basis})"
    )
    drift = holding(s).part.bore_drift
    if drift:
        basis = f" ({MEASURED})" if s.lathe.drill_drift is not None else ""
        said.append(f"bore drifts {drift * 10:.3g} in 10 mm{basis}")
    if s.thread is not None:
        residual = assumed("centring", "residual")
        left = judged("concentricity", "centred_high")
        said.append(
            f"tightened, the thread centres itself to {left:g}, or {residual.value:.0%} of its "
            f"play is left ({residual.basis}: estimates)"
        )
        hand = assumed("speed", "hand_torque")
        said.append(f"loosening torque by hand {hand.value:g} N·m ({hand.basis})")
        if s.thread.limits.designation.starts > 1:
            error = assumed("indexing", "error")
            said.append(f"starts indexed up to {error.value:g}° off ({error.basis})")
    if s.grip is not None:
        nut, grip = assumed("collet", "nut_torque"), assumed("friction", "collet")
        said.append(
            f"collet tightened with {nut.value:g} N·m, friction {grip.value:g} ({nut.basis})"
        )
    notch = assumed("notch", "thread")
    said.append(f"notch factor {notch.value:g} at a thread's root ({notch.basis})")
    said.append(f"part of {s.part.material}; {s.shape.said}")
    return tuple(said)
