"""Paints a leaf that was laid out elsewhere: lines, filled shapes and lettering, black on white."""

from __future__ import annotations

from typing import Any

from mandrelgen.files.writers.pdf.canvas import MM, letters
from mandrelgen.paper.drawing.model import Fill, Line, LineStyle, Page, Text, flat


def paint(canvas: Any, leaf: Page) -> None:
    """Paint every item of ``leaf`` where it stands.

    Raises TypeError for a kind of item that no leaf has (arcs, hatches, turned lettering).
    """
    canvas.setFillColorRGB(0, 0, 0)
    canvas.setStrokeColorRGB(0, 0, 0)
    for item in flat(leaf.drawn):
        if isinstance(item, Text) and item.angle == 0:
            letters(canvas, *item.at, item.text, item.height, item.align)
        elif isinstance(item, Line):
            _stroke(canvas, item)
        elif isinstance(item, Fill):
            canvas.drawPath(_path(canvas, item.points, closed=True), stroke=0, fill=1)
        else:
            raise TypeError(f"a leaf cannot show {type(item).__name__}")


def _stroke(canvas: Any, line: Line) -> None:
    _pen(canvas, line.pen)
    canvas.drawPath(_path(canvas, line.points, line.closed), stroke=1, fill=0)
    canvas.setDash()


def _pen(canvas: Any, pen: LineStyle) -> None:
    canvas.setLineWidth(pen.width * MM)
    if pen.dashes:
        canvas.setDash([d * MM for d in pen.dashes])


def _path(canvas: Any, points: tuple[tuple[float, float], ...], closed: bool) -> Any:
    path = canvas.beginPath()
    path.moveTo(points[0][0] * MM, points[0][1] * MM)
    for x, y in points[1:]:
        path.lineTo(x * MM, y * MM)
    if closed:
        path.close()
    return path
