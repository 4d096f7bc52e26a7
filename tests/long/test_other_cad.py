"""Readers that are not ezdxf open every starter's drawing.

    python -m pytest tests/long/test_other_cad.py -n 0

LibreCAD of Debian's packages prints it: it draws dimensions anew in letters of its own size, so
what it prints must be the fixed pictures, letter for letter where the sheet has them. npm's
dxf-parser (``npm install -g dxf-parser``) reads every lettering. Both skip with a word where they
are missing.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pypdfium2
import pytest

from mandrelgen.assess.settled import designs
from mandrelgen.files.formats import write
from mandrelgen.files.writers.dxf import escaped
from mandrelgen.model.mandrel import Issue
from mandrelgen.paper.drawing.model import Sheet
from mandrelgen.spec.read import read_pen, read_shop
from mandrelgen.spec.starters import starter
from mandrelgen.workflows.build import Build

ISSUE = Issue(
    number="MG-0001",
    revision="A",
    date="2026-05-31",
    status="in preparation",
    owner="",
    drawn_by="",
    approved_by="",
)
SHOPS = {"heron": "bench", "wren": "bench", "bittern": "small"}


def drawings(name: str) -> Iterator[tuple[Sheet, bytes]]:
    """A starter's sheets and their DXF files."""
    pen = read_pen(starter("pen", name), f"{name}.toml")
    shop = read_shop(starter("shop", SHOPS[name]), "shop.toml")
    for d in designs(pen, shop):
        assert d.mandrel is not None
        build = Build(d.mandrel, ISSUE)
        (file,) = write(build, ("dxf",)).values()
        yield build.sheet, file


def read_by_parser(path: Path) -> list[str]:
    """What npm's dxf-parser shows; skips where node or the package is missing."""
    node, npm = shutil.which("node"), shutil.which("npm")
    if not node or not npm:
        pytest.skip("node and npm are not installed")
    modules = subprocess.run([npm, "root", "-g"], capture_output=True, text=True, check=True)
    done = subprocess.run(
        [node, str(Path(__file__).with_name("dxf_texts.js")), str(path)],
        env={**os.environ, "NODE_PATH": modules.stdout.strip()},
        capture_output=True,
        text=True,
        timeout=120,
    )
    if "Cannot find module 'dxf-parser'" in done.stderr:
        pytest.skip("dxf-parser is not installed: npm install -g dxf-parser")
    assert done.returncode == 0, done.stderr
    return list(json.loads(done.stdout))


@pytest.mark.parametrize("name", SHOPS)
def test_a_third_reader_shows_every_lettering(name: str, tmp_path: Path) -> None:
    """Numbers with ⌀, ± and signs, both deviations, frames, tables and balloons, each as often as
    on the sheet."""
    for sheet, file in drawings(name):
        (tmp_path / "sheet.dxf").write_bytes(file)
        wanted = Counter(s for t in sheet.texts() if (s := escaped(t.text).replace(" ", "")))
        found = Counter(s for t in read_by_parser(tmp_path / "sheet.dxf")
                        if (s := t.replace(" ", "")))  # fmt: skip
        assert found == wanted
        every = "".join(found)
        assert "⌀" in every
        assert "±" in every
        assert "-0." in every


@pytest.mark.skipif(shutil.which("librecad") is None, reason="LibreCAD is not installed")
@pytest.mark.parametrize("name", SHOPS)
def test_another_cad_program_reads_and_prints_the_drawing(name: str, tmp_path: Path) -> None:
    for sheet, file in drawings(name):
        (tmp_path / "sheet.dxf").write_bytes(file)
        subprocess.run(
            ["librecad", "dxf2pdf", "-a", "-c", "-p", "420x297", "sheet.dxf"],
            cwd=tmp_path,
            env={**os.environ, "QT_QPA_PLATFORM": "offscreen"},
            check=True,
            capture_output=True,
            timeout=120,
        )
        page = pypdfium2.PdfDocument(tmp_path / "sheet.pdf")[0]
        ink = page.render(scale=1.0).to_pil().convert("L").point(lambda v: 255 * (v < 128))
        left, top, right, bottom = ink.getbbox()
        # The frame fills the page, and the sheet is drawn, not blank.
        assert (right - left) * (bottom - top) > 0.5 * ink.width * ink.height
        assert ink.histogram()[255] > 5000
        # The printed frame is as far from the page's edges on every side as the sheet's own is:
        # no dimension stands out of it in letters of the reader's size.
        across, up = (right - left) / (bottom - top), sheet.width / sheet.height
        assert across == pytest.approx(up, rel=0.02)
        (tmp_path / "sheet.pdf").unlink()
