"""Every file of a package: a name, the ending of its file, and the function that makes its bytes.
What writes is imported when it is needed: `make` names the files in one process and writes them in
others."""

from __future__ import annotations

from collections.abc import Callable, Container, Sequence
from typing import TYPE_CHECKING, Protocol

from mandrelgen.mechanics.assessment_types import Assessment
from mandrelgen.model.half_section import Profile, plain
from mandrelgen.model.mandrel import Issue, Mandrel
from mandrelgen.paper.drawing.model import Page, Sheet

if TYPE_CHECKING:
    from mandrelgen.geometry.mesh.build import Mesh


class Source(Protocol):
    """What the writers ask for, of one mandrel under one name (`workflows.build.Build`)."""

    @property
    def stem(self) -> str:
        """File name without ending."""

    @property
    def mandrel(self) -> Mandrel:
        """The mandrel."""

    @property
    def verdicts(self) -> tuple[Assessment, ...]:
        """How each working end serves."""

    @property
    def issue(self) -> Issue:
        """Number, revision, date, names."""

    @property
    def profile(self) -> Profile:
        """The half-section."""

    @property
    def middle(self) -> Profile:
        """The half-section with every size at the middle of its limits."""

    @property
    def sheet(self) -> Sheet:
        """The drawing, laid out."""

    @property
    def papers(self) -> Sheet:
        """The drawing with the pages of its other two papers."""

    @property
    def card(self) -> tuple[Page, ...]:
        """The card of a mandrel that the maker makes; none if the turner makes it."""

    @property
    def mesh(self) -> Mesh:
        """The mesh that is printed or milled."""

    @property
    def pdf(self) -> bytes:
        """The drawing as PDF; the PNGs are its pages."""


def _making(b: Source) -> bytes:
    from mandrelgen.files.writers.pdf import document

    return document.making(b.papers)


def _mine(b: Source) -> bytes:
    from mandrelgen.files.writers.pdf import document

    return document.mine(b.papers)


def _card(b: Source) -> bytes:
    from mandrelgen.files.writers.pdf import document

    return document.card(b.sheet, b.card)


def _step(b: Source) -> bytes:
    from mandrelgen.files.writers import step

    return step.write(
        b.profile,
        number=b.issue.number,
        description=f"{b.mandrel.title}, rev. {b.issue.revision}; plain features at nominal, "
        "thread at the middle of its limits, roots flat",
        timestamp=f"{b.issue.date}T00:00:00",
    )


def _step_plain(b: Source) -> bytes:
    from mandrelgen.files.writers import step

    return step.write(
        plain(b.profile),
        number=b.issue.number,
        description=f"{b.mandrel.title}, rev. {b.issue.revision}; thread as a plain cylinder at "
        "its crest, for machining programs",
        timestamp=f"{b.issue.date}T00:00:00",
    )


def _assembly(b: Source) -> bytes:
    from mandrelgen.geometry.kernel import require

    require("the format assembly")
    from mandrelgen.geometry.kernel import assembly

    bent = b.verdicts[0].stiffness if b.verdicts else None
    return assembly.write(
        b.mandrel,
        None if bent is None else bent.collet_face,
        b.issue.number,
        f"{b.mandrel.title}, rev. {b.issue.revision}; with the part it holds and the collet's "
        "front, for information",
        f"{b.issue.date}T00:00:00",
    )


def _stl(b: Source) -> bytes:
    from mandrelgen.files.writers import stl

    return stl.write(b.mesh, f"{b.issue.number} rev {b.issue.revision} mm nominal")


def _threemf(b: Source) -> bytes:
    from mandrelgen.files.writers import threemf

    return threemf.write(
        b.mesh, b.mandrel.title, b.issue.number, b.issue.revision, b.mandrel.id, b.issue.date
    )


def _dxf(b: Source) -> bytes:
    from mandrelgen.files.writers import dxf

    return dxf.write(b.sheet)


def _outline(b: Source) -> bytes:
    from mandrelgen.files.writers import dxf

    return dxf.outline(b.middle, b.issue)


def _png(b: Source, sheet: int = 1) -> bytes:
    from mandrelgen.files.writers import png

    return png.from_pdf(b.pdf, sheet - 1)


def _svg(b: Source, sheet: int = 1) -> bytes:
    from mandrelgen.files.writers import svg

    return svg.write(b.sheet.sheets[sheet - 1])


def _picture(b: Source) -> bytes:
    from mandrelgen.files.writers import picture
    from mandrelgen.geometry.mesh.build import build

    # Coarser than the printed mesh: the picture's dots are larger than its error.
    return picture.write(build(b.profile, 0.02))


# Format -> (ending of the file name, writer). Order: cheap and telling first. What a slicer takes
# says that it is not compensated for a printer.
FORMATS: dict[str, tuple[str, Callable[[Source], bytes]]] = {
    "pdf": ("_drawing.pdf", lambda b: b.pdf),
    "making": ("_making.pdf", _making),
    "mine": ("_mine.pdf", _mine),
    "dxf": (".dxf", _dxf),
    "outline": ("_outline-mid-limits.dxf", _outline),
    "png": (".png", _png),
    "svg": (".svg", _svg),
    "picture": ("_part.png", _picture),
    "stl": ("_nominal.stl", _stl),
    "3mf": ("_nominal.3mf", _threemf),
    "step": (".step", _step),
    "step-plain": ("_plain.step", _step_plain),
}

# Written where the word is *make yourself*, or a blank is ordered.
HOME: dict[str, tuple[str, Callable[[Source], bytes]]] = {"card": ("_make-yourself.pdf", _card)}

# Written only where asked for by name: they need the CAD kernel, which an install may lack, and
# every package holds the same files.
ASKED: dict[str, tuple[str, Callable[[Source], bytes]]] = {
    "assembly": ("_assembly.step", _assembly)
}

EVERY = FORMATS | HOME | ASKED

# Those that show the drawing's layout.
DRAWN = frozenset({"pdf", "making", "mine", "card", "dxf", "png", "svg"})

# How the file of a format ended before: packages are never rewritten.
OLD = {"pdf": ".pdf", "outline": "_outline.dxf"}

SENT = ("pdf", "dxf", "outline", "step", "step-plain")
"""What a turner opens; the rest stays with the maker."""


# Formats of which a file holds one sheet: the writer of the n-th sheet.
BY_SHEET: dict[str, Callable[[Source, int], bytes]] = {"png": _png, "svg": _svg}


def write(source: Source, formats: tuple[str, ...]) -> dict[str, bytes]:
    """The files of ``formats``, by file name; the further sheets of a drawing stand behind its
    first, numbered. The card is left out of a mandrel that has none."""
    files = {}
    for f in formats:
        if f in HOME and not source.card:
            continue
        files[name_of(source, f)] = EVERY[f][1](source)
        for n in range(2, 1 + (len(source.sheet.sheets) if f in BY_SHEET else 1)):
            files[name_of(source, f, n)] = BY_SHEET[f](source, n)
    return files


def name_of(source: Source, fmt: str, sheet: int = 1) -> str:
    """The file name of one format; ``sheet``: of which sheet."""
    return source.stem + (f"_{sheet}" if sheet > 1 else "") + EVERY[fmt][0]


def names_among(source: Source, formats: Sequence[str], there: Container[str]) -> dict[str, str]:
    """Format -> file name of those that are ``there``; a further sheet stands under its format and
    its number, ``png-2``."""
    names = {f: name_of(source, f) for f in formats}
    names |= {f"{f}-2": name_of(source, f, 2) for f in formats if f in BY_SHEET}
    found = {f: n for f, n in names.items() if n in there}
    older = {f: source.stem + OLD[f] for f in formats if f in OLD and f not in found}
    return found | {f: n for f, n in older.items() if n in there}
