"""A slicer takes every starter's meshes as they are: no open edge, no repair, and paths come out.

PrusaSlicer of Debian's packages (2.5) is the judge. Where it is missing the test is skipped with a
word. Run: python -m pytest tests/long/test_slicing.py
"""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

from mandrelgen.assess.settled import designs
from mandrelgen.core.resources import template_path
from mandrelgen.geometry.mesh import exact
from mandrelgen.geometry.mesh.build import build
from mandrelgen.spec.pen import Pen
from mandrelgen.spec.shop import Shop
from mandrelgen.workflows import check, gauges, print_versions
from mandrelgen.workflows.read_inputs import read_inputs
from mandrelgen.workshop.printing import printer, version
from tests.support.printing_parts import assert_sound
from tests.support.randompens import SHOP, pens

SLICER = shutil.which("prusa-slicer") or shutil.which("PrusaSlicer")
EMPTY = Shop.model_validate({"schema": 1})
PENS = {"heron": "bench", "wren": "bench", "bittern": "small"}
DAY = "2026-06-01"
needs_slicer = pytest.mark.skipif(SLICER is None, reason="prusa-slicer is not installed")


def run(*words: str) -> str:
    done = subprocess.run([str(SLICER), *words], capture_output=True, text=True, timeout=600)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout + done.stderr


def assert_slices(mesh: Path, work: Path) -> None:
    """Manifold, no open edges, nothing repaired, as many facets as written, and extrusion."""
    said = run("--info", str(mesh))
    assert "manifold = yes" in said, said
    for word in ("open_edges", "repaired", "degenerate", "backwards", "removed", "reversed"):
        assert word not in said, said
    code = work / f"{mesh.stem}.gcode"
    said = run("--export-gcode", "--nozzle-diameter", "0.4", "--layer-height", "0.1",
               "--first-layer-height", "0.1", "--bed-shape", "0x0,250x0,250x210,0x210",
               "--output", str(code), str(mesh))  # fmt: skip
    assert "error" not in said.lower(), said
    assert "repair" not in said.lower(), said
    used = re.search(r"filament used \[cm3\] = ([0-9.]+)", code.read_text(errors="replace"))
    assert used
    assert float(used[1]) > 0.1
    code.unlink()


@needs_slicer
@pytest.mark.parametrize("name", ["fdm-04", "fdm-025", "resin", "nominal"])
@pytest.mark.parametrize("pen", PENS)
def test_every_mandrel_gauge_and_dummy_slices(pen: str, name: str, tmp_path: Path) -> None:
    inputs = read_inputs(
        template_path(f"pens/{pen}.toml"), template_path(f"shops/{PENS[pen]}.toml")
    )
    checked = check.check(inputs)
    sets = [print_versions.print_mandrels(checked, name, tmp_path, DAY, anyway=True)]
    for part_id, part in inputs.pen.parts.items():
        for end_id, end in part.ends.items():
            if end.external is not None or end.internal is not None:
                place = f"{part_id}.{end_id}"
                sets.append(gauges.print_gauges(inputs, place, name, tmp_path, DAY, anyway=True))
    meshes = [m.folder / f for s in sets for m in s.made for f in m.files if f.endswith(".stl")]
    packages = [m.with_suffix(".3mf") for m in meshes]
    assert len(meshes) >= 15
    for mesh in (*meshes, packages[0]):
        assert_slices(mesh, tmp_path)


@needs_slicer
@pytest.mark.parametrize("name", ["fdm-04", "resin"])
def test_the_coupon_slices(name: str, tmp_path: Path) -> None:
    (made,) = print_versions.print_coupon(EMPTY, name, tmp_path, DAY).made
    assert_slices(made.folder / made.files[1], tmp_path)


@needs_slicer
def test_a_mesh_with_a_hole_is_found_out(tmp_path: Path) -> None:
    """The judge can say no: one triangle left out."""
    from mandrelgen.files.writers import stl
    from mandrelgen.geometry.mesh.build import Mesh
    from mandrelgen.model.mandrel import Stretch
    from mandrelgen.workshop.printing.shape import PrintedShape

    mesh = build(PrintedShape((Stretch(feature="body", z0=0, z1=10, d0=8, d1=8),)).profile())
    path = tmp_path / "hole.stl"
    path.write_bytes(stl.write(Mesh(mesh.vertices, mesh.triangles[:-1]), "hole"))
    with pytest.raises(AssertionError):
        assert_slices(path, tmp_path)


@given(pens())
@settings(max_examples=300, deadline=None, suppress_health_check=list(HealthCheck))
def test_random_mandrels_stay_sound_on_every_printer(pen: Pen) -> None:
    """Print versions of random mandrels are closed and have the closed form's volume."""
    for d in designs(pen, SHOP):
        if d.mandrel is None:
            continue
        for name in ("fdm-04", "resin"):
            made = version.of_mandrel(d.mandrel, printer.printer(EMPTY, name))
            assert_sound(build(made.profile, 0.02), exact.volume(made.profile))
