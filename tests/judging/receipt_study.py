"""The program's receipt at home on simulated mandrels: how many bad ones are used, how many good
ones sent back, and the strict way beside it."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

from mandrelgen.assess.settled import designs
from mandrelgen.core.errors import InputError
from mandrelgen.model.mandrel import Mandrel, collar_diameter
from mandrelgen.standards.iso_14253 import Conformity
from mandrelgen.workflows.receive_home import Answered, Case, judged
from mandrelgen.workflows.rejudge import Use, verdicts
from mandrelgen.workshop.receipt import readings
from mandrelgen.workshop.receipt.home_answers import Answer
from mandrelgen.workshop.receipt.home_word import SERVES, Decision, Word
from tests.judging import receipt_world as world
from tests.support.archived import starters

SEED = 20_270_614  # another than the one the limits were looked at with
DAY = "2026-06-01"
CALIPER, INSIDE = 0.03, 0.05  # expanded uncertainty, as the trade notes have it
WAYS = ("calipers", "and by hand", "and run-out, amounts", "and run-out, high spots",
        "strict, calipers", "strict, and indicator")  # fmt: skip
TRIED = dict(zip(WAYS, (
    "calipers alone", "and by hand, with paper", "and run-out twice, amounts only",
    "and run-out twice, with the high spots", "strict readings, calipers",
    "strict readings, calipers and indicator",
), strict=True))  # fmt: skip
WORDS = ("use it", "rework", "send back", "asked", "not finished")
"""``asked``: a test by hand fails and nothing shows the piece outside its limits, or another collet
on the shelf clamps it."""


@dataclass(frozen=True)
class Setting:
    """A mandrel to be made many times: the program's case, and its plain facts."""

    name: str
    case: Case
    facts: world.Facts


@dataclass
class Tally:
    """Words given by way, of good mandrels and of bad ones; ``why``: of bad ones used, why bad."""

    good: dict[str, Counter[str]] = field(default_factory=lambda: {w: Counter() for w in WAYS})
    bad: dict[str, Counter[str]] = field(default_factory=lambda: {w: Counter() for w in WAYS})
    why: dict[str, Counter[str]] = field(default_factory=lambda: {w: Counter() for w in WAYS})

    def of(self, good: bool) -> int:
        """How many there are."""
        return sum((self.good if good else self.bad)[WAYS[-1]].values())


def settings() -> tuple[Setting, ...]:
    """A cap's plug on a joint meant to be flush, one of three starts on a shoulder, and a section's
    cup."""
    flush = {"diameter = 12.4\n": "diameter = 13.2\n"}  # the barrel as thick as the cap's mouth
    return (
        _setting("flush joint, one start", "wren", FLUSH, flush),
        _setting("shoulder, three starts", "heron", "", {}),
        _setting("cup, one start", "wren", FLUSH, {}, "section-rear-cup"),
    )


FLUSH = "\n[mandrels.use]\ntarget_step = 0.07\n"


def _setting(
    name: str, pen: str, more: str, changes: dict[str, str], id: str = "cap-mouth-plug"
) -> Setting:
    read, shop, _, _ = starters(pen, more=more, **changes)
    made = tuple(designs(read, shop))
    d = next(d for d in made if d.planned.id == id)
    assert d.mandrel is not None
    before = verdicts(read, shop, made, {}, d.planned.id)
    use = Use(pen=read, shop=shop, designed=made, others={}, before=before)
    case = Case(d.mandrel, shop, use, "MG-0001 A")
    return Setting(name, case, facts(d.mandrel, case))


def facts(m: Mandrel, case: Case) -> world.Facts:
    """Limits off the drawing; the use as the design's own budget names its causes."""

    def limits(id: str) -> tuple[float, float]:
        c = m.characteristic(id)
        assert c.lower is not None
        assert c.upper is not None
        return c.lower, c.upper

    thread = m.threads[0]
    cup = not thread.form.external
    assert isinstance(case.use, Use)
    [side] = case.use.sides(m)
    centre = "counterbore.runout" if cup else "thread.runout"
    own = ("thread.pitch_diameter", centre, "seat.runout", "part.face", "part.thread")
    others = tuple(t.designed for t in side.terms if t.id not in own and t.designed > 0)
    stretch = next(s for s in (m.inner if cup else m.outer) if s.thread is not None)
    part, collar = thread.partner, collar_diameter(m)
    assert collar is not None
    return world.Facts(
        shank=limits("shank.diameter"),
        crest=limits("thread.minor_diameter" if cup else "thread.major_diameter"),
        pitch=limits("thread.pitch_diameter"),
        part_pitch=(part.pitch.min or 0.0, part.pitch.max or 0.0),
        thread_runout=m.characteristic(centre).upper or 0.0,
        seat_runout=m.characteristic("seat.runout").upper or 0.0,
        seat_diameter=collar.nominal,
        engaged=stretch.z1 - stretch.z0, starts=thread.form.starts, need=side.need,
        collet_runout=0.02, others=others,
        hole=limits("counterbore.diameter") if cup else None,
        part_major=(part.major.max or 0.0) if cup else 0.0,
        part_minor=(part.minor.max or 0.0) if cup else 0.0,
    )  # fmt: skip


def run(s: Setting, count: int, seed: int = SEED, ways: Sequence[str] = WAYS) -> Tally:
    """``count`` mandrels through every way at home that is asked for, and both strict ones."""
    found = Tally()
    for n in range(count):
        rng = random.Random(f"{seed} {s.name} {n}")
        m = world.make(s.facts, rng)
        wrong = world.faults(s.facts, m, rng)
        caliper = world.calipers(m, CALIPER, INSIDE, rng)
        hand = world.by_hand(s.facts, m, rng)
        told = world.indicator(s.facts, m, rng)
        bare = {k: v.partition("@")[0] for k, v in told.items()}
        answers = (caliper, caliper | hand, caliper | hand | bare, caliper | hand | told)
        for way, given in zip(WAYS, answers, strict=False):
            if way not in ways:
                continue
            _count(found, way, end_of(decided(s.case, given)), wrong)
        _count(found, WAYS[4], strict(s.case, caliper, {}), wrong)
        _count(found, WAYS[5], strict(s.case, caliper, told), wrong)
    return found


def decided(case: Case, given: dict[str, str]) -> Decision:
    """The word on what a maker answers, who leaves a crest out that is doubted: the parts of the
    simulation have a root of any depth."""
    try:
        return _decided(case, given)
    except InputError as e:
        if not all("the reading" in f.message or "part's root" in f.message for f in e.findings):
            raise
        return _decided(case, {k: v for k, v in given.items() if k not in CRESTS})


def _decided(case: Case, given: dict[str, str]) -> Decision:
    return judged(case, Answered(tuple(Answer(*x) for x in given.items())), DAY).decision


CRESTS = ("thread.major_diameter", "thread.minor_diameter")


def end_of(d: Decision) -> str:
    """What becomes of a mandrel by the word."""
    if d.word is Word.NOT_YET:
        return "asked" if any(f.asks for f in d.faults) else "not finished"
    return "use it" if d.word in SERVES else d.word.value


def _count(found: Tally, way: str, word: str, wrong: list[str]) -> None:
    (found.bad if wrong else found.good)[way][word] += 1
    if word == "use it" and wrong:
        found.why[way]["+".join(wrong)] += 1


def strict(case: Case, caliper: dict[str, str], told: dict[str, str]) -> str:
    """The word of the strict way with the same instruments: one indicator reading of each run-out
    as it is clamped, which holds the collet's too."""
    given = [readings.parse(f"{k}={v}") for k, v in caliper.items()]
    for name in ("thread", "counterbore", "seat"):
        if (read := told.get(f"runout.{name}.1")) is not None:
            amount = read.partition("@")[0]
            given.append(readings.parse(f"{name}.runout={amount}@indicator"))
    verdict = readings.judge(case.drawn, case.shop, given).verdict
    return {
        Conformity.ACCEPT: "use it", Conformity.REJECT: "send back",
    }.get(verdict, "not finished")  # fmt: skip


def table(name: str, t: Tally) -> list[str]:
    """The tally as lines of Markdown."""
    good, bad = t.of(True), t.of(False)
    out = [f"{name}: {good} good, {bad} bad", ""]
    out.append(
        "| way | bad: " + " | bad: ".join(WORDS) + " | good: " + " | good: ".join(WORDS) + " |"
    )
    out.append("|---|" + "---|" * (2 * len(WORDS)))
    for way in WAYS:
        cells = [str(t.bad[way][w]) for w in WORDS] + [str(t.good[way][w]) for w in WORDS]
        out.append(f"| {way} | " + " | ".join(cells) + " |")
    why = "; ".join(f"{way}: " + ", ".join(f"{k} {n}" for k, n in t.why[way].most_common())
                    for way in WAYS if t.why[way])  # fmt: skip
    return [*out, "", f"bad ones used, by what is wrong: {why}", ""]


def summary(tallies: Sequence[Tally]) -> list[str]:
    """All kinds together, as the README has it: the first words of its lines are the ways."""
    good, bad = (sum(t.of(kind) for t in tallies) for kind in (True, False))
    out = [f"{good + bad:,} as made: {good:,} good, {bad:,} bad", "",
           "| tried | bad ones used | good ones sent back | bad, good asked about | not finished |",
           "|---|---|---|---|---|"]  # fmt: skip
    for way in WAYS:
        used = sum(t.bad[way]["use it"] for t in tallies)
        back = sum(t.good[way]["send back"] for t in tallies)
        left = sum(k[way]["not finished"] for t in tallies for k in (t.good, t.bad))
        asked = [sum(k[way]["asked"] for k in kind)
                 for kind in ([t.bad for t in tallies], [t.good for t in tallies])]  # fmt: skip
        out.append(
            f"| {TRIED[way]} | {used:,} | {back:,} | {asked[0]:,}, {asked[1]:,} | {left:,} |"
        )
    return out
