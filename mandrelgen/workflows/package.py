"""Drawing, writing and proving one mandrel, in calls that other processes may take.

Drawing and models share nothing but the half-section, so they are written apart. Neither who works
nor the order changes a byte.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Executor, Future
from dataclasses import field, replace
from functools import partial
from importlib import import_module
from typing import Any

from mandrelgen.core.errors import Finding, Level
from mandrelgen.core.frozen import dataclass
from mandrelgen.files.formats import BY_SHEET, DRAWN, FORMATS, HOME, name_of, write
from mandrelgen.files.proof.report import Expected, ProofError
from mandrelgen.paper.drawing.model import Table
from mandrelgen.workflows.build import Build
from mandrelgen.workflows.parallel import Workers, told, worked_out

# Told how many mandrels of how many are done, and which is the last one.
Progress = Callable[[int, int, str], None]

_DRAWING = (
    "mandrelgen.paper.drawing.layout",
    "mandrelgen.files.writers.pdf.document",
    "mandrelgen.files.proof.pdf",
    "mandrelgen.files.proof.read_back",
    "pypdfium2",
)
_PAPERS = (
    "mandrelgen.paper.reports.characteristic_tables",
    "mandrelgen.paper.reports.assessment",
    "mandrelgen.paper.reports.assessment_page",
    "mandrelgen.files.writers.pdf.cover",
    "mandrelgen.files.writers.pdf.papers",
    "mandrelgen.files.proof.tables",
)
_PICTURES = (
    "mandrelgen.files.writers.png",
    "mandrelgen.files.writers.svg",
    "PIL.Image",
    "PIL.ImagePalette",
)
_CAD_DRAWING = ("mandrelgen.files.writers.dxf", "mandrelgen.files.proof.drawing")
_MODELS = (
    "mandrelgen.model.mid_limits",
    "mandrelgen.geometry.mesh.build",
    "mandrelgen.files.writers.picture",
    "mandrelgen.files.writers.step",
    "mandrelgen.files.writers.stl",
    "mandrelgen.files.writers.threemf",
    "mandrelgen.files.proof.images",
    "mandrelgen.files.proof.meshes",
    "mandrelgen.files.proof.outline",
    "mandrelgen.files.proof.step",
    "manifold3d",
    "PIL.ImageDraw",
)
_KERNEL = (
    "mandrelgen.files.proof.kernel",
    "mandrelgen.geometry.kernel.measure",
    "mandrelgen.geometry.kernel.exchange",
    "mandrelgen.geometry.kernel.build",
)


def silent(done: int, total: int, text: str) -> None:
    """Nobody watches."""


@dataclass(frozen=True, slots=True)
class Package:
    """Every file of one mandrel by name, what was proved of each, what found no free place on the
    drawing; of a part of the files also what the kernel measured and what was found wrong."""

    files: Mapping[str, bytes] = field(default_factory=dict)
    proved: Mapping[str, Any] = field(default_factory=dict)
    crowded: tuple[str, ...] = ()
    deep: Mapping[str, Any] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()


def packages(
    builds: Sequence[Build], formats: tuple[str, ...], deep: bool, executor: Executor,
    progress: Progress = silent,
) -> Iterator[Package]:  # fmt: skip
    """``formats`` of every mandrel drawn, written and proved (``deep``: by the kernel too), in
    their order, each as soon as it and all before it are done.

    Raises ProofError with every mismatch of a mandrel's files, WorkerError; what was not begun by
    then is not done.
    """
    drawn = tuple(f for f in formats if f in DRAWN)
    others = tuple(f for f in formats if f not in DRAWN)
    parts: list[list[Future[Package]]] = [[] for _ in builds]
    calls: list[tuple[int, Callable[[], Package]]] = []
    if drawn:  # the longest calls begin first
        calls += [(n, partial(draw, b, drawn)) for n, b in enumerate(builds)]
    if others:
        calls += [(n, partial(model, b, others, deep)) for n, b in enumerate(builds)]
    over = isinstance(executor, Workers) and executor.one_over(len(calls))
    handed = len(calls) - over
    try:
        with told():
            for n, call in calls[:handed]:
                parts[n].append(executor.submit(call))
            for n, call in calls[handed:]:
                parts[n].append(worked_out(call))
        for n, (b, mine) in enumerate(zip(builds, parts, strict=True), 1):
            with told():
                package = joined(b, formats, [f.result() for f in mine], deep)
            progress(n, len(builds), b.name)
            yield package
    finally:
        for future in (f for mine in parts for f in mine):
            future.cancel()


def draw(build: Build, formats: tuple[str, ...]) -> Package:
    """Lay the drawing out, write it and read it back."""
    sheet = build.sheet
    files = write(build, formats)
    return replace(
        read(build, (len(sheet.sheets), len(sheet.sheets)), files), crowded=sheet.crowded
    )


def model(build: Build, formats: tuple[str, ...], deep: bool) -> Package:
    """Write models and whatever else shows no layout, and read them back."""
    part = read(build, (0, 1), write(build, formats))
    if deep and not part.findings:
        from mandrelgen.files.proof import kernel

        try:
            part = replace(part, deep=kernel.prove(_expected(build, (0, 1)), part.files))
        except ProofError as e:
            return Package(findings=e.findings)
    return part


def read(build: Build, size: tuple[int, int], files: Mapping[str, bytes]) -> Package:
    """Read files back and compare them with the characteristics; ``size``: pages of the PDF (0: no
    drawing) and sheets of the drawing."""
    from mandrelgen.files.proof import read_back

    try:
        return Package(files, read_back.check(_expected(build, size), files))
    except ProofError as e:
        return Package(findings=e.findings)


def _expected(build: Build, size: tuple[int, int]) -> Expected:
    m, i, (pages, sheets) = build.mandrel, build.issue, size
    return Expected(
        mandrel=m, profile=build.profile, number=i.number, revision=i.revision, issued=i.issued,
        pages=pages, mass_g=build.mass, sheets=sheets,
        card=() if build.own is None else tuple((s.id, s.mark, s.limits) for s in build.own.sizes),
    )  # fmt: skip


def joined(build: Build, formats: tuple[str, ...], parts: Sequence[Package], deep: bool) -> Package:
    """A mandrel's files in the order of ``formats``. Raises ProofError."""
    if found := [f for p in parts for f in p.findings]:
        raise ProofError(found)
    files = {k: v for p in parts for k, v in p.files.items()}
    names = [n for f in formats for n in _names(build, f, files)]
    every = {k: v for p in parts for k, v in p.proved.items()}
    proved = {n: every[n] for n in names}
    if deep:
        proved["deep"] = {k: v for p in parts for k, v in p.deep.items()}
    return Package({n: files[n] for n in names}, proved, tuple(c for p in parts for c in p.crowded))


def _names(build: Build, fmt: str, files: Mapping[str, bytes]) -> list[str]:
    """The file of one format, and those of the drawing's further sheets; none of a card that the
    mandrel has not."""
    names = [n for n in (name_of(build, fmt),) if fmt not in HOME or n in files]
    while fmt in BY_SHEET and (further := name_of(build, fmt, len(names) + 1)) in files:
        names.append(further)
    return names


def crowded(builds: Sequence[Build], packages: Sequence[Package]) -> tuple[Finding, ...]:
    """A sheet on which something found no free place is said, never silent."""
    return tuple(
        Finding(
            level=Level.WARNING,
            code="sheet.crowded",
            where=b.mandrel.id,
            message=f"no free place on the drawing for {', '.join(package.crowded)}",
            remedy="read these from the table pages, and look at the drawing before you send it",
        )
        for b, package in zip(builds, packages, strict=True)
        if package.crowded
    )


def cover_page(
    pen: str,
    date: str,
    rows: tuple[tuple[Any, ...], ...],
    order: str,
    known: tuple[tuple[str, str], ...] = (),
) -> bytes:
    """A set's cover; each row the fields of a `CoverRow`; ``known``: what the maker accepted."""
    from mandrelgen.files.writers.pdf.cover import CoverRow, cover

    return cover(pen, date, tuple(CoverRow(*row) for row in rows), order, known)


def table_pages(title: str, footer: str, tables: tuple[Table, ...]) -> bytes:
    """Pages of tables alone."""
    from mandrelgen.files.writers.pdf import papers

    return papers.write(title, footer, tables)


def load(formats: str | None, deep: bool) -> None:
    """Import what writes and reads back ``formats`` (a list with commas; None: all), for a worker
    that has nothing to do yet. What is left out here is imported when it is needed."""
    wished = {*FORMATS, *HOME} if formats is None else {f.strip() for f in formats.split(",")}
    asked = {
        _DRAWING: True,
        _PAPERS: not {"making", "mine", "card"}.isdisjoint(wished),
        _PICTURES: not {"png", "svg"}.isdisjoint(wished),
        _CAD_DRAWING: not {"dxf", "outline"}.isdisjoint(wished),
        _MODELS: not DRAWN.issuperset(wished),
        _KERNEL: deep,
    }
    for name in [n for names, wanted in asked.items() if wanted for n in names]:
        import_module(name)
    from mandrelgen.files.writers.pdf.canvas import new_canvas

    new_canvas(1.0, 1.0, {})  # the PDF library and its font
