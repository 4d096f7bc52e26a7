"""Drawn gauges: every thread of the starters laid out without a clash and read back by id."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from pathlib import Path

import ezdxf
import pytest
from pypdf import PdfReader

from mandrelgen.core.resources import template_path
from mandrelgen.design.gauge import Whose, gauge_pair
from mandrelgen.design.gauge_text import DENSITY
from mandrelgen.files.formats import write
from mandrelgen.files.proof import read_back
from mandrelgen.files.writers.pdf.document import page_count
from mandrelgen.model.characteristic import Kind
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.standards.designation import parse
from mandrelgen.standards.iso_1502 import gauges
from mandrelgen.standards.tables import NotHeldError
from mandrelgen.standards.threads import limits
from mandrelgen.workflows import gauges as gauging
from mandrelgen.workflows.build import Build
from mandrelgen.workflows.read_inputs import read_inputs
from tests.paper.test_sheet_ink import check_ink, sheet_of
from tests.support.samples_sheet import ISSUE

PENS = {"heron": "bench", "wren": "bench", "bittern": "small"}


def threads() -> list[tuple[str, bool, float]]:
    """Every metric thread of the starters, external or not, with the depth of an internal one;
    and some that they lack."""
    found: set[tuple[str, bool, float]] = {
        ("M9x0.75-6H-LH", False, 9.0), ("M14x1-6H", False, 0.0), ("M5x0.5-6g", True, 0.0),
        ("M12xPh4P1-6H", False, 12.0), ("M16x1.5-6g", True, 0.0),
    }  # fmt: skip
    for pen, shop in PENS.items():
        inputs = read_inputs(template_path(f"pens/{pen}.toml"), template_path(f"shops/{shop}.toml"))
        for part in inputs.pen.parts.values():
            for end in part.ends.values():
                if end.external is not None:
                    found.add((end.external.thread, True, 0.0))
                if end.internal is not None:
                    found.add((end.internal.thread, False, 8.0))
    return sorted(t for t in found if t[0].startswith("M"))


EVERY = [
    (t, external, depth, k) for t, external, depth in threads() for k in (0, 1)
]  # k: go, not-go


def gauge_of(text: str, external: bool, depth: float, which: int) -> Mandrel:
    work = limits(parse(text), external)
    return gauge_pair(
        work, Whose(pen="heron", part="cap", end="mouth", called="the cap's mouth", depth=depth)
    )[which]


def build_of(gauge: Mandrel) -> Build:
    return Build(gauge, ISSUE, density=DENSITY)


def expected_of(build: Build) -> read_back.Expected:
    i = build.issue
    return read_back.Expected(
        mandrel=build.mandrel, profile=build.profile, number=i.number, revision=i.revision,
        issued=i.issued, pages=page_count(build.sheet), mass_g=build.mass,
        sheets=len(build.sheet.sheets),
    )  # fmt: skip


@pytest.mark.parametrize(("text", "external", "depth", "which"), EVERY[::3])
def test_no_ink_on_ink(text: str, external: bool, depth: float, which: int) -> None:
    """A sample; ``tests/long/test_larger_samples.py`` takes every one, here and below."""
    no_ink_on_ink(text, external, depth, which)


def no_ink_on_ink(text: str, external: bool, depth: float, which: int) -> None:
    gauge = gauge_of(text, external, depth, which)
    for projection in ("first", "third"):
        check_ink(sheet_of(gauge, projection))


@pytest.mark.parametrize(("text", "external", "depth", "which"), EVERY[1::3])
def test_every_size_is_shown_once_and_read_back_by_its_id(
    text: str, external: bool, depth: float, which: int
) -> None:
    read_back_by_its_id(text, external, depth, which)


def read_back_by_its_id(text: str, external: bool, depth: float, which: int) -> None:
    """Drawing file and paper against the characteristics (ezdxf, PDF lettering); a limit that is
    another than the design's is found in both."""
    build = build_of(gauge_of(text, external, depth, which))
    files = write(build, ("pdf", "making", "dxf", "stl"))
    expected = expected_of(build)
    assert set(read_back.check(expected, files)) == set(files)
    m = build.mandrel
    off = tuple(
        replace(c, upper=(c.upper or 0.0) + 0.0003)
        if c.kind is Kind.THREAD_PITCH_DIAMETER else c for c in m.characteristics
    )  # fmt: skip
    with pytest.raises(read_back.ProofError) as e:
        read_back.check(replace(expected, mandrel=replace(m, characteristics=off)), files)
    faults = [f for f in e.value.findings if "thread.pitch_diameter" in f.message]
    assert {f.where.rsplit(".", 1)[1] for f in faults} == {"pdf", "dxf"}


@pytest.mark.parametrize(
    ("text", "go", "wear", "major"),
    [("M6x0.75-6H", 5.5249, 5.5074, 5.813), ("M8x1-6H", 7.3625, 7.3450, 7.723),
     ("M8x0.5-6H", 7.6813, 7.6688, 7.900)],
)  # fmt: skip
def test_published_limits_stand_on_the_drawing(
    text: str, go: float, wear: float, major: float
) -> None:
    """Pitch diameter of the go plug, its wear limit, and the not-go plug's major diameter of a
    published table (a gauge maker's, after ISO 1502), as lettered in the DXF."""
    first = lettered(gauge_of(text, False, 0.0, 0))
    second = lettered(gauge_of(text, False, 0.0, 1))
    low, high = row(first, "Pitch ⌀ d2")
    assert (low + high) / 2 == pytest.approx(go, abs=0.0002)
    (worn,) = [t for t in first if "Worn out where" in t]
    found = re.search(r"below ([\d.]+)\.$", worn)
    assert found
    assert float(found[1]) == pytest.approx(wear, abs=0.0002)
    low, high = row(second, "Major ⌀ d")
    assert (low + high) / 2 == pytest.approx(major, abs=0.0006)


def lettered(gauge: Mandrel) -> list[str]:
    (data,) = write(build_of(gauge), ("dxf",)).values()
    doc = ezdxf.read(io.StringIO(data.decode("utf-8")))
    return [e.dxf.text for e in doc.modelspace().query("TEXT")]


def row(texts: list[str], name: str) -> tuple[float, float]:
    """The two cells behind a name in the thread's table."""
    i = texts.index(name)
    return float(texts[i + 1]), float(texts[i + 2])


@pytest.mark.parametrize("text", ["M8.5x0.75-6H", "M12xPh2.4P0.8-6H"])
def test_a_plug_clears_the_work_and_its_limits_are_those_of_the_standard(text: str) -> None:
    """The root stays below the work's crest (ISO 965-1 minor diameter), and the plug reaches past
    the thread it tries."""
    work = limits(parse(text), False)
    sizes = gauges(work)
    for which in (0, 1):
        m = gauge_of(text, False, 12.0, which)
        minor = m.characteristic("thread.minor_diameter")
        assert minor.upper == work.minor.min
        assert m.threads[0].form.root_diameter < (work.minor.min or 0.0)
        assert m.stations["thread.end"] >= 13.0
        pitch = m.characteristic("thread.pitch_diameter")
        assert pitch.upper is not None
        assert pitch.lower is not None
        assert (pitch.upper + pitch.lower) / 2 == pytest.approx(sizes[which].pitch, abs=1e-9)
        assert f"{'NOT ' * which}GO {text}" in " ".join(lettered(m))


def test_a_plug_is_measured_over_wires_as_the_handbook_does() -> None:
    """M over wires of 0.62 for M10x1: C = M − E is 0.995 (EURAMET cg-10 tradition table: P 1,
    W 0.62, 0.996 for M6 to 0.994 for M14)."""
    m = gauge_of("M10x1-6H", False, 0.0, 0)
    (said,) = [n for n in m.notes if "over three wires" in n]
    found = re.search(r"⌀0\.62: ([\d.]+) to ([\d.]+)", said)
    assert found
    pitch = m.characteristic("thread.pitch_diameter")
    assert pitch.lower is not None
    assert float(found[1]) - pitch.lower == pytest.approx(0.995, abs=0.0011)


def test_what_is_from_memory_is_said_on_the_sheet() -> None:
    """Ring columns of the table were never read: the sheet asks to compare; plug rows that were
    read do not."""
    ring, plug = gauge_of("M9x0.75-6g", True, 0.0, 0), gauge_of("M9x0.75-6H", False, 0.0, 0)
    assert "from memory" in " ".join(lettered(ring))
    assert "from memory" not in " ".join(lettered(plug))


def test_an_inch_thread_gets_no_invented_gauge(tmp_path: Path) -> None:
    """ISO 1502 is for ISO metric threads: no gauge is written, what to order instead is said, with
    the thread's own limits; the mating dummy is there."""
    with pytest.raises(NotHeldError):
        gauges(limits(parse("3/8-32 UNEF-2B"), False))
    inputs = read_inputs(template_path("pens/bittern.toml"), template_path("shops/small.toml"))
    place = next(
        f"{p}.{e}" for p, part in inputs.pen.parts.items() for e, end in part.ends.items()
        if end.internal is not None and "UNEF" in end.internal.thread
    )  # fmt: skip
    made = gauging.print_gauges(inputs, f"{place}.internal", "nominal", tmp_path, "2026-06-01")
    assert not list(tmp_path.rglob("*plug*"))
    assert list(tmp_path.rglob("dummy_nominal.stl"))
    (f,) = [f for f in made.findings if f.code == "gauge.held"]
    assert "ASME B1.2" in f.remedy
    assert "3/8-32 UNEF-2B" in f.remedy
    # 3/8-32 UNEF-2B, pitch diameter .3547 to .3591 in (a machinist's handbook, from memory).
    low, high = (
        float(x) / 25.4 for x in re.findall(r"pitch diameter ([\d.]+) to ([\d.]+)", f.remedy)[0]
    )
    assert (low, high) == pytest.approx((0.3547, 0.3591), abs=0.00006)


def test_the_command_draws_what_it_models(tmp_path: Path) -> None:
    """A package for each gauge: paper with title, marking and cautions, drawing, models."""
    inputs = read_inputs(template_path("pens/heron.toml"), template_path("shops/bench.toml"))
    made = gauging.print_gauges(inputs, "barrel.mouth", "nominal", tmp_path, "2026-06-01")
    drawn = [m for m in made.made if any(f.endswith(".pdf") for f in m.files)]
    assert {m.id for m in drawn} == {"go-ring", "not-go-ring", "go-plug", "not-go-plug"}
    for m in drawn:
        assert {f.removeprefix(f"not-issued_{m.id}") for f in m.files} == {
            "_drawing.pdf", "_making.pdf", ".dxf", ".step", "_nominal.3mf", "_nominal.stl", ".txt",
        }  # fmt: skip
        papers = [PdfReader(m.folder / f"not-issued_{m.id}_{x}.pdf") for x in ("drawing", "making")]
        said = " ".join(p.extract_text() for pdf in papers for p in pdf.pages)
        word = "NOT GO" if m.id.startswith("not") else "GO"
        for text in (f"{word} {m.id.rsplit('-', 1)[1]}", "ISO 1502", "90MnCrV8", "HRC",
                     "Stop the spindle", "NOT ISSUED"):  # fmt: skip
            assert text in said, (m.id, text)
