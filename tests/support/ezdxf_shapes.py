"""What ezdxf's own drawing add-on makes of a DXF, in drawing order."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import mandrelgen.files.dxf_setup  # noqa: F401  (before ezdxf: no file of the user takes part)

import ezdxf  # isort: skip
from ezdxf.addons.drawing.backend import Backend  # isort: skip
from ezdxf.addons.drawing.config import (  # isort: skip
    Configuration,
    LinePolicy,
    TextPolicy,
)
from ezdxf.addons.drawing.frontend import Frontend  # isort: skip
from ezdxf.addons.drawing.properties import RenderContext  # isort: skip


@dataclass(frozen=True)
class Shape:
    """A chain of points in the drawing's mm (curves cut into straight pieces), or a text."""

    layer: str
    points: tuple[tuple[float, float], ...]
    filled: bool = False
    text: str = ""
    height: float = 0.0
    turn: float = 0.0
    colour: str = ""


class _Gathering(Backend):  # type: ignore[misc]  # ezdxf is not checked
    """Keeps what it is told to draw."""

    def __init__(self) -> None:
        super().__init__()
        self.shapes: list[Shape] = []

    def _keep(self, points: Iterable[Any], properties: Any, filled: bool = False) -> None:
        chain = tuple((p.x, p.y) for p in points)
        self.shapes.append(Shape(properties.layer, chain, filled, colour=properties.color))

    def set_background(self, color: str) -> None:
        """Nothing is painted."""

    def clear(self) -> None:
        """Nothing is painted."""

    def draw_point(self, pos: Any, properties: Any) -> None:
        self._keep([pos], properties)

    def draw_line(self, start: Any, end: Any, properties: Any) -> None:
        self._keep([start, end], properties)

    def draw_path(self, path: Any, properties: Any) -> None:
        self._keep(path.flattening(0.001), properties)

    def draw_filled_paths(self, paths: Iterable[Any], properties: Any) -> None:
        for path in paths:
            self._keep(path.flattening(0.001), properties, filled=True)

    def draw_filled_polygon(self, points: Any, properties: Any) -> None:
        corners = points.vertices()
        self._keep([*corners, corners[0]], properties, filled=True)

    def draw_image(self, image_data: Any, properties: Any) -> None:
        raise AssertionError("a drawing holds no images")


def shapes(data: bytes, lettering: bool = False) -> list[Shape]:
    """Every line, arc, section line and filled shape of the model space; ``lettering``: the texts
    instead, those in the pictures of dimensions too."""
    doc = ezdxf.read(io.StringIO(data.decode("utf-8")))
    if lettering:
        return list(_texts(doc.modelspace()))
    config = Configuration(
        line_policy=LinePolicy.SOLID, text_policy=TextPolicy.IGNORE, max_flattening_distance=0.001
    )
    found = _Gathering()
    Frontend(RenderContext(doc), found, config).draw_layout(doc.modelspace())
    return found.shapes


def _texts(entities: Iterable[Any]) -> Iterator[Shape]:
    for e in entities:
        if e.dxftype() == "DIMENSION":
            yield from _texts(e.get_geometry_block())
        elif e.dxftype() == "TEXT":
            at = e.get_placement()[1]
            d = e.dxf
            yield Shape(
                layer=d.layer,
                points=((at.x, at.y),),
                filled=False,
                text=d.text,
                height=d.height,
                turn=d.rotation,
            )
