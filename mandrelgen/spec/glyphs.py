"""Which characters the paper can show, and which letters are easily taken for one another."""

from __future__ import annotations

import unicodedata
from bisect import bisect_right

# Ranges of code points that the project's font draws, without those that need shaping, join
# onto their neighbour or run from right to left. A test reads the font and compares.
_DRAWN = (
    (0x0020, 0x007E), (0x00A0, 0x00AC), (0x00AE, 0x02E9), (0x0370, 0x0377), (0x037A, 0x037F),
    (0x0384, 0x038A), (0x038C, 0x038C), (0x038E, 0x03A1), (0x03A3, 0x0482), (0x048A, 0x0525),
    (0x0531, 0x0556), (0x0561, 0x0587), (0x10D0, 0x10FC), (0x1E00, 0x1EFB), (0x1F00, 0x1F15),
    (0x1F18, 0x1F1D), (0x1F20, 0x1F45), (0x1F48, 0x1F4D), (0x1F50, 0x1F57), (0x2010, 0x2027),
    (0x202F, 0x205F), (0x2070, 0x2071), (0x2074, 0x208E), (0x20A0, 0x20B5), (0x20BD, 0x20BD),
    (0x2100, 0x2109), (0x210B, 0x2149), (0x2150, 0x2185), (0x2190, 0x2311), (0x2460, 0x2469),
    (0x2500, 0x269C),
)  # fmt: skip
_FIRST = tuple(low for low, _ in _DRAWN)

# Cyrillic and Greek letters that look like a Latin one.
_LOOKALIKE = dict(
    zip(
        "АВЕЅІЈКМНОРСТХҮавеѕіјкмнорстухԁԛԝɑΑΒΕΖΗΙΚΜΝΟΡΤΥΧαικνορυχ",
        "ABESIJKMHOPCTXYabesijkmhopctyxdqwaABEZHIKMNOPTYXaiknopux",
        strict=True,
    )
)


def is_drawn(char: str) -> bool:
    """True if the font of the paper has this character and it can stand by itself."""
    code = ord(char)
    i = bisect_right(_FIRST, code) - 1
    return i >= 0 and code <= _DRAWN[i][1]


def undrawn(text: str) -> tuple[str, ...]:
    """The characters of a text (in Unicode NFC) that the paper cannot show, each once."""
    return tuple(dict.fromkeys(c for c in unicodedata.normalize("NFC", text) if not is_drawn(c)))


def char_name(char: str) -> str:
    """A character in words that survive any screen: ``U+0430 CYRILLIC SMALL LETTER A``."""
    name = unicodedata.name(char, "control character")
    return f"U+{ord(char):04X} {name}"


def latin_twin(text: str) -> str:
    """The text with look-alike letters replaced by the Latin ones."""
    return "".join(_LOOKALIKE.get(c, c) for c in text)


def foreign_letters(text: str) -> tuple[str, ...]:
    """The letters of a text that look Latin but are not, each once."""
    return tuple(dict.fromkeys(c for c in text if c in _LOOKALIKE))
