"""The assembly, read again by cadquery and the kernel's own document reader: names, colours, units,
the part at its seat, nothing in each other's way but the threads."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import cadquery as cq
import manifold3d
import pytest
import trimesh
from hypothesis import HealthCheck, given, settings
from OCP.IFSelect import IFSelect_RetDone
from OCP.Interface import Interface_Static
from OCP.STEPControl import STEPControl_Reader
from OCP.TColStd import TColStd_SequenceOfAsciiString

from mandrelgen.assess.settled import designs
from mandrelgen.design.designed import Designed
from mandrelgen.files.formats import ASKED, FORMATS, write
from mandrelgen.files.proof import kernel, read_back
from mandrelgen.geometry.kernel.assembly import COLLET, PART, STEEL, assembly, part_body
from mandrelgen.geometry.mesh import exact
from mandrelgen.model.half_section import outline
from mandrelgen.model.mandrel import HeldPart
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.read import read_pen, read_shop
from mandrelgen.spec.starters import starter
from mandrelgen.workflows.build import Build
from tests.support.proving import NAME, NUMBER, STARTERS, expected_of
from tests.support.randompens import SHOP, pens


@cache
def designed() -> dict[str, Designed]:
    found = {}
    for pen, shop in STARTERS:
        read = read_pen(starter("pen", pen), pen), read_shop(starter("shop", shop), shop)
        found |= {f"{pen}/{d.planned.id}": d for d in designs(*read)}
    return found


NAMES = sorted(designed())
PLUG, CUP = "heron/cap-mouth-plug", "wren/section-rear-cup"


def build(name: str) -> Build:
    d = designed()[name]
    assert d.mandrel is not None
    assert d.verdict is not None
    return Build(mandrel=d.mandrel, issue=NAME, verdicts=(d.verdict,))


@cache
def data(name: str) -> bytes:
    ((file, found),) = write(build(name), ("assembly",)).items()
    assert file == f"{NUMBER}_B_assembly.step"
    return found


@cache
def read(name: str, folder: Path) -> cq.Assembly:
    path = folder / "in-use.step"
    path.write_bytes(data(name))
    return cq.Assembly.importStep(str(path))


def bodies(name: str, folder: Path) -> dict[str, tuple[cq.Solid, tuple[float, ...]]]:
    """By name: the solid, placed, and its colour."""
    found = {}
    for child in read(name, folder).children:
        (solid,) = child.toCompound().Solids()
        assert child.color is not None
        found[child.name] = solid, child.color.toTuple()
    return found


@pytest.mark.parametrize("name", NAMES)
def test_named_coloured_bodies_of_the_right_size_seated(name: str, tmp_path: Path) -> None:
    b = build(name)
    m, (held,) = b.mandrel, b.mandrel.held
    found = bodies(name, tmp_path)
    assert list(found) == [NUMBER, held.name, "collet, front (ring)"]
    colours = [c for _, c in found.values()]
    for colour, wanted in zip(colours, (STEEL, PART, COLLET), strict=True):
        assert colour == pytest.approx(wanted, abs=1e-3)
    mandrel, part, collet = (s for s, _ in found.values())
    assert mandrel.Volume() == pytest.approx(exact.volume(b.profile), rel=1e-6)
    # The part's face that bears on the seat is a plane at z = 0, the mandrel's seat too.
    for body in (mandrel, part):
        planes = [f for f in body.Faces() if f.geomType() == "PLANE" and abs(f.Center().z) < 1e-6]
        assert planes, name
    assert part.distance(mandrel) == pytest.approx(0, abs=1e-6)
    # The collet's front stands where the judging has it, on the shank, clear of the part.
    assert b.verdicts[0].stiffness is not None
    assert collet.BoundingBox().zmax == pytest.approx(b.verdicts[0].stiffness.collet_face)
    shank = next(s for s in m.outer if s.feature == "shank")
    assert collet.BoundingBox().zmax <= shank.z1
    assert collet.intersect(mandrel).Volume() == pytest.approx(0, abs=1e-6)
    assert collet.distance(part) > 0


@pytest.mark.parametrize("name", NAMES)
def test_part_and_mandrel_meet_in_the_thread_alone(name: str, tmp_path: Path) -> None:
    """The part's thread is drawn as its major cylinder: a tenon in a cup overlaps the thread's
    ridges, nothing else does, and by no more than the ridges hold."""
    m = build(name).mandrel
    (mandrel, _), (part, _), _ = bodies(name, tmp_path).values()
    common = meshed(mandrel) ^ meshed(part)
    ridges = [s for s in m.inner if s.thread is not None]
    if not ridges:
        assert common.volume() < 1e-3
        return
    (ridge,) = ridges
    assert ridge.thread is not None
    # Cones lead in and out of the thread: its ridges run out on them by its depth.
    depth = (ridge.thread.root_diameter - ridge.thread.crest_diameter) / 2
    low, high = ridge.z0 - 2 * depth, ridge.z1 + 2 * depth
    assert common.trim_by_plane((0, 0, 1), high).volume() < 1e-3
    assert common.trim_by_plane((0, 0, -1), -low).volume() < 1e-3
    tenon = max(r for z, r in m.held[0].outline if z < 0)
    ring = math.pi * (tenon**2 - (ridge.thread.crest_diameter / 2) ** 2) * (high - low)
    assert 0.1 * ring < common.volume() < ring


def meshed(body: cq.Shape) -> manifold3d.Manifold:
    """The kernel's own mesh of a body, chords within 0.01 mm. The kernel's boolean of a threaded
    body and a cylinder that touches its roots finds nothing in common, so another library cuts."""
    corners, triangles = body.tessellate(0.01, 0.1)
    mesh = trimesh.Trimesh([c.toTuple() for c in corners], triangles, process=True)
    mesh.update_faces(mesh.nondegenerate_faces())
    assert mesh.is_watertight
    made = manifold3d.Manifold(
        manifold3d.Mesh64(mesh.vertices.astype("f8"), mesh.faces.astype("u8"))
    )
    assert made.status() == manifold3d.Error.NoError
    return made


def test_a_part_that_is_not_where_it_seats_is_in_the_way(tmp_path: Path) -> None:
    """The interference test can fail: moved by 2 mm on to the seat, metal and part overlap."""
    (mandrel, _), (part, _), _ = bodies(PLUG, tmp_path).values()
    moved = part.moved(cq.Location((0, 0, -2)))
    assert (meshed(mandrel) ^ meshed(moved)).volume() > 10


def test_the_unit_is_the_millimetre(tmp_path: Path) -> None:
    path = tmp_path / "in-use.step"
    path.write_bytes(data(PLUG))
    reader = STEPControl_Reader()
    Interface_Static.SetCVal_s("xstep.cascade.unit", "MM")
    assert reader.ReadFile(str(path)) == IFSelect_RetDone
    units = [TColStd_SequenceOfAsciiString() for _ in range(3)]
    reader.FileUnits(*units)
    assert {units[0].Value(i).ToCString() for i in range(1, units[0].Length() + 1)} == {
        "millimetre"
    }


def test_same_bytes_again_and_nothing_of_clock_or_machine() -> None:
    first = data(PLUG)
    assert write(build(CUP), ("assembly",))
    assert list(write(build(PLUG), ("assembly",)).values()) == [first]
    text = first.decode("ascii")
    assert "2026-05-31T00:00:00" in text
    assert "Open CASCADE" not in text
    assert re.findall(r"NEXT_ASSEMBLY_USAGE_OCCURRENCE\('(\d+)'", text) == ["1", "2", "3"]


def test_words_of_a_person_come_back(tmp_path: Path) -> None:
    b = build(PLUG)
    held = replace(b.mandrel.held[0], name="cap's crown ⌀14; #1")
    changed = replace(b, mandrel=replace(b.mandrel, held=(held,)))
    (found,) = write(changed, ("assembly",)).values()
    assert read_back.check(expected_of(changed), {f"{NUMBER}_B_assembly.step": found})
    path = tmp_path / "in-use.step"
    path.write_bytes(found)
    assert held.name in [c.name for c in cq.Assembly.importStep(str(path)).children]


def test_it_is_written_only_where_it_is_asked_for() -> None:
    assert not ASKED.keys() & FORMATS.keys()


@pytest.mark.parametrize("name", [PLUG, CUP])
def test_the_read_back_says_what_it_proved_and_finds_another_mandrel(name: str) -> None:
    file = f"{NUMBER}_B_assembly.step"
    expected = expected_of(build(name))
    proved = read_back.check(expected, {file: data(name)})
    assert proved[file]["bodies"] == 3
    assert kernel.prove(expected, {file: data(name)}) == {}
    other = CUP if name == PLUG else PLUG
    with pytest.raises(read_back.ProofError, match=r"bodies: expected.*\n.*volume: expected"):
        read_back.check(expected, {file: data(other)})


def test_the_read_back_finds_a_part_off_its_seat_a_lost_colour_and_inches() -> None:
    file, expected = f"{NUMBER}_B_assembly.step", expected_of(build(PLUG))
    (held,) = expected.mandrel.held
    moved = replace(held, outline=tuple((z + 0.01, r) for z, r in held.outline))
    off = replace(expected, mandrel=replace(expected.mandrel, held=(moved,)))
    with pytest.raises(read_back.ProofError, match="from z: expected"):
        read_back.check(off, {file: data(PLUG)})
    for old, new, said in (
        (b"STYLED_ITEM(", b"STYLED_ITEN(", "coloured bodies: expected"),
        (b"SI_UNIT(.MILLI.,.METRE.)", b"SI_UNIT($,.METRE.)", "length unit: expected millimetre"),
    ):
        with pytest.raises(read_back.ProofError, match=said):
            read_back.check(expected, {file: data(PLUG).replace(old, new)})


def test_without_a_collet_there_is_none() -> None:
    b = build(PLUG)
    assert [c.name for c in assembly(b.mandrel, None).children] == ["mandrel", "part-1"]


@settings(max_examples=10, deadline=None, suppress_health_check=list(HealthCheck))
@given(pens())
def test_the_parts_of_random_pens_are_bodies(pen: Pen) -> None:
    for d in designs(pen, SHOP):
        if d.mandrel is None or d.verdict is None:
            continue
        assert outline(d.mandrel).faces
        for held in d.mandrel.held:
            body = part_body(held.outline)
            assert body.isValid(), held
            assert body.Volume() == pytest.approx(frusta(held), rel=1e-6)


def frusta(held: HeldPart) -> float:
    """Volume of the turned polygon by Pappus: 2π × the half-section's first moment about the axis
    (Green's theorem over its sides)."""
    ring = held.outline
    moment = sum(
        (b[0] - a[0]) * (a[1] ** 2 + a[1] * b[1] + b[1] ** 2) / 6
        for a, b in zip(ring, (*ring[1:], ring[0]), strict=True)
    )
    return 2 * math.pi * abs(moment)
