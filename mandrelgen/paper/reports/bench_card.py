"""The pen maker's own card: blanks, drills, taps and dies, and what is held in which order. mm."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from mandrelgen.assess.choose_tolerances import situated
from mandrelgen.assess.words import Answer, Word
from mandrelgen.core.tolerance import ceil_to, text_of
from mandrelgen.design.designed import Designed
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.pen import BoreStep, End, Part, Pen
from mandrelgen.spec.shop import Shop
from mandrelgen.standards import material_names, stock
from mandrelgen.standards.thread_spelling import read_thread

SOURCE = "common practice, no source"


@dataclass(frozen=True, slots=True, kw_only=True)
class Blank:
    """What to saw off for a part: ``length`` = finished + saw + facing + centre; ``bore_first``
    when both ends are worked before the outside."""

    part: str
    length: float
    diameter: float
    finished: float
    made_of: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchHole:
    """One drill, reamer or boring of a part's end; ``depth`` from the finished face."""

    part: str
    end: str
    tool: str
    diameter: float
    depth: float
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TapOrDie:
    """A tap or a die."""

    part: str
    end: str
    tool: str
    thread: str
    length: float
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CardPart:
    """A part on its mandrel: in which order, in which collet, how far the seat stands in front of
    the nut (mm), and the highest safe speed of its verdict (1/min; 0: it must not run, None: it is
    not turned on) with what limits it. ``number``: the fixture's, empty if not issued. A part that
    needs no mandrel names none, and ``limited_by`` says how it is turned instead."""

    order: int
    part: str
    mandrel: str
    number: str
    collet: str
    stand_off: float | None
    speed: int | None
    start: int | None
    limited_by: str
    tailstock: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchCard:
    """The card, one page."""

    pen: str
    blanks: tuple[Blank, ...]
    holes: tuple[BenchHole, ...]
    cuts: tuple[TapOrDie, ...]
    held: tuple[CardPart, ...]
    cautions: tuple[str, ...]
    source: str = SOURCE


def bench_card(
    pen: Pen,
    shop: Shop,
    designed: Sequence[Designed],
    numbers: Mapping[str, str] | None = None,
    without: Collection[str] = (),
    words: Sequence[Answer] = (),
) -> BenchCard:
    """The card of a pen; ``numbers``: number and revision by mandrel id, where they are issued;
    ``without``: parts that a fault of the pen holds back; ``words``: what to do about each mandrel
    (without them a new one is used for each)."""
    holes: list[BenchHole] = []
    cuts: list[TapOrDie] = []
    parts = {name: part for name, part in pen.parts.items() if name not in without}
    for part_id, part in parts.items():
        for end_id, end in part.ends.items():
            holes += _holes(part_id, part, end_id, end, holes)
            cuts += _cuts(part_id, end_id, end)
    held: list[CardPart] = []
    said = {a.planned: a for a in words}
    for d in designed:
        if d.planned.hold.part in without:
            continue
        a = said.get(d.planned.id)
        if a is not None and a.word is Word.SKIP and not a.uses:
            held.append(_on_no_mandrel(len(held), pen, d, a.reason))
            continue
        other = a.uses if a is not None else ""
        number = (numbers or {}).get(other or d.planned.id, other)
        held += _held(len(held), pen, shop, d, number)
    return BenchCard(
        pen=pen.pen.name,
        blanks=tuple(_blank(n, p) for n, p in parts.items()),
        holes=tuple(holes),
        cuts=tuple(cuts),
        held=tuple(held),
        cautions=_cautions(pen, [d.mandrel for d in designed if d.mandrel is not None]),
    )


def _blank(name: str, part: Part) -> Blank:
    saw, facing, centre = (stock.blank_allowance(n) for n in ("saw", "facing", "centre"))
    closed = sum(1 for e in part.ends.values() if not e.bore and e.internal is None)
    add = saw + 2 * facing + (centre if closed else 0.0)
    why = f"{text_of(saw)} saw, 2 × {text_of(facing)} facing"
    if closed:
        why += f", {text_of(centre)} centre"
    return Blank(
        part=part.name or name,
        length=ceil_to(float(part.length) + add, 1.0),
        diameter=float(part.diameter),
        finished=float(part.length),
        made_of=material_names.spoken(part.material),
        why=f"{why}; ⌀ +{text_of(stock.blank_allowance('polish'))} to polish",
    )


_TOOL = {"drilled": "drill", "reamed": "drill under, then ream", "bored": "drill under, then bore"}


def _holes(
    part: str, whole: Part, name: str, end: End, before: Sequence[BenchHole]
) -> list[BenchHole]:
    """The holes of an end; one that goes through from the other end (``before``) is not told
    twice."""
    through = {h.diameter for h in before if h.part == part and h.depth >= float(whole.length)}
    # Deepest first is the narrowest: a wide drill is led by the narrow hole.
    steps: list[BoreStep] = sorted(
        (s for s in end.bore if float(s.diameter) not in through or s.depth < whole.length),
        key=lambda s: (float(s.diameter), -float(s.depth)),
    )
    out = [
        BenchHole(
            part=part,
            end=name,
            tool=_TOOL.get(s.made.value, s.made.value),
            diameter=float(s.diameter),
            depth=float(s.depth),
            note="undercut: bore it after the narrower one" if s.undercut else "",
        )
        for s in steps
    ]
    if end.internal is not None and not end.bore:
        d = read_thread(end.internal.thread)
        depth = float(end.internal.depth or end.internal.full_thread or 0)
        out.append(
            BenchHole(
                part=part,
                end=name,
                tool="drill for the tap",
                diameter=round(float(d.diameter - d.pitch), 2),
                depth=depth,
                note="D − P",
            )
        )
    if end.internal is not None and end.internal.counterbore is not None:
        cb = end.internal.counterbore
        out.append(
            BenchHole(
                part=part,
                end=name,
                tool="counterbore",
                diameter=float(cb.diameter),
                depth=float(cb.depth),
                note="",
            )
        )
    return out


def _cuts(part: str, name: str, end: End) -> list[TapOrDie]:
    out = []
    if end.internal is not None:
        d = read_thread(end.internal.thread)
        length = float(end.internal.depth or end.internal.full_thread or 0)
        out.append(TapOrDie(part=part, end=name, tool="tap", thread=d.text, length=length, note=""))
    if end.external is not None:
        d = read_thread(end.external.thread)
        out.append(
            TapOrDie(
                part=part,
                end=name,
                tool="die",
                thread=d.text,
                length=float(end.external.length),
                note=f"tenon ⌀{text_of(float(d.diameter) - 0.05, 2)} first",
            )
        )
    return out


def _on_no_mandrel(before: int, pen: Pen, d: Designed, how: str) -> CardPart:
    """A line for a part that is turned without a mandrel of its own."""
    part = d.planned.hold.part
    return CardPart(
        order=before + 1, part=pen.parts[part].name or part, mandrel="", number="", collet="-",
        stand_off=None, speed=None, start=None, limited_by=how, tailstock=False,
    )  # fmt: skip


def _held(before: int, pen: Pen, shop: Shop, d: Designed, number: str) -> list[CardPart]:
    """A line for every working end, with what its own verdict says."""
    out: list[CardPart] = []
    ends = situated(d, pen, shop)
    for s, v in zip(ends, (d.verdict, d.verdict_b), strict=False):
        speed = v.speed if v is not None else None
        off = None
        if s.collet_face is not None and s.grip is not None:
            off = -s.collet_face - s.grip.nut
        why = ""
        if speed is not None:
            why = "; ".join(speed.refused) or speed.governing.why
        out.append(
            CardPart(
                order=before + len(out) + 1,
                part=s.part.name or s.hold.part,
                mandrel=s.mandrel.id,
                number=number,
                collet=s.mandrel.ordering.collet or "-",
                stand_off=off,
                speed=None if speed is None else speed.allowed,
                start=None if speed is None else speed.start,
                limited_by=why,
                tailstock=v is not None and v.tailstock,
            )
        )
    return out


ALWAYS = (
    "Drill, ream, tap and die both ends first; the outside comes last, on the mandrel.",
    "Screw the part on to the seat by hand. Spindle stopped to measure and for a knock-out rod.",
)


def _cautions(pen: Pen, mandrels: Sequence[Mandrel]) -> tuple[str, ...]:
    rods = (
        f"{material_names.spoken(m)}: {'; '.join(said)}."
        for m in dict.fromkeys(p.material for p in pen.parts.values())
        if (said := material_names.cautions(m))
    )
    return tuple(dict.fromkeys([*ALWAYS, *rods, *(c for m in mandrels for c in m.cautions)]))
