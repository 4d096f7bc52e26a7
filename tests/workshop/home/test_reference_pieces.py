"""The test pieces of a pen: a ring for each tap and a stud for each die, their lengths by plain
arithmetic, and who gets them."""

from __future__ import annotations

import json
import math

import pytest
from hypothesis import given, reject, settings

from mandrelgen.assess.words import Answer, Word
from mandrelgen.paper.reports.one_page import LOW, leaves
from mandrelgen.paper.reports.pieces_card import pieces_page
from mandrelgen.spec.pen import Pen
from mandrelgen.standards.designation import ThreadTextError
from mandrelgen.workflows.answers import plain
from mandrelgen.workshop.home.reference_pieces import Piece, ReferencePieces, reference_pieces
from tests.support.bench_pens import ALL, PENS, texts
from tests.support.clear_pages import clear
from tests.support.own_mandrels import words_of
from tests.support.randompens import SHOP, pens

ORDERED = [
    Answer("cap-mouth-plug", Word.ORDER, "no die"),
    Answer("finial-root-cup", Word.SKIP, "turn it screwed into its cap"),
    Answer("barrel-mouth-plug", Word.MAKE, "your own die"),
    Answer("section-rear-cup", Word.HAVE, "it fits", "MG-0007"),
]


def heron(**how: object) -> ReferencePieces:
    pen, shop, designed = ALL["heron"]
    return reference_pieces(pen, shop, designed, ORDERED, **how)  # type: ignore[arg-type]


def by_name(r: ReferencePieces) -> dict[tuple[str, bool], Piece]:
    return {(t.thread, p.ring): p for t in r.threads for p in t.pieces}


def one(r: ReferencePieces) -> str:
    (leaf,) = leaves(pieces_page(r), "Cut, mark, keep, use")
    clear(leaf, LOW)
    return texts(pieces_page(r))


@pytest.mark.parametrize("name", PENS)
def test_the_card_is_one_clear_page_and_names_every_thread_once(name: str) -> None:
    pen, shop, designed = ALL[name]
    r = reference_pieces(pen, shop, designed, words_of(pen, shop)[1])
    said = one(r)
    assert not [x for x in ("  ", " ;", "None", "()") if x in said]
    names = [t.thread for t in r.threads]
    assert len(set(names)) == len(names)
    # A ring for every internal thread of the pen, a stud for every external one.
    ends = [e for p in pen.parts.values() for e in p.ends.values()]
    for ring, specs in ((True, [e.internal for e in ends]), (False, [e.external for e in ends])):
        wanted = {s.thread.partition("-6")[0].removesuffix("-2A").removesuffix("-2B")
                  for s in specs if s is not None}  # fmt: skip
        assert {n for n, r_ in by_name(r) if r_ is ring} == wanted


@settings(max_examples=20, deadline=None)
@given(pens())
def test_the_card_of_a_random_pen_is_one_clear_page(pen: Pen) -> None:
    try:
        designed, words = words_of(pen, SHOP)
        found = reference_pieces(pen, SHOP, designed, words)
    except ThreadTextError:  # a file with such a thread is refused when it is read
        reject()
    one(found)


def test_a_ring_is_a_pitch_longer_than_its_plug_goes_in() -> None:
    """The cap's plug ends at most 7.1 from its seat, P 0.8: 7.9, up to 8.0, which are 10 P. The
    section's front has no plug: 8 P of 0.5 (two turns are 1.0) and its counterbore of 1.5: 5.5.
    A counterbore has no thread: 6.8 of 8.0 are 8.5 P."""
    pieces = by_name(heron())
    cap = pieces["M12xPh2.4P0.8", True]
    plug = next(d.mandrel for d in ALL["heron"][2] if d.planned.id == "cap-mouth-plug")
    assert plug is not None
    end = plug.characteristic("thread.end").upper
    assert end is not None
    assert cap.length == math.ceil((end + 0.8) * 2) / 2 == 8.0
    assert cap.pitches == pytest.approx(6.8 / 0.8)
    assert cap.counterbore == (12.4, 1.2)
    assert cap.countersink is None
    front = pieces["M6.5x0.5", True]
    assert front.length == pytest.approx(8 * 0.5 + 1.5)
    assert front.tried == ()


@pytest.mark.parametrize("name", PENS)
def test_a_ring_s_mouth_clears_the_corner_at_the_mandrel_s_seat(name: str) -> None:
    """The part's own mouth, or D + 0.2 where none is said. With the hole's edge left sharp no ring
    would come up to a seat whose corner is rounded by 0.4: ⌀6.4 + 2 × 0.4 is more than ⌀6.8."""
    pen, shop, designed = ALL[name]
    pieces = reference_pieces(pen, shop, designed, words_of(pen, shop)[1])
    rings = {(p.part, p.end): p for t in pieces.threads for p in t.pieces if p.ring}
    tried = 0
    for d in designed:
        h, m = d.planned.hold, d.mandrel
        ring = rings.get((pen.parts[h.part].name or h.part, h.end))
        corner = next((s.corner for s in m.outer if s.corner is not None), None) if m else None
        if m is None or ring is None or h.by != "internal" or corner is None:
            continue
        mouth = ring.countersink[0] if ring.countersink else (ring.counterbore or (0.0, 0.0))[0]
        groove = m.characteristic("relief.diameter").upper or 0.0
        assert mouth >= groove + 2 * 0.4, (name, d.planned.id)
        tried += 1
    assert tried


def test_the_mouth_s_countersink_is_cut_before_the_tap_and_what_is_taken_is_said() -> None:
    """The barrel's is in the pen file; where it is not, the mouth is broken to D + 0.2, as the
    design takes it."""
    pen, shop, designed = ALL["wren"]
    said = one(reference_pieces(pen, shop, designed, words_of(pen, shop)[1]))
    assert "drill ⌀6.8 through; countersink to ⌀8.4; tap right through" in said
    silent = pen.model_copy(deep=True)
    inside = silent.parts["barrel"].ends["mouth"].internal
    assert inside is not None
    object.__setattr__(inside, "countersink", None)
    said = texts(pieces_page(reference_pieces(silent, shop, designed, [])))
    assert "drill ⌀6.8 through; countersink to ⌀7.8 (taken: none is said); tap right" in said


def test_a_stud_is_the_part_s_own_tenon() -> None:
    """So that its shoulder seats as the part's does: M8.5x0.75, 9 long, which are 12 P; 6g's major
    diameter (8.338 to 8.478) before the die."""
    stud = by_name(heron())["M8.5x0.75", False]
    assert (stud.length, stud.pitches) == (9.0, pytest.approx(12))
    assert (stud.low, stud.high) == pytest.approx((8.338, 8.478))
    assert stud.rod == pytest.approx(10.9 + 0.1)  # the section's rod: 0.1 to polish


def test_one_goes_with_what_is_ordered_and_both_stay_with_what_is_made() -> None:
    said = one(heron(numbers={"cap-mouth-plug": "MG-0001 A", "barrel-mouth-plug": "MG-0002 A"}))
    assert "one goes with MG-0001 A, one stays" in said
    assert "MG-0002 A: yours, both stay" in said
    assert "MG-0007: yours, both stay" in said
    assert said.count("no mandrel needs it: leave it out, or keep both to compare later") == 4
    assert "by hand in every start" in said
    assert "A test piece is a ring with the thread, cut with the tap that cuts it in your" in said
    assert "part off at 8 (8.5 pitches of thread)" in said
    json.dumps(plain.view(heron()), allow_nan=False)


def test_what_is_not_known_is_said() -> None:
    """The crown's hole is not in the pen file, nor a tap in the shop file; a part that is held back
    has no piece."""
    said = one(heron())
    assert "drill ⌀6.5 through (the pen file does not say the hole)" in said
    assert "drill under, ream ⌀7.75 through" in said
    assert said.count("not in your shop file") == 7
    without = heron(without=("barrel",))
    assert ("M8.5x0.75", True) not in by_name(without)
    assert "barrel" not in " ".join(p.part for t in without.threads for p in t.pieces)
