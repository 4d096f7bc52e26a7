"""Dimensions as geometry: lines, arrows, text, and the places they may take."""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from dataclasses import dataclass

from mandrelgen.sheet.lettering import width_of
from mandrelgen.sheet.model import Dimension, Drawn, Item, Line, Mark, Pen, Point, Text
from mandrelgen.sheet.placing import Box, Candidate, Segment, Wish
from mandrelgen.sheet.symbols import ARROW, BALLOON_RADIUS, H, arrow, balloon

# Extension lines pass the dimension line by this much; text stands this far above it.
OVER = 1.5
LIFT = 1.25
PITCH = 7.5
TAIL = 5.0
# Leaders and dimension lines stay this far from one another.
APART = 3.5


@dataclass(frozen=True, slots=True)
class Label:
    """What is written at a dimension: id and balloon number (0: none), and the text's parts."""

    id: str
    number: int
    before: str
    value: str
    after: str
    override: str = ""
    # Another characteristic said by the same text (a chamfer's angle): id and balloon number.
    also: tuple[str, int] | None = None

    @property
    def balloons(self) -> tuple[tuple[str, int], ...]:
        """The balloons behind the text."""
        own = ((self.id, self.number),) if self.number else ()
        return (*own, self.also) if self.also else own

    @property
    def text(self) -> str:
        """The whole text."""
        return self.override or f"{self.before}{self.value}{self.after}"

    @property
    def width(self) -> float:
        """Width of text and balloon, mm."""
        return width_of(self.text, H) + (2 * BALLOON_RADIUS + 1) * len(self.balloons)


def written(
    label: Label, x: float, y: float, text_first: bool = True
) -> tuple[Text, tuple[Drawn, ...]]:
    """Text and balloon in a strip that starts at ``x``, on a line at height ``y``."""
    w = width_of(label.text, H)
    step = 2 * BALLOON_RADIUS + 1
    text = Text((x if text_first else x + step * len(label.balloons), y + LIFT), label.text, H)
    first = x + w + 1 + BALLOON_RADIUS if text_first else x + BALLOON_RADIUS
    more: list[Drawn] = [
        balloon(number, (first + step * i, y + LIFT + H / 2), id)
        for i, (id, number) in enumerate(label.balloons)
    ]
    if label.also is not None:
        more.append(Mark("angle", label.also[0], ()))
    return text, tuple(more)


def strip(x: float, y: float, width: float) -> Box:
    """The box of :func:`written`, from its left end on a line at height ``y``."""
    return (x, y + 0.1, x + width, y + LIFT + H / 2 + BALLOON_RADIUS)


def horizontal(
    label: Label, p: Point, q: Point, rows: Iterable[float], per_mm: float, rank: float = 0.0
) -> Wish:
    """A length between ``p`` and ``q`` (left, right), its line on one of ``rows`` (y)."""
    if p[0] > q[0]:
        p, q = q, p
    out: list[Candidate] = []
    for k, y in enumerate(rows):
        for where, extra in (("in", 0.0), ("right", 1.2), ("left", 1.2)):
            c = _horizontal(label, p, q, y, per_mm, where, k + extra)
            if c is not None:
                out.append(c)
    far = out[-1].lines[0][1]
    down = -1.0 if far < p[1] else 1.0
    paths = tuple((e[0], e[1], e[0], e[1] + down * 400) for e in (p, q))
    # Text beside its dimension line has room once the lines of its neighbours have ended: longer
    # ones first.
    span = q[0] - p[0]
    second = 0.0 if label.width + 3.0 <= span else 1000.0 - span
    return Wish(label.id or label.text, tuple(out), paths, rank, fixed=True, second=second)


def _horizontal(
    label: Label, p: Point, q: Point, y: float, per_mm: float, where: str, cost: float
) -> Candidate | None:
    span = q[0] - p[0]
    inside = span >= 3 * ARROW
    if where == "in" and label.width + 3.0 > span:
        return None
    a, b = (p[0], q[0]) if inside else (p[0] - TAIL, q[0] + TAIL)
    if where == "in":
        x = (p[0] + q[0] - label.width) / 2
    elif where == "right":
        x = q[0] + (1.0 if inside else ARROW + 0.6)
        b = max(b, x + label.width)
    else:
        x = p[0] - (1.0 if inside else ARROW + 0.6) - label.width
        a = min(a, x)
    sign = 1.0 if y > p[1] else -1.0
    lines: list[Segment] = [(a, y, b, y)]
    for e in (p, q):
        lines.append((e[0], e[1], e[0], y + sign * OVER))

    def build() -> tuple[Drawn, ...]:
        text, more = written(label, x, y)
        items: list[Item] = [Line(((s[0], s[1]), (s[2], s[3])), Pen.DIM) for s in lines]
        items += [arrow((p[0], y), 180 if inside else 0), arrow((q[0], y), 0 if inside else 180)]
        return (_dimension(label, p, q, (p[0], y), 0.0, per_mm, text, items), *more)

    return Candidate((strip(x, y, label.width),), tuple(lines), cost, build)


def vertical(
    label: Label,
    places: Iterable[float],
    half: float,
    levels: Iterable[float],
    per_mm: float,
    one_sided: bool = False,
    surface: float | None = None,
    far: float | None = None,
    rank: float = 0.0,
) -> Wish:
    """A diameter across the axis (y = 0, half size ``half``) at one of ``places`` (x), its text on
    a shelf at one of ``levels`` (y). ``one_sided``: only the arrow at ``surface`` is drawn; ``far``
    is then the y of the other end, off the view."""
    out: list[Candidate] = []
    spots = tuple(places)
    start = half if surface is None else surface
    other = -half if far is None else far
    for k, y in enumerate(levels):
        for i, x in enumerate(spots):
            for side in (1, -1):
                out.append(
                    _vertical(label, x, (start, other), y, per_mm, side, k + 0.12 * i, one_sided)
                )
    up = 1.0 if out[0].lines[1][1] > start else -1.0
    return Wish(label.id, tuple(out), ((spots[0], start, spots[0], start + up * 400),), rank)


def _vertical(
    label: Label,
    x: float,
    ends: tuple[float, float],
    y: float,
    per_mm: float,
    side: int,
    cost: float,
    one_sided: bool,
) -> Candidate:
    w = label.width + 1.5
    near, other = ends
    p, q = (x, near), (x, other)
    inside = abs(near - other) >= 3 * ARROW
    low = near if one_sided else (other if inside else other - TAIL)
    if not one_sided and y < other:
        low = near if inside else near + TAIL
    stem: Segment = (x, low, x, y)
    shelf: Segment = (x, y, x + side * w, y)
    left = x + 1.0 if side > 0 else x - w + 0.5

    def build() -> tuple[Drawn, ...]:
        text, more = written(label, left, y, side > 0)
        items: list[Item] = [
            Line(((x, low), (x, y), (x + side * w, y)), Pen.DIM),
        ]
        if one_sided:
            items.append(arrow(p, 90 if y < near else 270))
        else:
            items += [arrow(p, 90 if inside else 270), arrow(q, 270 if inside else 90)]
        return (_dimension(label, p, q, (x, 0.0), 90.0, per_mm, text, items, one_sided), *more)

    return Candidate((strip(left, y, label.width),), (stem, shelf), cost, build, APART)


def _dimension(
    label: Label,
    p: Point,
    q: Point,
    at: Point,
    angle: float,
    per_mm: float,
    text: Text,
    items: list[Item],
    one_sided: bool = False,
) -> Dimension:
    middle = (text.at[0] + text.width / 2, text.at[1] + H / 2)
    return Dimension(
        label.id,
        p,
        q,
        at,
        angle,
        per_mm,
        label.before,
        label.value,
        label.after,
        label.text,
        middle,
        (*items, text),
        one_sided,
    )


@dataclass(frozen=True, slots=True)
class Flag:
    """Something on a leader that is not a dimension: its size, how far its line stands above its
    lower edge, and how it is drawn with its lower left corner at a point."""

    name: str
    width: float
    height: float
    joint: float
    draw: object


def flagged(
    flag: Flag,
    tips: Iterable[tuple[Point, float]],
    levels: Iterable[float],
    rank: float = 0.0,
) -> Wish:
    """``flag`` on a leader whose arrow touches one of ``tips`` (point, the arrow's direction in
    degrees: 270 from above, 90 from below, 180 from the right, 0 from the left)."""
    out: list[Candidate] = []
    spots = tuple(tips)
    rows = tuple(levels)
    for k, y in enumerate(rows):
        for i, (tip, angle) in enumerate(spots):
            runs = (5.0, 4.0, 7.0, 10.0) if angle in (0.0, 180.0) else (0.0,)
            for j, run in enumerate(runs):
                for side in (1, -1):
                    out.append(_flag(flag, tip, angle, y, side, k + 0.12 * (i + j), run))
    first = spots[0][0]
    sign = 1.0 if rows[0] > first[1] else -1.0
    return Wish(
        flag.name, tuple(out), ((first[0], first[1], first[0], first[1] + sign * 400),), rank
    )


def _flag(
    flag: Flag, tip: Point, angle: float, y: float, side: int, cost: float, run: float
) -> Candidate:
    foot = tip
    points = [tip]
    if angle in (0.0, 180.0):
        foot = (tip[0] + (run if angle == 180.0 else -run), tip[1])
        points.append(foot)
    joint = y + flag.joint
    end = foot[0] + side * 2.0
    points += [(foot[0], joint), (end, joint)]
    left = end if side > 0 else end - flag.width
    lines = tuple((a[0], a[1], b[0], b[1]) for a, b in itertools.pairwise(points))

    def build() -> tuple[Drawn, ...]:
        draw = flag.draw
        assert callable(draw)
        drawn: tuple[Drawn, ...] = draw((left, y))
        leader: tuple[Drawn, ...] = (Line(tuple(points), Pen.DIM), arrow(tip, angle))
        return (*leader, *drawn)

    return Candidate(((left, y, left + flag.width, y + flag.height),), lines, cost, build, APART)
