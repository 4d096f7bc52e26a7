"""Print versions: play by booleans on the meshes, verdicts, calibration, mesh quality."""

from __future__ import annotations

import io
import json
import math
import tomllib
import zipfile
from dataclasses import replace
from pathlib import Path

import lib3mf
import manifold3d
import numpy as np
import pytest
import trimesh
from click.testing import CliRunner
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from mandrelgen import pipeline, printed
from mandrelgen.cli import main
from mandrelgen.design.gauge import Whose, gauge_pair
from mandrelgen.errors import InputError
from mandrelgen.mandrel import Flats, Stretch, ThreadForm
from mandrelgen.mesh import exact
from mandrelgen.mesh.build import Mesh, build
from mandrelgen.mesh.plate import build_plate, solid_of
from mandrelgen.printing import calibrate, coupon, dummy, gauges, judge, printer, version, words
from mandrelgen.printing.printer import NOMINAL
from mandrelgen.printing.shape import Shape, thinnest
from mandrelgen.printing.thread import basic_form, overlap, printed_thread, radial_play
from mandrelgen.profile import outline
from mandrelgen.reading import read_inputs
from mandrelgen.resources import template_path
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.designation import parse
from mandrelgen.standards.threads import limits

EMPTY = Shop.model_validate({"schema": 1})
WHOSE = Whose("heron", "cap", "mouth", "the cap's mouth")
PENS = {"heron": "bench", "wren": "bench", "bittern": "small"}
PRINTERS = ("fdm-04", "fdm-025", "resin")


def inputs_of(pen: str):
    return read_inputs(template_path(f"pens/{pen}.toml"), template_path(f"shops/{PENS[pen]}.toml"))


@pytest.fixture(scope="module")
def checked():
    return {pen: pipeline.check(inputs_of(pen)) for pen in PENS}


def spun(mesh: Mesh, grow: float = 0.0, up: float = 0.0) -> manifold3d.Manifold:
    """The mesh grown on the radius by ``grow`` and lifted: nothing of the program's own but the
    vertices."""
    v = mesh.vertices.copy()
    r = np.hypot(v[:, 0], v[:, 1])
    v[:, :2] *= ((r + grow * (r > 0)) / np.where(r > 0, r, 1.0))[:, None]
    v[:, 2] += up
    return solid_of(Mesh(v, mesh.triangles))


def measured_play(plug: Mesh, ring: Mesh, pitch: float) -> float:
    """How far the plug can grow on the radius inside the ring, mm: where the volume that both fill
    (booleans, manifold3d) comes down to zero, at the height where they clash least."""
    nut = solid_of(ring)

    def clash(grow: float, up: float) -> float:
        return (spun(plug, grow, up) ^ nut).volume()

    grow, step = -0.1 * pitch, pitch / 12
    found: dict[float, float] = {}
    while not found or min(found.values()) < 0.05 * pitch:
        grow += 0.1 * pitch
        found = {u: clash(grow, u) for u in (-1.5 - k * step for k in range(12))}
    up = min(found, key=lambda u: found[u])
    low, high = grow - 0.4 * pitch, grow + 0.2 * pitch
    for _ in range(3):  # the better the height is known, the further the plug can grow
        for _ in range(5):
            middle = (low + high) / 2
            low, high = (middle, high) if clash(middle, up) < 0.02 * pitch else (low, middle)
        step /= 2
        up = min((up - step, up, up + step), key=lambda u: clash(high, u))
        high = low + 0.5 * pitch
    near, far = low + 0.05 * pitch, low + 0.1 * pitch
    one, two = clash(near, up), clash(far, up)
    return near - one * (far - near) / (two - one)


def pair(screw: ThreadForm, nut: ThreadForm) -> tuple[Mesh, Mesh]:
    """A plug whose thread reaches through a ring of three pitches."""
    p, d = screw.pitch, screw.crest_diameter
    plug = coupon.plug_shape(screw, d + 4, 2.0, 6 * p + 2)
    return build(plug.profile()), build(coupon.ring_shape(nut, d + 8, 3 * p + 1).profile())


@pytest.mark.parametrize("mark", range(len(coupon.ALLOWANCES)))
def test_the_play_of_the_ladder_is_twice_the_mark(mark: int) -> None:
    """Plug and ring of one mark: each gives its allowance a side, so the play a side that comes out
    of the meshes is twice the mark, within 0.02."""
    p = printer.printer(EMPTY, "resin")
    allowance = coupon.ALLOWANCES[mark]
    screw, nut = (
        printed_thread("t", basic_form(e, 10, 1), allowance, p.flat).printed for e in (True, False)
    )
    assert measured_play(*pair(screw, nut), 1.0) == pytest.approx(2 * allowance, abs=0.02)


@pytest.mark.parametrize(("text", "name"), [
    ("M12xPh2.4P0.8", "resin"), ("M9x0.75-LH", "fdm-025"), ("M16x2", "fdm-04")])  # fmt: skip
def test_a_printed_plug_plays_in_the_real_thread_as_computed(text: str, name: str) -> None:
    """The play of a printed 6g plug in a 6H ring at mid-limits, by booleans, against the closed
    form; and the allowance is what it gains over the plug as designed."""
    from mandrelgen.design.screw import form_of

    p = printer.printer(EMPTY, name)
    d = parse(text)
    screw, nut = form_of(limits(d, True)), form_of(limits(d, False))
    made = printed_thread("thread", screw, p.external_thread, p.flat)
    expected = radial_play(made.printed, nut)
    assert expected == pytest.approx(radial_play(screw, nut) + p.external_thread, abs=0.03)
    found = measured_play(*pair(made.printed, nut), screw.pitch)
    assert found == pytest.approx(expected, abs=0.02)


@given(
    st.booleans(), st.sampled_from([0.5, 0.75, 1.0, 1.5, 2.0]), st.floats(0, 0.4),
    st.floats(0, 0.2), st.integers(1, 4),
)  # fmt: skip
def test_opening_a_thread_never_takes_its_clearance(
    external: bool, pitch: float, allowance: float, flat: float, starts: int
) -> None:
    """Flank play against the basic mate is the allowance; crest and root never hinder it by more
    than half of it; crests are as wide as asked where the pitch has room."""
    form = basic_form(external, 12.0, pitch, starts)
    mate = basic_form(not external, 12.0, pitch, starts)
    made = printed_thread("t", form, allowance, flat).printed
    pair = (made, mate) if external else (mate, made)
    assert abs(pair[1].pitch_diameter - pair[0].pitch_diameter) / 2 == pytest.approx(allowance)
    assert radial_play(*pair) >= allowance / 2 - 1e-9
    assert made.crest_flat >= min(flat, 0.95 * pitch / 2) - 1e-9
    assert made.crest_flat + made.root_flat < pitch
    assert overlap(*pair) <= 0.541266 * pitch - allowance + 1e-9


def test_basic_profile() -> None:
    """M10x1: d2 9.350, D1 8.917 (ISO 724:1993)."""
    screw, nut = basic_form(True, 10, 1), basic_form(False, 10, 1)
    assert screw.pitch_diameter == pytest.approx(9.350, abs=0.0006)
    assert nut.crest_diameter == pytest.approx(8.917, abs=0.0006)
    assert (screw.crest_flat, screw.root_flat) == pytest.approx((1 / 8, 1 / 4), abs=1e-6)


# ------------------------------------------------------------------ verdict


@pytest.mark.parametrize(("pitch", "name", "level"), [
    (1.0, "fdm-04", "GOOD"), (1.5, "fdm-04", "GOOD"), (0.8, "fdm-04", "MARGINAL"),
    (0.75, "fdm-04", "MARGINAL"), (0.5, "fdm-04", "NO"), (0.35, "fdm-025", "NO"),
    (0.5, "fdm-025", "MARGINAL"), (0.75, "resin", "GOOD"), (0.5, "resin", "GOOD"),
    (0.35, "resin", "MARGINAL"), (0.25, "resin", "NO"),
])  # fmt: skip
def test_pitches_a_printer_forms(pitch: float, name: str, level: str) -> None:
    """From memory (no source with hard numbers): 0.4 nozzle in 0.1 layers P 1 usable, 0.75 to 0.8
    marginal; resin 0.05 P 0.5 good, 0.35 to 0.4 possible."""
    p = printer.printer(EMPTY, name)
    screw, nut = basic_form(True, 10, pitch), basic_form(False, 10, pitch)
    assert judge.thread_level(screw, nut, p) is judge.Level[level]


@given(st.sampled_from(PRINTERS), st.booleans(), st.floats(0.3, 2.0), st.floats(0.01, 0.5))
def test_a_coarser_pitch_never_prints_worse(
    name: str, external: bool, pitch: float, more: float
) -> None:
    p = printer.printer(EMPTY, name)

    def level(value: float) -> judge.Level:
        return judge.thread_level(
            basic_form(external, 30, value), basic_form(not external, 30, value), p
        )

    assert level(pitch + more) <= level(pitch)


def test_a_fine_thread_is_refused_with_help(tmp_path: Path) -> None:
    """P 0.5 on a 0.4 nozzle: no file, exit 1, and the ways out."""
    run = CliRunner().invoke(main, [
        "print", str(template_path("pens/heron.toml")), "--shop",
        str(template_path("shops/bench.toml")), "--printer", "fdm-04", "--to", str(tmp_path),
        "--json",
    ])  # fmt: skip
    assert run.exit_code == 1
    view = json.loads(run.stdout)
    assert "finial-root-cup" not in {m["id"] for m in view["printed"]}
    assert not list(tmp_path.rglob("*finial*"))
    (fault,) = view["findings"]
    assert "line widths" in fault["message"]
    for way in ("resin", "trial pitch", "metal"):
        assert way in fault["remedy"]


def test_walls_and_slenderness_are_judged() -> None:
    p = printer.printer(EMPTY, "fdm-04")
    tube = Shape((Stretch("neck", 0, 90, 6, 6),), (Stretch("bore", 0, 90, 5, 5),))
    found = {line.id: line.level for line in judge.judge(
        version.PrintVersion(p, tube, (), ()), {}, EMPTY).lines}  # fmt: skip
    assert found == {"wall": judge.Level.NO, "slender": judge.Level.MARGINAL}
    made = version.of_shape(tube, p)
    wall = thinnest(made.shape, p.foot)
    assert wall is not None
    assert wall.value == pytest.approx(p.least_wall)


def test_an_underside_is_carried_or_told() -> None:
    """A collar on a neck gets a cone; on the shank, which the collet grips, it is told."""
    p = printer.printer(EMPTY, "fdm-04")
    collar = Stretch("collar", 10, 14, 14, 14)
    carried = version.of_shape(Shape((Stretch("neck", 0, 10, 10, 10), collar)), p)
    told = version.of_shape(Shape((Stretch("shank", 0, 10, 10, 10), collar)), p)
    assert judge.undersides(carried.shape, p) == []
    ((z, width),) = judge.undersides(told.shape, p)
    assert (z, width) == pytest.approx((10, 2))
    assert exact.volume(carried.profile) > exact.volume(told.profile)


# ------------------------------------------------------------------ compensation


def test_plain_sizes_are_compensated_and_the_foot_eased() -> None:
    p = replace(printer.printer(EMPTY, "fdm-04"), outside=0.12, hole=0.2, foot=0.3)
    part = Shape(
        (Stretch("collar", 0, 20, 16, 16),), (Stretch("bore", 0, 20, 8, 8),), Flats(5, 10, 14)
    )
    made = version.of_shape(part, p)
    mesh = build(made.profile)
    r = np.hypot(mesh.vertices[:, 0], mesh.vertices[:, 1])
    bed = r[mesh.vertices[:, 2] < 1e-9]
    assert 2 * r.max() == pytest.approx(15.88, abs=0.02)
    assert 2 * bed.max() == pytest.approx(15.28, abs=0.02)
    assert 2 * bed.min() == pytest.approx(8.8, abs=0.02)
    assert 2 * r.min() == pytest.approx(8.2, abs=0.02)
    waist = mesh.vertices[np.abs(mesh.vertices[:, 2] - 7) < 3]
    assert 2 * np.abs(waist[:, 0]).min() <= 13.88 + 1e-6


def test_nominal_is_left_alone(checked) -> None:
    for result in checked.values():
        for d in result.designed:
            made = version.of_mandrel(d.mandrel, printer.printer(EMPTY, NOMINAL))
            assert made.shape == Shape(d.mandrel.outer, d.mandrel.inner, d.mandrel.flats)


@pytest.mark.parametrize("pen", PENS)
def test_mandrels_shrink_into_the_part_and_stay_whole(pen: str, checked) -> None:
    """Every starter's mandrel on every printer: enough smaller in front of the seat, or larger
    round the nut, that a designed fit becomes a printed one; mesh against the closed form."""
    for d in checked[pen].designed:
        for name in PRINTERS:
            made = version.of_mandrel(d.mandrel, printer.printer(EMPTY, name))
            for t in made.threads:
                side = -1 if t.designed.external else 1
                for size in ("pitch_diameter", "crest_diameter"):
                    gain = side * (getattr(t.printed, size) - getattr(t.designed, size)) / 2
                    assert gain >= t.allowance - 1e-9
            mesh = build(made.profile)
            assert_sound(mesh, exact.volume(made.profile))
            assert len(mesh.triangles) <= 12_000


# ------------------------------------------------------------------ mesh quality


def assert_sound(mesh: Mesh, volume: float) -> None:
    """Closed, oriented, one shell, and the closed form's volume: manifold3d and trimesh."""
    body = solid_of(mesh)
    assert body.status() == manifold3d.Error.NoError
    assert body.volume() == pytest.approx(volume, rel=0.002)
    tri = trimesh.Trimesh(mesh.vertices, mesh.triangles, process=False)
    assert tri.is_watertight
    assert tri.is_winding_consistent
    assert tri.volume == pytest.approx(volume, rel=0.002)


def crossings(mesh: Mesh) -> int:
    """Pairs of triangles that cross without sharing a corner: edges against triangles, all that
    boxes in a grid bring together."""
    v, t = mesh.vertices, mesh.triangles
    corners = v[t]
    low, high = corners.min(axis=1), corners.max(axis=1)
    order = np.argsort(low[:, 2])
    count = 0
    tops = high[order, 2]
    bottoms = low[order, 2]
    for k, i in enumerate(order):
        near = order[k + 1 : np.searchsorted(bottoms, tops[k], side="right")]
        near = near[np.all((low[near, :2] <= high[i, :2]) & (high[near, :2] >= low[i, :2]), axis=1)]
        near = near[~np.isin(t[near], t[i]).any(axis=1)]
        if len(near):
            count += int((_pierce(corners[i][None], corners[near])
                          | _pierce(corners[near], corners[i][None])).sum())  # fmt: skip
    return count


def _pierce(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """Whether an edge of ``a`` passes through the inside of ``b`` (Möller and Trumbore)."""
    hit = np.zeros(max(len(a), len(b)), dtype=bool)
    e1, e2 = b[:, 1] - b[:, 0], b[:, 2] - b[:, 0]
    for k in range(3):
        start, way = a[:, k], a[:, (k + 1) % 3] - a[:, k]
        h = np.cross(way, e2)
        det = np.einsum("ij,ij->i", np.broadcast_to(e1, h.shape), h)
        ok = np.abs(det) > 1e-12
        inv = 1 / np.where(ok, det, 1.0)
        s = start - b[:, 0]
        u = np.einsum("ij,ij->i", np.broadcast_to(s, h.shape), h) * inv
        q = np.cross(s, e1)
        w = np.einsum("ij,ij->i", np.broadcast_to(way, q.shape), q) * inv
        x = np.einsum("ij,ij->i", np.broadcast_to(e2, q.shape), q) * inv
        eps = 1e-7
        hit |= ok & (u > eps) & (w > eps) & (u + w < 1 - eps) & (x > eps) & (x < 1 - eps)
    return hit


def test_no_triangle_crosses_another(checked) -> None:
    """A plug and a cup of the starters; and the test itself finds a crossing that was made."""
    plug, cup = (d.mandrel for d in checked["heron"].designed[:2])
    resin = printer.printer(EMPTY, "resin")
    for m in (plug, cup):
        assert crossings(build(version.of_mandrel(m, resin).profile, 0.03)) == 0
    mesh = build(Shape((Stretch("body", 0, 5, 4, 4),)).profile(), 0.05)
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
    plug = build(Shape(m.outer, (), None).profile())
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


# ------------------------------------------------------------------ calibration

SHOP_TEXT = """# my shop
schema = 1   # the form

[printers.attic]    # second hand
kind = "fdm"
nozzle = 0.4        # brass
outside = 0.3

[lathe]
max_speed = 2500    # belt 2
"""


def test_readings_become_an_entry_and_comments_stay(tmp_path: Path) -> None:
    shop = tmp_path / "shop.toml"
    shop.write_text(SHOP_TEXT, encoding="utf-8")
    run = CliRunner().invoke(main, [
        "calibrate", "attic", "--shop", str(shop), "--pin", "10=10.12", "--hole", "8=7.85",
        "--ladder", "0.15", "--date", "2026-06-01",
    ])  # fmt: skip
    assert run.exit_code == 0, run.output
    text = shop.read_text(encoding="utf-8")
    assert [line for line in SHOP_TEXT.splitlines() if line not in text.splitlines()] == []
    (entry,) = tomllib.loads(text)["printers"]["attic"]["calibration"]
    assert entry["date"].isoformat() == "2026-06-01"
    assert (entry["outside"], entry["hole"]) == pytest.approx((0.12, 0.15))
    assert (entry["external_thread"], entry["internal_thread"]) == (0.15, 0.15)
    p = printer.printer(Shop.model_validate(tomllib.loads(text)), "attic")
    assert (p.outside, p.external_thread, p.dated) == (0.12, 0.15, "2026-06-01")
    assert "calibrated 2026-06-01" in p.said()
    made = printed.print_mandrels(
        pipeline.check(read_inputs(template_path("pens/heron.toml"), shop)),
        "attic", tmp_path / "out", "2026-06-02", anyway=True,
    )  # fmt: skip
    assert made.made
    for m in made.made:
        told = (m.folder / next(f for f in m.files if f.endswith(".txt"))).read_text("utf-8")
        assert "calibrated 2026-06-01" in told


def test_the_latest_reading_of_each_size_counts() -> None:
    entries = [
        {"date": "2026-05-01", "outside": 0.2, "hole": 0.1},
        {"date": "2026-07-01", "outside": 0.3},
        {"date": "2026-06-01", "outside": 0.1, "external_thread": 0.05},
    ]
    shop = Shop.model_validate(
        {"schema": 1, "printers": {"x": {"kind": "fdm", "calibration": entries}}}
    )
    p = printer.printer(shop, "x")
    assert (p.outside, p.hole, p.external_thread, p.internal_thread) == (0.3, 0.1, 0.05, 0.2)
    assert p.dated == "2026-07-01"


@given(
    st.sampled_from(["\n", "\r\n"]), st.booleans(), st.sampled_from(["attic", "resin", "fdm-04"]),
    st.integers(1, 3), st.floats(-0.7, 0.7),
)  # fmt: skip
@settings(max_examples=40, suppress_health_check=[HealthCheck.too_slow])
def test_the_rest_of_the_shop_file_is_never_touched(
    line: str, bom: bool, name: str, times: int, off: float
) -> None:
    before = ("\ufeff" if bom else "") + SHOP_TEXT.replace("\n", line)
    shop = Shop.model_validate(tomllib.loads(SHOP_TEXT))
    found = calibrate.compensation(calibrate.Readings(pins=((10.0, 10.0 + off),)))
    text = before
    for _ in range(times):
        text = calibrate.entered(text, shop, name, found, "2026-06-01")
    assert text.startswith("\ufeff") == bom
    assert ("\r\n" in text) == (line == "\r\n")
    assert text.count("\n") == text.count(line)
    kept = set(text.split(line))
    assert all(row in kept for row in before.split(line))
    values = tomllib.loads(text.removeprefix("\ufeff"))
    rows = values["printers"][name]["calibration"]
    assert len(rows) == times
    assert rows[-1]["outside"] == pytest.approx(off, abs=1e-4)
    Shop.model_validate(values)


@pytest.mark.parametrize(("options", "said"), [
    (["--pin", "11=11.1"], "no size 11"), (["--pin", "ten"], "not a reading"),
    (["--pin", "10=12"], "2.00 off"), (["--ladder", "0.07"], "no mark"),
    (["--hole", "8=nan"], "not a reading"), ([], "no reading"),
])  # fmt: skip
def test_a_wrong_reading_is_told_and_nothing_written(
    tmp_path: Path, options: list[str], said: str
) -> None:
    shop = tmp_path / "shop.toml"
    shop.write_text(SHOP_TEXT, encoding="utf-8")
    run = CliRunner().invoke(main, ["calibrate", "attic", "--shop", str(shop), *options])
    assert run.exit_code == 2
    assert said in run.output
    assert shop.read_text(encoding="utf-8") == SHOP_TEXT


def test_an_unknown_printer_is_told(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no printer 'cellar'"):
        printed.print_coupon(EMPTY, "cellar", tmp_path, "2026-06-01")


# ------------------------------------------------------------------ files


def test_files_names_metadata_and_cautions(tmp_path: Path) -> None:
    """3MF by the consortium's reader (lib3mf, strict, no warning), STL by trimesh; the file says
    what it is, whose it is, and that it is not for turning."""
    made = printed.print_mandrels(
        pipeline.check(inputs_of("wren")), "resin", tmp_path, "2026-06-01"
    )
    assert len(made.made) == 3
    for m in made.made:
        assert {f.rsplit("_", 1)[1] for f in m.files} == {
            "print-resin.3mf", "print-resin.stl", "print-resin.txt"}  # fmt: skip
        files = {f.rsplit(".", 1)[1]: (m.folder / f).read_bytes() for f in m.files}
        model = lib3mf.get_wrapper().CreateModel()
        reader = model.QueryReader("3mf")
        reader.SetStrictModeActive(True)
        reader.ReadFromBuffer(files["3mf"])
        assert reader.GetWarningCount() == 0
        assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
        assert model.GetMeshObjects().Count() == 1
        assert model.GetOutbox().MinCoordinate[2] == pytest.approx(0, abs=1e-4)
        with zipfile.ZipFile(io.BytesIO(files["3mf"])) as z:
            text = z.read("3D/3dmodel.model").decode()
        assert "not for turning" in text
        assert "print-resin" in files["stl"][:80].decode()
        tri = trimesh.load_mesh(io.BytesIO(files["stl"]), file_type="stl")
        assert tri.is_volume
        assert tri.bounds[0][2] == pytest.approx(0, abs=1e-5)
        told = files["txt"].decode()
        for caution in (*words.GENERAL, *m.cautions):
            assert caution in told
        # ISO has none for printed mandrels: the cap of data/loads.toml (from memory).
        assert "Speed cap, were it allowed, in resin: 1000 rev/min" in told


def test_a_numbered_fixture_is_printed_under_its_number(tmp_path: Path, checked) -> None:
    """Number and revision come from the archive if the same design was published there."""
    from mandrelgen.archive import identity, issue, root

    result = checked["wren"]
    mandrel = result.designed[0].mandrel
    archive = root.open_root(tmp_path)
    slot, digest = identity.slot_of(mandrel), identity.design_hash(mandrel)
    plan = issue.assign(archive, slot, digest, None)
    record = issue.make_record(plan, mandrel, "2026-06-01", "test")
    issue.publish_all(archive, [issue.Job(plan, {"a.txt": b"a"}, record)])
    made = printed.print_mandrels(result, "resin", tmp_path, "2026-06-01", only="cap-mouth-plug")
    (m,) = made.made
    assert m.files[0] == "MG-0001_A_print-resin.3mf"


def test_the_gauge_command_writes_metal_and_printed(tmp_path: Path) -> None:
    run = CliRunner().invoke(main, [
        "gauge", str(template_path("pens/heron.toml")), "section.rear", "--shop",
        str(template_path("shops/bench.toml")), "--to", str(tmp_path),
    ])  # fmt: skip
    assert run.exit_code == 0, run.output
    names = {p.name for p in tmp_path.rglob("*") if p.is_file()}
    assert names >= {
        "not-issued_go-ring.step",
        "not-issued_not-go-ring_nominal.3mf",
        "not-issued_go-ring.pdf",
        "not-issued_go-ring.dxf",
        "dummy_nominal.stl",
    }
    run = CliRunner().invoke(main, [
        "gauge", str(template_path("pens/heron.toml")), "section.rear", "--printer", "resin",
        "--to", str(tmp_path),
    ])  # fmt: skip
    assert run.exit_code == 0, run.output
    assert list(tmp_path.rglob("go-ring_print-resin.3mf"))
