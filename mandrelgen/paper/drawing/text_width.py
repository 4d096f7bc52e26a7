"""Widths of lettering, read from the one font that paper and drawing file use."""

from __future__ import annotations

import struct
from functools import lru_cache

from mandrelgen.core.resources import FONT, template_path

# The font's own measures in font units (its OS/2 table names no capital height): top of H, em;
# top of x, foot of p.
CAP_UNITS = 1493
X_UNITS = 1120
DESCENDER_UNITS = 426
EM_UNITS = 2048
CAP_PER_EM = CAP_UNITS / EM_UNITS
# Letters that make a file or a viewer misbehave: control characters and lone surrogates.
_FORBIDDEN = dict.fromkeys([*range(32), *range(127, 160), 8232, 8233, *range(55296, 57344)])


@lru_cache(maxsize=1)
def _advances() -> dict[int, int]:
    """Advance width of every character, font units."""
    data = template_path(FONT).read_bytes()
    tables = {}
    for i in range(struct.unpack_from(">H", data, 4)[0]):
        tag, _, start, _ = struct.unpack_from(">4sIII", data, 12 + 16 * i)
        tables[tag.decode("ascii")] = start
    wide = struct.unpack_from(">H", data, tables["hhea"] + 34)[0]
    advances = [struct.unpack_from(">H", data, tables["hmtx"] + 4 * i)[0] for i in range(wide)]
    glyphs = _characters(data, tables["cmap"])
    return {c: advances[min(g, wide - 1)] for c, g in glyphs.items()}


def _characters(data: bytes, cmap: int) -> dict[int, int]:
    """Character → glyph from the font's format 4 table (the Basic Multilingual Plane)."""
    found: dict[int, int] = {}
    for i in range(struct.unpack_from(">H", data, cmap + 2)[0]):
        platform, encoding, start = struct.unpack_from(">HHI", data, cmap + 4 + 8 * i)
        at = cmap + start
        if (platform, encoding) != (3, 1) or struct.unpack_from(">H", data, at)[0] != 4:
            continue
        n = struct.unpack_from(">H", data, at + 6)[0] // 2
        ends = struct.unpack_from(f">{n}H", data, at + 14)
        starts = struct.unpack_from(f">{n}H", data, at + 16 + 2 * n)
        deltas = struct.unpack_from(f">{n}H", data, at + 16 + 4 * n)
        offsets = struct.unpack_from(f">{n}H", data, at + 16 + 6 * n)
        for k in range(n):
            for c in range(starts[k], ends[k] + 1):
                glyph = c
                if offsets[k]:
                    where = at + 16 + 6 * n + 2 * k + offsets[k] + 2 * (c - starts[k])
                    glyph = struct.unpack_from(">H", data, where)[0]
                    if glyph == 0:
                        continue
                glyph = (glyph + deltas[k]) & 0xFFFF
                if glyph:
                    found[c] = glyph
    return found


@lru_cache(maxsize=8192)
def clean(text: str) -> str:
    """Text as it may be lettered: no control characters, and a box for what the font lacks."""
    text = text.replace("\t", " ").replace("\n", " ").translate(_FORBIDDEN)
    if _letters().issuperset(text):
        return text
    return "".join(c if c in _letters() else "□" for c in text)


class _Units(dict[str, int]):
    """Advance width by letter, font units; a letter the font lacks is shown as a box."""

    def __missing__(self, letter: str) -> int:
        self[letter] = self["□"]
        return self[letter]


@lru_cache(maxsize=1)
def _units() -> _Units:
    return _Units({chr(c): width for c, width in _advances().items()})


@lru_cache(maxsize=1)
def _letters() -> frozenset[str]:
    """Every letter the font has."""
    return frozenset(map(chr, _advances()))


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
