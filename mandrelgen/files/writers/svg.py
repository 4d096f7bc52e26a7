"""The drawing as an SVG picture in mm: lines as lines, text as text in the sheet's lettering."""

from __future__ import annotations

import math
from collections.abc import Iterator
from xml.sax.saxutils import escape, quoteattr

from mandrelgen.paper.drawing.model import (
    Arc,
    Fill,
    Hatch,
    Item,
    Line,
    LineStyle,
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
    body = "\n".join(line for i, item in enumerate(sheet.items()) for line in _item(item, sheet, i))
    w, h = _n(sheet.width), _n(sheet.height)
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{w}mm" height="{h}mm" '
        f'viewBox="0 0 {w} {h}">\n<title>{title}</title>\n'
        f'<rect width="{w}" height="{h}" fill="#fff"/>\n'
        f'<g fill="none" stroke="#000" stroke-linecap="round" stroke-linejoin="round" '
        f"font-family={quoteattr(FONTS)}>\n{body}\n</g>\n</svg>\n"
    ).encode()


def _n(value: float) -> str:
    return f"{round(value, 4):g}" if abs(value) < 1e5 else f"{value:.4f}"


def _points(points: tuple[Point, ...], sheet: Sheet) -> str:
    return " ".join(f"{_n(x)},{_n(sheet.height - y)}" for x, y in points)


def _stroke(pen: LineStyle) -> str:
    dashes = f' stroke-dasharray="{" ".join(_n(d) for d in pen.dashes)}"' if pen.dashes else ""
    return f'class="{pen.layer}" stroke-width="{_n(pen.width)}"{dashes}'


def _item(item: Item, sheet: Sheet, number: int) -> Iterator[str]:
    if isinstance(item, Line):
        tag = "polygon" if item.closed else "polyline"
        yield f'<{tag} points="{_points(item.points, sheet)}" {_stroke(item.pen)}/>'
    elif isinstance(item, Arc):
        yield _arc(item, sheet)
    elif isinstance(item, Fill):
        yield f'<polygon points="{_points(item.points, sheet)}" fill="#000" stroke="none"/>'
    elif isinstance(item, Hatch):
        yield from _hatch(item, sheet, number)
    else:
        yield _text(item, sheet)


def _arc(arc: Arc, sheet: Sheet) -> str:
    x, y, r = arc.centre[0], sheet.height - arc.centre[1], arc.radius
    if arc.end - arc.start >= 360:
        return f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(r)}" {_stroke(arc.pen)}/>'
    ends = []
    for angle in (arc.start, arc.end):
        a = math.radians(angle)
        ends.append(f"{_n(x + r * math.cos(a))} {_n(y - r * math.sin(a))}")
    large = int((arc.end - arc.start) % 360 > 180)
    path = f"M{ends[0]}A{_n(r)} {_n(r)} 0 {large} 0 {ends[1]}"
    return f'<path d="{path}" {_stroke(arc.pen)}/>'


def _hatch(hatch: Hatch, sheet: Sheet, number: int) -> Iterator[str]:
    """Section lines as lines, cut by the loops as a clipping path."""
    loops = "".join("M" + _points(loop, sheet).replace(" ", "L") + "Z" for loop in hatch.loops)
    yield (f'<clipPath id="h{number}"><path clip-rule="evenodd" d="{loops}"/></clipPath>')
    a = math.radians(hatch.angle)
    along, across = (math.cos(a), math.sin(a)), (-math.sin(a), math.cos(a))
    every = [p for loop in hatch.loops for p in loop]
    us = [x * along[0] + y * along[1] for x, y in every]
    vs = [x * across[0] + y * across[1] for x, y in every]
    yield f'<g clip-path="url(#h{number})" {_stroke(hatch.pen)}>'
    for k in range(math.ceil(min(vs) / hatch.pitch), math.floor(max(vs) / hatch.pitch) + 1):
        v = k * hatch.pitch
        ends = tuple(
            (u * along[0] + v * across[0], u * along[1] + v * across[1]) for u in (min(us), max(us))
        )
        yield f'<polyline points="{_points(ends, sheet)}"/>'
    yield "</g>"


def _text(text: Text, sheet: Sheet) -> str:
    x, y = text.at[0], sheet.height - text.at[1]
    turn = f' transform="rotate({_n(-text.angle)} {_n(x)} {_n(y)})"' if text.angle else ""
    # A viewer without the font still keeps every text within its own width.
    fit = f'textLength="{_n(text.width)}" lengthAdjust="spacingAndGlyphs"'
    return (
        f'<text x="{_n(x)}" y="{_n(y)}" font-size="{_n(text.height / CAP_PER_EM)}" fill="#000" '
        f'stroke="none" text-anchor="{_ANCHOR[text.align]}" {fit}{turn}>{escape(text.text)}</text>'
    )
