"""Every file of a package: a name and the function that makes its bytes. What writes is imported
when it is needed: `make` names the files in one process and writes them in others."""

from __future__ import annotations

from collections.abc import Callable, Container, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any

from mandrelgen.mechanics.assessment_types import Assessment
from mandrelgen.model.balloon_numbers import numbered
from mandrelgen.model.half_section import Profile, outline, plain
from mandrelgen.model.mandrel import Issue, Mandrel
from mandrelgen.paper.drawing.model import Sheet, Table

if TYPE_CHECKING:
    from mandrelgen.geometry.mesh.build import Mesh


@dataclass(frozen=True)
class Build:
    """One mandrel under one name; what several writers share is made once, when first asked for.

    ``extra``: tables that go last (the turner's pages). ``verdicts``: how each working end
    serves, for the maker's page behind the drawing's own tables. ``density`` (g/cm³) of a material
    that is not held (a gauge's steel).
    """

    mandrel: Mandrel
    issue: Issue
    extra: tuple[Table, ...] = ()
    verdicts: tuple[Assessment, ...] = ()
    density: float | None = None

    @property
    def stem(self) -> str:
        """File name without ending: number and revision, or the mandrel's id if not issued."""
        i = self.issue
        return f"{i.number}_{i.revision}" if i.issued else f"not-issued_{self.mandrel.id}"

    @cached_property
    def profile(self) -> Profile:
        """The half-section."""
        return outline(self.mandrel)

    @cached_property
    def mass(self) -> float:
        """Mass in grams: closed-form volume × density."""
        from mandrelgen.geometry.mesh import exact
        from mandrelgen.standards import materials

        density = self.density
        if density is None:
            density = materials.material(self.mandrel.ordering.material).density
        return exact.volume(self.profile) / 1000 * density

    @cached_property
    def sheet(self) -> Sheet:
        """The drawing, laid out."""
        from mandrelgen.files.writers.pdf.tables import pages_of
        from mandrelgen.paper.drawing.layout import drawing
        from mandrelgen.paper.reports.assessment import page
        from mandrelgen.paper.reports.assessment_page import leaves
        from mandrelgen.paper.reports.characteristic_tables import tables

        numbers = numbered(self.mandrel)
        own = tables(self.mandrel, numbers)
        truth = tuple(
            leaf
            for i, v in enumerate(self.verdicts)
            for leaf in leaves(page(v, numbers, self.mandrel.cautions, end_b=i > 0))
        )
        pages = len(truth) + sum(len(pages_of(t)) for t in (own, self.extra) if t)
        sheet = drawing(self.mandrel, self.profile, self.issue, self.mass, pages)
        return replace(sheet, tables=own, leaves=truth, behind=self.extra)

    @cached_property
    def mesh(self) -> Mesh:
        """The mesh, chord error 0.01 mm."""
        from mandrelgen.geometry.mesh.build import build

        return build(self.profile)

    @cached_property
    def document(self) -> Any:
        """The drawing document that DXF and PDF share."""
        from mandrelgen.files.writers import dxf

        return dxf.document(self.sheet)

    @cached_property
    def pdf(self) -> bytes:
        """The PDF; the PNGs are its first pages."""
        from mandrelgen.files.writers.pdf import document

        return document.write(self.sheet, self.document)


def _step(b: Build) -> bytes:
    from mandrelgen.files.writers import step

    return step.write(
        b.profile,
        number=b.issue.number,
        description=f"{b.mandrel.title}, rev. {b.issue.revision}; plain features at nominal, "
        "thread at the middle of its limits, roots flat",
        timestamp=f"{b.issue.date}T00:00:00",
    )


def _step_plain(b: Build) -> bytes:
    from mandrelgen.files.writers import step

    return step.write(
        plain(b.profile),
        number=b.issue.number,
        description=f"{b.mandrel.title}, rev. {b.issue.revision}; thread as a plain cylinder at "
        "its crest, for machining programs",
        timestamp=f"{b.issue.date}T00:00:00",
    )


def _stl(b: Build) -> bytes:
    from mandrelgen.files.writers import stl

    return stl.write(b.mesh, f"{b.issue.number} rev {b.issue.revision} mm nominal")


def _threemf(b: Build) -> bytes:
    from mandrelgen.files.writers import threemf

    return threemf.write(
        b.mesh, b.mandrel.title, b.issue.number, b.issue.revision, b.mandrel.id, b.issue.date
    )


def _dxf(b: Build) -> bytes:
    from mandrelgen.files.writers import dxf

    return dxf.write(b.sheet, b.document)


def _outline(b: Build) -> bytes:
    from mandrelgen.files.writers import dxf

    return dxf.outline(b.profile, b.issue)


def _png(b: Build, sheet: int = 1) -> bytes:
    from mandrelgen.files.writers import png

    return png.from_pdf(b.pdf, sheet - 1)


def _svg(b: Build, sheet: int = 1) -> bytes:
    from mandrelgen.files.writers import svg

    return svg.write(b.sheet.sheets[sheet - 1])


def _picture(b: Build) -> bytes:
    from mandrelgen.files.writers import picture
    from mandrelgen.geometry.mesh.build import build

    # Coarser than the printed mesh: the picture's dots are larger than its error.
    return picture.write(build(b.profile, 0.02))


# Format -> (ending of the file name, writer). Order: cheap and telling first. What a slicer takes
# says that it is not compensated for a printer.
FORMATS: dict[str, tuple[str, Callable[[Build], bytes]]] = {
    "pdf": (".pdf", lambda b: b.pdf),
    "dxf": (".dxf", _dxf),
    "outline": ("_outline.dxf", _outline),
    "png": (".png", _png),
    "svg": (".svg", _svg),
    "picture": ("_part.png", _picture),
    "stl": ("_nominal.stl", _stl),
    "3mf": ("_nominal.3mf", _threemf),
    "step": (".step", _step),
    "step-plain": ("_plain.step", _step_plain),
}

# Those that show the drawing's layout.
DRAWN = frozenset({"pdf", "dxf", "png", "svg"})


# Formats of which a file holds one sheet: the writer of the n-th sheet.
BY_SHEET: dict[str, Callable[[Build, int], bytes]] = {"png": _png, "svg": _svg}


def write(build: Build, formats: tuple[str, ...]) -> dict[str, bytes]:
    """The files of ``formats``, by file name; the further sheets of a drawing stand behind its
    first, numbered."""
    files = {}
    for f in formats:
        files[name_of(build, f)] = FORMATS[f][1](build)
        for n in range(2, 1 + (len(build.sheet.sheets) if f in BY_SHEET else 1)):
            files[name_of(build, f, n)] = BY_SHEET[f](build, n)
    return files


def name_of(build: Build, fmt: str, sheet: int = 1) -> str:
    """The file name of one format; ``sheet``: of which sheet."""
    return build.stem + (f"_{sheet}" if sheet > 1 else "") + FORMATS[fmt][0]


def names_among(build: Build, formats: Sequence[str], there: Container[str]) -> dict[str, str]:
    """Format -> file name of those that are ``there``; a further sheet stands under its format and
    its number, ``png-2``."""
    names = {f: name_of(build, f) for f in formats}
    names |= {f"{f}-2": name_of(build, f, 2) for f in formats if f in BY_SHEET}
    return {f: n for f, n in names.items() if n in there}
