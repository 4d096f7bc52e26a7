"""What the pages of a fixture print, as one hash for each of its parts.

The design hash says whether it would be another part; these say whether its papers would read
otherwise. They leave out what only names the paper: number, revision, date, history. So a verdict
that changed with the shop, or a word of a note, is seen although the part stays the same.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from mandrelgen.archive.design_hash import canonical_hash, plain
from mandrelgen.archive.records import Record
from mandrelgen.mechanics.assessment_types import Assessment
from mandrelgen.model.mandrel import Issue, Mandrel
from mandrelgen.paper.drawing.model import Table

DRAWING, VERDICT, TURNER, CARD = "drawing", "verdict", "turner", "card"
WORDS = {
    DRAWING: "the words on the drawing and its tables",
    VERDICT: "the verdict",
    TURNER: "the turner's pages",
    CARD: "the card to make it yourself",
}


def papers_of(
    mandrel: Mandrel, issue: Issue, verdicts: Sequence[Assessment], turner: Sequence[Table],
    card: object = None,
) -> dict[str, str]:  # fmt: skip
    """SHA-256 (hex) of what each part of the pages prints, by its name in ``WORDS``; ``card``: of
    one that the maker makes (None: it has none)."""
    title = [issue.owner, issue.drawn_by, issue.approved_by, issue.projection, issue.issued]
    if issue.accepted:  # left out where there is nothing: hashes from before stay what they were
        title.append(list(issue.accepted))
    return {
        DRAWING: canonical_hash(plain([mandrel, title])),
        VERDICT: canonical_hash(plain(list(verdicts))),
        TURNER: canonical_hash(plain(list(turner))),
        **({} if card is None else {CARD: canonical_hash(plain([card]))}),
    }


def changed(record: Record, papers: Mapping[str, str]) -> tuple[str, ...]:
    """The parts of a record's pages that would now read otherwise; none if it does not say what
    they printed (an older record)."""
    if not record.papers:
        return ()
    return tuple(name for name in papers if record.papers.get(name) != papers[name])
