"""Reading packages back: honest ones pass and say what was proved; damaged files are faults and
never crashes; every fault is told at once.
"""

from __future__ import annotations

import io
import json
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings

from mandrelgen.assess.settled import designs
from mandrelgen.files.formats import FORMATS, write
from mandrelgen.files.proof import kernel, read_back
from mandrelgen.spec.pen import Pen
from mandrelgen.workflows.build import Build
from tests.support.proving import (
    CUP,
    NAME,
    NUMBER,
    SEVERAL,
    expected_of,
    faults,
    mandrels,
    only,
    package,
)
from tests.support.randompens import SHOP, pens


@pytest.mark.parametrize("name", sorted(mandrels()))
def test_honest_packages_pass_and_say_in_json_what_was_proved(name: str) -> None:
    expected, files = package(name)
    proved = read_back.check(expected, files)
    assert proved.keys() == files.keys()
    assert json.loads(json.dumps(proved)) == proved
    for file, figures in proved.items():
        assert figures, file
        if file.endswith((".stl", ".3mf", ".step", "_outline-mid-limits.dxf")):
            assert figures["sizes"] >= 9, file


@pytest.mark.cad
@pytest.mark.parametrize("name", [SEVERAL, CUP])
def test_honest_packages_pass_the_deep_proof(name: str) -> None:
    expected, files = package(name)
    proved = kernel.prove(expected, files)
    assert json.loads(json.dumps(proved)) == proved
    thread = proved[f"{NUMBER}_B.step"]["threads"][0]
    form = expected.mandrel.threads[0].form
    assert (thread["starts"], thread["hand"]) == (form.starts, "right")
    assert abs(proved[f"{NUMBER}_B.step"]["off_volume_ppm"]) < 1


@settings(max_examples=6, deadline=None)
@given(pens())
def test_packages_of_random_pens_pass(pen: Pen) -> None:
    for d in designs(pen, SHOP):
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


def test_proof_imports_no_writer() -> None:
    folder = Path(read_back.__file__).parent
    for path in folder.glob("*.py"):
        assert "mandrelgen.writers" not in path.read_text(encoding="utf-8"), path.name
