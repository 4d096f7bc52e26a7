"""What of a sheet lies on what: lettering as oriented boxes against every line, by shapely."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations

from shapely import STRtree
from shapely.geometry import LineString, Polygon

from mandrelgen.paper.drawing.model import Arc, Dimension, Fill, Line, LineStyle, Mark, Sheet

# A letter's box is its full height and width; strokes stay this far inside it, mm.
SLACK = 0.12


def strokes(sheet: Sheet) -> Iterator[LineString | Polygon]:
    """Every line on paper with half its pen's width on both sides; arrow heads filled."""
    for item in sheet.items():
        if isinstance(item, Line):
            points = (*item.points, item.points[0]) if item.closed else item.points
            yield LineString(points).buffer(item.pen.width / 2)
        elif isinstance(item, Arc):
            steps = max(8, math.ceil(abs(item.end - item.start) / 3))
            angles = [
                math.radians(item.start + (item.end - item.start) * i / steps)
                for i in range(steps + 1)
            ]
            x, y = item.centre
            ring = [(x + item.radius * math.cos(a), y + item.radius * math.sin(a)) for a in angles]
            yield LineString(ring).buffer(item.pen.width / 2)
        elif isinstance(item, Fill):
            yield Polygon(item.points)


def text_on_lines(sheet: Sheet) -> list[str]:
    """Lettering that a line runs through."""
    lines = list(strokes(sheet))
    tree = STRtree(lines)
    found = []
    for text in sheet.texts():
        if text.text.strip() in ("", "(", ")"):
            continue
        box = Polygon(text.corners()).buffer(-SLACK)
        if any(lines[i].intersects(box) for i in tree.query(box)):
            found.append(text.text)
    return found


def text_on_text(sheet: Sheet) -> list[tuple[str, str]]:
    """Pairs of lettering that share paper."""
    texts = sheet.texts()
    boxes = [Polygon(t.corners()).buffer(-0.025) for t in texts]
    tree = STRtree(boxes)
    return [
        (texts[i].text, texts[int(k)].text)
        for i, box in enumerate(boxes)
        for k in tree.query(box)
        if i < k and boxes[int(k)].intersects(box)
    ]


def leaders(sheet: Sheet) -> Iterator[tuple[str, tuple[tuple[float, float], ...]]]:
    """The leaders of frames, callouts, diameters and angles with what they belong to."""
    for d in sheet.drawn:
        if isinstance(d, Line) and d.pen is LineStyle.DIM and len(d.points) >= 3 and not d.closed:
            yield "frame", d.points
        elif isinstance(d, Mark) and d.role == "centre hole":
            yield d.id, next(i.points for i in d.items if isinstance(i, Line))
        elif isinstance(d, Dimension) and (d.angle == 90.0 or d.kind == "angular"):
            for i in d.items:
                if isinstance(i, Line) and len(i.points) == 3:
                    yield d.text, i.points


def leaders_that_cross(sheet: Sheet) -> list[tuple[str, str]]:
    """Pairs of leaders that cross or run on one another; their arrows may meet at a surface."""
    every = [(name, LineString(points)) for name, points in leaders(sheet)]
    return [(a, b) for (a, p), (b, q) in combinations(every, 2) if p.crosses(q) or p.overlaps(q)]


def outside_the_frame(sheet: Sheet) -> list[str]:
    """Lettering and lines outside the frame that are not the sheet's own border."""
    x0, y0, x1, y1 = sheet.frame
    frame = Polygon([(x0, y0), (x1, y0), (x1, y1), (x0, y1)]).buffer(0.5)
    border = {"FRAME", "FRAME_WIDE"}
    found = []
    for item in sheet.items():
        if item.pen.layer in border:
            continue
        if isinstance(item, Line | Fill):
            points = list(item.points)
        elif isinstance(item, Arc):
            x, y = item.centre
            points = [(x - item.radius, y - item.radius), (x + item.radius, y + item.radius)]
        elif hasattr(item, "corners"):
            points = list(item.corners())
        else:
            points = [p for loop in item.loops for p in loop]
        if not all(frame.contains(Polygon([p, (p[0] + 1e-6, p[1]), p, p])) or
                   (x0 - 0.5 <= p[0] <= x1 + 0.5 and y0 - 0.5 <= p[1] <= y1 + 0.5)
                   for p in points):  # fmt: skip
            found.append(type(item).__name__)
    return found
