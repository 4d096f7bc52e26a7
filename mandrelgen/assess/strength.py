"""Strength of thread, lip, seat and grip under what tightens the thread: a hand, or a dig-in as far
as the part itself survives it. What mandrel and part bear in bending: assess.capacity. Sources:
mechanics.strength.
"""

from __future__ import annotations

from dataclasses import replace

from mandrelgen.assess.locators import fit_of
from mandrelgen.assess.setup import Situated
from mandrelgen.mechanics.assessment_types import Screwed
from mandrelgen.mechanics.play import root_max
from mandrelgen.mechanics.practice import assumed
from mandrelgen.mechanics.screw import (
    Screw,
    freeing_torque,
    locking_margin,
    needs_flats,
    pull,
    tightens,
)
from mandrelgen.mechanics.strength import (
    StrengthCheck,
    StripThread,
    burst_check,
    collet_slip_torque,
    flank_pressure,
    hoop_outside,
    seat_pressure,
    stress_area,
    stripping,
)
from mandrelgen.standards.materials import Material, material


def screw_of(s: Situated) -> Screw | None:
    """The thread drawn against the seat, at its basic pitch diameter."""
    if s.thread is None:
        return None
    own = s.thread.limits
    ring = seat_ring(s)
    mean = (ring[0] + ring[1]) / 2 if ring else own.basic.pitch
    return Screw(
        lead=float(own.designation.lead),
        pitch_diameter=own.basic.pitch,
        seat_mean=mean,
        thread=s.loads.thread_friction,
        seat=s.loads.seat_friction,
    )


def seat_ring(s: Situated) -> tuple[float, float] | None:
    """Inner and outer diameter of the ring that bears, at worst limits, mm."""
    collar = s.collar.lower if s.collar is not None else None
    ring = s.tapped.ring if s.tapped else s.tenon.ring if s.tenon else None
    if collar is None or ring is None:
        return None
    inner = max(ring.inner, s.upper("counterbore.diameter") or 0.0)
    outer = min(collar, ring.outer)
    return (inner, outer) if outer - inner > 1e-6 else None


def screwed(s: Situated) -> Screwed | None:
    """Tightening, locking, freeing."""
    screw, fitted = screw_of(s), fit_of(s)
    if screw is None or fitted is None or s.thread is None:
        return None
    # The shank is held in its collet, spindle locked: flats on the mandrel free nothing that a
    # strap on the part does not.
    hand, strap = (assumed("speed", f"{by}_torque").value for by in ("hand", "strap"))
    after = freeing_torque(screw, s.loads.catch_torque)
    return Screwed(
        eaten=fitted[1].eaten,
        locking=locking_margin(screw),
        pull=pull(screw, s.loads.catch_torque),
        freeing=freeing_torque(screw, s.loads.torque),
        freeing_catch=after,
        strap_needed=after > hand,
        flats_needed=needs_flats(after, strap),
        forward=tightens(not s.thread.limits.designation.left_hand, forward=True),
    )


def checks(s: Situated, dig_in: float, eccentric: float) -> tuple[StrengthCheck, ...]:
    """Every check of this end. ``dig_in``: torque that tightens the thread, N·m; ``eccentric``: how
    far the outside can be off the thread, mm."""
    own, of_part = material(s.mandrel.ordering.material), material(s.part.material)
    found: list[StrengthCheck] = []
    if s.collet_face is not None:
        found += _slip(s, dig_in)
    screw = screw_of(s)
    if screw is not None and s.thread is not None:
        force = pull(screw, dig_in)
        found += _thread(s, force, own, of_part)
        found += _walls(s, force, own, of_part, eccentric)
        found += _seat(s, force, own, of_part)
    return tuple(found)


def _slip(s: Situated, dig_in: float) -> list[StrengthCheck]:
    if s.grip is None:
        return []
    system = s.grip.system
    nut_thread = system.nut_diameter if system else assumed("collet", "nut_thread").value
    holds = collet_slip_torque(
        s.grip.shank,
        assumed("friction", "collet").value,
        assumed("collet", "nut_torque").value,
        nut_thread,
        assumed("collet", "nut_factor").value,
        assumed("collet", "half_angle").value,
    )
    return [
        StrengthCheck(
            id="slip.collet",
            label="shank slips in the collet",
            demand=dig_in,
            capacity=holds,
            unit="N·m",
        )
    ]


def _thread(s: Situated, force: float, own: Material, of_part: Material) -> list[StrengthCheck]:
    thread = s.thread
    if thread is None:
        return []
    a, b = thread.limits, thread.partner
    screw, nut = (a, b) if a.external else (b, a)
    pitch = float(a.designation.pitch)
    pair = StripThread(
        pitch=pitch,
        length=thread.full_pitches * pitch,
        screw_major_min=_n(screw.major.min),
        screw_pitch_min=_n(screw.pitch.min),
        nut_minor_max=_n(nut.minor.max),
        nut_pitch_max=_n(nut.pitch.max),
    )
    metal = (own, of_part) if a.external else (of_part, own)
    found = list(stripping(pair, force, metal[0].shear_strength, metal[1].shear_strength))
    if a.external:
        core = stress_area(_n(a.major.min), pitch)
        found.append(
            StrengthCheck(
                id="tension.thread",
                label="thread's core is pulled off",
                demand=force / core,
                capacity=own.yield_strength,
                unit="MPa",
            )
        )
    return found


def _walls(
    s: Situated, force: float, own: Material, of_part: Material, eccentric: float
) -> list[StrengthCheck]:
    thread = s.thread
    if thread is None:
        return []
    d2, length = (
        thread.limits.basic.pitch,
        thread.full_pitches * float(thread.limits.designation.pitch),
    )
    if s.tapped is not None:
        outer = lip_outside(s) - 2 * eccentric
        root = root_max(s.tapped.thread)
        label = "the pen's lip bursts over the plug"
        if outer <= root + 1e-6:
            return [
                StrengthCheck(
                    id="lip", label=label, demand=1.0, capacity=0.0, unit="MPa", asked=1.0
                )
            ]
        found = burst_check(force, d2, length, outer, root, of_part.tensile_strength)
        return [replace(found, label=label)]
    inside = max(s.upper("relief.diameter") or 0.0, thread.limits.major_max_worst)
    collar = (s.collar.lower if s.collar is not None else None) or 0.0
    burst = burst_check(force, d2, length, collar, inside, own.yield_strength, id="cup.wall")
    found_walls = [replace(burst, label="the cup's wall gives way")]
    tenon = _tenon_squeezed(s, force, d2, length, of_part)
    return found_walls + tenon


def _tenon_squeezed(
    s: Situated, force: float, d2: float, length: float, of_part: Material
) -> list[StrengthCheck]:
    if s.tenon is None:
        return []
    root = s.tenon.thread.minor_min_worst
    hole = max((h.size.upper for h in s.holes), default=0.0)
    if hole >= root - 1e-6:
        return []
    hoop = hoop_outside(flank_pressure(force, d2, length), root, hole)
    return [
        StrengthCheck(
            id="tenon",
            label="the part's tenon is crushed",
            demand=hoop,
            capacity=_crush(of_part),
            unit="MPa",
        )
    ]


def lip_outside(s: Situated) -> float:
    """Least outside of the part over the engaged thread: the body, or its own outer thread's
    root, mm."""
    if s.outer_thread is not None:
        return s.outer_thread.minor_min_worst
    thread = s.stretch("thread")
    z = thread.z1 if thread else 0.0
    return min(s.shape.outside(s.shape.face), s.shape.outside(z))


def _seat(s: Situated, force: float, own: Material, of_part: Material) -> list[StrengthCheck]:
    ring = seat_ring(s)
    if ring is None:
        return []
    pressure = seat_pressure(force, ring[1], ring[0])
    softer = min(_crush(own), _crush(of_part))
    return [
        StrengthCheck(
            id="seat",
            label="the seat's ring is crushed",
            demand=pressure,
            capacity=softer,
            unit="MPa",
        )
    ]


def _crush(m: Material) -> float:
    """Strength in compression, MPa."""
    if m.kind == "metal":
        return m.yield_strength
    return m.yield_strength * assumed("strength", "compression").value


def _n(x: float | None) -> float:
    if x is None:
        raise ValueError("no limit")
    return x
