"""The painter's back end for SVG in mm: lines as lines, text as text in the sheet's lettering."""

from __future__ import annotations

import math
from collections.abc import Mapping
from xml.sax.saxutils import escape, quoteattr

from mandrelgen.files.writers.painter import paint
from mandrelgen.paper.drawing.model import (
    Arc,
    Dimension,
    Fill,
    Hatch,
    Line,
    LineStyle,
    Mark,
    Point,
    Sheet,
    Text,
)
from mandrelgen.paper.drawing.text_width import CAP_PER_EM

FONTS = "'DejaVu Sans Condensed','DejaVu Sans',sans-serif"
_ANCHOR = {"left": "start", "middle": "middle", "right": "end"}


def write(sheet: Sheet) -> bytes:
    """``sheet`` as SVG 1.1, one user unit for each mm of paper, black on white."""
    title = escape(f"{sheet.number} rev. {sheet.revision} {sheet.title}")
    shown = SvgBackEnd(sheet.height)
    paint(sheet.drawn, shown)
    body = "\n".join(shown.elements)
    w, h = _n(sheet.width), _n(sheet.height)
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{w}mm" height="{h}mm" '
        f'viewBox="0 0 {w} {h}">\n<title>{title}</title>\n'
        f'<rect width="{w}" height="{h}" fill="#fff"/>\n'
        f'<g fill="none" stroke="#000" stroke-linecap="round" stroke-linejoin="round" '
        f"font-family={quoteattr(FONTS)}>\n{body}\n</g>\n</svg>\n"
    ).encode()


def inline(sheet: Sheet, grades: Mapping[str, str]) -> str:
    """``sheet`` to stand in a page: each balloon a group with its characteristic's id as
    ``data-balloon``, its grade as class, and room to press it; sized by the style sheet."""
    shown = _Balloons(sheet.height, grades)
    paint(sheet.drawn, shown)
    title = quoteattr(f"{sheet.number} {sheet.revision} {sheet.title}")
    w, h = _n(sheet.width), _n(sheet.height)
    return (
        f'<svg class="paper-drawing" viewBox="0 0 {w} {h}" role="img" aria-label={title}>'
        f'<g fill="none" stroke="#000" stroke-linecap="round" stroke-linejoin="round" '
        f"font-family={quoteattr(FONTS)}>{''.join(shown.elements)}</g></svg>"
    )


class SvgBackEnd:
    """Gathers elements; SVG's y runs downwards from the upper edge, ``height`` mm up the paper."""

    def __init__(self, height: float) -> None:
        self.height = height
        self.elements: list[str] = []

    def line(self, line: Line) -> None:
        """A polyline, or a polygon without filling."""
        tag = "polygon" if line.closed else "polyline"
        self.elements.append(f'<{tag} points="{self._points(line.points)}" {_stroke(line.pen)}/>')

    def arc(self, arc: Arc) -> None:
        """A circle, or an elliptical arc of a path."""
        x, y, r = arc.centre[0], self.height - arc.centre[1], arc.radius
        if arc.sweep == 360.0:
            shape = f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(r)}"'
        else:
            ends = []
            for angle in (arc.start, arc.end):
                a = math.radians(angle)
                ends.append(f"{_n(x + r * math.cos(a))} {_n(y - r * math.sin(a))}")
            large = int(arc.sweep > 180)
            shape = f'<path d="M{ends[0]}A{_n(r)} {_n(r)} 0 {large} 0 {ends[1]}"'
        self.elements.append(f"{shape} {_stroke(arc.pen)}/>")

    def fill(self, fill: Fill) -> None:
        """A filled polygon, black or grey."""
        grey = f"#{f'{round(255 * fill.light):02x}' * 3}" if fill.light else "#000"
        self.elements.append(
            f'<polygon points="{self._points(fill.points)}" fill="{grey}" stroke="none"/>'
        )

    def text(self, text: Text) -> None:
        """A text element; a viewer without the font still keeps it within its own width."""
        x, y = _n(text.at[0]), _n(self.height - text.at[1])
        turn = f' transform="rotate({_n(-text.angle)} {x} {y})"' if text.angle else ""
        fit = f'textLength="{_n(text.width)}" lengthAdjust="spacingAndGlyphs"'
        self.elements.append(
            f'<text x="{x}" y="{y}" font-size="{_n(text.height / CAP_PER_EM)}" fill="#000" '
            f'stroke="none" text-anchor="{_ANCHOR[text.align]}" {fit}{turn}>'
            f"{escape(text.text)}</text>"
        )

    def group(self, group: Dimension | Hatch | Mark) -> bool:
        """A picture needs no groups."""
        return False

    def _points(self, points: tuple[Point, ...]) -> str:
        return " ".join(f"{_n(x)},{_n(self.height - y)}" for x, y in points)


class _Balloons(SvgBackEnd):
    """As a picture, but for its balloons."""

    def __init__(self, height: float, grades: Mapping[str, str]) -> None:
        super().__init__(height)
        self.grades = grades

    def group(self, group: Dimension | Hatch | Mark) -> bool:
        """A balloon is one thing."""
        ring = next((i for i in getattr(group, "items", ()) if isinstance(i, Arc)), None)
        if not isinstance(group, Mark) or group.role != "balloon" or ring is None:
            return False
        x, y = ring.centre[0], self.height - ring.centre[1]
        role = f"balloon {self.grades.get(group.id, '')}".strip()
        self.elements.append(
            f"<g class={quoteattr(role)} data-balloon={quoteattr(group.id)}>"
            f'<circle class="room" cx="{_n(x)}" cy="{_n(y)}" r="{_n(1.9 * ring.radius)}"/>'
        )
        paint(group.items, self)
        self.elements.append("</g>")
        return True


def _n(value: float) -> str:
    return f"{round(value, 4):g}" if abs(value) < 1e5 else f"{value:.4f}"


def _stroke(pen: LineStyle) -> str:
    dashes = f' stroke-dasharray="{" ".join(_n(d) for d in pen.dashes)}"' if pen.dashes else ""
    return f'class="{pen.layer}" stroke-width="{_n(pen.width)}"{dashes}'
