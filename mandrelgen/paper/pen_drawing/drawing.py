"""The pen in one state as a drawing: marks with the key of the pen file each speaks of.

Above the axis the section, below it the outside. Coordinates are mm on paper, origin at the lower
left corner. A mark's ``role`` is its class (``part part-0``, ``wall wall-error`` …), its ``id``
the key.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from mandrelgen.assess.resolved import ResolvedPen
from mandrelgen.core.errors import Level
from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import text_of
from mandrelgen.paper.drawing.model import Arc, Fill, Item, Line, LineStyle, Mark, Point, Text
from mandrelgen.paper.pen_drawing import facts, labels, states
from mandrelgen.paper.pen_drawing.outline import PartOutline, outlines
from mandrelgen.paper.pen_drawing.profile import cut_out
from mandrelgen.paper.pen_drawing.states import Placed
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.thread_spelling import read_thread

MARGIN = 10.0
ROW = 5.5
TEXT = 2.5
"""Height of capitals on paper, mm."""
SCALES = (5.0, 2.0, 1.0, 0.5, 0.2, 0.1, 0.05)
WIDEST = 277.0
"""Of the drawing on an A4 sheet lying down, mm."""
TINTS = 6
USUAL = ("cap", "finial", "barrel", "section")
"""Parts that keep the first colours to themselves."""
BALLOON = 2.4
"""Radius of a joint's number, mm on paper."""


@dataclass(frozen=True, slots=True)
class PenDrawing:
    """``width`` × ``height`` mm of paper; ``scale`` paper mm for each mm of the pen; ``axis`` the
    height of the pen's axis; ``left`` where the pen's z = 0 lies."""

    title: str
    state: str
    scale: float
    width: float
    height: float
    axis: float
    left: float
    marks: tuple[Mark, ...]
    parts: tuple[Placed, ...]

    @property
    def scale_text(self) -> str:
        """As a title block has it: ``1:2``."""
        s = self.scale
        return f"{text_of(s, 1)}:1" if s >= 1 else f"1:{text_of(1 / s, 1)}"


def draw(
    pen: Pen, shop: Shop, resolved: ResolvedPen, state: str, dimensions: bool = True
) -> PenDrawing:
    """The pen in one of its states. Raises ValueError for a state the file does not know."""
    parts = outlines(pen, shop)
    row = states.placed(pen, parts, state)
    return _Layout(pen, resolved, parts, row, state).done(dimensions)


class _Layout:
    """Gathers the marks of one drawing; lengths on paper."""

    def __init__(
        self, pen: Pen, resolved: ResolvedPen, parts: Mapping[str, PartOutline],
        row: tuple[Placed, ...], state: str,
    ) -> None:  # fmt: skip
        self.pen, self.resolved, self.parts, self.row = pen, resolved, parts, row
        self.state = state
        self.z0 = min(p.span[0] for p in row)
        self.length = max(p.span[1] for p in row) - self.z0
        self.scale = next((s for s in SCALES if self.length * s <= WIDEST - 2 * MARGIN), SCALES[-1])
        self.half = max(r for p in row for _, r in p.outline.outer) * self.scale
        self.width = max(self.length * self.scale + 2 * MARGIN, 120.0)
        self.left = (self.width - self.length * self.scale) / 2
        self.axis = 0.0

    # -- coordinates
    def at(self, z: float, r: float) -> Point:
        return self.left + (z - self.z0) * self.scale, self.axis + r * self.scale

    def loop(self, points: Sequence[Point]) -> tuple[Point, ...]:
        return tuple(self.at(z, r) for z, r in points)

    # -- all of it
    def done(self, dimensions: bool) -> PenDrawing:
        apart = self.state == states.APART
        above = self._by_place()
        names = self._rows([(self._middle(p), p.outline.name) for p in above])
        sizes = self._diameter_texts() if apart and dimensions else []
        over = self._rows([(x, t) for _, x, t in sizes])
        threads = self._thread_texts() if apart and dimensions else []
        under = self._rows([(x, t) for _, x, t in threads])
        joined = self._joint_places()
        low = ROW * (len({r for r, _ in under}) + (1.4 if joined else 0.0))
        sized = ROW * 2.4 if dimensions else 0.0
        self.axis = MARGIN / 2 + low + sized + self.half
        lift = ROW * len({r for r, _ in over})
        top = self.axis + self.half + lift + ROW * (1.0 + len({r for r, _ in names}))
        foot = self.axis - self.half - sized
        walls = list(self._walls())
        bad = [m for m in walls if m.role == f"wall wall-{Level.ERROR.value}"]
        marks = [
            *self._outsides(), *self._sections(), *(m for m in walls if m not in bad),
            *self._edges(), *bad, *self._nib(),
            self._centre_line(), *self._names(above, names, lift),
            *self._above(sizes, over), *self._lengths(dimensions),
            *self._below(threads, under, foot), *self._joints(joined, foot),
        ]  # fmt: skip
        return PenDrawing(
            title=self.pen.pen.name,
            state=self.state,
            scale=self.scale,
            width=self.width,
            height=top + MARGIN / 2,
            axis=self.axis,
            left=self.left,
            marks=tuple(marks),
            parts=self.row,
        )

    def _rows(self, wanted: list[tuple[float, str]]) -> list[tuple[int, float]]:
        return labels.rows(
            [x for x, _ in wanted], [t for _, t in wanted], TEXT, MARGIN / 2,
            self.width - MARGIN / 2,
        )  # fmt: skip

    def _by_place(self) -> list[Placed]:
        return sorted(self.row, key=lambda p: sum(p.span))

    def _middle(self, p: Placed) -> float:
        return self.at(sum(p.span) / 2, 0)[0]

    def _inner_first(self) -> list[Placed]:
        """Each part behind those it screws into: they are cut around it, and hide it outside."""
        inside = {p.outline.id: 0 for p in self.row}
        closed = states.closed_joints(self.pen, self.state)
        for _ in closed:
            for j in closed:
                inside[j.internal.part] = max(inside[j.internal.part], inside[j.external.part] + 1)
        return sorted(self.row, key=lambda p: inside[p.outline.id])

    def _tint(self, p: Placed) -> str:
        """A usual part's own colour; of any other part one that these leave: a part keeps its
        colour when another is taken out."""
        others = [name for name in self.parts if name not in USUAL]
        row = [*USUAL, *others]
        return f"part-{row.index(p.outline.id) % TINTS}"

    # -- the pen
    def _outsides(self) -> Iterator[Mark]:
        for p in self._inner_first():
            down = [(z, -r) for z, r in p.points(p.outline.outer)]
            loop = self.loop([(down[0][0], 0.0), *down, (down[-1][0], 0.0)])
            edges = [
                Line((self.at(z, 0.0), self.at(z, -r)), LineStyle.NARROW)
                for z, r in _corners(p.points(p.outline.outer))
            ]
            items: tuple[Item, ...] = (
                Fill(loop, LineStyle.OUTLINE), Line(loop, LineStyle.OUTLINE), *edges,
                *self._thread_lines(p, -1),
            )  # fmt: skip
            yield Mark(f"outside {self._tint(p)}", f"parts.{p.outline.id}", items)

    def _sections(self) -> Iterator[Mark]:
        for p in reversed(self._inner_first()):
            loop = self.loop(p.points(p.outline.material))
            yield Mark(
                f"section {self._tint(p)}", f"parts.{p.outline.id}", (Fill(loop, LineStyle.HATCH),)
            )

    def _edges(self) -> Iterator[Mark]:
        for p in reversed(self._inner_first()):
            loop = self.loop(p.points(p.outline.material))
            items = (Line(loop, LineStyle.OUTLINE, closed=True), *self._thread_lines(p, 1))
            yield Mark("edge", f"parts.{p.outline.id}", items)

    def _thread_lines(self, p: Placed, side: int) -> list[Line]:
        return [
            Line(
                (self.at(p.z(t.z0), side * t.radius), self.at(p.z(t.z1), side * t.radius)),
                LineStyle.THREAD,
            )
            for t in p.outline.threads
            if side > 0 or t.external
        ]

    def _walls(self) -> Iterator[Mark]:
        by_id = {p.outline.id: p for p in self.row}
        for zone in facts.wall_zones(self.pen, self.resolved, self.parts):
            p = by_id[zone.part]
            outer = cut_out(p.outline.outer, zone.start, zone.end)
            inner = cut_out(p.outline.inner, zone.start, zone.end)
            if zone.radius is not None:
                outer = ((zone.start, zone.radius), (zone.end, zone.radius))
                inner = ((zone.start, 0.0), (zone.end, 0.0))
            loop = self.loop(p.points((*outer, *reversed(inner))))
            if len(loop) > 2:
                items: tuple[Item, ...] = (Fill(loop, LineStyle.NARROW),)
                if zone.grade == Level.ERROR.value:
                    # Where nothing is left there is nothing to fill: its place is drawn round.
                    items += (Line(loop, LineStyle.OUTLINE, closed=True),)
                yield Mark(f"wall wall-{zone.grade}", zone.key, items)

    def _nib(self) -> Iterator[Mark]:
        """How far the nib stands out, in the cap: its length is the file's, its width is not."""
        unit = self.pen.inside.nib_unit
        found = facts.nib_front(self.pen, self.resolved)
        if unit is None or found is None or self.state != states.CAPPED:
            return
        p = next(p for p in self.row if p.outline.id == found.part)
        face = p.z(p.outline.ends[found.end].face)
        tip = face + p.looks(found.end) * float(unit.stick_out)
        wide = max(p.outline.outer[0][1], p.outline.outer[-1][1]) / 2
        row = (self.at(face, wide), self.at(tip, 0.0))
        yield Mark("nib", "inside.nib_unit.stick_out", (Line(row, LineStyle.NARROW),))

    def _centre_line(self) -> Mark:
        y = self.axis
        ends = ((self.left - 4.0, y), (self.left + self.length * self.scale + 4.0, y))
        return Mark("centre", "", (Line(ends, LineStyle.CENTRE),))

    # -- words
    def _names(
        self, above: list[Placed], rows: list[tuple[int, float]], lift: float
    ) -> Iterator[Mark]:
        for p, (r, x) in zip(above, rows, strict=True):
            y = self.axis + self.half + lift + ROW * (0.6 + r)
            z = sum(p.span) / 2
            items: tuple[Line | Text, ...] = (Text((x, y), p.outline.name, TEXT, "middle"),)
            if self.state != states.APART:
                tip = self.at(z, _inside_material(p, z))
                items = (Line(((x, y - 1.0), tip), LineStyle.NARROW), *items)
            yield Mark("name", f"parts.{p.outline.id}", items)

    def _joint_places(self) -> list[tuple[int, facts.JointFact, float]]:
        """Number, facts and place of each joint that is shut."""
        shut = {j.id: j for j in states.closed_joints(self.pen, self.state)}
        by_id = {p.outline.id: p for p in self.row}
        out = []
        for n, f in enumerate(facts.joint_facts(self.resolved), 1):
            if f.id in shut:
                end = shut[f.id].external
                p = by_id[end.part]
                out.append((n, f, self.at(p.z(p.outline.ends[end.end].shoulder), 0.0)[0]))
        return sorted(out, key=lambda row: row[2])

    def _joints(
        self, joined: list[tuple[int, facts.JointFact, float]], foot: float
    ) -> Iterator[Mark]:
        """A number at each joint, which the list of joints explains."""
        y = foot - ROW * 0.7
        wide = [2 * BALLOON - labels.SPACE + 1.0] * len(joined)
        middles = labels.spread([x for *_, x in joined], wide, MARGIN / 2, self.width)
        for (n, f, x), middle in zip(joined, middles, strict=True):
            reach = self.axis - self.half - 0.5
            items: tuple[Item, ...] = (
                Line(((x, reach), (x, foot + 1.0), (middle, y + BALLOON)), LineStyle.NARROW),
                Arc((middle, y), BALLOON, LineStyle.BALLOON),
                Text((middle, y - TEXT / 2), str(n), TEXT, "middle"),
            )
            yield Mark(f"joint joint-{f.grade}", f.key, items)

    # -- sizes
    def _lengths(self, dimensions: bool) -> Iterator[Mark]:
        if not dimensions:
            return
        y = self.axis - self.half - ROW * 1.7
        if self.state == states.APART:
            for p in self.row:
                yield self._length(f"parts.{p.outline.id}.length", *p.span, y)
        else:
            # Not in the middle, where the leaders of the joints pass.
            yield self._length("", self.z0, self.z0 + self.length, y, 0.25)

    def _length(self, key: str, z0: float, z1: float, y: float, share: float = 0.5) -> Mark:
        (a, _), (b, _) = self.at(z0, 0), self.at(z1, 0)
        top = self.axis - self.half - 1.0
        items: tuple[Item, ...] = (
            Line(((a, top), (a, y - 1.0)), LineStyle.DIM),
            Line(((b, top), (b, y - 1.0)), LineStyle.DIM),
            Line(((a, y), (b, y)), LineStyle.DIM),
            *_arrows(a, b, y),
            Text((a + (b - a) * share, y + 0.9), text_of(z1 - z0, 2), TEXT, "middle"),
        )
        return Mark("dimension", key, items)

    def _diameter_texts(self) -> list[tuple[str, float, str]]:
        """Key, place and text of each end's outside."""
        out = []
        for p in self.row:
            for name, end in self.pen.parts[p.outline.id].ends.items():
                x = self.at(p.z(p.outline.ends[name].shoulder), 0.0)[0]
                key = f"parts.{p.outline.id}.ends.{name}.diameter"
                out.append((key, x, f"⌀{text_of(float(end.diameter), 2)}"))
        return out

    def _thread_texts(self) -> list[tuple[str, float, str]]:
        """Key, place and text of each thread: external as it is, internal with its depth."""
        out = []
        for p in self.row:
            for name, end in self.pen.parts[p.outline.id].ends.items():
                at = f"parts.{p.outline.id}.ends.{name}"
                x = self.at(p.z(p.outline.ends[name].face), 0.0)[0]
                for side, t in (("external", end.external), ("internal", end.internal)):
                    if t is not None:
                        said = f"{facts.thread_name(read_thread(t.thread))} {side}"
                        out.append((f"{at}.{side}.thread", x, said))
        return out

    def _above(
        self, texts: list[tuple[str, float, str]], rows: list[tuple[int, float]]
    ) -> Iterator[Mark]:
        for (key, x, text), (r, middle) in zip(texts, rows, strict=True):
            y = self.axis + self.half + ROW * (0.6 + r)
            line = ((x, self.axis + self.half + 0.5), (middle, y - 0.7))
            items: tuple[Item, ...] = (
                Line(line, LineStyle.DIM),
                Text((middle, y), text, TEXT, "middle"),
            )
            yield Mark("dimension", key, items)

    def _below(
        self, texts: list[tuple[str, float, str]], rows: list[tuple[int, float]], foot: float
    ) -> Iterator[Mark]:
        for (key, _, text), (r, middle) in zip(texts, rows, strict=True):
            y = foot - ROW * (r + 0.6)
            yield Mark("thread", key, (Text((middle, y), text, TEXT, "middle"),))


def _arrows(a: float, b: float, y: float) -> tuple[Fill, ...]:
    return (
        Fill(((a, y), (a + 2.0, y + 0.5), (a + 2.0, y - 0.5)), LineStyle.DIM),
        Fill(((b, y), (b - 2.0, y + 0.5), (b - 2.0, y - 0.5)), LineStyle.DIM),
    )


def _corners(chain: Sequence[Point]) -> list[Point]:
    """Where the outside has an edge that a finger feels: its direction turns by 10° or more."""
    out = []
    for a, b, c in zip(chain, chain[1:], chain[2:], strict=False):
        turn = math.degrees(
            math.atan2(c[1] - b[1], c[0] - b[0]) - math.atan2(b[1] - a[1], b[0] - a[0])
        )
        if abs((turn + 180) % 360 - 180) >= 10 and b[1] > 0:
            out.append(b)
    return out


def _inside_material(p: Placed, z: float) -> float:
    """A radius in the material at ``z`` along the pen, mm."""
    own = p.outline.length - (z - p.offset) if p.turned else z - p.offset
    outer = cut_out(p.outline.outer, own - 0.05, own + 0.05)
    inner = cut_out(p.outline.inner, own - 0.05, own + 0.05)
    if not outer or not inner:
        return 0.0
    return (outer[0][1] + max(inner[0][1], 0.0)) / 2
