"""Mesh -> binary STL bytes, mm."""

from __future__ import annotations

import struct

import numpy as np

from mandrelgen.geometry.mesh.build import Mesh

_FACET = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])


def write(mesh: Mesh, header: str) -> bytes:
    """Binary STL, little-endian, mm. ``header`` is cut to 80 bytes of ASCII; readers take a file
    that begins with "solid" for the text form, so such a header gets "STL " before it."""
    head = header.encode("ascii", "replace")
    if head.lstrip().lower().startswith(b"solid"):
        head = b"STL " + head
    corners = mesh.vertices[mesh.triangles]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    facets = np.zeros(len(corners), dtype=_FACET)
    facets["normal"] = normals / np.linalg.norm(normals, axis=1, keepdims=True)
    facets["corners"] = corners
    return head[:80].ljust(80) + struct.pack("<I", len(corners)) + bytes(facets.tobytes())
