"""Print versions: mesh quality, coupon, gauges and dummies."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import trimesh

from mandrelgen.design.gauge import gauge_pair
from mandrelgen.geometry.mesh import exact
from mandrelgen.geometry.mesh.build import Mesh, build
from mandrelgen.model.half_section import outline
from mandrelgen.model.mandrel import Stretch
from mandrelgen.standards.designation import parse
from mandrelgen.standards.threads import limits
from mandrelgen.workflows import check
from mandrelgen.workshop.printing import coupon, dummy, gauges, printer, version
from mandrelgen.workshop.printing.plate_mesh import build_plate, solid_of
from mandrelgen.workshop.printing.printer import NOMINAL
from mandrelgen.workshop.printing.shape import PrintedShape
from tests.support.printing_parts import EMPTY, PENS, WHOSE, assert_sound, crossings, inputs_of


@pytest.fixture(scope="module")
def checked():
    return {pen: check.check(inputs_of(pen)) for pen in PENS}


def test_no_triangle_crosses_another(checked) -> None:
    """A plug and a cup of the starters; and the test itself finds a crossing that was made."""
    plug, cup = (d.mandrel for d in checked["heron"].designed[:2])
    resin = printer.printer(EMPTY, "resin")
    for m in (plug, cup):
        assert crossings(build(version.of_mandrel(m, resin).profile, 0.03)) == 0
    mesh = build(PrintedShape((Stretch(feature="body", z0=0, z1=5, d0=4, d1=4),)).profile(), 0.05)
    both = Mesh(
        np.vstack([mesh.vertices, mesh.vertices + np.array([1.0, 0.3, 1.0])]),
        np.vstack([mesh.triangles, mesh.triangles + len(mesh.vertices)]),
    )
    assert crossings(both) > 0


def test_chords_lie_within_a_hundredth(checked) -> None:
    """Midpoints of every edge between two points of one crest or cylinder lie within 0.01 of it."""
    d = checked["heron"].designed[0].mandrel
    made = version.of_mandrel(d, printer.printer(EMPTY, "resin"))
    mesh = build(made.profile)
    edges = np.vstack([mesh.triangles[:, [0, 1]], mesh.triangles[:, [1, 2]]])
    r = np.hypot(mesh.vertices[:, 0], mesh.vertices[:, 1])
    a, b = mesh.vertices[edges[:, 0]], mesh.vertices[edges[:, 1]]
    level = (np.abs(r[edges[:, 0]] - r[edges[:, 1]]) < 1e-9) & (np.abs(a[:, 2] - b[:, 2]) < 1e-9)
    middle = (a + b)[level] / 2
    sag = r[edges[level][:, 0]] - np.hypot(middle[:, 0], middle[:, 1])
    turned = sag < 0.2 * r[edges[level][:, 0]]
    assert turned.sum() > 100
    assert sag[turned].max() <= 0.01 + 1e-9


# ------------------------------------------------------------------ coupon, gauges, dummies


@pytest.mark.parametrize("name", ["fdm-04", "resin"])
def test_the_coupon_is_sound_and_says_its_marks(name: str) -> None:
    """Twenty closed shells on z = 0; ring n has n short grooves and one long (by its volume); pin
    and holes at nominal (section areas of the mesh, trimesh)."""
    made = coupon.coupon(printer.printer(EMPTY, name))
    mesh = build_plate(made.plate)
    tri = trimesh.Trimesh(mesh.vertices, mesh.triangles, process=False)
    assert tri.is_watertight
    assert tri.bounds[0][2] == pytest.approx(0, abs=1e-9)
    shells = tri.split(only_watertight=False)
    assert len(shells) == 2 * len(coupon.ALLOWANCES) + 2
    assert all(s.is_volume for s in shells)
    x = sorted(shells, key=lambda s: len(s.vertices))
    assert tri.extents[0] < 120
    assert tri.extents[1] < 80  # the bed of a small resin printer (common practice, no source)
    assert len(x) == 20
    pins = next(s for s in shells if s.extents[2] == pytest.approx(24, abs=1e-6))
    for k, d in enumerate(coupon.PINS):
        (area,) = areas(pins, 6 * k + 3.1)
        assert area == pytest.approx(math.pi * d * d / 4, rel=1e-4)
    block = next(s for s in shells if s.extents[2] == pytest.approx(6, abs=1e-6))
    *holes, solid = areas(block, 3.1)
    assert solid == pytest.approx(block.extents[0] * block.extents[1])
    assert holes == pytest.approx([math.pi * d * d / 4 for d in sorted(coupon.HOLES)], rel=1e-4)


def areas(tri: trimesh.Trimesh, z: float) -> list[float]:
    """The areas inside each outline of a section, mm², rising."""
    return sorted(p.area for p in tri.section([0, 0, 1], [0, 0, z]).to_2D()[0].polygons_closed)


def test_marks_can_be_counted() -> None:
    """Groove n takes as much again: counted in a section of each ring as dents of its outline."""
    made = coupon.coupon(printer.printer(EMPTY, "resin"))
    for piece in made.plate.pieces[: len(coupon.ALLOWANCES)]:
        mesh = build_plate(replace(made.plate, pieces=(piece,), blocks=()))
        tri = trimesh.Trimesh(mesh.vertices, mesh.triangles, process=False)
        radius = piece.marks.radius
        found = []
        for z in (2.5, 6.0):
            rim = tri.section([0, 0, 1], [0, 0, z]).to_2D()[0].polygons_closed
            rim = max(rim, key=lambda p: p.area).exterior
            ring = np.array(rim.coords)
            centre = np.array(rim.minimum_rotated_rectangle.centroid.coords[0])
            r = np.hypot(*(ring - centre).T)
            dents = r < radius - 0.3
            found.append(int((dents[1:] & ~dents[:-1]).sum()))
        mark = round(float(piece.name.split()[1]) / 0.05)
        assert found == [1, mark + 1]


def test_gauges_have_the_published_sizes() -> None:
    """M6-6H plug: GO pitch diameter 5.3625, NOT GO major 5.723 (published plug table for ISO 1502,
    GB/T 3934-2003); the model's thread is that size, metal or printed without compensation."""
    go, no = gauge_pair(limits(parse("M6-6H"), False), WHOSE)
    assert go.threads[0].form.pitch_diameter == pytest.approx(5.3625, abs=0.00051)
    assert no.threads[0].form.crest_diameter == pytest.approx(5.723, abs=0.0006)
    for g in (go, no):
        for profile in (outline(g), gauges.shape_of(g).profile()):
            mesh = build(profile)
            assert_sound(mesh, exact.volume(profile))
            assert len(mesh.triangles) <= 12_000
        assert {"thread.pitch_diameter", "thread.major_diameter"} <= {
            c.id for c in g.characteristics
        }


def test_go_gauge_screws_into_the_smallest_nut_and_not_go_does_not() -> None:
    """At the nut's least limits the go plug has room, at the greatest pitch diameter the not-go
    plug is still larger than at the least: what the gauges are for."""
    work = limits(parse("M9x0.75-6H"), False)
    go, no = (g.characteristic("thread.pitch_diameter") for g in gauge_pair(work, WHOSE))
    assert go.nominal == pytest.approx(work.pitch.min, abs=0.02)
    assert go.upper < work.pitch.max
    assert no.nominal > work.pitch.max - 1e-9
    assert no.lower >= work.pitch.max - 0.0006


@pytest.mark.parametrize("pen", PENS)
def test_dummies_of_every_end_are_sound(pen: str) -> None:
    inputs = inputs_of(pen)
    seen = 0
    for part in inputs.pen.parts.values():
        for end in part.ends.values():
            if end.external is None and end.internal is None:
                continue
            for slice_ in dummy.dummies(part, end).values():
                shape = dummy.dummy(part, slice_, inputs.shop)
                assert shape.height < 45
                for name in (NOMINAL, "resin"):
                    profile = version.of_shape(shape, printer.printer(EMPTY, name)).profile
                    mesh = build(profile, 0.02)
                    assert_sound(mesh, exact.volume(profile))
                    seen += 1
    assert seen > 5


def test_the_mandrel_goes_into_its_dummy(checked) -> None:
    """Heron's cap plug in the cap's dummy, both nominal, seat on the mouth: turned to the right
    place they do not overlap (booleans)."""
    inputs = inputs_of("heron")
    m = checked["heron"].designed[0].mandrel
    part = inputs.pen.parts[m.part]
    shape = dummy.dummy(part, part.ends[m.end], inputs.shop)
    plug = build(PrintedShape(m.outer, (), None).profile())
    cap = build(shape.profile())
    flipped = Mesh(cap.vertices * [1, -1, -1], cap.triangles)
    nut = solid_of(flipped)
    body = solid_of(plug)
    lead = m.threads[0].form.lead
    clash = [
        (body.rotate((0, 0, 360 * k / 36)).translate((0, 0, -0.01)) ^ nut).volume()
        for k in range(int(36 * m.threads[0].form.pitch / lead) + 1)
    ]
    assert min(clash) < 1e-6
    assert max(clash) > 1.0
