"""The answers of a home form, read and judged as answers: what is none, what contradicts another.

An answer is ``id=text``: a test's question (``screws.1=yes``, ``runout.seat.1=0.03@90``) or a size
by its characteristic or balloon, as a reading is typed (``shank.diameter=9.99@micrometer``).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from mandrelgen.core.errors import Finding, InputError, Level
from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import text_of
from mandrelgen.mechanics.half_turn import Reading, of_quarters
from mandrelgen.model.balloon_numbers import numbered
from mandrelgen.model.feature import MandrelEnd
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.workshop.receipt.home_form import PLACES, Answers, Form, Question
from mandrelgen.workshop.receipt.home_misread import why_not
from mandrelgen.workshop.receipt.readings import Given, check_size, find, parse
from mandrelgen.workshop.turning.names import what

CODE = "home"
MOST = 1.0  # mm of run-out or play; more is a slip of the pen
OVAL = 0.02  # mm that four dial readings may disagree: more is no circle's
_NUMBER = r"[+-]?\d{1,4}(?:[.,]\d{1,4})?"
_AT = re.compile(rf"({_NUMBER})\s*(?:@\s*({_NUMBER})\s*°?)?")
_PIN = re.compile(rf"⌀?\s*({_NUMBER})\s*(goes|stops|go|stop)", re.IGNORECASE)
_WORDS = {"yes": True, "y": True, "true": True, "no": False, "n": False, "false": False}


@dataclass(frozen=True, slots=True)
class Answer:
    """An answer as given: of which question, what, and where it was written."""

    id: str
    text: str
    origin: str = "answer"

    @property
    def where(self) -> str:
        """File and field, for messages."""
        return self.origin if self.origin.endswith(f" {self.id}") else f"{self.origin} {self.id}"


@dataclass(frozen=True, slots=True)
class Pins:
    """Diameters that went and that stopped, mm."""

    goes: tuple[float, ...]
    stops: tuple[float, ...]


Value = bool | int | float | str | Reading | Pins


@dataclass(frozen=True, slots=True)
class Said:
    """An answer understood, and where it was written."""

    question: Question
    value: Value
    text: str
    where: str


@dataclass(frozen=True, slots=True)
class Understood:
    """The tests' answers by question, the sizes as readings, and every fault."""

    said: Mapping[str, Said]
    given: tuple[Given, ...]
    faults: tuple[Finding, ...]


def split(text: str, origin: str) -> Answer:
    """``id=text`` as an answer. Raises InputError where there is no ``=``."""
    id, mark, value = text.partition("=")
    if not mark or not id.strip() or not value.strip():
        raise InputError([_wrong(origin, f"'{text[:60]}' is no answer", "write id=answer")])
    return Answer(id.strip(), value.strip(), origin)


def understand(form: Form, mandrel: Mandrel, answers: Sequence[Answer]) -> Understood:
    """Every answer read; nothing is raised, all that is wrong stands in ``faults``."""
    said: dict[str, Said] = {}
    given: list[Given] = []
    faults: list[Finding] = []
    ids = {c.id for c in mandrel.characteristics}
    for a in answers:
        question = form.question(a.id)
        try:
            if question is None or question.takes is Answers.SIZE:
                given.append(_size(form, ids, max(numbered(mandrel).values()), a))
                continue
            found = Said(question, _read(question, a, mandrel), a.text, a.where)
        except InputError as e:
            faults += e.findings
            continue
        before = said.get(a.id)
        if before is not None and before.value != found.value:
            faults.append(
                _wrong(a.where, f"'{before.text}' ({before.where}) and '{a.text}' "
                       "contradict one another", "give one answer")
            )  # fmt: skip
        said[a.id] = found
    faults += (*_contradictions(form, said), *_misread(form, mandrel, said, given))
    return Understood(said, tuple(given), tuple(faults))


def moot(questions: Iterable[Question], answers: Mapping[str, str]) -> tuple[str, ...]:
    """The questions that the other answers, as typed, leave nothing to ask: whose loose place it
    is while none is known to be loose."""
    found = []
    for q in questions:
        if q.takes is Answers.WHOSE:
            hold = _places(answers.get(q.test, "").strip())
            if hold is None or hold == PLACES:
                found.append(q.id)
    return tuple(found)


def _size(form: Form, ids: set[str], count: int, a: Answer) -> Given:
    known = a.id in ids or (a.id.isdigit() and 1 <= int(a.id) <= count)
    if not known:
        tests = ", ".join(q.id for q in form.questions if q.test)
        raise InputError([
            _wrong(a.where, f"'{a.text[:40]}': the form has no question '{a.id[:40]}'",
                   f"tests of this mandrel: {tests}; or a characteristic by id or balloon (1 to "
                   f"{count})")
        ])  # fmt: skip
    try:
        return replace(parse(f"{a.id}={a.text}"), origin=a.where)
    except InputError as e:
        raise InputError([replace(f, where=a.where) for f in e.findings]) from e


def _read(q: Question, a: Answer, mandrel: Mandrel) -> Value:
    """The value of an answer. Raises InputError that says what is allowed."""
    where = a.where
    value = _READERS[q.takes](a.text.strip())
    if value is None:
        raise InputError([_wrong(where, f"'{a.text[:60]}' is not allowed here", q.allowed)])
    if isinstance(value, Pins):
        try:
            for size in (*value.goes, *value.stops):
                check_size(mandrel.characteristic(q.stands_for[0]), size)
        except InputError as e:
            raise InputError([replace(f, where=where) for f in e.findings]) from e
    return value


def _yes(text: str) -> Value | None:
    return _WORDS.get(text.lower())


def _places(text: str) -> Value | None:
    found = re.fullmatch(rf"([0-{PLACES}])(?:\s*of\s*{PLACES})?|(all)|(none)", text.lower())
    if found is None:
        return None
    return PLACES if found[2] else 0 if found[3] else int(found[1])


def _whose(text: str) -> Value | None:
    return text.lower() if text.lower() in ("mandrel", "part") else None


def _amount(text: str) -> Value | None:
    if re.fullmatch(_NUMBER, text) is None:
        return None
    value = _number(text)
    return value if 0 <= value <= MOST else None


def _run_out(text: str) -> Value | None:
    if text.count("/") == 3:
        dials = [part.strip() for part in text.split("/")]
        if not all(re.fullmatch(_NUMBER, d) for d in dials):
            return None
        found = of_quarters(*(_number(d) for d in dials))
        return found if found.amount <= MOST else None
    m = _AT.fullmatch(text)
    if m is None:
        return None
    angle = None if m[2] is None else _number(m[2])
    if not 0 <= _number(m[1]) <= MOST or (angle is not None and not 0 <= angle <= 360):
        return None
    return Reading(_number(m[1]), angle)


def _pins(text: str) -> Value | None:
    goes: list[float] = []
    stops: list[float] = []
    # A decimal comma stays: only one with a blank behind it parts two pins.
    for part in re.split(r"[;]|,\s+", text):
        m = _PIN.fullmatch(part.strip())
        if m is None:
            return None
        (goes if m[2].lower().startswith("go") else stops).append(_number(m[1]))
    return Pins(tuple(goes), tuple(stops))


_READERS: Mapping[Answers, Callable[[str], Value | None]] = {
    Answers.YES_NO: _yes, Answers.PLACES: _places, Answers.WHOSE: _whose, Answers.AMOUNT: _amount,
    Answers.RUN_OUT: _run_out, Answers.PINS: _pins,
}  # fmt: skip


def _number(text: str) -> float:
    return float(text.replace(",", "."))


def _contradictions(form: Form, said: Mapping[str, Said]) -> Iterator[Finding]:
    """Answers that cannot be true together, and readings that need one another."""
    for test in form.tests:
        mine = [q for q in form.questions if q.test == test]
        if mine[0].takes is Answers.RUN_OUT:
            yield from _of_run_out(test, said)
        elif mine[0].takes is Answers.PINS and test in said:
            yield from _of_pins(said[test])
    for end in (MandrelEnd.FIRST, MandrelEnd.SECOND):
        yield from _of_end(end.value, form, said)
    held = said.get("clamps")
    if held is not None and held.value is False:
        for q in form.questions:
            if q.takes is Answers.RUN_OUT and q.id in said:
                yield _against(said[q.id], held, "a run-out is read in the collet")
                break


def _of_run_out(test: str, said: Mapping[str, Said]) -> Iterator[Finding]:
    pair = [said.get(f"{test}.{n}") for n in (1, 2)]
    for one, other, n in ((pair[0], pair[1], 2), (pair[1], pair[0], 1)):
        if one is not None and other is None:
            yield _wrong(
                f"{one.where.removesuffix(one.question.id)}{test}.{n}",
                "is missing: one reading cannot tell the mandrel from the collet",
                "turn the mandrel half round in the collet and read again",
            )
    for one in pair:
        if one is not None and isinstance(one.value, Reading) and one.value.oval > OVAL:
            yield _wrong(
                one.where,
                f"'{one.text}': opposite readings differ by {text_of(2 * one.value.oval)} between "
                f"the two pairs; at most {text_of(2 * OVAL)} is an axis that is off",
                "read the dial again at the four quarters, with its sign",
            )  # fmt: skip


def _of_pins(one: Said) -> Iterator[Finding]:
    assert isinstance(one.value, Pins)
    goes, stops = one.value.goes, one.value.stops
    where = one.where
    if goes and stops and max(goes) >= min(stops):
        yield _wrong(
            where, f"'{one.text}': {text_of(max(goes))} goes although {text_of(min(stops))} stops",
            "the largest that goes is smaller than the smallest that stops",
        )  # fmt: skip


def _of_end(end: str, form: Form, said: Mapping[str, Said]) -> Iterator[Finding]:
    screws = [said[q.id] for q in form.questions if q.test == f"{end}screws" and q.id in said]
    seats, rocks = said.get(f"{end}seats"), said.get(f"{end}rocks")
    follows = said.get(f"{end}seats.follows")
    if screws and not any(s.value for s in screws):
        for one, why in ((seats, "strips hold under the face"), (rocks, "it is tried tightened")):
            if one is not None and (one is rocks or one.value != 0):
                yield _against(one, screws[0], why)
    if seats is not None and rocks is not None and seats.value == PLACES and rocks.value:
        yield _against(rocks, seats, "what holds a strip all round does not rock")
    if follows is not None and (seats is None or seats.value == PLACES):
        if seats is None:
            yield _wrong(
                follows.where, "how many places hold is missing",
                f"answer {end}seats too",
            )  # fmt: skip
        else:
            yield _against(follows, seats, "no place is loose")


def _misread(
    form: Form, mandrel: Mandrel, said: Mapping[str, Said], given: Sequence[Given]
) -> Iterator[Finding]:
    """A crest that no part goes over, though one screws on: told at the reading and at the test,
    since either may be wrong."""
    for g in given:
        c = find(mandrel, g.id)
        why = "" if g.passed is not None else why_not(mandrel, c, g.value)
        on = [said[q.id] for q in form.questions if q.test == c.end.named("screws") if q.id in said]
        if why and on and all(s.value for s in on):
            yield _wrong(
                g.origin, f"{text_of(g.value)} contradicts {on[0].question.id} = '{on[0].text}' "
                f"({on[0].where}): {why}",
                "measure it again, and try again whether it screws on; what stays in doubt is left "
                "out",
            )  # fmt: skip
            for s in on:
                yield _wrong(
                    s.where, f"'{s.text}' contradicts the reading {text_of(g.value)} of "
                    f"{what(c)}", "correct one of the two",
                )  # fmt: skip


def _against(one: Said, other: Said, why: str) -> Finding:
    return _wrong(
        one.where,
        f"'{one.text}' contradicts {other.question.id} = '{other.text}' ({other.where}): {why}",
        "try it again, and correct one of the two; what was not tried has no answer",
    )


def _wrong(where: str, message: str, remedy: str) -> Finding:
    return Finding(level=Level.ERROR, code=CODE, where=where, message=message, remedy=remedy)
