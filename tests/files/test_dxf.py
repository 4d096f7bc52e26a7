"""The DXF read back by other eyes: ezdxf's audit, GDAL through pyogrio."""

from __future__ import annotations

import io
import subprocess
import sys
from collections import Counter

import ezdxf
import pyogrio
import pytest
from ezdxf.tools.text import plain_text
from hypothesis import given
from hypothesis import strategies as st

from mandrelgen.files.writers import dxf
from mandrelgen.model.characteristic import Kind
from mandrelgen.model.half_section import outline
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.paper.drawing.layout import drawing
from mandrelgen.paper.drawing.model import Sheet
from tests.support.samples_sheet import ISSUE, SAMPLES, plug

APP = "MANDRELGEN"


@pytest.fixture(scope="module", params=sorted(SAMPLES))
def made(request: pytest.FixtureRequest) -> tuple[Mandrel, Sheet, bytes]:
    mandrel = SAMPLES[request.param]()
    sheet = drawing(mandrel, outline(mandrel), ISSUE, 45.3)
    return mandrel, sheet, dxf.write(sheet)


def read(data: bytes) -> ezdxf.document.Drawing:
    return ezdxf.read(io.StringIO(data.decode("utf-8")))


def ids(entity: object) -> list[str]:
    return [t.value for t in entity.get_xdata(APP) if t.code == 1000]  # type: ignore[attr-defined]


def test_audit_is_clean(made: tuple[Mandrel, Sheet, bytes]) -> None:
    doc = read(made[2])
    auditor = doc.audit()
    assert not auditor.errors
    assert not auditor.fixes
    assert doc.units == 4  # mm


def test_dimensions_are_real_and_measure_their_characteristic(
    made: tuple[Mandrel, Sheet, bytes],
) -> None:
    mandrel, _, data = made
    found = {}
    for d in read(data).modelspace().query("DIMENSION"):
        id = ids(d)[0]
        if not id:
            assert d.dxf.text.startswith("(")
            continue
        measure = d.get_measurement()
        if d.dimtype == 5:
            measure = d.dxf.actual_measurement
        else:
            measure *= d.override().get("dimlfac", 1.0)
        assert id not in found
        found[id] = measure
        c = mandrel.characteristic(id)
        assert float(measure) == pytest.approx(c.nominal, abs=1e-6), id
        # The number is written out: readers round a measured one by settings of their own.
        assert "<>" not in d.dxf.text
    drawn = {Kind.DIAMETER, Kind.LENGTH, Kind.CHAMFER, Kind.ACROSS_FLATS}
    assert {c.id for c in mandrel.characteristics if c.kind in drawn} <= set(found)


def test_angle_by_its_definition_points() -> None:
    """ezdxf's ``get_measurement`` of angles is not relied on: the angle is computed here from the
    entity's own points (DXF reference: 15 vertex, 13 and 14 the legs)."""
    import math

    mandrel = SAMPLES["spigot"]()
    doc = read(dxf.write(drawing(mandrel, outline(mandrel), ISSUE)))
    d = next(d for d in doc.modelspace().query("DIMENSION") if ids(d)[0] == "nose.angle")
    v, a, b = d.dxf.defpoint4, d.dxf.defpoint2, d.dxf.defpoint3
    angle = math.degrees((b - v).angle - (a - v).angle) % 360
    assert angle == pytest.approx(15.0, abs=1e-9)


def test_main_view_is_true_size(made: tuple[Mandrel, Sheet, bytes]) -> None:
    """The outline's extreme points on the OUTLINE layer lie at the mandrel's z, r."""
    mandrel, _, data = made
    points = []
    for e in read(data).modelspace().query('LINE[layer=="OUTLINE"]'):
        points += [e.dxf.start, e.dxf.end]
    for s in mandrel.outer:
        for z, d in ((s.z0, s.d0), (s.z1, s.d1)):
            assert any(abs(p.x - z) < 1e-6 and abs(p.y - d / 2) < 1e-6 for p in points), s.feature


def test_gdal_reads_the_drawing(made: tuple[Mandrel, Sheet, bytes]) -> None:
    meta, _, geometry, fields = pyogrio.raw.read(made[2])
    names = list(meta["fields"])
    layers = set(fields[names.index("Layer")])
    assert {"OUTLINE", "CENTRE", "TEXT", "TABLE"} <= layers
    texts = {t for t in fields[names.index("Text")] if t}
    assert ISSUE.number in texts
    assert len(geometry) > 100


def test_other_readers_show_every_lettering_of_the_sheet(
    made: tuple[Mandrel, Sheet, bytes],
) -> None:
    """Numbers, deviations, balloons and turned text as on paper (minus signs as hyphens): by GDAL's
    reader, which shows what lies on frozen layers too, so each dimension's lettering twice in one
    place; and by ezdxf, every block in the model space exploded, frozen layers left out."""
    _, sheet, data = made
    wanted = Counter(dxf.escaped(s) for t in sheet.texts() if (s := t.text.replace(" ", "")))
    doc = read(data)
    frozen = {layer.dxf.name for layer in doc.layers if layer.is_frozen()}
    assert frozen == {"DIMENSION_MEASURED"}
    exploded: Counter[str] = Counter()
    measured: Counter[str] = Counter()
    for e in doc.modelspace():
        inside = e.dxftype() in ("DIMENSION", "INSERT")
        every = e.virtual_entities() if inside else [e]
        found = [s for i in every if i.dxftype() == "TEXT"
                 and (s := plain_text(i.dxf.text).replace(" ", ""))]  # fmt: skip
        (measured if e.dxf.layer in frozen else exploded).update(found)
    assert exploded == wanted
    meta, _, _, fields = pyogrio.raw.read(data)
    texts, kinds = (fields[list(meta["fields"]).index(n)] for n in ("Text", "SubClasses"))
    # GDAL reads R2010's UTF-8 by the header's code page; undone, so that the rest is compared.
    gdal = [t.encode("latin-1").decode() for t, k in zip(texts, kinds, strict=True)
            if t and "AcDbHatch" not in k]  # fmt: skip
    assert Counter(t.replace(" ", "") for t in gdal) == wanted + measured


def test_the_outline_says_its_sizes_are_at_mid_limits() -> None:
    """Among the drawing's properties and by its layer's name, where a machine shows no more."""
    doc = read(dxf.outline(outline(SAMPLES["plug"]()), ISSUE))
    assert "middle of its limits" in doc.header.custom_vars.get("Sizes")
    assert {e.dxf.layer for e in doc.modelspace()} == {"OUTLINE_AT_MID_LIMITS"}


def test_same_bytes_in_another_process() -> None:
    code = (
        "import sys, hashlib; from tests.support.samples_sheet import *; "
        "from mandrelgen.model.half_section import outline; "
        "from mandrelgen.paper.drawing.layout import drawing; "
        "from mandrelgen.files.writers import dxf; "
        "from mandrelgen.files.writers.pdf import document; "
        "m = plug(); "
        "s = drawing(m, outline(m), ISSUE, 45.3); "
        "print(hashlib.sha256(dxf.write(s) + document.write(s)).hexdigest())"
    )
    runs = [
        subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
        for _ in range(2)
    ]
    assert len({r.stdout for r in runs}) == 1
    assert len(runs[0].stdout.strip()) == 64


def test_outline_for_a_cnc_turner_is_one_closed_true_chain() -> None:
    for name in ("plug", "cup"):
        mandrel = SAMPLES[name]()
        profile = outline(mandrel)
        entities = list(read(dxf.outline(profile, ISSUE)).modelspace())
        assert [e.dxftype() for e in entities] == ["LWPOLYLINE"]
        line = entities[0]
        assert line.closed
        points = [(p[0], p[1]) for p in line.get_points()]
        for face in profile.faces:
            assert any(abs(x - face.z0) < 1e-9 and abs(y - face.r0) < 1e-9 for x, y in points)
        # Shoelace area against the sum of the stretches' trapezia.
        area = (
            abs(
                sum(
                    a[0] * b[1] - b[0] * a[1]
                    for a, b in zip(points, [*points[1:], points[0]], strict=True)
                )
            )
            / 2
        )
        half = sum((s.z1 - s.z0) * (s.d0 + s.d1) / 4 for s in mandrel.outer)
        half -= sum((s.z1 - s.z0) * (s.d0 + s.d1) / 4 for s in mandrel.inner)
        assert area == pytest.approx(half, rel=1e-9)


@given(st.text(alphabet=st.characters(exclude_categories=["Cs"]), max_size=30))
def test_any_text_comes_back_as_it_is(text: str) -> None:
    """No inline code of DXF TEXT survives escaping: ezdxf's own decoder gives back the text, minus
    signs and dashes as hyphens."""
    from ezdxf.tools.text import plain_text

    shown = plain_text(dxf.escaped(text))
    kept = "".join(c for c in text if c >= " " and c != "\x7f")
    kept = kept.replace("−", "-").replace("–", "-")
    assert shown.replace(" ", "") == kept.replace(" ", "")


def test_hostile_names_do_not_break_the_file() -> None:
    from dataclasses import replace

    issue = replace(
        ISSUE, owner="%%c \\P^J\n999\n{\\fArial;x}", drawn_by="0\nEOF\n", number="(a)\\)"
    )
    mandrel = plug()
    doc = read(dxf.write(drawing(mandrel, outline(mandrel), issue)))
    assert not doc.audit().errors
    assert len(doc.modelspace().query("DIMENSION")) > 10
