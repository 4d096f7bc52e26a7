"""Dimensions as geometry: lines, arrows, text, and the places they may take."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from mandrelgen.paper.drawing.label_ground import Candidate, Ways
from mandrelgen.paper.drawing.label_placement import Annotation
from mandrelgen.paper.drawing.model import (
    Dimension,
    Drawn,
    Item,
    Line,
    LineStyle,
    Mark,
    Point,
    Text,
)
from mandrelgen.paper.drawing.segments import Box, Segment
from mandrelgen.paper.drawing.symbols import ARROW, BALLOON_RADIUS, SMALL, H, arrow, balloon
from mandrelgen.paper.drawing.text_width import width_of

# Extension lines pass the dimension line by this much; text stands this far above it.
OVER = 1.5
LIFT = 1.25
# A number's circle stands so much higher than the middle of the text before it: else the heavy
# one's edge would lie on the dimension line.
RAISED = 0.5
PITCH = 7.5
# Stacked deviations: behind the number, their base lines above the dimension line.
STACK_GAP = 0.8
STACK_LOW, STACK_HIGH = 0.6, 3.9
TAIL = 5.0
# Lettering beside its dimension line begins so far from the line's end, which others share, mm.
BESIDE = 1.3
# A frame over the extension line that its leader touches leaves so much of air above the line, mm;
# one that does not costs so many rows more: line and arrow would read as a part of its box.
UNDER, SQUEEZED = 4.0, 3.0
# Leaders and dimension lines stay this far from one another.
APART = 3.5


@dataclass(frozen=True)
class Label:
    """What is written at a dimension: id and balloon number (0: none), and the text's parts."""

    id: str
    number: int
    before: str
    value: str
    after: str
    override: str = ""
    # Deviations one above the other, and what stands behind them.
    stack: tuple[str, str] | None = None
    tail: str = ""
    # The id of another characteristic said by the same text (a chamfer's angle).
    also: str = ""

    @property
    def text(self) -> str:
        """The whole text on one line; stacked deviations in brackets."""
        deviations = f" ({self.stack[0]}/{self.stack[1]})" if self.stack else ""
        return self.override or f"{self.line}{deviations}{self.tail}"

    @property
    def line(self) -> str:
        """What stands on the line, in front of stacked deviations."""
        return self.override or f"{self.before}{self.value}{self.after}"

    # Remembered: every place a label may take asks for its size.
    @cached_property
    def text_width(self) -> float:
        """Width of the text, mm."""
        w = width_of(self.line, H)
        if self.stack:
            w += STACK_GAP + max(_stacked_width(t) for t in self.stack)
            w += width_of(self.tail, H)
        return w

    @cached_property
    def width(self) -> float:
        """Width of text and balloon, mm."""
        return self.text_width + (2 * BALLOON_RADIUS + 1) * bool(self.number)

    @cached_property
    def height(self) -> float:
        """How far the text reaches above its line, mm."""
        circle = LIFT + H / 2 + RAISED + BALLOON_RADIUS
        return max(STACK_HIGH + SMALL, circle) if self.stack else circle


def _stacked_width(text: str) -> float:
    """A nought without a sign stands under the figures, not under the sign."""
    return width_of(text if text[0] in "+−" else f"+{text}", SMALL)


def written(
    label: Label, x: float, y: float, text_first: bool = True
) -> tuple[tuple[Text, ...], tuple[Drawn, ...]]:
    """Text and balloon in a strip that starts at ``x``, on a line at height ``y``; the first text
    is the number's."""
    step = 2 * BALLOON_RADIUS + 1
    left = x if text_first or not label.number else x + step
    texts = [Text((left, y + LIFT), label.line, H)]
    if label.stack:
        at = left + width_of(label.line, H) + STACK_GAP
        for text, high in zip(label.stack, (STACK_HIGH, STACK_LOW), strict=True):
            inset = 0.0 if text[0] in "+−" else width_of("+", SMALL)
            texts.append(Text((at + inset, y + high), text, SMALL))
        if label.tail:
            end = left + label.text_width - width_of(label.tail, H)
            texts.append(Text((end, y + LIFT), label.tail, H))
    first = x + label.text_width + 1 + BALLOON_RADIUS if text_first else x + BALLOON_RADIUS
    more: list[Drawn] = []
    if label.number:
        more.append(balloon(label.number, (first, y + LIFT + H / 2 + RAISED), label.id))
    if label.also:
        more.append(Mark("angle", label.also, ()))
    return tuple(texts), tuple(more)


def strip(x: float, y: float, label: Label) -> Box:
    """The box of :func:`written`, from its left end on a line at height ``y``."""
    return (x, y + 0.1, x + label.width, y + label.height)


def horizontal(
    label: Label, p: Point, q: Point, rows: Iterable[float], per_mm: float, rank: float = 0.0
) -> Annotation:
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
    return Annotation(
        name=label.id or label.text,
        candidates=Ways.of(out),
        paths=paths,
        rank=rank,
        fixed=True,
        second=second,
    )


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
        x = q[0] + (BESIDE if inside else ARROW + 0.6)
        b = max(b, x + label.width)
    else:
        x = p[0] - (BESIDE if inside else ARROW + 0.6) - label.width
        a = min(a, x)
    sign = 1.0 if y > p[1] else -1.0
    lines: list[Segment] = [(a, y, b, y)]
    for e in (p, q):
        lines.append((e[0], e[1], e[0], y + sign * OVER))

    def build() -> tuple[Drawn, ...]:
        texts, more = written(label, x, y)
        items: list[Item] = [Line(((s[0], s[1]), (s[2], s[3])), LineStyle.DIM) for s in lines]
        items += [arrow((p[0], y), 180 if inside else 0), arrow((q[0], y), 0 if inside else 180)]
        return (_dimension(label, p, q, (p[0], y), 0.0, per_mm, texts, items), *more)

    return Candidate(
        boxes=(strip(x, y, label),),
        lines=tuple(lines),
        cost=cost,
        build=build,
        span=(p[0], y, q[0], y),
        heads=((p[0], y), (q[0], y)),
    )


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
    shifts: tuple[float, ...] = (0.0,),
) -> Annotation:
    """A diameter across the axis (y = 0, half size ``half``) at one of ``places`` (x), its text on
    a shelf at one of ``levels`` (y). ``one_sided``: only the arrow at ``surface`` is drawn; ``far``
    is then the y of the other end, off the view. ``shifts``: how far beside the place its line may
    stand, on extension lines."""
    costs: list[float] = []
    ways: list[tuple[float, float, float, int, float]] = []
    spots = tuple(places)
    start = half if surface is None else surface
    other = -half if far is None else far
    for k, y in enumerate(levels):
        for i, x in enumerate(spots):
            for (j, shift), side in itertools.product(enumerate(shifts), (1, -1)):
                cost = k + 0.12 * (i + j)
                costs.append(cost)
                ways.append((x, shift, y, side, cost))
    found = Ways(costs, lambda n: _vertical(label, (start, other), per_mm, one_sided, *ways[n]))
    up = 1.0 if found[0].lines[1][1] > start else -1.0
    x = spots[0] + shifts[0]
    return Annotation(label.id, found, ((x, start, x, start + up * 400),), rank)


def _vertical(
    label: Label,
    ends: tuple[float, float],
    per_mm: float,
    one_sided: bool,
    foot: float,
    shift: float,
    y: float,
    side: int,
    cost: float,
) -> Candidate:
    w = label.width + 1.5
    near, other = ends
    p, q = (foot, near), (foot, other)
    x = foot + shift
    beyond = x + math.copysign(OVER, shift)
    extensions = [] if not shift else [near] if one_sided else [near, other]
    inside = abs(near - other) >= 3 * ARROW
    low = near if one_sided else (other if inside else other - TAIL)
    if not one_sided and y < other:
        low = near if inside else near + TAIL
    stem: Segment = (x, low, x, y)
    shelf: Segment = (x, y, x + side * w, y)
    left = x + 1.0 if side > 0 else x - w + 0.5

    def build() -> tuple[Drawn, ...]:
        texts, more = written(label, left, y, side > 0)
        items: list[Item] = [
            Line(((x, low), (x, y), (x + side * w, y)), LineStyle.DIM),
        ]
        if one_sided:
            items.append(arrow((x, near), 90 if y < near else 270))
        else:
            items.append(arrow((x, near), 90 if inside else 270))
            items.append(arrow((x, other), 270 if inside else 90))
        items += [Line(((foot, e), (beyond, e)), LineStyle.DIM) for e in extensions]
        return (_dimension(label, p, q, (x, 0.0), 90.0, per_mm, texts, items, one_sided), *more)

    lines = (stem, shelf, *[(foot, e, beyond, e) for e in extensions])
    return Candidate(
        boxes=(strip(left, y, label),),
        lines=lines,
        cost=cost,
        build=build,
        apart=APART,
        leader=2,
        heads=((x, near),) if one_sided else ((x, near), (x, other)),
    )


def _dimension(
    label: Label,
    p: Point,
    q: Point,
    at: Point,
    angle: float,
    per_mm: float,
    texts: tuple[Text, ...],
    items: list[Item],
    one_sided: bool = False,
) -> Dimension:
    return Dimension(
        id=label.id,
        p=p,
        q=q,
        at=at,
        angle=angle,
        per_mm=per_mm,
        before=label.before,
        value=label.value,
        after=label.after,
        text=label.text,
        text_at=middle_of(label, texts),
        items=(*items, *texts),
        one_sided=one_sided,
        stack=label.stack,
        tail=label.tail,
    )


def middle_of(label: Label, texts: tuple[Text, ...]) -> Point:
    """The middle of what :func:`written` lettered."""
    x, y = texts[0].at
    return (x + label.text_width / 2, y + H / 2)


class Flag(NamedTuple):
    """Something on a leader that is not a dimension: its size, how far its line stands above its
    lower edge, and how it is drawn with its lower left corner at a point, the leader coming from
    the left (1) or the right (−1)."""

    name: str
    width: float
    height: float
    joint: float
    draw: object


class Tip(NamedTuple):
    """Where a leader's arrow ends and where it points to, in degrees: 270 from above, 90 from
    below, 180 from the right, 0 from the left; ``rim`` is where an extension line begins that it
    touches instead of the surface itself."""

    at: Point
    angle: float
    rim: Point | None = None


def flagged(
    flag: Flag, tips: Iterable[Tip], levels: Iterable[float], rank: float = 0.0
) -> Annotation:
    """``flag`` on a leader whose arrow touches one of ``tips``."""
    costs: list[float] = []
    ways: list[tuple[Tip, float, int, float, float]] = []
    spots = tuple(tips)
    rows = tuple(levels)
    for k, y in enumerate(rows):
        for i, tip in enumerate(spots):
            runs = (5.0, 4.0, 7.0, 10.0) if tip.angle in (0.0, 180.0) else (0.0,)
            for j, run in enumerate(runs):
                for side in (1, -1):
                    back = tip.angle == (180.0 if side < 0 else 0.0)
                    squeezed = back and y < tip.at[1] + OVER + UNDER
                    cost = k + 0.12 * (i + j) + SQUEEZED * squeezed
                    costs.append(cost)
                    ways.append((tip, y, side, cost, run))
    found = Ways(costs, lambda n: _flag(flag, *ways[n]))
    first = spots[0].at
    sign = 1.0 if rows[0] > first[1] else -1.0
    return Annotation(
        flag.name, found, ((first[0], first[1], first[0], first[1] + sign * 400),), rank
    )


def _flag(flag: Flag, tip: Tip, y: float, side: int, cost: float, run: float) -> Candidate:
    foot = tip.at
    points = [tip.at]
    if tip.angle in (0.0, 180.0):
        foot = (tip.at[0] + (run if tip.angle == 180.0 else -run), tip.at[1])
        points.append(foot)
    joint = y + flag.joint
    end = foot[0] + side * 2.0
    points += [(foot[0], joint), (end, joint)]
    left = end if side > 0 else end - flag.width
    lines = [(a[0], a[1], b[0], b[1]) for a, b in itertools.pairwise(points)]
    more: tuple[Drawn, ...] = ()
    if tip.rim is not None:
        level = tip.rim[1] == tip.at[1]
        beyond = (tip.at[0] + OVER, tip.at[1]) if level else (tip.at[0], tip.at[1] + OVER)
        lines.append((*tip.rim, *beyond))
        more = (Line((tip.rim, beyond), LineStyle.DIM),)

    def build() -> tuple[Drawn, ...]:
        draw = flag.draw
        assert callable(draw)
        drawn: tuple[Drawn, ...] = draw((left, y), side)
        return (Line(tuple(points), LineStyle.DIM), arrow(tip.at, tip.angle), *more, *drawn)

    box = (left, y, left + flag.width, y + flag.height)
    return Candidate(
        boxes=(box,),
        lines=tuple(lines),
        cost=cost,
        build=build,
        apart=APART,
        leader=len(points) - 1,
        heads=(tip.at,),
    )
