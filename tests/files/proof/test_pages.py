"""Planted faults in what stands round the sizes: numbers and revisions, units, pages and their
paper, the thread's own words in its table.
"""

from __future__ import annotations

import io
import zipfile
from dataclasses import replace
from typing import Any

import pypdf
import pytest

from mandrelgen.files.formats import write
from mandrelgen.files.proof import read_back
from mandrelgen.files.writers.pdf.document import page_count
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.paper.drawing.model import Table
from mandrelgen.workflows.build import Build
from tests.support.proving import (
    CUP,
    NAME,
    NUMBER,
    SEVERAL,
    edited,
    expected_of,
    faults,
    mandrels,
    only,
    other,
    package,
)


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


@pytest.mark.cad
@pytest.mark.parametrize("ending", [".step", "_plain.step"])
def test_a_step_file_in_inches_is_found(ending: str) -> None:
    """Written by the kernel itself in inches."""
    from OCP.Interface import Interface_Static
    from OCP.STEPControl import STEPControl_AsIs, STEPControl_Writer

    from mandrelgen.geometry.kernel.exchange import from_step

    expected, file, data = only(CUP, ending)
    shape = from_step(data)
    try:
        Interface_Static.SetCVal_s("write.step.unit", "INCH")
        writer, stream = STEPControl_Writer(), io.BytesIO()
        writer.Transfer(shape.wrapped, STEPControl_AsIs)
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
