"""The inspection sheet: every characteristic by its balloon, and what proves it."""

from __future__ import annotations

from dataclasses import replace

from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import lower_limit_text, text_of, upper_limit_text
from mandrelgen.model.balloon_numbers import numbered
from mandrelgen.model.characteristic import Characteristic, Kind
from mandrelgen.model.inspected import inspected
from mandrelgen.model.mandrel import Mandrel
from mandrelgen.spec.shop import Shop
from mandrelgen.standards.iso_14253 import zone
from mandrelgen.workshop.turning import instruments
from mandrelgen.workshop.turning.names import what

_SEEN = {Kind.PITCH, Kind.LEAD, Kind.COUNT, Kind.CENTRE, Kind.CHAMFER, Kind.ANGLE}
_SEEN_BY = {
    Kind.PITCH: "thread pitch gauge",
    Kind.LEAD: "it screws into the part by hand",
    Kind.COUNT: "count the starts at the end",
    Kind.CENTRE: "by eye",
    Kind.CHAMFER: "by eye, loupe and scale",
    Kind.ANGLE: instruments.ANGLE_BY,
}
_THREAD = (Kind.THREAD_MAJOR, Kind.THREAD_PITCH_DIAMETER, Kind.THREAD_MINOR)


@dataclass(frozen=True, slots=True, kw_only=True)
class InspectionLine:
    """One line of the sheet.

    ``number`` is the balloon; ``size`` its limits with their sign ("" for what has none).
    ``instrument`` the finest at home whose reading can be trusted ("" if none), with
    ``uncertainty``; ``accept`` the readings that prove the size with it (None: no reading can).
    ``proof`` is ``home``, ``shop`` (home cannot prove it; ``instead`` says what would) or ``look``.
    """

    number: int
    id: str
    what: str
    nominal: str
    limits: str
    size: str
    instrument: str
    uncertainty: float | None
    accept: tuple[float | None, float | None] | None
    proof: str
    instead: str
    inspected: bool = False


def sheet(mandrel: Mandrel, shop: Shop) -> tuple[InspectionLine, ...]:
    """The lines, in the order of the balloons."""
    numbers, marked = numbered(mandrel), inspected(mandrel)
    return tuple(
        replace(_line(numbers[c.id], c, mandrel, shop), inspected=c.id in marked)
        for c in mandrel.characteristics
    )


def _line(number: int, c: Characteristic, mandrel: Mandrel, shop: Shop) -> InspectionLine:
    tools = () if c.kind in _SEEN else instruments.advised(shop, mandrel, c)
    has_limits = c.lower is not None or c.upper is not None
    accept, proof, instead = None, "shop", ""
    if instruments.informative(mandrel, c):
        proof, instead = "look", "limits for information: fit to the test piece governs"
    elif c.kind in _SEEN or not has_limits:
        proof, instead = "look", _SEEN_BY.get(c.kind, "by eye")
    elif tools:
        accept = zone(c.lower, c.upper, tools[0].uncertainty)
        if _useful(c, accept):
            proof = "home"
    if proof == "shop":
        accept, instead = None, instruments.elsewhere(mandrel, c)
    return InspectionLine(
        number=number,
        id=c.id,
        what=what(c),
        nominal=nominal_text(c),
        limits=limits_text(c),
        size=size_text(c),
        instrument=tools[0].name if tools else "",
        uncertainty=tools[0].uncertainty if tools else None,
        accept=accept,
        proof=proof,
        instead=instead,
    )


def _useful(c: Characteristic, accept: tuple[float | None, float | None] | None) -> bool:
    """A zone to read in; a run-out cannot read below 0."""
    if accept is None:
        return False
    low, high = accept
    least = 0.0 if c.lower is None else low
    return high is None or least is None or high > least + 1e-9


def nominal_text(c: Characteristic) -> str:
    """The nominal as the paper shows it; a need without one shows a dash. A thread's is its basic
    size, from which the limits keep away: it says so."""
    if c.lower is None and c.upper is not None and c.nominal == 0:
        return "-"
    if c.kind in _THREAD:
        return f"basic {text_of(c.nominal)}"
    mark = "⌀" if c.kind is Kind.DIAMETER else ""
    return mark + text_of(c.nominal) + ("°" if c.unit == "°" else "")


def size_text(c: Characteristic) -> str:
    """Limits with their sign (⌀12.973 to 13, Ra at most 0.8 µm); "" for what has none."""
    text = limits_text(c)
    if text == "-":
        return ""
    mark = "⌀" if c.kind is Kind.DIAMETER or c.kind in _THREAD else ""
    if mark and not text[0].isdigit():
        return text.replace(" least ", f" least {mark}").replace(" most ", f" most {mark}")
    return ("Ra " if c.kind is Kind.ROUGHNESS else mark) + text


def limits_text(c: Characteristic) -> str:
    """``12.973 to 13``, ``at most 0.01``; limits rounded inwards, never outwards."""
    unit = f" {c.unit}" if c.unit == "µm" else c.unit if c.unit == "°" else ""
    if c.lower is None and c.upper is None:
        return "-"
    if c.lower is None:
        return f"at most {upper_limit_text(c.upper or 0.0)}{unit}"
    if c.upper is None:
        return f"at least {lower_limit_text(c.lower)}{unit}"
    return f"{lower_limit_text(c.lower)} to {upper_limit_text(c.upper)}{unit}"


def summary(lines: tuple[InspectionLine, ...]) -> tuple[str, ...]:
    """What to tell the maker: which inspected sizes the shop must prove, in whole sentences."""
    asked = [x for x in lines if x.proof == "shop" and x.inspected]
    if not asked:
        return ("Every inspected size can be proved with the instruments at home.",)
    return tuple(
        f"{x.number} {x.what} ({x.limits}) cannot be proved at home"
        + (f" with the {x.instrument} (U {text_of(x.uncertainty or 0)})" if x.instrument else "")
        + f": ask the shop for its reading; {x.instead}."
        for x in asked
    )
