"""Thread designations: what the trade writes, read into one value and printed one way.

Metric by ISO 965-1:2013, clause 12 (wording from memory), inch by ASME B1.1-2003.
"""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache

from mandrelgen.core.frozen import dataclass
from mandrelgen.core.lengths import MM_PER_INCH, Length
from mandrelgen.standards.tables import NotHeldError, load

MAX_STARTS = 12
NUMBERED_SIZES = (0, 1, 2, 3, 4, 5, 6, 8, 10, 12)
CONSTANT_PITCH_SERIES = (4, 6, 8, 12, 16, 20, 28, 32)

_NUM = r"(?:\d{1,3}(?:\.\d{1,5})?|\.\d{1,5})"
_METRIC = re.compile(
    rf"^[Mm]\s*(?P<d>{_NUM})"
    rf"(?:\s*x\s*(?:(?P<ph>[Pp][Hh])\s*)?(?P<n>{_NUM})(?:\s*[Pp]\s*(?P<p>{_NUM}))?)?"
    r"(?P<tail>(?:[\s\-,;(].*)?)$"
)
# Patterns that a metric thread never asks are compiled when they are used (`re` keeps them).
_INCH = (
    rf"^(?:(?P<number>(?:#|[Nn]o\.?\s*)\d+)|(?P<whole>\d+)[\s-]+(?P<wfrac>\d+/\d+)"
    rf"|(?P<frac>\d+/\d+)|(?P<dec>{_NUM}))\s*(?:in(?:ch)?|\")?\s*[-x]\s*(?P<tpi>{_NUM})"
    r"(?:\s*tpi)?(?P<tail>(?:[\s\-,;(].*)?)$"
)
_BARE_METRIC = rf"^(?P<d>{_NUM})\s*x\s*(?P<p>{_NUM})(?:\s*mm)?$"
# M8-1.25: a bare number after the dash is the pitch, since a class has a letter.
_DASHED_PITCH = re.compile(rf"(?i)^(m\s*{_NUM})\s*-\s*(?={_NUM}(?![\w.])(?![\s-]*starts?))")
_WORDS = {
    "one": 1, "single": 1, "two": 2, "double": 2, "twin": 2, "three": 3, "triple": 3,
    "four": 4, "quadruple": 4, "five": 5, "six": 6, "seven": 7, "eight": 8,
}  # fmt: skip
_STARTS = re.compile(
    rf"(?<![\w.])(?P<n>\d+|{'|'.join(_WORDS)})[\s-]*starts?(?![A-Za-z0-9])", re.IGNORECASE
)
_HAND = re.compile(
    r"(?<![A-Za-z0-9])(?:(?P<l>LH|left[\s-]*hand(?:ed)?)|(?P<r>RH|right[\s-]*hand(?:ed)?))"
    r"(?![A-Za-z0-9])",
    re.IGNORECASE,
)
_M_CLASS = re.compile(r"^(?:(?:[3-9][a-h]){1,2}|(?:[3-9][A-H]){1,2})$")
_UN_CLASS = r"^[123][ABab]$"
_SERIES = r"^(?:\d+[\s-]*)?(UNC|UNF|UNEF|UNS|UN)$"


class ThreadTextError(NotHeldError):
    """A thread text that cannot be read, or could mean two things.

    ``message`` says what is wrong, ``remedy`` what to write instead.
    """


@dataclass(frozen=True, slots=True)
class Designation:
    """A thread as it is named. ``diameter`` and ``pitch`` in mm; ``system`` ``M`` or ``UN``.

    ``series`` is empty for metric, else UNC, UNF, UNEF, UN or UNS. ``tolerance_class`` is empty
    where none was written. Raises ThreadTextError if the values cannot make a thread.
    """

    system: str
    diameter: Length
    pitch: Length
    starts: int = 1
    left_hand: bool = False
    tolerance_class: str = ""
    series: str = ""

    def __post_init__(self) -> None:
        if self.system not in ("M", "UN"):
            raise ThreadTextError(f"thread system '{self.system}' is not known", "use M or UN")
        if not (self.diameter > 0 and self.pitch > 0):
            raise ThreadTextError(
                f"diameter {self.diameter:g} and pitch {self.pitch:g} must be above 0",
                "write for example M9x0.75",
            )
        if 3 * self.pitch.exact >= 2 * self.diameter.exact:
            raise ThreadTextError(
                f"a pitch of {self.pitch:g} mm leaves no core at diameter {self.diameter:g} mm",
                "the diameter is written first: M9x0.75",
            )
        if not 1 <= self.starts <= MAX_STARTS:
            raise ThreadTextError(
                f"{self.starts} starts are not possible", f"use 1 to {MAX_STARTS} starts"
            )

    @property
    def lead(self) -> float:
        """Ph = starts × pitch, mm."""
        return float(self.starts * self.pitch.exact)

    @property
    def threads_per_inch(self) -> float:
        """25.4 mm divided by the pitch."""
        return float(MM_PER_INCH / self.pitch.exact)

    @property
    def name(self) -> str:
        """The canonical text without the tolerance class: what a tap or die is called."""
        return replace(self, tolerance_class="").text

    @property
    def also(self) -> tuple[str, ...]:
        """Other spellings that a person may look for: an inch size in decimals (``0.375-32``)."""
        if self.system == "M":
            return ()
        return (f"{float(self.diameter.exact / MM_PER_INCH):.10g}-{self.threads_per_inch:.10g}",)

    @property
    def text(self) -> str:
        """The canonical text; :func:`parse` reads it back to an equal value."""
        return _metric_text(self) if self.system == "M" else _inch_text(self)


@lru_cache(maxsize=1024)
def parse(text: str) -> Designation:
    """Read a thread designation such as ``M9x0.75-6g``, ``M12xPh2.4P0.8-6H``, ``3/8-32 UNEF-2B``.

    Also read: ``×``, decimal commas, ``M6`` (coarse, ISO 261), ``M12x0.8 three starts``, ``LH``,
    ``left hand``, ``#10-32 UNF``, ``0.375-32 UN-2A``. A metric ``x N`` is the pitch (ISO 965-1).
    Raises ThreadTextError if the text cannot be read or could mean two things.
    """
    if not isinstance(text, str) or not text.strip():
        raise ThreadTextError("no thread is written", "write for example M9x0.75")
    if len(text) > 60:
        raise ThreadTextError("the thread text is longer than 60 characters", "write M9x0.75-6g")
    clean = _clean(text)
    if m := _METRIC.match(clean):
        return _metric(text.strip(), m)
    if (m := re.match(_BARE_METRIC, clean)) and Fraction(m["p"]) < Fraction(m["d"]):
        raise ThreadTextError(
            f"'{text.strip()}' does not say metric or inch",
            f"write M{m['d']}x{m['p']} if the sizes are in mm",
        )
    if m := re.match(_INCH, clean, re.IGNORECASE):
        return _inch(text.strip(), m)
    raise ThreadTextError(
        f"'{text.strip()}' is not a thread this program reads",
        "write a metric thread as M9x0.75 or M12xPh2.4P0.8, an inch thread as 3/8-32 UNEF",
    )


def coarse_pitch(diameter: float) -> float | None:
    """The coarse pitch of a metric diameter (mm) by ISO 261, or None if it has none."""
    pitches: dict[str, float] = load("iso_261_coarse")["pitch"]
    return pitches.get(f"{diameter:.10g}")


def largest_usual_pitch(diameter: float) -> float:
    """The coarse pitch of this or the next larger ISO 261 diameter, mm."""
    pitches: dict[str, float] = load("iso_261_coarse")["pitch"]
    rows = sorted((float(d), p) for d, p in pitches.items())
    return next((p for d, p in rows if d >= diameter - 1e-9), rows[-1][1])


def standard_series(size: str, tpi: Fraction) -> str:
    """UNC, UNF or UNEF if ASME B1.1 lists ``size`` (``3/8``, ``#10``) with ``tpi``, else ``""``."""
    for series in ("UNC", "UNF", "UNEF"):
        if load("asme_b1_1_series")[series].get(size) == tpi:
            return series
    return ""


def inch_size(diameter: Length) -> str:
    """A diameter as an inch designation writes it: ``3/8``, ``1 1/4``, ``#10`` or ``0.3900``."""
    inches = diameter.exact / MM_PER_INCH
    for n in NUMBERED_SIZES:
        if inches == Fraction(60 + 13 * n, 1000):
            return f"#{n}"
    if inches.denominator in (1, 2, 4, 8, 16, 32, 64):
        whole, rest = divmod(inches, 1)
        return " ".join(t for t in (str(whole) if whole else "", str(rest) if rest else "") if t)
    return f"{float(inches):.10g}"


def _clean(text: str) -> str:
    """One spelling for signs: x for ×, a point for a decimal comma, a plain hyphen and space."""
    out = re.sub(r"[×✕*]", "x", text.strip())
    out = re.sub(r"(?<=\d)\s*[xX]\s*(?=[\d.pP])", "x", out)
    out = re.sub(r"[‐‑‒–—−]", "-", out)
    out = re.sub(r"(?<=\d),(?=\d)", ".", out)
    out = _DASHED_PITCH.sub(r"\1x", out)
    return re.sub(r"\s+", " ", out.replace("″", '"').replace("”", '"'))


def _length(text: str) -> Length:
    return Length(Fraction(text), f"{float(Fraction(text)):.10g}")


def _tail(text: str, tail: str) -> tuple[int | None, bool, list[str]]:
    """Starts (None: not said), left hand, and the remaining words."""
    starts: int | None = None
    found = _STARTS.findall(tail)
    if len(found) > 1:
        raise ThreadTextError(f"'{text}' gives the number of starts twice", "give it once")
    if found:
        word = found[0].lower()
        starts = _WORDS.get(word) or int(word)
    rest = _STARTS.sub(" ", tail)
    hands = list(_HAND.finditer(rest))
    if len(hands) > 1:
        raise ThreadTextError(f"'{text}' gives the hand twice", "write LH once, or nothing")
    left = bool(hands and hands[0]["l"])
    words = [w for w in re.split(r"[\s\-,;()]+", _HAND.sub(" ", rest)) if w]
    return starts, left, words


def _metric(text: str, m: re.Match[str]) -> Designation:
    starts, left, words = _tail(text, m["tail"])
    diameter = _length(m["d"])
    if m["p"] and not m["ph"]:
        raise ThreadTextError(
            f"'{text}': {m['n']} could be a lead without its Ph, or a pitch with {m['p']} spare",
            f"write M{m['d']}xPh{m['n']}P{m['p']} if {m['n']} is the lead, "
            f"M{m['d']}x{m['n']} if it is the pitch",
        )
    if m["ph"]:
        pitch, count = _lead_and_pitch(text, m, starts)
    else:
        pitch, count = _pitch_only(text, m, diameter, starts)
    return Designation(
        system="M",
        diameter=diameter,
        pitch=pitch,
        starts=count,
        left_hand=left,
        tolerance_class=_metric_class(text, words),
    )


def _lead_and_pitch(text: str, m: re.Match[str], starts: int | None) -> tuple[Length, int]:
    if not m["p"]:
        raise ThreadTextError(
            f"'{text}' gives a lead but no pitch", f"add the pitch: M{m['d']}xPh{m['n']}P…"
        )
    lead, pitch = Fraction(m["n"]), Fraction(m["p"])
    if pitch == 0 or lead % pitch or lead < pitch:
        raise ThreadTextError(
            f"'{text}': the lead {m['n']} is not a whole multiple of the pitch {m['p']}",
            "lead = starts × pitch, as in M12xPh2.4P0.8",
        )
    count = int(lead / pitch)
    if starts is not None and starts != count:
        raise ThreadTextError(
            f"'{text}': lead {m['n']}, pitch {m['p']} is {count} starts, the words say {starts}",
            "correct the lead, the pitch or the number of starts",
        )
    return _length(m["p"]), count


def _pitch_only(
    text: str, m: re.Match[str], diameter: Length, starts: int | None
) -> tuple[Length, int]:
    count = 1 if starts is None else starts
    if not m["n"]:
        coarse = coarse_pitch(diameter)
        if coarse is None:
            raise ThreadTextError(
                f"ISO 261 gives M{m['d']} no coarse pitch", f"write the pitch: M{m['d']}x…"
            )
        return _length(f"{coarse:g}"), count
    limit = largest_usual_pitch(diameter)
    if Fraction(m["n"]) <= Fraction(f"{limit:g}"):
        return _length(m["n"]), count
    said = f"{float(m['n']):g}"
    if count > 1:
        share = f"{float(Fraction(m['n']) / count):.6g}"
        product = f"{float(Fraction(m['n']) * count):.6g}"
        raise ThreadTextError(
            f"'{text}': {said} could be the pitch (lead {product}) or the lead of {count} starts "
            f"(pitch {share})",
            f"write M{m['d']}xPh{said}P{share} if {said} is the lead, "
            f"M{m['d']}xPh{product}P{said} if it is the pitch",
        )
    raise ThreadTextError(
        f"'{text}': {said} mm is coarser than the coarse pitch {limit:g} mm at this diameter; "
        "it could be the lead of a multi-start thread",
        f"write M{m['d']}xPh{said}P… if {said} is the lead, or correct the pitch",
    )


def _metric_class(text: str, words: list[str]) -> str:
    if not words:
        return ""
    if len(words) > 1 or not _M_CLASS.match(words[0]):
        raise ThreadTextError(
            f"'{text}': '{' '.join(words)}' is not a tolerance class",
            "write 6g or 4g6g for an external, 6H for an internal thread, and no more",
        )
    word = words[0]
    return word[:2] if word[:2] == word[2:] else word


def _inch(text: str, m: re.Match[str]) -> Designation:
    starts, left, words = _tail(text, m["tail"])
    series, klass = _inch_words(text, words)
    tpi = Fraction(m["tpi"])
    if tpi <= 0:
        raise ThreadTextError(f"'{text}': threads per inch must be above 0", "write 3/8-32 UNEF")
    inches = _inch_diameter(text, m, tpi, bool(series))
    diameter = Length(inches * MM_PER_INCH, "")
    size = inch_size(diameter)
    diameter = Length(inches * MM_PER_INCH, f"{size} in" if "#" not in size else size)
    pitch = Length(MM_PER_INCH / tpi, f"{float(tpi):g} tpi")
    listed = standard_series(size, tpi)
    usual = "UN" if tpi in CONSTANT_PITCH_SERIES else "UNS"
    if series in ("UNC", "UNF", "UNEF") and series != listed:
        right = load("asme_b1_1_series")[series].get(size)
        hint = f", or {size}-{right} {series}" if right else ""
        raise ThreadTextError(
            f"'{text}': ASME B1.1 does not list {size}-{float(tpi):g} as {series}",
            f"write {size}-{float(tpi):g} {listed or usual}{hint}",
        )
    # UN alone names the family: a pair the standard lists keeps the standard's own name.
    name = listed or (series if series == "UNS" else usual)
    return Designation(
        system="UN",
        diameter=diameter,
        pitch=pitch,
        starts=starts or 1,
        left_hand=left,
        tolerance_class=klass,
        series=name,
    )


def _inch_words(text: str, words: list[str]) -> tuple[str, str]:
    series = klass = ""
    for word in words:
        if (s := re.match(_SERIES, word, re.IGNORECASE)) and not series:
            series = s[1].upper()
        elif re.match(_UN_CLASS, word) and not klass:
            klass = word.upper()
        else:
            raise ThreadTextError(
                f"'{text}': '{word}' is not understood",
                "write size-threads per inch, series, class: 3/8-32 UNEF-2B",
            )
    return series, klass


def _inch_diameter(text: str, m: re.Match[str], tpi: Fraction, has_series: bool) -> Fraction:
    if m["number"]:
        return _numbered(text, int(re.sub(r"\D", "", m["number"])))
    if m["frac"] or m["wfrac"]:
        top, bottom = (m["frac"] or m["wfrac"]).split("/")
        if int(bottom) == 0:
            raise ThreadTextError(f"'{text}' divides by zero", "write for example 3/8-32 UNEF")
        return int(m["whole"] or 0) + Fraction(int(top), int(bottom))
    value = Fraction(m["dec"])
    if "." not in m["dec"] and standard_series(f"#{m['dec']}", tpi):
        if not has_series:
            raise ThreadTextError(
                f"'{text}' could be the numbered size #{m['dec']} or {m['dec']} inch",
                f"write #{m['dec']}-{m['tpi']}",
            )
        return _numbered(text, int(value))
    if value > 4:
        raise ThreadTextError(
            f"'{text}': {m['dec']} inch is not a size for this program",
            f"write M{m['dec']}x… for a metric thread, # for a numbered inch size",
        )
    return value


def _numbered(text: str, number: int) -> Fraction:
    if number not in NUMBERED_SIZES:
        raise ThreadTextError(
            f"'{text}': there is no numbered size #{number}",
            f"numbered sizes are {', '.join(f'#{n}' for n in NUMBERED_SIZES)}",
        )
    return Fraction(60 + 13 * number, 1000)


def _metric_text(d: Designation) -> str:
    pitch = f"{float(d.pitch):.10g}"
    # Coarser than usual, the pitch alone would be asked for: it could be a lead.
    alone = d.starts == 1 and d.pitch <= largest_usual_pitch(float(d.diameter)) + 1e-9
    lead = pitch if alone else f"Ph{d.lead:.10g}P{pitch}"
    parts = [f"M{float(d.diameter):.10g}x{lead}", d.tolerance_class, "LH" if d.left_hand else ""]
    return "-".join(p for p in parts if p)


def _inch_text(d: Designation) -> str:
    size = inch_size(d.diameter)
    tpi = MM_PER_INCH / d.pitch.exact
    if size.isdigit() and standard_series(f"#{size}", tpi):
        size += ".0"  # 2-56 would be read as #2-56
    head = f"{size}-{float(tpi):.10g} {d.series}"
    tail = f" ({d.starts} starts)" if d.starts > 1 else ""
    parts = [head, d.tolerance_class, "LH" if d.left_hand else ""]
    return "-".join(p for p in parts if p) + tail
