"""What the tests of print versions share: pens, play measured by booleans, sound meshes."""

from __future__ import annotations

import manifold3d
import numpy as np
import pytest
import trimesh

from mandrelgen.core.resources import template_path
from mandrelgen.design.gauge import Whose
from mandrelgen.geometry.mesh.build import Mesh, build
from mandrelgen.model.mandrel import ThreadForm
from mandrelgen.spec.shop import Shop
from mandrelgen.workflows.read_inputs import read_inputs
from mandrelgen.workshop.printing import coupon
from mandrelgen.workshop.printing.plate_mesh import solid_of

EMPTY = Shop.model_validate({"schema": 1})
WHOSE = Whose("heron", "cap", "mouth", "the cap's mouth")
PENS = {"heron": "bench", "wren": "bench", "bittern": "small"}
PRINTERS = ("fdm-04", "fdm-025", "resin")


def inputs_of(pen: str):
    return read_inputs(template_path(f"pens/{pen}.toml"), template_path(f"shops/{PENS[pen]}.toml"))


def spun(mesh: Mesh, grow: float = 0.0, up: float = 0.0) -> manifold3d.Manifold:
    """The mesh grown on the radius by ``grow`` and lifted: nothing of the program's own but the
    vertices."""
    v = mesh.vertices.copy()
    r = np.hypot(v[:, 0], v[:, 1])
    v[:, :2] *= ((r + grow * (r > 0)) / np.where(r > 0, r, 1.0))[:, None]
    v[:, 2] += up
    return solid_of(Mesh(v, mesh.triangles))


def measured_play(plug: Mesh, ring: Mesh, pitch: float) -> float:
    """How far the plug can grow on the radius inside the ring, mm: where the volume that both fill
    (booleans, manifold3d) comes down to zero, at the height where they clash least."""
    nut = solid_of(ring)

    def clash(grow: float, up: float) -> float:
        return (spun(plug, grow, up) ^ nut).volume()

    grow, step = -0.1 * pitch, pitch / 12
    found: dict[float, float] = {}
    while not found or min(found.values()) < 0.05 * pitch:
        grow += 0.1 * pitch
        found = {u: clash(grow, u) for u in (-1.5 - k * step for k in range(12))}
    up = min(found, key=lambda u: found[u])
    low, high = grow - 0.4 * pitch, grow + 0.2 * pitch
    for _ in range(3):  # the better the height is known, the further the plug can grow
        for _ in range(5):
            middle = (low + high) / 2
            low, high = (middle, high) if clash(middle, up) < 0.02 * pitch else (low, middle)
        step /= 2
        up = min((up - step, up, up + step), key=lambda u: clash(high, u))
        high = low + 0.5 * pitch
    near, far = low + 0.05 * pitch, low + 0.1 * pitch
    one, two = clash(near, up), clash(far, up)
    return near - one * (far - near) / (two - one)


def pair(screw: ThreadForm, nut: ThreadForm) -> tuple[Mesh, Mesh]:
    """A plug whose thread reaches through a ring of three pitches."""
    p, d = screw.pitch, screw.crest_diameter
    plug = coupon.plug_shape(screw, d + 4, 2.0, 6 * p + 2)
    return build(plug.profile()), build(coupon.ring_shape(nut, d + 8, 3 * p + 1).profile())


# ------------------------------------------------------------------ mesh quality


def assert_sound(mesh: Mesh, volume: float) -> None:
    """Closed, oriented, one shell, and the closed form's volume: manifold3d and trimesh."""
    body = solid_of(mesh)
    assert body.status() == manifold3d.Error.NoError
    assert body.volume() == pytest.approx(volume, rel=0.002)
    tri = trimesh.Trimesh(mesh.vertices, mesh.triangles, process=False)
    assert tri.is_watertight
    assert tri.is_winding_consistent
    assert tri.volume == pytest.approx(volume, rel=0.002)


def crossings(mesh: Mesh) -> int:
    """Pairs of triangles that cross without sharing a corner: edges against triangles, all that
    boxes in a grid bring together."""
    v, t = mesh.vertices, mesh.triangles
    corners = v[t]
    low, high = corners.min(axis=1), corners.max(axis=1)
    order = np.argsort(low[:, 2])
    count = 0
    tops = high[order, 2]
    bottoms = low[order, 2]
    for k, i in enumerate(order):
        near = order[k + 1 : np.searchsorted(bottoms, tops[k], side="right")]
        near = near[np.all((low[near, :2] <= high[i, :2]) & (high[near, :2] >= low[i, :2]), axis=1)]
        near = near[~np.isin(t[near], t[i]).any(axis=1)]
        if len(near):
            count += int((_pierce(corners[i][None], corners[near])
                          | _pierce(corners[near], corners[i][None])).sum())  # fmt: skip
    return count


def _pierce(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """Whether an edge of ``a`` passes through the inside of ``b`` (Möller and Trumbore)."""
    hit = np.zeros(max(len(a), len(b)), dtype=bool)
    e1, e2 = b[:, 1] - b[:, 0], b[:, 2] - b[:, 0]
    for k in range(3):
        start, way = a[:, k], a[:, (k + 1) % 3] - a[:, k]
        h = np.cross(way, e2)
        det = np.einsum("ij,ij->i", np.broadcast_to(e1, h.shape), h)
        ok = np.abs(det) > 1e-12
        inv = 1 / np.where(ok, det, 1.0)
        s = start - b[:, 0]
        u = np.einsum("ij,ij->i", np.broadcast_to(s, h.shape), h) * inv
        q = np.cross(s, e1)
        w = np.einsum("ij,ij->i", np.broadcast_to(way, q.shape), q) * inv
        x = np.einsum("ij,ij->i", np.broadcast_to(e2, q.shape), q) * inv
        eps = 1e-7
        hit |= ok & (u > eps) & (w > eps) & (u + w < 1 - eps) & (x > eps) & (x < 1 - eps)
    return hit
