"""The Python face: the README's example runs as printed, names come late, errors are ours."""

from __future__ import annotations

import doctest
import importlib.util
import json
import subprocess
import sys
from pathlib import Path

import pytest

import mandrelgen
from tests.paths import ROOT, TEMPLATES

PEN = TEMPLATES / "pens" / "heron.toml"
SHOP = TEMPLATES / "shops" / "bench.toml"
ROOMS = {p.parent.name for p in (ROOT / "mandrelgen").glob("*/__init__.py")}


@pytest.mark.cad
def test_the_readmes_example_runs_as_printed(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    text = (ROOT / "README.md").read_text("utf-8")
    section = text.split("## From Python\n")[1].split("\n## ")[0].replace("```", "\n")
    example = doctest.DocTestParser().get_doctest(section, {}, "README", "README.md", 0)
    assert len(example.examples) >= 6
    (tmp_path / "templates").symlink_to(TEMPLATES)
    monkeypatch.chdir(tmp_path)
    assert doctest.DocTestRunner().run(example).failed == 0
    assert [p.name for p in tmp_path.iterdir()] == ["templates"]


def test_every_name_that_the_face_promises_is_there_and_documented() -> None:
    assert set(mandrelgen.__all__) <= set(dir(mandrelgen))
    for name in mandrelgen.__all__:
        found = getattr(mandrelgen, name)
        assert found.__doc__, name
    with pytest.raises(AttributeError, match="has no attribute 'nothing'"):
        mandrelgen.nothing  # noqa: B018


def test_no_name_is_that_of_a_room() -> None:
    """A room, once imported, would stand in the name's place."""
    assert len(ROOMS) >= 10
    assert not ROOMS & set(mandrelgen.__all__)


def test_importing_it_loads_nothing() -> None:
    script = "import sys, mandrelgen, json; print(json.dumps(sorted(sys.modules)))"
    done = subprocess.run(
        [sys.executable, "-I", "-c", f"import sys; sys.path.insert(0, {str(ROOT)!r}); {script}"],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    loaded = json.loads(done.stdout)
    assert [m for m in loaded if m.startswith("mandrelgen")] == ["mandrelgen"]
    heavy = {"pydantic", "numpy", "ezdxf", "reportlab", "click", "cadquery", "OCP", "typing"}
    if importlib.util.find_spec("sitecustomize") is None:
        assert not heavy & set(loaded)


def test_from_a_pen_to_bytes() -> None:
    pen = mandrelgen.read_pen(PEN, SHOP)
    checked = mandrelgen.assess_pen(pen)
    assert not checked.failed
    mandrels = mandrelgen.design_pen(pen)
    assert [d.mandrel for d in checked.designed] == list(mandrels)
    wished = ("step", "stl", "pdf", "dxf")
    files = mandrelgen.write_bytes(checked, mandrels[0].id, *wished, date="2026-05-31")
    again = mandrelgen.write_bytes(checked, mandrels[0].id, *wished, date="2026-05-31")
    assert files == again
    heads = {Path(n).suffix: d[:13] for n, d in files.items()}
    assert heads[".step"] == b"ISO-10303-21;"
    assert heads[".pdf"].startswith(b"%PDF")


def test_what_is_wrong_is_said_as_on_the_command_line(tmp_path: Path) -> None:
    with pytest.raises(mandrelgen.InputError, match=r"absent.toml.*does not exist"):
        mandrelgen.read_pen(tmp_path / "absent.toml")
    checked = mandrelgen.assess_pen(mandrelgen.read_pen(PEN, SHOP))
    with pytest.raises(mandrelgen.InputError, match=r"there is no mandrel 'x'.*cap-mouth-plug"):
        mandrelgen.write_bytes(checked, "x", "step")
    with pytest.raises(mandrelgen.InputError, match=r"'xyz' is not a format.*formats are pdf"):
        mandrelgen.write_bytes(checked, "cap-mouth-plug", "xyz")


def test_an_archive_is_looked_into(tmp_path: Path) -> None:
    empty = mandrelgen.open_archive(tmp_path / "none")
    assert (empty.numbers(), empty.find(thread="M12x0.8")) == ((), ())
    assert not (tmp_path / "none").exists()
    to = tmp_path / "archive"
    make = ("-m", "mandrelgen", "make", str(PEN), "--shop", str(SHOP), "--to", str(to))
    subprocess.run([sys.executable, *make], cwd=ROOT, check=True, capture_output=True)
    archive = mandrelgen.open_archive(to)
    designed = mandrelgen.design_pen(mandrelgen.read_pen(PEN, SHOP))
    assert len(archive.numbers()) == len(designed) - 1  # the finial needs none
    assert archive.mandrel("MG-0001") == archive.mandrel("MG-0001", "A") == designed[0]
    (found,) = archive.find(thread="M12xPh2.4P0.8", part="cap")
    assert (found.number, found.revision) == ("MG-0001", "A")
    with pytest.raises(mandrelgen.InputError, match=r"no fixture MG-0001 C.*revisions are A"):
        archive.mandrel("MG-0001", "C")
    with pytest.raises(mandrelgen.InputError, match="thread"):
        archive.find(thread="nonsense")


@pytest.mark.cad
def test_a_mandrel_as_cadquery() -> None:
    """cadquery's own measures: one valid solid, ends and volume as designed."""
    from mandrelgen.geometry.mesh import exact
    from mandrelgen.model.half_section import outline

    mandrel = mandrelgen.design_pen(mandrelgen.read_pen(PEN, SHOP))[0]
    work = mandrelgen.to_cadquery(mandrel)
    (body,) = work.solids().vals()
    assert body.isValid()
    assert body.Volume() == pytest.approx(exact.volume(outline(mandrel)), rel=1e-6)
    box = body.BoundingBox()
    ends = (mandrel.outer[0].z0, mandrel.outer[-1].z1)
    assert (box.zmin, box.zmax) == pytest.approx(ends, abs=1e-5)
    # A scripter's next step: a cross hole through the shank takes material away.
    drilled = work.cut(work.newObject([]).workplane(offset=-30).circle(1).extrude(5))
    assert drilled.val().Volume() < body.Volume() - 10
