"""What of a pen arrived, for the bench page: its pieces, the form with what is typed so far, what
each answer shows at once, and the word."""

from __future__ import annotations

import re
import threading
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from mandrelgen.archive import events, root, states
from mandrelgen.archive import index as records_index
from mandrelgen.archive.disk.files import exists
from mandrelgen.archive.index_rows import IndexRow
from mandrelgen.archive.mandrel_json import read_mandrel
from mandrelgen.archive.naming import MARKER
from mandrelgen.archive.page_hashes import DRAWING, papers_of
from mandrelgen.archive.query import Query, find
from mandrelgen.archive.reading_history import checks_of_piece
from mandrelgen.archive.record_files import Entry
from mandrelgen.archive.states import State
from mandrelgen.core.clock import date_of
from mandrelgen.core.errors import Finding, InputError
from mandrelgen.core.frozen import dataclass
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.pen import Title
from mandrelgen.standards.iso_14253 import Conformity
from mandrelgen.workflows import booking, receive, receive_home
from mandrelgen.workflows.answers.spoken import spoken
from mandrelgen.workflows.answers.texts import text
from mandrelgen.workflows.arrived_boxes import Box, lacks, named, others, tools, was_said
from mandrelgen.workflows.build import Build, issue_of, signed, wires_of
from mandrelgen.workflows.kept import answers
from mandrelgen.workflows.receive import fixture
from mandrelgen.workflows.receive_home import HomeVerdict
from mandrelgen.workflows.rejudge import inputs_of
from mandrelgen.workshop.receipt.home_answers import Answer, moot
from mandrelgen.workshop.receipt.home_faults import Fault
from mandrelgen.workshop.receipt.home_form import Answers, Form, Question
from mandrelgen.workshop.receipt.home_tests import HomeTest, Standing
from mandrelgen.workshop.receipt.home_word import Word, told

ORIGIN = "answer"
GOOD, HALF, BAD, OPEN, NOTED = "good", "half", "bad", "open", "noted"
"""``half``: tried by hand and holds, but not measured; ``noted``: read, and nothing hangs on it."""
_GRADES = {
    Conformity.ACCEPT.value: GOOD, Conformity.REJECT.value: BAD, Conformity.UNDECIDED.value: OPEN,
    Standing.HOLDS.value: GOOD, Standing.FAILS.value: BAD, Standing.OPEN.value: OPEN,
}  # fmt: skip
_WORST = (BAD, OPEN, GOOD, HALF)


@dataclass(frozen=True, slots=True)
class Piece:
    """A fixture of the pen: ``name`` for people and ``id`` for an address; ``checked``: the day its
    check was finished; ``due``: it can be booked as arrived; ``come``: it has come once."""

    id: str
    name: str
    title: str
    part: str
    state: str
    checked: str
    due: bool = False
    come: bool = False


@dataclass(frozen=True, slots=True)
class Arrival:
    """A piece at the bench. ``boxes`` in the order of the work, with those that are ``folded`` away
    for want of an instrument; ``more``: the sizes that only finer
    instruments read; ``verdict``: None until something was answered; ``grades``: good, half, bad or
    open by characteristic; ``cautions`` what to heed first; ``indicator``: whether one is owned,
    ``instruments``: whether the shop lists any."""

    piece: Piece
    boxes: tuple[Box, ...]
    more: tuple[Box, ...]
    verdict: HomeVerdict | None
    grades: Mapping[str, str]
    cautions: tuple[str, ...]
    build: Build
    indicator: bool
    instruments: bool

    @property
    def plain(self) -> tuple[Box, ...]:
        """The boxes that are asked straight away."""
        return tuple(b for b in self.boxes if not b.lacks and not b.moot)

    @property
    def folded(self) -> tuple[Box, ...]:
        """Those that need an instrument the shop does not list."""
        return tuple(b for b in self.boxes if b.lacks and not b.moot)

    @property
    def lacking(self) -> str:
        """The instruments that the folded ones need, in words."""
        kinds = dict.fromkeys(b.lacks for b in self.folded)
        return " or ".join(text(f"arrived.needs.{k}") for k in kinds)

    @property
    def wrong(self) -> tuple[Box, ...]:
        """The boxes whose answers cannot stand."""
        return tuple(b for b in (*self.boxes, *self.more) if b.faults)

    @property
    def waits(self) -> bool:
        """Whether the word is still to come."""
        return self.verdict is not None and self.verdict.decision.word is Word.NOT_YET

    @property
    def typed(self) -> bool:
        """Whether anything stands in the boxes."""
        return any(b.typed for b in (*self.boxes, *self.more))

    @property
    def can_go_back(self) -> bool:
        """Whether it can be booked back as arrived."""
        return self.piece.state in (State.IN_USE.said, State.SENT_BACK.said)

    @property
    def asks(self) -> tuple[Fault, ...]:
        """What fails and is asked about before the word."""
        faults = () if self.verdict is None else self.verdict.decision.faults
        return tuple(f for f in faults if f.harms and f.asks is not None) if self.waits else ()

    @property
    def stands_out(self) -> tuple[str, ...]:
        """What is wrong and does no harm, in words: while the word is still to come it is said
        first; later it stands in its reason."""
        faults = () if self.verdict is None else self.verdict.decision.faults
        return tuple(told(f) for f in faults if not f.harms) if self.waits else ()

    @property
    def mood(self) -> str:
        """How the word looks: good only where nothing is open, "" where it is still to come."""
        v = self.verdict
        if v is None or self.waits:
            return OPEN if self.asks or self.stands_out else ""
        if v.decision.word is Word.SEND_BACK:
            return BAD
        open_ = any(t.state is Standing.OPEN for t in v.tests)
        return GOOD if v.decision.word is Word.USE and not (open_ or self.wrong) else OPEN


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
    told = events.events_of(archive, r.number)
    past = states.history(told, entry)
    state = past[-1][0]
    done = checks_of_piece(told, r.revision, r.draft)
    home = done[-1].data.get("home") if done else None
    begun = isinstance(home, dict) and home.get("word") == Word.NOT_YET.value
    return Piece(
        id=f"{r.number}-{r.revision}",
        name=f"{r.number} {r.revision}",
        title=r.title,
        part=r.part,
        state=state.said,
        checked="" if begun else r.checked,
        due=state in states.BEFORE_ARRIVAL and State.ARRIVED in states.MOVES[state],
        come=state in states.HAD or states.had_before(past) is not None,
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
    more = [q for q in others(drawn, form) if q.id not in asked]
    gone = moot(form.questions, typed)
    own = receive.shop_of(entry, shop_path)
    before = answers(folder, number, revision, own)

    def box(q: Question) -> Box:
        grade, word, says = found.get(q.id, ("", "", ""))
        return Box(
            question=q, name=named(q), typed=typed.get(q.id, ""), grade=grade, word=word,
            says=says, was=was_said(q, before.get(q.id)),
            faults=tuple(faults.get(q.id, ())),
            tools=tools(own, drawn, drawn.characteristic(q.id)) if q.takes is Answers.SIZE else (),
            moot=q.id in gone, lacks=lacks(own, q),
        )  # fmt: skip

    return Arrival(
        piece=piece,
        boxes=tuple(map(box, form.questions)),
        more=tuple(map(box, more)),
        verdict=verdict,
        grades={} if verdict is None else _grades(verdict),
        cautions=form.cautions,
        build=build_of(entry, drawn),
        indicator=receive_home.has_indicator(own),
        instruments=bool(own.instruments),
    )


def issued(folder: Path, number: str) -> Build:
    """A fixture of the archive, its newest revision, to be drawn as it was issued. Raises
    InputError (there is none), DiskError."""
    _, entry = fixture(folder, number)
    return build_of(entry, read_mandrel(entry.folder))


def build_of(entry: Entry, drawn: Mandrel) -> Build:
    """The drawing as it was issued, from the values that were filed."""
    known, r = inputs_of(entry), entry.record
    title = known[0].pen if known else Title(id="none", name=r.title)
    history = tuple((h.revision, h.date, h.text) for h in r.history)
    wires = wires_of(known[1]) if known else ()
    issue = issue_of(title, r.number, r.revision, r.date, history, r.accepted)
    if known and papers_of(drawn, issue, (), ())[DRAWING] != r.papers.get(DRAWING):
        # Sheets from before the workshop stood in for an owner left the place empty.
        issue = replace(issue, owner=signed(title, known[1]).owner)
    return _laid_out_once(Build(drawn, issue, wires=wires))


_LAID_OUT: dict[tuple[str, str, str], Build] = {}
_LAID_OUT_MOST = 24
_ONE_AT_A_TIME = threading.Lock()


def _laid_out_once(build: Build) -> Build:
    """``build``, or one that is equal and whose drawing may be laid out already: what was filed
    does not change while its boxes are filled in."""
    key = (build.issue.number, build.issue.revision, build.mandrel.id)
    with _ONE_AT_A_TIME:
        known = _LAID_OUT.pop(key, None)
        found = _LAID_OUT[key] = known if known == build and known is not None else build
        while len(_LAID_OUT) > _LAID_OUT_MOST:
            del _LAID_OUT[next(iter(_LAID_OUT))]
    return found


def _judged(
    folder: Path, piece: Piece, form: Form, typed: Mapping[str, str], shop: Path | None
) -> tuple[HomeVerdict | None, dict[str, tuple[str, ...]]]:
    """The word on what can be understood, and the faults of the rest by question."""
    left = _given(typed)
    faults: dict[str, tuple[str, ...]] = {}
    while left:
        answers = tuple(Answer(k, v, ORIGIN) for k, v in left.items())
        given = receive_home.Answered(answers)
        try:
            return receive_home.judge_home(
                folder, name_of(piece), given, date_of(None), shop, book=True
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
            said = f"{_said(f, form)} → {spoken(f.remedy)}"
            found[id] = (*found.get(id, ()), said)
    return found


def _found(v: HomeVerdict) -> dict[str, tuple[str, str, str]]:
    """Grade, the word for it and what it shows by question: of a size its own verdict, of a test
    what it shows."""
    found: dict[str, tuple[str, str, str]] = {}
    for j in v.judgement.judged:
        if j.readings:
            grade = NOTED if v.noted(j) else _GRADES[j.verdict.value]
            found[j.id] = (grade, grade, v.open_says(j))
    for t in v.tests:
        grade = _grade(t)
        word = "fails" if grade == BAD and not t.measures else grade
        for id, _ in t.answers:
            found[id] = (grade, word, t.shows)
    return found


def _grade(t: HomeTest) -> str:
    grade = _GRADES.get(t.state.value, OPEN)
    return HALF if grade == GOOD and not t.measures else grade


def _grades(v: HomeVerdict) -> dict[str, str]:
    """The worst that is known of each characteristic. What no instrument at hand decides and a test
    by hand shows to serve is half known."""
    rows: dict[str, set[str]] = {}
    for t in v.tests:
        for id in t.stands_for if t.answers else ():
            rows.setdefault(id, set()).add(_grade(t))
    for j in v.judgement.judged:
        served = j.never and HALF in rows.get(j.id, ())
        spared = v.noted(j) or (served and j.verdict is Conformity.UNDECIDED)
        if j.readings and not spared:
            rows.setdefault(j.id, set()).add(_GRADES[j.verdict.value])
    return {id: next(g for g in _WORST if g in found) for id, found in rows.items()}


def sheets_inline(build: Build, grades: Mapping[str, str]) -> tuple[str, ...]:
    """The drawing's sheets to stand in a page, each balloon to be pressed and marked good, bad or
    open."""
    from mandrelgen.files.writers import svg

    return tuple(svg.inline(s, grades) for s in build.sheet.sheets)


def booked(folder: Path, piece: Piece, typed: Mapping[str, str], shop: Path) -> HomeVerdict:
    """The answers kept, and the state that their word leads to. Raises InputError, DiskError."""
    shop_path = shop if exists(shop) else None
    form = receive_home.home_form(folder, name_of(piece), shop_path)
    try:
        return receive_home.book_home(
            folder, name_of(piece), _given(typed), date_of(None), shop_path=shop_path
        )
    except InputError as e:
        raise InputError(replace(f, where=_where(f, form), message=_said(f, form))
                         for f in e.findings) from e  # fmt: skip


def came(folder: Path, piece: Piece, said: str) -> str:
    """Book that a piece has arrived, on the day ``said`` (empty: today); the day. Raises
    InputError, DiskError."""
    day = booking.day_of(said)
    booking.book(folder, name_of(piece), State.ARRIVED.value, day, booking.Said())
    return day


def on_the_way(folder: Path, pen: str, of: Sequence[Piece]) -> int:
    """How many of these are on their way: ordered, and not there yet. Raises InputError,
    DiskError."""
    due = {p.name for p in of if p.state == State.ORDERED.said}
    if not due:
        return 0
    held: Counter[str] = Counter()
    for s in booking.standing(folder, pen, told=False):
        for x in () if s.superseded_by else s.lines:
            if x.state is State.ORDERED:
                held[f"{x.number} {x.revision}"] += x.quantity
    return sum(held[name] or 1 for name in due)


def _given(typed: Mapping[str, str]) -> dict[str, str]:
    """What is answered; an instrument that was chosen before its reading is no answer yet."""
    return {k: v for k, v in typed.items() if v.strip() and not re.match(r"@[a-z]", v)}


def _where(f: Finding, form: Form) -> str:
    """Where a fault stands, in the words of its box."""
    q = form.question(f.where.split(" ")[-1])
    return f.where if q is None else named(q)


def _said(f: Finding, form: Form) -> str:
    """A fault's message with the questions it names in the words of their boxes."""
    message = f.message
    for q in form.questions:
        message = message.replace(f"{q.id} = '", f"“{named(q)}” = '").replace(
            f" ({ORIGIN} {q.id})", ""
        )
    return message
