"""``make``: assign numbers, write every file, prove it, publish the set."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from mandrelgen import __version__
from mandrelgen.archive import design_hash, messages, orders, publish, root
from mandrelgen.archive.disk import store
from mandrelgen.archive.events import Status, status_of_entry
from mandrelgen.archive.manifest import MANIFEST
from mandrelgen.archive.page_hashes import papers_of
from mandrelgen.archive.record_files import Entry
from mandrelgen.archive.records import OrderItem
from mandrelgen.core.errors import DesignError, Finding, InputError, Level
from mandrelgen.files.formats import FORMATS, Build, names_among
from mandrelgen.mechanics.assessment_types import Assessment
from mandrelgen.model.mandrel import Issue, Mandrel
from mandrelgen.paper.reports import quotation as papers
from mandrelgen.spec.pen import Title
from mandrelgen.workflows import order as ordering
from mandrelgen.workflows.check import Checked
from mandrelgen.workflows.parallel import Crew, Here

if TYPE_CHECKING:
    from mandrelgen.workflows.package import Package

PROGRAM = f"mandrelgen {__version__}"
NOT_ISSUED = "not-issued"
Progress = Callable[[int, int, str], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeMandrel:
    """One mandrel's files: number and revision (None if not issued), folder, format -> name;
    ``verdicts``: how each of its working ends serves."""

    id: str
    number: str | None
    revision: str | None
    folder: Path
    files: dict[str, str]
    existed: bool
    verdicts: tuple[Assessment, ...] = ()


@dataclass(frozen=True, slots=True)
class MadeSet:
    """What ``make`` published; ``order`` is the set's folder, None if nothing was issued.
    ``findings``: what only showed while drawing."""

    made: tuple[MadeMandrel, ...]
    order: Path | None
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class Run:
    """How to make: the paper's date (ISO 8601), why a released fixture changes, whether the
    kernel proves the files too, whom to tell how far it is, the ids of mandrels to leave out
    (a fixture that is there already does as well), by when the set is wanted (ISO 8601, may be
    empty), whether what was ordered before is ordered again, who draws, and what to begin when
    others draw and this process waits."""

    date: str
    reason: str | None = None
    deep: bool = False
    progress: Progress = lambda done, total, text: None
    leave_out: frozenset[str] = frozenset()
    wanted_by: str = ""
    again: bool = False
    crew: Crew = field(default_factory=Here)
    meanwhile: Callable[[], None] = lambda: None


def chosen_formats(text: str | None) -> tuple[str, ...] | None:
    """``--only`` as formats; None: all. Raises InputError naming the formats there are."""
    if text is None:
        return None
    names = tuple(dict.fromkeys(t.strip() for t in text.split(",") if t.strip()))
    wrong = [n for n in names if n not in FORMATS]
    if wrong or not names:
        raise InputError(
            [
                Finding(
                    level=Level.ERROR,
                    code="make.only",
                    where="--only",
                    message=f"'{', '.join(wrong) or text}' is not a format",
                    remedy=f"formats are {', '.join(FORMATS)}",
                )
            ]
        )
    return names


def make_loose(checked: Checked, to: Path, formats: tuple[str, ...], run: Run) -> MadeSet:
    """``--only``: the wished files of every mandrel under ``not-issued``; no number is given."""
    title = checked.inputs.pen.pen
    builds = [
        Build(
            m,
            _issue(title, "NOT ISSUED", "-", run.date, (), issued=False),
            ordering.turner_tables(m, checked.inputs.shop),
            verdicts,
        )
        for m, verdicts in _mandrels(checked)
    ]
    made: list[MadeMandrel] = []

    def write(package: Package) -> None:
        b = builds[len(made)]
        folder = to / NOT_ISSUED / title.id / b.mandrel.id
        store.make_folder(folder)
        store.write_files(folder, package.files)
        names = names_among(b, formats, package.files)
        made.append(
            MadeMandrel(
                id=b.mandrel.id,
                number=None,
                revision=None,
                folder=folder,
                files=names,
                existed=False,
                verdicts=b.verdicts,
            )
        )

    packages = _packages(builds, formats, run, write)
    run.progress(len(builds), len(builds), "written")
    return MadeSet(tuple(made), None, _crowded(builds, packages))


def make(checked: Checked, to: Path, run: Run) -> MadeSet:
    """Number, write, prove and publish every mandrel and the set's cover; all or nothing."""
    title = checked.inputs.pen.pen
    mandrels = [m for m in _mandrels(checked) if m[0].id not in run.leave_out]
    if not mandrels:
        return MadeSet((), None)
    archive = root.open_root(to, title.number_prefix)
    plans: list[publish.NumberPlan] = []
    builds: list[Build] = []
    with publish.clearing(archive, plans):
        reissue = _reissues(archive, mandrels, run)
        for m, verdicts in mandrels:
            turner = ordering.turner_tables(m, checked.inputs.shop)
            papers = papers_of(m, _issue(title, "", "", run.date, ()), verdicts, turner)
            plan = publish.assign(
                archive, design_hash.slot_of(m), design_hash.design_hash(m), run.reason,
                papers=papers, reissue=reissue,
            )  # fmt: skip
            plans.append(plan)
            history = tuple((h.revision, h.date, h.text) for h in plan.lines(run.date))
            named = _issue(title, plan.number, plan.revision, run.date, history)
            builds.append(Build(m, named, turner, verdicts))
        jobs, findings = _jobs(checked, builds, plans, run)
        entries = publish.publish_all(archive, jobs)
    order, said = _publish_order(archive, checked, builds, entries, run)
    run.progress(len(mandrels), len(mandrels), "published")
    made = tuple(
        MadeMandrel(
            id=b.mandrel.id,
            number=e.number,
            revision=e.revision,
            folder=e.folder,
            files=_names(b, e.folder),
            existed=p.existing is not None,
            verdicts=b.verdicts,
        )
        for b, e, p in zip(builds, entries, plans, strict=True)
    )
    return MadeSet(made, order, (*findings, *messages.kept(plans, run.reason), *said))


def _jobs(
    checked: Checked, builds: list[Build], plans: list[publish.NumberPlan], run: Run
) -> tuple[list[publish.Publication], tuple[Finding, ...]]:
    """What is to be published for each plan, new ones written and proved; what was found."""
    new = [b for b, p in zip(builds, plans, strict=True) if p.existing is None]
    packages = _packages(new, tuple(FORMATS), run)
    written = iter(packages)
    jobs = []
    for b, plan in zip(builds, plans, strict=True):
        if plan.existing is not None:
            jobs.append(publish.Publication(plan, {}, plan.existing.record))
            continue
        package = next(written)
        inputs = publish.input_files(b.mandrel, checked.inputs.pen_bytes, checked.inputs.shop_bytes)
        record = publish.make_record(plan, b.mandrel, run.date, PROGRAM, package.proved)
        jobs.append(publish.Publication(plan, {**package.files, **inputs}, record))
    return jobs, _crowded(new, packages)


def _packages(
    builds: Sequence[Build],
    formats: tuple[str, ...],
    run: Run,
    use: Callable[[Package], None] = lambda package: None,
) -> list[Package]:
    """Every file of every mandrel, proved; says how many are done as they get done. ``use`` is
    given each as soon as it and all before it are done."""
    if not builds:
        return []
    from mandrelgen.workflows import package as building

    shown = [f"{b.issue.number} {b.mandrel.id}" if b.issue.issued else b.mandrel.id for b in builds]
    finished: dict[int, Package] = {}
    used = 0

    def done(n: int, package: Package) -> None:
        nonlocal used
        finished[n] = package
        run.progress(len(finished), len(builds), shown[n])
        while used in finished:
            use(finished[used])
            used += 1

    run.progress(0, len(builds), "drawing")
    run.meanwhile()
    ahead = run.crew.count
    flows = [building.package(b, formats, run.deep, n, ahead) for n, b in enumerate(builds)]
    return run.crew.run(flows, done)


def _reissues(
    archive: root.Archive, mandrels: list[tuple[Mandrel, tuple[Assessment, ...]]], run: Run
) -> bool:
    """Whether the reason stands for papers alone: it does if it is not needed for a changed part,
    so that revising one fixture never asks for the others anew."""
    return bool((run.reason or "").strip()) and not any(
        publish.needs_reason(archive, design_hash.slot_of(m), design_hash.design_hash(m))
        for m, _ in mandrels
    )


def _names(build: Build, folder: Path) -> dict[str, str]:
    """Format -> file name, of those a published folder holds (an older one may hold fewer)."""
    there = store.list_folder(folder)
    names = names_among(build, tuple(FORMATS), there)
    return names | ({"manifest": MANIFEST} if MANIFEST in there else {})


def _crowded(builds: Sequence[Build], packages: Sequence[Package]) -> tuple[Finding, ...]:
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


def _publish_order(
    archive: root.Archive,
    checked: Checked,
    builds: list[Build],
    entries: tuple[Entry, ...],
    run: Run,
) -> tuple[Path | None, tuple[Finding, ...]]:
    """The set's order, without what was ordered before; what is said of that."""
    pairs = list(zip(builds, entries, strict=True))
    request, whole = _order_of(archive, checked, pairs, run)
    if whole.existing is not None:
        return whole.folder, ()
    asked = orders.asked_for(archive, whole.pen)
    kept = [
        (b, e) for b, e in pairs
        if run.again
        or asked[e.number, e.record.design_hash] < b.mandrel.ordering.quantity
    ]  # fmt: skip
    kept = [(b, e) for b, e in kept if status_of_entry(archive, e) is not Status.WITHDRAWN]
    said = tuple(messages.not_ordered(archive, [e for b, e in pairs if (b, e) not in kept]))
    if not kept:
        return None, said
    request, plan = _order_of(archive, checked, kept, run)
    files = {}
    if not plan.existing:
        files = ordering.order_files(
            checked, [b for b, _ in kept], [e for _, e in kept], request, plan.id, run.crew
        )
    order = orders.make_order(plan, run.date, PROGRAM)
    return orders.publish_order(archive, plan, files, order), said


def _order_of(
    archive: root.Archive, checked: Checked, pairs: list[tuple[Build, Entry]], run: Run
) -> tuple[papers.Request, orders.OrderPlan]:
    """What is asked for of these fixtures, and under which id."""
    builds, entries = [b for b, _ in pairs], [e for _, e in pairs]
    request = ordering.request_of(checked, builds, entries, run.date, run.wanted_by)
    pen = checked.inputs.pen.pen.id
    return request, orders.assign_order(archive, pen, _items(pairs), papers.facts(request))


def _items(pairs: list[tuple[Build, Entry]]) -> list[OrderItem]:
    return [orders.order_item(e, b.mandrel.ordering.quantity) for b, e in pairs]


def _mandrels(checked: Checked) -> list[tuple[Mandrel, tuple[Assessment, ...]]]:
    """The mandrels that can be made, each with the verdict on each of its working ends. Raises
    DesignError if there is none."""
    found = [
        (d.mandrel, tuple(v for v in (d.verdict, d.verdict_b) if v is not None))
        for d in checked.designed
        if d.mandrel is not None
    ]
    if not found:
        raise DesignError(checked.findings)
    return found


def _issue(
    title: Title,
    number: str,
    revision: str,
    date: str,
    history: tuple[tuple[str, str, str], ...],
    issued: bool = True,
) -> Issue:
    return Issue(
        number=number,
        revision=revision,
        date=date,
        status="in preparation",
        owner=title.owner,
        drawn_by=title.drawn_by,
        approved_by=title.approved_by,
        projection=title.projection,
        history=history,
        issued=issued,
    )
