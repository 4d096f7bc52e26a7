"""The files of one mandrel, written and read back, in calls that other processes may take.

Drawing and models share nothing but the half-section, so they are written apart; reading a file
back needs its bytes alone. Neither who works nor the order changes a byte.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from importlib import import_module
from typing import Any

from mandrelgen.core.errors import Finding
from mandrelgen.files.formats import BY_SHEET, DRAWN, FORMATS, Build, name_of, write
from mandrelgen.files.proof.report import Expected, ProofError
from mandrelgen.paper.drawing.model import Table
from mandrelgen.workflows.parallel import Call, Flow

_DRAWING = (
    "mandrelgen.paper.drawing.layout",
    "mandrelgen.paper.reports.characteristic_tables",
    "mandrelgen.paper.reports.assessment",
    "mandrelgen.paper.reports.assessment_page",
    "mandrelgen.files.writers.pdf.document",
    "mandrelgen.files.writers.pdf.cover",
    "mandrelgen.files.writers.pdf.papers",
    "mandrelgen.files.writers.png",
    "mandrelgen.files.writers.svg",
    "mandrelgen.files.proof.read_back",
    "pypdfium2",
    "PIL.Image",
    "PIL.ImagePalette",
)
_MODELS = (
    "mandrelgen.geometry.mesh.build",
    "mandrelgen.files.writers.picture",
    "mandrelgen.files.writers.step",
    "mandrelgen.files.writers.stl",
    "mandrelgen.files.writers.threemf",
    "manifold3d",
    "PIL.ImageDraw",
)
_KERNEL = (
    "mandrelgen.files.proof.kernel",
    "mandrelgen.geometry.kernel.measure",
    "mandrelgen.geometry.kernel.exchange",
    "mandrelgen.geometry.kernel.validity",
)


@dataclass(frozen=True, slots=True)
class PackagePart:
    """Some of a package's files: what was proved of them, what was found wrong, what found no
    free place on the drawing, how many pages the PDF has to have (0: no drawing) and how many
    sheets the drawing."""

    files: Mapping[str, bytes] = field(default_factory=dict)
    proved: Mapping[str, Any] = field(default_factory=dict)
    deep: Mapping[str, Any] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
    crowded: tuple[str, ...] = ()
    pages: int = 0
    sheets: int = 1


@dataclass(frozen=True, slots=True)
class Package:
    """Every wished file by name, what was proved of each, what found no free place."""

    files: Mapping[str, bytes]
    proved: Mapping[str, Any]
    crowded: tuple[str, ...]


def package(
    build: Build, formats: tuple[str, ...], deep: bool, rank: float, ahead: int
) -> Flow[Package]:
    """Write and read back ``formats`` of one mandrel; ``deep``: the kernel reads them too.

    ``rank`` is the mandrel's place in the set. Its drawing, the longest call and the one others
    wait for, goes before all of the ``ahead`` mandrels in front of it. Raises ProofError with
    every mismatch found.
    """
    drawn = tuple(f for f in formats if f in DRAWN)
    others = tuple(f for f in formats if f not in DRAWN)
    calls = [Call(draw, (build, drawn), rank - ahead)] if drawn else []
    calls += [Call(model, (build, others, deep), rank)] if others else []
    parts: list[PackagePart] = yield calls
    if drawn:
        sheet = parts[0]
        pdf = name_of(build, "pdf")
        groups = [
            {n: d for n, d in sheet.files.items() if (n == pdf) is first} for first in (True, False)
        ]
        parts += yield [
            Call(read, (build, (sheet.pages, sheet.sheets), g), rank) for g in groups if g
        ]
    if found := [f for p in parts for f in p.findings]:
        raise ProofError(found)
    files = {k: v for p in parts for k, v in p.files.items()}
    names = [n for f in formats for n in _names(build, f, files)]
    proved = {k: v for p in parts for k, v in p.proved.items()}
    proved = {n: proved[n] for n in names}
    if deep:
        proved["deep"] = {k: v for p in parts for k, v in p.deep.items()}
    return Package({n: files[n] for n in names}, proved, tuple(c for p in parts for c in p.crowded))


def _names(build: Build, fmt: str, files: Mapping[str, bytes]) -> list[str]:
    """The file of one format, and those of the drawing's further sheets."""
    names = [name_of(build, fmt)]
    while fmt in BY_SHEET and (further := name_of(build, fmt, len(names) + 1)) in files:
        names.append(further)
    return names


def draw(build: Build, formats: tuple[str, ...]) -> PackagePart:
    """Lay the drawing out and write it."""
    from mandrelgen.files.writers.pdf.document import page_count

    sheet = build.sheet
    files = write(build, formats)
    return PackagePart(
        files, crowded=sheet.crowded, pages=page_count(sheet), sheets=len(sheet.sheets)
    )


def model(build: Build, formats: tuple[str, ...], deep: bool) -> PackagePart:
    """Write models and whatever else shows no layout, and read them back."""
    files = write(build, formats)
    part = read(build, (0, 1), files)
    if deep and not part.findings:
        from mandrelgen.files.proof import kernel

        try:
            measured = kernel.prove(_expected(build, (0, 1)), files)
        except ProofError as e:
            return PackagePart(findings=e.findings)
        part = replace(part, deep=measured)
    return replace(part, files=files)


def read(build: Build, size: tuple[int, int], files: Mapping[str, bytes]) -> PackagePart:
    """Read files back and compare them with the characteristics; ``size``: pages of the PDF and
    sheets of the drawing."""
    from mandrelgen.files.proof import read_back

    try:
        return PackagePart(proved=read_back.check(_expected(build, size), files))
    except ProofError as e:
        return PackagePart(findings=e.findings)


def _expected(build: Build, size: tuple[int, int]) -> Expected:
    m, i, (pages, sheets) = build.mandrel, build.issue, size
    return Expected(
        mandrel=m,
        profile=build.profile,
        number=i.number,
        revision=i.revision,
        issued=i.issued,
        pages=pages,
        mass_g=build.mass,
        sheets=sheets,
    )


def cover_page(pen: str, date: str, rows: tuple[tuple[Any, ...], ...], order: str) -> bytes:
    """A set's cover; each row the fields of a `CoverRow`."""
    from mandrelgen.files.writers.pdf.cover import CoverRow, cover

    return cover(pen, date, tuple(CoverRow(*row) for row in rows), order)


def table_pages(title: str, footer: str, tables: tuple[Table, ...]) -> bytes:
    """Pages of tables alone."""
    from mandrelgen.files.writers.pdf import papers

    return papers.write(title, footer, tables)


def load(formats: str | None, deep: bool) -> None:
    """Import what writes and reads back ``formats`` (a list with commas; None: all), for a worker
    that has nothing to do yet. What is left out here is imported when it is needed."""
    wished = FORMATS if formats is None else {f.strip() for f in formats.split(",")}
    others = not DRAWN.issuperset(wished)
    for name in _DRAWING + (_MODELS if others else ()) + (_KERNEL if deep else ()):
        import_module(name)
    from mandrelgen.files.writers.pdf.canvas import new_canvas

    new_canvas(1.0, 1.0, {})  # the PDF library and its font
