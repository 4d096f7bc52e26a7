"""Giving a fixture its number and revision: which record it is, or which it will be.

The sheets print the number, so `assign` decides and reserves first; the writers run, `publish`
makes the folder visible. :func:`clearing` around it takes back what a failed run reserved.

* Same slot, same design hash as the newest or the ordered revision: that record comes back, and
  nothing is written.
* Same slot, changed, and no paper of the newest revision left: **the next draft of the same
  revision**, in a folder of its own: ``A``, then ``A.2``, ``A.3`` … The newest draft is the valid
  one; the older ones are superseded, and stay. Nothing published is ever moved, renamed or removed,
  so a draft is replaced by the one rename that makes its follower visible: before it the old draft
  is valid, after it the new one, and there is no moment between. An order that names ``A.2`` still
  finds it.
* Same slot, changed, the newest revision asked for, ordered or received (a fixture marked with it
  may exist): the next revision letter, which needs a reason.
* Same design, but its pages would read otherwise (see `papers`): a draft is followed by the next
  draft; one that was asked for, ordered or received keeps its pages, and the plan says which are
  older, unless ``reissue`` is asked for.
* Withdrawn: the record comes back, and with ``reissue`` the next revision is made.
* New slot: the next free number, reserved by making its folder, which only one run can do.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import field, replace

from mandrelgen.archive.disk.files import may_be_empty
from mandrelgen.archive.disk.locks import claimed
from mandrelgen.archive.disk.store import reserve_number, sweep_empty
from mandrelgen.archive.events import Status, is_frozen, status_of_entry
from mandrelgen.archive.naming import (
    FIRST_REVISION,
    next_revision,
    number_count,
    number_text,
)
from mandrelgen.archive.page_hashes import changed
from mandrelgen.archive.record_files import Entry, numbers
from mandrelgen.archive.records import RevisionLine, Slot
from mandrelgen.archive.root import Archive, clear
from mandrelgen.archive.slot_lookup import filled_by
from mandrelgen.core.errors import DiskError, Finding, InputError, Level
from mandrelgen.core.frozen import dataclass

FIRST_ISSUE = "First issue"


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberPlan:
    """Under which name a fixture will be published, or the record that already holds it.

    ``history``: the revision table's lines of the earlier revisions. ``reserved``: the number was
    taken for this plan. ``dry``: only asked; nothing was reserved, nothing can be published.
    ``papers``: what the pages print now; ``older``: those of them that the record of the same part
    prints otherwise (the existing one, or the draft this plan replaces). ``reissue``: the reason
    stands for the papers alone too.
    """

    slot: Slot
    design_hash: str
    number: str
    revision: str
    draft: int
    reason: str
    history: tuple[RevisionLine, ...]
    status: Status
    existing: Entry | None = None
    reserved: bool = False
    dry: bool = False
    papers: Mapping[str, str] = field(default_factory=dict)
    older: tuple[str, ...] = ()
    reissue: bool = False

    def lines(self, date: str) -> tuple[RevisionLine, ...]:
        """The whole revision table, with this revision's line dated ``date`` (ISO 8601)."""
        own = RevisionLine(revision=self.revision, date=date, text=self.reason or FIRST_ISSUE)
        return self.existing.record.history if self.existing else (*self.history, own)


@dataclass(frozen=True, slots=True)
class NumberRequest:
    """What a fixture shall be: its slot, its design hash, what its pages print (empty: no matter),
    why it changes, and whether the reason stands for pages alone too."""

    slot: Slot
    design_hash: str
    papers: Mapping[str, str] = field(default_factory=dict)
    reason: str = ""
    reissue: bool = False


def _existing(archive: Archive, entry: Entry, w: NumberRequest) -> NumberPlan:
    record = entry.record
    return NumberPlan(
        slot=record.slot,
        design_hash=record.design_hash,
        number=record.number,
        revision=record.revision,
        draft=record.draft,
        reason=record.reason,
        history=record.history[:-1],
        status=status_of_entry(archive, entry),
        existing=entry,
        papers=w.papers,
        older=changed(record, w.papers),
        reissue=w.reissue,
    )


def _found(archive: Archive, family: Sequence[Entry], w: NumberRequest) -> NumberPlan | None:
    """The record that holds what is wanted already, or None."""
    newest = family[-1]
    if newest.record.design_hash == w.design_hash:
        plan = _existing(archive, newest, w)
        if plan.status is Status.WITHDRAWN:
            return None if w.reissue else plan
        kept = is_frozen(archive, newest.number, newest.revision) and not w.reissue
        return plan if kept or not plan.older else None
    for entry in family:
        same = entry.record.design_hash == w.design_hash
        if same and status_of_entry(archive, entry) is Status.RELEASED:
            return _existing(archive, entry, w)
    return None


def decide(archive: Archive, w: NumberRequest, locked: bool = False) -> NumberPlan:
    """The plan without a number for a new slot. Changes nothing; ``locked``: the archive's lock is
    held."""
    family = filled_by(archive, w.slot, locked)
    number, revision, draft, reason = "", FIRST_REVISION, 1, w.reason
    lines: tuple[RevisionLine, ...] = ()
    older: tuple[str, ...] = ()
    if family:
        if (found := _found(archive, family, w)) is not None:
            return found
        newest = family[-1]
        number, revision, draft = newest.number, newest.revision, newest.draft + 1
        same = newest.record.design_hash == w.design_hash
        older = changed(newest.record, w.papers) if same else ()
        withdrawn = same and not older
        if withdrawn or is_frozen(archive, newest.number, newest.revision):
            if not w.reason.strip():
                raise _reason_missing(newest)
            revision, draft = next_revision(newest.revision), 1
        lines = tuple(line for line in newest.record.history if line.revision != revision)
        reason = w.reason or newest.record.reason
    return NumberPlan(
        slot=w.slot,
        design_hash=w.design_hash,
        number=number,
        revision=revision,
        draft=draft,
        reason=reason,
        history=lines,
        status=Status.IN_PREPARATION,
        papers=w.papers,
        older=older,
        reissue=w.reissue,
    )


def needs_reason(archive: Archive, slot: Slot, design_hash: str) -> bool:
    """Whether this design changes a revision whose paper left, or one made. Raises DiskError."""
    family = filled_by(archive, slot)
    return (
        bool(family)
        and _found(archive, family, NumberRequest(slot, design_hash)) is None
        and is_frozen(archive, family[-1].number, family[-1].revision)
    )


def _reason_missing(entry: Entry) -> InputError:
    return InputError(
        [
            Finding(
                level=Level.ERROR,
                code="reason-missing",
                where=f"{entry.number} {entry.revision}",
                message="the design has changed since this revision was asked for, ordered or "
                "received, and a new "
                "revision needs a reason for its line in the revision table",
                remedy='say why it changed: --reason "thread measured again"',
            )
        ]
    )


def _next_count(archive: Archive) -> int:
    taken = numbers(archive.root, archive.prefix)
    return (number_count(archive.prefix, taken[-1]) or 0) + 1 if taken else 1


def _reserve(archive: Archive) -> str:
    count = _next_count(archive)
    while True:
        number = number_text(archive.prefix, count)
        if reserve_number(archive.root / number):
            return number
        count += 1


def assign(
    archive: Archive, slot: Slot, design_hash: str, reason: str | None = None, dry: bool = False,
    papers: Mapping[str, str] | None = None, reissue: bool = False,
) -> NumberPlan:  # fmt: skip
    """Number and revision for a fixture; a new slot's number is reserved, unless ``dry``.

    Raises InputError (what was ordered changed without a reason), DiskError.
    """
    plan = decide(
        archive,
        NumberRequest(
            slot=slot,
            design_hash=design_hash,
            papers=papers or {},
            reason=reason or "",
            reissue=reissue,
        ),
    )
    if plan.number:
        return replace(plan, dry=dry)
    if dry:
        return replace(plan, number=number_text(archive.prefix, _next_count(archive)), dry=True)
    try:
        return replace(plan, number=_reserve(archive), reserved=True)
    except BaseException:
        clear(archive)
        raise


@contextlib.contextmanager
def clearing(archive: Archive, plans: list[NumberPlan]) -> Iterator[None]:
    """Around a whole run: what killed runs reserved is taken back first; whatever ends this one,
    so are its own reservations that stayed empty.

    ``plans`` is the list the run appends its plans to.
    """
    sweep_reserved(archive)
    try:
        yield
    except BaseException:  # a number may be taken and its plan not yet in the list
        clear(archive, claimed(archive.root))
        sweep_reserved(archive)
        raise
    finally:
        clear(archive, [archive.root / plan.number for plan in plans if plan.reserved])


def sweep_reserved(archive: Archive) -> tuple[str, ...]:
    """Take back the numbers that killed runs reserved and left empty; never raises, and leaves
    alone what a living run holds. Returns the numbers."""
    try:
        taken = numbers(archive.root, archive.prefix)
    except DiskError:
        return ()
    return sweep_empty(archive.root / n for n in may_be_empty(archive.root, taken))
