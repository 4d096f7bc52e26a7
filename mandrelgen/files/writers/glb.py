"""Mesh -> binary glTF 2.0 bytes, for viewers: metres and y up, as glTF wants it."""

from __future__ import annotations

import json
import math
import struct
from typing import Any

import numpy as np

from mandrelgen.geometry.mesh.build import Mesh

_FLOAT, _UINT = 5126, 5125
_ARRAY, _ELEMENTS = 34962, 34963
_STEEL = {
    "baseColorFactor": [0.6, 0.62, 0.65, 1],
    "metallicFactor": 0.6,
    "roughnessFactor": 0.45,
}


def write(mesh: Mesh) -> bytes:
    """A GLB of one flat-shaded steel-grey mesh. Positions stay in mm with the axis along z; the
    node scales them to metres and turns the axis upright."""
    points = mesh.vertices.astype("<f4")
    binary = points.tobytes() + mesh.triangles.astype("<u4").tobytes()
    half = math.sqrt(0.5)
    document = {
        "asset": {"version": "2.0", "generator": "mandrelgen"},
        "scene": 0,
        "scenes": [{"nodes": [0]}],
        "nodes": [{"mesh": 0, "rotation": [-half, 0, 0, half], "scale": [0.001] * 3}],
        "meshes": [{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1, "material": 0}]}],
        "materials": [{"pbrMetallicRoughness": _STEEL}],
        **_tables(points, int(mesh.triangles.size), len(binary)),
    }
    text = json.dumps(document, separators=(",", ":")).encode()
    text += b" " * (-len(text) % 4)
    return (
        struct.pack("<4sII", b"glTF", 2, 28 + len(text) + len(binary))
        + struct.pack("<I4s", len(text), b"JSON")
        + text
        + struct.pack("<I4s", len(binary), b"BIN\0")
        + binary
    )


def _tables(points: np.ndarray, corners: int, size: int) -> dict[str, Any]:
    """Where points and triangles stand in the ``size`` bytes behind the text."""
    return {
        "accessors": [
            {
                "bufferView": 0,
                "componentType": _FLOAT,
                "count": len(points),
                "type": "VEC3",
                "min": [float(v) for v in points.min(axis=0)],
                "max": [float(v) for v in points.max(axis=0)],
            },
            {"bufferView": 1, "componentType": _UINT, "count": corners, "type": "SCALAR"},
        ],
        "bufferViews": [
            {"buffer": 0, "byteLength": points.nbytes, "target": _ARRAY},
            {
                "buffer": 0,
                "byteOffset": points.nbytes,
                "byteLength": size - points.nbytes,
                "target": _ELEMENTS,
            },
        ],
        "buffers": [{"byteLength": size}],
    }
