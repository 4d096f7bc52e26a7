"""The maker's page's two pictures, as lines on paper: bars of a budget, bent axes."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from mandrelgen.core.tolerance import text_of
from mandrelgen.paper.drawing.model import Drawn, Fill, Line, LineStyle, Mark, Point, Text
from mandrelgen.paper.drawing.text_width import width_of, wrapped
from mandrelgen.paper.reports.assessment import Bar, Bow

LETTERS = 2.5
PITCH = 4.2
# Left end of the bars and the length of one that is all of the variance, mm on paper.
BAR_X, BAR_FULL, BAR_HEIGHT = 116.0, 110.0, 3.2
# Bent axes: from the picture's left to the clamp, room right of the far end, greatest drop, mm on
# paper.
CLAMP, BEYOND, DROP = 15.0, 20.0, 17.0
_GUTTER = 4.0
_STEPS = (1.0, 2.0, 5.0)
# No deflection is drawn larger than this: one too small to see is none.
LARGEST = 2000.0

Placed = tuple[float, tuple[Drawn, ...]]


def bars(causes: Sequence[Bar], left: float, right: float) -> list[Placed]:
    """One block for each cause: (height, drawn with its top at y = 0). All bars share one scale:
    ``per_share`` mm of paper for the whole variance."""
    full = per_share(causes, right)
    return [_bar(b, left, full) for b in causes]


def per_share(causes: Sequence[Bar], right: float) -> float:
    """Length of a bar of share 1, mm: the longest bar leaves room for the words behind it."""
    words = max((width_of(b.value, LETTERS) for b in causes), default=0.0) + 2.0
    longest = max((b.share for b in causes), default=1.0) or 1.0
    return min(BAR_FULL, (right - BAR_X - words) / longest)


def _bar(b: Bar, left: float, full: float) -> Placed:
    room = BAR_X - left - 2.0
    whole = f"{b.label} ({b.detail})"
    lines = wrapped(whole, LETTERS, room)
    if len(lines) > 1:
        lines = [*wrapped(b.label, LETTERS, room), *wrapped(b.detail, LETTERS, room)]
    height = len(lines) * PITCH + 1.0
    top = -(height - BAR_HEIGHT) / 2
    x1 = BAR_X + b.share * full
    box = ((BAR_X, top), (x1, top), (x1, top - BAR_HEIGHT), (BAR_X, top - BAR_HEIGHT))
    texts = _block(lines, left, 0.0)
    value = Text((x1 + 1.5, top - BAR_HEIGHT / 2 - LETTERS / 2), b.value, LETTERS)
    return height, (*texts, Mark("bar", b.id, (Fill(box, LineStyle.OUTLINE),)), value)


def bows(found: Sequence[Bow], left: float, right: float) -> list[Placed]:
    """The bent axes side by side as one block: (height, drawn with its top at y = 0)."""
    wide = (right - left - _GUTTER) / 2
    words = max(len(wrapped(b.caption, LETTERS, wide)) for b in found)
    drawn: list[Drawn] = []
    tall = 0.0
    for i, b in enumerate(found):
        height, more = _bow(b, left + i * (wide + _GUTTER), wide, words)
        tall = max(tall, height)
        drawn += more
    return [(tall, tuple(drawn))]


def _bow(b: Bow, left: float, wide: float, words: int) -> Placed:
    """A clamp at the left, the tool's arrow, the tailstock if it is up, a rule in mm and the
    scales in words. ``words``: lines kept free for the caption."""
    z0, z1 = b.points[0][0], b.points[-1][0]
    along = (wide - CLAMP - BEYOND) / (z1 - z0)
    across = _round_scale(max(abs(w) for _, w in b.points))
    at = -words * PITCH - 12.0

    def x(z: float) -> float:
        return left + CLAMP + (z - z0) * along

    curve = tuple((x(z), at - w * across) for z, w in b.points)
    role = "tailstock up" if b.tailstock else "tailstock away"
    out: list[Drawn] = [
        *_block(wrapped(b.caption, LETTERS, wide), left, 0.0),
        Line(((x(z0), at), (x(z1), at)), LineStyle.PHANTOM_SMALL),
        Mark("bow", role, (Line(curve, LineStyle.OUTLINE),)),
        *_clamp(x(z0), at),
        *_arrow(x(b.tool), at),
        *(_centre(x(z1), at) if b.tailstock else ()),
    ]
    low = at - DROP - 3.0
    out += _rule(x, z0, z1, low)
    scales = f"Along {_times(along)}, deflection {_times(across)}; mm from the seat."
    lines = wrapped(scales, LETTERS, wide)
    out += _block(lines, left, low - 6.0)
    return -low + 6.0 + len(lines) * PITCH, tuple(out)


def _block(lines: Sequence[str], x: float, y: float) -> list[Drawn]:
    return [Text((x, y - LETTERS - 0.6 - i * PITCH), t, LETTERS) for i, t in enumerate(lines)]


def _times(factor: float) -> str:
    return f"{text_of(factor, 2)}:1"


def _round_scale(most: float) -> float:
    """The largest scale of the row 1, 2, 5, 10 … at which ``most`` mm stay within the drop."""
    if most <= 0:
        return 1.0
    exact = min(LARGEST, DROP / most)
    decade = 10.0 ** math.floor(math.log10(exact))
    return max(s * decade for s in _STEPS if s * decade <= exact * (1 + 1e-9))


def _clamp(x: float, y: float) -> list[Drawn]:
    """The collet: a wall with short strokes behind it, and its name."""
    out: list[Drawn] = [Line(((x, y - 5.0), (x, y + 5.0)), LineStyle.OUTLINE)]
    out += [
        Line(((x - 2.0, y + i - 2.0), (x, y + i)), LineStyle.NARROW)
        for i in (-3.0, -1.0, 1.0, 3.0, 5.0)
    ]
    return [*out, Text((x - 3.5, y - LETTERS / 2), "collet", LETTERS, "right")]


def _arrow(x: float, y: float) -> list[Drawn]:
    """The tool's push, its point on the axis as it stood."""
    head: tuple[Point, ...] = ((x, y), (x - 0.9, y + 2.8), (x + 0.9, y + 2.8))
    return [
        Line(((x, y + 2.8), (x, y + 7.0)), LineStyle.SYMBOL),
        Fill(head, LineStyle.SYMBOL),
        Text((x, y + 7.8), "tool", LETTERS, "middle"),
    ]


def _centre(x: float, y: float) -> list[Drawn]:
    """The tailstock's centre, its point on the axis."""
    cone = ((x, y), (x + 4.0, y + 2.3), (x + 4.0, y - 2.3))
    return [
        Line(cone, LineStyle.SYMBOL, closed=True),
        Text((x + 5.0, y - LETTERS / 2), "tailstock", LETTERS),
    ]


def _rule(place: Callable[[float], float], z0: float, z1: float, y: float) -> list[Drawn]:
    """Marks along the axis at round mm from the seat, their numbers apart."""
    widest = max(width_of(f"−{abs(z):.0f}", LETTERS) for z in (z0, z1)) + 1.0
    step = next(
        s
        for s in (5.0, 10.0, 20.0, 50.0, 100.0, 1000.0)
        if (z1 - z0) / s <= 8 and place(s) - place(0.0) >= widest
    )
    out: list[Drawn] = [Line(((place(z0), y), (place(z1), y)), LineStyle.NARROW)]
    for i in range(math.ceil(z0 / step - 1e-9), math.floor(z1 / step + 1e-9) + 1):
        at = place(i * step)
        out.append(Line(((at, y), (at, y - 1.2)), LineStyle.NARROW))
        text = f"{i * step:g}".replace("-", "−")
        out.append(Text((at, y - 1.2 - LETTERS - 0.6), text, LETTERS, "middle"))
    return out
