"""The canvas every page is made on: our font embedded, same bytes for the same input."""

from __future__ import annotations

import io
from typing import Any

from mandrelgen.paper.drawing.font import NAME, font
from mandrelgen.paper.drawing.text_width import CAP_PER_EM, clean, width_of

MM = 72.0 / 25.4


def new_canvas(width: float, height: float, info: dict[str, str]) -> tuple[Any, io.BytesIO]:
    """A reportlab canvas, ``width`` × ``height`` mm, and the stream it writes to."""
    registered = font()
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfgen.canvas import Canvas

    pdfmetrics.registerFont(registered)
    stream = io.BytesIO()
    canvas = Canvas(stream, pagesize=(width * MM, height * MM), invariant=1, pageCompression=1)
    canvas.setTitle(clean(info.get("title", "")))
    canvas.setAuthor(clean(info.get("author", "")))
    canvas.setSubject(clean(info.get("subject", "")))
    canvas.setKeywords(clean(info.get("keywords", "")))
    canvas.setCreator("mandrelgen")
    canvas.setProducer("mandrelgen")
    canvas.setViewerPreference("PrintScaling", "None")
    return canvas, stream


def letters(canvas: Any, x: float, y: float, text: str, cap: float, align: str = "left") -> None:
    """One line of text at (x, y) mm, capitals ``cap`` mm high."""
    text = clean(text)
    shift = 0.0 if align == "left" else -width_of(text, cap) / (2 if align == "middle" else 1)
    canvas.setFont(NAME, cap / CAP_PER_EM * MM)
    canvas.drawString((x + shift) * MM, y * MM, text)


def rule(canvas: Any, x0: float, y0: float, x1: float, y1: float, width: float = 0.25) -> None:
    """A straight line in mm."""
    canvas.setLineWidth(width * MM)
    canvas.line(x0 * MM, y0 * MM, x1 * MM, y1 * MM)


def ruler(canvas: Any, x: float, y: float) -> None:
    """A ruler of 100 mm whose left end is at (x, y) mm, to check the print's size."""
    rule(canvas, x, y, x + 100.0, y)
    for i in range(0, 101, 5):
        rule(canvas, x + i, y, x + i, y + (3.0 if i % 50 == 0 else 2.0 if i % 10 == 0 else 1.2))
    letters(canvas, x + 102.0, y, "100 mm: measure it; print at 100 %", 2.5)
