"""What a person is told of records that ``make`` kept, replaced or did not order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from mandrelgen.archive.events import Status, status_of_entry
from mandrelgen.archive.naming import revision_folder
from mandrelgen.archive.numbering import NumberPlan
from mandrelgen.archive.page_hashes import WORDS
from mandrelgen.archive.record_files import Entry
from mandrelgen.archive.root import Archive
from mandrelgen.core.errors import Finding, Level

WHY = '--reason "shop file changed"'


def kept(plans: Sequence[NumberPlan], reason: str | None) -> Iterator[Finding]:
    """Pages that are older than the design, and pages published again for nothing else."""
    for plan in plans:
        if not plan.older:
            continue
        where = f"{plan.number} {revision_folder(plan.revision, plan.draft)}"
        what = _and([WORDS[name] for name in plan.older])
        if plan.existing is None:
            yield Finding(
                Level.NOTE, "papers.again", where,
                f"the part is the same, but {what} would read otherwise than in the issue before",
                "use the new pages; the older ones stay in their folder",
            )  # fmt: skip
        elif plan.status is not Status.WITHDRAWN:
            state = "released" if plan.status is Status.RELEASED else "received"
            used = "make again, this run's reason went to the changed parts: " if reason else ""
            yield Finding(
                Level.WARNING, "papers.older", where,
                f"it is {state} and keeps its pages; {what} would read otherwise now",
                f"keep them if the part is all that matters, or issue the next revision: "
                f"{used}{WHY}",
            )  # fmt: skip


def not_ordered(archive: Archive, entries: Sequence[Entry]) -> Iterator[Finding]:
    """What an order leaves out, and why."""
    for e in entries:
        where = f"{e.number} {e.revision}"
        if status_of_entry(archive, e) is Status.WITHDRAWN:
            yield Finding(
                Level.WARNING, "order.withdrawn", where,
                "it is withdrawn and was not ordered",
                'issue the next revision with --reason "…", or change the design',
            )  # fmt: skip
        else:
            yield Finding(
                Level.NOTE, "order.before", where,
                "it was ordered before and is not ordered again", "--again orders it again",
            )  # fmt: skip


def _and(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
