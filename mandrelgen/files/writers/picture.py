"""A shaded picture of the part: our own painter, no display and no graphics card."""

from __future__ import annotations

import io
import math

import numpy as np
from numpy.typing import NDArray

from mandrelgen.files.writers.picture_view import HEIGHT, WIDTH, scale, turned
from mandrelgen.geometry.mesh.build import Mesh
from mandrelgen.paper.drawing.part_picture import LIGHT

# Painted larger by this and scaled down, so that edges are smooth.
OVER = 2
DARK, BRIGHT = 60.0, 245.0
# Triangles longer than this share of the part are cut, so that sorting by depth is right.
LONGEST = 1 / 40
# Neighbours that meet at less than this, radians, are one smooth surface; a flank is another.
SMOOTH = 0.5
# A triangle whose corners differ by more greys than this is cut, so that no facet shows.
STEPS = 7.0


def write(mesh: Mesh) -> bytes:
    """``mesh`` seen from the nose's side as PNG bytes, grey on white, filling the picture."""
    from PIL import Image, ImageDraw

    corners, shades = _cut(*_seen(mesh))
    flat, shade = _projected(corners, shades)
    image = Image.new("L", (WIDTH * OVER, HEIGHT * OVER), 255)
    draw = ImageDraw.Draw(image)
    for triangle, grey in zip(flat.reshape(len(flat), 6).tolist(), shade.tolist(), strict=True):
        draw.polygon(triangle, fill=grey, outline=grey)
    image = image.resize((WIDTH, HEIGHT), Image.Resampling.BOX)
    stream = io.BytesIO()
    image.save(stream, "PNG", optimize=False)
    return stream.getvalue()


def _seen(mesh: Mesh) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The triangles that face the viewer: their corners turned into the picture (x right, y up,
    z towards the viewer) and the grey at each corner."""
    corners = np.asarray((mesh.vertices @ _turned())[mesh.triangles], dtype=np.float64)
    areas = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normals = _smooth(mesh.triangles, areas)
    light = np.array(LIGHT) / np.linalg.norm(LIGHT)
    shine = np.clip(normals @ light, 0.0, 1.0)
    grey = DARK + (BRIGHT - DARK) * (0.25 + 0.55 * shine + 0.2 * shine**8)
    front = areas[:, 2] > 0
    return corners[front], grey[front]


def _smooth(triangles: NDArray[np.int64], areas: NDArray[np.float64]) -> NDArray[np.float64]:
    """A direction for each corner of each triangle: the mean over the triangles that meet there
    without an edge between them. ``areas``: the triangles' normals, as long as twice their area."""
    unit = areas / np.maximum(np.linalg.norm(areas, axis=1, keepdims=True), 1e-12)
    order = np.argsort(triangles.ravel(), kind="stable")
    face = order // 3
    _, first, count = np.unique(triangles.ravel()[order], return_index=True, return_counts=True)
    # Every pair of triangles at a point: each with all of its point.
    mine = np.repeat(np.arange(len(order)), np.repeat(count, count))
    start = np.repeat(np.repeat(first, count), np.repeat(count, count))
    size = np.repeat(count, count)
    place = np.arange(len(mine)) - np.repeat(np.cumsum(size) - size, size)
    other = start + place
    near = (unit[face[mine]] * unit[face[other]]).sum(axis=1) > math.cos(SMOOTH)
    mine, other = mine[near], other[near]
    found = np.empty((len(order), 3))
    for k in range(3):
        found[order, k] = np.bincount(mine, areas[face[other], k], len(order))
    found /= np.maximum(np.linalg.norm(found, axis=1, keepdims=True), 1e-12)
    return found.reshape(-1, 3, 3)


def _turned() -> NDArray[np.float64]:
    """From the part's axes to the picture's, for points as rows."""
    return np.array(turned(), dtype=np.float64).T


def _cut(
    corners: NDArray[np.float64], greys: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Triangles halved at a side until all are short and each is of nearly one grey."""
    limit = LONGEST * float(np.ptp(corners.reshape(-1, 3), axis=0).max())
    for _ in range(12):
        sides = np.linalg.norm(corners - np.roll(corners, -1, axis=1), axis=2) / limit
        # A short side's greys do not show.
        steps = np.abs(greys - np.roll(greys, -1, axis=1)) / STEPS * (sides > 0.04)
        worth = np.maximum(sides, steps)
        cut = worth.max(axis=1) > 1.0
        if not cut.any():
            break
        # Turn each so that its worst side runs from corner 0 to corner 1, then halve that.
        start = worth[cut].argmax(axis=1)
        turn = (np.arange(len(start))[:, None], (start[:, None] + [0, 1, 2]) % 3)
        corners = np.concatenate([corners[~cut], *_halves(corners[cut][turn])])
        greys = np.concatenate([greys[~cut], *_halves(greys[cut][turn])])
    return corners, greys


def _halves(
    turned: NDArray[np.float64],
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    middle = (turned[:, 0] + turned[:, 1]) / 2
    one, two = turned.copy(), turned.copy()
    one[:, 1], two[:, 0] = middle, middle
    return one, two


def _projected(
    corners: NDArray[np.float64], greys: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """Picture points and grey of every triangle, the farthest first."""
    low = corners.reshape(-1, 3).min(axis=0)
    size = np.ptp(corners.reshape(-1, 3), axis=0)
    k = scale(size[0], size[1]) * OVER
    middle = np.array([WIDTH, HEIGHT]) * OVER / 2
    flat = (corners[:, :, :2] - low[:2] - size[:2] / 2) * np.array([k, -k]) + middle
    order = np.argsort(corners[:, :, 2].mean(axis=1))
    return flat[order], np.clip(greys.mean(axis=1)[order], 0, 255).astype(np.int64)
