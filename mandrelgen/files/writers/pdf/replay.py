"""The drawing document painted on a PDF canvas: lines as lines, text as text.

Every entity of the DXF's model space, and of the pictures stored with its dimensions, is painted
from what the document says of it. ezdxf gives paths, dashes and section lines; its own drawing
add-on, which paints any DXF and is slow for it, is the judge in a test: same bytes.
"""

from __future__ import annotations

import contextlib
import math
from collections.abc import Iterable, Iterator
from typing import Any

from mandrelgen.files.dxf_setup import repeatable
from mandrelgen.files.writers.dxf import Space
from mandrelgen.files.writers.pdf.canvas import FONT_NAME, MM, font_size
from mandrelgen.paper.drawing.model import Sheet
from mandrelgen.paper.drawing.text_width import width_of

from ezdxf.path import Command, make_path  # isort: skip  (after ezdxf_quiet)
from ezdxf.render import hatching  # isort: skip
from ezdxf.render.linetypes import LineTypeRenderer  # isort: skip

# Curves that are dashed are cut into straight pieces this near to them, mm on paper.
FLAT = 0.01
PIECES = 16
# Kinds that are one path.
_PATHS = frozenset({"LWPOLYLINE", "CIRCLE", "ARC"})


class Painter:
    """Paints entities of ``doc`` on a reportlab canvas whose units are the drawing's mm, ``unit``
    paper mm each (scaled by the caller)."""

    def __init__(self, doc: Any, canvas: Any, unit: float) -> None:
        self.canvas, self.unit = canvas, unit
        self.widths: dict[str, float] = {}
        self.dashes: dict[str, list[float]] = {}
        for layer in doc.layers:
            name = layer.dxf.name.upper()
            # Line widths are paper mm.
            self.widths[name] = max(0.01, layer.dxf.lineweight / 100) / unit
            pattern = list(doc.linetypes.get(layer.dxf.linetype).simplified_line_pattern())
            self.dashes[name] = pattern[: len(pattern) // 2 * 2]

    def paint(self, entities: Iterable[Any]) -> None:
        """Paint entities in their order. Raises TypeError for a kind that no sheet is drawn
        with."""
        for e in entities:
            kind = e.dxftype()
            if kind == "TEXT":
                self._text(e)
            elif kind == "LINE":
                start, end = e.dxf.start, e.dxf.end
                dashes = self._dashes(e)
                if dashes:
                    self._lines(e, LineTypeRenderer(dashes).line_segment(start, end))
                else:
                    self._pen(e)
                    self.canvas.line(start.x, start.y, end.x, end.y)
            elif kind in _PATHS:
                self._path(e)
            elif kind == "HATCH":
                self._hatch(e)
            elif kind == "DIMENSION":
                self.paint(e.get_geometry_block())
            else:
                raise TypeError(f"a sheet has no {kind}")

    def _dashes(self, e: Any) -> list[float]:
        return self.dashes[e.dxf.layer.upper()]

    def _pen(self, e: Any) -> None:
        self.canvas.setLineWidth(self.widths[e.dxf.layer.upper()])
        self.canvas.setStrokeColorRGB(0, 0, 0)
        self.canvas.setFillColorRGB(0, 0, 0)

    def _lines(self, e: Any, lines: Iterable[tuple[Any, Any]]) -> None:
        """Straight pieces; one without length is a round dot as wide as the line."""
        for start, end in lines:
            self._pen(e)
            if end.isclose(start):
                r = self.widths[e.dxf.layer.upper()] / 2
                self.canvas.circle(start.x, start.y, r, stroke=0, fill=1)
            else:
                self.canvas.line(start.x, start.y, end.x, end.y)

    def _path(self, e: Any) -> None:
        """Lines and Bézier curves, unfilled."""
        path = make_path(e)
        dashes = self._dashes(e)
        if dashes:
            points = path.flattening(FLAT / self.unit, segments=PIECES)
            self._lines(e, LineTypeRenderer(dashes).line_segments(points))
        elif len(path):
            self._pen(e)
            self.canvas.drawPath(self._outline(path), stroke=1, fill=0)

    def _hatch(self, e: Any) -> None:
        """Filled even-odd, or section lines."""
        if not e.dxf.solid_fill:
            self._lines(e, hatching.hatch_entity(e))
            return
        self._pen(e)
        for path in hatching.hatch_boundary_paths(e):
            self.canvas.drawPath(self._outline(path), stroke=0, fill=1, fillMode=0)

    def _outline(self, path: Any) -> Any:
        p = self.canvas.beginPath()
        p.moveTo(path.start.x, path.start.y)
        for c in path.commands():
            if c.type == Command.LINE_TO:
                p.lineTo(c.end.x, c.end.y)
            elif c.type == Command.CURVE4_TO:
                a, b = c.ctrl1, c.ctrl2
                p.curveTo(a.x, a.y, b.x, b.y, c.end.x, c.end.y)
            else:
                raise TypeError("a path of a sheet is one chain of lines and cubic curves")
        return p

    def _text(self, e: Any) -> None:
        """The string with its matrix; the font's size makes its capitals as high as the text."""
        text = e.plain_text()
        if not text.strip():
            return
        dxf, height = e.dxf, e.dxf.height
        align = e.get_align_enum().name
        if align not in _SHARE:
            raise TypeError(f"a sheet has no text aligned {align}")
        at = dxf.insert if align == "LEFT" else dxf.align_point
        turn = math.radians(dxf.rotation)
        c, s = math.cos(turn), math.sin(turn)
        back = _SHARE[align] * width_of(text, height)
        x, y = at.x - back * c, at.y - back * s
        canvas = self.canvas
        canvas.saveState()
        canvas.transform(c, s, -s, c, x, y)
        canvas.setFillColorRGB(0, 0, 0)
        canvas.setFont(FONT_NAME, font_size(height))
        canvas.drawString(0, 0, text)
        canvas.restoreState()


# The share of its width that a text begins in front of its point.
_SHARE = {"LEFT": 0.0, "CENTER": 0.5, "RIGHT": 1.0}


def replay(sheet: Sheet, doc: Any, shown: frozenset[str], canvas: Any) -> None:
    """Paint one ``sheet`` of ``doc``, its drawing's document, on the canvas' current page, lower
    left corner at the page's; ``shown`` are the handles of its entities."""
    with on_paper(sheet, canvas) as unit:
        entities = [e for e in doc.modelspace() if e.dxf.handle in shown]
        Painter(doc, canvas, unit).paint(entities)


@contextlib.contextmanager
def on_paper(sheet: Sheet, canvas: Any) -> Iterator[float]:
    """The canvas in the units of the sheet's document, its origin at the document's, ends and
    corners of lines round; gives the paper's mm for each of the document's."""
    with repeatable():
        space = Space(sheet)
        canvas.saveState()
        canvas.scale(MM, MM)
        canvas.translate(sheet.origin[0], sheet.origin[1])
        canvas.scale(space.k, space.k)
        canvas.setLineCap(1)
        canvas.setLineJoin(1)
        yield space.k
        canvas.restoreState()
