"""Any spelling of a thread that a maker types, read into the grammar of ``designation``.

The grammar is asked first: what it reads means what it always meant. What it refuses is taken
apart here; what could mean two things is not guessed: the error shows each meaning, as accepted.

Notation by ISO 965-1:2013, clause 12, ASME B1.1-2003, section 6, and for a lead with its pitch in
brackets DIN 103-1 (Tr40x14 P7), all from memory; the rest is common practice, no source.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache

from mandrelgen.standards.designation import (
    MAX_STARTS,
    Designation,
    ThreadTextError,
    coarse_pitch,
    largest_usual_pitch,
    parse,
)
from mandrelgen.standards.nearest_thread import MEASURED, nearest, other_system

LONGEST = 60
_NUM = r"(?:\d{1,4}(?:\.\d{1,6})?|\.\d{1,6})"
_SIZE = rf"(?:\d{{1,2}}[\s-]+\d{{1,2}}/\d{{1,3}}|\d{{1,3}}/\d{{1,3}}|{_NUM})"
_UNIT = r"(?P<unit>mm|inch|in|\")?"
_HEAD = rf"^\s*(?P<m>m)?\s*(?P<number>(?:#|no\.?)\s*)?(?P<d>{_SIZE})\s*{_UNIT}(?![\d.])"
_REST = rf"(?i:({_NUM})\s*(mm|inch|in|\")?)"
_SLIP = r"[xX]\s*[xX]|--|\.\.|\d\s*[xX/-]$"


class ThreadAskedError(ThreadTextError):
    """A text that could mean two or more things. ``meanings``: each as an accepted spelling."""

    def __init__(self, message: str, remedy: str, meanings: tuple[str, ...]) -> None:
        self.meanings = meanings
        super().__init__(message, remedy)


@dataclass(slots=True)
class _Seen:
    """What stood in a text. Sizes as they were written, in mm unless ``tpi``."""

    text: str = ""
    metric: bool = False
    inch: bool = False
    size: str = ""
    pitch: Fraction | None = None
    lead: Fraction | None = None
    tpi: Fraction | None = None
    starts: int | None = None
    starts_or_lead: int | None = None
    left: bool = False
    klass: str = ""
    series: str = ""
    fine: bool = False
    plain: list[Fraction] = field(default_factory=list)


@lru_cache(maxsize=1024)
def read_thread(text: str) -> Designation:
    """Read a thread in any spelling. Raises ThreadAskedError where it could mean two things,
    ThreadTextError where it cannot be read; its remedy shows the nearest accepted spelling.
    """
    if not isinstance(text, str) or not text.strip():
        return parse(text)
    tidy = _tidy(text)
    if len(text) <= LONGEST:
        _ask_old_lead(text.strip(), tidy)
    try:
        return _ask_exchanged(text.strip(), tidy, parse(tidy))
    except ThreadAskedError:
        raise
    except ThreadTextError as refused:
        if len(text) > LONGEST:
            raise
        return _loose(text.strip(), tidy, refused)


def _loose(text: str, tidy: str, refused: ThreadTextError) -> Designation:
    """Taken apart, put together as the grammar has it."""
    seen = _Seen(text)
    told: ThreadTextError
    try:
        if _take_apart(seen, tidy) and (put := _together(seen)):
            return parse(put)
    except ThreadAskedError:
        raise
    except ThreadTextError as error:
        told = error
    else:
        told = other_system(text) or refused
    raise ThreadTextError(_as_typed(told.message, text), _remedy(told.remedy, tidy)) from told


def _remedy(remedy: str, tidy: str) -> str:
    near = "" if MEASURED in remedy else nearest(tidy)
    if not near or near in remedy:
        return remedy
    return f"{remedy}; nearest spelling that is read: {near}" if remedy else f"write {near}"


def _as_typed(message: str, text: str) -> str:
    """What was typed, in place of what it was put together to."""
    return re.sub(r"^'[^']*'", lambda _: f"'{text}'", message)


def _tidy(text: str) -> str:
    """Signs and letters of one kind: fractions in figures, plain spaces, a point for the comma."""
    out = re.sub(r"(?<=\d)\s*([¼½¾⅐-⅞])", r" \1", text)
    out = unicodedata.normalize("NFKC", out).replace("\u2044", "/")
    out = re.sub(r"[×✕✖⨯]", "x", out)
    out = re.sub(r"[‐‑‒–—−]", "-", out)
    out = re.sub(r"[″”“„]|''|′′", '"', out)
    out = re.sub(r"[⌀ØøΦφ∅]", "", out)
    out = re.sub(r"(?<=\d),(?=\d)", ".", out)
    out = re.sub(r"(?<=\d)\s*/\s*(?=\d)", "/", out)
    return re.sub(r"\s+", " ", out).strip()


def _ask_old_lead(text: str, tidy: str) -> None:
    """``M12x2.4P0.8``: by DIN 103's manner a lead, but the Ph is left out; both are shown."""
    from mandrelgen.standards import spelling_words as words

    m = re.match(rf"^(?:[Mm]\s*)?({_NUM})\s*[xX]\s*({_NUM})\s*[Pp]\s*({_NUM})(?![\d.])", tidy)
    if not m:
        return
    seen = _Seen(size=m[1])
    words.take_class(seen, tidy)
    a, p = Fraction(m[2]), Fraction(m[3])
    _ask(text, f"{_n(a)} could be a lead without its Ph, or a pitch with {_n(p)} spare",
         [(_metric_text(seen, p, a, None), f"if {_n(a)} is the lead"),
          (_metric_text(seen, a, a, None), f"if {_n(a)} is the pitch")])  # fmt: skip


def _ask_exchanged(text: str, tidy: str, read: Designation) -> Designation:
    """``0.75x9``: an inch thread that no series lists, or a metric one written the wrong way."""
    m = re.fullmatch(rf"({_NUM})\s*[xX]\s*(\d{{1,2}}(?:\.\d+)?)", tidy)
    if m and read.series in ("UN", "UNS"):
        _ask(text, f"{m[2]} could be threads per inch, or the diameter in mm",
             [(read.text, f"if it is {m[1]} inch with {m[2]} threads per inch"),
              (f"M{m[2]}x{m[1]}", f"if {m[1]} mm is the pitch")])  # fmt: skip
    return read


def _tail(s: _Seen) -> str:
    return "".join(f"-{w}" for w in (s.klass, "LH" if s.left else "") if w)


def _ask(text: str, why: str, meanings: Iterable[tuple[str, str]]) -> None:
    """Raise with every meaning; nothing if fewer than two of them are threads."""
    held: dict[Designation, tuple[str, str]] = {}
    for spelling, when in meanings:
        with suppress(ThreadTextError):
            held.setdefault(parse(spelling), (spelling, when))
    if len(held) > 1:
        raise ThreadAskedError(
            f"'{text}': {why}",
            "write " + ", ".join(" ".join(meaning) for meaning in held.values()),
            tuple(spelling for spelling, _ in held.values()),
        )


def _take_apart(s: _Seen, tidy: str) -> bool:
    """Fill ``s``; False if something stands there that means nothing, or a slip of the finger."""
    from mandrelgen.standards import spelling_words as words

    rest = words.take(s, tidy).lstrip(" |,:-")
    head = re.match(_HEAD, rest, re.IGNORECASE)
    if head is None or re.search(_SLIP, tidy):
        return False
    rest = rest[head.end() :]
    sizes: list[tuple[str, str]] = re.findall(_REST, rest)
    s.plain = [Fraction(number) for number, _ in sizes]
    units = {unit.lower() for unit in (head["unit"], *(u for _, u in sizes)) if unit}
    s.size = f"#{head['d']}" if head["number"] else head["d"]
    s.metric = s.metric or bool(head["m"]) or "mm" in units
    s.inch = "#" in s.size or "/" in s.size or bool(units - {"mm"})
    return not re.search(r"[^\sxX\-.,;:()\[\]|=/*]", re.sub(_REST, " ", rest))


def _together(s: _Seen) -> str:
    """The designation as the grammar writes it; empty for a number alone, of which the grammar
    says it better. Raises ThreadTextError."""
    if s.metric and s.inch:
        raise ThreadTextError(
            f"'{s.text}' mixes inches and millimetres",
            "an inch thread is size and threads per inch, a metric one both sizes in mm",
        )
    if 0 in (s.starts, s.starts_or_lead):
        raise ThreadTextError(
            f"'{s.text}': 0 starts are not possible", f"use 1 to {MAX_STARTS} starts"
        )
    if s.series or s.tpi is not None or s.inch:
        return _inch(s)
    pitch = s.pitch or (s.plain[0] if s.plain else None)
    if not s.metric and pitch is not None and pitch >= Fraction(s.size):
        return _inch(s)
    return _metric(s)


def _inch(s: _Seen) -> str:
    if s.metric:
        raise ThreadTextError(
            f"'{s.text}' gives threads per inch to a size in mm",
            "write the pitch in mm, or the size in inches",
        )
    tpi = s.tpi if s.tpi is not None else (s.plain.pop(0) if s.plain else None)
    if s.plain or s.pitch is not None or s.lead is not None or tpi is None:
        raise ThreadTextError(
            f"'{s.text}': an inch thread is its size and its threads per inch, no more sizes",
            "write 3/8-32, and the number of starts in words: 3/8-32 (3 starts)",
        )
    starts = s.starts or s.starts_or_lead
    if not (s.inch or s.series) and Fraction(s.size) > 4 and s.tpi is not None:
        raise ThreadTextError(
            f"'{s.text}': {s.size} is no size in inches, and in mm a thread has a pitch in mm", ""
        )
    count = f" ({starts} starts)" if starts else ""
    return f"{s.size}-{_n(tpi)} {s.series}{_tail(s)}{count}"


def _metric(s: _Seen) -> str:
    if len(s.plain) > 1:
        _ask_two(s)
    if s.starts_or_lead is not None:
        _settle_lead_word(s, s.starts_or_lead)
    if s.plain:
        _place_plain(s, s.plain[0])
    if s.pitch is None and s.lead is None and not s.metric:
        return ""
    if s.pitch is None and s.lead is None and s.fine:
        _ask_fine(s)
    return _metric_text(s, s.pitch, s.lead, s.starts)


def _place_plain(s: _Seen, a: Fraction) -> None:
    """The one size without a name: the pitch (ISO 965-1), or beside a named pitch the lead."""
    if s.pitch is not None:
        if a == s.pitch:
            return
        if s.lead is not None and s.lead != a:
            raise ThreadTextError(f"'{s.text}' gives more sizes than a thread has", "")
        s.lead = a
        return
    if s.lead is None:
        _ask_if_coarse(s, a)
    s.pitch = a


def _ask_if_coarse(s: _Seen, a: Fraction) -> None:
    """Coarser than coarse is the lead of several starts, or a slip."""
    size, limit = Fraction(s.size), _usual(s)
    if a <= limit:
        return
    if a >= size:
        raise ThreadTextError(
            f"'{s.text}': a pitch of {_n(a)} mm at diameter {s.size} mm is none; "
            "it could be threads per inch, or the two sizes were exchanged",
            "",
        )
    meanings = [
        (_metric_text(s, None, a, n), f"if {_n(a)} is the lead of {n} starts")
        for n in ((s.starts,) if s.starts else (2, 3, 4))
        if Fraction("0.25") <= a / n <= limit and (a * 1000 / n).denominator == 1
    ]
    if s.starts or a * 3 <= size:
        meanings.append((_metric_text(s, a, a * (s.starts or 1), None), f"if {_n(a)} is the pitch"))
    _ask(s.text, f"{_n(a)} could be the lead of several starts, or the pitch "
         f"(coarser than the coarse {_n(limit)})", meanings)  # fmt: skip
    _refuse_too_coarse(s, a)


def _usual(s: _Seen) -> Fraction:
    return Fraction(f"{largest_usual_pitch(float(Fraction(s.size))):g}")


def _refuse_too_coarse(s: _Seen, a: Fraction) -> None:
    """Where the number of starts was said, what is left is the pitch: none where no limits are
    given for it."""
    from mandrelgen.standards.threads import coarsest_pitch

    most = coarsest_pitch(float(Fraction(s.size))) * 100 // 1 / 100  # rounded inwards
    if s.starts and a > most:
        lead = f"as a lead it gives a pitch of {float(a) / s.starts:.4g} mm, not a usual one"
        raise ThreadTextError(
            f"'{s.text}': {_n(a)} mm is too coarse a pitch at diameter {s.size} mm ({most:g} mm at "
            "most)" + (f", and {lead}" if s.starts > 1 else ""),
            "measure over several crests again, and write lead and pitch as in M12xPh2.4P0.8",
        )


def _ask_two(s: _Seen) -> None:
    """Two sizes without names behind the diameter."""
    a, b = s.plain[:2]
    low, high = min(a, b), max(a, b)
    named = s.pitch is not None or s.lead is not None
    if low and s.starts and high == low * s.starts and len(s.plain) == 2 and not named:
        s.pitch, s.lead, s.plain = low, high, []  # they agree with the number of starts
        return
    meanings = []
    if s.starts is None:
        meanings.append((_metric_text(s, low, high, None), f"if {_n(high)} is the lead"))
    if s.starts is None and len(s.plain) == 2:
        meanings.append((_metric_text(s, a, a * b, None), f"if {_n(b)} is the number of starts"))
        if 3 * a <= Fraction(s.size):
            alone = _metric_text(s, a, a, None)
            meanings.append((alone, f"if {_n(b)} is something else, such as a length"))
    _ask(s.text, f"{_n(a)} and {_n(b)} stand without saying which is pitch, lead or starts",
         meanings)  # fmt: skip
    raise ThreadTextError(f"'{s.text}': {_n(b)} is one size too many", "name each size: Ph2.4P0.8")


def _settle_lead_word(s: _Seen, n: int) -> None:
    """``3 lead``: three leads, or a lead of 3 mm."""
    pitch = s.pitch or (s.plain[0] if s.plain else None)
    if pitch is None:
        raise ThreadTextError(f"'{s.text}' gives a lead but no pitch", "")
    meanings = [(_metric_text(s, pitch, None, n), f"if it has {n} starts (a {n}-lead thread)")]
    if n > pitch:
        meanings.append((_metric_text(s, pitch, Fraction(n), None), f"if the lead is {n} mm"))
    _ask(s.text, f"'{n} lead' could be {n} starts or a lead of {n} mm", meanings)
    s.starts = n


def _ask_fine(s: _Seen) -> None:
    from mandrelgen.standards import spelling_words as words

    pitches = words.fine_pitches(_n(Fraction(s.size)))
    if len(pitches) == 1:
        s.pitch = Fraction(pitches[0])
        return
    meanings = [(_metric_text(s, Fraction(p), None, s.starts), f"if the pitch is {p}")
                for p in pitches]  # fmt: skip
    _ask(s.text, "ISO 261 has more than one fine pitch at this diameter", meanings)
    raise ThreadTextError(f"'{s.text}': no fine pitch is held for {s.size} mm", "write the pitch")


def _metric_text(s: _Seen, pitch: Fraction | None, lead: Fraction | None, n: int | None) -> str:
    """As the grammar writes it; what contradicts itself is left for the grammar to refuse."""
    if pitch is None and lead is not None and n:
        pitch = lead / n
    if pitch is None and lead is None and n:
        coarse = coarse_pitch(float(Fraction(s.size)))
        pitch = Fraction(str(coarse)) if coarse else None
    count = f" ({n} starts)" if n and lead is not None and pitch and lead != n * pitch else ""
    if pitch is not None and lead is None and n:
        lead = pitch * n
    if pitch is not None and not count and (lead is None or lead == pitch <= _usual(s)):
        size = f"x{_n(pitch)}"
    elif lead is not None:
        size = f"xPh{_n(lead)}" + (f"P{_n(pitch)}" if pitch is not None else "")
    else:
        size = ""
    return f"M{_n(Fraction(s.size))}{size}{_tail(s)}{count}"


def _n(value: Fraction) -> str:
    return f"{float(value):.10g}"
