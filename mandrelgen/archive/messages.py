"""What a person is told of records that ``make`` kept, replaced or did not order."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from mandrelgen.archive.events import Status
from mandrelgen.archive.naming import revision_folder
from mandrelgen.archive.numbering import NumberPlan
from mandrelgen.archive.page_hashes import WORDS
from mandrelgen.archive.record_files import Entry
from mandrelgen.archive.root import Archive
from mandrelgen.archive.states import State, state_of
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
                level=Level.NOTE,
                code="papers.again",
                where=where,
                message=f"the part is the same, but {what} would read otherwise than in the "
                "issue before",
                remedy="use the new pages; the older ones stay in their folder",
            )
        elif plan.status is not Status.WITHDRAWN:
            state = "ordered" if plan.status is Status.RELEASED else "asked for or received"
            used = "make again, this run's reason went to the changed parts: " if reason else ""
            yield Finding(
                level=Level.WARNING,
                code="papers.older",
                where=where,
                message=f"it is {state} and keeps its pages; {what} would read otherwise now",
                remedy=f"keep them if the part is all that matters, or issue the next revision: "
                f"{used}{WHY}",
            )


def unread(folder: Path, faults: Iterable[str]) -> Iterator[Finding]:
    """What of the archive in ``folder`` cannot be read, said once each."""
    for message in dict.fromkeys(faults):
        yield Finding(
            level=Level.WARNING,
            code="archive.unread",
            where=str(folder),
            message=message,
            remedy="run `mandrelgen verify` on the archive",
        )


def not_ordered(archive: Archive, entries: Sequence[Entry]) -> Iterator[Finding]:
    """What an order leaves out, and why."""
    for e in entries:
        where = f"{e.number} {e.revision}"
        if state_of(archive, e) is State.WITHDRAWN:
            yield Finding(
                level=Level.WARNING,
                code="order.withdrawn",
                where=where,
                message="it is withdrawn and was not ordered",
                remedy='issue the next revision with --reason "…", or change the design',
            )
        else:
            yield Finding(
                level=Level.NOTE,
                code="order.before",
                where=where,
                message="it was ordered before and is not ordered again",
                remedy="--again orders it again",
            )


def _and(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
