"""What is taken apart because the grammar refuses it: signs, units, words, starts and hand.

A row marked M stands on ISO 965-1:2013, clause 12 (designation: size, pitch, class, LH; Ph and P of
several starts), one marked U on ASME B1.1-2003, section 6, both from memory; sizes of the coarse
series on ISO 261; the rest common practice, no source.
"""

from __future__ import annotations

import re

import pytest

from mandrelgen.standards.designation import ThreadTextError, parse
from mandrelgen.standards.nearest_thread import nearest, only_measured
from mandrelgen.standards.thread_spelling import ThreadAskedError, read_thread

READ = [
    # Signs that a keyboard, a phone or a drawing writes.
    ("Ø9 x 0.75", "M9x0.75"), ("ø9x0.75", "M9x0.75"), ("Φ9x0.75", "M9x0.75"),
    ("φ9x0.75", "M9x0.75"), ("9–0.75", "M9x0.75"), ("9−0.75", "M9x0.75"), ("9✖0.75", "M9x0.75"),
    ("3/8 x 32 threads to  the  inch", "3/8-32 UNEF"), ("9 by 0.75", "M9x0.75"),
    ("9mm by 0.75mm", "M9x0.75"), ('3/8"by 32', "3/8-32 UNEF"), ("9by 0.75", "M9x0.75"),
    # A unit, or the word metric, says the system where the number alone does not (ISO 261: coarse).
    ("9 mm", "M9x1.25"), ("8MM", "M8x1.25"), ("metric 8", "M8x1.25"), ("ISO 8", "M8x1.25"),
    ("8 mm 6g", "M8x1.25-6g"),
    # No unit and no sign between: a second number no smaller than the first counts threads.
    ("0.375 32", "3/8-32 UNEF"), ("1/4 20", "1/4-20 UNC"), ("4 4", "4-4 UN"),
    ("4, 12 tpi", "4-12 UN"), ("M10 1.5", "M10x1.5"), ("2 20in", "2-20 UN"),
    ('2 20"', "2-20 UN"), ("0.5 20 inch", "1/2-20 UNF"),
    # Numbered sizes (U).
    ("#10 x 32 threads per inch", "#10-32 UNF"), ("No. 8 32", "#8-32 UNC"),
    # Class and hand, one after the other (M, U).
    ("9x0.75-6g-LH", "M9x0.75-6g-LH"), ("9x0.75 6g6g", "M9x0.75-6g"),
    ("3/8 32 2A", "3/8-32 UNEF-2A"), ("3/8 32 unef 3a LH", "3/8-32 UNEF-3A-LH"),
    # Starts of a thread whose pitch is not written are of the coarse one.
    ("M8 DS", "M8xPh2.5P1.25"), ("M4 TS", "M4xPh2.1P0.7"), ("8 mm twin start", "M8xPh2.5P1.25"),
    ("7/16 28 3 starts", "7/16-28 UNEF (3 starts)"), ("7/16 28 SS", "7/16-28 UNEF"),
    # The pitch beside the lead without its Ph: one start, or the only multiple that leaves a core.
    ("M12x0.75P0.75", "M12x0.75"), ("3x4P0.8", "M3xPh4P0.8"),
    # *2 lead* with a pitch of 2 is two starts; who says one start means pitch and lead alike.
    ("M16x2 2 lead", "M16xPh4P2"), ("12x0.8 1 lead", "M12x0.8"),
    ("12x2.4 single start", "M12xPh2.4P2.4"), ("M12x2.4 1 start", "M12xPh2.4P2.4"),
    # Lead and pitch agree with the starts; a pitch just at the coarsest is one.
    ("12x0.8x2.4 3 starts", "M12xPh2.4P0.8"), ("M7.8x2 3 starts", "M7.8xPh6P2"),
]  # fmt: skip


@pytest.mark.parametrize(("typed", "text"), READ)
def test_a_spelling_means_its_canonical_text(typed: str, text: str) -> None:
    with pytest.raises(ThreadTextError):
        parse(typed)  # taken apart: the grammar does not read it
    assert read_thread(typed).text == text
    assert read_thread(text) == read_thread(typed)


REFUSED = [
    # A slip of the finger.
    ("M9XX0.75", "not a thread"), ("3/8--32 tpi", "not a thread"), ("M9x0.75 LH RH", "hand twice"),
    ("9x0.75 left hand right hand", "hand twice"), ("12x--0.8 3 starts", "not a thread"),
    # Inches are never taken for millimetres, wherever they stand.
    ('M9x0.75"', "mixes"), ("M9x0.75 in", "mixes"), ("9mm x 0.03 inch", "mixes"),
    ("9x0.75 in", "9 inch"), ("0.375 x 0.03125 in", "leaves no core"), ("M9 IN", "mixes"),
    ('M9"', "mixes"), ("M9 inch", "mixes"), ("metric 3/8 x 32", "mixes"), ("M3/8x1", "mixes"),
    ("5 32 tpi", "5 is no size in inches"), ("9 inch x 0.75", "9 inch"),
    # Counts and sizes of nothing.
    ("12x0.8 0 starts", "0 starts"), ("3/8 32 0 starts", "0 starts"), ("12x0.8 0 lead", "0 starts"),
    ("M12x0 2 lead", "above 0"), ("12x0P0.8", "whole multiple"), ("M12x2.4P0", "whole multiple"),
    # ISO 261 has no coarse pitch at 12.5; nothing that was said is overwritten or left out.
    ("M12.5 DS", "no coarse pitch"), ("12x0.8x2.4 pitch 1, 3 starts", "one size too many"),
    ("12x0.8x2.4 lead 3, 3 starts", "one size too many"), ("M10x5P2.4", "whole multiple"),
    ("M12 lead 0.5 pitch 0.5, 3 starts", "is 1 starts"),
    # Too coarse for every meaning: 7.8 / 3.9 = 2, 12 / 3.9 = 3.07.
    ("M7.8x2.02 3 starts", "2 mm at most"), ("12x3.5 single start", "3.07 mm at most"),
    ("M4x3", "lead of a multi-start"), ("M12x0.8x1", "one size too many"),
    ("M12x0.8x13", "one size too many"), ("M12x0x3", "one size too many"),
    ("M12x1.5x0.8x0.8", "one size too many"),
    # A class of the other system.
    ("M12x2.4 2A", "coarser"), ("M9x0.75 2A", "'2A'"),
]  # fmt: skip


@pytest.mark.parametrize(("typed", "word"), REFUSED)
def test_what_cannot_be_meant_is_refused(typed: str, word: str) -> None:
    with pytest.raises(ThreadTextError) as e:
        read_thread(typed)
    assert not isinstance(e.value, ThreadAskedError)
    assert word in e.value.message


@pytest.mark.parametrize(
    "typed", ["9", "⌀12", '8"x4', "5, 20 LH", "9.5x32tpi", "M9x0.75 6k", "3/8x0.8mm", "12x3 ½"]
)
def test_what_is_refused_is_quoted_as_it_was_typed(typed: str) -> None:
    with pytest.raises(ThreadTextError) as e:
        read_thread(typed)
    assert e.value.message.startswith(f"'{typed}'")


@pytest.mark.parametrize(
    ("typed", "near"),
    # Where no rule says what to write, the nearest thread is all that is proposed.
    [
        ("9.5x32tpi", "3/8-32 UNEF"), ("M6x20", "#6-20 UN"), ("M9x12", "M9x1.25"),
        ("M12 P0.8 lead 2.4 5", "M12x0.8"), ("12.5 2 lead", "M12.5x2"),
    ],
)  # fmt: skip
def test_the_nearest_thread_alone_is_proposed(typed: str, near: str) -> None:
    with pytest.raises(ThreadTextError) as e:
        read_thread(typed)
    assert e.value.remedy == f"write {near}"
    assert read_thread(near).text == near


def test_what_the_remedy_proposes_is_proposed_once() -> None:
    """ASME B1.1 lists 3/8-24 as UNF; 20 is a constant-pitch series."""
    with pytest.raises(ThreadTextError) as e:
        read_thread("3/8-20 UNF")
    assert e.value.remedy.count(nearest("3/8-20 UNF")) == 1
    assert "3/8-24 UNF" in e.value.remedy


def test_readings_are_sent_to_the_calipers_and_no_thread_is_proposed() -> None:
    told = only_measured("?")
    assert told is not None
    with pytest.raises(ThreadTextError) as e:
        read_thread("?")
    assert e.value.remedy == told.remedy


@pytest.mark.parametrize(
    ("typed", "numbers"),
    # 5 / 2: what the pitch would be, told where there are starts to share a lead.
    [("M12x5 2 starts", "5 12 3.07 2.5"), ("M12x5 3 starts", "5 12 3.07 1.667"),
     ("M12x5 1 start", "5 12 3.07")],
)  # fmt: skip
def test_too_coarse_a_pitch_is_told_with_the_coarsest(typed: str, numbers: str) -> None:
    with pytest.raises(ThreadTextError) as e:
        read_thread(typed)
    told = e.value.message.removeprefix(f"'{typed}': ")
    assert re.findall(r"\d+(?:\.\d+)?", told) == numbers.split()
    assert told.endswith("at most)") == (len(numbers.split()) == 3)
