"""Binary STL and GLB: read back with trimesh."""

from __future__ import annotations

import io
import json
import struct

import numpy as np
import pytest
import trimesh

from mandrelgen.files.writers import glb, stl
from mandrelgen.geometry.mesh.build import build
from tests.support.thread_parts import cup, plug


def test_stl_read_back() -> None:
    for profile in (plug(9, 0.75, 2), cup(9, 0.75, 1, through=True)):
        mesh = build(profile)
        data = stl.write(mesh, "FX-0007 A")
        # Binary STL: 80 bytes, a count, 50 bytes a facet (common description, no standard).
        assert len(data) == 84 + 50 * len(mesh.triangles)
        assert data[:80] == b"FX-0007 A".ljust(80)
        read = trimesh.load(io.BytesIO(data), file_type="stl")
        assert read.is_watertight
        assert read.is_winding_consistent
        assert read.volume == pytest.approx(mesh.volume, rel=1e-5)
        assert read.bounds == pytest.approx(
            np.array([mesh.vertices.min(axis=0), mesh.vertices.max(axis=0)]), abs=1e-5
        )


def test_stl_normals_point_outwards() -> None:
    data = stl.write(build(plug()), "x")
    facet = np.dtype([("n", "<f4", 3), ("c", "<f4", (3, 3)), ("a", "<u2")])
    facets = np.frombuffer(data, dtype=facet, offset=84)
    corners = facets["c"].astype(float)
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    assert (np.einsum("ij,ij->i", cross, facets["n"]) > 0).all()
    assert np.linalg.norm(facets["n"], axis=1) == pytest.approx(1, abs=1e-5)


@pytest.mark.parametrize("header", ["solid block", "Ø11 mandrel", "x" * 200, ""])
def test_stl_header(header: str) -> None:
    data = stl.write(build(plug(length=1)), header)
    assert not data.startswith(b"solid")
    (count,) = struct.unpack_from("<I", data, 80)
    assert len(data) == 84 + 50 * count


def test_glb_read_back() -> None:
    mesh = build(plug(9, 0.75, 2), chord=0.05)
    data = glb.write(mesh)
    # glTF 2.0: magic, version 2, total length; chunks end on 4 bytes.
    magic, version, length, json_length = struct.unpack_from("<4sIII", data)
    assert (magic, version, length) == (b"glTF", 2, len(data))
    assert json_length % 4 == 0
    assert json.loads(data[20 : 20 + json_length])["asset"]["version"] == "2.0"
    read = trimesh.load(io.BytesIO(data), file_type="glb", force="mesh")
    # glTF is in metres with y upwards.
    assert read.volume * 1e9 == pytest.approx(mesh.volume, rel=1e-4)
    assert read.bounds[:, 1] * 1e3 == pytest.approx(
        [mesh.vertices[:, 2].min(), mesh.vertices[:, 2].max()], abs=1e-4
    )
