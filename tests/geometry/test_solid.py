"""Solids against closed-form volumes, sizes and axial sections. Validity alone proves nothing:
the kernel's checker also passes parts whose thread is lost."""

from __future__ import annotations

import math
from dataclasses import replace

import cadquery as cq
import pytest
import trimesh
from hypothesis import HealthCheck, example, given, settings

from mandrelgen.geometry.brep import flats
from mandrelgen.geometry.brep.describe import describe
from mandrelgen.geometry.kernel import measure
from mandrelgen.geometry.kernel.build import build, build_plain, cut_flats, revolved
from mandrelgen.geometry.kernel.make_solid import solid as kernel_solid
from mandrelgen.geometry.mesh import exact
from mandrelgen.model.half_section import Profile, chain
from mandrelgen.model.mandrel import Flats, Stretch
from tests.support import solid_facts
from tests.support.thread_parts import FLATS, GRID, cup, flatted, form, parts, plug

PPM = 1e-6


def check(profile: Profile) -> None:
    solid = build(profile)
    assert solid.isValid()
    assert measure.count_solids(solid) == 1
    assert measure.volume(solid) == pytest.approx(exact.volume(profile), rel=PPM)
    check_box(solid, profile)


def check_box(solid: cq.Shape, profile: Profile) -> None:
    radius = max(max(f.r0, f.r1) for f in profile.faces)
    ends = [z for f in profile.faces for z in (f.z0, f.z1)]
    wanted = (-radius, -radius, min(ends), radius, radius, max(ends))
    assert measure.bounding_box(solid) == pytest.approx(wanted, abs=1e-6)


@pytest.mark.parametrize("profile", GRID)
def test_grid(profile: Profile) -> None:
    check(profile)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(parts())
def test_any_thread(profile: Profile) -> None:
    check(profile)


@pytest.mark.parametrize("profile", [p for p in GRID if p is not GRID[7]])
def test_section_finds_the_thread(profile: Profile) -> None:
    found = measure.section_report(build(profile))
    threads = [f.thread for f in profile.faces if f.thread is not None]
    assert len(found) == len(threads)
    for thread in threads:
        sizes = sorted((thread.crest_diameter, thread.root_diameter))
        seen = next(s for s in found if s.external == thread.external)
        assert (seen.starts, seen.left_hand) == (thread.starts, thread.left_hand)
        assert (seen.minor, seen.major) == pytest.approx(sizes, abs=1e-6)
        assert seen.pitch_diameter == pytest.approx(thread.pitch_diameter, abs=1e-6)
        assert seen.pitch == pytest.approx(thread.pitch, abs=1e-7)
        assert seen.lead == pytest.approx(thread.starts * thread.pitch, abs=1e-6)
        # ISO 68-1:1998: flanks at 30° to the plane square to the axis.
        assert seen.flank_angle == pytest.approx(30, abs=1e-5)


def test_section_tells_wrong_hand_lead_and_pitch_diameter_of_equal_volume() -> None:
    """Hand and starts leave the volume as it is: only the section tells them apart."""
    right, left = plug(9, 0.75, 2), plug(9, 0.75, 2, left=True)
    single = plug(9, 0.75, 1)
    assert exact.volume(right) == exact.volume(left) == pytest.approx(exact.volume(single))
    reports = [measure.section_report(build(p))[0] for p in (right, left, single)]
    assert [(r.left_hand, r.starts) for r in reports] == [(False, 2), (True, 2), (False, 1)]


def test_plain_solid_keeps_the_crest_cylinder() -> None:
    for profile in (plug(12, 0.8, 3), cup(12, 0.8, 3)):
        plain = build_plain(profile)
        cylinders = sum(
            math.pi / 3 * (f.z1 - f.z0) * (f.r0**2 + f.r0 * f.r1 + f.r1**2) for f in profile.faces
        )
        assert measure.section_report(plain) == ()
        assert measure.volume(plain) == pytest.approx(cylinders, rel=1e-9)
        check_box(plain, profile)


@pytest.mark.parametrize("across", [f for f in FLATS if f.z1 < 10])
def test_flats(across: Flats) -> None:
    profile = plug(11, 0.8, 2, flats=across)
    solid = build(profile)
    assert solid.isValid()
    assert measure.count_solids(solid) == 1
    assert solid_facts.closed(solid)
    assert measure.volume(solid) == pytest.approx(exact.volume(profile), rel=PPM)
    whole = exact.volume(Profile(profile.faces, profile.closed))
    assert exact.volume(profile) < whole - 1 or across.across >= 15


@settings(max_examples=100, deadline=None)
@given(flatted())
def test_any_flats_on_cylinders_are_the_kernels_own_cut(profile: Profile) -> None:
    """The faces written down for flats are those of the kernel's boolean, step by step."""
    solid = kernel_solid(describe(profile))
    assert solid.isValid()
    assert solid_facts.closed(solid)
    volume = exact.volume(profile)
    assert measure.volume(solid) == pytest.approx(volume, rel=1e-9)
    whole = replace(profile, flats=None)
    if volume < exact.volume(whole) - 1e-3:
        cut = cut_flats(build(whole), profile)
        assert measure.volume(cut) == pytest.approx(volume, rel=1e-9)
        assert solid_facts.area(solid) == pytest.approx(solid_facts.area(cut), rel=1e-9)


TIP = (
    Stretch(feature="a", z0=0, z1=4, d0=10, d1=10),
    Stretch(feature="tip", z0=4, z1=9, d0=8, d1=0),
)
CONES = (
    Stretch(feature="cone", z0=0, z1=2, d0=4, d1=9),
    Stretch(feature="a", z0=2, z1=6, d0=12, d1=12),
    Stretch(feature="b", z0=6, z1=9, d0=14, d1=11),
)


@pytest.mark.parametrize(
    ("outer", "across"),
    [(TIP, Flats(-1, 3, 8)), (CONES, Flats(2, 6, 10)), (CONES, Flats(2, 5, 8.5)),
     (CONES, Flats(3, 6, 11)), (CONES, Flats(2, 6, 9))],
)  # fmt: skip
def test_flats_that_end_beside_cones(outer: tuple[Stretch, ...], across: Flats) -> None:
    """Planes part them; 9 across touches the cone's circle."""
    check_flats(chain(outer, (), across))


@pytest.mark.parametrize("across", [Flats(-8, -3, 16), Flats(-8, -3, 13), Flats(-8, 1, 14.2)])
def test_flats_beside_a_run_of_faces_whose_seam_a_thread_turns(across: Flats) -> None:
    part = cup(12, 0.8, 3, rear_thread=form(15, 1.0, 2, False, True))
    check_flats(Profile(part.faces, part.closed, across))


def check_flats(profile: Profile) -> None:
    solid = kernel_solid(describe(profile))
    assert solid.isValid()
    assert solid_facts.closed(solid)
    assert measure.volume(solid) == pytest.approx(exact.volume(profile), rel=1e-9)
    cut = cut_flats(build(replace(profile, flats=None)), profile)
    assert solid_facts.area(solid) == pytest.approx(solid_facts.area(cut), rel=1e-7)


def test_flats_through_cones_and_bores_are_left_to_the_kernel() -> None:
    cone = chain(
        (
            Stretch(feature="a", z0=0, z1=5, d0=10, d1=10),
            Stretch(feature="b", z0=5, z1=9, d0=10, d1=14),
        ),
        (),
        Flats(2, 7, 9),
    )
    wide = Stretch(feature="bore", z0=4, z1=10, d0=8, d1=8)
    bore = chain((Stretch(feature="a", z0=0, z1=10, d0=10, d1=10),), (wide,), Flats(3, 8, 7))
    for profile in (cone, bore):
        with pytest.raises(flats.Beyond, match="the flats reach"):
            describe(profile)
        solid = build(profile)
        assert solid.isValid()
        assert measure.volume(solid) == pytest.approx(exact.volume(profile), rel=2e-6)


@pytest.mark.parametrize("mirrored", [False, True])
def test_flats_that_end_short_of_a_chamfered_edge_need_no_kernel(mirrored: bool) -> None:
    ends = ((0, 0.5, 9, 10), (0.5, 9.5, 10, 10), (9.5, 10, 10, 9))
    row = [Stretch(feature=f"s{i}", z0=a, z1=b, d0=c, d1=d) for i, (a, b, c, d) in enumerate(ends)]
    for low, high in ((2, 7), (-2, 7)) if mirrored else ((2, 8), (2, 12)):
        kept = row[1:] if low < 0 else row[:2] if high > 10 else row
        profile = chain(tuple(kept), (), Flats(low, high, 8))
        solid = kernel_solid(describe(profile))
        assert solid.isValid()
        assert measure.volume(solid) == pytest.approx(exact.volume(profile), rel=1e-9)


def test_thread_down_to_a_tip_and_without_chamfers() -> None:
    f = form(8, 1.0, 2, False, True)
    crest = f.crest_diameter
    tip = chain(
        (
            Stretch(feature="thread", z0=0, z1=5, d0=crest, d1=crest, thread=f),
            Stretch(feature="tip", z0=5, z1=5 + crest / 2, d0=crest, d1=0),
        ),
        (),
    )
    check(tip)
    g = form(20, 1.0, 3, True, True)
    ring = chain(
        (
            Stretch(
                feature="outside", z0=0, z1=6, d0=g.crest_diameter, d1=g.crest_diameter, thread=g
            ),
        ),
        (
            Stretch(
                "inside",
                0,
                6,
                *(2 * [form(12, 0.8, 1, False, False).crest_diameter]),
                form(12, 0.8, 1, False, False),
            ),
        ),
    )
    check(ring)
    assert len(measure.section_report(build(ring))) == 2


def test_threads_that_cannot_be_modelled_say_why() -> None:
    f = form(8, 1.0, 1, False, True)
    crest = f.crest_diameter
    shallow = chain(
        (
            Stretch(feature="thread", z0=0, z1=5, d0=crest, d1=crest, thread=f),
            Stretch(feature="tip", z0=5, z1=9, d0=crest - 0.5, d1=crest - 0.5),
        ),
        (),
    )
    with pytest.raises(ValueError, match=r"plane beside the thread at z 5\.000 must pass the root"):
        build(shallow)
    wall = chain(
        (
            Stretch(feature="thread", z0=0, z1=5, d0=crest, d1=crest, thread=f),
            Stretch(feature="wall", z0=5, z1=9, d0=12, d1=12),
        ),
        (),
    )
    with pytest.raises(ValueError, match=r"plane beside the thread at z 5\.000 .* ends at Ø12"):
        build(wall)
    off = chain(
        (Stretch(feature="thread", z0=0, z1=5, d0=crest + 0.1, d1=crest + 0.1, thread=f),), ()
    )
    with pytest.raises(ValueError, match="cylinder of its crest diameter"):
        build(off)
    with pytest.raises(ValueError, match="flats reach into thread"):
        build(plug(11, flats=Flats(1, 4, 9)))


def test_kernel_mesh_of_the_solid_is_closed() -> None:
    """The kernel's own mesher, a third realisation, finds no gap and the same volume."""
    for profile in (plug(12, 0.8, 3), cup(9, 0.75, 1, left=True)):
        mesh = kernel_mesh(build(profile))
        mesh.update_faces(mesh.nondegenerate_faces())
        assert mesh.is_watertight
        assert mesh.volume == pytest.approx(exact.volume(profile), rel=3e-3)


def kernel_mesh(solid: cq.Shape) -> trimesh.Trimesh:
    corners, triangles = solid.tessellate(0.005, 0.1)
    return trimesh.Trimesh([c.toTuple() for c in corners], triangles, process=True)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(parts())
def test_the_revolved_half_section_is_the_plain_part(profile: Profile) -> None:
    """A second body, from the corners alone: the same volume and box as what is written down
    entity by entity, one valid solid."""
    body, own = revolved(profile), build_plain(profile)
    assert body.isValid()
    assert measure.volume(body) == pytest.approx(measure.volume(own), rel=1e-9)
    assert measure.bounding_box(body) == pytest.approx(measure.bounding_box(own), abs=1e-6)
    assert measure.section_report(body) == ()


@settings(max_examples=25, deadline=None)
@example(chain((Stretch(feature="a", z0=0, z1=5, d0=6, d1=6),), (), Flats(0, 5, 10)))
@given(flatted())
def test_the_revolved_half_section_has_the_flats(profile: Profile) -> None:
    body = revolved(profile)
    assert measure.count_solids(body) == 1
    assert measure.volume(body) == pytest.approx(measure.volume(build_plain(profile)), rel=1e-9)
