"""The form for a mandrel's arrival at home: what to try, in which order, and what each test stands
for.

Calipers, an indicator in one's own collet, a strip of paper, the part or a test piece. The tests
are common practice, no source; what they cannot show is said beside them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from enum import StrEnum

from mandrelgen.core.frozen import dataclass
from mandrelgen.design.chosen_tolerances import RUN_OUT
from mandrelgen.model.balloon_numbers import numbered
from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.feature import Feature, FeatureKind, MandrelEnd
from mandrelgen.model.mandrel import Mandrel, ThreadData
from mandrelgen.spec.pen import ThreadOrder
from mandrelgen.spec.shop import InstrumentKind, Shop
from mandrelgen.workshop.turning import instruments
from mandrelgen.workshop.turning.inspection_plan import limits_text
from mandrelgen.workshop.turning.names import what

PLACES = 4
"""Places round the face where a strip is laid."""


class Answers(StrEnum):
    """What a question takes for an answer."""

    SIZE = "size"
    YES_NO = "yes or no"
    PLACES = "places"
    WHOSE = "whose"
    AMOUNT = "amount"
    RUN_OUT = "run-out"
    PINS = "pins"


ALLOWED = {
    Answers.SIZE: "13.02, or with the instrument 13.02@caliper",
    Answers.YES_NO: "yes or no",
    Answers.PLACES: f"how many of the {PLACES} places hold: 0 to {PLACES}, or all",
    Answers.WHOSE: "mandrel or part",
    Answers.AMOUNT: "mm, 0 to 1",
    Answers.RUN_OUT: "total reading in mm, 0 to 1, and where it stands highest: 0.03@90 (degrees "
    "from a mark on the collet's nut); or four dial readings a quarter turn apart 0/0.01/0.03/0.02",
    Answers.PINS: "9.80 goes, 9.90 stops",
}

HIGH_SPOT = (
    "Put one mark on the collet's nut. Turn the spindle by hand: read how far the dial moves, and "
    "where it stands highest, in degrees from the mark (a quarter turn is 90). Both times: the "
    "mandrel's own share turns round with it, the collet's stays."
)
"""How a run-out is read."""
AMOUNT_ALONE = "amounts alone cannot tell a mandrel that leans from a collet that runs out"
"""Why its high spot is asked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """A line of the form. ``test``: the test it belongs to, "" for a size that is read;
    ``stands_for``: characteristics by id, ``balloons`` their numbers; ``note``: the limits of a
    size, or what the test cannot show."""

    id: str
    test: str
    text: str
    takes: Answers
    unit: str
    stands_for: tuple[str, ...]
    balloons: tuple[int, ...]
    note: str = ""

    @property
    def allowed(self) -> str:
        """What may be written, in words."""
        return ALLOWED[self.takes]


_NEEDS = {
    Answers.RUN_OUT: InstrumentKind.INDICATOR, Answers.AMOUNT: InstrumentKind.INDICATOR,
    Answers.PINS: InstrumentKind.PINS,
}  # fmt: skip


def needs(q: Question) -> InstrumentKind | None:
    """The instrument that a test cannot be done without; None of a size, which says it itself, and
    of what hand and paper show."""
    return _NEEDS.get(q.takes)


@dataclass(frozen=True, slots=True)
class Form:
    """The questions in the order of the work, and what to heed."""

    mandrel: str
    title: str
    questions: tuple[Question, ...]
    cautions: tuple[str, ...]

    def question(self, id: str) -> Question | None:
        """The question of that id."""
        return next((q for q in self.questions if q.id == id), None)

    @property
    def tests(self) -> tuple[str, ...]:
        """The tests' ids, in order."""
        return tuple(dict.fromkeys(q.test for q in self.questions if q.test))


RUNS = "runout."
"""What the tests of a run-out begin with, without their end."""


def asked(text: str) -> str:
    """What a test asks, without how often.

    >>> asked("Run-out on the spigot, as it is clamped")
    'run-out on the spigot'
    """
    said = text.partition(", as it is")[0].partition(", entered")[0]
    return said[:1].lower() + said[1:]


def spans(numbers: Sequence[int]) -> str:
    """Balloon numbers for people.

    >>> spans((17, 18, 19, 22)), spans((4, 5)), spans(())
    ('17 to 19, 22', '4, 5', '')
    """
    rows: list[list[int]] = []
    for n in sorted(set(numbers)):
        if rows and n == rows[-1][-1] + 1:
            rows[-1].append(n)
        else:
            rows.append([n])
    said = [f"{r[0]} to {r[-1]}" if len(r) > 2 else ", ".join(map(str, r)) for r in rows]
    return ", ".join(said)


CAUTIONS = (
    "Spindle stopped, lathe switched off at the wall: turn it by hand. New edges cut: feel with a "
    "rag.",
    "Degrease the mandrel before a part touches it: cutting oil crazes or softens some resins.",
    "Paper, or soft pencil on the metal; never marking blue, spirit pen or solvent near a pen's "
    "part: they stain.",
    "No pliers, never under power. What does not start by two fingers is not forced: the part's "
    "lip bursts.",
)


def form_of(mandrel: Mandrel, shop: Shop) -> Form:
    """The form for this mandrel and the instruments of this shop."""
    numbers = numbered(mandrel)
    found = [*_sizes(mandrel, shop, numbers), *_clamps(mandrel, numbers)]
    ends = (MandrelEnd.FIRST, MandrelEnd.SECOND)
    for end in ends:
        found += _end(mandrel, end, numbers)
    if any(not r.axial for end in ends for r in running(mandrel, end)):
        found.append(_ask(numbers, (), COLLET, Answers.AMOUNT, PIN, unit="mm", note=MAY))
    return Form(mandrel.id, mandrel.title, tuple(found), CAUTIONS)


def _sizes(mandrel: Mandrel, shop: Shop, numbers: Mapping[str, int]) -> Iterator[Question]:
    """What instruments at home can read, of what the use hangs on."""
    for c in mandrel.characteristics:
        seen = c.functional or (c.feature.kind in _SEEN and c.kind is Kind.DIAMETER)
        if not seen or c.kind not in _READ:
            continue
        if c.lower is None and c.upper is None:
            continue
        tools = instruments.advised(shop, mandrel, c)
        if tools:
            yield Question(
                id=c.id, test="", text=f"{what(c)}, with {tools[0].name}",
                takes=Answers.SIZE, unit=c.unit, stands_for=(c.id,), balloons=(numbers[c.id],),
                note=limits_text(c),
            )  # fmt: skip


_READ = (Kind.DIAMETER, Kind.LENGTH, Kind.THREAD_MAJOR, Kind.THREAD_MINOR)
_SEEN = (FeatureKind.COLLAR, FeatureKind.SPIGOT, FeatureKind.REGISTER, FeatureKind.COUNTERBORE)


COLLET = "collet"
"""The question after the collet's own run-out."""
PIN = "Run-out of a ground pin in this collet, near the nut"
MAY = "may be left out"


def _ask(
    numbers: Mapping[str, int], ids: Iterable[str], id: str, takes: Answers, text: str, *,
    test: str = "", unit: str = "", note: str = "",
) -> Question:  # fmt: skip
    """A question that stands for those of the characteristics ``ids`` that the mandrel has."""
    known = tuple(i for i in ids if i in numbers)
    return Question(
        id=id, test=test or id, text=text, takes=takes, unit=unit, stands_for=known,
        balloons=tuple(numbers[i] for i in known), note=note,
    )  # fmt: skip


def _clamps(mandrel: Mandrel, numbers: Mapping[str, int]) -> Iterator[Question]:
    if "shank.diameter" in numbers:
        text = "The shank slides into my collet to its full depth, and the nut clamps it"
        yield _ask(numbers, ("shank.diameter",), "clamps", Answers.YES_NO, text)


def thread_at(mandrel: Mandrel, end: MandrelEnd) -> ThreadData | None:
    """The thread of that end."""
    return next((t for t in mandrel.threads if t.feature.end is end), None)


def _end(mandrel: Mandrel, end: MandrelEnd, numbers: Mapping[str, int]) -> Iterator[Question]:
    thread = thread_at(mandrel, end)
    guides = [
        c.id
        for c in mandrel.characteristics
        if c.end is end and c.feature.kind in _GUIDES and c.kind is Kind.DIAMETER
    ]
    if thread is not None:
        yield from _screws(thread, end, numbers)
    elif guides:
        text = "My part slides on to the locating face by hand"
        yield _ask(numbers, guides, end.named("enters"), Answers.YES_NO, text)
    if any(c.own_id == "seat.runout" and c.end is end for c in mandrel.characteristics):
        yield from _seats(thread, end, numbers)
    yield from _runs(mandrel, end, numbers)
    yield from _pins(mandrel, end, numbers)


_GUIDES = (FeatureKind.SPIGOT, FeatureKind.REGISTER)
_OF_THREAD = ("major_diameter", "pitch_diameter", "minor_diameter", "pitch", "lead", "starts")


def _screws(thread: ThreadData, end: MandrelEnd, numbers: Mapping[str, int]) -> Iterator[Question]:
    ids = [thread.feature.size(x) for x in _OF_THREAD]
    starts = thread.form.starts
    cut = "Once I have cut the thread: my" if thread.order == ThreadOrder.BLANK else "My"
    for n in range(1, starts + 1):
        which = f", entered in start {n} of {starts}" if starts > 1 else ""
        yield _ask(
            numbers, ids, end.named(f"screws.{n}"), Answers.YES_NO,
            f"{cut} part or test piece screws on by hand up to the locating face{which}",
            test=end.named("screws"), note="shows that nothing binds, not that nothing is loose",
        )  # fmt: skip
    yield _ask(
        numbers, ids[1:2], end.named("shake"), Answers.AMOUNT,
        "Half a turn off the face, indicator on the piece beside the thread: push it to and fro, "
        "read the whole movement", unit="mm", note=MAY,
    )  # fmt: skip


# Not the face's run-out: a part with play in its thread follows a face that is out of square.
_BEARS = (
    "thread.end",
    "thread.incomplete",
    "thread.depth",
    "floor.depth",
    "counterbore.depth",
    "nose.end",
)


def _seats(
    thread: ThreadData | None, end: MandrelEnd, numbers: Mapping[str, int]
) -> Iterator[Question]:
    other = "with the part turned round on the face" if thread is None else "with another piece"
    if thread is not None and thread.form.starts > 1:
        other = f"in another start, or {other}"
    ids = [end.named(i) for i in _BEARS]
    name = end.named("seats")
    yield _ask(
        numbers, ids, name, Answers.PLACES,
        f"Strips of cigarette paper at {PLACES} places between face and part, tightened by hand: "
        "how many hold", unit=f"of {PLACES}",
        note="shows that nothing holds the part off; squareness shows in the run-out",
    )  # fmt: skip
    yield _ask(
        numbers, ids, f"{name}.follows", Answers.WHOSE,
        f"If some are loose: {other}, the loose place stays with the mandrel, or goes with the "
        "part", test=name,
    )  # fmt: skip
    yield _ask(
        numbers, ids, end.named("rocks"), Answers.YES_NO,
        "Tightened by hand, it rocks when pressed at the far end",
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Running:
    """Where a run-out is read twice: the test's id, the characteristic (``drawn`` False: asked in
    words only), the largest allowed (mm), whether it is read on a piece screwed home, and along the
    axis (``axial``)."""

    test: str
    id: str
    allowed: float
    drawn: bool
    on_piece: bool
    axial: bool = False


def running(mandrel: Mandrel, end: MandrelEnd) -> tuple[Running, ...]:
    """The run-outs of one end that can be read in one's own collet."""
    found = []
    for c in mandrel.characteristics:
        if c.kind in (Kind.RUNOUT, Kind.FACE_RUNOUT) and c.end is end and c.upper is not None:
            name, axial = end.named(f"{RUNS}{c.feature.own}"), c.kind is Kind.FACE_RUNOUT
            found.append(
                Running(
                    test=name, id=c.id, allowed=c.upper, drawn=True, on_piece=False, axial=axial
                )
            )
    thread = thread_at(mandrel, end)
    if thread is not None and not any(_centres(mandrel, r.id) for r in found):
        own = thread.order != ThreadOrder.SINGLE_POINT
        name = end.named(f"{RUNS}thread")
        id = thread.feature.size("runout")
        found.append(Running(test=name, id=id, allowed=RUN_OUT, drawn=False, on_piece=own))
    return tuple(found)


def _centres(mandrel: Mandrel, id: str) -> bool:
    return mandrel.characteristic(id).kind is Kind.RUNOUT


def _runs(mandrel: Mandrel, end: MandrelEnd, numbers: Mapping[str, int]) -> Iterator[Question]:
    for r in running(mandrel, end):
        note = "" if r.drawn else f"asked in words: at most {r.allowed:g}"
        for n, how in ((1, "as it is clamped"), (2, "mandrel turned half round in the collet")):
            text = f"Run-out {_where(r)}, {how}"
            yield _ask(numbers, (r.id,), f"{r.test}.{n}", Answers.RUN_OUT, text, test=r.test,
                       unit="mm", note=note)  # fmt: skip


def _where(r: Running) -> str:
    """Where the indicator stands."""
    if r.on_piece:
        return "on the test piece screwed home, beside the face"
    if r.axial:
        return "on the locating face, along the axis"
    feature = Feature(r.id).own.removesuffix(".runout")
    return "on the crest of the thread" if feature == "thread" else f"on the {feature}"


def pinned(mandrel: Mandrel, end: MandrelEnd) -> tuple[Characteristic, ...]:
    """Holes of one end that a pin can be tried in."""
    return tuple(
        c
        for c in mandrel.characteristics
        if c.end is end
        and c.lower is not None
        and instruments.is_inside(mandrel, c)
        and (
            (c.kind is Kind.DIAMETER and c.feature.kind in _OPEN)
            or (c.kind is Kind.THREAD_MINOR and not instruments.informative(mandrel, c))
        )
    )


_OPEN = (FeatureKind.COUNTERBORE, FeatureKind.BORE)


def _pins(mandrel: Mandrel, end: MandrelEnd, numbers: Mapping[str, int]) -> Iterator[Question]:
    for c in pinned(mandrel, end):
        yield _ask(
            numbers, (c.id,), end.named(f"pin.{c.feature.own}"), Answers.PINS,
            f"{what(c)}: a pin or gauge that goes, one that stops", unit="mm", note=limits_text(c),
        )  # fmt: skip
