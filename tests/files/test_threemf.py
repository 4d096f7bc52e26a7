"""3MF against the consortium's own reader (lib3mf, strict) and the core specification 1.4."""

from __future__ import annotations

import hashlib
import io
import os
import subprocess
import sys
import zipfile
from xml.etree import ElementTree

import lib3mf
import pytest

from mandrelgen.files.writers import glb, stl, threemf
from mandrelgen.geometry.mesh.build import build
from mandrelgen.model.half_section import Profile
from tests.paths import ROOT
from tests.support.thread_parts import cup, plug

NS = "{http://schemas.microsoft.com/3dmanufacturing/core/2015/02}"
WORDS = {
    "title": "Plug <&> mandrel Ø11",
    "number": "FX-0007",
    "revision": "B",
    "name": 'plug "cap"',
    "date": "2026-03-01",
}


def write(profile: Profile) -> bytes:
    return threemf.write(build(profile), **WORDS)


@pytest.mark.parametrize("profile", [plug(9, 0.75, 2), cup(9, 0.75, 1, through=True)])
def test_strict_reader(profile: Profile) -> None:
    mesh = build(profile)
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromBuffer(threemf.write(mesh, **WORDS))
    assert reader.GetWarningCount() == 0
    assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
    objects = model.GetMeshObjects()
    assert objects.Count() == 1
    assert objects.MoveNext()
    found = objects.GetCurrentMeshObject()
    assert found.IsManifoldAndOriented()
    assert (found.GetName(), found.GetPartNumber()) == ('plug "cap"', "FX-0007 B")
    assert found.GetTriangleCount() == len(mesh.triangles)
    box = model.GetOutbox()
    assert list(box.MinCoordinate) == pytest.approx([0, 0, 0], abs=1e-4)
    tall = mesh.vertices[:, 2].max() - mesh.vertices[:, 2].min()
    assert box.MaxCoordinate[2] == pytest.approx(tall, abs=1e-4)


def test_package() -> None:
    """Core specification 1.4, sections 2 and 3: parts, relationship, metadata names."""
    with zipfile.ZipFile(io.BytesIO(write(plug()))) as package:
        assert package.namelist() == ["[Content_Types].xml", "_rels/.rels", "3D/3dmodel.model"]
        root = ElementTree.fromstring(package.read("3D/3dmodel.model"))
        relation = ElementTree.fromstring(package.read("_rels/.rels"))[0]
    assert relation.get("Target") == "/3D/3dmodel.model"
    assert relation.get("Type") == "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"
    assert root.get("unit") == "millimeter"
    metadata = {m.get("name"): m.text for m in root.iter(f"{NS}metadata")}
    assert metadata["Title"] == WORDS["title"]
    assert metadata["CreationDate"] == "2026-03-01"
    assert metadata["Description"] == "FX-0007 B"
    heights = [float(v.get("z")) for v in root.iter(f"{NS}vertex")]
    assert min(heights) == 0


_SCRIPT = """
import hashlib, sys
sys.path.insert(0, {root!r})
from tests.files.test_threemf import digest

print(digest())
"""


def digest() -> str:
    mesh = build(plug(9, 0.75, 2))
    data = threemf.write(mesh, **WORDS) + stl.write(mesh, "FX-0007") + glb.write(mesh)
    return hashlib.sha256(data).hexdigest()


def test_same_bytes_in_another_process() -> None:
    env = {**os.environ, "PYTHONHASHSEED": "7", "TZ": "Asia/Tokyo"}
    run = subprocess.run(
        [sys.executable, "-c", _SCRIPT.format(root=str(ROOT))],
        capture_output=True,
        text=True,
        env=env,
        check=True,
    )
    assert run.stdout.strip() == digest()
