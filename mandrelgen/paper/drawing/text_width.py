"""Widths of lettering, read from the one font that paper and drawing file use."""

from __future__ import annotations

from functools import lru_cache

from mandrelgen.paper.drawing.font import advances

# The font's own measures in font units: top of H (its OS/2 table names no capital height, so a
# library that reads only tables of sizes cannot tell it), and the em.
CAP_UNITS = 1493
EM_UNITS = 2048
CAP_PER_EM = CAP_UNITS / EM_UNITS
# Letters that make a file or a viewer misbehave: control characters and lone surrogates.
_FORBIDDEN = dict.fromkeys([*range(32), *range(127, 160), 8232, 8233, *range(55296, 57344)])


@lru_cache(maxsize=8192)
def clean(text: str) -> str:
    """Text as it may be lettered: no control characters, and a box for what the font lacks."""
    text = text.replace("\t", " ").replace("\n", " ").translate(_FORBIDDEN)
    letters = _letters()
    if letters.issuperset(text):
        return text
    return "".join(c if c in letters else "□" for c in text)


class _Units(dict[str, int]):
    """Advance width by letter, font units; a letter the font lacks is shown as a box."""

    def __missing__(self, letter: str) -> int:
        self[letter] = self["□"]
        return self[letter]


@lru_cache(maxsize=1)
def _units() -> _Units:
    return _Units(advances())


@lru_cache(maxsize=1)
def _letters() -> frozenset[str]:
    """Every letter the font has."""
    return frozenset(advances())


@lru_cache(maxsize=8192)
def _length(text: str) -> int:
    """Width of ``text``, font units."""
    return sum(map(_units().__getitem__, text))


def width_of(text: str, height: float) -> float:
    """Width of ``text`` in mm when capitals are ``height`` mm high."""
    return _length(text) * height / CAP_UNITS


def wrapped(text: str, height: float, width: float) -> list[str]:
    """``text`` in lines of at most ``width`` mm; a word longer than a line is broken."""
    lines: list[str] = []
    line, long = "", 0
    space = _length(" ")
    for word in clean(text).split():
        while width_of(word, height) > width:
            cut = max(1, _fitting(word, height, width))
            # An identity breaks after a dot or an underscore if it can.
            joint = max(word.rfind(".", 0, cut), word.rfind("_", 0, cut)) + 1
            cut = joint or cut
            lines += [line] if line else []
            line, long, lines, word = "", 0, [*lines, word[:cut]], word[cut:]
        more = long + space + _length(word)
        if line and more * height / CAP_UNITS > width:
            lines.append(line)
            line, long = word, _length(word)
        elif line:
            line, long = f"{line} {word}", more
        else:
            line, long = word, _length(word)
    return [*lines, line] if line else lines


def fitted(text: str, height: float, width: float, smallest: float = 2.5) -> tuple[str, float]:
    """``text`` and its height so that it stays within ``width``: smaller, then cut with ``…``."""
    text = clean(text)
    for h in (height, 3.5, 2.5):
        if smallest <= h <= height and width_of(text, h) <= width:
            return text, h
    if width_of(text, smallest) <= width:
        return text, smallest
    return text[: _fitting(text, smallest, width - width_of("…", smallest))] + "…", smallest


def _fitting(text: str, height: float, width: float) -> int:
    """How many letters from the first on fit into ``width`` mm."""
    units, long = _units(), 0
    for n, letter in enumerate(text):
        long += units[letter]
        if long * height / CAP_UNITS > width:
            return n
    return len(text)
