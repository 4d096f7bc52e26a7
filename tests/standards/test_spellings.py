"""Over 200 spellings of threads, and what each means.

``=`` is read and means the designation; ``?`` is asked, and shows each of the meanings; ``!`` is
refused, with that word in what is said. Written by hand: where a row is marked M by ISO 965-1:2013,
clause 12 (designation, lead and pitch, class, LH), where U by ASME B1.1-2003, section 6 (size,
threads per inch, series, class, LH), where D by DIN 103-1's manner (lead, then P in brackets), all
from memory; the rest common practice, no source.
"""

from __future__ import annotations

import re

import pytest

from mandrelgen.standards.designation import ThreadTextError, parse
from mandrelgen.standards.thread_aloud import in_words
from mandrelgen.standards.thread_spelling import ThreadAskedError, read_thread

TABLE = """
M9x0.75 = M9x0.75 ;M
M9x0.75-6g = M9x0.75-6g ;M
M9x0.75-6H = M9x0.75-6H ;M
M9x0.75-4g6g = M9x0.75-4g6g ;M
M9x0.75-6g-LH = M9x0.75-6g-LH ;M
M12xPh2.4P0.8 = M12xPh2.4P0.8 ;M
M12xPh2.4P0.8-6H = M12xPh2.4P0.8-6H ;M
M16xPh3P1.5 (two starts)-6H = M16xPh3P1.5-6H ;M
M6 = M6x1 ;M
M8-6g = M8x1.25-6g ;M
M9×0.75 = M9x0.75
M9 x 0.75 = M9x0.75
m9x0.75 = M9x0.75
M9X0.75 = M9x0.75
M9*0.75 = M9x0.75
M9x.75 = M9x0.75
M9,0x0,75 = M9x0.75
M9.00x0.750 = M9x0.75
9x0.75 = M9x0.75
9 x 0.75 = M9x0.75
9X0,75 = M9x0.75
9×0.75 = M9x0.75
9x.75 = M9x0.75
9x0.75mm = M9x0.75
9mm x 0.75mm = M9x0.75
9 mm × 0,75 mm = M9x0.75
9mm x 0.75 = M9x0.75
9 mm by 0.75 mm = M9x0.75
9 by 0.75 = M9x0.75
⌀9 x 0.75 = M9x0.75
ø9x0.75 = M9x0.75
9-0.75 = M9x0.75
M9-0.75 = M9x0.75
M9 - 0.75 = M9x0.75
M9 0.75 = M9x0.75
M9/0.75 = M9x0.75
metric 9 x 0.75 = M9x0.75
M9 x 0.75 metric = M9x0.75
M9x0.75 thread = M9x0.75
M9 x 0.75 pitch = M9x0.75
M9 pitch 0.75 = M9x0.75
9 mm, pitch 0.75 mm = M9x0.75
9mm diameter, 0.75mm pitch = M9x0.75
9 mm dia. x 0.75 = M9x0.75
M9 P0.75 = M9x0.75
M9x0.75 left hand = M9x0.75-LH
M9x0.75 left-handed = M9x0.75-LH
M9x0.75 LH = M9x0.75-LH
M9x0.75 lh = M9x0.75-LH
9x0.75 left = M9x0.75-LH
M9x0.75 L.H. = M9x0.75-LH
M9x0.75 right hand = M9x0.75
9x0.75 RH = M9x0.75
9x0.75 6H = M9x0.75-6H
9x0.75-6g = M9x0.75-6g
M9x0.75 (6g) = M9x0.75-6g
9x0.75 4g6g = M9x0.75-4g6g
9x0.75 6g6g = M9x0.75-6g
9 x 0.75 4H5H = M9x0.75-4H5H
3/8 x 32 2a = 3/8-32 UNEF-2A
3/8 x 32 unef 2b LH = 3/8-32 UNEF-2B-LH
M10-1.5 = M10x1.5
10-1.5 = M10x1.5
12-1 = M12x1
M6 coarse = M6x1
M8 coarse thread = M8x1.25
M6 fine = M6x0.75
M5 fine = M5x0.5
M7 fine = M7x0.75
M12.6x0.8 = M12.6x0.8
8.5 x 0.75 = M8.5x0.75
7,6x0,75 = M7.6x0.75
M12xPh0.8P0.8 = M12x0.8
12.5 x 0.75 TS = M12.5xPh2.25P0.75
12.5x0.75 ts = M12.5xPh2.25P0.75
13 x 0.8 DS = M13xPh1.6P0.8
13 x 0.8 QS = M13xPh3.2P0.8
13 x 0.8 SS = M13x0.8
M12.5x0.75-3 start = M12.5xPh2.25P0.75
M12.5x0.75 3-start = M12.5xPh2.25P0.75
12.5x0.75 3 starts = M12.5xPh2.25P0.75
12.5x0.75 (3 starts) = M12.5xPh2.25P0.75
12.5 x 0.75, 3 starts = M12.5xPh2.25P0.75
12,5x0,75 3 start = M12.5xPh2.25P0.75
12.5x0.75 x3 start = M12.5xPh2.25P0.75
12.5x0.75 3x start = M12.5xPh2.25P0.75
12.5x0.75 three starts = M12.5xPh2.25P0.75
12.5x0.75 triple start = M12.5xPh2.25P0.75
12.5x0.75 triple-start = M12.5xPh2.25P0.75
12.5x0.75 Triple = M12.5xPh2.25P0.75
12.5mm x 0.75mm triple lead = M12.5xPh2.25P0.75
12.5x0.75 treble start = M12.5xPh2.25P0.75
12.5x0.75 starts: 3 = M12.5xPh2.25P0.75
12.5x0.75 starts=3 = M12.5xPh2.25P0.75
12.5x0.75 3 entry = M12.5xPh2.25P0.75
12.5x0.75 3 entries = M12.5xPh2.25P0.75
triple start 12.5x0.75 = M12.5xPh2.25P0.75
12 x 0.8 double start = M12xPh1.6P0.8
12 x 0.8 double lead = M12xPh1.6P0.8
12 x 0.8 twin start = M12xPh1.6P0.8
12 x 0.8 2 start left hand = M12xPh1.6P0.8-LH
10x1 quad start = M10xPh4P1
10x1 quadruple lead = M10xPh4P1
10x1 single start = M10x1
M8 two starts = M8xPh2.5P1.25
M8 DOUBLE START = M8xPh2.5P1.25
M12 BY 0.8 Triple = M12xPh2.4P0.8
M12 P0.8 lead 2.4 2.4 = M12xPh2.4P0.8
3/8 x 32 Unef LH = 3/8-32 UNEF-LH
M12x0.8 2-start 6H = M12xPh1.6P0.8-6H
12x0.8x2.4 3 starts = M12xPh2.4P0.8
M12 x 2.4 x 0.8 TS = M12xPh2.4P0.8
M12.5 x 2.25 (P0.75) = M12.5xPh2.25P0.75 ;D
M12.5x2.25(P0.75) = M12.5xPh2.25P0.75 ;D
M12x2.4 (P0.8) 3 starts = M12xPh2.4P0.8 ;D
M12x0.75 (P0.75) = M12x0.75
12.5x2.25 (P 0.75) = M12.5xPh2.25P0.75 ;D
12.5x0.75 lead 2.25 = M12.5xPh2.25P0.75
12.5x0.75, lead 2.25 mm = M12.5xPh2.25P0.75
12.5 x 0.75 lead of 2.25 = M12.5xPh2.25P0.75
12.5x0.75 2.25mm lead = M12.5xPh2.25P0.75
12.5x0.75 2.25 lead = M12.5xPh2.25P0.75
12.5 pitch 0.75 lead 2.25 = M12.5xPh2.25P0.75
12.5 mm dia, pitch 0.75 mm, lead 2.25 mm = M12.5xPh2.25P0.75
12.5x2.25mm lead, 3 starts = M12.5xPh2.25P0.75
12.5 lead 2.25 pitch 0.75 three starts = M12.5xPh2.25P0.75
M12 Ph2.4 P0.8 = M12xPh2.4P0.8
M12 x ph 2.4 p 0.8 = M12xPh2.4P0.8
12xPh2.4P0.8 = M12xPh2.4P0.8
12.5x0.8 3 lead = M12.5xPh2.4P0.8
3/8-32 = 3/8-32 UNEF ;U
3/8-32 UNEF = 3/8-32 UNEF ;U
3/8-32 UNEF-2B = 3/8-32 UNEF-2B ;U
3/8-32 UNEF-2A-LH = 3/8-32 UNEF-2A-LH ;U
0.375-32 UNEF-2A = 3/8-32 UNEF-2A ;U
1/4-20 UNC-2A = 1/4-20 UNC-2A ;U
1 1/16-20 UN-2A = 1 1/16-20 UN-2A ;U
#10-32 UNF-2A = #10-32 UNF-2A ;U
10-32 UNF-2A = #10-32 UNF-2A ;U
0.390-27 UNS-2A = 0.39-27 UNS-2A ;U
3/8 x 32 = 3/8-32 UNEF
3/8x32 = 3/8-32 UNEF
3/8 × 32 = 3/8-32 UNEF
3/8" x 32 = 3/8-32 UNEF
3/8"-32 = 3/8-32 UNEF
3/8″ - 32 = 3/8-32 UNEF
3/8 in x 32 = 3/8-32 UNEF
3/8 inch x 32 tpi = 3/8-32 UNEF
3/8 32 tpi = 3/8-32 UNEF
3/8 x 32 threads per inch = 3/8-32 UNEF
3/8 x 32 t.p.i. = 3/8-32 UNEF
3/8 / 32 = 3/8-32 UNEF
3/8 32 = 3/8-32 UNEF
3 / 8 x 32 = 3/8-32 UNEF
⅜-32 = 3/8-32 UNEF
⅜ x 32 = 3/8-32 UNEF
3⁄8 × 32 tpi = 3/8-32 UNEF
3/8-32 unef = 3/8-32 UNEF
UNEF 3/8-32 = 3/8-32 UNEF
.375 x 32 = 3/8-32 UNEF
0,375-32 = 3/8-32 UNEF
0.375" x 32 = 3/8-32 UNEF
3/8–32 = 3/8-32 UNEF
1/4x20 = 1/4-20 UNC
5/16 x 24 LH = 5/16-24 UNF-LH
5/16-24 left hand = 5/16-24 UNF-LH
½-28 = 1/2-28 UNEF
1½-12 = 1 1/2-12 UNF
1 1/4 x 12 = 1 1/4-12 UNF
#10 x 32 = #10-32 UNF
No. 10-32 = #10-32 UNF
No 10 x 32 = #10-32 UNF
3/8-32 DS = 3/8-32 UNEF (2 starts)
3/8-32 double start = 3/8-32 UNEF (2 starts)
7/16-28 triple lead = 7/16-28 UNEF (3 starts)
1/2" - 28 UNEF-2A, 3 starts = 1/2-28 UNEF-2A (3 starts)
12x2.4 3 starts ? M12xPh2.4P0.8 , M12xPh7.2P2.4
M12x2.4 three starts ? M12xPh2.4P0.8 , M12xPh7.2P2.4
12x2.4 ts ? M12xPh2.4P0.8 , M12xPh7.2P2.4
12x2.4 ? M12xPh2.4P1.2 , M12xPh2.4P0.8 , M12xPh2.4P0.6 , M12xPh2.4P2.4
M12x4.5 ? M12xPh4.5P1.5 , M12xPh4.5P1.125
M12x2.4 ? M12xPh2.4P1.2 , M12xPh2.4P0.8 , M12xPh2.4P0.6 , M12xPh2.4P2.4
M12x2.4P0.8 ? M12xPh2.4P0.8 , M12xPh2.4P2.4
M12x1.6P0.8 ? M12xPh1.6P0.8 , M12x1.6
M12x2.4P0.8-6H ? M12xPh2.4P0.8-6H , M12xPh2.4P2.4-6H
M12x0.8 2.4 ? M12xPh2.4P0.8 , M12x0.8
12x0.8x2.4 ? M12xPh2.4P0.8 , M12x0.8
12x2.4x0.8 ? M12xPh2.4P0.8 , M12xPh2.4P2.4
M12x0.8x3 ? M12xPh2.4P0.8 , M12x0.8
M12.5 x 0.75 x 3 ? M12.5xPh3P0.75 , M12.5xPh2.25P0.75 , M12.5x0.75
12.5x0.75 3 lead ? M12.5xPh2.25P0.75 , M12.5xPh3P0.75
M12x0.8 2 ? M12xPh1.6P0.8 , M12x0.8
12x0.8x1.6 ? M12xPh1.6P0.8 , M12x0.8
M12x0.8x12 ? M12xPh9.6P0.8 , M12x0.8
M24x0.5x6 ? M24xPh6P0.5 , M24xPh3P0.5 , M24x0.5
M12x1.75x2 ? M12xPh3.5P1.75 , M12x1.75
M12x3.5x2 ? M12xPh7P3.5 , M12xPh3.5P3.5
M12x4x2 ? M12xPh4P2 , M12xPh8P4 , M12xPh4P4
M8 fine 2 starts ? M8xPh2P1 , M8xPh1.5P0.75
M8 fine ? M8x1 , M8x0.75
M10 fine thread ? M10x1.25 , M10x1 , M10x0.75
0.75x9 ? 3/4-9 UNS , M9x0.75
0.8 x 12 ? 0.8-12 UN , M12x0.8
9 ! not a thread
hello ! not a thread
12 fine ! not a thread
M13 ! no coarse pitch
M9x0 ! above 0
M7xx0.5 ! not a thread
M8.5x ! not a thread
M12x ! not a thread
9--0.75 ! not a thread
M9x0.75-6k ! 6k
M12xPh2.4 ! no pitch
M12 lead 2.4 ! no pitch
M12xPh2.5P0.8 ! whole multiple
M12xPh2.4P0.8 two starts ! 3 starts
12x0.8 2 starts 3 starts ! starts twice
M12x0.8 multi-start ! how many
M12x0.8 MULTI-START ! how many
M12 P0.8 lead 2.4 5 ! more sizes than a thread has
M12x12 ! a pitch of 12 mm at diameter 12 mm is none
M12x0.8 99 starts ! 1 to 12
12x5 3 starts ! 5 mm is too coarse a pitch at diameter 12 mm (3.07 mm at most)
M12x5 three starts ! as a lead it gives a pitch of 1.667 mm
M12x4 (2 starts) LH ! write lead and pitch
M10x32 ! threads per inch
9.5x32tpi ! no size in inches
M9x32tpi ! gives threads per inch to a size in mm
M9x32tpi LH ! or the size in inches
M12x0.8x0.8 ! 0.8 is one size too many
12x0.8x6.5 ! 6.5 is one size too many
M12x4.1x2 ! 2 is one size too many
12x0.8x6.5 LH ! name each size
12x0.8x2.4x5 ! one size too many
12x0.8x2.4 2 starts ! 2.4 is one size too many
12.5 2 lead ! gives a lead but no pitch
M13 fine ! no fine pitch is held for 13 mm
M13 fine LH ! write the pitch
3/8-32 5 ! no more sizes
3/8-32 pitch 0.8 ! no more sizes
3/8-32 lead 0.8 ! no more sizes
3/8x0.8mm ! mixes inches and millimetres
3/8-32 UNF ! UNEF
10-32 ! #10
#7-32 ! #7
3/0-32 ! zero
Tr12x3 ! trapezoidal
G1/4 ! pipe
1/8 NPT ! pipe
1/4 BSW ! Whitworth
2 BA ! British Association
""".strip().splitlines()


def rows(mark: str) -> list[tuple[str, str]]:
    out = []
    for row in TABLE:
        body = row.split(" ;")[0]
        for m in ("=", "?", "!"):
            typed, found, meaning = body.rpartition(f" {m} ")
            if found:
                break
        if found.strip() == mark:
            out.append((typed, meaning))
    return out


def test_the_table_has_its_two_hundred() -> None:
    assert len(TABLE) >= 200
    assert len(rows("=")) + len(rows("?")) + len(rows("!")) == len(TABLE)
    assert min(len(rows(m)) for m in "=?!") >= 15
    assert len({r for m in "=?!" for r in rows(m)}) == len(TABLE)


@pytest.mark.parametrize(("typed", "meaning"), rows("="))
def test_what_is_read_means_what_the_table_says(typed: str, meaning: str) -> None:
    assert read_thread(typed) == parse(meaning)
    assert read_thread(typed).text == meaning


@pytest.mark.parametrize(("typed", "meanings"), rows("?"))
def test_what_could_mean_two_things_is_asked_with_both(typed: str, meanings: str) -> None:
    wanted = tuple(meanings.split(" , "))
    with pytest.raises(ThreadAskedError) as e:
        read_thread(typed)
    assert set(e.value.meanings) == set(wanted)
    for meaning in wanted:
        assert f"{meaning} if " in e.value.remedy
        read_thread(meaning)  # accepted as it is shown
    assert typed in e.value.message
    assert re.search("could be|stand without saying|more than one", e.value.message)


@pytest.mark.parametrize(("typed", "word"), rows("!"))
def test_what_is_refused_shows_the_nearest_spelling_that_is_read(typed: str, word: str) -> None:
    with pytest.raises(ThreadTextError) as e:
        read_thread(typed)
    assert not isinstance(e.value, ThreadAskedError)
    assert word in f"{e.value.message}; {e.value.remedy}"
    assert any(accepted(piece) for piece in re.split(r"write|, |: | as | or |;", e.value.remedy))


def accepted(text: str) -> bool:
    try:
        return bool(read_thread(text))
    except ThreadTextError:
        return False


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            "12.5x0.75 TS",
            ["metric", "12.5 mm", "0.75 mm", "three starts", "lead 2.25", "2.7 turns"],
        ),
        ("M9x0.75 LH", ["single start", "lead 0.75", "8.0 turns", "left hand"]),
        ("3/8 x 32", ["inch", "3/8 in", "32 threads per inch", "single start", "7.6 turns"]),
    ],
)
def test_a_thread_is_read_back_in_words(text: str, said: list[str]) -> None:
    for word in said:
        assert word in in_words(read_thread(text))
