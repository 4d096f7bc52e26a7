"""What was read and tried on a fixture and kept: each check with its answers, its word, its day."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from mandrelgen.archive import events, reading_history
from mandrelgen.archive.mandrel_json import read_mandrel
from mandrelgen.archive.records import Event
from mandrelgen.core.tolerance import text_of
from mandrelgen.model.balloon_numbers import numbered
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.standards.iso_14253 import Conformity
from mandrelgen.workflows.receive import fixture
from mandrelgen.workshop.receipt.home_form import asked, spans
from mandrelgen.workshop.receipt.home_tests import HALF_TURN, PIN, SHAKE, HomeTest
from mandrelgen.workshop.receipt.readings import Reading
from mandrelgen.workshop.turning.names import what

OF_TESTS = (HALF_TURN, PIN, SHAKE)
"""Readings that a test gave, which stands there itself."""


@dataclass(frozen=True, slots=True)
class KeptRow:
    """A size that was read, or a test: its ``balloons``, what was ``asked``, the ``answer`` and
    what it ``shows``, in words."""

    balloons: str
    asked: str
    answer: str
    shows: str


@dataclass(frozen=True, slots=True)
class Kept:
    """A check that was kept: its ``day``, by whom, its ``word`` and reason (empty: sizes alone were
    judged), and every row of it."""

    day: str
    by: str
    word: str
    reason: str
    rows: tuple[KeptRow, ...]


def kept(folder: Path, number: str, revision: str) -> tuple[Kept, ...]:
    """The checks of a fixture, the newest first. Raises InputError (there is none), DiskError."""
    archive, entry = fixture(folder, number, revision)
    drawn = read_mandrel(entry.folder)
    done = reading_history.checks(
        events.events_of(archive, entry.number), entry.revision, entry.draft
    )
    return tuple(_kept(e, drawn) for e in reversed(done))


def _kept(e: Event, drawn: Mandrel) -> Kept:
    home: Any = e.data.get("home")
    home = home if isinstance(home, dict) else {}
    read = [r for row in reading_history.latest([e]).values() for r in row.of]
    sizes = [_size(r, drawn) for r in read if r.instrument not in OF_TESTS]
    tests = [_test(t, e.date) for t in reading_history.latest_tests([e]).values()]
    return Kept(
        day=e.date, by=e.by, word=str(home.get("word", "")), reason=str(home.get("reason", "")),
        rows=(*sizes, *tests),
    )  # fmt: skip


_SHOWN = {
    Conformity.ACCEPT: "conforms", Conformity.REJECT: "does not conform",
    Conformity.UNDECIDED: "not decided",
}  # fmt: skip


def _size(r: Reading, drawn: Mandrel) -> KeptRow:
    c = next((c for c in drawn.characteristics if c.id == r.id), None)
    number = "" if c is None else str(numbered(drawn)[c.id])
    answer = r.instrument
    if r.value is not None:
        answer = f"{text_of(r.value)} ± {text_of(r.uncertainty)}, {r.instrument}"
    return KeptRow(number, r.id if c is None else what(c), answer, _SHOWN[r.verdict])


def _test(t: HomeTest, day: str) -> KeptRow:
    said = [f"{text}°" if "@" in text else text for _, text in t.answers]
    answer = ", ".join(x.replace("@", " at ") for x in said)
    return KeptRow(spans(t.balloons), asked(t.text), answer, t.shows.removesuffix(f" ({day})"))
