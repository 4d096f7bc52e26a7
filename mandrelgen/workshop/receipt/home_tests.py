"""What each home test shows of the characteristics it stands for, with its own uncertainty.

What a test measures (a run-out, a pin, the play felt) becomes a reading like any other, so that the
fixture is judged as made by the same budget. What hand and paper show is a word: it holds, or not.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from enum import StrEnum

from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import text_of
from mandrelgen.mechanics import half_turn
from mandrelgen.mechanics.play import thread_play
from mandrelgen.mechanics.practice import judged
from mandrelgen.model.feature import MandrelEnd, own_name
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.iso_14253 import Conformity, decide
from mandrelgen.standards.threads import ThreadLimits
from mandrelgen.workshop.receipt.home_answers import Pins, Said, Understood
from mandrelgen.workshop.receipt.home_form import (
    AMOUNT_ALONE,
    COLLET,
    PLACES,
    Form,
    Question,
    Running,
    pinned,
    running,
    thread_at,
)
from mandrelgen.workshop.receipt.readings import Reading
from mandrelgen.workshop.turning import instruments

HALF_TURN, PIN, SHAKE = "half-turn", "pin", "shake"
"""What a reading that comes of a test names as its instrument."""


class Standing(StrEnum):
    """How a test stands."""

    HOLDS = "holds"
    FAILS = "fails"
    OPEN = "open"
    NOT_DONE = "not done"


@dataclass(frozen=True, slots=True, kw_only=True)
class HomeTest:
    """A test: its answers by question, what it ``shows`` in words, the characteristics it stands
    for; ``uncertainty`` (k = 2, mm; None: a word without a measure), the ``reading`` it gives."""

    id: str
    text: str
    answers: tuple[tuple[str, str], ...]
    state: Standing
    stands_for: tuple[str, ...]
    balloons: tuple[int, ...]
    shows: str
    uncertainty: float | None = None
    reading: Reading | None = None

    @property
    def measures(self) -> bool:
        """Whether it measures what it stands for: hand, paper and the play felt only show that it
        serves, or one side of it."""
        pin = self.id == COLLET or own_name(self.id).startswith("pin.")
        return pin or (self.reading is not None and self.reading.instrument != SHAKE)


@dataclass(frozen=True, slots=True)
class Shown:
    """A state, what it shows, and its measure."""

    state: Standing
    shows: str
    uncertainty: float | None = None
    reading: Reading | None = None


NOT_DONE = Shown(Standing.NOT_DONE, "not tried")


def results(form: Form, mandrel: Mandrel, shop: Shop, found: Understood) -> tuple[HomeTest, ...]:
    """Every test of the form, in its order."""
    runs = {r.test: r for end in MandrelEnd for r in running(mandrel, end)}
    on_pin = found.said.get(COLLET)
    collet = None if on_pin is None else on_pin.value
    out = []
    for test in form.tests:
        mine = [q for q in form.questions if q.test == test]
        said = {q.id: found.said[q.id] for q in mine if q.id in found.said}
        shown = _shown(test, mine, said, mandrel, shop, runs, collet) if said else NOT_DONE
        out.append(_result(test, mine, said, shown))
    return tuple(out)


def _result(test: str, mine: list[Question], said: Mapping[str, Said], shown: Shown) -> HomeTest:
    return HomeTest(
        id=test, text=mine[0].text, answers=tuple((k, s.text) for k, s in said.items()),
        state=shown.state, stands_for=mine[0].stands_for, balloons=mine[0].balloons,
        shows=shown.shows, uncertainty=shown.uncertainty, reading=shown.reading,
    )  # fmt: skip


def _shown(
    test: str, mine: list[Question], said: Mapping[str, Said], mandrel: Mandrel, shop: Shop,
    runs: Mapping[str, Running], collet: object,
) -> Shown:  # fmt: skip
    end = MandrelEnd.of(test)
    own = test.removeprefix(end.value)
    if test in runs:
        values = [said[f"{test}.{n}"].value for n in (1, 2)]
        return _run_out(runs[test], values, shop, None if runs[test].axial else collet)
    if test == COLLET:
        return Shown(Standing.HOLDS, f"my collet's own run-out is {said[test].text}", _on_pin(shop))
    if own == "screws":
        return _screws(mine, said)
    if own == "seats":
        return _seats(said, end)
    if own == "shake":
        return _shake(said[test].value, mandrel, end)
    if own.startswith("pin."):
        return _pin(said[test].value, test, mandrel, end)
    if own == "rocks":
        fails = "tightened it rocks: the face does not bear, or the thread bottoms first"
        return _word(not said[test].value, "tightened it does not rock", fails)
    if own == "enters":
        return _word(said[test].value, "the part goes on", "the part does not go on by hand")
    return _word(said[test].value, "it goes in and is clamped",
                 "it does not go in to its depth, or is not clamped")  # fmt: skip


def _word(good: object, holds: str, fails: str) -> Shown:
    return Shown(Standing.HOLDS, holds) if good else Shown(Standing.FAILS, fails)


def _screws(mine: list[Question], said: Mapping[str, Said]) -> Shown:
    starts = {q.id.rpartition(".")[2]: said[q.id].value for q in mine if q.id in said}
    bad = [n for n, good in starts.items() if not good]
    if bad:
        where = f" in start {' and '.join(bad)}" if len(mine) > 1 else ""
        rest = [n for n, good in starts.items() if good]
        also = f"; it does in start {' and '.join(rest)}" if rest else ""
        return Shown(Standing.FAILS, f"it does not screw on by hand{where}{also}")
    if len(starts) < len(mine):
        left = [q.id.rpartition(".")[2] for q in mine if q.id not in said]
        return Shown(Standing.OPEN, f"start {' and '.join(left)} was not tried")
    return Shown(
        Standing.HOLDS, "it screws on by hand" + (" in every start" if len(mine) > 1 else "")
    )


def _seats(said: Mapping[str, Said], end: MandrelEnd) -> Shown:
    paper = judged("receipt", "paper")
    hold = said[end.named("seats")].value
    follows = said.get(end.named("seats.follows"))
    if hold == PLACES:
        return Shown(
            Standing.HOLDS, f"it bears all round, within a strip's {text_of(paper)}", paper
        )
    loose = f"loose at {PLACES - int(hold)} of {PLACES} places"  # type: ignore[arg-type]
    if follows is None:
        return Shown(Standing.OPEN, f"{loose}; whether mandrel or part is to blame was not tried",
                     paper)  # fmt: skip
    if follows.value == "part":
        return Shown(Standing.OPEN, f"{loose}, which goes with the part: its face is out of "
                     "square, the mandrel's is not shown", paper)  # fmt: skip
    return Shown(Standing.FAILS, f"{loose}, which stays with the mandrel", paper)


def _on_pin(shop: Shop) -> float:
    """Expanded uncertainty of a run-out in the collet, mm: the indicator's, and how well the collet
    repeats."""
    return math.hypot(_indicator(shop), judged("receipt", "clamping"))


def _run_out(r: Running, values: Sequence[object], shop: Shop, collet: object) -> Shown:
    """Half the vector difference of two readings, or what two amounts leave; ``collet``: its own
    run-out, if it was read."""
    first, second = values
    assert isinstance(first, half_turn.Reading)
    assert isinstance(second, half_turn.Reading)
    known = None
    if isinstance(collet, float):
        known = (max(0.0, collet - _on_pin(shop)), collet + _on_pin(shop))
    found = half_turn.half_turn(first, second, known)
    own = half_turn.uncertainty(first, second, _on_pin(shop), judged("receipt", "angle"))
    if r.on_piece:
        own = math.hypot(own, judged("receipt", "piece"))
    u = own + found.spread
    verdict = decide(found.mandrel, None, r.allowed, u)
    bounds = text_of(found.mandrel)
    if found.spread > 0:
        bounds = f"{text_of(found.mandrel_low)} to {text_of(found.mandrel_high)}"
    said = f"the mandrel's share is {bounds} ± {text_of(own)}, the collet's {_collet(found)}"
    said += f" (at most {text_of(r.allowed)}{'' if r.drawn else ', asked in words'})"
    if verdict is Conformity.UNDECIDED and found.spread > 0:
        said += f"; {AMOUNT_ALONE}: read where it stands highest, both times"
    reading = Reading(
        id=r.id, value=found.mandrel, uncertainty=u, instrument=HALF_TURN, verdict=verdict,
        raw=None,
    )  # fmt: skip
    return Shown(_STATES[verdict], said, u, reading)


def _collet(found: half_turn.HalfTurn) -> str:
    if found.collet_high - found.collet_low < 5e-4:
        return text_of(found.collet_low)
    return f"{text_of(found.collet_low)} to {text_of(found.collet_high)}"


_STATES = {
    Conformity.ACCEPT: Standing.HOLDS, Conformity.REJECT: Standing.FAILS,
    Conformity.UNDECIDED: Standing.OPEN,
}  # fmt: skip


def _indicator(shop: Shop) -> float:
    """The finest indicator of the shop's, else what is reckoned with, mm."""
    named = [n for n, i in shop.instruments.items() if i.kind.value == "indicator"] or ["indicator"]
    return min(instruments.named(shop, n, instruments.OUTSIDE).uncertainty for n in named)


def _shake(play: object, mandrel: Mandrel, end: MandrelEnd) -> Shown:
    """The play of this pair, as the pitch diameter that would give it in the loosest part: a bound
    on the side of the metal, from which the largest play follows."""
    assert isinstance(play, float)
    u = judged("receipt", "shake")
    thread = thread_at(mandrel, end)
    assert thread is not None
    own, part = thread.limits, thread.partner
    most = thread_play(*((own, part) if own.external else (part, own))).pitch_max
    loose = play - u >= most
    value, width = _bound(play, u, most, own)
    reading = Reading(
        id=thread.feature.size("pitch_diameter"), value=value, uncertainty=width, instrument=SHAKE,
        verdict=Conformity.REJECT if loose else Conformity.UNDECIDED, raw=play,
    )  # fmt: skip
    shows = f"play {text_of(play)} ± {text_of(u)}, by the drawing at most {text_of(most)}"
    state = Standing.FAILS if loose else Standing.HOLDS if play + u <= most else Standing.OPEN
    return Shown(state, shows, u, reading)


def _bound(play: float, u: float, most: float, own: ThreadLimits) -> tuple[float, float]:
    """Middle and half width of what the play felt leaves of the pitch diameter's limits, mm; the
    side of the metal stays as drawn, since this part need not be the tightest."""
    assert own.pitch.min is not None
    assert own.pitch.max is not None
    out = 1.0 if own.external else -1.0
    tight, loose = (
        (own.pitch.max, own.pitch.min) if own.external else (own.pitch.min, own.pitch.max)
    )
    felt = loose + out * (most - play)
    if play > most:
        return felt, u
    end = felt - out * u
    if (tight - end) * out <= 0:
        return tight, 0.0
    return (end + tight) / 2, abs(tight - end) / 2


def _pin(value: object, test: str, mandrel: Mandrel, end: MandrelEnd) -> Shown:
    """A hole between the largest pin that goes and the smallest that stops."""
    assert isinstance(value, Pins)
    c = next(c for c in pinned(mandrel, end) if end.named(f"pin.{c.feature.own}") == test)
    u = judged("receipt", "pin")
    low = max(value.goes, default=None)
    high = min(value.stops, default=None)
    said = [f"{text_of(low)} goes"] if low is not None else []
    said += [f"{text_of(high)} stops"] if high is not None else []
    assert c.lower is not None
    state = Standing.OPEN
    if (high is not None and high + u <= c.lower) or (
        low is not None and c.upper is not None and low - u >= c.upper
    ):
        state = Standing.FAILS
    elif (
        low is not None
        and low >= c.lower
        and (c.upper is None or (high is not None and high <= c.upper))
    ):
        state = Standing.HOLDS
    reading = None
    if low is not None and high is not None:
        middle, width = (low + high) / 2, (high - low) / 2 + u
        reading = Reading(
            id=c.id, value=middle, uncertainty=width, instrument=PIN, raw=None,
            verdict=decide(middle, c.lower, c.upper, width),
        )  # fmt: skip
    return Shown(state, "; ".join(said), u, reading)


def readings_of(found: tuple[HomeTest, ...]) -> Iterator[Reading]:
    """The readings that the tests gave."""
    return (r.reading for r in found if r.reading is not None)
