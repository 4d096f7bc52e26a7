"""A fixture's shape for the page: a light model that turns, and a plain side view.

The model is quantised to 16 bits: its step is a 65,535th of the part's longest side (2 µm on a
130 mm long fixture), far below the chords.
"""

from __future__ import annotations

import base64
import hashlib
import json
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from mandrelgen.files.writers.picture import shaded_width
from mandrelgen.geometry.mesh.build import Mesh, build
from mandrelgen.model.half_section import outline
from mandrelgen.model.mandrel import Mandrel, Stretch

# How far a chord may lie from its arc, mm: the finest that stays within MOST triangles is taken.
CHORDS = (0.1, 0.2, 0.5)
MOST = 2000
# With the coarsest chord a long thread of many starts may still pass MOST; beyond this the thread
# is shown as a plain cylinder.
FAR_TOO_MANY = 6000
_TOP = 65535


@dataclass(frozen=True, slots=True)
class Model:
    """A light model as JSON; ``name`` is a hash of what is in it.

    ``plain``: the threads are shown as cylinders at their crest.
    """

    name: str
    text: str
    triangles: int
    plain: bool

    @property
    def script(self) -> bytes:
        """As a classic script, for a page that may not fetch."""
        return f'mandrelgenModel("{self.name}",{self.text});\n'.encode()


@dataclass(frozen=True, slots=True, kw_only=True)
class SideView:
    """Polygons and lines in mm as SVG coordinates, x along the axis; ``box`` is the view box."""

    box: str
    body: str
    edges: tuple[str, ...]
    bores: tuple[str, ...]
    roots: tuple[str, ...]
    axis: str


def length(mandrel: Mandrel) -> float:
    """From end to end, mm."""
    return mandrel.outer[-1].z1 - mandrel.outer[0].z0


def picture_width(mandrel: Mandrel, side: SideView | None) -> float:
    """How many mm the picture of a mandrel is wide: its side view, else its shaded picture."""
    if side is not None:
        return float(side.box.split()[2])
    return shaded_width([(z, d) for s in mandrel.outer for z, d in ((s.z0, s.d0), (s.z1, s.d1))])


def model(mandrel: Mandrel) -> Model | None:
    """The light model; None if the shape cannot be meshed (an old fixture known in part only)."""
    for plain, shape in ((False, mandrel), (True, _without_threads(mandrel))):
        try:
            mesh = _light(shape)
        except ValueError:
            continue
        if plain or len(mesh.triangles) <= FAR_TOO_MANY:
            return _model(mesh, plain and shape != mandrel)
    return None


def _light(mandrel: Mandrel) -> Mesh:
    profile = outline(mandrel)
    for chord in CHORDS:
        mesh = build(profile, chord)
        if len(mesh.triangles) <= MOST:
            break
    return mesh


def _without_threads(mandrel: Mandrel) -> Mandrel:
    return replace(
        mandrel,
        outer=tuple(replace(s, thread=None) for s in mandrel.outer),
        inner=tuple(replace(s, thread=None) for s in mandrel.inner),
    )


def _model(mesh: Mesh, plain: bool) -> Model:
    low = mesh.vertices.min(axis=0)
    step = float(np.ptp(mesh.vertices, axis=0).max()) / _TOP
    points = np.rint((mesh.vertices - low) / step).astype("<u2")
    value = {
        "step": round(step, 9),
        "low": [round(float(v), 6) for v in low],
        "points": base64.b64encode(points.tobytes()).decode("ascii"),
        "triangles": base64.b64encode(mesh.triangles.astype("<u2").tobytes()).decode("ascii"),
        "plain": plain,
    }
    text = json.dumps(value, separators=(",", ":"))
    name = hashlib.sha256(text.encode()).hexdigest()[:16]
    return Model(name, text, len(mesh.triangles), plain)


def side_view(mandrel: Mandrel) -> SideView:
    """The outside seen from the side, bores as hidden lines, a thread's root as a thin line."""
    z0, z1 = mandrel.outer[0].z0, mandrel.outer[-1].z1
    radius = max(max(s.d0, s.d1) for s in mandrel.outer) / 2
    edge = 0.04 * (z1 - z0)
    top = [p for s in mandrel.outer for p in ((s.z0, s.d0 / 2), (s.z1, s.d1 / 2))]
    body = [(z, -r) for z, r in top] + [(z, r) for z, r in reversed(top)]
    threads = [s for s in (*mandrel.outer, *mandrel.inner) if s.thread is not None]
    low, high, height = z0 - edge, z1 + edge, radius + edge
    return SideView(
        box=f"{low:.3f} {-height:.3f} {high - low:.3f} {2 * height:.3f}",
        body=_points(body),
        edges=tuple(_across(b.z0, max(a.d1, b.d0)) for a, b in pairwise(mandrel.outer)),
        bores=tuple(line for s in mandrel.inner for line in _bore(s, z0, z1)),
        roots=tuple(line for s in threads for line in _roots(s)),
        axis=_points([(low, 0.0), (high, 0.0)]),
    )


def _points(points: list[tuple[float, float]]) -> str:
    return " ".join(f"{x:.3f},{y:.3f}" for x, y in points)


def _across(z: float, diameter: float) -> str:
    """An edge seen from the side."""
    return _points([(z, -diameter / 2), (z, diameter / 2)])


def _bore(s: Stretch, z0: float, z1: float) -> list[str]:
    """A stretch of a bore as hidden lines; its mouth lies in the outline."""
    sides = [_points([(s.z0, k * s.d0 / 2), (s.z1, k * s.d1 / 2)]) for k in (-1, 1)]
    ends = [(z, d) for z, d in ((s.z0, s.d0), (s.z1, s.d1)) if z0 < z < z1]
    return [*sides, *(_across(z, d) for z, d in ends)]


def _roots(s: Stretch) -> list[str]:
    assert s.thread is not None
    r = s.thread.root_diameter / 2
    return [_points([(s.z0, k * r), (s.z1, k * r)]) for k in (-1, 1)]
