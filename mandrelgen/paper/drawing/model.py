"""What a sheet of paper shows, as plain values.

Every coordinate and height is in mm **on paper**, origin at the lower left corner of the trimmed
sheet, angles in degrees anticlockwise. A drawing file that wants true size divides by
``Sheet.scale`` about ``Sheet.origin`` (the point of the paper where z = 0, r = 0 of the main view
lies; of a second sheet, which shows no main view, a point left of the paper, so that both sheets
stand beside one another in one drawing file).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from enum import Enum
from typing import NamedTuple

from mandrelgen.core.frozen import dataclass
from mandrelgen.paper.drawing.hatching import section_lines
from mandrelgen.paper.drawing.text_width import width_of

Point = tuple[float, float]
Box = tuple[float, float, float, float]
# Letters that reach below the base line: a little, and with a descender.
_LOW, _DEEP = frozenset("()[]{}Q,;/"), frozenset("gjpqyçµ")


class LineStyle(Enum):
    """The lines of ISO 128-2: layer name, line width in mm, dash pattern in mm."""

    OUTLINE = ("OUTLINE", 0.5, ())
    THREAD = ("THREAD_ROOT", 0.25, ())
    EDGE = ("FRAME_WIDE", 0.7, ())
    GRID = ("FRAME", 0.35, ())
    CENTRE = ("CENTRE", 0.25, (8.0, 1.5, 0.25, 1.5))
    PHANTOM = ("PHANTOM", 0.25, (8.0, 1.25, 0.25, 1.25, 0.25, 1.25))
    PHANTOM_SMALL = ("PHANTOM_SMALL", 0.25, (3.0, 0.75, 0.25, 0.75, 0.25, 0.75))
    PLANE = ("CUTTING_PLANE", 0.5, (6.0, 1.5, 0.25, 1.5))
    HATCH = ("HATCH", 0.25, ())
    NARROW = ("NARROW", 0.25, ())
    DIM = ("DIMENSION", 0.25, ())
    SYMBOL = ("SYMBOL", 0.35, ())
    TEXT = ("TEXT", 0.35, ())
    TABLE = ("TABLE", 0.25, ())
    BALLOON = ("BALLOON", 0.25, ())
    INSPECTED = ("INSPECTED", 0.7, ())
    PICTURE = ("PICTURE", 0.13, ())

    @property
    def layer(self) -> str:
        """The layer's name in the drawing file."""
        return str(self.value[0])

    @property
    def width(self) -> float:
        """Line width on paper, mm."""
        return float(self.value[1])

    @property
    def dashes(self) -> tuple[float, ...]:
        """Dash, gap, dash … on paper, mm; empty: continuous."""
        return tuple(self.value[2])


class Line(NamedTuple):
    """A chain of straight pieces, closed back to its start if ``closed``."""

    points: tuple[Point, ...]
    pen: LineStyle
    closed: bool = False

    # Items are moved by the thousand: their constructor takes a third of dataclasses.replace.
    def moved(self, dx: float, dy: float) -> Line:
        """The same, shifted."""
        return Line(tuple([(x + dx, y + dy) for x, y in self.points]), self.pen, self.closed)


@dataclass(frozen=True, slots=True)
class Arc:
    """An arc anticlockwise from ``start`` to ``end`` degrees; 360 apart: a full circle."""

    centre: Point
    radius: float
    pen: LineStyle
    start: float = 0.0
    end: float = 360.0

    @property
    def sweep(self) -> float:
        """Degrees from start to end, 360 of a full circle."""
        turn = self.end - self.start
        return 360.0 if abs(turn) >= 360.0 else turn % 360.0

    def moved(self, dx: float, dy: float) -> Arc:
        """The same, shifted."""
        at = (self.centre[0] + dx, self.centre[1] + dy)
        return Arc(centre=at, radius=self.radius, pen=self.pen, start=self.start, end=self.end)


class Fill(NamedTuple):
    """A filled polygon (arrow heads, datum triangles, a picture's surfaces); ``light``: 0 is black,
    1 white."""

    points: tuple[Point, ...]
    pen: LineStyle
    light: float = 0.0

    def moved(self, dx: float, dy: float) -> Fill:
        """The same, shifted."""
        return Fill(tuple([(x + dx, y + dy) for x, y in self.points]), self.pen, self.light)


@dataclass(frozen=True, slots=True)
class Hatch:
    """Section lines at ``angle`` degrees, ``pitch`` mm apart, inside ``loops`` (even-odd); one of
    them goes through the point ``through``, its view's own origin, and moves with the view."""

    loops: tuple[tuple[Point, ...], ...]
    pitch: float
    pen: LineStyle = LineStyle.HATCH
    angle: float = 45.0
    through: Point = (0.0, 0.0)

    @property
    def items(self) -> tuple[Line, ...]:
        """The section lines."""
        found = section_lines(self.loops, self.pitch, self.angle, self.through)
        return tuple(Line(ends, self.pen) for ends in found)

    def moved(self, dx: float, dy: float) -> Hatch:
        """The same, shifted."""
        return replace(
            self,
            loops=tuple(tuple((x + dx, y + dy) for x, y in loop) for loop in self.loops),
            through=(self.through[0] + dx, self.through[1] + dy),
        )


class Text(NamedTuple):
    """One line of lettering; ``at`` is its left, middle or right point on the base line."""

    at: Point
    text: str
    height: float
    align: str = "left"
    angle: float = 0.0
    pen: LineStyle = LineStyle.TEXT

    def moved(self, dx: float, dy: float) -> Text:
        """The same, shifted."""
        at = (self.at[0] + dx, self.at[1] + dy)
        return Text(
            at=at,
            text=self.text,
            height=self.height,
            align=self.align,
            angle=self.angle,
            pen=self.pen,
        )

    @property
    def width(self) -> float:
        """Length of the line, mm."""
        return width_of(self.text, self.height)

    def corners(self) -> tuple[Point, Point, Point, Point]:
        """The oriented box the letters stand in, descenders included."""
        w, h = self.width, self.height
        x0 = {"left": 0.0, "middle": -w / 2, "right": -w}[self.align]
        c, s = math.cos(math.radians(self.angle)), math.sin(math.radians(self.angle))
        # Descenders of the font reach 0.29 of the capital height below the line, brackets 0.18.
        low = 0.0
        if not _LOW.isdisjoint(self.text):
            low = -0.18 * h
        if not _DEEP.isdisjoint(self.text):
            low = -0.29 * h
        box = ((x0, low), (x0 + w, low), (x0 + w, h), (x0, h))
        ax, ay = self.at
        a, b, d, e = ((ax + x * c - y * s, ay + x * s + y * c) for x, y in box)
        return a, b, d, e


Item = Line | Arc | Fill | Hatch | Text


@dataclass(frozen=True, slots=True, kw_only=True)
class Dimension:
    """A real dimension: ``p`` to ``q`` measured along ``angle``, drawn as ``items``.

    ``at`` lies on the dimension line, ``per_mm`` is the view's paper mm for each mm of the part,
    so that ``measured`` is in mm of the part. ``before``/``after`` surround ``value``, the measured
    number as printed (empty if the text is no number: a thread's name); ``stack`` are deviations
    one above the other behind it, ``tail`` what follows; ``text`` is the whole on one line.
    ``one_sided``: only the arrow at ``p`` is drawn. ``kind`` is ``linear`` or ``angular`` (then
    ``vertex`` is set and the measure is in degrees).
    """

    id: str
    p: Point
    q: Point
    at: Point
    angle: float
    per_mm: float
    before: str
    value: str
    after: str
    text: str
    text_at: Point
    items: tuple[Item, ...]
    one_sided: bool = False
    kind: str = "linear"
    vertex: Point = (0.0, 0.0)
    stack: tuple[str, str] | None = None
    tail: str = ""

    @property
    def measured(self) -> float:
        """What a CAD program measures here: mm, or degrees of an angular dimension."""
        if self.kind == "angular":
            a = math.atan2(self.p[1] - self.vertex[1], self.p[0] - self.vertex[0])
            b = math.atan2(self.q[1] - self.vertex[1], self.q[0] - self.vertex[0])
            return math.degrees((b - a) % math.tau)
        a = math.radians(self.angle)
        dx, dy = self.q[0] - self.p[0], self.q[1] - self.p[1]
        return abs(dx * math.cos(a) + dy * math.sin(a)) / self.per_mm

    def moved(self, dx: float, dy: float) -> Dimension:
        """The same, shifted."""

        def m(p: Point) -> Point:
            return (p[0] + dx, p[1] + dy)

        return replace(
            self,
            p=m(self.p),
            q=m(self.q),
            at=m(self.at),
            text_at=m(self.text_at),
            vertex=m(self.vertex),
            items=tuple(i.moved(dx, dy) for i in self.items),
        )


@dataclass(frozen=True, slots=True)
class Mark:
    """Drawn items that stand for one thing: a tolerance frame, a roughness symbol, a balloon, a
    table row. ``id`` is the characteristic's, or empty; ``role`` names what it is."""

    role: str
    id: str
    items: tuple[Item, ...]

    def moved(self, dx: float, dy: float) -> Mark:
        """The same, shifted."""
        return Mark(self.role, self.id, tuple([i.moved(dx, dy) for i in self.items]))


Drawn = Item | Dimension | Mark


@dataclass(frozen=True, slots=True)
class Table:
    """A table for the pages behind the drawing: texts only; ``ids`` names each row's
    characteristic (empty where there is none). ``widths`` are shares of the page's width.
    ``new_page``: it begins one."""

    title: str
    heads: tuple[str, ...]
    widths: tuple[float, ...]
    rows: tuple[tuple[str, ...], ...]
    ids: tuple[str, ...] = ()
    new_page: bool = False


class Page(NamedTuple):
    """One A4 page behind the drawing, drawn as a whole; ``title`` names it in the PDF's list of
    contents (empty: it goes on from the page before)."""

    title: str
    drawn: tuple[Drawn, ...]

    def texts(self) -> tuple[Text, ...]:
        """Every line of lettering on the page."""
        return tuple(i for i in flat(self.drawn) if isinstance(i, Text))


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One drawing: paper size and scale, everything drawn, and what goes with it: ``more`` sheets
    of the same drawing; ``tables`` of its sizes and ``behind`` the turner's, for the making pages;
    ``first``, ``leaves``, ``own``: the maker's word and decisions, what it bears, inspection.
    ``main``: the field of the main view with its dimension lines; ``fields``: those of title block
    and notes. ``crowded`` of the first sheet names what is crowded on any."""

    number: str
    revision: str
    date: str
    title: str
    subject: str
    owner: str
    author: str
    paper: str
    width: float
    height: float
    frame: tuple[float, float, float, float]
    scale: float
    scale_text: str
    origin: Point
    drawn: tuple[Drawn, ...]
    tables: tuple[Table, ...] = ()
    issued: bool = True
    status: str = ""
    crowded: tuple[str, ...] = ()
    leaves: tuple[Page, ...] = ()
    behind: tuple[Table, ...] = ()
    first: tuple[Table, ...] = ()
    own: tuple[Table, ...] = ()
    more: tuple[Sheet, ...] = ()
    main: Box | None = None
    fields: tuple[Box, ...] = ()

    @property
    def sheets(self) -> tuple[Sheet, ...]:
        """Every sheet of the drawing, this one first."""
        return (self, *self.more)

    def dimensions(self) -> tuple[Dimension, ...]:
        """Every dimension on this sheet and the further ones, in drawing order."""
        return tuple(d for s in self.sheets for d in s.drawn if isinstance(d, Dimension))

    def marks(self, role: str = "") -> tuple[Mark, ...]:
        """Every mark on this sheet and the further ones, or those of one role."""
        every = (d for s in self.sheets for d in s.drawn)
        return tuple(d for d in every if isinstance(d, Mark) and role in ("", d.role))

    def items(self) -> Iterator[Item]:
        """Every item drawn on this sheet, those inside dimensions and marks included."""
        return flat(self.drawn)

    def texts(self) -> tuple[Text, ...]:
        """Every line of lettering on this sheet."""
        return tuple(i for i in self.items() if isinstance(i, Text))


def flat(drawn: tuple[Drawn, ...]) -> Iterator[Item]:
    """The items of ``drawn``, those inside dimensions and marks included."""
    for d in drawn:
        if isinstance(d, Dimension | Mark):
            yield from d.items
        else:
            yield d
