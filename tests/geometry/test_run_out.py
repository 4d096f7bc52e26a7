"""A thread that runs out as a tap's lead leaves it: closed solids and meshes of the right volume.

The volume is summed up here, ring by ring, from the trapezoid of ISO 68-1's flanks (30° each side)
and the cone of the lead, without the program's own formula.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
import trimesh

from mandrelgen.files.proof.crossing import crossings
from mandrelgen.geometry.mesh import build as mesh
from mandrelgen.geometry.mesh import exact
from mandrelgen.model.half_section import Profile, chain
from mandrelgen.model.mandrel import Stretch, ThreadForm
from tests.support.thread_parts import form

LENGTH, DEEP = 8.0, 2.0


def tapped(
    starts: int = 1,
    left: bool = False,
    lead: float = 3.0,
    through: bool = False,
    d: float = 11.0,
    rear: bool = False,
) -> tuple[Profile, ThreadForm]:
    """A block with a tapped hole, thread P 0.8 over z 0…8, its last ``lead`` pitches running out
    towards z = 0, the hole 2 deeper; turned end for end if ``rear``."""
    f = replace(form(d, 0.8, starts, left, external=False), fade=lead * 0.8)
    c, wide = f.crest_diameter, f.root_diameter + 0.2
    mouth = LENGTH + (wide - c) / 2
    tip = (
        Stretch("bore", -8.0, -DEEP, c - 2, c - 2)
        if through
        else Stretch("tip", -DEEP - c / 4, -DEEP, 0.0, c)
    )
    inner = [
        tip,
        Stretch("pilot", -DEEP, 0.0, c, c),
        Stretch("thread", 0.0, LENGTH, c, c, thread=f),
        Stretch("countersink", LENGTH, mouth, c, wide),
    ]
    outer = [Stretch("body", -8.0, mouth, d + 5, d + 5)]
    if rear:
        inner = [replace(s, z0=-s.z1, z1=-s.z0, d0=s.d1, d1=s.d0) for s in reversed(inner)]
        outer = [replace(s, z0=-s.z1, z1=-s.z0) for s in outer]
    return chain(tuple(outer), tuple(inner)), f


def cut_by_hand(f: ThreadForm) -> float:
    """What the tap takes from the wall: rings of radius r, of which the groove covers its share,
    between the lead's cone and the 45° countersink."""
    n, total = 20_000, 0.0
    low, high = f.crest_diameter / 2, f.root_diameter / 2
    for i in range(n):
        r = low + (high - low) * (i + 0.5) / n
        # Half a pitch wide on the pitch cylinder, narrower outwards by both flanks.
        gap = f.pitch / 2 - 2 * (r - f.pitch_diameter / 2) * math.tan(math.radians(30))
        cone = f.fade * (r - low) / (high - low)
        total += math.tau * r * gap / f.pitch * (LENGTH + (r - low) - cone) * (high - low) / n
    return total


CASES = [
    tapped(), tapped(left=True), tapped(lead=1.5), tapped(starts=3, left=True, lead=2.0),
    tapped(through=True), tapped(rear=True, lead=2.37), tapped(d=5.0),
]  # fmt: skip


@pytest.mark.parametrize(("profile", "f"), CASES)
def test_mesh_is_closed_and_holds_what_the_tap_leaves(profile: Profile, f: ThreadForm) -> None:
    plain = sum(
        math.pi / 3 * (x.z1 - x.z0) * (x.r0**2 + x.r0 * x.r1 + x.r1**2) for x in profile.faces
    )
    assert exact.volume(profile) == pytest.approx(plain - cut_by_hand(f), rel=1e-9)
    made = mesh.build(profile)
    body = trimesh.Trimesh(made.vertices, made.triangles, process=False)
    assert body.is_watertight
    assert body.is_winding_consistent
    assert body.volume == pytest.approx(exact.volume(profile), rel=2e-4)
    assert crossings(made.vertices, made.triangles) == 0


@pytest.mark.cad
@pytest.mark.parametrize(("profile", "f"), CASES)
def test_solid_is_valid_and_its_full_thread_is_found_in_a_section(
    profile: Profile, f: ThreadForm
) -> None:
    from mandrelgen.geometry.kernel import measure
    from mandrelgen.geometry.kernel.build import build

    solid = build(profile)
    assert solid.isValid()
    assert measure.count_solids(solid) == 1
    assert measure.volume(solid) == pytest.approx(exact.volume(profile), rel=1e-7)
    (seen,) = measure.section_report(solid)
    assert (seen.starts, seen.left_hand, seen.external) == (f.starts, f.left_hand, False)
    assert seen.major == pytest.approx(f.root_diameter, abs=1e-6)
    assert seen.minor == pytest.approx(f.crest_diameter, abs=1e-6)
    # Complete flanks stop where the cone begins, a pitch before it at most.
    end = seen.z1 if profile.faces[0].z0 < -9 else seen.z0
    assert abs(end) >= f.fade - 1e-6


def test_without_a_lead_the_thread_is_refused_as_before() -> None:
    profile, _ = tapped()
    bare = tuple(
        replace(x, thread=replace(x.thread, fade=0.0)) if x.thread else x for x in profile.faces
    )
    with pytest.raises(ValueError, match="must pass the root"):
        exact.volume(replace(profile, faces=bare))


def test_a_lead_longer_than_the_thread_is_refused() -> None:
    with pytest.raises(ValueError, match="it fades over"):
        exact.volume(tapped(lead=12.0)[0])
