"""The small shaded picture on the sheet shows the very body of the model, where nothing else is."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from shapely.geometry import Point, Polygon, box
from shapely.ops import unary_union

from mandrelgen.geometry.mesh.build import Mesh, build
from mandrelgen.model.half_section import outline, plain
from mandrelgen.model.mandrel import Mandrel, Stretch
from mandrelgen.paper.drawing.layout import drawing
from mandrelgen.paper.drawing.model import Fill, Line, LineStyle, Mark, Sheet, Text
from mandrelgen.paper.drawing.part_picture import LIGHT, STEPS, TIP, TURN, part_picture, pictured
from mandrelgen.workflows.build import Build
from tests.support.proving import CUP, NAME, SEVERAL, mandrels
from tests.support.samples_sheet import plug
from tests.support.sheet_clearances import inks

WIDE = 200.0


def picture_of(sheet: Sheet) -> Mark:
    return next(m for m in sheet.drawn if isinstance(m, Mark) and m.role == "picture")


def view() -> NDArray[np.float64]:
    """From the part's axes to the picture's, for points as rows: z to the right and x away from the
    viewer, then turned about the upright and tipped about the level, by textbook matrices."""
    t, p = math.radians(TURN), math.radians(TIP)
    first = np.array([[0.0, 0.0, 1.0], [0.0, 1.0, 0.0], [-1.0, 0.0, 0.0]])
    turn = np.array([[math.cos(t), 0.0, -math.sin(t)], [0.0, 1.0, 0.0],
                     [math.sin(t), 0.0, math.cos(t)]])  # fmt: skip
    tip = np.array([[1.0, 0.0, 0.0], [0.0, math.cos(p), -math.sin(p)],
                    [0.0, math.sin(p), math.cos(p)]])  # fmt: skip
    return (tip @ turn @ first).T


def seen(mandrel: Mandrel) -> tuple[NDArray[np.float64], Mesh]:
    """The triangles of the model, threads as plain cylinders, turned into the picture."""
    mesh = build(plain(replace(outline(mandrel), flats=mandrel.flats)), 0.05)
    return (mesh.vertices @ view())[mesh.triangles], mesh


def fills(mandrel: Mandrel) -> list[Fill]:
    drawn = part_picture(mandrel, WIDE).drawn[0]
    assert isinstance(drawn, Mark)
    return [i for i in drawn.items if isinstance(i, Fill)]


@pytest.mark.parametrize("name", sorted(mandrels()))
def test_every_starters_sheet_has_one_in_free_space_and_is_otherwise_as_before(name: str) -> None:
    sheet = Build(mandrels()[name], NAME).sheet
    mark = picture_of(sheet)
    others = [d for d in sheet.drawn if d is not mark]
    assert pictured(replace(sheet, drawn=tuple(others)), mandrels()[name]) == sheet
    points = [p for i in mark.items if isinstance(i, Fill | Line) for p in i.points]
    points += [p for i in mark.items if isinstance(i, Text) for p in i.corners()]
    x0, y0 = min(p[0] for p in points), min(p[1] for p in points)
    x1, y1 = max(p[0] for p in points), max(p[1] for p in points)
    # A useful size.
    assert x1 - x0 >= 25.0
    assert y1 - y0 >= 15.0
    field = box(x0, y0, x1, y1)
    assert box(*sheet.frame).buffer(-5.0).contains(field)
    near = [
        i
        for i in inks(replace(sheet, drawn=tuple(others)))
        if i.shape.distance(field) < 3.9 and not i.shape.contains(field)
    ]
    assert not [i for i in near if not i.shape.envelope.contains(box(*sheet.frame))]
    assert [i.text for i in mark.items if isinstance(i, Text)] == ["Picture, not to scale"]


@pytest.mark.parametrize("name", [SEVERAL, CUP, "flats"])
def test_its_outline_is_the_models(name: str) -> None:
    mandrel = plug() if name == "flats" else mandrels()[name]
    corners, _ = seen(mandrel)
    front = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])[:, 2] > 1e-9
    body = unary_union([Polygon(t).buffer(1e-6) for t in corners[front][:, :, :2]])
    wide = body.bounds[2] - body.bounds[0]
    drawn = unary_union([Polygon(f.points).buffer(1e-6) for f in fills(mandrel)])
    scale = WIDE / wide
    same = Polygon([(x * scale, y * scale) for x, y in body.exterior.coords])
    moved = Polygon([(x, y) for x, y in drawn.exterior.coords])
    dx, dy = (same.bounds[0] - moved.bounds[0], same.bounds[1] - moved.bounds[1])
    moved = Polygon([(x + dx, y + dy) for x, y in moved.exterior.coords])
    # Circles of 24 corners fall short of the true ones by up to 1 %.
    assert same.symmetric_difference(moved).area < 0.02 * same.area


@pytest.mark.parametrize("name", [SEVERAL, CUP, "flats"])
def test_what_lies_on_top_is_what_the_viewer_sees(name: str) -> None:
    """At points spread over the picture, the shade of the last fill is that of the triangle of the
    model that is nearest to the viewer."""
    mandrel = plug() if name == "flats" else mandrels()[name]
    corners, _ = seen(mandrel)
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    shine = np.clip(normals @ (np.array(LIGHT) / np.linalg.norm(LIGHT)), 0.0, 1.0)
    shapes = [(Polygon(f.points), f.light) for f in fills(mandrel)]
    x0 = min(s.bounds[0] for s, _ in shapes)
    scale = WIDE / np.ptp(corners[:, :, 0])
    off = np.array([x0 - corners[:, :, 0].min() * scale, 0.0])
    flat = corners[:, :, :2] * scale + off
    a, b, c = flat[:, 0], flat[:, 1], flat[:, 2]
    rng = np.random.default_rng(16)
    low, high = flat.reshape(-1, 2).min(axis=0), flat.reshape(-1, 2).max(axis=0)
    right, wrong = 0, 0
    for p in rng.uniform(low, high, (220, 2)):
        d = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (c[:, 0] - a[:, 0]) * (b[:, 1] - a[:, 1])
        with np.errstate(divide="ignore", invalid="ignore"):
            u = (
                (p[0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (c[:, 0] - a[:, 0]) * (p[1] - a[:, 1])
            ) / d
            v = (
                (b[:, 0] - a[:, 0]) * (p[1] - a[:, 1]) - (p[0] - a[:, 0]) * (b[:, 1] - a[:, 1])
            ) / d
            inside = np.flatnonzero((u >= 0) & (v >= 0) & (u + v <= 1) & np.isfinite(u))
        on_top = [light for s, light in shapes if s.contains(Point(p))]
        if not len(inside) or not on_top:
            continue
        z = corners[:, :, 2]
        depth = z[inside, 0] + u[inside] * (z[inside, 1] - z[inside, 0])
        depth += v[inside] * (z[inside, 2] - z[inside, 0])
        nearest = inside[depth.argmax()]
        # Shades run from 0.5 to 0.98; inside a bore less.
        wanted = 0.5 + 0.48 * shine[nearest]
        close = min(abs(on_top[-1] - wanted), abs(on_top[-1] - 0.72 * wanted)) < 0.13
        right, wrong = right + close, wrong + (not close)
    assert right > 60
    # A strip of 26 degrees has one shade, 0.11 off at its edges; edges lie between two shades.
    assert wrong <= 0.05 * (right + wrong)


def test_a_right_hand_thread_rises_to_the_right_when_the_axis_stands_up() -> None:
    """So it is told from a left-hand one on any screw held upright (common practice)."""
    for name in (SEVERAL, "left"):
        mandrel = mandrels()[SEVERAL]
        if name == "left":
            mandrel = replace(mandrel, outer=tuple(map(left_hand, mandrel.outer)))
        drawn = part_picture(mandrel, WIDE).drawn[0]
        assert isinstance(drawn, Mark)
        lines = [
            i.points for i in drawn.items
            if isinstance(i, Line) and not i.closed and len(i.points) == STEPS + 1
        ]  # fmt: skip
        # Along the axis in the picture, for the ends of each line, from its upper to its lower end:
        # standing up, the upper end of the picture is the left one.
        axis = np.array([0.0, 0.0, 1.0]) @ view()
        rise = [(np.subtract(p[-1], p[0]) @ axis[:2]) * np.sign(p[0][1] - p[-1][1]) for p in lines]
        sloped = [r for r in rise if abs(r) > 0.3]
        assert len(sloped) >= 3
        assert all(r > 0 for r in sloped) if name == SEVERAL else all(r < 0 for r in sloped)


def left_hand(s: Stretch) -> Stretch:
    return s if s.thread is None else replace(s, thread=replace(s.thread, left_hand=True))


def test_it_moves_nothing_and_is_left_out_where_no_place_is_free() -> None:
    mandrel = mandrels()[SEVERAL]
    sheet = Build(mandrel, NAME).sheet
    bare = replace(sheet, drawn=tuple(d for d in sheet.drawn if d is not picture_of(sheet)))
    x0, y0, x1, y1 = sheet.frame
    # A net of lines with holes of 24 by 24.
    net = [Line(((x, y0), (x, y1)), LineStyle.NARROW) for x in np.arange(x0, x1, 24.0)]
    net += [Line(((x0, y), (x1, y)), LineStyle.NARROW) for y in np.arange(y0, y1, 24.0)]
    full = replace(bare, drawn=(*bare.drawn, *net))
    assert pictured(full, mandrel) == full


def test_it_keeps_off_lettering_that_begins_in_the_main_view_and_reaches_out_of_it() -> None:
    mandrel = plug("M12xPh2.4P0.8", 12.0, 35.73622364482779, 4.0, 1.0, 2.1584800652351097, 3.0,
                   1.0763450521760722, 23.094621324156325, with_flats=False)  # fmt: skip
    sheet = drawing(mandrel, outline(mandrel), NAME)
    mark = picture_of(sheet)
    field = unary_union([Polygon(i.points) for i in mark.items if isinstance(i, Fill)]).envelope
    others = [d for d in sheet.drawn if d is not mark]
    texts = [i for i in inks(replace(sheet, drawn=tuple(others))) if i.kind == "text"]
    assert min(i.shape.distance(field) for i in texts) > 3.9


def test_it_lies_on_a_layer_of_its_own() -> None:
    every = picture_of(Build(mandrels()[CUP], NAME).sheet).items
    assert {i.pen for i in every} == {LineStyle.PICTURE, LineStyle.TEXT}
    assert all(0.3 < i.light < 1.0 for i in every if isinstance(i, Fill))
