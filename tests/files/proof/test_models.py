"""Planted faults in models: another thread, another size, open, turned or crossing triangles; and
the proof's own geometry against stereometry, trimesh and manifold3d.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
import trimesh

from mandrelgen.files.proof import kernel, meshes
from mandrelgen.files.proof.crossing import crossings
from mandrelgen.files.proof.outline import revolved
from mandrelgen.model.mandrel import Mandrel
from tests.support.proving import CUP, SEVERAL, SPIGOTTED, faults, only, other, package, with_thread

FEWER = with_thread(lambda t: replace(t, starts=t.starts - 1))
MIRRORED = with_thread(lambda t: replace(t, left_hand=not t.left_hand))


@pytest.mark.parametrize("change", [FEWER, MIRRORED], ids=["a start dropped", "the wrong hand"])
@pytest.mark.parametrize("fmt", ["stl", "3mf"])
def test_a_mesh_with_another_thread_is_found_without_the_kernel(
    change: Callable[[Mandrel], Mandrel], fmt: str
) -> None:
    expected, _ = package(SEVERAL)
    said = faults(expected, other(SEVERAL, change, fmt))
    assert "expected 6 edges (3 starts, lead 2.4 mm, right hand)" in said


def test_the_wrong_hand_of_an_internal_thread_is_found_in_the_mesh() -> None:
    expected, _ = package(CUP)
    assert "right hand" in faults(expected, other(CUP, MIRRORED, "stl"))


@pytest.mark.cad
@pytest.mark.parametrize(
    ("change", "words"),
    [
        (FEWER, ("thread, starts: expected 3, found 2", "thread, lead: expected 2.4")),
        (MIRRORED, ("thread, hand: expected right, found left",)),
        (
            with_thread(lambda t: replace(t, pitch_diameter=t.pitch_diameter - 0.01)),
            ("thread, pitch diameter: expected", "volume: expected"),
        ),
    ],
    ids=["a start dropped", "the wrong hand", "a pitch diameter 0.01 mm off"],
)
def test_a_solid_with_another_thread_is_found_by_the_deep_proof(
    change: Callable[[Mandrel], Mandrel], words: tuple[str, ...]
) -> None:
    expected, _ = package(SEVERAL)
    said = faults(expected, other(SEVERAL, change, "step"), kernel.prove)
    for text in words:
        assert text in said


@pytest.mark.cad
def test_a_solid_without_its_thread_is_found_without_the_kernel() -> None:
    expected, _ = package(SEVERAL)
    _, _, plain = only(SEVERAL, "_plain.step")
    _, _, threaded = only(SEVERAL, ".step")
    said = faults(expected, {"a.step": plain, "a_plain.step": threaded})
    assert "a.step thread: expected 6 or more helical faces, found 0" in said
    assert "a_plain.step helical faces: expected 0" in said
    assert "threads in the section" in faults(expected, {"a.step": plain}, kernel.prove)


def test_a_model_of_another_size_is_found_by_id() -> None:
    """The spigot 0.05 mm too large, in every model."""
    expected, _ = package(SPIGOTTED)
    assert any(s.feature == "spigot1" for s in expected.mandrel.outer)

    def larger(m: Mandrel) -> Mandrel:
        grown = [
            replace(s, d0=s.d0 + 0.05, d1=s.d1 + 0.05) if s.feature == "spigot1" else s
            for s in m.outer
        ]
        return replace(m, outer=tuple(grown))

    files = other(SPIGOTTED, larger, "stl", "3mf", "step", "step-plain")
    said = faults(expected, files)
    for name in files:
        assert f"{name} spigot1.diameter: expected" in said


def test_an_outline_that_is_not_at_mid_limits_is_found() -> None:
    expected, _ = package(SPIGOTTED)

    def looser(m: Mandrel) -> Mandrel:
        wide = [
            replace(c, upper=(c.upper or 0.0) + 0.01)
            if c.id in ("spigot1.diameter", "shank.length")
            else c
            for c in m.characteristics
        ]
        return replace(m, characteristics=tuple(wide))

    said = faults(expected, other(SPIGOTTED, looser, "outline"))
    for fault in ("spigot1.diameter: expected", "shank.length: expected", "volume of revolution"):
        assert fault in said
    nominal = other(SPIGOTTED, lambda m: replace(m, characteristics=()), "outline")
    c = expected.mandrel.characteristic("spigot1.diameter")
    middle = ((c.lower or 0.0) + (c.upper or 0.0)) / 2
    assert middle != c.nominal
    assert f"spigot1.diameter: expected {middle:g} mm, the middle" in faults(expected, nominal)


@pytest.mark.parametrize("keep", [-50, -1, 83, 84, 1000])
def test_a_truncated_stl_is_found(keep: int) -> None:
    expected, file, data = only(CUP, ".stl")
    assert "bytes for" in faults(expected, {file: data[:keep]})


def test_an_stl_with_a_hole_or_a_turned_triangle_is_found() -> None:
    expected, file, data = only(CUP, ".stl")
    count = int.from_bytes(data[80:84], "little")
    hole = data[:80] + (count - 1).to_bytes(4, "little") + data[84:-50]
    assert "edges without their partner: expected 0, found 3" in faults(expected, {file: hole})
    facets = np.frombuffer(data, dtype=meshes._FACET, offset=84).copy()
    facets["corners"][7] = facets["corners"][7][::-1]
    turned = data[:84] + facets.tobytes()
    assert "edges without their partner" in faults(expected, {file: turned})


def test_a_half_section_turned_round_has_the_volume_of_the_body() -> None:
    """Elementary stereometry: cylinder π r² h, cone π r² h / 3, square ring by Pappus and Guldin's
    theorem 2π R · area."""
    assert revolved([(0, 0), (0, 3), (5, 3), (5, 0)]) == pytest.approx(math.pi * 45)
    assert revolved([(0, 0), (0, 3), (6, 0)]) == pytest.approx(math.pi * 18)
    assert revolved([(0, 4), (0, 6), (2, 6), (2, 4)]) == pytest.approx(math.tau * 5 * 4)


def test_closed_meshes_are_told_from_open_ones_as_trimesh_does() -> None:
    for mesh in (trimesh.creation.icosphere(), trimesh.creation.annulus(1, 2, 3)):
        faces = mesh.faces.astype(np.int64)
        assert meshes.loose_edges(faces, len(mesh.vertices)) == 0
        assert mesh.is_watertight
        cut = faces[1:]
        assert meshes.loose_edges(cut, len(mesh.vertices)) == 3
        assert not trimesh.Trimesh(mesh.vertices, cut, process=False).is_watertight


@pytest.mark.parametrize(("apart", "cross"), [(0.75, True), (1.7, False)])
def test_crossing_triangles_are_found_in_closed_meshes(apart: float, cross: bool) -> None:
    """Two cubes turned against each other; manifold3d says whether they have a part in common."""
    import manifold3d

    one = manifold3d.Manifold.cube((1, 1, 1), True)
    two = one.rotate((20, 30, 40)).translate((0.1, 0.2, apart))
    assert ((one ^ two).volume() > 0) == cross
    bodies = [b.to_mesh() for b in (one, two)]
    count = len(bodies[0].vert_properties)
    vertices = np.concatenate([b.vert_properties[:, :3] for b in bodies]).astype(np.float64)
    faces = np.concatenate([bodies[0].tri_verts, bodies[1].tri_verts + count]).astype(np.int64)
    assert meshes.loose_edges(faces, len(vertices)) == 0
    assert (crossings(vertices, faces) > 0) == cross


@pytest.mark.cad
def test_a_mesh_that_crosses_itself_fails_the_deep_proof() -> None:
    expected, file, data = only(CUP, ".stl")
    facets = np.frombuffer(data, dtype=meshes._FACET, offset=84).copy()
    corners = facets["corners"].reshape(-1, 3)
    # One corner of the shank pushed through the opposite wall: still closed.
    at = corners[int(np.argmax(np.hypot(corners[:, 0], corners[:, 1])))].copy()
    corners[(corners == at).all(axis=1)] *= np.float32([-1.5, -1.5, 1.0])
    facets["corners"] = corners.reshape(-1, 3, 3)
    said = faults(expected, {file: data[:84] + facets.tobytes()}, kernel.prove)
    assert "crossing triangles" in said
