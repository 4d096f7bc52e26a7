"""The painter's back end for PDF: lines as lines, text as text, black on white."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from mandrelgen.files.writers.painter import paint
from mandrelgen.files.writers.pdf.canvas import MM, letters
from mandrelgen.paper.drawing.model import (
    Arc,
    Dimension,
    Drawn,
    Fill,
    Hatch,
    Line,
    LineStyle,
    Mark,
    Point,
    Text,
)

# PDF's own number for round ends and round corners of lines.
_ROUND = 1


def show(canvas: Any, drawn: Iterable[Drawn]) -> None:
    """Paint ``drawn`` on the current page; the canvas' settings are afterwards as they were."""
    canvas.saveState()
    paint(drawn, PdfBackEnd(canvas))
    canvas.restoreState()


class PdfBackEnd:
    """Paints on the current page of a reportlab canvas."""

    def __init__(self, canvas: Any) -> None:
        self.canvas = canvas
        self._set: LineStyle | None = None
        self._light = 0.0
        canvas.setLineCap(_ROUND)
        canvas.setLineJoin(_ROUND)
        canvas.setStrokeColorRGB(0, 0, 0)
        canvas.setFillColorRGB(0, 0, 0)

    def line(self, line: Line) -> None:
        """A chain as one path: dashes run on round its corners."""
        self._stroke(line.pen, self._path(line.points, line.closed))

    def arc(self, arc: Arc) -> None:
        """Bézier curves, none over more than a quarter of the circle."""
        (x, y), r = arc.centre, arc.radius
        box = ((x - r) * MM, (y - r) * MM, (x + r) * MM, (y + r) * MM)
        path = self.canvas.beginPath()
        path.arc(*box, arc.start, arc.sweep)
        self._stroke(arc.pen, path)

    def fill(self, fill: Fill) -> None:
        """A filled path, black or grey."""
        if fill.light != self._light:
            self._light = fill.light
            self.canvas.setFillColorRGB(fill.light, fill.light, fill.light)
        self.canvas.drawPath(self._path(fill.points, closed=True), stroke=0, fill=1)

    def text(self, text: Text) -> None:
        """A string of the page's font, black."""
        if self._light:
            self._light = 0.0
            self.canvas.setFillColorRGB(0, 0, 0)
        if not text.angle:
            letters(self.canvas, *text.at, text.text, text.height, text.align)
            return
        self.canvas.saveState()
        self.canvas.translate(text.at[0] * MM, text.at[1] * MM)
        self.canvas.rotate(text.angle)
        letters(self.canvas, 0.0, 0.0, text.text, text.height, text.align)
        self.canvas.restoreState()

    def group(self, group: Dimension | Hatch | Mark) -> bool:
        """Paper knows no groups."""
        return False

    def _stroke(self, pen: LineStyle, path: Any) -> None:
        if pen is not self._set:
            self.canvas.setLineWidth(pen.width * MM)
            self.canvas.setDash([d * MM for d in pen.dashes])
            self._set = pen
        self.canvas.drawPath(path, stroke=1, fill=0)

    def _path(self, points: tuple[Point, ...], closed: bool) -> Any:
        path = self.canvas.beginPath()
        path.moveTo(points[0][0] * MM, points[0][1] * MM)
        for x, y in points[1:]:
            path.lineTo(x * MM, y * MM)
        if closed:
            path.close()
        return path
