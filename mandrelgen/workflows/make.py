"""``make``: number, draw, write, prove, publish, order."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import Executor
from pathlib import Path

from mandrelgen import __version__
from mandrelgen.archive import design_hash, messages, numbering, publish, root
from mandrelgen.archive.disk.files import exists, list_folder
from mandrelgen.archive.manifest import MANIFEST
from mandrelgen.archive.naming import MARKER
from mandrelgen.archive.page_hashes import papers_of
from mandrelgen.archive.record_files import Entry
from mandrelgen.assess.words import Answer, Word
from mandrelgen.core.errors import Finding, Level
from mandrelgen.files.formats import FORMATS, HOME, names_among
from mandrelgen.mechanics.assessment_types import Assessment
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.workflows.build import (
    Build,
    accepted_of,
    designed_mandrels,
    issue_of,
    own_of,
    signed,
    wires_of,
)
from mandrelgen.workflows.cards import write_cards
from mandrelgen.workflows.check import Checked
from mandrelgen.workflows.cost import cost_tables
from mandrelgen.workflows.made import MadeMandrel, MadeSet
from mandrelgen.workflows.make_options import MakeOptions
from mandrelgen.workflows.order import papers_beside, publish_order, refuse_placeholders
from mandrelgen.workflows.package import Package, Progress, crowded, packages, silent
from mandrelgen.workflows.parallel import Here

PROGRAM = f"mandrelgen {__version__}"
Judged = tuple[Mandrel, tuple[Assessment, ...]]


def make(
    checked: Checked, options: MakeOptions, executor: Executor | None = None,
    progress: Progress = silent, words: Sequence[Answer] = (),
) -> MadeSet:  # fmt: skip
    """Number, draw, write, prove and publish the mandrels to order or to make; order the first.

    ``executor``: who draws (None: this process). ``words``: what to do about each mandrel (without
    them all are ordered); what a fault of the pen holds back, what is there already and what is
    not needed gets no number. Raises DesignError if none can be made, ProofError, InputError (a
    released fixture changes without a reason), WorkerError, DiskError.
    """
    executor = executor or Here()
    word = {a.planned: a.word for a in words}
    mandrels = _wanted(checked, words)
    if not mandrels:
        alone = _cards_alone(checked, options, words, executor)
        return MadeSet((), None, words=tuple(words), cards=alone)
    title = checked.inputs.pen.pen
    refuse_placeholders(title)
    archive, day = root.open_root(options.folder, title.number_prefix), options.day(title.date)
    plans: list[numbering.NumberPlan] = []
    with numbering.clearing(archive, plans):
        builds = _number(
            archive, checked, mandrels, options, day, plans, {a.planned: a for a in words}
        )
        new = [b for b, p in zip(builds, plans, strict=True) if p.existing is None]
        if new:
            progress(0, len(new), "drawing")
        proved = list(packages(new, (*FORMATS, *HOME), options.prove, executor, progress))
        entries = publish.publish_all(archive, _publications(checked, builds, plans, proved, day))
    pairs = list(zip(builds, entries, strict=True))
    sent = [(b, e) for b, e in pairs if word.get(b.mandrel.id, Word.ORDER) is Word.ORDER]
    order, said = publish_order(archive, checked, sent, options, day, PROGRAM, executor)
    marks = {b.mandrel.id: f"{e.number} {e.revision}" for b, e in pairs}
    cards = write_cards(archive.root, checked, words, marks, executor)
    progress(len(builds), len(builds), "published")
    made = tuple([_made(b, e, p) for (b, e), p in zip(pairs, plans, strict=True)])
    kept = messages.kept(plans, options.reason)
    findings = (*crowded(new, proved), *kept, *_without_card(builds, made), *said)
    return MadeSet(made=made, order=order, findings=findings, words=tuple(words), cards=cards)


def _wanted(
    checked: Checked, words: Sequence[Answer]
) -> list[tuple[Mandrel, tuple[Assessment, ...]]]:
    """What gets a number: to order, to make, and what is had as this pen's own."""
    known = {a.planned for a in words}
    wanted = {a.planned for a in words if a.word in (Word.ORDER, Word.MAKE) or a.own}
    every = designed_mandrels(checked, words)
    return [m for m in every if m[0].id in wanted or m[0].id not in known]


def _made(build: Build, entry: Entry, plan: numbering.NumberPlan) -> MadeMandrel:
    return MadeMandrel(
        id=build.mandrel.id, number=entry.number, revision=entry.revision, folder=entry.folder,
        files=_names(build, entry.folder), existed=plan.existing is not None,
        verdicts=build.verdicts,
    )  # fmt: skip


def _cards_alone(
    checked: Checked, options: MakeOptions, words: Sequence[Answer], executor: Executor
) -> Path | None:
    """The cards of a pen for which nothing is to be made, in an archive that is there."""
    title = checked.inputs.pen.pen
    archive = root.open_root(options.folder, title.number_prefix)
    if not exists(archive.root / MARKER):
        return None
    return write_cards(archive.root, checked, words, {}, executor)


def _number(
    archive: root.Archive, checked: Checked, mandrels: Sequence[Judged], options: MakeOptions,
    day: str, plans: list[numbering.NumberPlan], words: Mapping[str, Answer],
) -> list[Build]:  # fmt: skip
    """Every mandrel under its number and revision; each is added to ``plans`` as soon as it is
    reserved, so that a failed run gives it back."""
    title = signed(checked.inputs.pen.pen, checked.inputs.shop)
    builds: list[Build] = []
    wires = wires_of(checked.inputs.shop)
    reissue = _reissues(archive, mandrels, options)
    own = own_of(checked, tuple(words.values()))
    dear = cost_tables(checked)
    for m, verdicts in mandrels:
        turner, inspection = papers_beside(m, checked.inputs.shop)
        beside = (*turner, *inspection, *dear.get(m.id, ()))
        known = accepted_of(checked, m)
        blank = issue_of(title, "", "", day, (), known)
        papers = papers_of(m, blank, verdicts, beside, own.get(m.id))
        plan = numbering.assign(
            archive, design_hash.slot_of(m), design_hash.design_hash(m), options.reason,
            papers=papers, reissue=reissue,
        )  # fmt: skip
        plans.append(plan)
        history = tuple((h.revision, h.date, h.text) for h in plan.lines(day))
        issue = issue_of(title, plan.number, plan.revision, day, history, known)
        builds.append(
            Build(
                mandrel=m,
                issue=issue,
                extra=turner,
                verdicts=verdicts,
                inspection=inspection,
                word=words.get(m.id),
                accepted=known,
                wires=wires,
                own=own.get(m.id),
                costs=dear.get(m.id, ()),
            )
        )
    return builds


def _reissues(archive: root.Archive, mandrels: Sequence[Judged], options: MakeOptions) -> bool:
    """Whether the reason stands for papers alone: it does if it is not needed for a changed part,
    so that revising one fixture never asks for the others anew."""
    return bool((options.reason or "").strip()) and not any(
        numbering.needs_reason(archive, design_hash.slot_of(m), design_hash.design_hash(m))
        for m, _ in mandrels
    )


def _publications(
    checked: Checked, builds: Sequence[Build], plans: Sequence[numbering.NumberPlan],
    proved: Iterable[Package], day: str,
) -> list[publish.Publication]:  # fmt: skip
    """What is to be published for each plan: what is there already, or the next package."""
    jobs, written = [], iter(proved)
    for b, plan in zip(builds, plans, strict=True):
        if plan.existing is not None:
            jobs.append(publish.Publication(plan, {}, plan.existing.record))
            continue
        package = next(written)
        inputs = publish.input_files(b.mandrel, checked.inputs.pen_bytes, checked.inputs.shop_bytes)
        record = publish.make_record(
            plan, b.mandrel, day, PROGRAM, package.proved, accepted=b.accepted
        )
        jobs.append(publish.Publication(plan, {**package.files, **inputs}, record))
    return jobs


def _without_card(builds: Sequence[Build], made: Sequence[MadeMandrel]) -> list[Finding]:
    """What was asked of a turner before it was to be made at home: its folder stays as it was."""
    return [
        Finding(
            level=Level.NOTE, code="make.card", where=m.id,
            message=f"{m.number} {m.revision} was published before you were to make it yourself: "
            "its folder has no card",
            remedy="write the card alone: mandrelgen make FILE --only card",
        )
        for b, m in zip(builds, made, strict=True) if b.own is not None and "card" not in m.files
    ]  # fmt: skip


def _names(build: Build, folder: Path) -> dict[str, str]:
    """Format -> file name, of those a published folder holds (an older one may hold fewer)."""
    there = list_folder(folder)
    names = names_among(build, (*FORMATS, *HOME), there)
    return names | ({"manifest": MANIFEST} if MANIFEST in there else {})
