"""Meshes and the closed-form volume, against brute integration, the kernel and trimesh."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import trimesh
from hypothesis import HealthCheck, given, settings

from mandrelgen.geometry.mesh import exact
from mandrelgen.geometry.mesh.build import Mesh, build, segments
from mandrelgen.model.half_section import Profile, chain
from mandrelgen.model.mandrel import Flats, Stretch, ThreadForm
from tests.support.thread_parts import GRID, cup, parts, plug


def check(mesh: Mesh, profile: Profile) -> None:
    """Closed, oriented, without slivers, one body of the right genus and volume; also after the
    rounding to single precision that STL and GLB bring."""
    for points in (mesh.vertices, mesh.vertices.astype(np.float32).astype(float)):
        body = trimesh.Trimesh(points, mesh.triangles, process=True)
        assert len(body.vertices) == len(mesh.vertices)
        assert body.is_watertight
        assert body.is_winding_consistent
        assert body.nondegenerate_faces(height=1e-6).all()
        assert body.body_count == 1
        assert body.euler_number == (0 if profile.closed else 2)
    assert mesh.volume == pytest.approx(exact.volume(profile), rel=2e-3)


@pytest.mark.parametrize("profile", GRID)
def test_grid(profile: Profile) -> None:
    check(build(profile), profile)


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(parts())
def test_any_thread(profile: Profile) -> None:
    check(build(profile), profile)


def test_usual_mandrel_is_light() -> None:
    profile = plug(12, 0.8, 3, length=10)
    fine, light = build(profile), build(profile, chord=0.05)
    assert len(fine.triangles) < 12_000
    assert len(light.triangles) < len(fine.triangles) / 2
    check(light, profile)


def test_chord() -> None:
    """Sagitta of a regular polygon: r·(1 − cos(π/n))."""
    for r in (1.0, 6.0, 15.0):
        n = segments(r, 0.01)
        assert r * (1 - math.cos(math.pi / n)) <= 0.01 < r * (1 - math.cos(math.pi / (n - 1)))


def test_chord_must_be_positive() -> None:
    with pytest.raises(ValueError, match="above 0"):
        build(plug(), chord=0.0)


def surface(thread: ThreadForm, xi: np.ndarray) -> np.ndarray:
    """Radius of an infinite thread over ξ, from its definition: on the pitch cylinder ridge and
    groove are half a pitch wide, flanks rise at 60°, crest and root cut them off."""
    from_ridge = np.abs((xi + thread.pitch / 2) % thread.pitch - thread.pitch / 2)
    flank = math.sqrt(3) * (thread.pitch / 4 - from_ridge)
    sign = 1 if thread.external else -1
    r = thread.pitch_diameter / 2 + sign * flank
    return np.clip(r, *sorted((thread.crest_diameter / 2, thread.root_diameter / 2)))


@pytest.mark.parametrize("external", [True, False])
def test_groove_against_brute_integration(external: bool) -> None:
    """½·r² summed over a fine (θ, z) grid of min/max(thread, end cones)."""
    profile = plug(9, 0.75, 2, length=3) if external else cup(9, 0.75, 2, length=3)
    face = next(f for f in profile.faces if f.thread is not None)
    thread, crest = face.thread, face.r0
    assert thread is not None
    low, high = sorted((face.z0, face.z1))
    root, sign = thread.root_diameter / 2, 1 if external else -1
    n = 2000
    z = low - 2 + (high - low + 4) * (np.arange(n) + 0.5) / n
    theta = math.tau * (np.arange(360) + 0.5) / 360
    # plug() and cup() set the rear face at 30° and the front one at 45° to the axis.
    drop = np.maximum((low - z) * math.tan(math.radians(30)), z - high)
    cone = crest - sign * np.maximum(0, drop)
    height = surface(thread, z[:, None] - thread.lead * theta / math.tau)
    body = np.minimum(height, cone[:, None]) if external else np.maximum(height, cone[:, None])
    # Below the root the cones stand as they are, with and without a thread.
    groove = sign * (cone[:, None] ** 2 - body**2) / 2
    brute = groove.mean() * math.tau * (high - low + 4)
    plain = Profile(tuple(replace(f, thread=None) for f in profile.faces), profile.closed)
    assert sign * (crest - root) > 0
    assert exact.volume(plain) - exact.volume(profile) == pytest.approx(brute, rel=2e-4)


@pytest.mark.cad
def test_mesh_is_the_same_thread_as_the_solid() -> None:
    """Phase, hand and lead: mesh vertices lie on the solid, but for the mean-chord factor."""
    import cadquery as cq

    from mandrelgen.geometry.kernel.build import build as build_solid

    for profile in (plug(9, 0.75, 2, left=True, length=2), cup(9, 0.75, 1, length=2)):
        (shell,) = build_solid(profile).Shells()
        vertices = build(profile).vertices
        for x, y, z in vertices[:: len(vertices) // 12].tolist():
            assert cq.Vertex.makeVertex(x, y, z).distance(shell) < 0.008


@pytest.mark.parametrize("flats", [Flats(-4, 0, 13), Flats(-30, -22, 9), Flats(-7, -3, 9.5)])
def test_flats(flats: Flats) -> None:
    profile = plug(11, 0.8, 2, flats=flats)
    mesh = build(profile)
    body = trimesh.Trimesh(mesh.vertices, mesh.triangles, process=False)
    assert body.is_watertight
    assert body.is_winding_consistent
    assert mesh.volume == pytest.approx(exact.volume(profile), rel=2e-3)


def test_flats_on_a_cone_against_brute_integration() -> None:
    outer = (Stretch(feature="cone", z0=0, z1=10, d0=12, d1=8),)
    cut = exact.volume(chain(outer, (), Flats(2, 10, 9)))
    z = 2 + 8 * (np.arange(20_000) + 0.5) / 20_000
    r = np.maximum(6 - 0.2 * z, 4.5)
    lost = (2 * (r * r * np.arccos(4.5 / r) - 4.5 * np.sqrt(r * r - 4.5**2))).mean() * 8
    assert exact.volume(chain(outer, ())) - cut == pytest.approx(lost, rel=1e-6)
