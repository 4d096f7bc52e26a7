"""The words that stand beside the sizes of a thread: starts, hand, class, lead, pitch, series.

Each is taken out of the text, so that what is left are sizes. Common practice, no source, unless
ISO 965-1 or ASME B1.1 writes the word.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction
from typing import Protocol

from mandrelgen.standards.tables import load


class Seen(Protocol):
    """What the words fill in; see ``thread_spelling``."""

    metric: bool
    inch: bool
    pitch: Fraction | None
    lead: Fraction | None
    tpi: Fraction | None
    starts: int | None
    starts_or_lead: int | None
    left: bool
    klass: str
    series: str
    fine: bool


_NUM = r"(?:\d{1,4}(?:\.\d{1,6})?|\.\d{1,6})"
_COUNTS = {
    "one": 1, "single": 1, "two": 2, "double": 2, "twin": 2, "dual": 2, "three": 3, "triple": 3,
    "treble": 3, "four": 4, "quadruple": 4, "quad": 4, "five": 5, "six": 6, "seven": 7, "eight": 8,
}  # fmt: skip
_ALONE = ("single", "double", "twin", "dual", "triple", "treble", "quadruple", "quad")
_SHORT = {"ss": 1, "ds": 2, "ts": 3, "qs": 4}
_N = rf"(?P<n>\d{{1,2}}|{'|'.join(_COUNTS)})"
_EDGE, _END = r"(?<![A-Za-z0-9.])", r"(?![A-Za-z0-9])"


def _re(pattern: str) -> re.Pattern[str]:
    return re.compile(pattern, re.IGNORECASE)


_CLASS = re.compile(
    r"(?<![A-Za-z0-9./])(?P<c>(?:[3-9][a-h]){1,2}|(?:[3-9][A-H]){1,2}|[123][ABab])(?![A-Za-z0-9])"
)
_LEFT = _re(rf"{_EDGE}(?:l\.?\s*h\.?|left(?:[\s-]*hand(?:ed)?)?){_END}")
_RIGHT = _re(rf"{_EDGE}(?:r\.?\s*h\.?|right(?:[\s-]*hand(?:ed)?)?){_END}")
_SERIES = _re(rf"{_EDGE}(?P<s>UNEF|UNC|UNF|UNS|UN){_END}")
_TPI = _re(rf"(?P<v>{_NUM})\s*(?:t\.?\s*p\.?\s*i\.?|threads?\s*(?:per|/|to the|an)\s*inch){_END}")
_STARTS = (
    _re(rf"(?<![A-Za-z0-9.])(?:x\s*)?{_N}\s*x?[\s-]*(?:starts?|entr(?:y|ies)|st\.?){_END}"),
    _re(rf"{_EDGE}(?:starts?|entries)\s*[:=]?\s*(?P<n>\d{{1,2}})(?![\d.A-Za-z])"),
    _re(rf"{_EDGE}(?P<n>{'|'.join(_COUNTS)})[\s-]*leads?{_END}"),
    _re(rf"{_EDGE}(?P<n>{'|'.join(_SHORT)}){_END}"),
    _re(rf"{_EDGE}(?P<n>{'|'.join(_ALONE)}){_END}"),
)
_LEAD = (
    _re(rf"(?<![A-WYZa-wyz])(?:ph|lead)\s*(?:of\s+)?[:=]?\s*(?P<v>{_NUM})(?:\s*mm)?(?![\d.])"),
    _re(rf"(?<![\d.])(?P<v>{_NUM})\s*mm[\s-]*lead{_END}"),
    _re(rf"(?<![\d.])(?P<v>\d{{0,3}}\.\d{{1,6}})[\s-]*lead{_END}"),
)
_PITCH = (
    _re(rf"(?<![A-WYZa-wyz])(?:pitch|p)\s*(?:of\s+)?[:=]?\s*(?P<v>{_NUM})(?:\s*mm)?(?![\d.])"),
    _re(rf"(?<![\d.])(?P<v>{_NUM})\s*(?:mm)?[\s-]*pitch{_END}"),
)
_N_LEAD = _re(r"(?<![\d.])(?P<n>\d{1,2})[\s-]*leads?(?![A-Za-z0-9])")
_FINE = _re(rf"{_EDGE}fine{_END}")
_METRIC = _re(rf"{_EDGE}(?:metric|iso){_END}")
_FILLER = _re(
    rf"{_EDGE}(?:threads?|coarse|external|internal|male|female|diameter|dia\.?|with|and|of|"
    rf"major|unified|the|by){_END}|(?<=[\d\"m])by{_END}"
)


def take(s: Seen, text: str) -> str:
    """Fill ``s`` from the words of ``text``; returns the text without them.

    Words that are said twice stay in the text, where they are refused.
    """
    rest = take_class(s, text)
    rest = _once(_SERIES, rest, lambda m: setattr(s, "series", m["s"]))
    rest = _once(_TPI, rest, lambda m: setattr(s, "tpi", Fraction(m["v"])))
    rest = _first(_LEAD, rest, lambda m: setattr(s, "lead", Fraction(m["v"])))
    rest = _first(_PITCH, rest, lambda m: setattr(s, "pitch", Fraction(m["v"])))
    rest = _first(_STARTS, rest, lambda m: setattr(s, "starts", _count(m["n"])))
    if s.starts is None:
        rest = _once(_N_LEAD, rest, lambda m: setattr(s, "starts_or_lead", int(m["n"])))
    rest = _once(_FINE, rest, lambda m: setattr(s, "fine", True))
    rest = _once(_METRIC, rest, lambda m: setattr(s, "metric", True))
    return _FILLER.sub(" ", rest)


def take_class(s: Seen, text: str) -> str:
    """Tolerance class (6g6g is written 6g) and hand."""
    rest = _once(_CLASS, text, lambda m: setattr(s, "klass", re.sub(r"(..)\1", r"\1", m["c"])))
    rest = _once(_LEFT, rest, lambda m: setattr(s, "left", True))
    return rest if s.left else _once(_RIGHT, rest, lambda m: None)


def fine_pitches(diameter: str) -> tuple[str, ...]:
    """The fine pitches of a diameter (mm) by ISO 261, coarsest first; empty if none are held."""
    held: dict[str, list[float]] = load("iso_261_fine")["pitches"]
    return tuple(f"{p:g}" for p in held.get(diameter, ()))


def _count(word: str) -> int:
    low = word.lower()
    return _COUNTS.get(low) or _SHORT.get(low) or int(low)


def _once(pattern: re.Pattern[str], text: str, keep: Callable[[re.Match[str]], None]) -> str:
    m = pattern.search(text)
    if m is None:
        return text
    keep(m)
    return f"{text[: m.start()]} | {text[m.end() :]}"


def _first(
    patterns: tuple[re.Pattern[str], ...], text: str, keep: Callable[[re.Match[str]], None]
) -> str:
    for pattern in patterns:
        if pattern.search(text):
            return _once(pattern, text, keep)
    return text
