"""``receive --home``: what arrived is tried at home; the word is use it, rework it or send it back,
once what decides was tried.

Calipers, paper, the part and an indicator in one's own collet. The fixture is judged as made by the
same budget as a design, and the check is kept like any reading; later checks for wear the same way.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from mandrelgen.archive import events, states
from mandrelgen.archive import reading_history as history
from mandrelgen.archive.mandrel_json import read_mandrel
from mandrelgen.archive.pieces import another_awaited
from mandrelgen.archive.record_files import Entry
from mandrelgen.archive.records import Event
from mandrelgen.archive.root import Archive
from mandrelgen.archive.states import State
from mandrelgen.core.errors import Finding, InputError, Level
from mandrelgen.core.frozen import dataclass
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.shop import InstrumentKind, Shop
from mandrelgen.workflows.answers import plain
from mandrelgen.workflows.receive import data_of, fixture, shop_of, text_of_file
from mandrelgen.workflows.rejudge import Rejudged, Use, rejudged, use_of
from mandrelgen.workshop.receipt import as_made, home_faults, home_word, readings
from mandrelgen.workshop.receipt.home_answers import Answer, split, understand
from mandrelgen.workshop.receipt.home_evidence import Evidence
from mandrelgen.workshop.receipt.home_form import Form, form_of
from mandrelgen.workshop.receipt.home_tests import HomeTest, Standing, readings_of, results
from mandrelgen.workshop.receipt.home_word import Decision, Word
from mandrelgen.workshop.receipt.reading_file import lines_of

STATES = {
    Word.USE: State.IN_USE, Word.USE_UNREAD: State.IN_USE, Word.SEND_BACK: State.SENT_BACK,
}  # fmt: skip
"""The state that a word leads to; a rework leads to none until it was done and tried again, nor
does what is not tried yet."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HomeVerdict:
    """A fixture tried at home: every test, every size read, how it serves as made, the word with
    its reason. ``event``: the kind of event stored, ``states``: what was booked; empty: nothing."""

    number: str
    revision: str
    date: str
    form: Form
    tests: tuple[HomeTest, ...]
    judgement: readings.Judgement
    served: Rejudged
    decision: Decision
    event: str = ""
    states: tuple[str, ...] = ()

    @property
    def word(self) -> str:
        """``not yet``, ``use it`` (perhaps with what is not known), ``rework``, ``send back``."""
        return self.decision.word.value

    @property
    def reason(self) -> str:
        """Why, in sentences."""
        return self.decision.reason

    @property
    def sentence(self) -> str:
        """What to write to the turner; empty where it need not go back."""
        return self.decision.sentence

    def noted(self, j: readings.Judged) -> bool:
        """Whether a size stays undecided and nothing hangs on it: a shank that the collet decides,
        unless it did not go in, when its size is asked for."""
        refused = any(t.id == "clamps" and t.state is Standing.FAILS for t in self.tests)
        return j.collet_decides and not refused

    def open_says(self, j: readings.Judged) -> str:
        """Why a size is not decided and what would decide; "" where it is decided."""
        return "the collet decides; no size needed" if self.noted(j) else j.open_says

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Send back is an error, rework a warning."""
        return tuple(_findings(self))


@dataclass(frozen=True, slots=True)
class Answered:
    """Answers typed and read from a file, and what of them is no answer."""

    answers: tuple[Answer, ...]
    faults: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class Case:
    """What an answer is judged against: the mandrel as drawn, the shop's instruments, what it is
    used with (a text: why that is not known), its name on the drawing, earlier checks."""

    drawn: Mandrel
    shop: Shop
    use: Use | str
    name: str
    checks: tuple[Event, ...] = ()


def home_form(folder: Path, name: str, shop_path: Path | None = None) -> Form:
    """The form of a fixture (``MG-0001``, ``MG-0001:B``). Raises InputError, DiskError."""
    _, entry = _entry(folder, name)
    return form_of(read_mandrel(entry.folder), shop_of(entry, shop_path))


def gather(typed: Sequence[str], path: Path | None = None) -> Answered:
    """The answers of one command. Raises InputError (there is no such file), DiskError."""
    lines = [("--reading", t) for t in typed]
    faults: list[Finding] = []
    if path is not None:
        more, faults = lines_of(text_of_file(path), path.name)
        lines += more
    found: list[Answer] = []
    for origin, line in lines:
        if line.endswith("=") and origin != "--reading":
            continue  # a line of the form that stayed empty
        try:
            found.append(split(line, origin))
        except InputError as e:
            faults += e.findings
    return Answered(tuple(found), tuple(faults))


def judge_home(
    folder: Path, name: str, answers: Mapping[str, str] | Answered, date: str,
    shop_path: Path | None = None, book: bool = False,
) -> HomeVerdict:  # fmt: skip
    """The word on a fixture (``MG-0001``, ``MG-0001:B``) from the answers of its form, by question
    id; nothing is stored. ``date`` ISO 8601; ``book``: as :func:`book_home` would judge it.

    Raises InputError with everything that is no answer, out of range or contradictory; DiskError.
    """
    archive, entry = _entry(folder, name)
    return _judged(archive, entry, answers, date, shop_path, book)[0]


def book_home(
    folder: Path, name: str, answers: Mapping[str, str] | Answered, date: str, *,
    shop_path: Path | None = None, by: str = "", book: bool = True,
) -> HomeVerdict:  # fmt: skip
    """The same, kept as an event; ``book``: the state that the word leads to is booked too, and
    where another than the one that is had was ordered, it is the other that was tried and has come.
    All is judged before the first is written; a call that was killed is finished by the same call.

    Raises InputError (as :func:`judge_home`, and a state that cannot follow), DiskError.
    """
    archive, entry = _entry(folder, name)
    verdict, data = _judged(archive, entry, answers, date, shop_path, book)
    check = events.readings_of(entry, date, data, by)
    way = _way(archive, entry, verdict.decision.word, check) if book else ()
    # What is read of another one follows its arrival.
    first = way[:1] if way and _another(archive, entry) else ()
    for state in first:
        states.book(archive, (entry,), state, date)
    kind = events.measured(archive, entry, date, data, by, once=True).kind
    for state in way[len(first) :]:
        states.book(archive, (entry,), state, date)
    return replace(verdict, event=kind.value, states=tuple(s.value for s in way))


def _another(archive: Archive, entry: Entry) -> bool:
    told = events.events_of(archive, entry.number)
    return another_awaited(told, entry.revision, entry.draft)


def _entry(folder: Path, name: str) -> tuple[Archive, Entry]:
    number, _, revision = name.partition(":")
    return fixture(folder, number, revision or None)


def _judged(
    archive: Archive, entry: Entry, answers: Mapping[str, str] | Answered, date: str,
    shop_path: Path | None, book: bool,
) -> tuple[HomeVerdict, dict[str, Any]]:  # fmt: skip
    given = answers
    if not isinstance(given, Answered):
        given = Answered(tuple(Answer(k, v) for k, v in given.items() if v.strip()))
    drawn = read_mandrel(entry.folder)
    told = events.events_of(archive, entry.number)
    anew = book and another_awaited(told, entry.revision, entry.draft)
    checks = () if anew else history.checks_of_piece(told, entry.revision, entry.draft)
    case = Case(
        drawn=drawn, shop=shop_of(entry, shop_path), use=use_of(archive, entry, drawn),
        name=f"{entry.number} {entry.revision}", checks=checks,
    )  # fmt: skip
    verdict = judged(case, given, date)
    verdict = replace(verdict, number=entry.number, revision=entry.revision)
    own = tuple(readings_of(verdict.tests))
    data = data_of(verdict.judgement, own)
    data |= {"served": plain.view(verdict.served), "home": _home(verdict)}
    return verdict, data


def judged(case: Case, given: Answered, date: str) -> HomeVerdict:
    """The word on one case. Raises InputError with every answer that is wrong."""
    form = form_of(case.drawn, case.shop)
    found = understand(form, case.drawn, given.answers)
    faults = (*given.faults, *found.faults)
    if not faults and not given.answers:
        faults = (_nothing(),)
    judgement = readings.judge(case.drawn, case.shop, found.given, faults)
    tests = results(form, case.drawn, case.shop, found)
    now = [r for j in judgement.judged for r in j.readings] + list(readings_of(tests))
    evidence, served = _evidence(case, date, tests, now)
    open_ = home_word.untested(evidence)
    more = home_word.doubled(evidence, open_)
    worse = served
    if more:
        made = as_made.mandrel_as_made(case.drawn, [*evidence.readings, *more])
        worse = rejudged(case.use, made)
    cost = home_word.costs(served.sides, worse.sides)
    decision = home_word.decide(
        evidence, home_faults.faults(evidence), open_, cost, case.name, has_indicator(case.shop)
    )
    return HomeVerdict(
        number="", revision="", date=date, form=form, tests=tests, judgement=judgement,
        served=served, decision=decision,
    )  # fmt: skip


def has_indicator(shop: Shop) -> bool:
    """Whether the shop lists one to read run-outs with."""
    return any(i.kind is InstrumentKind.INDICATOR for i in shop.instruments.values())


def _evidence(
    case: Case, date: str, tests: Sequence[HomeTest], now: Sequence[readings.Reading]
) -> tuple[Evidence, Rejudged]:
    """What is known with this check and those before: of every size and test the last day's."""
    before = [e for e in case.checks if e.date <= date]
    later = [e for e in case.checks if e.date > date]
    last: dict[str, tuple[readings.Reading, ...]] = {
        id: x.of for id, x in history.latest(before).items()
    }
    for id in {r.id for r in now}:
        last[id] = tuple(r for r in now if r.id == id)
    last |= {id: x.of for id, x in history.latest(later).items()}
    read = tuple(r for row in last.values() for r in row)
    done = {t.id: t for t in tests if t.answers}
    known = history.latest_tests(before) | done | history.latest_tests(later)
    served = rejudged(case.use, as_made.mandrel_as_made(case.drawn, read))
    every = tuple({**{t.id: t for t in tests}, **known}.values())
    return Evidence(
        drawn=case.drawn, readings=read, tests=every, sides=served.sides, shop=case.shop
    ), served  # fmt: skip


def _home(v: HomeVerdict) -> dict[str, Any]:
    """The tests and the word, as the event keeps them."""
    rows = []
    for t in v.tests:
        if t.answers:
            row = plain.view(t)
            del row["reading"]  # it stands among the readings
            rows.append(row)
    return {"tests": rows, **plain.view(v.decision)}


def _way(archive: Archive, entry: Entry, word: Word, check: Event) -> tuple[State, ...]:
    """The states to book after ``check``. A fixture whose last check said *rework* was reworked
    meanwhile. Raises InputError where one cannot follow."""
    past = events.events_of(archive, entry.number)
    own = list(history.checks_of_piece(past, entry.revision, entry.draft))
    another = another_awaited(past, entry.revision, entry.draft)
    if another:
        own = []
    if own and events.same_check(own[-1], check):
        own = own[:-1]  # this very check, by a call that was killed
        stored = True
    else:
        stored = False
    now, last = states.history(past, entry)[-1]
    steps: list[State] = []
    if now in states.BEFORE_ARRIVAL:
        if own or stored or another:
            steps.append(State.ARRIVED)
        else:
            now = State.ARRIVED  # the readings say so
    home = own[-1].data.get("home") if own else None
    if isinstance(home, dict) and home.get("word") == Word.REWORK.value and word is not Word.REWORK:
        steps.append(State.REWORKED)
    if word in STATES:
        steps.append(STATES[word])
    way: list[State] = []
    for step in steps:
        if step is now:
            continue
        if step not in states.MOVES[now] or (last is not None and check.date < last.date):
            raise InputError([_cannot(entry, now, step, last, check.date)])
        way.append(step)
        now = step
    return tuple(way)


def _cannot(entry: Entry, now: State, step: State, last: Event | None, date: str) -> Finding:
    where = f"{entry.number} {entry.revision}"
    if step in states.MOVES[now] and last is not None:
        return Finding(
            level=Level.ERROR,
            code="state.cannot-follow",
            where=where,
            message=f"{date} is before {last.date}, when it was {now.said}",
            remedy="give a later --date",
        )
    allowed = ", ".join(s.said for s in states.MOVES[now]) or "nothing: make the next revision"
    return Finding(
        level=Level.ERROR,
        code="state.cannot-follow",
        where=where,
        message=f"it is {now.said}; {step.said} cannot follow",
        remedy=f"what can follow: {allowed}; leave --book out to keep the check alone",
    )


def _nothing() -> Finding:
    return Finding(
        level=Level.ERROR, code="home", where="receive", message="no answer was given",
        remedy="add --home answers.toml, or --reading id=answer; the form stands in mine.pdf",
    )  # fmt: skip


def _findings(v: HomeVerdict) -> Iterator[Finding]:
    where = f"{v.number} {v.revision}"
    d = v.decision
    harm = "; ".join(f.said for f in d.faults if f.harms)
    if d.word is Word.SEND_BACK:
        yield Finding(
            level=Level.ERROR,
            code="received.send-back",
            where=where,
            message=harm,
            remedy="send it back with the sentence",
        )
    elif d.word is Word.REWORK:
        cure = "; ".join(r.what for r in d.rework)
        yield Finding(
            level=Level.WARNING, code="received.rework", where=where, message=harm, remedy=cure
        )
    elif harm:
        yield Finding(
            level=Level.WARNING, code="received.ask", where=where, message=harm,
            remedy=f"find out first: {'; '.join(d.to_try)}",
        )  # fmt: skip
    if v.served.why_not:
        yield Finding(
            level=Level.NOTE, code="received.use", where=where,
            message=f"the joint step was not worked out again: {v.served.why_not}",
            remedy="the tests are judged and kept all the same",
        )  # fmt: skip
