"""``receive``: what arrived is measured; the readings are judged and kept beside the record."""

from __future__ import annotations

import csv
import io
import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from mandrelgen import store
from mandrelgen.archive import events, root
from mandrelgen.archive.naming import MARKER
from mandrelgen.archive.reviving import read_mandrel
from mandrelgen.bench import asmade, readings
from mandrelgen.bench.decision import SOURCE, Verdict
from mandrelgen.errors import Finding, InputError, Level
from mandrelgen.mandrel import Mandrel
from mandrelgen.mechanics.play import ThreadPlay, thread_play
from mandrelgen.spec.read import read_shop
from mandrelgen.spec.shop import Shop

LIMIT = 1 << 20
SHOP = "shop.toml"


@dataclass(frozen=True, slots=True)
class Play:
    """A thread's play in the part's thread (mm): as designed, and as made from the readings."""

    thread: str
    designed: ThreadPlay
    made: ThreadPlay


@dataclass(frozen=True, slots=True)
class Received:
    """The verdict on a fixture. ``event``: the kind of event stored, empty if nothing was."""

    number: str
    revision: str
    judgement: readings.Judgement
    play: tuple[Play, ...]
    event: str

    @property
    def findings(self) -> tuple[Finding, ...]:
        """A proven fault is an error, an open question a warning."""
        return tuple(_findings(self))


def receive(
    folder: Path,
    number: str,
    given: Sequence[readings.Given],
    date: str,
    *,
    revision: str | None = None,
    shop_path: Path | None = None,
    by: str = "",
    keep: bool = True,
) -> Received:
    """Judge readings of ``number`` by ISO 14253-1 and store them as an event (unless not ``keep``).

    ``revision`` None: the newest. The uncertainties are those of the shop file named, else of the
    one stored with the fixture. Raises InputError (unknown number or revision, no or wrong
    readings) and DiskError.
    """
    archive = _archive(folder)
    entry = (
        events.current(archive, number)
        if revision is None
        else events.revision_of(archive, number, revision)
    )
    if not given:
        raise _fault("no readings were given", "add --reading id=value, or --file readings.csv")
    mandrel = read_mandrel(entry.folder)
    judgement = readings.judge(mandrel, _shop(entry.folder, shop_path), given)
    event = ""
    if keep:
        event = events.measured(archive, entry, date, _data(judgement), by).kind.value
    return Received(
        entry.number, entry.revision, judgement, tuple(_plays(mandrel, judgement)), event
    )


def _plays(mandrel: Mandrel, judgement: readings.Judgement) -> Iterator[Play]:
    """The play of every thread a reading changed."""
    read = [r for j in judgement.judged for r in j.readings]
    made = asmade.as_made(mandrel.characteristics, read)
    for t in mandrel.threads:
        if asmade.thread_as_made(t, made) != t.limits:
            screw, nut = (t.limits, t.partner) if t.limits.external else (t.partner, t.limits)
            yield Play(
                t.limits.designation.text, thread_play(screw, nut), asmade.play_as_made(t, made)
            )


def _data(judgement: readings.Judgement) -> dict[str, Any]:
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
            }
            for j in judgement.judged
            for r in j.readings
        ],
        "missing": [j.id for j in judgement.missing],
    }


def _findings(r: Received) -> Iterator[Finding]:
    where = f"{r.number} {r.revision}"
    for j in r.judgement.judged:
        if j.free:
            continue
        if j.verdict is Verdict.REJECT:
            yield Finding(
                Level.ERROR,
                "received.reject",
                where,
                f"{j.number} {j.id} is proved to be outside its limits",
                "send it back with the readings, or ask the shop to mend it",
            )
        elif j.readings and j.verdict is Verdict.UNDECIDED:
            yield Finding(
                Level.WARNING,
                "received.undecided",
                where,
                f"{j.number} {j.id} cannot be decided with this instrument",
                f"use {j.instead}" if j.instead else "use a finer instrument",
            )
    missing = ", ".join(j.id for j in r.judgement.missing)
    if missing:
        yield Finding(
            Level.WARNING,
            "received.missing",
            where,
            f"not proved yet, no reading of {missing}",
            "measure them, ask the shop for its readings, or write what a gauge or the report "
            "said: id=pass@ring-gauge, id=pass@report",
        )


def read_file(path: Path) -> tuple[readings.Given, ...]:
    """Readings from a CSV file (id, value, instrument, wire) or a TOML file (id = value).

    Raises InputError naming the line or key, DiskError.
    """
    if not store.exists(path) or store.is_folder(path):
        raise _fault(f"there is no file {path.name}", "name a CSV or TOML file of readings")
    try:
        text = store.read_file(path, LIMIT).decode("utf-8-sig")
    except UnicodeDecodeError as e:
        raise _fault(f"{path.name} is not UTF-8 text", "save it as UTF-8") from e
    lines = _toml(text, path.name) if path.suffix.lower() == ".toml" else _csv(text, path.name)
    return tuple(readings.parse(line) for line in lines)


def _csv(text: str, name: str) -> Iterator[str]:
    """Each row as the text of a reading; a row of headings and remarks (#) are passed over."""
    delimiter = ";" if text.splitlines() and ";" in text.splitlines()[0] else ","
    for n, row in enumerate(csv.reader(io.StringIO(text), delimiter=delimiter), 1):
        cells = [c.strip() for c in row]
        if not any(cells) or cells[0].startswith("#"):
            continue
        if n == 1 and cells[0].lower() in ("id", "no.", "number"):
            continue
        if len(cells) < 2 or not cells[1]:
            raise _fault(f"{name}:{n}: a reading needs an id and a value", "write id,value")
        tool = f"@{cells[2]}" if len(cells) > 2 and cells[2] else ""
        wire = f":{cells[3]}" if len(cells) > 3 and cells[3] else ""
        yield f"{cells[0]}={cells[1]}{tool}{wire}"


def _toml(text: str, name: str) -> Iterator[str]:
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as e:
        raise _fault(f"{name} is no TOML: {e}", "write id = value, one a line") from e
    yield from _flat(table.get("readings", table), "", name)


def _flat(value: Any, id: str, name: str) -> Iterator[str]:
    """Nested tables as dotted ids; a list holds several readings of one size."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from _flat(inner, f"{id}.{key}" if id else key, name)
    elif isinstance(value, list):
        for inner in value:
            yield from _flat(inner, id, name)
    elif isinstance(value, str | int | float) and not isinstance(value, bool):
        yield f"{id}={value}"
    else:
        raise _fault(f"{name}: {id} is no reading", 'write 7.652 or "7.652@micrometer"')


def _shop(folder: Path, path: Path | None) -> Shop:
    chosen = path or folder / SHOP
    if path is None and not store.exists(chosen):
        return Shop.model_validate({"schema": 1})
    if not store.exists(chosen):
        raise _fault(f"there is no file {chosen.name}", "name a shop file")
    return read_shop(store.read_file(chosen, LIMIT), chosen.name)


def _archive(folder: Path) -> root.Archive:
    if not store.exists(folder / MARKER):
        raise _fault("there is no archive here", "name an archive's folder with --to", str(folder))
    return root.open_root(folder)


def _fault(message: str, remedy: str, where: str = "receive") -> InputError:
    return InputError([Finding(Level.ERROR, "receive", where, message, remedy)])
