"""Thread texts: what the trade writes is read, what could mean two things is refused.

Spellings by ISO 965-1:2013, clause 12, and ASME B1.1-2003, section 6; loose ones are common
practice, no source.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mandrelgen.core.lengths import Length
from mandrelgen.standards.designation import (
    NUMBERED_SIZES,
    Designation,
    ThreadTextError,
    parse,
    standard_series,
)


@pytest.mark.parametrize(
    ("written", "canonical"),
    [
        ("M9x0.75", "M9x0.75"),
        ("M9×0.75", "M9x0.75"),
        ("M9 x 0,75", "M9x0.75"),
        ("m 9 X .75", "M9x0.75"),
        ("M9,5x0,75-6H", "M9.5x0.75-6H"),
        ("M6", "M6x1"),
        ("M8-1.25", "M8x1.25"),
        ("M12 - 0,8 - 6H three starts", "M12xPh2.4P0.8-6H"),
        ("M6-2 starts", "M6xPh2P1"),
        ("M6-6g", "M6x1-6g"),
        ("M12-6g6g", "M12x1.75-6g"),
        ("M10-4g6g", "M10x1.5-4g6g"),
        ("M9x0.75-6g-LH", "M9x0.75-6g-LH"),
        ("M9x0.75 6g left hand", "M9x0.75-6g-LH"),
        ("M9x0.75 RH", "M9x0.75"),
        ("M12xPh2.4P0.8-6H", "M12xPh2.4P0.8-6H"),
        ("M12 x Ph 2.4 P 0.8 - 6H", "M12xPh2.4P0.8-6H"),
        ("M12x0.8 three starts", "M12xPh2.4P0.8"),
        ("M12x0.8 (3 starts)", "M12xPh2.4P0.8"),
        ("M12x0.8 3-start", "M12xPh2.4P0.8"),
        ("M12x0.8-6H triple-start", "M12xPh2.4P0.8-6H"),
        ("M16xPh3P1.5 (two starts)-6H", "M16xPh3P1.5-6H"),
        ("M12x1.5 two starts", "M12xPh3P1.5"),
        ("M12xPh0.8P0.8", "M12x0.8"),
        ("3/8-32 UNEF-2B", "3/8-32 UNEF-2B"),
        ('3/8"-32', "3/8-32 UNEF"),
        ("3/8 x 32 UNEF", "3/8-32 UNEF"),
        ("0.375-32 UN-2A", "3/8-32 UNEF-2A"),
        ("#10-32 UNF", "#10-32 UNF"),
        ("No. 10-32", "#10-32 UNF"),
        ("10-32 UNF-2A", "#10-32 UNF-2A"),
        ("1-1/4-12 UNF", "1 1/4-12 UNF"),
        ("1 1/16-20 UN-2A", "1 1/16-20 UN-2A"),
        ("0.390-27 UNS-2A", "0.39-27 UNS-2A"),
        ("1/2-28 UNEF-3A-LH", "1/2-28 UNEF-3A-LH"),
        ("1/2-28 UNEF-2A (3 starts)", "1/2-28 UNEF-2A (3 starts)"),
        ("2.0-56 UNS", "2.0-56 UNS"),
        ("4-1 UNS", "4-1 UNS"),
        ("3/8-20 UNS", "3/8-20 UNS"),
        ("3/8-20", "3/8-20 UN"),
        ("0.39-27", "0.39-27 UNS"),
        ("1-8", "1-8 UNC"),
        ("17/32-24", "17/32-24 UNS"),
        ("M9x0.75" + " " * 53, "M9x0.75"),
    ],
)
def test_reads_what_the_trade_writes(written: str, canonical: str) -> None:
    d = parse(written)
    assert d.text == canonical
    assert parse(canonical) == d


@pytest.mark.parametrize(
    ("written", "words"),
    [
        ("", ["no thread"]),
        ("9x0.75", ["metric or inch", "M9x0.75"]),
        ("M12x2.4P0.8", ["M12xPh2.4P0.8", "M12x2.4 "]),
        ("M12xPh2.4", ["no pitch"]),
        ("M12x2.4 three starts", ["pitch (lead 7.2)", "lead of 3 starts", "M12xPh2.4P0.8"]),
        ("M12x2.4", ["coarser", "1.75", "M12xPh2.4P"]),
        ("M12x2.4 two starts", ["pitch (lead 4.8)", "lead of 2 starts", "M12xPh2.4P1.2"]),
        ("M80x7", ["coarser", "M80xPh7P"]),
        ("9x9", ["9 inch"]),
        ("M1.5x1", ["coarser"]),
        ("4.5-4 UN", ["4.5 inch"]),
        ("3/8-22 UNF", ["3/8-22 UNS", "3/8-24 UNF"]),
        ("3/64-80 UNEF", ["3/64-80 UN"]),
        ("2.1-13 UNEF-2A LH x", ["x"]),
        ("M12xPh2.5P0.8", ["whole multiple"]),
        ("M12xPh0.4P0.8", ["whole multiple"]),
        ("M12xPh2.4P0.8 two starts", ["3 starts", "2"]),
        ("M12x0.8 two starts three starts", ["twice"]),
        ("M12x0.8 LH RH", ["hand", "twice"]),
        ("M12x0.8-6H/6g", ["6H/6g", "tolerance class"]),
        ("M12x0.8-6H-6g", ["6H 6g"]),
        ("M12x0.8-2A", ["2A"]),
        ("M13", ["no coarse pitch"]),
        ("M0x0.2", ["above 0"]),
        ("M9x0", ["above 0"]),
        ("M1x0.9", ["coarser"]),
        ("M12x0.8 99 starts", ["1 to 12"]),
        ("G1/4", ["not a thread"]),
        ("Tr12x3", ["not a thread"]),
        ("10-32", ["#10", "10 inch"]),
        ("3/8-32 UNF", ["UNEF", "3/8-24 UNF"]),
        ("3/8-32 UNEF-6g", ["6g"]),
        ("3/0-32", ["zero"]),
        ("3/8-0", ["above 0"]),
        ("#7-32", ["#7", "#6"]),
        ("9-20 UN", ["9 inch", "M9x"]),
        ("M9x0.75" + " " * 60, ["60"]),
    ],
)
def test_says_what_is_wrong_and_what_to_write(written: str, words: list[str]) -> None:
    with pytest.raises(ThreadTextError) as e:
        parse(written)
    assert e.value.message
    assert e.value.remedy
    assert "None" not in e.value.message + e.value.remedy
    for word in words:
        assert word in f"{e.value.message}; {e.value.remedy} "


def test_lead_pitch_and_inch_sizes_are_exact() -> None:
    d = parse("7/16-28 UNEF (3 starts)")
    assert d.diameter.exact == Fraction(7, 16) * Fraction(254, 10)
    assert d.pitch.exact == Fraction(254, 280)
    assert d.lead == float(3 * Fraction(254, 280))
    assert d.threads_per_inch == 28
    assert parse("M12xPh2.4P0.8").lead == 2.4
    # ASME B1.1: numbered sizes are 0.060 + 0.013 n inch.
    assert parse("#10-32").diameter == pytest.approx(0.190 * 25.4)
    assert parse("0.375-32 UN").diameter == parse("3/8-32 UNEF").diameter
    # As the trade writes them, whatever was written.
    for text, diameter, pitch in (
        ("M9,50x0.750", "9.5", "0.75"), ("0.375-32 UN", "3/8 in", "32 tpi"),
        ("No. 10-32", "#10", "32 tpi"),
    ):  # fmt: skip
        assert (parse(text).diameter.written, parse(text).pitch.written) == (diameter, pitch)


@pytest.mark.parametrize(
    ("words", "starts"),
    [
        ("one start", 1), ("single start", 1), ("two starts", 2), ("double start", 2),
        ("twin-start", 2), ("three starts", 3), ("triple start", 3), ("four starts", 4),
        ("quadruple start", 4), ("five starts", 5), ("six starts", 6), ("seven starts", 7),
        ("eight starts", 8),
    ],
)  # fmt: skip
def test_a_number_of_starts_in_words(words: str, starts: int) -> None:
    assert parse(f"M12x0.25 {words}").starts == starts


def test_a_thread_has_one_right_hand_start_unless_it_says_otherwise() -> None:
    assert Designation("M", Length(12), Length(1)) == parse("M12x1 single start RH")


@pytest.mark.parametrize("tpi", [4, 6, 8, 12, 16, 20, 28, 32])
def test_the_constant_pitch_series_are_un_what_lies_between_is_uns(tpi: int) -> None:
    """ASME B1.1, the 4-, 6-, 8-, 12-, 16-, 20-, 28- and 32-thread series; 1 13/16 is a size that no
    other series lists."""
    assert parse(f"1 13/16-{tpi}").series == "UN"
    for beside in (tpi - 1, tpi + 1):
        assert parse(f"1 13/16-{beside}").series == "UNS"


def test_the_longest_text_that_is_read() -> None:
    assert parse("M9x0.75" + " " * 53).text == "M9x0.75"
    with pytest.raises(ThreadTextError, match="longer than 60"):
        parse("M9x0.75" + " " * 54)


def test_a_thread_without_core_is_refused() -> None:
    with pytest.raises(ThreadTextError, match="core"):
        Designation("M", Length(1), Length(1))


PITCHES = ["0.25", "0.35", "0.5", "0.6", "0.7", "0.75", "0.8", "1", "1.25", "1.5", "0.9"]
CLASSES_M = ["", "6g", "6h", "4g6g", "5g6g", "6H", "5H", "4H5H", "6G", "6e"]
tens = st.integers(60, 450).map(lambda n: Fraction(n, 10))
metric = st.builds(
    Designation,
    st.just("M"),
    tens.filter(lambda d: d >= 10).map(lambda f: Length(f)),
    st.sampled_from(PITCHES).map(lambda p: Length(Fraction(p))),
    st.integers(1, 12),
    st.booleans(),
    st.sampled_from(CLASSES_M),
)


@given(metric)
def test_metric_round_trip(d: Designation) -> None:
    assert parse(d.text) == d


@given(
    metric,
    st.sampled_from(["x", "×", " x ", " X ", "*"]),
    st.booleans(),
    st.sampled_from(["", " ", "  "]),
)
def test_metric_spellings_mean_the_same(d: Designation, x: str, comma: bool, pad: str) -> None:
    text = pad + d.text.replace("x", x, 1) + pad
    if comma:
        text = text.replace(".", ",")
    assert parse(text) == d


inch_sizes = st.one_of(
    st.integers(4, 128).map(lambda n: Fraction(n, 64)),
    st.sampled_from(NUMBERED_SIZES).map(lambda n: Fraction(60 + 13 * n, 1000)),
    st.integers(1000, 19999).map(lambda n: Fraction(n, 10000)),
)


@given(
    inch_sizes,
    st.one_of(st.integers(12, 80).map(Fraction), st.just(Fraction("11.5"))),
    st.integers(1, 4),
    st.booleans(),
    st.sampled_from(["", "2A", "3A", "2B", "3B"]),
)
def test_inch_round_trip(
    size: Fraction, tpi: Fraction, starts: int, left: bool, klass: str
) -> None:
    text = f"{float(size):.8f}".rstrip("0")
    text += "0" if text.endswith(".") else ""
    if len(text.split(".")[1]) > 5:
        text = str(size) if size < 1 else f"1 {size - 1}"
    words = f"{text}-{float(tpi):g} {klass} {starts} starts {'LH' if left else ''}"
    if 3 / tpi >= 2 * size:
        with pytest.raises(ThreadTextError):
            parse(words)
        return
    d = parse(words)
    assert d.diameter.exact == size * Fraction(254, 10)
    assert d.pitch.exact == Fraction(254, 10) / tpi
    assert (d.starts, d.left_hand, d.tolerance_class) == (starts, left, klass)
    assert parse(d.text) == d


@given(st.text(alphabet="M#x×.,0123456789/- PhLHUNEF2AB6gHstart()°é\"'", max_size=30))
def test_any_text_is_read_or_refused_in_words(text: str) -> None:
    try:
        d = parse(text)
    except ThreadTextError as e:
        words = e.message, e.remedy
    else:
        words = d.text, d.text
        assert parse(d.text) == d
    assert all(words)


@given(st.text(max_size=70))
def test_any_unicode_is_read_or_refused_in_words(text: str) -> None:
    try:
        d = parse(text)
    except ThreadTextError:
        return
    assert parse(d.text) == d


def test_series_table_has_every_size_once_per_pitch() -> None:
    # ASME B1.1 lists one series name for one size and pitch.
    assert standard_series("1/4", Fraction(28)) == "UNF"
    assert standard_series("1/4", Fraction(32)) == "UNEF"
    assert standard_series("1/4", Fraction(27)) == ""


@pytest.mark.parametrize("text", ["M12xPh2.4P2.4", "M4xPh0.8P0.8", "M12xPh2.4P2.4-6H-LH"])
def test_one_start_coarser_than_coarse_is_written_as_it_is_read(text: str) -> None:
    """M12x2.4 alone is asked: 2.4 could be a lead. So the canonical text says lead and pitch."""
    assert parse(text).starts == 1
    assert parse(text).text == text
    assert parse(parse(text).text) == parse(text)
