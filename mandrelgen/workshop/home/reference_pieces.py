"""Test pieces: two of each, cut with the maker's own tap and die from the rod of the part. One goes
with the order, one stays as the reference. mm.

Common practice, no source: nobody posts the only cap; and the piece in the drawer tells a worn die
and another batch of rod.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from mandrelgen.assess.words import Answer, Word
from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import ceil_to
from mandrelgen.design.designed import Designed
from mandrelgen.design.own_tools import cuts
from mandrelgen.spec.pen import End, Part, Pen
from mandrelgen.spec.shop import Shop
from mandrelgen.standards import material_names
from mandrelgen.standards.designation import Designation
from mandrelgen.standards.thread_spelling import read_thread
from mandrelgen.workshop.home.part_end import end_steps
from mandrelgen.workshop.home.route import blank

SOURCE = "common practice, no source"
# Head of a stud to turn it by; what a ring is longer than the mandrel's thread, in pitches; its
# least length where no mandrel is known, in pitches and in turns of the lead; steps of a length.
HEAD = 8.0
LONGER = 1.0
LEAST_PITCHES, LEAST_TURNS = 8.0, 2.0
STEP = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """A mandrel that is tried with the piece: its name and what is done about it."""

    name: str
    word: Word


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A ring (``ring`` true: tapped) or a stud, to be made twice. ``rod``: its diameter as it
    comes; ``length``: of the ring, or of the thread to the stud's shoulder; ``pitches`` of what is
    threaded of it;
    ``turned``: hole or tenon (``made``: drill, ream, bore or tenon), and ``low`` to ``high`` to be
    measured before tap or die (None: not known); ``unsaid``: the hole is not in the pen file;
    ``counterbore``: diameter and depth; ``countersink``: its diameter, and whether the pen file
    says none; ``owned``: the tool is in the shop file; ``tried``: the mandrels it stands for."""

    ring: bool
    part: str
    end: str
    made_of: str
    rod: float
    length: float
    pitches: float
    turned: float
    made: str
    low: float | None
    high: float | None
    unsaid: bool
    counterbore: tuple[float, float] | None
    countersink: tuple[float, bool] | None
    owned: bool
    tried: tuple[Tried, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreadPieces:
    """The pieces of one thread."""

    thread: str
    starts: int
    left_hand: bool
    pieces: tuple[Piece, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReferencePieces:
    """The card of a pen: every thread once; ``materials``: the rods' cautions."""

    pen: str
    threads: tuple[ThreadPieces, ...]
    cautions: tuple[str, ...]
    source: str = SOURCE


def reference_pieces(
    pen: Pen, shop: Shop, designed: Sequence[Designed], words: Sequence[Answer],
    numbers: Mapping[str, str] | None = None, without: Collection[str] = (),
) -> ReferencePieces:  # fmt: skip
    """The pieces for every thread of the parts that nothing holds back (``without``); ``numbers``:
    number and revision by mandrel id, where they are issued."""
    rows: dict[str, dict[bool, Piece]] = {}
    threads: dict[str, Designation] = {}
    marks = numbers or {}
    for name, part in pen.parts.items():
        if name in without:
            continue
        for end_name, end in part.ends.items():
            for ring, spec in ((True, end.internal), (False, end.external)):
                if spec is None:
                    continue
                d = read_thread(spec.thread)
                threads.setdefault(d.name, d)
                tried = _tried(designed, words, marks, (name, end_name), ring)
                piece = _piece(part, end_name, end, ring, shop, designed, tried, name)
                there = rows.setdefault(d.name, {}).get(ring)
                if there is None or (not there.tried and piece.tried):
                    rows[d.name][ring] = piece
    return ReferencePieces(
        pen=pen.pen.name,
        threads=tuple(
            ThreadPieces(
                thread=name, starts=threads[name].starts, left_hand=threads[name].left_hand,
                pieces=tuple(found[ring] for ring in (True, False) if ring in found),
            )
            for name, found in rows.items()
        ),
        cautions=tuple(dict.fromkeys(
            f"{material_names.spoken(p.material)}: {'; '.join(said)}."
            for name, p in pen.parts.items()
            if name not in without and (said := material_names.cautions(p.material))
        )),
    )  # fmt: skip


def _tried(
    designed: Sequence[Designed], words: Sequence[Answer], numbers: Mapping[str, str],
    at: tuple[str, str], ring: bool,
) -> tuple[Tried, ...]:  # fmt: skip
    """The mandrels that hold this end by this thread."""
    said = {a.planned: a for a in words}
    by = "internal" if ring else "external"
    found = []
    for d in designed:
        holds = [h for h in (d.planned.hold, d.planned.other) if h is not None]
        a = said.get(d.planned.id)
        if a is None or a.word in (Word.CHANGE, Word.SKIP):
            continue
        if any((h.part, h.end) == at and h.by == by for h in holds):
            name = a.uses or numbers.get(d.planned.id) or d.planned.id
            found.append(Tried(name=name, word=a.word))
    return tuple(found)


def _piece(
    part: Part, end_name: str, end: End, ring: bool, shop: Shop, designed: Sequence[Designed],
    tried: tuple[Tried, ...], name: str,
) -> Piece:  # fmt: skip
    spec = end.internal if ring else end.external
    assert spec is not None
    d = read_thread(spec.thread)
    p = float(d.pitch)
    steps = end_steps(part, end, shop, set())
    cut = next(s for s in steps if s.what == ("tap" if ring else "die"))
    unsaid, counterbore, countersink = False, None, None
    if ring:
        length = _ring(designed, (name, end_name), d)
        first = min(
            (s for s in steps if s.what in ("drill", "ream", "bore")), key=lambda s: s.length
        )
        unsaid = first.unsaid
        cb = next((s for s in steps if s.what == "counterbore"), None)
        if cb is not None:
            counterbore = (cb.diameter, cb.length)
            length += cb.length if not _held(designed, (name, end_name)) else 0.0
        sink = next((s for s in steps if s.what == "countersink"), None)
        if sink is not None:
            # Sharp, the edge would meet the corner radius at the mandrel's seat.
            countersink = (sink.diameter, sink.unsaid)
    else:
        length = cut.length
        first = next(s for s in steps if s.what == "tenon")
    return Piece(
        ring=ring, part=part.name or name, end=end_name,
        made_of=material_names.spoken(part.material), rod=blank(part).rod, length=length,
        pitches=(length - (counterbore[1] if counterbore else 0.0)) / p, turned=first.diameter,
        made=first.what, low=cut.low, high=cut.high,
        unsaid=unsaid, counterbore=counterbore, countersink=countersink,
        owned=any(cuts(t, d) for t in (shop.taps if ring else shop.dies)), tried=tried,
    )  # fmt: skip


def _held(designed: Sequence[Designed], at: tuple[str, str]) -> float | None:
    """How far a plug's thread goes into this end at most, mm; None if none is designed."""
    for d in designed:
        h = d.planned.hold
        if d.mandrel is None or (h.part, h.end, h.by) != (*at, "internal"):
            continue
        ends = [c.upper for c in d.mandrel.characteristics if c.id == "thread.end"]
        if ends and ends[0] is not None:
            return ends[0]
    return None


def _ring(designed: Sequence[Designed], at: tuple[str, str], d: Designation) -> float:
    """How long a ring is: a pitch more than the plug's thread goes in; without a plug eight
    pitches, two turns at least."""
    deep = _held(designed, at)
    p = float(d.pitch)
    least = max(LEAST_PITCHES * p, LEAST_TURNS * float(d.lead))
    return ceil_to(least if deep is None else deep + LONGER * p, STEP)
