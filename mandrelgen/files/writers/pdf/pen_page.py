"""The pen drawing as a PDF: one A4 page lying down for each state, at the scale it says."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from mandrelgen.files.writers.pdf.canvas import MM, letters, new_canvas, rule, ruler
from mandrelgen.files.writers.pen_colours import fill_of, ink_of
from mandrelgen.paper.drawing.model import Arc, Fill, Item, Line, Point, Text
from mandrelgen.paper.drawing.text_width import CAP_PER_EM
from mandrelgen.paper.pen_drawing.drawing import PenDrawing

WIDTH, HEIGHT = 297.0, 210.0
MARGIN = 10.0


def write(drawings: Sequence[PenDrawing], lines: Sequence[str] = ()) -> bytes:
    """One page for each drawing; ``lines`` are lettered under every drawing."""
    name = drawings[0].title
    canvas, stream = new_canvas(WIDTH, HEIGHT, {"title": f"{name}: the pen", "subject": name})
    for d in drawings:
        canvas.saveState()
        left, low = (WIDTH - d.width) / 2, HEIGHT - MARGIN - 10.0 - d.height
        for mark in d.marks:
            for item in mark.items:
                _paint(canvas, item, mark.role, left, low)
        canvas.restoreState()
        letters(canvas, MARGIN, HEIGHT - MARGIN - 4.0, f"{name}: {d.state}", 3.5)
        letters(
            canvas, WIDTH - MARGIN, HEIGHT - MARGIN - 4.0, f"half section, scale {d.scale_text}",
            2.5, "right",
        )  # fmt: skip
        rule(canvas, MARGIN, HEIGHT - MARGIN - 6.0, WIDTH - MARGIN, HEIGHT - MARGIN - 6.0, 0.35)
        y = low - 4.0
        for line in lines:
            if y < MARGIN + 10.0:
                break
            letters(canvas, MARGIN, y, line, 2.5)
            y -= 4.2
        ruler(canvas, MARGIN, MARGIN)
        canvas.showPage()
    canvas.save()
    return stream.getvalue()


def _paint(canvas: Any, item: Item, role: str, left: float, low: float) -> None:
    if isinstance(item, Text):
        canvas.saveState()
        canvas.translate((left + item.at[0]) * MM, (low + item.at[1]) * MM)
        canvas.rotate(item.angle)
        canvas.setFillColor(_colour(ink_of(role)))
        canvas.setFont("DejaVuSansCondensed", item.height / CAP_PER_EM * MM)
        back = {"left": 0.0, "middle": 0.5, "right": 1.0}[item.align] * item.width
        canvas.drawString(-back * MM, 0, item.text)
        canvas.restoreState()
        return
    if isinstance(item, Arc):
        canvas.setStrokeColor(_colour(ink_of(role)))
        canvas.setLineWidth(item.pen.width * MM)
        x, y = left + item.centre[0], low + item.centre[1]
        canvas.circle(x * MM, y * MM, item.radius * MM, stroke=1, fill=0)
        return
    if not isinstance(item, Line | Fill):
        raise TypeError(f"a pen drawing has no {type(item).__name__}")
    path = canvas.beginPath()
    _chain(path, item.points, left, low)
    if isinstance(item, Fill):
        path.close()
        canvas.setFillColor(_colour(fill_of(role)))
        canvas.drawPath(path, stroke=0, fill=1)
        return
    if item.closed:
        path.close()
    canvas.setStrokeColor(_colour(ink_of(role)))
    canvas.setLineWidth(item.pen.width * MM)
    canvas.setLineJoin(1)
    canvas.setDash([d * MM for d in item.pen.dashes])
    canvas.drawPath(path, stroke=1, fill=0)
    canvas.setDash([])


def _chain(path: Any, points: tuple[Point, ...], left: float, low: float) -> None:
    for n, (x, y) in enumerate(points):
        (path.lineTo if n else path.moveTo)((left + x) * MM, (low + y) * MM)


def _colour(text: str) -> Any:
    from reportlab.lib.colors import HexColor

    return HexColor(text)
