"""What each tolerance asks of the turner: turned as a matter of course, with care, or ground.

Limits of the three: ``data/judging.toml``, ``[process]``. What they say is common practice of
manual turning; a shop with other machines has other limits.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from enum import IntEnum
from typing import NamedTuple

from mandrelgen.core.tolerance import text_of
from mandrelgen.mechanics.practice import judged
from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.mandrel import ThreadData
from mandrelgen.spec.pen import ThreadOrder
from mandrelgen.standards import iso_286
from mandrelgen.standards.tables import NotHeldError


class Process(IntEnum):
    """What a tolerance needs, the easiest first."""

    TURNED = 0
    CARE = 1
    GROUND = 2

    @property
    def said(self) -> str:
        """As people read it."""
        return ("turned", "turned with care", "ground or lapped")[self]


GRADES = range(5, 14)
# Steps in which run-outs and forms are asked, mm, and roughness, µm (common practice, no source).
GEOMETRY = (0.005, 0.008, 0.01, 0.015, 0.02, 0.03, 0.05, 0.08)
ROUGHNESS = (0.2, 0.4, 0.8, 1.6, 3.2, 6.3)
# Pitch diameter tolerances of other grades as shares of grade 6 (ISO 965-1, R 10), and of classes
# 1 and 3 as shares of class 2 (ASME B1.1).
METRIC = {3: 0.5, 4: 0.63, 5: 0.8, 6: 1.0, 7: 1.25, 8: 1.6}
INCH = {1: 1.5, 2: 1.0, 3: 0.75}


class Demand(NamedTuple):
    """A tolerance that has a price. ``closeness``: what is turned as a matter of course over what
    is asked (1: just that, more: closer); ``looser``: the next step that paper would ask (mm; µm;
    of a pitch diameter the tolerance times it)."""

    characteristic: Characteristic
    process: Process
    closeness: float
    asked: str
    looser_text: str
    looser: float


def demands(
    characteristics: Iterable[Characteristic], threads: Sequence[ThreadData]
) -> Iterator[Demand]:
    """Every tolerance that has a price, in the order of the drawing."""
    for c in characteristics:
        if c.upper is None or c.general:
            continue
        found = None
        if c.kind in (Kind.RUNOUT, Kind.FACE_RUNOUT):
            found = _needed(c, "run_out", GEOMETRY)
        elif c.kind is Kind.CYLINDRICITY:
            found = _needed(c, "form", GEOMETRY)
        elif c.kind is Kind.ROUGHNESS:
            found = _needed(c, "roughness", ROUGHNESS)
        elif c.kind is Kind.DIAMETER:
            found = _size(c)
        elif c.kind is Kind.THREAD_PITCH_DIAMETER:
            found = _thread(c, threads)
        if found is not None:
            yield found


def _process(ratio: float, care: float) -> Process:
    """``ratio``: asked over turned; ``care``: the least of it that is turned with care."""
    if ratio >= 1 - 1e-9:
        return Process.TURNED
    return Process.CARE if ratio >= care - 1e-9 else Process.GROUND


def _needed(c: Characteristic, group: str, steps: Sequence[float]) -> Demand | None:
    turned, care = judged("process", f"{group}_turned"), judged("process", f"{group}_care")
    asked = float(c.upper or 0.0)
    looser = next((x for x in steps if x > asked + 1e-9), None)
    if asked <= 0 or looser is None:
        return None
    unit = "Ra " if c.kind is Kind.ROUGHNESS else ""
    texts = f"{unit}{text_of(asked)}", f"{unit}{text_of(looser)}"
    return _demand(c, asked, (turned, care), looser, texts)


def _size(c: Characteristic) -> Demand | None:
    """A diameter, by the grade of ISO 286 that its tolerance is as wide as."""
    if c.lower is None or c.upper is None or c.upper <= c.lower:
        return None
    width = c.upper - c.lower
    try:
        widths = {n: iso_286.grade(c.nominal, n) for n in GRADES}
    except NotHeldError:
        return None
    turned = widths[int(judged("process", "grade_turned"))]
    care = widths[int(judged("process", "grade_care"))]
    looser = next((w for w in widths.values() if w > width + 1e-6), None)
    if looser is None:
        return None  # as wide as a saw cut
    texts = c.written or f"{text_of(width)} wide", f"{text_of(looser)} wide"
    return _demand(c, width, (turned, care), looser, texts)


def _thread(c: Characteristic, threads: Sequence[ThreadData]) -> Demand | None:
    """A pitch diameter that is screwcut to limits; a tap or die gives its own."""
    t = next((t for t in threads if t.feature == c.feature), None)
    if t is None or t.order != ThreadOrder.SINGLE_POINT:
        return None
    share, looser = grade_shares(t.limits.tolerance_class)
    share *= t.limits.factor
    turned, care = judged("process", "thread_turned"), judged("process", "thread_care")
    if looser is None:
        return None
    texts = f"{t.limits.tolerance_class}, screwcut", f"{text_of(looser, 2)} times as wide"
    return _demand(c, share, (turned, care), looser, texts)


def _demand(
    c: Characteristic, asked: float, usual: tuple[float, float], looser: float,
    texts: tuple[str, str],
) -> Demand:  # fmt: skip
    """``asked`` and ``usual`` (turned, with care) in one unit; ``texts``: asked, and looser."""
    turned, care = usual
    return Demand(
        characteristic=c,
        process=_process(asked / turned, care / turned),
        closeness=turned / asked,
        asked=texts[0],
        looser_text=texts[1],
        looser=looser,
    )


def grade_shares(tolerance_class: str) -> tuple[float, float | None]:
    """A class's pitch diameter tolerance over that of the usual class, and how many times as wide
    the next one's is (None: there is none).

    >>> grade_shares("6g"), grade_shares("4h"), grade_shares("2A")
    ((1.0, 1.25), (0.63, 1.26984126984127), (1.0, 1.5))
    """
    found = re.match(r"\s*(\d)", tolerance_class)
    number = int(found[1]) if found else 6
    inch = bool(re.fullmatch(r"\s*\d[AB]\s*", tolerance_class))
    row = INCH if inch else METRIC
    share = row.get(number, 1.0)
    after = sorted(x for x in row.values() if x > share)
    return share, (after[0] / share if after else None)


def said(found: Sequence[Demand]) -> tuple[str, str]:
    """What it takes to make a mandrel, and why, for its decision."""
    worst = max((d.process for d in found), default=Process.TURNED)
    closest = ", ".join(_each(d) for d in sorted(found, key=lambda d: -d.closeness)[:4])
    why = (
        f"a good turner's manual lathe gives IT{judged('process', 'grade_turned'):g}, a run-out of "
        f"{judged('process', 'run_out_turned'):g} in one setting, form "
        f"{judged('process', 'form_turned'):g}, Ra {judged('process', 'roughness_turned'):g} and a "
        f"class 6 thread without grinding; closest here: {closest or 'nothing'}"
    )
    if worst is Process.TURNED:
        return "turned on a manual lathe; nothing is ground", why
    dear = ", ".join(_each(d) for d in found if d.process is worst)
    return f"{worst.said}: {dear}", why


def _each(d: Demand) -> str:
    return f"{d.characteristic.id} {d.asked}"
