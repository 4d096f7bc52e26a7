"""The threading card: depths, passes, speed, how to get out of the groove. mm, degrees, 1/min."""

from __future__ import annotations

import math
from dataclasses import dataclass

from mandrelgen.core.tolerance import lower_limit_text, text_of, upper_limit_text
from mandrelgen.mechanics.speed import spindle_speed
from mandrelgen.model.feature import FeatureKind, MandrelEnd
from mandrelgen.model.mandrel import Mandrel, ThreadData
from mandrelgen.standards import cutting
from mandrelgen.standards.tables import NotHeldError, load
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
from mandrelgen.workshop.turning.hand_of_thread import running


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaving:
    """Getting out of the groove by hand. ``groove``: its straight width, mm; ``speed``: the
    highest at which there is time, 1/min (0: there is no room at all); ``turns``: how many
    turns it takes the tool to cross it; ``side``: how far the tool's side stands from its
    point, mm; ``per_tenth``: what each 0.1 mm more takes off the speed; ``by_hand`` false: thread
    away from the seat, at no more than ``away_speed`` (None: the far end is open)."""

    where: str
    groove: float
    speed: int
    turns: float
    side: float
    per_tenth: float
    by_hand: bool
    away_speed: int | None
    advice: str
    basis: str


@dataclass(frozen=True, slots=True)
class Clearance:
    """Lead angle at the root (degrees), the shim to use, and the flank clearance left with it."""

    lead_angle_root: float
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


def card(mandrel: Mandrel, thread: ThreadData, lowest_speed: int) -> ThreadCard:
    """The card of one thread; ``lowest_speed`` of the turner's lathe, 1/min."""
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
        feed=infeed.feed(thread, _groove(mandrel, _relief(thread, "diameter"))),
        topping=infeed.topping(thread),
        passes=infeed.eased(deep.full_form, count),
        passes_why=why,
        speed_range=speeds,
        speed_why=speed_why,
        leaving=leaving(mandrel, thread, lowest_speed),
        clearance=clearance(thread),
        bar=None if form.external else _bar(mandrel, thread),
        beside=beside.beside(mandrel, thread),
        half_nuts=_half_nuts(thread),
        bore="" if form.external else _bore(thread),
        variants=variants.variants(mandrel, thread),
    )


def hand_speed(groove: float, pitch: float, lead: float) -> float:
    """Highest speed (1/min) at which a tool can be drawn out by hand in a groove, 0 if never.

    The tool may travel the groove's straight width less its own point (half a pitch) in the time
    it takes to see and withdraw: 60·(w − P/2)/(Ph·t).

    By hand: 2 mm of groove, pitch 0.8, single start, half a second: 60 × 1.6 / (0.8 × 0.5).

    >>> round(hand_speed(2.0, 0.8, 0.8))
    240
    """
    share, reaction = cutting.rule("hand", "point_share"), cutting.rule("hand", "reaction")
    return max(0.0, 60 * (groove - share.value * pitch) / (lead * reaction.value))


def leaving(mandrel: Mandrel, thread: ThreadData, lowest_speed: int) -> Leaving | None:
    """How to leave at the relief; None if the mandrel has none."""
    groove = _groove(mandrel, _relief(thread, "width"))
    if groove is None:
        return None
    p, lead = thread.form.pitch, thread.form.lead
    speed = _whole(hand_speed(groove, p, lead))
    share = cutting.rule("hand", "point_share").value
    turns = max(0.0, groove - share * p) / lead
    per_tenth = hand_speed(1.1, 0.0, lead) - hand_speed(1.0, 0.0, lead)
    beyond = None
    if thread.form.external:
        beyond = _groove(mandrel, thread.feature.beside(FeatureKind.RUN_IN).size("width"))
    away = None if beyond is None else _whole(hand_speed(beyond, p, lead))
    reaction = cutting.rule("hand", "reaction")
    basis = (
        f"{text_of(reaction.value)} s to see and withdraw, half a pitch of groove for the tool's "
        f"point ({reaction.basis.split(':')[0]})"
    )
    by_hand = speed >= lowest_speed
    advice = _advice(thread, speed, by_hand, away, lowest_speed)
    return Leaving(
        where=_relief(thread, "width"),
        groove=groove,
        speed=speed,
        turns=turns,
        side=share * p,
        per_tenth=per_tenth,
        by_hand=by_hand,
        away_speed=away,
        advice=advice,
        basis=basis,
    )


def _relief(thread: ThreadData, size: str) -> str:
    return thread.feature.beside(FeatureKind.RELIEF).size(size)


def _half_nuts(thread: ThreadData) -> str:
    several = ", and a nut closed at another place may hit another start" if (
        thread.form.starts > 1) else ""  # fmt: skip
    return (
        "leave them closed until the thread is finished and reverse the spindle to go back: this "
        f"lead is not on every thread dial{several}. Running in reverse unscrews a chuck that "
        "screws on to the spindle, a collet chuck too: bolt or lock it on"
    )


def _advice(
    thread: ThreadData, speed: int, by_hand: bool, away: int | None, lowest_speed: int
) -> str:
    form = thread.form
    end = "seat" if form.external else "floor"
    # A left-hand thread runs away from the headstock with the spindle forward: its natural way.
    if by_hand and not form.left_hand:
        how = running(left_hand=False, external=form.external, away=False).text
        return (
            f"towards the {end} by hand at no more than {speed} rpm, {how}; try it first with the "
            "tool clear of the work"
        )
    how = running(left_hand=form.left_hand, external=form.external, away=True).text
    text = (
        f"thread away from the {end}, {how}: turn the spindle by hand until the point stands over "
        "the relief, the lead screw's backlash taken up, feed in, then start"
    )
    if away is not None and away < lowest_speed:
        text += ", and turn the spindle by hand: the far groove is short too"
    elif away is not None:
        text += f"; no faster than {away} rpm, for the groove in front of the spigot"
    return text + f". Towards the {end} the relief leaves time only up to {speed} rpm by hand"


def _groove(mandrel: Mandrel, id: str) -> float | None:
    for c in mandrel.characteristics:
        if c.id == id:
            return c.nominal if c.lower is None else c.lower
    return None


def _whole(speed: float) -> int:
    """Rounded down to 5 rev/min."""
    return int(speed / 5 + 1e-9) * 5


def clearance(thread: ThreadData) -> Clearance:
    """Lead angle at the root and what the tool needs for it."""
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


def sold_drill(wanted: float, least: float, most: float) -> float:
    """The drill on sale nearest to D − P whose hole is within the bore's limits; D − P itself
    where none is."""
    inside = [x for x in load("drill_sizes")["sizes"] if least - 1e-9 <= x <= most + 1e-9]
    return float(min(inside, key=lambda x: abs(x - wanted), default=wanted))


def _bore(t: ThreadData) -> str:
    """Bore before threading: the class's limits, the middle to aim at, and the usual drill."""
    band = t.limits.minor
    assert band.min is not None
    assert band.max is not None
    d, p = float(t.limits.designation.diameter), float(t.limits.designation.pitch)
    aim = (band.min + band.max) / 2
    share = 100 * (d - aim) / (1.2990381 * p)
    drill = sold_drill(d - p, band.min, band.max)
    return (
        f"⌀{_limits(band.min, band.max)}, aim at {text_of(aim, 2)} "
        f"({share:.0f} % thread); tapping drill {text_of(drill, 2)}"
    )
