"""``gauge``: metal gauges with their drawings, printed ones, and mating dummies of an end."""

from __future__ import annotations

from pathlib import Path

from mandrelgen.core.errors import Finding, InputError, Level
from mandrelgen.core.frozen import dataclass
from mandrelgen.design.ends import tapped_end
from mandrelgen.design.gauge import Whose, gauge_pair
from mandrelgen.design.gauge_text import DENSITY
from mandrelgen.design.mandrel_thread import form_of
from mandrelgen.files.formats import DRAWN
from mandrelgen.model.mandrel import NOT_ISSUED, Mandrel
from mandrelgen.spec.joints import end_of, split_place
from mandrelgen.spec.pen import End, Part, ThreadBase, Title
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.tables import NotHeldError
from mandrelgen.standards.thread_spelling import read_thread
from mandrelgen.standards.threads import ThreadLimits, limits
from mandrelgen.workflows.build import Build, signed, unissued
from mandrelgen.workflows.package import draw, joined, model
from mandrelgen.workflows.print_versions import (
    FOLDER,
    PrintedFixture,
    PrintedSet,
    PrintJob,
    print_jobs,
    put_files,
)
from mandrelgen.workflows.read_inputs import Inputs
from mandrelgen.workshop.printing import dummy as dummies
from mandrelgen.workshop.printing import gauges, printer, words

# Of a metal gauge; the mesh is a model of it, for the eye and for a caliper.
METAL = ("pdf", "making", "dxf", "step", "3mf", "stl")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Where:
    """The end meant: ids and what the pen file says of it."""

    part_id: str
    end_id: str
    part: Part
    end: End
    side: str

    @property
    def place(self) -> str:
        """As the pen file writes it."""
        return f"{self.part_id}.{self.end_id}"


def print_gauges(
    inputs: Inputs, place: str, name: str, to: Path, date: str, anyway: bool = False
) -> PrintedSet:
    """Go and not-go gauges of every thread at ``place`` (``part.end``), and the end's mating
    dummies; for ``nominal`` the metal gauges with drawing and STEP. Raises InputError, and
    ProofError if a file does not say what the design says (nothing of that gauge is written)."""
    at = _where(inputs, place)
    folder = to / FOLDER / inputs.pen.pen.id / f"{at.part_id}_{at.end_id}"
    found: list[Finding] = []
    made: list[PrintedFixture] = []
    jobs: list[PrintJob] = []
    for side, spec in (("external", at.end.external), ("internal", at.end.internal)):
        if spec is None or at.side not in ("", side):
            continue
        work = _work(spec, side == "external")
        try:
            pair = gauge_pair(work, _whose(inputs, at, side))
        except NotHeldError as e:
            found.append(_not_held(place, e))
            continue
        if spec.measured is not None:
            found.append(_by_class(at, work))
        for gauge in pair:
            if name == printer.NOMINAL:
                made.append(_metal(gauge, signed(inputs.pen.pen, inputs.shop), folder, date))
            else:
                said = (gauges.text(gauge), words.GAUGE)
                jobs.append(
                    PrintJob(
                        id=gauge.id,
                        stem=gauge.id,
                        title=gauge.title,
                        number=(NOT_ISSUED, "-"),
                        shape=gauges.shape_of(gauge),
                        partners={"thread": form_of(work)},
                        said=said,
                    )
                )
    jobs += _dummies(at, inputs.shop)
    printed = print_jobs(jobs, inputs.shop, name, folder, date, anyway)
    both = at.end.external is not None and at.end.internal is not None
    found += [_eased(f) if both and f.where == "dummy" else f for f in printed.findings]
    return PrintedSet((*made, *printed.made), printed.printer, tuple(found))


def _not_held(place: str, why: NotHeldError) -> Finding:
    return Finding(
        level=Level.WARNING,
        code="gauge.held",
        where=place,
        message=why.message,
        remedy=why.remedy,
    )


def _where(inputs: Inputs, place: str) -> _Where:
    ref = split_place(place)
    end = end_of(inputs.pen, ref[0]) if ref is not None else None
    if ref is None or end is None:
        known = ", ".join(f"{p}.{e}" for p, part in inputs.pen.parts.items() for e in part.ends)
        found = Finding(
            level=Level.ERROR,
            code="gauge.place",
            where=place[:40],
            message="there is no such end",
            remedy=f"there are {known}",
        )
        raise InputError([found])
    return _Where(
        part_id=ref[0].part,
        end_id=ref[0].end,
        part=inputs.pen.parts[ref[0].part],
        end=end,
        side=ref[1],
    )


def _work(spec: ThreadBase, external: bool) -> ThreadLimits:
    """The limits of the thread's class: a gauge stands for the class, not for one measured part."""
    return limits(read_thread(spec.thread), external, factor=spec.starts_factor)


def _by_class(at: _Where, work: ThreadLimits) -> Finding:
    return Finding(
        level=Level.NOTE,
        code="gauge.measured",
        where=at.place,
        message=f"the gauges are for class {work.tolerance_class}, not for what was measured on "
        "this part",
        remedy="try a measured thread with its mating dummy",
    )


def _whose(inputs: Inputs, at: _Where, side: str) -> Whose:
    depth = 0.0
    if side == "internal":
        depth = tapped_end(at.part, at.end, inputs.shop).full_min
    called = f"the {(at.part.name or at.part_id).lower()}'s {at.end_id}"
    return Whose(
        pen=inputs.pen.pen.id,
        part=at.part_id,
        end=at.end_id,
        called=f"{called} of pen '{inputs.pen.pen.name}'",
        depth=depth,
    )


def _metal(gauge: Mandrel, title: Title, folder: Path, date: str) -> PrintedFixture:
    """Drawing and models of a metal gauge, proved like a mandrel's; no number is given."""
    build = Build(gauge, unissued(title, date), density=DENSITY)
    drawn = tuple(f for f in METAL if f in DRAWN)
    models = tuple(f for f in METAL if f not in DRAWN)
    proved = joined(build, METAL, [draw(build, drawn), model(build, models, False)], False)
    files = dict(proved.files)
    files[f"{build.stem}.txt"] = words.nominal_text(gauge.title, gauges.text(gauge)).encode()
    at = folder / printer.NOMINAL / gauge.id
    put_files(at, files)
    return PrintedFixture(
        id=gauge.id,
        folder=at,
        files=tuple(files),
        level=printer.NOMINAL,
        verdict="",
        cautions=words.nominal_cautions(),
    )


def _dummies(at: _Where, shop: Shop) -> list[PrintJob]:
    title = f"Mating dummy of {at.place}, thread at the middle of its limits"
    return [
        PrintJob(
            id=id,
            stem=id,
            title=title,
            number=(NOT_ISSUED, "-"),
            shape=dummies.dummy(at.part, slice_, shop),
            partners={},
        )
        for id, slice_ in dummies.dummies(at.part, at.end).items()
    ]


def _eased(f: Finding) -> Finding:
    """An end with two threads has a slice for each beside the whole one."""
    return Finding(
        level=Level.NOTE,
        code=f.code,
        where=f.where,
        message=f.message,
        remedy="dummy-tenon and dummy-mouth do instead",
    )
