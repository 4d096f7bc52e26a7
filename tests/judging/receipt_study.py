"""The program's receipt at home on simulated mandrels: how many bad ones are used, how many good
ones sent back, and the strict way beside it."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

from mandrelgen.assess.settled import designs
from mandrelgen.design.designed import Designed
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.standards.iso_14253 import Conformity
from mandrelgen.workflows.receive_home import Answered, Case, judged
from mandrelgen.workflows.rejudge import Use, verdicts
from mandrelgen.workshop.receipt import readings
from mandrelgen.workshop.receipt.home_answers import Answer
from tests.judging import receipt_world as world
from tests.support.archived import starters

SEED = 20_270_614  # another than the one the limits were looked at with
DAY = "2026-06-01"
CALIPER = 0.03  # expanded uncertainty outside, as the trade notes have it
WAYS = ("calipers", "and by hand", "and run-out, amounts", "and run-out, high spots",
        "strict, calipers", "strict, and indicator")  # fmt: skip
WORDS = ("use it", "rework", "send back", "not finished")


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
    """A cap's plug on a joint meant to be flush, and one of three starts on a shoulder."""
    flush = {"diameter = 12.4\n": "diameter = 13.2\n"}  # the barrel as thick as the cap's mouth
    return (
        _setting("flush joint, one start", "wren", "\n[mandrels.use]\ntarget_step = 0.07\n", flush),
        _setting("shoulder, three starts", "heron", "", {}),
    )


def _setting(name: str, pen: str, more: str, changes: dict[str, str]) -> Setting:
    read, shop, _, _ = starters(pen, more=more, **changes)
    made = tuple(designs(read, shop))
    d = next(d for d in made if d.planned.id == "cap-mouth-plug")
    assert d.mandrel is not None
    before = verdicts(read, shop, made, {}, d.planned.id)
    use = Use(pen=read, shop=shop, designed=made, others={}, before=before)
    case = Case(d.mandrel, shop, use, "MG-0001 A")
    return Setting(name, case, facts(d.mandrel, d, case))


def facts(m: Mandrel, d: Designed, case: Case) -> world.Facts:
    """Limits off the drawing; the use as the design's own budget names its causes."""

    def limits(id: str) -> tuple[float, float]:
        c = m.characteristic(id)
        assert c.lower is not None
        assert c.upper is not None
        return c.lower, c.upper

    thread = m.threads[0]
    assert d.verdict is not None
    assert isinstance(case.use, Use)
    [side] = case.use.sides(m)
    own = ("thread.pitch_diameter", "thread.runout", "seat.runout", "part.face", "part.thread")
    others = tuple(t.designed for t in side.terms if t.id not in own and t.designed > 0)
    stretch = next(s for s in m.outer if s.thread is not None)
    part = thread.partner.pitch
    return world.Facts(
        shank=limits("shank.diameter"), crest=limits("thread.major_diameter"),
        pitch=limits("thread.pitch_diameter"), part_pitch=(part.min or 0.0, part.max or 0.0),
        thread_runout=m.characteristic("thread.runout").upper or 0.0,
        seat_runout=m.characteristic("seat.runout").upper or 0.0,
        seat_diameter=m.characteristic("collar.diameter").nominal,
        engaged=stretch.z1 - stretch.z0, starts=thread.form.starts, need=side.need,
        collet_runout=0.02, others=others,
    )  # fmt: skip


def run(s: Setting, count: int, seed: int = SEED, ways: Sequence[str] = WAYS) -> Tally:
    """``count`` mandrels through every way at home that is asked for, and both strict ones."""
    found = Tally()
    for n in range(count):
        rng = random.Random(f"{seed} {s.name} {n}")
        m = world.make(s.facts, rng)
        wrong = world.faults(s.facts, m, rng)
        caliper = world.calipers(m, CALIPER, rng)
        hand = world.by_hand(s.facts, m, rng)
        told = world.indicator(s.facts, m, rng)
        bare = {k: v.partition("@")[0] for k, v in told.items()}
        answers = (caliper, caliper | hand, caliper | hand | bare, caliper | hand | told)
        for way, given in zip(WAYS, answers, strict=False):
            if way not in ways:
                continue
            word = judged(s.case, Answered(tuple(Answer(*x) for x in given.items())), DAY).word
            _count(found, way, word, wrong)
        _count(found, WAYS[4], strict(s.case, caliper, {}), wrong)
        _count(found, WAYS[5], strict(s.case, caliper, told), wrong)
    return found


def _count(found: Tally, way: str, word: str, wrong: list[str]) -> None:
    (found.bad if wrong else found.good)[way][word] += 1
    if word == "use it" and wrong:
        found.why[way]["+".join(wrong)] += 1


def strict(case: Case, caliper: dict[str, str], told: dict[str, str]) -> str:
    """The word of the strict way with the same instruments: one indicator reading of each run-out
    as it is clamped, which holds the collet's too."""
    given = [readings.parse(f"{k}={v}") for k, v in caliper.items()]
    for name in ("thread", "seat"):
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
