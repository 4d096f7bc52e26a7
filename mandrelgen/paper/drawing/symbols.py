"""Drawing symbols as geometry; h is the lettering height, every size in mm on paper."""

from __future__ import annotations

import math
from dataclasses import replace

from mandrelgen.model.characteristic import Kind
from mandrelgen.paper.drawing.model import Arc, Fill, Item, Line, LineStyle, Mark, Point, Text
from mandrelgen.paper.drawing.text_width import clean, width_of

H = 3.5
SMALL = 2.5
BALLOON_RADIUS = 2.7
# Arrow head: as long as the figures are high, 15° included (ISO 129-1).
ARROW = 3.0
_HALF = math.tan(math.radians(7.5)) * ARROW * 1.25


def arrow(tip: Point, angle: float, pen: LineStyle = LineStyle.DIM) -> Fill:
    """A filled arrow head whose tip is at ``tip`` and which points to ``angle`` degrees."""
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    bx, by = tip[0] - ARROW * c, tip[1] - ARROW * s
    return Fill((tip, (bx - _HALF * s, by + _HALF * c), (bx + _HALF * s, by - _HALF * c)), pen)


def balloon(number: int, at: Point, id: str) -> Mark:
    """The characteristic's number in a circle centred at ``at``."""
    text = Text(
        at=(at[0], at[1] - SMALL / 2),
        text=str(number),
        height=SMALL,
        align="middle",
        pen=LineStyle.BALLOON,
    )
    return Mark("balloon", id, (Arc(at, BALLOON_RADIUS, LineStyle.BALLOON), text))


def heavy(mark: Mark) -> Mark:
    """A balloon with the heavy circle of an inspected size."""
    return replace(
        mark,
        items=tuple(
            replace(i, pen=LineStyle.INSPECTED) if isinstance(i, Arc) else i for i in mark.items
        ),
    )


def tolerance_frame(kind: Kind, value: str, datum: str, at: Point) -> tuple[Item, ...]:
    """A tolerance frame, lower left corner at ``at`` (ISO 1101; proportions of ISO 7083)."""
    x, y = at
    widths = [2 * H, width_of(value, H) + H]
    if datum:
        widths.append(max(2 * H, width_of(datum, H) + H))
    total = sum(widths)
    items: list[Item] = [
        Line(
            ((x, y), (x + total, y), (x + total, y + 2 * H), (x, y + 2 * H)),
            LineStyle.SYMBOL,
            closed=True,
        )
    ]
    at_x = x
    for w in widths[:-1]:
        at_x += w
        items.append(Line(((at_x, y), (at_x, y + 2 * H)), LineStyle.SYMBOL))
    items += glyph(kind, (x + H, y + H))
    middle = x + 2 * H + widths[1] / 2
    items.append(Text((middle, y + H / 2), value, H, "middle"))
    if datum:
        items.append(Text((x + total - widths[2] / 2, y + H / 2), datum, H, "middle"))
    return tuple(items)


def tolerance_frame_width(value: str, datum: str) -> float:
    """Width of :func:`tolerance_frame`, mm."""
    w = 2 * H + width_of(value, H) + H
    return w + (max(2 * H, width_of(datum, H) + H) if datum else 0.0)


def glyph(kind: Kind, centre: Point) -> list[Item]:
    """The symbol of a geometrical tolerance on ISO 7083's grid of h/10."""
    u = H / 10
    cx, cy = centre

    def p(x: float, y: float) -> Point:
        return (cx + x * u, cy + y * u)

    if kind is Kind.CYLINDRICITY:
        # Two slanted lines touching the circle: 60° to the base, 4 units from the centre.
        s, c = math.sin(math.radians(60)), math.cos(math.radians(60))
        lines: list[Item] = []
        for side in (-1, 1):
            ox, oy = side * 4 * s, -side * 4 * c
            lines.append(
                Line((p(ox - 7 * c, oy - 7 * s), p(ox + 7 * c, oy + 7 * s)), LineStyle.SYMBOL)
            )
        return [Arc(centre, 4 * u, LineStyle.SYMBOL), *lines]
    # Circular run-out, radial and axial: an oblique arrow.
    a = math.degrees(math.atan2(14, 5))
    tip = p(2.5, 7)
    head = arrow(tip, a, LineStyle.SYMBOL)
    k = 0.75
    small = Fill(
        tuple((tip[0] + k * (x - tip[0]), tip[1] + k * (y - tip[1])) for x, y in head.points),
        LineStyle.SYMBOL,
    )
    return [Line((p(-2.5, -7), tip), LineStyle.SYMBOL), small]


def datum_feature(
    letter: str, tip: Point, down: bool, stem: float
) -> tuple[tuple[Item, ...], float]:
    """A filled datum triangle standing on ``tip`` with its letter in a square (ISO 5459); returns
    the items and the far end's y. ``down``: it hangs below the line it stands on."""
    x, y = tip
    k = -1.0 if down else 1.0
    half = H / 2
    top = y + k * H * 0.866
    box = y + k * stem
    far = box + k * 2 * H
    low = min(box, far)
    return (
        Fill(((x - half, y), (x + half, y), (x, top)), LineStyle.SYMBOL),
        Line(((x, top), (x, box)), LineStyle.SYMBOL),
        Line(
            ((x - H, low), (x + H, low), (x + H, low + 2 * H), (x - H, low + 2 * H)),
            LineStyle.SYMBOL,
            closed=True,
        ),
        Text((x, low + H / 2), letter, H, "middle"),
    ), far


def roughness(
    text: str, at: Point, height: float = SMALL, any_process: bool = False
) -> tuple[Item, ...]:
    """The symbol "material removal required" standing at ``at`` with ``text`` under its arm
    (ISO 1302:2002 proportions: H1 = 1.4 h, H2 = 3 h, legs at 60°); without its bar where
    ``any_process`` may have made the surface."""
    x, y = at
    h1, h2 = 1.4 * height, 3.0 * height
    c = math.tan(math.radians(30))
    arm = x + h2 * c + width_of(text, height) + 1.5
    bar = Line(((x - h1 * c, y + h1), (x + h1 * c, y + h1)), LineStyle.SYMBOL)
    return (
        Line(
            ((x - h1 * c, y + h1), (x, y), (x + h2 * c, y + h2), (arm, y + h2)),
            LineStyle.SYMBOL,
        ),
        *(() if any_process else (bar,)),
        Text((x + h2 * c - 0.2, y + h2 - height - 1.0), clean(text), height),
    )


def collective_roughness(text: str, exceptions: bool, at: Point) -> tuple[Item, ...]:
    """The surface texture of every surface without a symbol of its own; behind it, where there are
    others, the basic symbol in brackets (ISO 1302:2002)."""
    items = roughness(text, at)
    if not exceptions:
        return items
    x = at[0] + roughness_size(text)[1] + 3.0
    h1, h2 = 1.0 * SMALL, 2.1 * SMALL
    c = math.tan(math.radians(30))
    foot = (x + 2.2 + h1 * c, at[1] + 0.6)
    arm = (foot[0] + h2 * c, foot[1] + h2)
    end = arm[0] + 1.2
    return (
        *items,
        Text((x, at[1] + 1.4), "(", H),
        Line(
            ((foot[0] - h1 * c, foot[1] + h1), foot, (foot[0] + h2 * c, foot[1] + h2)),
            LineStyle.SYMBOL,
        ),
        Text((end, at[1] + 1.4), ")", H),
    )


def roughness_size(text: str, height: float = SMALL) -> tuple[float, float, float]:
    """How far the symbol reaches left, right and up of its foot, mm."""
    c = math.tan(math.radians(30))
    return 1.4 * height * c, 3 * height * c + width_of(text, height) + 1.5, 3 * height


def projection(third: bool, at: Point, h: float = SMALL) -> tuple[Item, ...]:
    """The projection symbol (ISO 5456-2), lower left corner at ``at``.

    A truncated cone seen from its small end lies, in first-angle projection, on the far side of
    the cone from that end: cone left (small end left), circles right. Third angle: circles left,
    next to the small end. Small circle h, large 2h, cone length 2h.
    """
    x, y = at
    cy = y + h
    x_cone = x + (2 * h + 2 if third else 0)
    x_eye = x + h if third else x + 2 * h + 2 + h
    end = x + 4 * h + 2
    return (
        Line(
            (
                (x_cone, cy - h / 2),
                (x_cone + 2 * h, cy - h),
                (x_cone + 2 * h, cy + h),
                (x_cone, cy + h / 2),
            ),
            LineStyle.SYMBOL,
            closed=True,
        ),
        Arc((x_eye, cy), h, LineStyle.SYMBOL),
        Arc((x_eye, cy), h / 2, LineStyle.SYMBOL),
        Line(((x - 1, cy), (end + 1, cy)), LineStyle.CENTRE),
        Line(((x_eye, cy - h - 1), (x_eye, cy + h + 1)), LineStyle.CENTRE),
    )


def edge_symbol(outer: tuple[str, str], inner: tuple[str, str], at: Point) -> tuple[Item, ...]:
    """ISO 13715 collective sign: an outside corner and an inside corner with their limits, the
    upper one above the lower."""
    x, y = at
    items: list[Item] = []
    for k, (limits, up) in enumerate(((outer, True), (inner, False))):
        ox = x + k * 27.0
        corner = (ox + 3, y + 3.6) if up else (ox + 3, y + 0.6)
        arms = (
            ((ox, y + 3.6), corner, (ox + 3, y + 0.6))
            if up
            else ((ox + 3, y + 3.6), corner, (ox + 6, y + 0.6))
        )
        items.append(Line(arms, LineStyle.OUTLINE))
        items.append(
            Line(
                (
                    corner,
                    (corner[0] + 2.5, y + (5.2 if up else 3.0)),
                    (ox + 8, y + (5.2 if up else 3.0)),
                ),
                LineStyle.SYMBOL,
            )
        )
        for limit, low in zip(limits, (3.6, 0.0), strict=True):
            items.append(Text((ox + 8.6, y + low), limit, SMALL))
    return tuple(items)
