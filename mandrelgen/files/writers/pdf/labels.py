"""Sheets of labels as PDF: frames to cut along, codes, lines of text."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from mandrelgen.files.writers.pdf.canvas import MM, letters, new_canvas, ruler
from mandrelgen.paper.reports.drawer_labels import HEIGHT, WIDTH, PlacedLabel

# Modules of quiet zone around a QR code, ISO/IEC 18004:2015, 6.3.8.
QUIET = 4
# A ruler goes into the lower margin if it is so wide, mm.
RULER_ROOM = 9.0


def write(sheets: Sequence[Sequence[PlacedLabel]], title: str, margin: float) -> bytes:
    """A PDF with one page for each sheet; the same sheets give the same bytes."""
    canvas, stream = new_canvas(WIDTH, HEIGHT, {"title": title})
    for sheet in sheets:
        for label in sheet:
            canvas.setStrokeGray(0.6)
            canvas.setLineWidth(0.1 * MM)
            canvas.rect(label.x * MM, label.y * MM, label.width * MM, label.height * MM)
            canvas.setStrokeGray(0.0)
            _code(canvas, label)
            for t in label.texts:
                letters(canvas, t.x, t.y, t.text, t.cap)
        if margin >= RULER_ROOM:
            ruler(canvas, margin, 4.0)
        canvas.showPage()
    canvas.save()
    return stream.getvalue()


def _code(canvas: Any, label: PlacedLabel) -> None:
    """The QR code, level Q, dark modules as rectangles, each row's neighbours as one."""
    from reportlab.graphics.barcode.qr import QrCodeWidget

    # Square modules only: the widget is asked for its pattern, not for its drawing.
    widget: Any = QrCodeWidget(label.code, barLevel="Q")
    code = widget.qr
    code.make()
    count = code.getModuleCount()
    size = label.code_side / (count + 2 * QUIET)
    left, top = label.code_x + QUIET * size, label.code_y + label.code_side - QUIET * size
    for row in range(count):
        start = None
        for column in range(count + 1):
            dark = column < count and code.isDark(row, column)
            if dark and start is None:
                start = column
            elif not dark and start is not None:
                canvas.rect(
                    (left + start * size) * MM, (top - (row + 1) * size) * MM,
                    (column - start) * size * MM, size * MM, stroke=0, fill=1,
                )  # fmt: skip
                start = None
