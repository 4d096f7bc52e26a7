"""A fixture's shape for the page: a light model that turns.

The model is quantised to 16 bits: its step is a 65,535th of the part's longest side (2 µm on a
130 mm long fixture), far below the chords.
"""

from __future__ import annotations

import base64
import json
from dataclasses import replace

import numpy as np

from mandrelgen.core.frozen import dataclass
from mandrelgen.geometry.mesh.build import Mesh, build
from mandrelgen.model.half_section import outline
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.workflows.catalogue.side import model_name

# How far a chord may lie from its arc, mm: the finest that stays within MOST triangles is taken.
CHORDS = (0.1, 0.2, 0.5)
MOST = 2000
# With the coarsest chord a long thread of many starts may still pass MOST; beyond this the thread
# is shown as a plain cylinder.
FAR_TOO_MANY = 6000
_TOP = 65535


@dataclass(frozen=True, slots=True)
class Model:
    """A light model as JSON; ``name``: see `side.model_name`.

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


def model(mandrel: Mandrel) -> Model | None:
    """The light model; None if the shape cannot be meshed (an old fixture known in part only)."""
    for plain, shape in ((False, mandrel), (True, _without_threads(mandrel))):
        try:
            mesh = _light(shape)
        except ValueError:
            continue
        if plain or len(mesh.triangles) <= FAR_TOO_MANY:
            return _model(mesh, model_name(mandrel), plain and shape != mandrel)
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


def _model(mesh: Mesh, name: str, plain: bool) -> Model:
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
    return Model(name, text, len(mesh.triangles), plain)
