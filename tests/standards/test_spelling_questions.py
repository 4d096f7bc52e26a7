"""What could mean two things is asked: which threads are shown, and which number each hangs on.

A lead before its pitch, without the Ph, is DIN 103's manner (Tr40x14 P7); Ph and P are ISO 965-1's
(clause 12); which pitch is the coarse one ISO 261's; all from memory, the rest common practice, no
source.
"""

from __future__ import annotations

import re

import pytest

from mandrelgen.standards.designation import ThreadTextError, parse
from mandrelgen.standards.thread_spelling import ThreadAskedError, read_thread

NUMBER = re.compile(r"\d+(?:\.\d+)?")

# Typed : numbers the question is about ? meaning (numbers it supposes) ...
ASKED = """
M12x2.4P0.8 : 2.4 0.8 ? M12xPh2.4P0.8 (2.4) M12xPh2.4P2.4 (2.4)
M10x1.5P0.75 : 1.5 0.75 ? M10xPh1.5P0.75 (1.5) M10x1.5 (1.5)
12x1.6 P 0.8-6H-LH : 1.6 0.8 ? M12xPh1.6P0.8-6H-LH (1.6) M12x1.6-6H-LH (1.6)
M12x1.6P.8 : 1.6 0.8 ? M12xPh1.6P0.8 (1.6) M12x1.6 (1.6)
M16x3P1.5-6g6g : 3 1.5 ? M16xPh3P1.5-6g (3) M16xPh3P3-6g (3)
0.75x9 : 9 ? 3/4-9 UNS (0.75 9) M9x0.75 (0.75)
1.25x8 : 8 ? 1 1/4-8 UN (1.25 8) M8x1.25 (1.25)
1x6 : 6 ? 1-6 UN (1 6) M6x1 (1)
0.5x3.5 : 3.5 ? 1/2-3.5 UNS (0.5 3.5) M3.5x0.5 (0.5)
3x24 : 24 ? 3-24 UNS (3 24) M24x3 (3)
4x36 : 36 ? 4-36 UNS (4 36) M36x4 (4)
M5x1 : 1 0.8 ? M5xPh1P0.5 (1 2) M5xPh1P0.25 (1 4) M5xPh1P1 (1)
M8x2.5 : 2.5 1.25 ? M8xPh2.5P1.25 (2.5 2) M8xPh2.5P0.625 (2.5 4) M8xPh2.5P2.5 (2.5)
M6x1.25 : 1.25 1 ? M6xPh1.25P0.625 (1.25 2) M6xPh1.25P1.25 (1.25)
M6x2 : 2 1 ? M6xPh2P1 (2 2) M6xPh2P0.5 (2 4) M6xPh2P2 (2)
M9x3.6 : 3.6 1.25 ? M9xPh3.6P1.2 (3.6 3) M9xPh3.6P0.9 (3.6 4)
M12x3.6-LH : 3.6 1.75 ? M12xPh3.6P1.2-LH (3.6 3) M12xPh3.6P0.9-LH (3.6 4) M12xPh3.6P3.6-LH (3.6)
12x4.5-6H : 4.5 1.75 ? M12xPh4.5P1.5-6H (4.5 3) M12xPh4.5P1.125-6H (4.5 4)
M12x3-6g6g : 3 1.75 ? M12xPh3P1.5-6g (3 2) M12xPh3P1-6g (3 3) M12xPh3P0.75-6g (3 4) M12xPh3P3-6g (3)
12x2.4 3 starts LH : 2.4 1.75 ? M12xPh2.4P0.8-LH (2.4 3) M12xPh7.2P2.4-LH (2.4)
M10x2 2 starts : 2 1.5 ? M10xPh2P1 (2 2) M10xPh4P2 (2)
M12.5x3 3 lead : 3 2 ? M12.5xPh3P1 (3 3) M12.5xPh9P3 (3)
12.5x0.75 3 lead : 3 3 3 ? M12.5xPh2.25P0.75 (3 3) M12.5xPh3P0.75 (3)
M12x0.8 2.4 LH : 0.8 2.4 ? M12xPh2.4P0.8-LH (2.4) M12x0.8-LH (2.4)
12x2.4x0.8 : 2.4 0.8 ? M12xPh2.4P0.8 (2.4) M12xPh2.4P2.4 (0.8)
M10x1.5x3 : 1.5 3 ? M10xPh3P1.5 (3) M10xPh4.5P1.5 (3) M10x1.5 (3)
M12x0.8x12 : 0.8 12 ? M12xPh9.6P0.8 (12) M12x0.8 (12)
M9x3x2 : 3 2 ? M9xPh6P3 (2) M9xPh3P3 (2)
""".strip().splitlines()


def numbers(text: str) -> list[str]:
    return NUMBER.findall(text)


@pytest.mark.parametrize("row", ASKED)
def test_the_question_shows_each_thread_and_the_number_it_hangs_on(row: str) -> None:
    typed, about, meanings = re.split(r" [:?] ", row)
    supposed = dict(re.findall(r"(.+?) \((.*?)\) ?", meanings))
    with pytest.raises(ThreadAskedError) as e:
        read_thread(typed)
    assert set(e.value.meanings) == set(supposed)
    assert e.value.message.startswith(f"'{typed}': ")
    assert numbers(e.value.message.removeprefix(f"'{typed}': ")) == about.split()
    shown = "|".join(map(re.escape, supposed))
    for meaning, when in re.findall(rf"({shown}) if (.*?)(?=, (?:{shown}) if |$)", e.value.remedy):
        assert numbers(when) == supposed.pop(meaning).split()
        assert parse(meaning) == read_thread(meaning)  # accepted as it is shown
    assert not supposed


@pytest.mark.parametrize(
    ("typed", "text"),
    # Two ways to say one thread, or only one way that leaves a core.
    [
        ("M10x1 4 lead", "M10xPh4P1"), ("M12x0.8 P0.8", "M12x0.8"), ("3x4P0.8", "M3xPh4P0.8"),
        ("0.5x20", "1/2-20 UNF"),
    ],
)  # fmt: skip
def test_one_meaning_is_not_asked(typed: str, text: str) -> None:
    assert read_thread(typed).text == text


@pytest.mark.parametrize(
    "typed", ["9x4x1.5 P0.5 lead 4", "M12x2.4 2A", "M6x4P0.25", "12x5 single start", "M10x5P2.4"]
)
def test_what_no_meaning_makes_a_thread_of_is_not_asked(typed: str) -> None:
    with pytest.raises(ThreadTextError) as e:
        read_thread(typed)
    assert not isinstance(e.value, ThreadAskedError)
