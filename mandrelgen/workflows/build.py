"""One mandrel under one name, and what its files are written of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Protocol

from mandrelgen.assess.words import Answer, Word
from mandrelgen.core.errors import DesignError, Finding
from mandrelgen.mechanics.assessment_types import Assessment
from mandrelgen.model.balloon_numbers import numbered
from mandrelgen.model.half_section import Profile, outline
from mandrelgen.model.mandrel import NOT_ISSUED, Issue, Mandrel
from mandrelgen.paper.drawing.model import Page, Sheet, Table
from mandrelgen.spec.pen import Title
from mandrelgen.spec.placeholders import is_placeholder
from mandrelgen.spec.shop import Shop
from mandrelgen.workflows.check import Checked

if TYPE_CHECKING:
    from mandrelgen.geometry.mesh.build import Mesh
    from mandrelgen.workshop.home.own_mandrel import OwnMandrel

History = tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class Build:
    """One mandrel under one name; what several writers share is made once, when first asked for.

    ``extra``: the turner's tables. ``verdicts``: how each working end serves, for the maker's
    pages. ``density`` (g/cm³) of a material that is not held (a gauge's steel). ``inspection``: the
    maker's inspection sheet. ``word``: what to do about it. ``accepted``: what was found of its
    parts and the maker lives with. ``wires``: the turner's measuring wires, mm. ``own``: how the
    maker makes it, or cuts its thread (None: the turner does). ``costs``: what it costs to ask.
    """

    mandrel: Mandrel
    issue: Issue
    extra: tuple[Table, ...] = ()
    verdicts: tuple[Assessment, ...] = ()
    density: float | None = None
    inspection: tuple[Table, ...] = ()
    word: Answer | None = None
    accepted: tuple[Finding, ...] = ()
    wires: tuple[float, ...] = ()
    own: OwnMandrel | None = None
    costs: tuple[Table, ...] = ()

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
    def middle(self) -> Profile:
        """The half-section with every size at the middle of its limits."""
        from mandrelgen.model.mid_limits import at_mid_limits

        return outline(at_mid_limits(self.mandrel))

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
        from mandrelgen.paper.drawing.layout import drawing

        return drawing(self.mandrel, self.profile, self.issue, self.mass, wires=self.wires)

    @cached_property
    def papers(self) -> Sheet:
        """The drawing with the pages of its other two papers."""
        from mandrelgen.paper.reports.assessment import page
        from mandrelgen.paper.reports.assessment_page import leaves
        from mandrelgen.paper.reports.characteristic_tables import decisions

        numbers = numbered(self.mandrel)
        truth = tuple(
            leaf
            for i, v in enumerate(self.verdicts)
            for leaf in leaves(page(v, numbers, self.mandrel.cautions, end_b=i > 0))
        )
        return replace(
            self.sheet,
            behind=self.extra,
            first=(
                *_word_table(self.word),
                *_accepted_table(self.accepted),
                *self.costs,
                *decisions(self.mandrel),
            ),
            leaves=truth,
            own=self.inspection,
        )

    @cached_property
    def card(self) -> tuple[Page, ...]:
        """The card of a mandrel that the maker makes; none if the turner makes it."""
        from mandrelgen.paper.reports.own_card import leaves

        return () if self.own is None else leaves(self.own)

    @cached_property
    def mesh(self) -> Mesh:
        """The mesh, chord error 0.01 mm."""
        from mandrelgen.geometry.mesh.build import build

        return build(self.profile)

    @cached_property
    def pdf(self) -> bytes:
        """The drawing as PDF; the PNGs are its pages."""
        from mandrelgen.files.writers.pdf import document

        return document.write(self.sheet)


def _word_table(word: Answer | None) -> tuple[Table, ...]:
    """What to do about it, and why, at the head of the maker's pages."""
    if word is None:
        return ()
    rows = (("do", word.said), ("why", word.reason), ("when", "as this was issued"))
    return (Table("What to do", ("", ""), (2, 16), rows),)


def accepted_of(checked: Checked, mandrel: Mandrel) -> tuple[Finding, ...]:
    """What the maker accepted of a mandrel and of the parts it holds."""
    names = {mandrel.id, f"{mandrel.id}, end B", mandrel.part}
    names.update(
        d.planned.other.part
        for d in checked.designed
        if d.planned.id == mandrel.id and d.planned.other is not None
    )
    return tuple(
        f
        for f in checked.findings
        if f.reason and (f.where in names or names.intersection(f.parts))
    )


class Accepted(Protocol):
    """A finding that the maker lives with, as it was found or as a record keeps it."""

    @property
    def code(self) -> str:
        """Its kind."""

    @property
    def where(self) -> str:
        """Its place."""

    @property
    def message(self) -> str:
        """What was found."""


def accepted_lines(found: Sequence[Accepted]) -> tuple[str, ...]:
    """What was accepted, for the drawing: of the fixture what and where, of the pen only where, in
    one line, since a turner has nothing to do with it; the cover says it (`accepted_in_full`). Why
    it may stay is the maker's own business and stands on the maker's page and in the record."""
    of_pen = [f.where for f in found if f.code.startswith("pen.")]
    lines = [f"{f.where}: {f.message}" for f in found if not f.code.startswith("pen.")]
    if of_pen:
        places = ", ".join(dict.fromkeys(of_pen))
        lines.append(f"of the pen alone, nothing to be done here ({places})")
    return tuple(lines)


def accepted_in_full(found: Sequence[Accepted]) -> tuple[str, ...]:
    """What was accepted, for the cover: what and where, of the pen and of the fixture."""
    return tuple(f"{'the pen, ' * f.code.startswith('pen.')}{f.where}: {f.message}" for f in found)


def _accepted_table(found: Sequence[Finding]) -> tuple[Table, ...]:
    """What was seen and accepted, with the reason, at the head of the maker's pages."""
    if not found:
        return ()
    rows = tuple((f.where, f.message, f.reason) for f in found)
    return (Table("Accepted", ("Where", "What was found", "Why it may stay"), (3, 9, 6), rows),)


def own_of(checked: Checked, words: Sequence[Answer]) -> dict[str, OwnMandrel]:
    """The cards of the mandrels that the maker makes, or threads, by id."""
    from mandrelgen.workshop.home.own_mandrel import own_mandrels

    return own_mandrels(checked.inputs.pen, checked.inputs.shop, checked.designed, words)


def wires_of(shop: Shop) -> tuple[float, ...]:
    """The turner's measuring wires, mm."""
    return tuple(float(w) for w in shop.turner.wires)


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


def signed(title: Title, shop: Shop) -> Title:
    """The title block's values: where the pen names no owner, its drawings are the workshop's that
    has them made; a name of the starters is nobody's."""
    if title.owner or is_placeholder(shop.name):
        return title
    return title.model_copy(update={"owner": shop.name})


def issue_of(
    title: Title,
    number: str,
    revision: str,
    date: str,
    history: History = (),
    accepted: Sequence[Accepted] = (),
) -> Issue:
    """What a published sheet says of its issue; ``date`` ISO 8601; ``history``: revision, date and
    reason of each line of the revision table; ``accepted``: what the maker lives with."""
    return Issue(
        number=number, revision=revision, date=date, status="in preparation", owner=title.owner,
        drawn_by=title.drawn_by, approved_by=title.approved_by, projection=title.projection,
        history=history, accepted=accepted_lines(accepted),
    )  # fmt: skip


def unissued(title: Title, date: str, accepted: Sequence[Finding] = ()) -> Issue:
    """What a sheet without a number says of itself; ``date`` ISO 8601."""
    return replace(issue_of(title, NOT_ISSUED, "-", date, accepted=accepted), issued=False)
