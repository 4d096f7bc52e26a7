"""``print``, ``coupon`` and ``calibrate``: plain folders of printable files."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from mandrelgen.archive import design_hash, root, slot_lookup
from mandrelgen.archive.disk.files import (
    is_plain_file,
    make_folder,
    read_file,
    write_file,
    write_files,
)
from mandrelgen.archive.disk.messages import check_names
from mandrelgen.assess.printed_speed import Turning, turning
from mandrelgen.core.clock import date_of
from mandrelgen.core.errors import DesignError, Finding, InputError, Level
from mandrelgen.core.frozen import dataclass
from mandrelgen.design.mandrel_thread import form_of
from mandrelgen.files.writers import stl, threemf
from mandrelgen.model.mandrel import NOT_ISSUED, Mandrel, ThreadForm
from mandrelgen.spec.read import read_shop
from mandrelgen.spec.shop import Shop
from mandrelgen.workflows.archives import fault
from mandrelgen.workflows.check import Checked
from mandrelgen.workflows.read_inputs import LIMIT, SHOP
from mandrelgen.workshop.printing import calibrate as calibrating
from mandrelgen.workshop.printing import judge, printer, version, words
from mandrelgen.workshop.printing.coupon import ALLOWANCES, Coupon, coupon
from mandrelgen.workshop.printing.shape import PrintedShape

if TYPE_CHECKING:
    from mandrelgen.geometry.mesh.build import Mesh

FOLDER = "printed"


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedFixture:
    """One printed thing: its id, folder, file names, how it stands and the verdict's text; its
    cautions, and of a fixture whether it may be turned with."""

    id: str
    folder: Path
    files: tuple[str, ...]
    level: str
    verdict: str
    cautions: tuple[str, ...] = ()
    turning: Turning | None = None


@dataclass(frozen=True, slots=True)
class PrintedSet:
    """What a command wrote, the printer in a line, and what has to be said."""

    made: tuple[PrintedFixture, ...]
    printer: str
    findings: tuple[Finding, ...]

    @property
    def failed(self) -> bool:
        """True if any finding is an error."""
        return any(f.level is Level.ERROR for f in self.findings)


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintJob:
    """One part to print: name for files, title, number and revision, shape, real partners;
    ``turning``: of a fixture, whether it may be turned with."""

    id: str
    stem: str
    title: str
    number: tuple[str, str]
    shape: PrintedShape
    partners: Mapping[str, ThreadForm]
    said: tuple[str, ...] = ()
    turning: Turning | None = None


def print_mandrels(
    checked: Checked, name: str, to: Path, date: str, anyway: bool = False, only: str | None = None
) -> PrintedSet:
    """The print version of every mandrel that ``name`` can print (``anyway``: of the others too).
    Raises InputError for an unknown printer or mandrel, DesignError if none could be designed."""
    pen, shop = checked.inputs.pen.pen, checked.inputs.shop
    designed = [(d, d.mandrel) for d in checked.designed if d.mandrel is not None]
    if not designed:
        raise DesignError(checked.findings)
    kind = "" if name == printer.NOMINAL else _printer(shop, name).kind
    chosen = [(d, m) for d, m in designed if only in (None, m.id)]
    if not chosen:
        known = ", ".join(m.id for _, m in designed)
        raise fault("print.only", "--only", f"there is no mandrel '{only}'", f"there are {known}")
    archive = root.open_root(to, pen.number_prefix)
    jobs = []
    for d, m in chosen:
        number = _number(archive, m)
        stem = m.id if number[0] == NOT_ISSUED else "_".join(number)
        partners: dict[str, ThreadForm] = {t.feature: form_of(t.partner) for t in m.threads}
        shape = PrintedShape(m.outer, m.inner, m.flats)
        speed = turning(d, checked.designed, checked.inputs.pen, shop, kind) if kind else None
        jobs.append(
            PrintJob(
                id=m.id,
                stem=stem,
                title=m.title,
                number=number,
                shape=shape,
                partners=partners,
                said=m.cautions,
                turning=speed,
            )
        )
    return print_jobs(jobs, shop, name, to / FOLDER / pen.id, date, anyway)


def print_coupon(shop: Shop, name: str, to: Path, date: str) -> PrintedSet:
    """The calibration coupon for a printer. Raises InputError for an unknown printer."""
    from mandrelgen.workshop.printing.plate_mesh import build_plate

    p = _printer(shop, name)
    made = coupon(p)
    stem = f"coupon_{p.file_word}"
    title = f"Calibration coupon {made.thread}, {p.file_word}"
    files = _mesh_files(build_plate(made.plate), stem, title, (NOT_ISSUED, "-"), "coupon", date)
    files[f"{stem}.txt"] = _coupon_text(made, p).encode()
    folder = to / FOLDER / "coupon" / p.file_word
    put_files(folder, files)
    return PrintedSet(
        (
            PrintedFixture(
                id="coupon", folder=folder, files=tuple(files), level="written", verdict=""
            ),
        ),
        p.said(),
        (),
    )


def calibrate(shop_path: Path, name: str, readings: calibrating.Readings, date: str | None) -> str:
    """Add the compensation found to the shop file, its comments kept; returns a sentence. Raises
    InputError (nothing is then written) and DiskError."""
    if not is_plain_file(shop_path):
        raise fault(
            "calibrate.shop", shop_path.name, "there is no such shop file",
            f"name it with --shop; 'mandrelgen new' writes a {SHOP}",
        )  # fmt: skip
    data = read_file(shop_path, LIMIT)
    shop = read_shop(data, shop_path.name)
    found = calibrating.compensation(readings)
    day = date_of(date)
    # Line ends are the maker's own: decode and encode without touching them.
    text = calibrating.entered(data.decode("utf-8"), shop, name, found, day)
    after = read_shop(text.encode("utf-8"), shop_path.name)
    write_file(shop_path, text.encode("utf-8"))
    p = printer.printer(after, name)
    late = "" if p.dated == day else f"; the entry of {p.dated} is later and still counts"
    return f"{shop_path}: {p.said()}{late}"


def print_jobs(
    jobs: Iterable[PrintJob], shop: Shop, name: str, folder: Path, date: str, anyway: bool
) -> PrintedSet:
    from mandrelgen.geometry.mesh.build import build

    p = _printer(shop, name)
    made: list[PrintedFixture] = []
    findings: list[Finding] = []
    for job in jobs:
        try:
            v = version.of_shape(job.shape, p)
            verdict = judge.judge(v, dict(job.partners), shop)
            refused = verdict.level is judge.PrintLevel.NO and p.name != printer.NOMINAL
            if refused:
                findings.append(_refused(job, p, verdict, anyway))
            if refused and not anyway:
                continue
            mesh = build(v.profile)
        except ValueError as e:
            findings.append(_shapeless(job, e))
            continue
        stem = f"{job.stem}_{p.file_word}"
        speed = _formed(job.turning, verdict)
        title = f"{job.title}; {words.use(speed)}"
        files = _mesh_files(mesh, stem, title, job.number, job.id, date)
        if p.name == printer.NOMINAL:
            files[f"{stem}.step"] = _step(v, job, date)
        text = words.package_text(job.title, " ".join(job.number), v, verdict, job.said, speed)
        files[f"{stem}.txt"] = text.encode()
        at = folder / p.file_word / job.id
        put_files(at, files)
        nominal = p.name == printer.NOMINAL
        level = printer.NOMINAL if nominal else verdict.level.word
        said = words.nominal_cautions() if nominal else words.cautions(speed)
        made.append(
            PrintedFixture(
                id=job.id,
                folder=at,
                files=tuple(files),
                level=level,
                verdict=verdict.text(),
                cautions=said,
                turning=speed,
            )
        )
    return PrintedSet(tuple(made), p.said(), tuple(findings))


def _shapeless(job: PrintJob, why: ValueError) -> Finding:
    return Finding(
        level=Level.ERROR,
        code="print.shape",
        where=job.id,
        message=str(why),
        remedy="print it larger",
    )


def _formed(speed: Turning | None, verdict: judge.Printability) -> Turning | None:
    """Nothing turns that the printer cannot form."""
    if speed is None or verdict.level is not judge.PrintLevel.NO:
        return speed
    return replace(speed, rules=(*speed.rules, "the printer cannot form it"))


def _refused(
    job: PrintJob, p: printer.Printer, verdict: judge.Printability, anyway: bool
) -> Finding:
    why = "; ".join(line.text for line in verdict.lines if line.level is judge.PrintLevel.NO)
    level = Level.WARNING if anyway else Level.ERROR
    helps = "; ".join(verdict.helps) or "a thicker wall"
    return Finding(
        level=level,
        code="print.refused",
        where=job.id,
        message=f"{p.name} cannot print it: {why}",
        remedy=helps,
    )


def _mesh_files(
    mesh: Mesh, stem: str, title: str, number: tuple[str, str], name: str, date: str
) -> dict[str, bytes]:
    low = float(mesh.vertices[:, 2].min())
    moved = type(mesh)(mesh.vertices - [0.0, 0.0, low], mesh.triangles)
    head = f"{number[0]} rev {number[1]} mm {stem.rsplit('_', 1)[1]}"
    return {
        f"{stem}.3mf": threemf.write(moved, title, *number, name, date),
        f"{stem}.stl": stl.write(moved, head),
    }


def _step(v: version.PrintVersion, job: PrintJob, date: str) -> bytes:
    from mandrelgen.files.writers import step

    return step.write(
        v.profile,
        number=" ".join(job.number),
        description=f"{job.title}; thread at the middle of its limits, roots flat",
        timestamp=f"{date}T00:00:00",
    )


def _coupon_text(made: Coupon, p: printer.Printer) -> str:
    marks = "\n".join(f"  {n} short grooves: {a:.2f}" for n, a in enumerate(ALLOWANCES))
    return f"""Calibration coupon for printer {p.name}, ladder {made.thread}

{p.said()}

Nothing on it is compensated; switch the slicer's own compensation off, and leave it off later.
Print as it lies, let it cool, brush the threads clean.

1. Measure the pin's steps (12, 10, 8, 6 from the bed) and the block's holes (10, 8, 6, 4), above
   the first layers.
2. Rings and plugs carry a long groove to begin at and then a short groove for every 0.05 of
   allowance a side:
{marks}
   Find the least mark whose plug goes freely into the ring of the same mark (--ladder), or the
   least plug that goes into a real M thread of this size (--plug), or the least ring that goes on
   a real one (--ring).
3. mandrelgen calibrate {p.name} --shop shop.toml --pin 10=10.12 --hole 8=7.85 --ladder 0.15
"""


def _number(archive: root.Archive, mandrel: Mandrel) -> tuple[str, str]:
    """Number and revision of the same design in the archive; NOT ISSUED if it is not there."""
    wanted = design_hash.design_hash(mandrel)
    found = slot_lookup.filled_by(archive, design_hash.slot_of(mandrel))
    for entry in reversed(found):
        if entry.record.design_hash == wanted:
            return entry.number, entry.revision
    return NOT_ISSUED, "-"


def offered(shop: Shop, nominal: bool = False) -> tuple[str, ...]:
    """The printers to choose from: the shop's own first; ``nominal`` only where it makes sense."""
    return tuple(n for n in printer.names(shop) if nominal or n != printer.NOMINAL)


def none_named(names: Sequence[str]) -> InputError:
    """That no printer was named, with those there are."""
    return fault(
        "print.printer", "--printer", "no printer is named",
        f"choose one: {', '.join(names)}; or add [printers.…] to the shop file",
    )  # fmt: skip


def _printer(shop: Shop, name: str) -> printer.Printer:
    try:
        return printer.printer(shop, name)
    except KeyError:
        known = ", ".join(printer.names(shop))
        raise fault(
            "print.printer", "--printer", f"there is no printer '{name[:32]}'",
            f"known: {known}; or add [printers.…] to the shop file",
        ) from None  # fmt: skip


def put_files(folder: Path, files: dict[str, bytes]) -> None:
    check_names(files)
    make_folder(folder)
    write_files(folder, files)
