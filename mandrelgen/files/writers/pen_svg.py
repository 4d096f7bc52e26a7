"""The pen drawing as SVG: a group for each mark, with its role as class and its key as
``data-key``; colours as attributes, which a style sheet overrules."""

from __future__ import annotations

from collections.abc import Iterator
from xml.sax.saxutils import escape, quoteattr

from mandrelgen.files.writers.pen_colours import fill_of, ink_of
from mandrelgen.paper.drawing.model import Arc, Fill, Item, Line, Mark, Point, Text
from mandrelgen.paper.drawing.text_width import CAP_PER_EM
from mandrelgen.paper.pen_drawing.drawing import PenDrawing

FONTS = "'DejaVu Sans Condensed','DejaVu Sans',sans-serif"
_ANCHOR = {"left": "start", "middle": "middle", "right": "end"}


def write(drawing: PenDrawing) -> bytes:
    """A file of its own, 1 user unit for each mm of paper."""
    w, h = _n(drawing.width), _n(drawing.height)
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{w}mm" height="{h}mm" '
        f'viewBox="0 0 {w} {h}">\n<title>{_title(drawing)}</title>\n'
        f'<rect class="paper" width="{w}" height="{h}" fill="#fff"/>\n{body(drawing)}\n</svg>\n'
    ).encode()


def inline(drawing: PenDrawing) -> str:
    """For a page: sized by the style sheet, no background; ``data-scale``: paper mm for each mm of
    the pen."""
    w, h = _n(drawing.width), _n(drawing.height)
    return (
        f'<svg class="pen-drawing" viewBox="0 0 {w} {h}" data-scale="{_n(drawing.scale)}" '
        f'role="img" '
        f"aria-label={quoteattr(_title(drawing))}>{body(drawing)}</svg>"
    )


def _title(drawing: PenDrawing) -> str:
    return escape(f"{drawing.title}, {drawing.state}, half section {drawing.scale_text}")


def body(drawing: PenDrawing) -> str:
    """The groups alone."""
    marks = "\n".join(_mark(m, drawing.height) for m in drawing.marks)
    return (
        f'<g fill="none" stroke-linecap="round" stroke-linejoin="round" '
        f"font-family={quoteattr(FONTS)}>\n{marks}\n</g>"
    )


def _mark(mark: Mark, height: float) -> str:
    key = f" data-key={quoteattr(mark.id)}" if mark.id else ""
    items = "".join(line for item in mark.items for line in _item(item, mark.role, height))
    return f"<g class={quoteattr(mark.role)}{key}>{items}</g>"


def _item(item: Item, role: str, height: float) -> Iterator[str]:
    if isinstance(item, Fill):
        points = _points(item.points, height)
        yield f'<polygon class="fill" points="{points}" fill="{fill_of(role)}"/>'
    elif isinstance(item, Line):
        tag = "polygon" if item.closed else "polyline"
        dashes = " ".join(_n(d) for d in item.pen.dashes)
        dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
        yield (
            f'<{tag} class="line" points="{_points(item.points, height)}" '
            f'stroke="{ink_of(role)}" stroke-width="{_n(item.pen.width)}"{dashed}/>'
        )
    elif isinstance(item, Arc):
        yield (
            f'<circle class="line" cx="{_n(item.centre[0])}" cy="{_n(height - item.centre[1])}" '
            f'r="{_n(item.radius)}" stroke="{ink_of(role)}" stroke-width="{_n(item.pen.width)}"/>'
        )
    elif isinstance(item, Text):
        yield _text(item, role, height)
    else:
        raise TypeError(f"a pen drawing has no {type(item).__name__}")


def _text(text: Text, role: str, height: float) -> str:
    x, y = _n(text.at[0]), _n(height - text.at[1])
    turn = f' transform="rotate({_n(-text.angle)} {x} {y})"' if text.angle else ""
    return (
        f'<text x="{x}" y="{y}" font-size="{_n(text.height / CAP_PER_EM)}" fill="{ink_of(role)}" '
        f'text-anchor="{_ANCHOR[text.align]}" textLength="{_n(text.width)}" '
        f'lengthAdjust="spacingAndGlyphs"{turn}>{escape(text.text)}</text>'
    )


def _points(points: tuple[Point, ...], height: float) -> str:
    return " ".join(f"{_n(x)},{_n(height - y)}" for x, y in points)


def _n(value: float) -> str:
    return f"{round(value, 3):g}" if abs(value) < 1e5 else f"{value:.3f}"
