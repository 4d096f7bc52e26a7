"""STEP files: read back, measured, and compared byte by byte."""

from __future__ import annotations

import hashlib
import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

from mandrelgen.mesh import exact
from mandrelgen.profile import Profile
from mandrelgen.solid import measure
from mandrelgen.solid.build import build
from mandrelgen.solid.exchange import from_step
from mandrelgen.writers import step
from tests.thread_parts import GRID, cup, form, plug

STAMP = "2026-03-01T00:00:00"


def write(profile: Profile, number: str = "FX-0007", description: str = "plug") -> bytes:
    return step.write(build(profile), number=number, description=description, timestamp=STAMP)


@pytest.mark.parametrize("profile", GRID)
def test_read_back(profile: Profile) -> None:
    from OCP.BRepCheck import BRepCheck_Analyzer

    shape = from_step(write(profile))
    assert measure.count_solids(shape) == 1
    assert BRepCheck_Analyzer(shape).IsValid()
    assert measure.volume(shape) == pytest.approx(exact.volume(profile), rel=1e-6)
    radius = max(max(f.r0, f.r1) for f in profile.faces)
    assert measure.bounding_box(shape)[3] == pytest.approx(radius, abs=1e-6)


def test_thread_measured_in_the_file() -> None:
    profile = cup(12, 0.8, 3, left=True, rear_thread=form(15, 1.0, 2, False, True))
    outer, inner = measure.section_report(from_step(write(profile)))
    assert (outer.external, outer.starts, outer.left_hand) == (True, 2, False)
    assert (inner.external, inner.starts, inner.left_hand) == (False, 3, True)
    assert (outer.pitch, outer.lead) == pytest.approx((1.0, 2.0), abs=1e-6)
    assert (inner.pitch, inner.lead) == pytest.approx((0.8, 2.4), abs=1e-6)
    wanted = form(12, 0.8, 3, True, False)
    sizes = (inner.minor, inner.pitch_diameter, inner.major)
    assert sizes == pytest.approx(
        (wanted.crest_diameter, wanted.pitch_diameter, wanted.root_diameter), abs=1e-6
    )


def test_words_in_the_file() -> None:
    """ISO 10303-21: strings are ASCII, other characters as \\X2\\…\\X0\\, apostrophes doubled."""
    text = write(plug(), "FX-0007", "Ø11 for the pen's cap").decode("ascii")
    product = r"PRODUCT\('FX-0007','FX-0007',\s*'\\X2\\00D8\\X0\\11 for the pen''s cap'"
    assert re.search(product, text)
    assert "FILE_SCHEMA(('AUTOMOTIVE_DESIGN" in text  # AP214's schema name
    assert STAMP in text
    assert re.search(r"SI_UNIT\(\.MILLI\.,\.METRE\.\)", text)
    assert text.count("MANIFOLD_SOLID_BREP('FX-0007'") == 1
    assert os.getcwd() not in text
    assert tempfile.gettempdir() not in text


def test_surfaces_a_turner_can_pick() -> None:
    """Plain features are true cylinders, cones and planes; ISO 10303-42 wants cone angles > 0."""
    text = write(plug()).decode("ascii")
    cones = [float(a) for a in re.findall(r"CONICAL_SURFACE\('',#\d+,[\d.E-]+,([-\d.E]+)\)", text)]
    assert len(cones) == 3
    assert all(angle > 0 for angle in cones)
    radii = {float(r) for r in re.findall(r"CYLINDRICAL_SURFACE\('',#\d+,([\d.]+)\)", text)}
    assert {5.5, 7.5} <= radii


def test_unreadable_bytes() -> None:
    with pytest.raises(ValueError, match="STEP"):
        from_step(b"not a STEP file")


def test_nothing_on_the_terminal(capfd: pytest.CaptureFixture[str]) -> None:
    from_step(write(plug()))
    assert capfd.readouterr().out == ""


def test_same_bytes_in_one_process() -> None:
    first = write(plug())
    write(cup(), "FX-0008")
    assert write(plug()) == first


ROOT = str(Path(__file__).parents[1])
_SCRIPT = """
import hashlib, sys
sys.path.insert(0, {root!r})
from tests.test_step import write
from tests.thread_parts import plug
print(hashlib.sha256(write(plug())).hexdigest())
"""


def test_same_bytes_in_another_process() -> None:
    script = _SCRIPT.format(root=ROOT)
    digests = {hashlib.sha256(write(plug())).hexdigest()}
    env = {**os.environ, "PYTHONHASHSEED": "7", "TZ": "Asia/Tokyo"}
    run = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, env=env, check=True
    )
    digests.add(run.stdout.strip())
    assert len(digests) == 1
