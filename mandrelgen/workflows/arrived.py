"""What of a pen arrived, for the bench page: its pieces, the form with what is typed so far, what
each answer shows at once, and the word."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from mandrelgen.archive import events, root, states
from mandrelgen.archive import index as records_index
from mandrelgen.archive.disk.files import exists
from mandrelgen.archive.index_rows import IndexRow
from mandrelgen.archive.mandrel_json import read_mandrel
from mandrelgen.archive.naming import MARKER
from mandrelgen.archive.query import Query, find
from mandrelgen.archive.record_files import Entry
from mandrelgen.core.clock import date_of
from mandrelgen.core.errors import InputError
from mandrelgen.model.balloon_numbers import numbered
from mandrelgen.model.characteristic import Characteristic
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.pen import Title
from mandrelgen.standards.iso_14253 import Conformity
from mandrelgen.workflows import receive_home
from mandrelgen.workflows.build import Build, issue_of, wires_of
from mandrelgen.workflows.receive import fixture
from mandrelgen.workflows.receive_home import HomeVerdict
from mandrelgen.workflows.rejudge import inputs_of
from mandrelgen.workshop.receipt.home_answers import Answer
from mandrelgen.workshop.receipt.home_form import Answers, Form, Question
from mandrelgen.workshop.receipt.home_tests import Standing
from mandrelgen.workshop.turning.inspection_plan import limits_text
from mandrelgen.workshop.turning.names import what

ORIGIN = "answer"
GOOD, BAD, OPEN = "good", "bad", "open"
_GRADES = {
    Conformity.ACCEPT.value: GOOD, Conformity.REJECT.value: BAD, Conformity.UNDECIDED.value: OPEN,
    Standing.HOLDS.value: GOOD, Standing.FAILS.value: BAD, Standing.OPEN.value: OPEN,
}  # fmt: skip
_WORST = (BAD, OPEN, GOOD)


@dataclass(frozen=True, slots=True)
class Piece:
    """A fixture of the pen: ``name`` for people and ``id`` for an address."""

    id: str
    name: str
    title: str
    part: str
    state: str
    checked: str


@dataclass(frozen=True, slots=True)
class Box:
    """A question with what is typed for it, its faults, and what the answer shows."""

    question: Question
    typed: str
    faults: tuple[str, ...]
    grade: str
    says: str


@dataclass(frozen=True, slots=True)
class Arrival:
    """A piece at the bench. ``boxes`` in the order of the work, ``more``: the sizes that only finer
    instruments read; ``verdict``: None until something was answered; ``grades``: good, bad or open
    by characteristic; ``cautions`` what to heed first."""

    piece: Piece
    boxes: tuple[Box, ...]
    more: tuple[Box, ...]
    verdict: HomeVerdict | None
    grades: Mapping[str, str]
    cautions: tuple[str, ...]
    build: Build


def pieces(folder: Path, pen: str) -> tuple[Piece, ...]:
    """The fixtures of a pen in the archive, by number. Raises DiskError."""
    if not exists(folder / MARKER):
        return ()
    archive = root.open_root(folder)
    with records_index.opened(archive) as index:
        rows = find(index, Query(pen=pen))
    return tuple(_piece(archive, r) for r in rows)


def _piece(archive: root.Archive, r: IndexRow) -> Piece:
    entry = events.revision_of(archive, r.number, r.revision)
    state = states.state_of(archive, entry).said
    return Piece(
        id=f"{r.number}-{r.revision}",
        name=f"{r.number} {r.revision}",
        title=r.title,
        part=r.part,
        state=state,
        checked=r.checked,
    )


def name_of(piece: Piece) -> str:
    """As `receive_home` knows it."""
    return piece.name.replace(" ", ":")


def arrival(folder: Path, piece: Piece, typed: Mapping[str, str], shop: Path) -> Arrival:
    """A piece with the answers typed so far, by question id. Raises InputError (a file that cannot
    be read), DiskError."""
    shop_path = shop if exists(shop) else None
    form = receive_home.home_form(folder, name_of(piece), shop_path)
    number, _, revision = name_of(piece).partition(":")
    _, entry = fixture(folder, number, revision)
    drawn = read_mandrel(entry.folder)
    verdict, faults = _judged(folder, piece, form, typed, shop_path)
    found = {} if verdict is None else _found(verdict)
    asked = {q.id for q in form.questions}
    more = [q for q in _others(drawn, form) if q.id not in asked]
    return Arrival(
        piece=piece,
        boxes=tuple(_box(q, typed, faults, found) for q in form.questions),
        more=tuple(_box(q, typed, faults, found) for q in more),
        verdict=verdict,
        grades={} if verdict is None else _grades(verdict),
        cautions=form.cautions,
        build=_build(entry, drawn),
    )


def issued(folder: Path, number: str) -> Build:
    """A fixture of the archive, its newest revision, to be drawn as it was issued. Raises
    InputError (there is none), DiskError."""
    _, entry = fixture(folder, number)
    return _build(entry, read_mandrel(entry.folder))


def _build(entry: Entry, drawn: Mandrel) -> Build:
    """The drawing as it was issued, from the values that were filed."""
    known, r = inputs_of(entry), entry.record
    title = known[0].pen if known else Title(id="none", name=r.title)
    history = tuple((h.revision, h.date, h.text) for h in r.history)
    wires = wires_of(known[1]) if known else ()
    return Build(drawn, issue_of(title, r.number, r.revision, r.date, history), wires=wires)


def _others(drawn: Mandrel, form: Form) -> list[Question]:
    """A box for every size with limits that the form does not ask for."""
    numbers = numbered(drawn)
    return [
        Question(id=c.id, test="", text=what(c), takes=Answers.SIZE, unit=c.unit,
                 stands_for=(c.id,), balloons=(numbers[c.id],), note=limits_text(c))
        for c in drawn.characteristics
        if _limited(c)
    ]  # fmt: skip


def _limited(c: Characteristic) -> bool:
    return c.lower is not None or c.upper is not None


def _judged(
    folder: Path, piece: Piece, form: Form, typed: Mapping[str, str], shop: Path | None
) -> tuple[HomeVerdict | None, dict[str, tuple[str, ...]]]:
    """The word on what can be understood, and the faults of the rest by question."""
    left = {k: v for k, v in typed.items() if v.strip()}
    faults: dict[str, tuple[str, ...]] = {}
    while left:
        answers = tuple(Answer(k, v, ORIGIN) for k, v in left.items())
        given = receive_home.Answered(answers)
        try:
            return receive_home.judge_home(
                folder, name_of(piece), given, date_of(None), shop
            ), faults  # fmt: skip
        except InputError as e:
            bad = _by_question(e, form, left)
        if not bad:
            raise InputError([])
        for id, lines in bad.items():
            faults[id] = (*faults.get(id, ()), *lines)
        tests = {_test(form, id) for id in bad}
        left = {k: v for k, v in left.items() if _test(form, k) not in tests}
    return None, faults


def _test(form: Form, id: str) -> str:
    """What stands or falls together: the questions of a test, or a size alone."""
    question = form.question(id)
    return id if question is None or not question.test else question.test


def _by_question(e: InputError, form: Form, left: Mapping[str, str]) -> dict[str, tuple[str, ...]]:
    """The faults' words by the question they stand at."""
    found: dict[str, tuple[str, ...]] = {}
    for f in e.findings:
        id = f.where.split(" ")[-1]
        if id in left or form.question(id) is not None:
            found[id] = (*found.get(id, ()), f"{f.message} → {f.remedy}")
    return found


def _found(v: HomeVerdict) -> dict[str, tuple[str, str]]:
    """Grade and words by question: of a size its own verdict, of a test what it shows."""
    found: dict[str, tuple[str, str]] = {}
    for j in v.judgement.judged:
        if j.readings:
            found[j.id] = (_GRADES[j.verdict.value], j.instead)
    for t in v.tests:
        for id, _ in t.answers:
            found[id] = (_GRADES.get(t.state.value, OPEN), t.shows)
    return found


def _grades(v: HomeVerdict) -> dict[str, str]:
    """The worst that is known of each characteristic."""
    rows: dict[str, set[str]] = {}
    for j in v.judgement.judged:
        if j.readings:
            rows.setdefault(j.id, set()).add(_GRADES[j.verdict.value])
    for t in v.tests:
        for id in t.stands_for if t.answers else ():
            rows.setdefault(id, set()).add(_GRADES.get(t.state.value, OPEN))
    return {id: next(g for g in _WORST if g in found) for id, found in rows.items()}


def _box(
    q: Question, typed: Mapping[str, str], faults: Mapping[str, Sequence[str]],
    found: Mapping[str, tuple[str, str]],
) -> Box:  # fmt: skip
    grade, says = found.get(q.id, ("", ""))
    return Box(
        question=q,
        typed=typed.get(q.id, ""),
        faults=tuple(faults.get(q.id, ())),
        grade=grade,
        says=says,
    )


def sheets_inline(build: Build, grades: Mapping[str, str]) -> tuple[str, ...]:
    """The drawing's sheets to stand in a page, each balloon to be pressed and marked good, bad or
    open."""
    from mandrelgen.files.writers import svg

    return tuple(svg.inline(s, grades) for s in build.sheet.sheets)


def booked(folder: Path, piece: Piece, typed: Mapping[str, str], shop: Path) -> HomeVerdict:
    """The answers kept, and the state that their word leads to. Raises InputError, DiskError."""
    left = {k: v for k, v in typed.items() if v.strip()}
    return receive_home.book_home(
        folder, name_of(piece), left, date_of(None), shop_path=shop if exists(shop) else None
    )
