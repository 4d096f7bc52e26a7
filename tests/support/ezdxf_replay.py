"""The drawing document painted by ezdxf's own drawing add-on: the judge of our painter.

The add-on decomposes any DXF (dimension blocks, line types, hatches); its ``draw_text`` is no
documented hook, but it lets the string itself reach the canvas.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from mandrelgen.files.writers.pdf.replay import on_paper

from mandrelgen.files.writers.pdf.canvas import FONT_NAME, font_size
from mandrelgen.paper.drawing.model import Sheet
from mandrelgen.paper.drawing.text_width import CAP_UNITS, DESCENDER_UNITS, X_UNITS, width_of

from ezdxf.addons.drawing.backend import Backend  # isort: skip  (after ezdxf_quiet)
from ezdxf.addons.drawing.config import (  # isort: skip
    BackgroundPolicy,
    ColorPolicy,
    Configuration,
    LinePolicy,
)
from ezdxf.addons.drawing.frontend import UniversalFrontend  # isort: skip
from ezdxf.addons.drawing.pipeline import RenderPipeline2d  # isort: skip
from ezdxf.addons.drawing.properties import RenderContext  # isort: skip
from ezdxf.addons.drawing.text_renderer import TextRenderer  # isort: skip
from ezdxf.fonts.font_measurements import FontMeasurements  # isort: skip
from ezdxf.path import Command  # isort: skip


class CanvasBackend(Backend):  # type: ignore[misc]  # ezdxf is not checked
    """Paints on a reportlab canvas whose units are the drawing's mm (scaled by the caller)."""

    def __init__(self, canvas: Any, unit: float) -> None:
        super().__init__()
        self.canvas = canvas
        # Line widths are paper mm; the canvas is scaled by ``unit`` paper mm for each drawing mm.
        self.unit = unit

    def _pen(self, properties: Any) -> None:
        self.canvas.setLineWidth(properties.lineweight / self.unit)
        self.canvas.setStrokeColorRGB(0, 0, 0)
        self.canvas.setFillColorRGB(0, 0, 0)

    def set_background(self, color: str) -> None:
        """Paper is white already."""

    def draw_point(self, pos: Any, properties: Any) -> None:
        """A round dot as wide as the line."""
        self._pen(properties)
        r = properties.lineweight / self.unit / 2
        self.canvas.circle(pos.x, pos.y, r, stroke=0, fill=1)

    def draw_line(self, start: Any, end: Any, properties: Any) -> None:
        """A straight line."""
        self._pen(properties)
        self.canvas.line(start.x, start.y, end.x, end.y)

    def draw_path(self, path: Any, properties: Any) -> None:
        """Lines and Bézier curves, unfilled."""
        self._pen(properties)
        self.canvas.drawPath(self._path(path), stroke=1, fill=0)

    def draw_filled_paths(self, paths: Iterable[Any], properties: Any) -> None:
        """Filled paths, even-odd."""
        self._pen(properties)
        for path in paths:
            self.canvas.drawPath(self._path(path), stroke=0, fill=1, fillMode=0)

    def draw_filled_polygon(self, points: Any, properties: Any) -> None:
        """A filled polygon."""
        self._pen(properties)
        vertices = points.vertices()
        if len(vertices) < 3:
            return
        p = self.canvas.beginPath()
        p.moveTo(vertices[0].x, vertices[0].y)
        for v in vertices[1:]:
            p.lineTo(v.x, v.y)
        p.close()
        self.canvas.drawPath(p, stroke=0, fill=1)

    def draw_image(self, image_data: Any, properties: Any) -> None:
        """Drawings hold no images."""
        raise NotImplementedError("a drawing holds no images")

    def clear(self) -> None:
        """Nothing to clear: every page is painted once."""

    def _path(self, path: Any) -> Any:
        p = self.canvas.beginPath()
        at = path.start
        p.moveTo(at.x, at.y)
        for c in path.commands():
            end = c.end
            if c.type == Command.MOVE_TO:
                p.moveTo(end.x, end.y)
            elif c.type == Command.LINE_TO:
                p.lineTo(end.x, end.y)
            elif c.type == Command.CURVE3_TO:
                a = at + (c.ctrl - at) * (2 / 3)
                b = end + (c.ctrl - end) * (2 / 3)
                p.curveTo(a.x, a.y, b.x, b.y, end.x, end.y)
            else:
                p.curveTo(c.ctrl1.x, c.ctrl1.y, c.ctrl2.x, c.ctrl2.y, end.x, end.y)
            at = end
        return p


class Lettering(TextRenderer):  # type: ignore[misc]  # ezdxf is not checked
    """Measures of our one font from the sheet's own table of widths: ezdxf would read the whole
    font file for them. Outlines are never asked for, since text stays text."""

    def get_font_measurements(self, font_face: Any, cap_height: float = 1.0) -> FontMeasurements:
        """Heights in the drawing's mm for capitals of ``cap_height``."""
        return FontMeasurements(0.0, 1.0, X_UNITS / CAP_UNITS, DESCENDER_UNITS / CAP_UNITS).scale(
            cap_height
        )

    def get_text_line_width(self, text: str, font_face: Any, cap_height: float = 1.0) -> float:
        """Width in the drawing's mm."""
        return width_of(text, cap_height) if text.strip() else 0.0

    def get_text_path(self, text: str, font_face: Any, cap_height: float = 1.0) -> Any:
        """No outlines are drawn."""
        raise NotImplementedError("text is drawn as text")

    def get_text_glyph_paths(self, text: str, font_face: Any, cap_height: float = 1.0) -> Any:
        """No outlines are drawn."""
        raise NotImplementedError("text is drawn as text")

    def get_font(self, font_face: Any) -> Any:
        """No font is loaded."""
        raise NotImplementedError("text is drawn as text")

    def is_stroke_font(self, font_face: Any) -> bool:
        """Our font has outlines."""
        return False


class TextPipeline(RenderPipeline2d):  # type: ignore[misc]  # ezdxf is not checked
    """ezdxf's pipeline, but text goes to the canvas as text."""

    text_engine = Lettering()

    def __init__(self, backend: CanvasBackend) -> None:
        super().__init__(backend)
        self.canvas = backend.canvas

    def draw_text(
        self, text: str, transform: Any, properties: Any, cap_height: float, dxftype: str = "TEXT"
    ) -> None:
        """The string with its matrix; the font's size makes its capitals ``cap_height`` high."""
        if not text.strip():
            return
        m = self.clipping_portal.transform_matrix(transform)
        ux, uy, origin = m.transform((1, 0)), m.transform((0, 1)), m.transform((0, 0))
        canvas = self.canvas
        canvas.saveState()
        canvas.transform(
            ux.x - origin.x, ux.y - origin.y, uy.x - origin.x, uy.y - origin.y, origin.x, origin.y
        )
        canvas.setFillColorRGB(0, 0, 0)
        canvas.setFont(FONT_NAME, font_size(cap_height))
        canvas.drawString(0, 0, text)
        canvas.restoreState()


def replay(sheet: Sheet, doc: Any, shown: frozenset[str], canvas: Any) -> None:
    """Paint one ``sheet`` of ``doc``, its drawing's document, on the canvas' current page, lower
    left corner at the page's; ``shown`` are the handles of its entities."""
    with on_paper(sheet, canvas) as unit:
        config = Configuration(
            line_policy=LinePolicy.ACCURATE,
            color_policy=ColorPolicy.BLACK,
            background_policy=BackgroundPolicy.WHITE,
            max_flattening_distance=0.01 / unit,
            min_lineweight=0.0,
            lineweight_scaling=1.0,
            min_dash_length=0.0,
        )
        context = RenderContext(doc)
        frontend = UniversalFrontend(context, TextPipeline(CanvasBackend(canvas, unit)), config)
        frontend.draw_layout(doc.modelspace(), filter_func=lambda e: e.dxf.handle in shown)
