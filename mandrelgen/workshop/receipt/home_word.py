"""The word on a mandrel that arrived: use it, rework it, send it back; and what stays untested.

What is proved wrong is said at once; what fails by hand and may be within its limits is asked
about first (`home_asks`). *Use it* rests on what decides (`to_try`): until that was
tried the word is *not yet*, with what is left. What no instrument at hand reads is named, with the
mismatch it could cost if it were twice as far out as the drawing allows (an assumption, said as
such).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from enum import StrEnum

from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import text_of
from mandrelgen.model.balloon_numbers import numbered
from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.feature import FeatureKind
from mandrelgen.model.inspected import inspected
from mandrelgen.standards.iso_14253 import Conformity
from mandrelgen.workshop.receipt import to_try
from mandrelgen.workshop.receipt.comparison import EndInUse
from mandrelgen.workshop.receipt.home_evidence import Evidence
from mandrelgen.workshop.receipt.home_faults import Fault, Rework
from mandrelgen.workshop.receipt.home_form import asked, spans
from mandrelgen.workshop.receipt.home_tests import Standing
from mandrelgen.workshop.receipt.readings import Reading
from mandrelgen.workshop.turning import instruments
from mandrelgen.workshop.turning.names import what

TIMES = 2.0
"""How many times the drawn error is assumed of what was not tried (an estimate)."""


class Word(StrEnum):
    """What to do with it."""

    NOT_YET = "not yet"
    USE = "use it"
    USE_UNREAD = "use it, run-out not known"
    REWORK = "rework"
    SEND_BACK = "send back"


SERVES = (Word.USE, Word.USE_UNREAD)
"""The words with which it goes into use."""


@dataclass(frozen=True, slots=True)
class Untested:
    """A characteristic that nothing was read or tried of; ``counts``: it enters the mismatch."""

    id: str
    balloon: int
    what: str
    counts: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Cost:
    """The mismatch of one end in use, mm: typically and seldom above, as made (what was not tried
    taken as drawn), and with what was not tried twice as far out; ``need``: what it bears."""

    part: str
    end: str
    joint: str
    need: float
    typical: float
    seldom: float
    typical_if: float
    seldom_if: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """The word, its reason, what is wrong, what to rework, what to write to the turner or to ask
    (empty where nothing is), what was not tried and what that can cost (``left`` says it in words);
    ``to_try``: what the word waits for, what decides first."""

    word: Word
    reason: str
    left: str
    faults: tuple[Fault, ...]
    rework: tuple[Rework, ...]
    sentence: str
    untested: tuple[Untested, ...]
    costs: tuple[Cost, ...]
    to_try: tuple[str, ...] = ()


def untested(e: Evidence) -> tuple[Untested, ...]:
    """What the use hangs on and nothing was read or tried of. A thread that screws on is not proved
    to be tight enough: its pitch diameter counts as untested until its play was felt or it was
    measured."""
    tried = {i for t in e.tests if t.state is not Standing.NOT_DONE for i in t.stands_for}
    binds_not = {i for t in e.tests if t.state is Standing.HOLDS for i in t.stands_for}
    read = {r.id for r in e.readings}
    found = []
    numbers, hangs = numbered(e.drawn), inspected(e.drawn)
    for c in e.drawn.characteristics:
        if c.lower is None and c.upper is None:
            continue
        counts = _doubled(e, c) is not None
        loose = c.kind is Kind.THREAD_PITCH_DIAMETER
        if c.id not in hangs or c.id in read or (c.id in tried and not loose):
            continue
        said = what(c) + (", loose side" if loose and c.id in binds_not else "")
        found.append(Untested(c.id, numbers[c.id], said, counts))
    return tuple(sorted(found, key=lambda u: not u.counts))


def doubled(e: Evidence, open_: Sequence[Untested]) -> tuple[Reading, ...]:
    """Readings that say of everything untested that it is twice as far out as drawn."""
    ids = {u.id for u in open_}
    return tuple(
        Reading(id=c.id, value=value, uncertainty=0.0, instrument="assumed",
                verdict=Conformity.UNDECIDED, raw=None)
        for c in e.drawn.characteristics
        if c.id in ids and (value := _doubled(e, c)) is not None
    )  # fmt: skip


def _doubled(e: Evidence, c: Characteristic) -> float | None:
    """A size twice as far out as its limits allow, on the side that costs mismatch; None for what
    has no share in it."""
    if c.kind in (Kind.RUNOUT, Kind.FACE_RUNOUT) and c.upper is not None:
        return TIMES * c.upper
    plain = c.kind is Kind.DIAMETER and c.feature.kind in (FeatureKind.SPIGOT, FeatureKind.REGISTER)
    if c.lower is None or c.upper is None or not (c.kind is Kind.THREAD_PITCH_DIAMETER or plain):
        return None
    more = (TIMES - 1) * (c.upper - c.lower)
    return c.upper + more if instruments.is_inside(e.drawn, c) else c.lower - more


def costs(made: Sequence[EndInUse], worse: Sequence[EndInUse]) -> tuple[Cost, ...]:
    """The mismatch of each end, as made and with what was not tried twice as far out."""
    found = []
    for a, b in zip(made, worse, strict=True):
        low, high = _models(a)
        low_if, high_if = _models(b)
        found.append(
            Cost(part=a.part, end=a.end, joint=a.joint, need=a.need, typical=low, seldom=high,
                 typical_if=low_if, seldom_if=high_if)
        )  # fmt: skip
    return tuple(found)


def _models(s: EndInUse) -> tuple[float, float]:
    """The mismatch by the two models, the smaller first, mm."""
    low, high = sorted(s.figure(i).made or 0.0 for i in ("joint_step.centred", "joint_step"))
    return low, high


def decide(
    e: Evidence, found: Sequence[Fault], open_: Sequence[Untested], cost: Sequence[Cost],
    name: str, indicator: bool,
) -> Decision:  # fmt: skip
    """The word; ``name``: number and revision on the drawing, for the sentence to the turner;
    ``indicator``: whether one is owned to read run-outs with."""
    harm = [f for f in found if f.harms]
    proved = [f for f in harm if f.asks is None]
    away = [f for f in proved if f.rework is None or not f.rework.maker]
    asked_ = tuple(dict.fromkeys(x for f in harm if f.asks is not None for x in f.asks.to_read))
    letters = [f.asks.letter for f in harm if f.asks is not None and f.asks.letter]
    waits = () if proved else asked_ or to_try.to_try(e, indicator)
    serves = Word.USE_UNREAD if to_try.run_out_unknown(e) else Word.USE
    word = Word.SEND_BACK if away else Word.REWORK if proved else Word.NOT_YET if waits else serves
    also = [f for f in found if f.size and not f.harms]
    reworks = {f.rework.id: f.rework for f in proved if f.rework is not None}
    return Decision(
        word=word,
        reason=" ".join(f"{x}." for x in _reason(e, word, found, cost, waits)),
        left=" ".join(f"{x}." for x in _left(open_, cost)),
        faults=tuple(found),
        rework=tuple(reworks.values()),
        sentence=_sentence(name, harm, also) if away or (letters and not proved) else "",
        untested=tuple(open_),
        costs=tuple(cost),
        to_try=waits,
    )


def _reason(
    e: Evidence, word: Word, found: Sequence[Fault], cost: Sequence[Cost], waits: Sequence[str]
) -> Iterator[str]:
    harmless = [told(f) for f in found if not f.harms]
    if waits:  # what stands out already comes first
        yield from harmless
        asking = any(f.harms for f in found)
        yield f"Still to {'find out' if asking else 'try'}: {'; '.join(waits)}"
    yield from (told(f) for f in found if f.harms)
    if not waits:
        yield from harmless
    unsure = [t for t in e.tests if t.state is Standing.OPEN]
    unread = [t for t in to_try.run_outs(e) if t.state is Standing.NOT_DONE]
    if word is Word.USE_UNREAD and unread:
        yield ("Run-out was not read, since no indicator is listed in the shop file: whether a "
               "part runs true on it is not known")  # fmt: skip
    for t in unsure:
        yield f"{_at(t.balloons)}not decided, {asked(t.text)}: {t.shows}"
    if word in SERVES and not found:
        else_ = "else " if unsure or unread else ""
        yield f"Nothing {else_}that was read or tried speaks against it"
    if word is not Word.NOT_YET:  # what was not tried would stand in it as drawn
        for c in cost:
            yield _mismatch(c)


def told(f: Fault) -> str:
    """What was found, where, and what it means for the use."""
    return f"{_at(f.balloons)}{f.said}; {f.why}"


def _mismatch(c: Cost) -> str:
    place = f"Mismatch at {c.joint}" if c.joint else f"Mismatch at {c.part} {c.end}"
    return (f"{place}: typically {text_of(c.typical)}, seldom above {text_of(c.seldom)}; it bears "
            f"{text_of(c.need)}")  # fmt: skip


def _left(open_: Sequence[Untested], cost: Sequence[Cost]) -> Iterator[str]:
    counting = [u for u in open_ if u.counts]
    if counting:
        named = ", ".join(f"{u.what} (balloon {u.balloon})" for u in counting)
        worse = "; ".join(
            f"typically {text_of(c.typical_if)}, seldom above {text_of(c.seldom_if)}"
            + (f" at {c.joint}" if c.joint and len(cost) > 1 else "")
            for c in cost
        )
        if cost:
            yield f"Untested, and it counts: {named}"
            yield f"If each were twice as far out as drawn, the mismatch is {worse}"
        else:
            yield f"Untested: {named}; no joint is known to say what it costs"
    others = [u for u in open_ if not u.counts]
    if others:
        named = ", ".join(f"{u.what} ({u.balloon})" for u in others)
        yield f"Also untested, without a share in the mismatch: {named}"


def _at(balloons: Sequence[int]) -> str:
    if not balloons:
        return ""
    noun = "Balloon" if len(balloons) == 1 else "Balloons"
    return f"{noun} {spans(balloons)}: "


def _sentence(name: str, harm: Sequence[Fault], also: Sequence[Fault]) -> str:
    """What to write to the turner; ``also``: sizes proved outside their limits that do no harm."""
    said = [f"Drawing {name}."]
    for f in harm:
        said.append(f"{_at(f.balloons)}{f.said}.")
    if also:
        said.append(
            f"Also outside its limits: {'; '.join(_at(f.balloons) + f.said for f in also)}."
        )
    said += [f"{x}." for x in dict.fromkeys(f.binds for f in harm) if x]
    said += dict.fromkeys(f.asks.letter for f in harm if f.asks is not None and f.asks.letter)
    proved = [f for f in harm if f.asks is None]
    cures = [
        f.rework.what.replace("my collet", "a true collet") for f in proved if f.rework is not None
    ]
    if proved and len(cures) == len(proved):
        said.append(f"Can you put it right: {'; '.join(dict.fromkeys(cures))}?")
    elif proved:
        said.append("Please make it as drawn, or replace it.")
    letter = " ".join(said)
    told = " Figures behind ± are expanded uncertainties (k = 2)."
    return letter + told if "±" in letter else letter
