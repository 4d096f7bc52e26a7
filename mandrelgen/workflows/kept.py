"""What was read and tried on a fixture and kept: each check with its answers, its word, its day."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from mandrelgen.archive import events, reading_history
from mandrelgen.archive.mandrel_json import read_mandrel
from mandrelgen.archive.pieces import another_awaited
from mandrelgen.archive.records import Event
from mandrelgen.core.errors import InputError
from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import text_of
from mandrelgen.model.balloon_numbers import numbered
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.iso_14253 import Conformity
from mandrelgen.workflows.receive import fixture
from mandrelgen.workshop.receipt.home_form import asked, spans
from mandrelgen.workshop.receipt.home_tests import HALF_TURN, PIN, SHAKE, HomeTest
from mandrelgen.workshop.receipt.readings import Reading, judge, parse
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
    judged), every row of it, and the ``sentence`` to the turner that it led to, if any;
    ``earlier``: of a piece that another has followed, or is to follow."""

    day: str
    by: str
    word: str
    reason: str
    rows: tuple[KeptRow, ...]
    sentence: str = ""
    earlier: bool = False


@dataclass(frozen=True, slots=True)
class KeptAnswer:
    """An answer as it was typed, its ``day``, and whether it is of the newest check."""

    text: str
    day: str
    newest: bool


def answers(folder: Path, number: str, revision: str, shop: Shop) -> dict[str, KeptAnswer]:
    """By question, what was last answered of the piece that came last, nothing where another is to
    come; ``shop``: whose instruments read it. Raises InputError (there is none), DiskError."""
    archive, entry = fixture(folder, number, revision)
    drawn = read_mandrel(entry.folder)
    told = events.events_of(archive, entry.number)
    if another_awaited(told, entry.revision, entry.draft):
        return {}
    done = reading_history.checks_of_piece(told, entry.revision, entry.draft)
    found: dict[str, KeptAnswer] = {}
    for e in done:
        rows = [r for row in reading_history.latest([e]).values() for r in row.of]
        said = {r.id: _typed(r, drawn, shop) for r in rows if r.instrument not in OF_TESTS}
        said |= {q: a for t in reading_history.latest_tests([e]).values() for q, a in t.answers}
        found |= {q: KeptAnswer(a, e.date, e is done[-1]) for q, a in said.items()}
    return found


def _typed(r: Reading, drawn: Mandrel, shop: Shop) -> str:
    """A reading as it would be typed again; its uncertainty where the instrument has another."""
    if r.value is None:
        return f"{'pass' if r.verdict is Conformity.ACCEPT else 'fail'}@{r.instrument}"
    read = text_of(r.value if r.raw is None else r.raw, 6)
    tool = r.instrument if r.wire is None else f"{r.instrument}:{text_of(r.wire, 4)}"
    text = f"{read}@{tool}"
    try:
        again = judge(drawn, shop, [parse(f"{r.id}={text}")]).judged
        same = any(x.uncertainty == r.uncertainty for j in again for x in j.readings)
    except InputError:  # the shop has that instrument no more, or it was a report
        same = False
    return text if same else f"{read}±{text_of(r.uncertainty, 6)}@{tool}"


def kept(folder: Path, number: str, revision: str) -> tuple[Kept, ...]:
    """The checks of a fixture, the newest first. Raises InputError (there is none), DiskError."""
    archive, entry = fixture(folder, number, revision)
    drawn = read_mandrel(entry.folder)
    told = events.events_of(archive, entry.number)
    done = reading_history.checks(told, entry.revision, entry.draft)
    awaited = another_awaited(told, entry.revision, entry.draft)
    own = () if awaited else reading_history.checks_of_piece(told, entry.revision, entry.draft)
    mine = {id(e) for e in own}  # two pieces may be read alike on one day
    return tuple(_kept(e, drawn, id(e) not in mine) for e in reversed(done))


def _kept(e: Event, drawn: Mandrel, earlier: bool) -> Kept:
    home: Any = e.data.get("home")
    home = home if isinstance(home, dict) else {}
    read = [r for row in reading_history.latest([e]).values() for r in row.of]
    sizes = [_size(r, drawn) for r in read if r.instrument not in OF_TESTS]
    tests = [_test(t, e.date) for t in reading_history.latest_tests([e]).values()]
    return Kept(
        day=e.date, by=e.by, word=str(home.get("word", "")), reason=str(home.get("reason", "")),
        rows=(*sizes, *tests), sentence=str(home.get("sentence", "")), earlier=earlier,
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
