"""One mandrel under one name, and what its files are written of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from mandrelgen.assess.words import Answer, Word
from mandrelgen.core.errors import DesignError
from mandrelgen.mechanics.assessment_types import Assessment
from mandrelgen.model.balloon_numbers import numbered
from mandrelgen.model.half_section import Profile, outline
from mandrelgen.model.mandrel import NOT_ISSUED, Issue, Mandrel
from mandrelgen.paper.drawing.model import Sheet, Table
from mandrelgen.spec.pen import Title
from mandrelgen.workflows.check import Checked

if TYPE_CHECKING:
    from mandrelgen.geometry.mesh.build import Mesh

History = tuple[tuple[str, str, str], ...]


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

    @property
    def name(self) -> str:
        """For a person: its number if it has one, and its id."""
        return f"{self.issue.number} {self.mandrel.id}" if self.issue.issued else self.mandrel.id

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
    def pdf(self) -> bytes:
        """The PDF; the PNGs are its first pages."""
        from mandrelgen.files.writers.pdf import document

        return document.write(self.sheet)


def designed_mandrels(
    checked: Checked, words: Sequence[Answer] = ()
) -> list[tuple[Mandrel, tuple[Assessment, ...]]]:
    """The mandrels that can be made, each with the assessment of each of its working ends; none of
    those that ``words`` hold back. Raises DesignError if there is none."""
    held_back = {a.planned for a in words if a.word is Word.CHANGE}
    found = [
        (d.mandrel, tuple(v for v in (d.verdict, d.verdict_b) if v is not None))
        for d in checked.designed
        if d.mandrel is not None and d.planned.id not in held_back
    ]
    if not found:
        raise DesignError(checked.findings)
    return found


def issue_of(
    title: Title,
    number: str,
    revision: str,
    date: str,
    history: History = (),
) -> Issue:
    """What a published sheet's title block says; ``date`` ISO 8601; ``history``:
    revision, date and reason of each line of the revision table."""
    return Issue(
        number=number, revision=revision, date=date, status="in preparation", owner=title.owner,
        drawn_by=title.drawn_by, approved_by=title.approved_by, projection=title.projection,
        history=history,
    )  # fmt: skip


def unissued(title: Title, date: str) -> Issue:
    """What the title block of a sheet without a number says; ``date`` ISO 8601."""
    return replace(issue_of(title, NOT_ISSUED, "-", date), issued=False)
