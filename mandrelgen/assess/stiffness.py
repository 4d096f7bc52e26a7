"""How stiff: the mandrel and the part on it as one stepped beam from the collet's face.

The mandrel alone carries up to the end of its thread (a cup: to its seat; a plain spigot: to its
nose), the part alone beyond it: both rather too soft than too stiff. A cone counts at its slim end.
"""

from __future__ import annotations

from dataclasses import replace

from mandrelgen.assess.setup import Situated
from mandrelgen.mechanics.assessment_types import Bend, Stiffness
from mandrelgen.mechanics.beam import Bent, Load, Segment, bend
from mandrelgen.mechanics.beam_rows import BeamMaterial, Carried, beam_row, blank_mass
from mandrelgen.mechanics.practice import assumed
from mandrelgen.mechanics.whirl import critical_speed
from mandrelgen.model.feature import FeatureKind
from mandrelgen.model.mandrel import Stretch
from mandrelgen.standards.materials import Material, material

PART = "part"
# Points of a drawn deflected shape.
FINE = 48


def carried_to(s: Situated) -> float:
    """z up to which the mandrel alone carries, mm."""
    if s.hold.by == "external":
        return 0.0
    thread = s.stretch("thread")
    if thread is not None:
        return thread.z1
    return max(st.z1 for st in s.mandrel.outer if st.feature.is_here(FeatureKind.SPIGOT))


def beam(s: Situated) -> tuple[Segment, ...]:
    """The row of segments from the collet's face to the part's far end."""
    if s.collet_face is None:
        raise ValueError("a button is not held in a collet")
    own, of_part = material(s.mandrel.ordering.material), material(s.part.material)
    stop = carried_to(s)
    stock = BeamMaterial(own.youngs_modulus, own.density, assumed("notch", "thread").value)
    outer = [c for st in s.mandrel.outer for c in _outer(s, st, stop)]
    inner = [c for st in s.mandrel.inner for c in _clipped(_blunt(st, max), stop)]
    mass = blank_mass(s.shape.outside(0.0), s.shape.inside(0.0), of_part.density)
    carried = [Carried(0.0, stop, mass)] if stop > 0 else []
    row = beam_row(outer, inner, s.collet_face, stock, carried)
    return (*row, *_part(s, stop, of_part))


def stiffness(s: Situated) -> Stiffness:
    """Deflection, stress under the normal side load and the whirling speed."""
    row = beam(s)
    face = s.collet_face or 0.0
    reach = sum(seg.length for seg in row)
    seat = min(-face, reach)
    away = _bent(row, s.loads.side, reach, None)
    up = _bent(row, s.loads.side, _middle(seat, reach), reach)
    bends = (
        _report(away, up=False, tool=reach, seat=seat, face=face),
        _report(up, up=True, tool=_middle(seat, reach), seat=seat, face=face),
    )
    held = s.loads.tailstock
    used = up if held else away
    return Stiffness(
        away=bends[0],
        up=bends[1],
        used=bends[1] if held else bends[0],
        stresses=used.stresses(),
        critical=critical_speed(row, reach if held else None),
        overhang=reach,
        slimmest=min(seg.outer for seg in row if seg.feature != PART),
        side=s.loads.side,
    )


def _middle(seat: float, reach: float) -> float:
    """Where a tool bends a propped part most: about the middle of the part."""
    return (seat + reach) / 2


def _bent(row: tuple[Segment, ...], force: float, z: float, prop: float | None) -> Bent:
    return bend(row, [Load(z, force)], prop)


def _report(bent: Bent, up: bool, tool: float, seat: float, face: float) -> Bend:
    return Bend(
        tailstock=up,
        tool_z=tool + face,
        tool=abs(bent.at(tool).deflection),
        end=abs(bent.end.deflection),
        seat=abs(bent.at(seat).deflection),
        prop=abs(bent.prop_force),
        shape=_shape(bent, face),
    )


def _shape(bent: Bent, face: float) -> tuple[tuple[float, float], ...]:
    """The bent axis: every step of it, and evenly between so that it is drawn round."""
    places = {st.z for st in bent.stations} | {bent.end.z * i / FINE for i in range(FINE + 1)}
    return tuple((z + face, bent.at(z).deflection) for z in sorted(places))


def _outer(s: Situated, st: Stretch, stop: float) -> list[Stretch]:
    """The stretch clipped, cones at their slim end, spanner flats as a bar of their width."""
    st = _blunt(st, min)
    flats = s.mandrel.flats
    if flats is None or not (st.z0 < flats.z1 - 1e-6 and st.z1 > flats.z0 + 1e-6):
        return _clipped(st, stop)
    a, b = max(st.z0, flats.z0), min(st.z1, flats.z1)
    across = min(flats.across, st.d0)
    pieces = [
        replace(st, z1=a),
        replace(st, z0=a, z1=b, d0=across, d1=across),
        replace(st, z0=b),
    ]
    return [c for p in pieces if p.z1 - p.z0 > 1e-6 for c in _clipped(p, stop)]


def _blunt(st: Stretch, pick: object) -> Stretch:
    d = max(st.d0, st.d1) if pick is max else min(st.d0, st.d1)
    return replace(st, d0=d, d1=d)


def _clipped(st: Stretch, stop: float) -> list[Stretch]:
    return [] if st.z0 >= stop - 1e-9 else [replace(st, z1=min(st.z1, stop))]


def _part(s: Situated, start: float, of_part: Material) -> list[Segment]:
    return [
        Segment(
            length=sec.z1 - sec.z0,
            outer=sec.outer,
            inner=sec.inner,
            modulus=of_part.youngs_modulus,
            density=of_part.density,
            feature=PART,
        )
        for sec in s.shape.sections(max(start, s.shape.body if s.hold.by == "external" else start))
        # Where nothing is left of the part (told as a wall of the pen) there is nothing to bend.
        if sec.outer > sec.inner
    ]
