"""Do triangles of a mesh cross each other? Being closed doesn't say so."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Indices = npt.NDArray[np.int64]

# Triangles compared with all others at a time: keeps the memory small.
_CHUNK = 256
# Two triangles cross if an edge passes through the other's inside by more than this share of it.
_INSIDE = 1e-7


def crossings(vertices: Floats, triangles: Indices) -> int:
    """How many pairs of triangles without a common corner cross: an edge of one passes through
    the other's inside. Neighbours, which share a corner, are not looked at."""
    corners = vertices[triangles]
    return sum(int(_cross(corners, pairs).sum()) for pairs in _near(corners, triangles))


def _near(corners: Floats, triangles: Indices) -> Iterator[Indices]:
    """Pairs whose boxes overlap and who share no corner."""
    low, high = corners.min(axis=1), corners.max(axis=1)
    order = np.argsort(low[:, 2])
    low, high = low[order], high[order]
    for i in range(0, len(order), _CHUNK):
        here = slice(i, min(i + _CHUNK, len(order)))
        # Sorted by their lowest z, partners lie between here and the highest z of this chunk.
        end = int(np.searchsorted(low[:, 2], high[here, 2].max(), side="right"))
        there = slice(i, end)
        hit = np.ones((here.stop - i, end - i), dtype=bool)
        for k in range(3):
            hit &= low[here, None, k] <= high[None, there, k]
            hit &= high[here, None, k] >= low[None, there, k]
        a, b = np.nonzero(hit)
        pairs = np.stack([order[a[b > a] + i], order[b[b > a] + i]], axis=1)
        shared = (triangles[pairs[:, 0]][:, :, None] == triangles[pairs[:, 1]][:, None, :]).any(
            axis=(1, 2)
        )
        yield pairs[~shared]


def _cross(corners: Floats, pairs: Indices) -> npt.NDArray[np.bool_]:
    a, b = corners[pairs[:, 0]], corners[pairs[:, 1]]
    found = np.zeros(len(pairs), dtype=bool)
    for k in range(3):
        found |= _pierces(a[:, k], a[:, (k + 1) % 3], b)
        found |= _pierces(b[:, k], b[:, (k + 1) % 3], a)
    return found


def _pierces(start: Floats, end: Floats, triangle: Floats) -> npt.NDArray[np.bool_]:
    """Does the edge pass through the triangle's inside? (Möller and Trumbore's equations.)"""
    along = end - start
    e1, e2 = triangle[:, 1] - triangle[:, 0], triangle[:, 2] - triangle[:, 0]
    p = np.cross(along, e2)
    det = np.einsum("ij,ij->i", e1, p)
    scale = np.linalg.norm(e1, axis=1) * np.linalg.norm(p, axis=1)
    flat = np.abs(det) <= 1e-12 * scale
    safe = np.where(flat, 1.0, det)
    t = start - triangle[:, 0]
    q = np.cross(t, e1)
    u = np.einsum("ij,ij->i", t, p) / safe
    v = np.einsum("ij,ij->i", along, q) / safe
    w = np.einsum("ij,ij->i", e2, q) / safe
    inside = (u > _INSIDE) & (v > _INSIDE) & (u + v < 1 - _INSIDE)
    return np.asarray(~flat & inside & (w > _INSIDE) & (w < 1 - _INSIDE))
