"""``receive``: what arrived is measured; the readings are judged and kept beside the record.

The same command serves every later check (wear): the last reading of a size counts, by its day.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from mandrelgen.archive import events, root
from mandrelgen.archive import reading_history as history
from mandrelgen.archive.disk.files import exists, is_folder
from mandrelgen.archive.disk.files import read_file as file_bytes
from mandrelgen.archive.mandrel_json import read_mandrel
from mandrelgen.archive.naming import MARKER
from mandrelgen.archive.record_files import Entry
from mandrelgen.core.errors import Finding, InputError, Level
from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import text_of
from mandrelgen.mechanics.play import ThreadPlay, thread_play
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.read import read_shop
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.iso_14253 import SOURCE, Conformity
from mandrelgen.workflows.answers import plain
from mandrelgen.workflows.rejudge import Rejudged, inputs_of, rejudge
from mandrelgen.workshop.receipt import as_made, readings
from mandrelgen.workshop.receipt.reading_file import parse_file

LIMIT = 1 << 20


@dataclass(frozen=True, slots=True)
class Play:
    """A thread's play in the part's thread (mm): as designed, and as made from the readings."""

    thread: str
    designed: ThreadPlay
    made: ThreadPlay


@dataclass(frozen=True, slots=True, kw_only=True)
class Received:
    """The verdict on a fixture. ``served``: how it serves, as designed and as made from all
    readings that count; ``outdated``: sizes read later than on ``date``, whose later reading
    counts; ``failed``: sizes that failed a gauge without a value, so that they count as drawn.
    ``event``: the kind of event stored, empty if nothing was."""

    number: str
    revision: str
    date: str
    judgement: readings.Judgement
    play: tuple[Play, ...]
    served: Rejudged
    outdated: tuple[tuple[str, str], ...]
    failed: tuple[str, ...]
    event: str

    @property
    def findings(self) -> tuple[Finding, ...]:
        """A proven fault is an error, an open question and what serves worse a warning."""
        return (*_findings(self), *_served(self))


@dataclass(frozen=True, slots=True)
class Gathered:
    """Readings typed and read from a file, and what of them is no reading."""

    given: tuple[readings.Given, ...]
    faults: tuple[Finding, ...]


def gather(typed: Sequence[str], path: Path | None = None) -> Gathered:
    """All readings of one command. Raises InputError (there is no such file), DiskError."""
    given, faults = readings.parse_all(typed, "--reading")
    if path is not None:
        more, wrong = parse_file(text_of_file(path), path.name)
        given, faults = given + more, faults + wrong
    return Gathered(tuple(given), tuple(faults))


def read_file(path: Path) -> tuple[readings.Given, ...]:
    """The readings of a file (CSV, TOML, JSON). Raises InputError naming every line or key that is
    no reading, DiskError."""
    found = gather((), path)
    if found.faults:
        raise InputError(found.faults)
    return found.given


def receive(
    folder: Path,
    number: str,
    given: Sequence[readings.Given] | Gathered,
    date: str,
    *,
    revision: str | None = None,
    shop_path: Path | None = None,
    by: str = "",
    keep: bool = True,
) -> Received:
    """Judge readings of ``number`` by ISO 14253-1 and store them as an event (unless not ``keep``)
    together with how the fixture serves now.

    ``revision`` None: the newest. The uncertainties are those of the shop file named, else of the
    one stored with the fixture. Raises InputError (unknown number or revision, no or wrong
    readings: all of them at once) and DiskError.
    """
    archive, entry = fixture(folder, number, revision)
    all_ = given if isinstance(given, Gathered) else Gathered(tuple(given), ())
    if not all_.given and not all_.faults:
        raise _fault("no readings were given", "add --reading id=value, or --file readings.csv")
    drawn = read_mandrel(entry.folder)
    judgement = readings.judge(drawn, shop_of(entry, shop_path), all_.given, all_.faults)
    data = data_of(judgement)
    checks = history.checks_of_piece(
        [*events.events_of(archive, number), events.readings_of(entry, date, data, by)],
        entry.revision, entry.draft,
    )  # fmt: skip
    latest = history.latest(checks)
    made = as_made.mandrel_as_made(drawn, [r for last in latest.values() for r in last.of])
    served = rejudge(archive, entry, drawn, made)
    stored = ""
    if keep:
        data |= {"served": plain.view(served)}
        stored = events.measured(archive, entry, date, data, by).kind.value
    mine = {r.id for j in judgement.judged for r in j.readings}
    return Received(
        number=entry.number,
        revision=entry.revision,
        date=date,
        judgement=judgement,
        play=tuple(_plays(drawn, made)),
        served=served,
        outdated=tuple((id, latest[id].date) for id in sorted(mine) if latest[id].date > date),
        failed=tuple(id for id, last in latest.items() if _only_failed(last)),
        event=stored,
    )


def _only_failed(last: history.Last) -> bool:
    return any(r.verdict is Conformity.REJECT for r in last.of) and all(
        r.value is None for r in last.of
    )


def _plays(drawn: Mandrel, made: Mandrel) -> Iterator[Play]:
    """The play of every thread a reading changed."""
    for a, b in zip(drawn.threads, made.threads, strict=True):
        if a.limits != b.limits:
            name = a.limits.designation.text
            plays = [
                thread_play(*((t.limits, t.partner) if t.limits.external
                              else (t.partner, t.limits)))
                for t in (a, b)
            ]  # fmt: skip
            yield Play(name, *plays)


def data_of(judgement: readings.Judgement, more: Sequence[readings.Reading] = ()) -> dict[str, Any]:
    """A check as its event keeps it; ``more``: readings that come of tests at home."""
    return {
        "rule": SOURCE,
        "verdict": judgement.verdict.value,
        "readings": [
            {
                "id": r.id,
                "value": r.value,
                "read": r.raw,
                "uncertainty": r.uncertainty,
                "instrument": r.instrument,
                "verdict": r.verdict.value,
                **({} if r.wire is None else {"wire": r.wire}),
            }
            for r in (*(r for j in judgement.judged for r in j.readings), *more)
        ],
        "missing": [j.id for j in judgement.missing],
    }


def _findings(r: Received) -> Iterator[Finding]:
    where = f"{r.number} {r.revision}"
    for j in r.judgement.judged:
        if j.free:
            continue
        if j.verdict is Conformity.REJECT:
            yield Finding(
                level=Level.ERROR,
                code="received.reject",
                where=where,
                message=f"{j.number} {j.id} is proved to be outside its limits",
                remedy="send it back with the readings, or ask the shop to mend it",
            )
        elif j.readings and j.verdict is Conformity.UNDECIDED:
            yield Finding(
                level=Level.WARNING,
                code="received.undecided",
                where=where,
                message=f"{j.number} {j.id} cannot be decided with this instrument",
                remedy=f"use {j.instead}" if j.instead else "use a finer instrument",
            )
    missing = ", ".join(j.id for j in r.judgement.missing)
    if missing:
        yield Finding(
            level=Level.WARNING,
            code="received.missing",
            where=where,
            message=f"not proved yet, no reading of {missing}",
            remedy="measure them, ask the shop for its readings, or write what a gauge or the "
            "report "
            "said: id=pass@ring-gauge, id=pass@report",
        )


def _served(r: Received) -> Iterator[Finding]:
    """What the readings say of the use: only what became worse than drawn, or is open."""
    where = f"{r.number} {r.revision}"
    for s in r.served.sides:
        step = s.figure("joint_step")
        if not s.met and step.worse and step.made is not None and step.designed is not None:
            yield Finding(
                level=Level.WARNING,
                code="received.step",
                where=where,
                message=f"as made, the step at {s.joint or 'the joint'} may be "
                f"{text_of(step.made)} "
                f"(designed {text_of(step.designed)}, target {text_of(s.target)})",
                remedy="see which share grew, and send it back or turn both parts together for the "
                "last cut",
            )
        for f in s.figures:
            if f.id.startswith("fit.") and f.more and f.worse and (f.made or 0.0) < -1e-9:
                yield Finding(
                    level=Level.WARNING,
                    code="received.binds",
                    where=where,
                    message=f"as made, {f.label}: {text_of(-(f.made or 0.0))} too little at worst",
                    remedy="try the part by hand before the lathe runs; do not force it",
                )
        speed = s.figure("max_speed") if any(f.id == "max_speed" for f in s.figures) else None
        if speed is not None and speed.worse and speed.made is not None:
            yield Finding(
                level=Level.WARNING,
                code="received.speed",
                where=where,
                message=f"as made, run it at {speed.made:.0f}/min at most (designed "
                f"{speed.designed:.0f})",
                remedy="write the new speed on the route card",
            )
    yield from _not_judged(r, where)


def _not_judged(r: Received, where: str) -> Iterator[Finding]:
    """What the readings leave open."""
    if r.served.why_not:
        yield Finding(
            level=Level.NOTE,
            code="received.use",
            where=where,
            message=f"the joint step was not worked out again: {r.served.why_not}",
            remedy="the readings are judged and kept all the same",
        )
    if r.failed:
        yield Finding(
            level=Level.NOTE,
            code="received.no-value",
            where=where,
            message=f"failed by a gauge, without a value: {', '.join(r.failed)}; step and fit "
            "take them as drawn",
            remedy="measure them",
        )
    if r.outdated:
        later = ", ".join(f"{id} ({day})" for id, day in r.outdated)
        yield Finding(
            level=Level.NOTE,
            code="received.outdated",
            where=where,
            message=f"read again later than {r.date}: {later}; the later reading counts",
            remedy="give --date if these readings are newer",
        )


def text_of_file(path: Path) -> str:
    """A file of readings or answers as text. Raises InputError, DiskError."""
    if not exists(path) or is_folder(path):
        raise _fault(f"there is no file {path.name}", "name a CSV, TOML or JSON file of readings")
    try:
        return file_bytes(path, LIMIT).decode("utf-8-sig")
    except UnicodeDecodeError as e:
        raise _fault(f"{path.name} is not UTF-8 text", "save it as UTF-8") from e


def shop_of(entry: Entry, path: Path | None) -> Shop:
    """The shop file named, else the one stored with the fixture (with the pen's own changes).
    Raises InputError, DiskError."""
    if path is None:
        known = inputs_of(entry)
        return known[1] if known else Shop.model_validate({"schema": 1})
    if not exists(path):
        raise _fault(f"there is no file {path.name}", "name a shop file")
    return read_shop(file_bytes(path, LIMIT), path.name)


def fixture(folder: Path, number: str, revision: str | None = None) -> tuple[root.Archive, Entry]:
    """The archive in a folder and one of its revisions (None: the newest). Raises InputError (there
    is none), DiskError."""
    archive = _archive(folder)
    if revision is None:
        return archive, events.current(archive, number)
    return archive, events.revision_of(archive, number, revision)


def _archive(folder: Path) -> root.Archive:
    if not exists(folder / MARKER):
        raise _fault("there is no archive here", "name an archive's folder with --to", str(folder))
    return root.open_root(folder)


def _fault(message: str, remedy: str, where: str = "receive") -> InputError:
    return InputError.of("receive", where, message, remedy)
