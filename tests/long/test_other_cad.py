"""A CAD program that is not ezdxf opens every starter's drawing and prints it.

    python -m pytest tests/long/test_other_cad.py -n 0

LibreCAD of Debian's packages is the program; skipped with a word where it is missing. It draws
dimensions anew from their points and texts, so it also shows what a reader makes of them.
"""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

import pypdfium2
import pytest

from mandrelgen.assess.settled import designs
from mandrelgen.files.formats import write
from mandrelgen.model.mandrel import Issue
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


@pytest.mark.skipif(shutil.which("librecad") is None, reason="LibreCAD is not installed")
@pytest.mark.parametrize("name", SHOPS)
def test_another_cad_program_reads_and_prints_the_drawing(name: str, tmp_path: Path) -> None:
    pen = read_pen(starter("pen", name), f"{name}.toml")
    shop = read_shop(starter("shop", SHOPS[name]), "shop.toml")
    for d in designs(pen, shop):
        assert d.mandrel is not None
        (file,) = write(Build(d.mandrel, ISSUE), ("dxf",)).values()
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
        (tmp_path / "sheet.pdf").unlink()
