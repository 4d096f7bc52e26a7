"""Reading packages back: honest ones pass, every planted fault is found and named.

The packages come from the real designer and the real writers; faults are planted by building from
another design, or by changing the finished bytes with ezdxf, pypdf, zipfile or the kernel.
"""

from __future__ import annotations

import io
import json
import math
import zipfile
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pypdf
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from mandrelgen.characteristic import Characteristic, Kind
from mandrelgen.design.designer import design
from mandrelgen.mandrel import Issue, Mandrel, Stretch, ThreadForm
from mandrelgen.proof import case, deep, meshes, printed, read_back
from mandrelgen.proof.crossing import crossings
from mandrelgen.proof.outline import revolved
from mandrelgen.sheet.labels import label_of
from mandrelgen.sheet.model import Table
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.read import read_pen, read_shop
from mandrelgen.spec.starters import starter
from mandrelgen.writers.formats import FORMATS, Build, write
from mandrelgen.writers.pdf.document import page_count
from tests.randompens import SHOP, pens

STARTERS = (("heron", "bench"), ("wren", "bench"), ("bittern", "small"))
NUMBER = "TM-0042"
HISTORY = (("A", "2026-05-01", "first issue"), ("B", "2026-05-31", "closer fit"))
NAME = Issue(
    NUMBER, "B", "2026-05-31", "in preparation", "Owner", "Drawer", "Approver", history=HISTORY
)


@cache
def mandrels() -> dict[str, Mandrel]:
    """Every mandrel of the starters, as pen/mandrel."""
    found = {}
    for pen, shop in STARTERS:
        read = read_pen(starter("pen", pen), pen), read_shop(starter("shop", shop), shop)
        for d in design(*read):
            assert d.mandrel is not None
            found[f"{pen}/{d.mandrel.id}"] = d.mandrel
    return found


SEVERAL = "heron/cap-mouth-plug"
CUP = "wren/section-rear-cup"


@cache
def package(name: str) -> tuple[read_back.Expected, dict[str, bytes]]:
    """What is expected of one starter's mandrel, and its files."""
    build = Build(mandrels()[name], NAME)
    return expected_of(build), write(build, tuple(FORMATS))


def expected_of(build: Build) -> read_back.Expected:
    """What the files of ``build`` must say."""
    i = build.issue
    pages = page_count(build.sheet)
    return read_back.Expected(
        build.mandrel, build.profile, i.number, i.revision, i.issued, pages, build.mass,
        len(build.sheet.sheets),
    )  # fmt: skip


def only(name: str, ending: str) -> tuple[read_back.Expected, str, bytes]:
    """The expectation, and the one file of a package with that ending (behind its stem; a mesh's
    name says besides that it is nominal)."""
    expected, files = package(name)
    file = f"{NUMBER}_B{'_nominal' if ending in ('.stl', '.3mf') else ''}{ending}"
    return expected, file, files[file]


Proof = Callable[[read_back.Expected, dict[str, bytes]], dict[str, Any]]


def faults(
    expected: read_back.Expected, files: dict[str, bytes], proof: Proof = read_back.check
) -> str:
    """Every message of the ProofError that must come."""
    with pytest.raises(case.ProofError) as caught:
        proof(expected, files)
    for f in caught.value.findings:
        assert f.code == "proof.failed"
        assert f.where in files
        assert "nothing was published" in f.remedy
    assert caught.value.exit_code == 1
    return "\n".join(f"{f.where} {f.message}" for f in caught.value.findings)


def other(name: str, change: Callable[[Mandrel], Mandrel], *formats: str) -> dict[str, bytes]:
    """Files written from a changed mandrel under the same name."""
    return write(Build(change(mandrels()[name]), NAME), formats)


def with_size(id: str, **changes: Any) -> Callable[[Mandrel], Mandrel]:
    """A mandrel whose characteristic ``id`` is changed."""
    return lambda m: replace(
        m,
        characteristics=tuple(
            replace(c, **changes) if c.id == id else c for c in m.characteristics
        ),
    )


def with_thread(change: Callable[[ThreadForm], ThreadForm]) -> Callable[[Mandrel], Mandrel]:
    """A mandrel whose threads are changed where they are modelled; their data stays."""

    def stretch(s: Stretch) -> Stretch:
        return s if s.thread is None else replace(s, thread=change(s.thread))

    return lambda m: replace(
        m, outer=tuple(map(stretch, m.outer)), inner=tuple(map(stretch, m.inner))
    )


def edited(data: bytes, change: Callable[[Any], None]) -> bytes:
    """A DXF after a change by ezdxf."""
    doc = ezdxf.read(io.StringIO(data.decode("utf-8")))
    change(doc)
    stream = io.StringIO()
    doc.write(stream)
    return stream.getvalue().encode("utf-8")


def dimension(doc: Any, id: str) -> Any:
    """The dimension of a characteristic."""
    found = [
        e
        for e in doc.modelspace().query("DIMENSION")
        if e.has_xdata("MANDRELGEN") and e.get_xdata("MANDRELGEN")[0].value == id
    ]
    assert len(found) == 1
    return found[0]


# Honest packages


@pytest.mark.parametrize("name", sorted(mandrels()))
def test_honest_packages_pass_and_say_in_json_what_was_proved(name: str) -> None:
    expected, files = package(name)
    proved = read_back.check(expected, files)
    assert proved.keys() == files.keys()
    assert json.loads(json.dumps(proved)) == proved
    for file, figures in proved.items():
        assert figures, file
        if file.endswith((".stl", ".3mf", ".step", "_outline.dxf")):
            assert figures["sizes"] >= 10, file


@pytest.mark.parametrize("name", [SEVERAL, CUP])
def test_honest_packages_pass_the_deep_proof(name: str) -> None:
    expected, files = package(name)
    proved = deep.prove(expected, files)
    assert json.loads(json.dumps(proved)) == proved
    thread = proved[f"{NUMBER}_B.step"]["threads"][0]
    form = expected.mandrel.threads[0].form
    assert (thread["starts"], thread["hand"]) == (form.starts, "right")
    assert abs(proved[f"{NUMBER}_B.step"]["off_volume_ppm"]) < 1


@settings(max_examples=6, deadline=None)
@given(pens())
def test_packages_of_random_pens_pass(pen: Pen) -> None:
    for d in design(pen, SHOP):
        if d.mandrel is not None:
            build = Build(d.mandrel, NAME)
            assert read_back.check(expected_of(build), write(build, tuple(FORMATS)))


def test_a_step_file_may_break_its_lines_anywhere_between_words() -> None:
    expected, file, data = only(CUP, ".step")
    broken = data.replace(b"',(", b"',(\n    ").replace(b"\n", b"\r\n")
    assert read_back.check(expected, {file: broken}) == read_back.check(expected, {file: data})


def test_a_sheet_that_is_not_issued_says_so() -> None:
    issue = replace(NAME, number="NOT ISSUED", revision="-", history=(), issued=False)
    build = Build(mandrels()[CUP], issue)
    files = write(build, ("pdf", "dxf", "stl", "3mf", "outline"))
    assert read_back.check(expected_of(build), files)
    said = faults(replace(expected_of(build), number=NUMBER, issued=True), files)
    assert said.count(NUMBER) >= 5


# Sizes and their limits on paper and in the drawing file


def test_limits_that_are_swapped_are_found_in_drawing_and_paper() -> None:
    expected, _ = package(SEVERAL)
    c = expected.mandrel.characteristic("collar.diameter")
    assert c.lower is not None
    assert c.upper is not None
    # 14.557 to 14.6 becomes 14.6 to 14.643: deviations of the same figures, swapped.
    swap = with_size(c.id, lower=2 * c.nominal - c.upper, upper=2 * c.nominal - c.lower)
    said = faults(expected, other(SEVERAL, swap, "dxf", "pdf"))
    assert f"{NUMBER}_B.dxf collar.diameter" in said
    assert f"{NUMBER}_B.pdf collar.diameter" in said


def test_limits_swapped_inside_the_finished_text_are_found() -> None:
    expected, file, data = only(SEVERAL, ".dxf")

    def swap(doc: Any) -> None:
        e = dimension(doc, "collar.diameter")
        head, tail = e.dxf.text.split("(")
        high, low = tail.rstrip(")").split("/")
        e.dxf.text = f"{head}({low}/{high})"

    said = faults(expected, {file: edited(data, swap)})
    assert "collar.diameter: expected deviations +0/" in said


def test_thread_limits_swapped_in_the_table_are_found() -> None:
    expected, file, data = only(SEVERAL, ".dxf")

    def swap(doc: Any) -> None:
        row = [
            e
            for e in doc.modelspace().query("TEXT")
            if e.has_xdata("MANDRELGEN")
            and [t.value for t in e.get_xdata("MANDRELGEN")]
            == ["thread.pitch_diameter", "thread row"]
        ]
        low, high = sorted(row, key=lambda e: e.dxf.insert.x)[1:]
        low.dxf.text, high.dxf.text = high.dxf.text, low.dxf.text

    said = faults(expected, {file: edited(data, swap)})
    assert "thread.pitch_diameter: expected limits" in said
    assert len(said.splitlines()) == 1


def test_a_size_without_limits_in_the_column_of_one_is_found() -> None:
    """A pitch under "max." alone would read as its largest."""
    expected, file, data = only(SEVERAL, ".dxf")

    def shift(doc: Any) -> None:
        for e in doc.modelspace().query("TEXT"):
            own = e.has_xdata("MANDRELGEN") and [t.value for t in e.get_xdata("MANDRELGEN")]
            if own == ["thread.pitch", "thread row"] and e.dxf.text == "0.8":
                align, at, _ = e.get_placement()
                e.set_placement((at.x + 12, at.y), align=align)

    assert "thread.pitch: expected its size across both" in faults(
        expected, {file: edited(data, shift)}
    )


@pytest.mark.parametrize("text", ["⌀11.71 h8 (0/−0.027)", "⌀11.81 h8 (0/−0.027)", "see note", "<>"])
def test_an_overridden_dimension_text_is_found(text: str) -> None:
    expected, file, data = only("bittern/cap-plug", ".dxf")
    assert expected.mandrel.characteristic("spigot1.diameter").nominal == 11.71

    def override(doc: Any) -> None:
        dimension(doc, "spigot1.diameter").dxf.text = text

    assert "spigot1.diameter: expected" in faults(expected, {file: edited(data, override)})


def test_a_picture_that_says_something_else_than_its_dimension_is_found() -> None:
    expected, file, data = only(SEVERAL, ".dxf")

    def repaint(doc: Any) -> None:
        for t in dimension(doc, "collar.diameter").get_geometry_block().query("TEXT"):
            t.dxf.text = t.dxf.text.replace("h9", "h8")

    assert "tolerance class 'h9'" in faults(expected, {file: edited(data, repaint)})


def test_a_dimension_whose_points_moved_is_found_whatever_it_says() -> None:
    expected, file, data = only(SEVERAL, ".dxf")

    def move(doc: Any) -> None:
        e = dimension(doc, "shank.length")
        e.dxf.defpoint2 = e.dxf.defpoint2 + ezdxf.math.Vec3(0.01, 0, 0)

    assert "shank.length, as measured" in faults(expected, {file: edited(data, move)})


def test_a_doubled_and_a_missing_dimension_are_found() -> None:
    expected, file, data = only(SEVERAL, ".dxf")

    def double(doc: Any) -> None:
        doc.modelspace().add_entity(dimension(doc, "neck.diameter").copy())

    def drop(doc: Any) -> None:
        doc.modelspace().delete_entity(dimension(doc, "neck.diameter"))

    assert "neck.diameter: expected it to be shown once, found it shown 2 times" in faults(
        expected, {file: edited(data, double)}
    )
    assert "neck.diameter: expected it to be shown once, found it shown 0 times" in faults(
        expected, {file: edited(data, drop)}
    )


@pytest.mark.parametrize(
    "id", ["spigot1.diameter", "seat.runout", "thread.minor_diameter", "nose.angle"]
)
def test_a_missing_characteristic_is_found_by_its_id(id: str) -> None:
    expected, _ = package(SEVERAL)

    def drop(m: Mandrel) -> Mandrel:
        return replace(m, characteristics=tuple(c for c in m.characteristics if c.id != id))

    said = faults(expected, other(SEVERAL, drop, "dxf", "pdf"))
    assert f"{NUMBER}_B.dxf {id}" in said
    assert f"{NUMBER}_B.pdf {id}, table rows: expected 1, found 0" in said


def test_a_characteristic_of_another_size_is_found_in_frame_roughness_and_table() -> None:
    expected, _ = package(SEVERAL)
    for id in ("seat.runout", "shank.roughness"):
        said = faults(expected, other(SEVERAL, with_size(id, upper=0.05), "dxf", "pdf"))
        assert f"{NUMBER}_B.dxf {id}" in said
        assert f"{NUMBER}_B.pdf {id}" in said


# Names, units, pages


def test_a_line_that_begins_with_the_word_sheet_is_no_page_number() -> None:
    rows = (("1", "sheet metal screws do not fit"), ("2", "sheet 1 of the book"))
    table = Table("Notes", ("No.", "Note"), (1, 12), rows)
    build = Build(mandrels()[SEVERAL], NAME, (table,))
    files = write(build, ("pdf",))
    read_back.check(expected_of(build), files)
    assert "page 2, sheet: expected" in faults(
        replace(expected_of(build), pages=page_count(build.sheet) + 1), files
    )


def test_a_wrong_number_or_revision_in_the_title_block_is_found() -> None:
    expected, _ = package(CUP)
    for issue in (replace(NAME, number="TM-0043"), replace(NAME, revision="A")):
        build = Build(mandrels()[CUP], issue)
        formats = ("dxf", "outline", "pdf", "stl", "3mf", "step", "step-plain")
        files = {
            name.replace(build.stem, f"{NUMBER}_B"): data
            for name, data in write(build, formats).items()
        }
        said = faults(expected, files)
        for name in files:
            assert name in said
        assert "title block" in said


def test_an_inch_header_is_found() -> None:
    expected, file, data = only(CUP, ".dxf")

    def inch(doc: Any) -> None:
        doc.header["$INSUNITS"] = 1
        doc.header["$MEASUREMENT"] = 0

    said = faults(expected, {file: edited(data, inch)})
    assert "$INSUNITS: expected 4, found 1" in said
    assert "$MEASUREMENT: expected 1, found 0" in said
    _, file, data = only(CUP, ".3mf")
    assert "unit: expected millimeter, found inch" in faults(
        expected, {file: repacked(data, b'unit="millimeter"', b'unit="inch"')}
    )


def repacked(data: bytes, old: bytes, new: bytes) -> bytes:
    """A 3MF whose model holds ``new`` for ``old``."""
    stream = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as there, zipfile.ZipFile(stream, "w") as here:
        for name in there.namelist():
            here.writestr(name, there.read(name).replace(old, new))
    return stream.getvalue()


@pytest.mark.parametrize("ending", [".step", "_plain.step"])
def test_a_step_file_in_inches_is_found(ending: str) -> None:
    """Written by the kernel itself in inches."""
    from OCP.Interface import Interface_Static
    from OCP.STEPControl import STEPControl_AsIs, STEPControl_Writer

    from mandrelgen.solid.exchange import from_step

    expected, file, data = only(CUP, ending)
    shape = from_step(data)
    try:
        Interface_Static.SetCVal_s("write.step.unit", "INCH")
        writer, stream = STEPControl_Writer(), io.BytesIO()
        writer.Transfer(shape, STEPControl_AsIs)
        writer.WriteStream(stream)
    finally:
        Interface_Static.SetCVal_s("write.step.unit", "MM")
    said = faults(expected, {file: stream.getvalue()})
    assert "length unit: expected millimetre" in said
    assert "nose: expected" in said or "rear end: expected" in said


def test_a_missing_page_is_found() -> None:
    expected, file, data = only(SEVERAL, ".pdf")
    reader, writer = pypdf.PdfReader(io.BytesIO(data)), pypdf.PdfWriter()
    for page in [*reader.pages[:1], *reader.pages[2:]]:
        writer.add_page(page)
    stream = io.BytesIO()
    writer.write(stream)
    said = faults(expected, {file: stream.getvalue()})
    assert f"pages: expected {expected.pages}, found {expected.pages - 1}" in said
    assert "collar.diameter, table rows: expected 1, found 0" in said


def test_a_page_of_no_standard_paper_is_found() -> None:
    expected, file, data = only(CUP, ".pdf")
    reader, writer = pypdf.PdfReader(io.BytesIO(data)), pypdf.PdfWriter()
    for page in reader.pages:
        writer.add_page(page)
    writer.pages[0].mediabox.right = 1000
    stream = io.BytesIO()
    writer.write(stream)
    assert "page 1: expected A4, A3, A2 or A1" in faults(expected, {file: stream.getvalue()})


def test_a_wrong_hand_or_number_of_starts_in_the_thread_table_is_found() -> None:
    expected, _ = package(SEVERAL)
    data = expected.mandrel.threads[0]

    def mirrored(m: Mandrel) -> Mandrel:
        d = data.limits.designation
        limits = replace(data.limits, designation=replace(d, left_hand=True, starts=2))
        return replace(m, threads=(replace(data, limits=limits),))

    said = faults(expected, other(SEVERAL, mirrored, "pdf"))
    assert "thread, hand: expected right, found left" in said
    assert "thread, starts: expected 3, found 2" in said


# Models


FEWER = with_thread(lambda t: replace(t, starts=t.starts - 1))
MIRRORED = with_thread(lambda t: replace(t, left_hand=not t.left_hand))


@pytest.mark.parametrize("change", [FEWER, MIRRORED], ids=["a start dropped", "the wrong hand"])
@pytest.mark.parametrize("fmt", ["stl", "3mf"])
def test_a_mesh_with_another_thread_is_found_without_the_kernel(
    change: Callable[[Mandrel], Mandrel], fmt: str
) -> None:
    expected, _ = package(SEVERAL)
    said = faults(expected, other(SEVERAL, change, fmt))
    assert "expected 6 edges (3 starts, lead 2.4 mm, right hand)" in said


def test_the_wrong_hand_of_an_internal_thread_is_found_in_the_mesh() -> None:
    expected, _ = package(CUP)
    assert "right hand" in faults(expected, other(CUP, MIRRORED, "stl"))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (FEWER, ("thread, starts: expected 3, found 2", "thread, lead: expected 2.4")),
        (MIRRORED, ("thread, hand: expected right, found left",)),
        (
            with_thread(lambda t: replace(t, pitch_diameter=t.pitch_diameter - 0.01)),
            ("thread, pitch diameter: expected", "volume: expected"),
        ),
    ],
    ids=["a start dropped", "the wrong hand", "a pitch diameter 0.01 mm off"],
)
def test_a_solid_with_another_thread_is_found_by_the_deep_proof(
    change: Callable[[Mandrel], Mandrel], words: tuple[str, ...]
) -> None:
    expected, _ = package(SEVERAL)
    said = faults(expected, other(SEVERAL, change, "step"), deep.prove)
    for text in words:
        assert text in said


def test_a_solid_without_its_thread_is_found_without_the_kernel() -> None:
    expected, _ = package(SEVERAL)
    _, _, plain = only(SEVERAL, "_plain.step")
    _, _, threaded = only(SEVERAL, ".step")
    said = faults(expected, {"a.step": plain, "a_plain.step": threaded})
    assert "a.step thread: expected 6 or more helical faces, found 0" in said
    assert "a_plain.step helical faces: expected 0" in said
    assert "threads in the section" in faults(expected, {"a.step": plain}, deep.prove)


def test_a_model_of_another_size_is_found_by_id() -> None:
    """The spigot 0.05 mm too large, in every model."""
    expected, _ = package(SEVERAL)

    def larger(m: Mandrel) -> Mandrel:
        grown = [
            replace(s, d0=s.d0 + 0.05, d1=s.d1 + 0.05) if s.feature == "spigot1" else s
            for s in m.outer
        ]
        return replace(m, outer=tuple(grown))

    files = other(SEVERAL, larger, "outline", "stl", "3mf", "step", "step-plain")
    said = faults(expected, files)
    for name in files:
        assert f"{name} spigot1.diameter: expected" in said
    assert "volume of revolution" in said


@pytest.mark.parametrize("keep", [-50, -1, 83, 84, 1000])
def test_a_truncated_stl_is_found(keep: int) -> None:
    expected, file, data = only(CUP, ".stl")
    assert "bytes for" in faults(expected, {file: data[:keep]})


def test_an_stl_with_a_hole_or_a_turned_triangle_is_found() -> None:
    expected, file, data = only(CUP, ".stl")
    count = int.from_bytes(data[80:84], "little")
    hole = data[:80] + (count - 1).to_bytes(4, "little") + data[84:-50]
    assert "edges without their partner: expected 0, found 3" in faults(expected, {file: hole})
    facets = np.frombuffer(data, dtype=meshes._FACET, offset=84).copy()
    facets["corners"][7] = facets["corners"][7][::-1]
    turned = data[:84] + facets.tobytes()
    assert "edges without their partner" in faults(expected, {file: turned})


@pytest.mark.parametrize("ending", [e for e, _ in FORMATS.values()])
@pytest.mark.parametrize("share", [0.0, 0.5, 0.999])
def test_a_file_cut_short_is_a_fault_and_never_a_crash(ending: str, share: float) -> None:
    expected, file, data = only(CUP, ending)
    assert file in faults(expected, {file: data[: int(len(data) * share)]})


def test_a_damaged_or_blank_picture_is_found() -> None:
    from PIL import Image

    expected, file, data = only(CUP, ".png")
    half = len(data) // 2
    assert "sound PNG" in faults(
        expected, {file: data[:half] + bytes([data[half] ^ 1]) + data[half + 1 :]}
    )
    for size, word in (((2481, 1754), "empty page"), ((500, 500), "150 dpi")):
        stream = io.BytesIO()
        Image.new("L", size, 255).save(stream, "PNG")
        assert word in faults(expected, {file: stream.getvalue()})


def test_every_mismatch_of_every_file_is_told_at_once() -> None:
    expected, _ = package(CUP)
    _, stl, data = only(CUP, ".stl")
    _, dxf, drawn = only(CUP, ".dxf")
    said = faults(replace(expected, revision="C"), {stl: data[:-50], dxf: drawn, "a.txt": b"?"})
    assert {line.split()[0] for line in said.splitlines()} == {stl, dxf, "a.txt"}


# The parts


SIZES = [Kind.DIAMETER, Kind.LENGTH, Kind.CHAMFER, Kind.ANGLE, Kind.ACROSS_FLATS, Kind.RADIUS]


@st.composite
def characteristics(draw: st.DrawFn) -> Characteristic:
    """Any size as the designer may set it."""
    nominal = draw(st.integers(1, 100_000)) / 1000
    low, high = sorted(draw(st.tuples(*[st.floats(-0.4, 0.4)] * 2)))
    if high - low < 0.005:
        high = low + 0.005
    kind = draw(st.sampled_from(SIZES))
    return Characteristic(
        "a.b", "a", kind, nominal,
        nominal + low if draw(st.booleans()) else None,
        nominal + high if draw(st.booleans()) else None,
        unit="°" if kind is Kind.ANGLE else "mm",
        written=draw(st.sampled_from(["h9", "js7", "H11", "", "±0.1"])),
        general=draw(st.booleans()),
    )  # fmt: skip


@given(characteristics(), st.integers(2, 40))
def test_a_printed_size_is_read_as_it_was_meant_and_every_change_is_seen(
    c: Characteristic, step: int
) -> None:
    """Sheet's printer and proof's reader were written apart: each is the other's check."""
    text = label_of(c, {}).text
    assert not list(printed.mismatches(c, text))
    assert list(printed.mismatches(replace(c, nominal=c.nominal + step / 1000), text))
    if not c.general:
        for side in ("lower", "upper"):
            limit = getattr(c, side)
            if limit is not None:
                for moved in (limit + step / 1000, limit - step / 1000, None):
                    assert list(printed.mismatches(replace(c, **{side: moved}), text))


def test_a_half_section_turned_round_has_the_volume_of_the_body() -> None:
    """Elementary stereometry: cylinder π r² h, cone π r² h / 3, square ring by Pappus and Guldin's
    theorem 2π R · area."""
    assert revolved([(0, 0), (0, 3), (5, 3), (5, 0)]) == pytest.approx(math.pi * 45)
    assert revolved([(0, 0), (0, 3), (6, 0)]) == pytest.approx(math.pi * 18)
    assert revolved([(0, 4), (0, 6), (2, 6), (2, 4)]) == pytest.approx(math.tau * 5 * 4)


def test_closed_meshes_are_told_from_open_ones_as_trimesh_does() -> None:
    for mesh in (trimesh.creation.icosphere(), trimesh.creation.annulus(1, 2, 3)):
        faces = mesh.faces.astype(np.int64)
        assert meshes.loose_edges(faces, len(mesh.vertices)) == 0
        assert mesh.is_watertight
        cut = faces[1:]
        assert meshes.loose_edges(cut, len(mesh.vertices)) == 3
        assert not trimesh.Trimesh(mesh.vertices, cut, process=False).is_watertight


@pytest.mark.parametrize(("apart", "cross"), [(0.75, True), (1.7, False)])
def test_crossing_triangles_are_found_in_closed_meshes(apart: float, cross: bool) -> None:
    """Two cubes turned against each other; manifold3d says whether they have a part in common."""
    import manifold3d

    one = manifold3d.Manifold.cube((1, 1, 1), True)
    two = one.rotate((20, 30, 40)).translate((0.1, 0.2, apart))
    assert ((one ^ two).volume() > 0) == cross
    bodies = [b.to_mesh() for b in (one, two)]
    count = len(bodies[0].vert_properties)
    vertices = np.concatenate([b.vert_properties[:, :3] for b in bodies]).astype(np.float64)
    faces = np.concatenate([bodies[0].tri_verts, bodies[1].tri_verts + count]).astype(np.int64)
    assert meshes.loose_edges(faces, len(vertices)) == 0
    assert (crossings(vertices, faces) > 0) == cross


def test_a_mesh_that_crosses_itself_fails_the_deep_proof() -> None:
    expected, file, data = only(CUP, ".stl")
    facets = np.frombuffer(data, dtype=meshes._FACET, offset=84).copy()
    corners = facets["corners"].reshape(-1, 3)
    # One corner of the shank pushed through the opposite wall: still closed.
    at = corners[int(np.argmax(np.hypot(corners[:, 0], corners[:, 1])))].copy()
    corners[(corners == at).all(axis=1)] *= np.float32([-1.5, -1.5, 1.0])
    facets["corners"] = corners.reshape(-1, 3, 3)
    said = faults(expected, {file: data[:84] + facets.tobytes()}, deep.prove)
    assert "crossing triangles" in said


def test_proof_imports_no_writer() -> None:
    folder = Path(read_back.__file__).parent
    for path in folder.glob("*.py"):
        assert "mandrelgen.writers" not in path.read_text(encoding="utf-8"), path.name
