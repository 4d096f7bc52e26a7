"""A plate of pieces as one mesh of several closed shells; marks and holes are cut by booleans."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from mandrelgen.geometry.mesh.build import Mesh, build, mean_factor, segments
from mandrelgen.workshop.printing.plate import HoleBlock, Notches, Plate, PlatePiece


def build_plate(plate: Plate, chord: float = 0.01) -> Mesh:
    """Every piece and block of the plate at its place, all standing on z = 0, in one mesh.
    Raises ValueError if a thread cannot be modelled or a cut fails."""
    meshes = [build_piece(p, chord) for p in plate.pieces]
    meshes += [_block(b, chord) for b in plate.blocks]
    counts = np.cumsum([0, *(len(m.vertices) for m in meshes)])
    return Mesh(
        np.vstack([m.vertices for m in meshes]),
        np.vstack([m.triangles + n for m, n in zip(meshes, counts, strict=False)]),
    )


def build_piece(piece: PlatePiece, chord: float = 0.01) -> Mesh:
    """One piece on z = 0 at its place, its marks cut."""
    mesh = build(piece.profile, chord)
    if piece.marks is not None:
        mesh = _mark(mesh, piece.marks, piece.name)
    low = float(mesh.vertices[:, 2].min())
    return Mesh(mesh.vertices + np.array([piece.x, piece.y, -low]), mesh.triangles)


def solid_of(mesh: Mesh) -> Any:
    """The mesh as a manifold for booleans. Raises ValueError if it is none."""
    import manifold3d

    # Copies: arrays that came out of a boolean are read-only, which the library refuses.
    body = manifold3d.Manifold(
        manifold3d.Mesh64(
            np.array(mesh.vertices, order="C"),
            np.array(mesh.triangles, dtype=np.uint64, order="C"),
        )
    )
    if body.is_empty() or body.status() != manifold3d.Error.NoError:
        raise ValueError(f"no closed mesh: {body.status()}")
    return body


def mesh_of(body: Any) -> Mesh:
    """Back from a manifold."""
    out = body.to_mesh64()
    return Mesh(
        np.asarray(out.vert_properties, dtype=np.float64)[:, :3],
        np.asarray(out.tri_verts, dtype=np.int64),
    )


def _mark(mesh: Mesh, marks: Notches, name: str) -> Mesh:
    """A long groove to begin at, then ``count`` grooves of half its height."""
    import manifold3d

    body = solid_of(mesh)
    step = math.degrees(2.2 * marks.wide / marks.radius)
    half = (marks.z0 + marks.z1) / 2
    for k in range(marks.count + 1):
        low = marks.z0 if k == 0 else half
        box = manifold3d.Manifold.cube((2 * marks.deep, marks.wide, marks.z1 - low))
        box = box.translate((marks.radius - marks.deep, -marks.wide / 2, low))
        # An odd angle keeps the cut's planes off the mesh's own columns.
        body = body - box.rotate((0.0, 0.0, 1.37 + k * step))
    if body.is_empty() or body.status() != manifold3d.Error.NoError:
        raise ValueError(f"{name}: the marks cannot be cut")
    return mesh_of(body)


def _block(block: HoleBlock, chord: float) -> Mesh:
    import manifold3d

    body = manifold3d.Manifold.cube((block.length, block.width, block.height))
    body = body.translate((-block.length / 2, -block.width / 2, 0.0))
    for d, x in block.holes:
        count = segments(d / 2, chord)
        radius = d / 2 * mean_factor(count)
        hole = manifold3d.Manifold.cylinder(block.height + 2, radius, radius, count)
        body = body - hole.translate((x, 0.0, -1.0))
    return mesh_of(body.translate((block.x, block.y, 0.0)))
