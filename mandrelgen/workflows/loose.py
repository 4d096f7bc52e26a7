"""``make --only``: the wished files alone, under ``not-issued``; no number is given."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from concurrent.futures import Executor

from mandrelgen.archive.disk.files import make_folder, write_files
from mandrelgen.assess.words import Answer
from mandrelgen.files.formats import names_among
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.paper.drawing.model import Table
from mandrelgen.workflows.build import (
    Build,
    accepted_of,
    designed_mandrels,
    own_of,
    signed,
    unissued,
    wires_of,
)
from mandrelgen.workflows.check import Checked
from mandrelgen.workflows.made import MadeMandrel, MadeSet
from mandrelgen.workflows.make_options import MakeOptions
from mandrelgen.workflows.package import Package, Progress, crowded, packages, silent
from mandrelgen.workflows.parallel import Here

FOLDER = "not-issued"


def make_loose(
    checked: Checked, options: MakeOptions, executor: Executor | None = None,
    progress: Progress = silent, words: Sequence[Answer] = (),
) -> MadeSet:  # fmt: skip
    """``options.formats`` of every mandrel that nothing holds back, each written as soon as it is
    proved.

    Raises DesignError if no mandrel can be made, ProofError, WorkerError, DiskError.
    """
    title = signed(checked.inputs.pen.pen, checked.inputs.shop)
    formats = options.formats or ()
    builds = list(_builds(checked, options, words))
    progress(0, len(builds), "drawing")
    made: list[MadeMandrel] = []
    proved: list[Package] = []
    for b, package in zip(
        builds,
        packages(builds, formats, options.prove, executor or Here(), progress),
        strict=True,
    ):
        proved.append(package)
        if not package.files:  # only cards were asked for, and the turner makes this one
            continue
        folder = options.folder / FOLDER / title.id / b.mandrel.id
        make_folder(folder)
        write_files(folder, package.files)
        names = names_among(b, formats, package.files)
        made.append(
            MadeMandrel(
                id=b.mandrel.id, number=None, revision=None, folder=folder, files=names,
                existed=False, verdicts=b.verdicts,
            )
        )  # fmt: skip
    progress(len(builds), len(builds), "written")
    return MadeSet(tuple(made), None, crowded(builds, proved), tuple(words))


def _builds(checked: Checked, options: MakeOptions, words: Sequence[Answer]) -> Iterator[Build]:
    title, formats = checked.inputs.pen.pen, options.formats or ()
    day = options.day(title.date)
    word = {a.planned: a for a in words}
    own = own_of(checked, words) if "card" in formats else {}
    dear = _costs(checked, formats)
    for m, verdicts in designed_mandrels(checked, words):
        turner, inspection = _beside(checked, formats, m)
        known = accepted_of(checked, m)
        yield Build(
            mandrel=m,
            issue=unissued(title, day, known),
            extra=turner,
            verdicts=verdicts,
            inspection=inspection,
            word=word.get(m.id),
            accepted=known,
            wires=wires_of(checked.inputs.shop),
            own=own.get(m.id),
            costs=dear.get(m.id, ()),
        )


def _beside(
    checked: Checked, formats: tuple[str, ...], mandrel: Mandrel
) -> tuple[tuple[Table, ...], tuple[Table, ...]]:
    """The turner's tables and the maker's, where a paper that shows them is wished."""
    if {"making", "mine"}.isdisjoint(formats):
        return (), ()
    from mandrelgen.workflows.order import papers_beside

    return papers_beside(mandrel, checked.inputs.shop)


def _costs(checked: Checked, formats: tuple[str, ...]) -> dict[str, tuple[Table, ...]]:
    """What it costs to ask, where the maker's paper is wished."""
    if "mine" not in formats:
        return {}
    from mandrelgen.workflows.cost import cost_tables

    return cost_tables(checked)
