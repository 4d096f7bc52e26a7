"""A thread text that cannot be read: what it is instead, and the spelling nearest to it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from functools import cache

from mandrelgen.core.lengths import MM_PER_INCH
from mandrelgen.standards.designation import Designation, ThreadTextError, parse
from mandrelgen.standards.tables import load

USUAL = "M9x0.75"
MEASURED = 'mandrelgen thread --measured "crest=…, ten=…, starts=…"'
"""What finds a thread that is known by calipers alone."""
_READINGS = re.compile(r"\b(?:crest|root|minor|ten|lead|starts)\s*[=:]", re.IGNORECASE)
_N = r"(\d{1,3}(?:\.\d{1,4})?)"
_NUM = re.compile(r"\d{1,3}/\d{1,3}|\d{1,3}(?:\.\d{1,4})?|\.\d{1,4}")


_OTHER = (
    (r"\s*tr\s*\d", "a trapezoidal thread (ISO 2904)"),
    (r"\s*(?:g|r|rp|rc)\s*\d|.*\bbspp?t?\b", "a pipe thread (ISO 228, ISO 7)"),
    (r".*\bnpt", "a pipe thread (NPT)"),
    (r"\s*w\s*\d|.*\bbs[wf]\b", "a Whitworth thread (55°)"),
    (r".*\bba\b", "a British Association thread (47.5°)"),
)


def only_measured(text: str) -> ThreadTextError | None:
    """What to say of readings, or of a question mark, where a thread's name belongs."""
    if _READINGS.search(text):
        what = "what was read on a thread, not its name"
    elif not re.search(r"\w", text):
        what = "no thread"
    else:
        return None
    return ThreadTextError(f"'{text[:40]}' is {what}", f"find it by calipers: {MEASURED}")


def other_system(text: str) -> ThreadTextError | None:
    """Why a text is none of our threads: another profile, which is named and never taken for a 60°
    thread, starts without their number, or no name of a thread; None: for another reason."""
    for pattern, name in _OTHER:
        if re.match(pattern, text, re.IGNORECASE):
            return ThreadTextError(
                f"'{text}': {name} is not held; metric (M) and unified inch (UN) threads are",
                "write the thread by its sizes if it is one of those",
            )
    if re.search(r"\bmulti[\s-]*starts?\b|\bseveral starts\b", text, re.IGNORECASE):
        return ThreadTextError(
            f"'{text}' says that there are several starts, but not how many",
            "count the thread's beginnings at its end and write M12x0.8 (3 starts)",
        )
    return only_measured(text)


def nearest(text: str) -> str:
    """A designation near to ``text``: its own first sizes if they make a thread in either system,
    else one of its size, else that of the standard series nearest in diameter. Never empty."""
    numbers = [n for n in _NUM.findall(text) if not re.search("/0+$", n)]
    for written in _of_sizes(numbers, text):
        try:
            return parse(written).text
        except (ThreadTextError, ZeroDivisionError):
            continue
    return USUAL


def _of_sizes(numbers: list[str], text: str) -> Iterator[str]:
    """Texts to try, the most faithful first."""
    if not numbers:
        return
    if m := re.search(rf"{_N}\s*x?\s*ph\s*{_N}\s*p\s*{_N}", text, re.IGNORECASE):
        yield "M{}xPh{}P{}".format(*m.groups())
    first = numbers[0]
    inch = re.search(r"un|tpi|inch|\bin\b|\"", text, re.IGNORECASE)
    for second in numbers[1:]:
        if not inch:
            yield f"M{first}x{second}"
        yield f"{first}-{second}"
        yield f"#{first}-{second}"
        if inch:
            yield _near_inch(Fraction(first), second)
    coarse: dict[str, dict[str, float]] = load("asme_b1_1_series")
    if first in coarse["UNC"]:
        yield f"{first}-{coarse['UNC'][first]} UNC"
    if "/" in first:
        yield _near_in_size(Fraction(first) * MM_PER_INCH, "UN")
    else:
        yield f"M{first}"
        yield f"M{first}x{1 if Fraction(first) >= 12 else 0.75:g}"
        yield _near_in_size(Fraction(first), "M")


def _near_inch(size: Fraction, tpi: str) -> str:
    """The sixteenth of an inch nearest to ``size`` mm, with that many threads."""
    return f"{Fraction(round(size / MM_PER_INCH * 16), 16)}-{tpi}"


def _near_in_size(size: Fraction, system: str) -> str:
    """The usual thread of a system (M, UN) nearest in diameter, mm."""
    held = (d for d in map(parse, usual()) if d.system == system)
    return min(held, key=lambda d: abs(d.diameter.exact - size)).text


def in_series(d: Designation) -> bool:
    """True for a diameter with a pitch of ISO 261, or of an inch series that has a name; starts,
    hand and class count for nothing."""
    if d.system != "M":
        return d.series in ("UNC", "UNF", "UNEF")
    size, pitch = f"{float(d.diameter):g}", float(d.pitch)
    coarse: dict[str, float] = load("iso_261_coarse")["pitch"]
    fine: dict[str, list[float]] = load("iso_261_fine")["pitches"]
    return pitch in (coarse.get(size), *fine.get(size, ()))


@cache
def usual() -> tuple[str, ...]:
    """Texts of the coarse and fine metric threads and of UNC, UNF and UNEF that are held."""
    coarse: dict[str, float] = load("iso_261_coarse")["pitch"]
    out = [f"M{d}x{p:g}" for d, p in coarse.items()]
    fine: dict[str, list[float]] = load("iso_261_fine")["pitches"]
    out += [f"M{d}x{p:g}" for d, pitches in fine.items() for p in pitches]
    series = load("asme_b1_1_series")
    out += [f"{d}-{n} {s}" for s in ("UNC", "UNF", "UNEF") for d, n in series[s].items()]
    return tuple(out)
