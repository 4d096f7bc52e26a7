"""Every back end of the painter shows what the sheet holds, where the sheet holds it and in its
order: the PDF read by pdfplumber, the SVG as XML, the DXF drawn by ezdxf's own drawing add-on."""

from __future__ import annotations

import io
import math
import xml.etree.ElementTree as ET
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from functools import cache
from itertools import pairwise
from typing import Any

import pdfplumber
import pytest

from mandrelgen.assess.settled import designs
from mandrelgen.files.writers import dxf, svg
from mandrelgen.files.writers.pdf import document
from mandrelgen.paper.drawing import layout
from mandrelgen.paper.drawing.model import (
    Arc,
    Drawn,
    Fill,
    Hatch,
    Item,
    Line,
    LineStyle,
    Page,
    Point,
    Sheet,
    Text,
    flat,
)
from mandrelgen.spec.pen import Pen
from mandrelgen.workflows.build import Build
from tests.support.ezdxf_shapes import Shape, shapes
from tests.support.penroad import random_trees
from tests.support.proving import NAME, mandrels
from tests.support.randompens import SHOP
from tests.support.samples_sheet import ISSUE

RANDOM, SEED = 3, 91
MM = 72 / 25.4
SVG = "{http://www.w3.org/2000/svg}"
# Files round their coordinates; two things of a sheet are farther apart than this, mm.
NEAR = 0.002
# How far ezdxf may move a section line's ends, and what length it may cut off a corner, mm.
MOVED, CORNER = 0.02, 0.5
# Every kind of item as no starter has it: turned, dashed, small and large arcs.
ODD: tuple[Item, ...] = (
    Line(((20.0, 20.0), (60.0, 20.0), (60.0, 45.0)), LineStyle.PHANTOM, closed=True),
    Line(((20.0, 50.0), (60.0, 55.0)), LineStyle.CENTRE),
    Arc(centre=(100.0, 60.0), radius=12.0, pen=LineStyle.DIM, start=350.0, end=370.0),
    Arc(centre=(100.0, 90.0), radius=9.0, pen=LineStyle.OUTLINE, start=30.0, end=300.0),
    Arc((130.0, 90.0), 7.5, LineStyle.PHANTOM_SMALL),
    Fill(((150.0, 50.0), (153.0, 49.5), (153.0, 50.5)), LineStyle.DIM),
    Fill(((160.0, 50.0), (163.0, 49.5), (164.0, 52.0), (160.5, 52.5)), LineStyle.PICTURE, 0.6),
    Fill(((165.0, 50.0), (168.0, 49.5), (168.0, 50.5)), LineStyle.PICTURE, 0.8),
    Fill(((170.0, 50.0), (173.0, 49.5), (173.0, 50.5)), LineStyle.DIM),
    Text(at=(40.0, 150.0), text="⌀12 ±0.1 (B)", height=3.5, align="middle", angle=90.0),
    Text(at=(60.0, 150.0), text="left of it", height=2.5, align="right", angle=30.0),
    Text((60.0, 170.0), "<&> 100 %", 5.0, "right"),
    Hatch((((90.0, 110.0), (130.0, 110.0), (130.0, 140.0), (90.0, 140.0)),
           ((100.0, 120.0), (110.0, 120.0), (105.0, 130.0))), 2.5, angle=30.0, through=(7.0, 3.0)),
)  # fmt: skip


@cache
def sheets() -> tuple[Sheet, ...]:
    """Every starter's and some random mandrels' drawings, and one of all that they never show."""
    found = [Build(m, NAME).sheet for m in mandrels().values()]
    # One A3 holds every one of them; a second sheet as it is laid out where none does.
    first = next(iter(mandrels().values()))
    one = layout._one
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(layout, "_one", lambda *given: replace(one(*given), crowded=("no room",)))
        found.append(Build(first, NAME).sheet)
    for tree in random_trees(RANDOM, SEED):
        try:
            pen = Pen.model_validate(tree)
        except ValueError:
            continue
        found += [Build(d.mandrel, NAME).sheet for d in designs(pen, SHOP) if d.mandrel is not None]
    odd = Sheet(
        number=ISSUE.number, revision="A", date="2026-05-31", title="Odd", subject="odd", owner="",
        author="", paper="A4", width=297.0, height=210.0, frame=(20.0, 10.0, 287.0, 200.0),
        scale=2.0, scale_text="2:1", origin=(33.0, 44.0), drawn=ODD, leaves=(Page("Leaf", ODD),),
    )  # fmt: skip
    return (*found, odd)


def pages() -> Iterator[Sheet]:
    """Every sheet of paper."""
    for drawing in sheets():
        yield from drawing.sheets


def test_the_samples_hold_every_kind_and_second_sheets() -> None:
    assert {type(i) for s in pages() for i in s.items()} == {Line, Arc, Fill, Hatch, Text}
    assert any(s.more for s in sheets())
    assert len(sheets()) > len(mandrels()) + 1


def simple(drawn: Iterable[Drawn]) -> list[Line | Arc | Fill | Text]:
    """The items with section lines as lines."""
    found: list[Line | Arc | Fill | Text] = []
    for item in flat(tuple(drawn)):
        found += item.items if isinstance(item, Hatch) else [item]
    return found


def near(a: Sequence[Point], b: Sequence[Point], by: float = NEAR) -> bool:
    return len(a) == len(b) and all(math.dist(p, q) < by for p, q in zip(a, b, strict=True))


def start(text: Text) -> Point:
    """Where the first letter stands."""
    back = {"left": 0.0, "middle": 0.5, "right": 1.0}[text.align] * text.width
    turn = math.radians(text.angle)
    return text.at[0] - back * math.cos(turn), text.at[1] - back * math.sin(turn)


def on_circle(arc: Arc, degrees: float) -> Point:
    a = math.radians(degrees)
    return arc.centre[0] + arc.radius * math.cos(a), arc.centre[1] + arc.radius * math.sin(a)


# --- PDF


def test_the_pdf_shows_the_sheets_items_at_their_places() -> None:
    for drawing in sheets():
        with pdfplumber.open(io.BytesIO(document.write(drawing))) as pdf:
            for sheet, page in zip(drawing.sheets, pdf.pages, strict=False):
                items = simple(sheet.drawn)
                check_shapes(page, items, whole=True)
                check_letters(page, [i for i in items if isinstance(i, Text)], skip=0)


def test_a_page_behind_the_drawing_is_painted_alike() -> None:
    """In the maker's paper: behind the page's header and footer, in front of its ruler."""
    with pdfplumber.open(io.BytesIO(document.mine(sheets()[-1]))) as pdf:
        (page,) = pdf.pages
        items = simple(ODD)
        check_shapes(page, items, whole=False)
        texts = [i for i in items if isinstance(i, Text)]
        header = "".join(c["text"] for c in page.chars).index(texts[0].text)
        check_letters(page, texts, skip=header)


class Stream:
    """Shapes of one of pdfplumber's kinds, in drawing order; coordinates in mm from below."""

    def __init__(self, page: Any, found: list[Any]) -> None:
        self.height, self.found, self.at = float(page.height), found, 0

    def take(self, item: Line | Arc | Fill) -> bool:
        """Go on if the next shape shows ``item``."""
        if self.at == len(self.found) or not self._shows(self.found[self.at], item):
            return False
        self.at += 1
        return True

    def skip_to(self, items: list[Line | Arc | Fill]) -> None:
        """Go on to the first shape that shows one of ``items``."""
        while self.at < len(self.found):
            if any(self._shows(self.found[self.at], i) for i in items):
                return
            self.at += 1

    def point(self, p: Point) -> Point:
        return p[0] / MM, (self.height - p[1]) / MM

    def _shows(self, shape: Any, item: Line | Arc | Fill) -> bool:
        if shape["fill"] != isinstance(item, Fill) or shape["stroke"] == shape["fill"]:
            return False
        if not isinstance(item, Fill) and not self._inked(shape, item.pen):
            return False
        if isinstance(item, Fill) and not self._grey(shape, item.light):
            return False
        path = shape["path"]
        if isinstance(item, Arc):
            return self._round(path, item)
        closed = isinstance(item, Fill) or item.closed
        return (path[-1][0] == "h") is closed and near(
            [self.point(step[1]) for step in path if step[0] in "ml"], item.points
        )

    def _grey(self, shape: Any, light: float) -> bool:
        shown = shape["non_stroking_color"]
        return tuple(shown) == pytest.approx((light,) * len(shown), abs=0.002)

    def _inked(self, shape: Any, pen: LineStyle) -> bool:
        dashes = [d / MM for d in (shape["dash"] or ([],))[0]]
        return abs(shape["linewidth"] / MM - pen.width) < NEAR and dashes == pytest.approx(
            pen.dashes, abs=NEAR
        )

    def _round(self, path: Any, arc: Arc) -> bool:
        """Curves of at most a quarter, whose ends and middles lie on the circle."""
        at, shown = self.point(path[0][1]), [self.point(path[0][1])]
        curves = [[self.point(p) for p in step[1:]] for step in path if step[0] == "c"]
        for a, b, end in curves:
            shown.append(tuple((at[i] + 3 * a[i] + 3 * b[i] + end[i]) / 8 for i in (0, 1)))  # type: ignore[arg-type]
            shown.append(end)
            at = end
        n = 2 * math.ceil(arc.sweep / 90)
        wanted = [on_circle(arc, arc.start + arc.sweep * i / n) for i in range(n + 1)]
        # Four cubic curves are off a circle by 0.03 % of its radius.
        return near(shown, wanted, NEAR + 4e-4 * arc.radius)


def check_shapes(page: Any, items: list[Line | Arc | Fill | Text], whole: bool) -> None:
    """Lines, arcs and filled shapes; ``whole``: there is nothing else on the page."""
    streams = [Stream(page, found) for found in (page.lines, page.rects, page.curves)]
    inked = [i for i in items if not isinstance(i, Text)]
    if not whole:
        for s in streams:
            s.skip_to(inked)
    for item in inked:
        assert any(s.take(item) for s in streams), item
    if whole:
        assert [s.at for s in streams] == [len(s.found) for s in streams]


def check_letters(page: Any, texts: list[Text], skip: int) -> None:
    """Lettering in its order, first and last letter at their places; ``skip`` letters before."""
    chars = iter(page.chars[skip:])
    for text in texts:
        shown = [next(chars) for _ in text.text]
        assert "".join(c["text"] for c in shown) == text.text
        # Black, whatever was filled before.
        assert not any(shown[0]["non_stroking_color"])
        a, b, _, _, x, y = shown[0]["matrix"]
        assert near([(x / MM, y / MM)], [start(text)]), text
        assert math.degrees(math.atan2(b, a)) == pytest.approx(text.angle, abs=1e-3)
        _, _, _, _, u, v = shown[-1]["matrix"]
        long = (math.hypot(u - x, v - y) + shown[-1]["adv"]) / MM
        assert long == pytest.approx(text.width, abs=0.01), text
    assert skip or next(chars, None) is None


# --- SVG


def test_the_svg_shows_the_sheets_items_at_their_places() -> None:
    for sheet in pages():
        group = ET.fromstring(svg.write(sheet)).find(f"{SVG}g")
        assert group is not None
        for element, item in zip(group, simple(sheet.drawn), strict=True):
            check_element(element, item, sheet.height)


def check_element(e: ET.Element, item: Line | Arc | Fill | Text, height: float) -> None:
    if isinstance(item, Text):
        assert e.text == item.text
        assert near([(number(e, "x"), height - number(e, "y"))], [item.at])
        anchor = {"left": "start", "middle": "middle", "right": "end"}[item.align]
        assert e.get("text-anchor") == anchor
        assert number(e, "font-size") * 1493 / 2048 == pytest.approx(item.height, abs=NEAR)
        turn = e.get("transform", "rotate(0").removeprefix("rotate(").split()[0]
        assert -float(turn) == pytest.approx(item.angle)
        return
    if not isinstance(item, Fill):
        assert number(e, "stroke-width") == item.pen.width
        dashes = tuple(float(d) for d in e.get("stroke-dasharray", "").split())
        assert dashes == item.pen.dashes
    assert e.get("fill") == (colour(item) if isinstance(item, Fill) else None)
    if isinstance(item, Arc):
        check_arc(e, item, height)
        return
    closed = isinstance(item, Fill) or item.closed
    assert e.tag == f"{SVG}{'polygon' if closed else 'polyline'}"
    points = [tuple(map(float, p.split(","))) for p in e.get("points", "").split()]
    assert near([(x, height - y) for x, y in points], item.points)


def colour(item: Fill) -> str:
    """As CSS writes a grey of so many 255ths; black in short."""
    part = round(255 * item.light)
    return f"#{part:02x}{part:02x}{part:02x}" if part else "#000"


def check_arc(e: ET.Element, arc: Arc, height: float) -> None:
    if arc.end - arc.start == 360.0:
        assert near([(number(e, "cx"), height - number(e, "cy"))], [arc.centre])
        assert number(e, "r") == pytest.approx(arc.radius, abs=NEAR)
        return
    x0, y0, rx, ry, _, large, against, x1, y1 = map(
        float, e.get("d", "").replace("M", " ").replace("A", " ").split()
    )
    # SVG 1.1, 8.3.8: sweep flag 0 is against the clock as the page is seen.
    assert (rx, ry, against) == pytest.approx((arc.radius, arc.radius, 0.0), abs=NEAR)
    assert near([(x0, height - y0)], [on_circle(arc, arc.start)])
    assert near([(x1, height - y1)], [on_circle(arc, arc.end)])
    assert bool(large) is (arc.end - arc.start > 180.0)


def number(e: ET.Element, name: str) -> float:
    return float(e.get(name, ""))


# --- DXF


def test_ezdxf_draws_the_dxf_as_the_sheet_is() -> None:
    """Its add-on takes pictures of dimensions, polylines and hatches apart by its own rules."""
    for drawing in sheets():
        every = shapes(dxf.write(drawing))
        found = iter([s for s in every if s.layer != LineStyle.HATCH.layer])
        for sheet in drawing.sheets:
            for item in sheet.items():
                if not isinstance(item, Text | Hatch):
                    check_shape(next(found), item, sheet)
        assert next(found, None) is None
        check_hatching([s for s in every if s.layer == LineStyle.HATCH.layer], drawing)


def on_paper(shape: Shape, sheet: Sheet) -> list[Point]:
    (x, y), k = sheet.origin, sheet.scale
    return [(x + u * k, y + v * k) for u, v in shape.points]


def check_shape(shape: Shape, item: Line | Arc | Fill, sheet: Sheet) -> None:
    assert shape.layer == item.pen.layer
    assert shape.filled is isinstance(item, Fill)
    if isinstance(item, Fill) and item.light:
        assert shape.colour.lower()[:7] == colour(item)
    points = on_paper(shape, sheet)
    if isinstance(item, Arc):
        assert near([points[0]], [on_circle(item, item.start)])
        assert near([points[-1]], [on_circle(item, item.end)])
        off = [abs(math.dist(p, item.centre) - item.radius) for p in points]
        assert max(off) < NEAR + 4e-4 * item.radius
        turned = sum(math.dist(a, b) for a, b in pairwise(points)) / item.radius
        assert math.degrees(turned) == pytest.approx(item.sweep, rel=0.01)
        return
    wanted = [*item.points]
    if isinstance(item, Fill) or item.closed:
        wanted.append(wanted[0])
    assert near(points, wanted), (points, wanted)


def check_hatching(found: list[Shape], drawing: Sheet) -> None:
    """Section lines in any order. ezdxf moves each by up to a thousandth of its pattern, so that
    what is cut off a corner may be there or not."""
    for sheet in drawing.sheets:
        for hatch in (i for i in sheet.items() if isinstance(i, Hatch)):
            for line in hatch.items:
                same = [s for s in found if runs(on_paper(s, sheet), line)]
                if math.dist(*line.points) > CORNER:
                    assert same, line
                if same:
                    found.remove(same[0])
    left = [s for s in found if math.dist(*s.points) * drawing.scale > CORNER]
    assert not left


def runs(points: list[Point], line: Line) -> bool:
    return near(points, line.points, MOVED) or near(points[::-1], line.points, MOVED)


def test_ezdxf_reads_every_line_of_lettering_at_its_place() -> None:
    for drawing in sheets():
        texts = iter(shapes(dxf.write(drawing), lettering=True))
        for sheet in drawing.sheets:
            for text in sheet.texts():
                shown = next(texts)
                assert near(on_paper(shown, sheet), [text.at])
                assert shown.text == dxf.escaped(text.text)
                assert shown.height * sheet.scale == pytest.approx(text.height)
                assert shown.turn == pytest.approx(text.angle)
        assert next(texts, None) is None
