"""What reading a package back takes of writing it and reading it back, in one process."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

from mandrelgen.assess.settled import designs
from mandrelgen.files.formats import DRAWN, FORMATS, write
from mandrelgen.model.mandrel import Issue
from mandrelgen.spec.read import read_pen, read_shop
from mandrelgen.workflows import package
from mandrelgen.workflows.build import Build

Sizes = tuple[int, int]
Files = Mapping[str, bytes]
TEMPLATES = Path(__file__).parent.parent.parent / "templates"


def pair() -> tuple[Callable[[], None], Callable[[], None]]:
    """Read the files of the wren's mandrels back; write them and read them back."""
    pen = read_pen((TEMPLATES / "pens" / "wren.toml").read_bytes(), "wren.toml")
    shop = read_shop((TEMPLATES / "shops" / "bench.toml").read_bytes(), "bench.toml")
    mandrels = [d.mandrel for d in designs(pen, shop) if d.mandrel is not None]
    assert mandrels
    issue = Issue(
        number="MG-0001",
        revision="A",
        date="2026-01-01",
        status="in preparation",
        owner="",
        drawn_by="",
        approved_by="",
    )

    drawn = tuple(f for f in FORMATS if f in DRAWN)
    others = tuple(f for f in FORMATS if f not in DRAWN)

    def written() -> list[tuple[Build, Sizes, Files, Files]]:
        out = []
        for m in mandrels:
            build = Build(m, issue)
            drawing = package.draw(build, drawn)
            sizes = (len(build.sheet.sheets), len(build.sheet.sheets))
            out.append((build, sizes, drawing.files, write(build, others)))
        return out

    def read(packages: list[tuple[Build, Sizes, Files, Files]]) -> None:
        for build, sizes, drawing, models in packages:
            for size, files in ((sizes, drawing), ((0, 1), models)):
                assert not package.read(build, size, files).findings

    kept = written()
    return lambda: read(kept), lambda: read(written())
