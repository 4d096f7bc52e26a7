"""The threading card: depths, passes, speed, boring bar. mm, degrees, 1/min."""

from __future__ import annotations

import math

from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import lower_limit_text, text_of, upper_limit_text
from mandrelgen.mechanics.remedy import sold_drill
from mandrelgen.mechanics.speed import spindle_speed
from mandrelgen.model.feature import FeatureKind, MandrelEnd
from mandrelgen.model.mandrel import Mandrel, ThreadData
from mandrelgen.standards import cutting
from mandrelgen.standards.tables import NotHeldError
from mandrelgen.workshop.turning import (
    infeed,
)
from mandrelgen.workshop.turning import (
    thread_alternatives as variants,
)
from mandrelgen.workshop.turning import (
    tool_clearance as beside,
)
from mandrelgen.workshop.turning.acceptance import rule_of
from mandrelgen.workshop.turning.leaving import (
    Lathe,
    Leaving,
    groove_of,
    half_nuts,
    leaving,
    relief_of,
)


@dataclass(frozen=True, slots=True)
class Clearance:
    """Lead angle where it is steepest, at the smallest diameter (degrees), the shim to use, and the
    flank clearance left with it."""

    steepest: float
    shim: int
    left: float
    advice: str


@dataclass(frozen=True, slots=True)
class BoringBar:
    """The thickest bar that clears the bore, mm, its reach, and whether it stands that."""

    bore: float
    thickest: float
    reach: float
    advice: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ThreadCard:
    """Everything the turner sets for one thread."""

    feature: str
    designation: str
    tolerance_class: str
    external: bool
    starts: int
    pitch: float
    lead: float
    hand: str
    order: str
    instruction: str
    crest: str
    depths: infeed.Depths
    feed: infeed.Feed
    topping: infeed.Topping
    passes: tuple[float, ...]
    passes_why: str
    speed_range: tuple[int, int] | None
    speed_why: str
    leaving: Leaving | None
    clearance: Clearance
    bar: BoringBar | None
    beside: beside.Beside
    half_nuts: str
    bore: str
    variants: tuple[variants.ThreadAlternative, ...]


def card(mandrel: Mandrel, thread: ThreadData, lathe: Lathe) -> ThreadCard:
    """The card of one thread for the turner's lathe."""
    d, form = thread.limits.designation, thread.form
    deep = infeed.depths(form)
    count, why = infeed.passes_for(form, mandrel.ordering.material, deep.full_form)
    speeds, speed_why = _speed(mandrel.ordering.material, form.crest_diameter)
    return ThreadCard(
        feature=thread.feature,
        designation=d.text,
        tolerance_class=thread.limits.tolerance_class,
        external=form.external,
        starts=form.starts,
        pitch=form.pitch,
        lead=form.lead,
        hand="left" if form.left_hand else "right",
        order=thread.order,
        instruction=_instruction(mandrel, thread),
        crest=_limits(thread.limits.crest.min, thread.limits.crest.max),
        depths=deep,
        feed=infeed.feed(thread, groove_of(mandrel, relief_of(thread, "diameter"))),
        topping=infeed.topping(thread),
        passes=infeed.eased(deep.full_form, count),
        passes_why=why,
        speed_range=speeds,
        speed_why=speed_why,
        leaving=leaving(mandrel, thread, lathe.lowest_speed),
        clearance=clearance(thread),
        bar=None if form.external else _bar(mandrel, thread),
        beside=beside.beside(mandrel, thread),
        half_nuts=half_nuts(thread, lathe),
        bore="" if form.external else _bore(mandrel, thread),
        variants=variants.variants(mandrel, thread),
    )


def clearance(thread: ThreadData) -> Clearance:
    """Lead angle at the smallest diameter and what the tool needs for it."""
    form = thread.form
    least_d = min(form.root_diameter, form.crest_diameter)
    angle = math.degrees(math.atan(form.lead / (math.pi * least_d)))
    given = cutting.rule("clearance", "external" if form.external else "internal").value
    least = cutting.rule("clearance", "least").value
    usual = cutting.rule("clearance", "usual_shim").value
    shim = max(int(usual), math.ceil(angle - given + least - 1e-9), round(angle))
    shim = min(shim, 4)
    left = given - (angle - shim)
    ground = angle + least
    advice = (
        f"insert: shim {shim}° ({text_of(left, 1)}° of flank clearance left); ground tool: "
        f"{text_of(ground, 1)}° side clearance on the leading flank"
    )
    if left < least:
        advice += "; no usual shim is steep enough: grind the tool"
    return Clearance(angle, shim, left, advice)


def _speed(material: str, diameter: float) -> tuple[tuple[int, int] | None, str]:
    try:
        low, high = cutting.speeds(material).threading
    except NotHeldError as e:
        return None, e.message
    rpm = tuple(int(spindle_speed(diameter, v) / 10) * 10 for v in (low, high))
    return (rpm[0], rpm[1]), f"{low} to {high} m/min, from memory; feed = lead"


def _limits(low: float | None, high: float | None) -> str:
    parts = [lower_limit_text(low)] if low is not None else []
    parts += [upper_limit_text(high)] if high is not None else []
    return " to ".join(parts)


def _instruction(mandrel: Mandrel, t: ThreadData) -> str:
    if t.order == "my-tool":
        own = variants.tool_of(mandrel, t)
        if own.usable:
            rule = rule_of(t, mandrel)
            return f"{rule.text[0].upper()}{rule.text[1:]}; {rule.supply}."
        return f"Asked for with the customer's own {own.tool}, but {own.text}. Ask, or single-point"
    if t.order == "stock-tap":
        return "Tap it with a stock tap, which gives the limits; how: below."
    if t.order == "blank":
        what = "diameter" if t.limits.external else "bore"
        return (
            f"Do not thread: leave the blank at {what} "
            f"⌀{_limits(t.limits.crest.min, t.limits.crest.max)}."
        )
    return "Single-point to the limits."


def _bar(mandrel: Mandrel, t: ThreadData) -> BoringBar:
    bore = t.limits.minor.min or t.form.crest_diameter
    depth = infeed.depths(t.form).sharp
    room = cutting.rule("bar", "room").value
    thickest = bore - depth - 2 * room
    relief = t.feature.beside(FeatureKind.RELIEF)
    own = [s for s in mandrel.inner if s.feature in (t.feature, relief)]
    front = t.feature.end is MandrelEnd.FIRST
    mouth = mandrel.outer[-1].z1 if front else mandrel.outer[0].z0
    deepest = min(s.z0 for s in own) if front else max(s.z1 for s in own)
    reach = abs(mouth - deepest)
    steel, carbide = (cutting.rule("bar", n).value for n in ("steel_overhang", "carbide_overhang"))
    if bore < cutting.rule("bar", "tap_below").value:
        advice = "bore under 6: a tap, or a ground one-piece bar"
    elif reach <= steel * thickest:
        advice = "a steel bar stands it"
    elif reach <= carbide * thickest:
        advice = "use a carbide bar"
    else:
        advice = "too long for a bar of that size: tap it"
    return BoringBar(bore, thickest, reach, advice)


def _bore(mandrel: Mandrel, t: ThreadData) -> str:
    """Bore before threading: the class's limits, the middle to aim at, and the usual drill; where
    the pilot hole is narrower, how deep that may go."""
    band = t.limits.minor
    assert band.min is not None
    assert band.max is not None
    d, p = float(t.limits.designation.diameter), float(t.limits.designation.pitch)
    aim = (band.min + band.max) / 2
    share = 100 * (d - aim) / (1.2990381 * p)
    drill = sold_drill(d - p, band.min, band.max)
    ahead = [
        c
        for c in mandrel.characteristics
        if c.id == t.feature.beside(FeatureKind.PILOT).size("diameter")
    ]
    stop = any(c.upper is not None and c.upper < drill for c in ahead)
    return (
        f"⌀{_limits(band.min, band.max)}, aim at {text_of(aim, 2)} "
        f"({share:.0f} % thread); tapping drill {text_of(drill, 2)}"
        + (", no deeper than the relief" if stop else "")
    )
