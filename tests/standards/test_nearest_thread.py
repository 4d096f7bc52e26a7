"""What a text that names no thread is most likely to mean, and which threads stand in a series.

Sizes of ISO 261 and ASME B1.1 as printed in Machinery's Handbook, 31st ed.; the rest is arithmetic.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from mandrelgen.standards.designation import parse
from mandrelgen.standards.nearest_thread import in_series, nearest, only_measured, usual


@pytest.mark.parametrize(
    "text",
    [
        # ISO 261: M10 is 1.5 coarse, 1.25, 1 and 0.75 fine; M9 has 0.75. ASME B1.1: 3/8 is 16,
        # 24 and 32.
        "M10", "M10x1.5", "M10x1", "M9x0.75", "M10xPh2P1-LH", "M10x1-6g",
        "3/8-16 UNC", "3/8-24 UNF-2A", "3/8-32 UNEF",
    ],
)  # fmt: skip
def test_threads_of_a_series(text: str) -> None:
    assert in_series(parse(text))


@pytest.mark.parametrize(
    "text", ["M10x0.5", "M10x0.8", "M12.6x0.8", "M10.5x1", "3/8-28 UN", "19/64-36 UNS"]
)
def test_threads_of_no_series(text: str) -> None:
    assert not in_series(parse(text))


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        # Both sizes are kept where they make a thread.
        ("10 x 1", "M10x1"), ("M9.5x0.6 banana", "M9.5x0.6"), ("8 x ph 3 p 1", "M8xPh3P1"),
        ("8xPh3p1", "M8xPh3P1"), ("1 72 tpi", "#1-72 UNF"), ("3/8 with 32 tpi", "3/8-32 UNEF"),
        # Inches given in mm: 9.525 = 6/16 × 25.4, 12.7 = 8/16 × 25.4; 9.6 lies nearest to 6/16.
        ("9.525 x 32 tpi", "3/8-32 UNEF"), ("12.7-20 UNF", "1/2-20 UNF"),
        ("9.6 in 32", "3/8-32 UNEF"),
        # One size: the coarse pitch where the series has one, else 0.75, from 12 mm up 1.
        ("M14 or so", "M14x2"), ("5", "M5x0.8"), ("9.5", "M9.5x0.75"), ("13", "M13x1"),
        ("12.5", "M12.5x1"),
        ("3/8", "3/8-16 UNC"), ("1/4", "1/4-20 UNC"),
        # A size that no pitch goes with: the nearest of the series, M1 with 0.25.
        ("0.4", "M1x0.25"), ("1.12", "M1.1x0.25"),
        # Only the second number could be a pitch; in inches neither is taken for mm.
        ("9 x 32", "M9x1.25"), ("0.5 in x 0.05 in", "M1x0.25"), ("10 x 0.75 x 32", "M10x0.75"),
        ("9 x 20, 0.75 pitch", "M9x0.75"),
        # A fraction that no coarse inch thread has: the nearest in diameter (ASME B1.1: 11/16 and
        # 13/16 are UNEF alone, #5 is 1/8 inch).
        ("13/16 UNEF", "13/16-20 UNEF"), ("11/16 unc", "11/16-24 UNEF"), ("1/8", "#5-40 UNC"),
        ("15/64 unf", "1/4-20 UNC"), ("9/8 in, 1 tpi", "1 1/8-7 UNC"),
        # Nothing is divided by.
        ("3/00 inch", "M9x0.75"), ("3/0", "M9x0.75"),
        # No size at all.
        ("wibble", "M9x0.75"),
    ],
)  # fmt: skip
def test_the_nearest_thread(text: str, wanted: str) -> None:
    assert nearest(text) == wanted
    assert parse(wanted).text == wanted


def test_the_usual_threads_are_the_series() -> None:
    """One of each table as printed: M9 coarse 1.25 and fine 0.75 (ISO 261), #6-32 and 3/8-24
    (ASME B1.1); and every one of them stands in a series."""
    held = usual()
    assert {"M9x1.25", "M9x0.75", "M12x1.75", "#6-32 UNC", "3/8-24 UNF", "3/8-32 UNEF"} <= set(held)
    assert all(in_series(parse(text)) for text in held)
    assert len(set(held)) == len(held)


@pytest.mark.parametrize("text", ["crest=9.9, ten=7.5", "lead = 2.4", "Starts: 3"])
def test_readings_are_no_name(text: str) -> None:
    told = only_measured(text)
    assert told is not None
    assert told.message == f"'{text}' is what was read on a thread, not its name"
    assert "find it by calipers: mandrelgen thread --measured" in told.remedy


@pytest.mark.parametrize("text", ["?", "…", " "])
def test_a_question_mark_is_no_thread(text: str) -> None:
    told = only_measured(text)
    assert told is not None
    assert told.message == f"'{text}' is no thread"


def test_a_long_text_is_quoted_by_its_beginning() -> None:
    told = only_measured("crest=" + "9" * 100)
    assert told is not None
    assert told.message.startswith("'crest=" + "9" * 34 + "' is")


@pytest.mark.parametrize("text", ["M9x0.75", "crestfallen 9", "the lead of 3 mm"])
def test_other_words_are_left_to_the_reader(text: str) -> None:
    assert only_measured(text) is None


@pytest.mark.parametrize("sixteenths", range(3, 17))
def test_inches_in_mm_are_read_to_the_sixteenth(sixteenths: int) -> None:
    size = Fraction(sixteenths, 16)
    near = nearest(f"{float(size) * 25.4 + 0.2:.2f} mm, 20 tpi")
    assert parse(near).diameter.exact == size * Fraction("25.4")
