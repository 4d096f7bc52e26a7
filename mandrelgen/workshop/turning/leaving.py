"""How a threading tool gets out of its groove at the end of a pass, and what the half nuts may do.
mm, 1/min."""

from __future__ import annotations

from typing import NamedTuple

from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import text_of
from mandrelgen.model.feature import FeatureKind
from mandrelgen.model.mandrel import Mandrel, ThreadData
from mandrelgen.standards import cutting
from mandrelgen.standards.gears import lead_of
from mandrelgen.workshop.turning.hand_of_thread import running
from mandrelgen.workshop.turning.tool_clearance import Obstacle, beside


class Lathe(NamedTuple):
    """What of the turner's lathe counts here: its ``lowest_speed``, 1/min, the ``lead_screw``
    (``3 mm``, ``8 TPI``), and whether its gears cut the thread's lead ``exact``."""

    lowest_speed: int
    lead_screw: str
    exact: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaving:
    """Getting out of the groove by hand. ``groove``: its straight width, mm; ``speed``: the
    highest at which there is time, 1/min (0: there is no room at all); ``turns``: how many
    turns it takes the tool to cross it; ``side``: how far the tool's side stands from its
    point, mm; ``per_tenth``: what each 0.1 mm more or less of it changes the speed; ``by_hand``
    false: thread away from the seat, at no more than ``away_speed`` (None: the far end is open).
    ``instead``: the other way round, where that is the safer one ("" : no need)."""

    where: str
    groove: float
    speed: int
    turns: float
    side: float
    per_tenth: float
    by_hand: bool
    away_speed: int | None
    advice: str
    instead: str
    basis: str


def hand_speed(groove: float, side: float, lead: float, coasting: float = 0.0) -> float:
    """Highest speed (1/min) at which a tool can be drawn out by hand in a groove, 0 if never.

    The tool may travel the groove's straight width less what stands beside its point, ``side``, in
    the time t it takes to see and withdraw: 60·(w − side)/(Ph·t). A spindle that has to stand first
    slows down evenly in ``coasting`` seconds, so it turns half of them at full speed.

    By hand: 2 mm of groove, a side 0.4 off, single start of 0.8, half a second:
    60 × 1.6 / (0.8 × 0.5); with another second to stand still, 60 × 1.6 / (0.8 × 1).

    >>> round(hand_speed(2.0, 0.4, 0.8))
    240
    >>> round(hand_speed(2.0, 0.4, 0.8, 1.0))
    120
    """
    time = cutting.rule("hand", "reaction").value + coasting / 2
    return max(0.0, 60 * (groove - side) / (lead * time))


def leaving(mandrel: Mandrel, thread: ThreadData, lowest_speed: int) -> Leaving | None:
    """How to leave at the relief; None if the mandrel has none."""
    groove = groove_of(mandrel, relief_of(thread, "width"))
    if groove is None:
        return None
    form, walls = thread.form, beside(mandrel, thread).walls
    lead = form.lead
    least = cutting.rule("hand", "point_share").value * form.pitch
    side = tool_side([w for w in walls if not w.ahead], groove, least)
    # Inside, drawing the tool out does not stop the bar: it runs on to the floor with the carriage.
    coasting = 0.0 if form.external else cutting.rule("hand", "coasting").value
    speed = _whole(hand_speed(groove, side, lead, coasting))
    by_hand = speed >= lowest_speed
    if by_hand and not form.external:
        speed = lowest_speed
    beyond = None
    if form.external:
        beyond = groove_of(mandrel, thread.feature.beside(FeatureKind.RUN_IN).size("width"))
    away = None
    if beyond is not None:
        far = tool_side([w for w in walls if w.ahead], beyond, least)
        away = _whole(hand_speed(beyond, far, lead))
    return Leaving(
        where=relief_of(thread, "width"),
        groove=groove,
        speed=speed,
        turns=max(0.0, groove - side) / lead,
        side=side,
        per_tenth=hand_speed(0.1, 0.0, lead, coasting),
        by_hand=by_hand,
        away_speed=away,
        advice=_advice(thread, speed, by_hand, away, lowest_speed),
        instead=_instead(thread, by_hand),
        basis=_basis(thread, side, least),
    )


def tool_side(walls: list[Obstacle], groove: float, least: float) -> float:
    """How far the tool's side stands from its point where it comes up to a wall first: a
    symmetrical 60° point as high as that wall, never less than ``least``; walls behind the
    nearest one are further off by what lies between."""
    near = min((w.room for w in walls), default=groove)
    return max([least, *(w.needed - (w.room - near) for w in walls if w.needed is not None)])


def _basis(thread: ThreadData, side: float, least: float) -> str:
    reaction = cutting.rule("hand", "reaction")
    where = reaction.basis.split(":")[0]
    time = f"{text_of(reaction.value)} s to see and withdraw"
    if not thread.form.external:
        coasting = cutting.rule("hand", "coasting")
        return (
            f"{text_of(reaction.value)} s to see, {text_of(coasting.value)} s to stand: estimates; "
            f"the bar's front {text_of(side)} ahead of the point"
        )
    if side > least + 1e-9:
        return (
            f"{time} ({where}); a symmetrical 60° point: its side stands {text_of(side, 2)} from "
            "it at the height of what it would touch"
        )
    return f"{time}, half a pitch of groove for the tool's point ({where})"


def relief_of(thread: ThreadData, size: str) -> str:
    """The id of a size of the thread's relief."""
    return thread.feature.beside(FeatureKind.RELIEF).size(size)


def groove_of(mandrel: Mandrel, id: str) -> float | None:
    """The least of a groove's size, mm; None if there is no such groove."""
    for c in mandrel.characteristics:
        if c.id == id:
            return c.nominal if c.lower is None else c.lower
    return None


def half_nuts(thread: ThreadData, lathe: Lathe) -> str:
    """Whether the half nuts may be opened: closed again anywhere they find the groove only if a
    turn of the lead screw is a whole number of leads, and the gears cut the lead without error.
    They close every turn of the lead screw (kinematics of the screw)."""
    d = thread.limits.designation
    lead, screw = d.starts * d.pitch.exact, lead_of(lathe.lead_screw)
    whole = screw / lead
    if whole.denominator == 1 and lathe.exact:
        start = "the same start" if d.starts > 1 else "the groove"
        return (
            "may be opened at the end of each pass, which stops the carriage, and closed again "
            f"anywhere: the lead {text_of(float(lead), 4)} divides the lead screw's "
            f"{lathe.lead_screw}, so the tool always finds {start}"
        )
    why = (
        f"the lead {text_of(float(lead), 4)} does not divide the lead screw's {lathe.lead_screw}"
        if whole.denominator != 1
        else "the gears at hand do not cut the lead exactly"
    )
    # Where they close, the tool stands so many turns of the lead screw from its groove.
    turns = range(1, whole.denominator)
    if any((n * screw / d.pitch.exact).denominator == 1 for n in turns):
        other = ", and closed elsewhere the tool may hit another start"
    else:
        other = ", and closed elsewhere the tool spoils the thread" if turns else ""
    return (
        f"leave them closed until the thread is finished, back in reverse: {why}{other}. Running "
        "in reverse unscrews a chuck that screws on, a collet chuck too: bolt or lock it on"
    )


def _advice(
    thread: ThreadData, speed: int, by_hand: bool, away: int | None, lowest_speed: int
) -> str:
    form = thread.form
    end = "seat" if form.external else "floor"
    # A left-hand thread runs away from the headstock with the spindle forward: its natural way.
    if by_hand and not form.left_hand:
        how = running(left_hand=False, external=form.external, away=False).text
        if not form.external:
            return (
                f"towards the floor, {how}: the spindle turned by hand, or at the lathe's lowest "
                f"speed, {speed} rpm, and stopped within the relief: drawing the tool out does not "
                "stop the bar. Mark the bar; try it first clear of the work"
            )
        return (
            f"towards the {end} by hand at no more than {speed} rpm, {how}; try it first with the "
            "tool clear of the work"
        )
    text = _outwards(thread)
    if away is not None and away < lowest_speed:
        text += ", and turn the spindle by hand: the far groove is short too"
    elif away is not None:
        text += f"; no faster than {away} rpm, for the groove in front of the spigot"
    if not speed:
        return text + f". Towards the {end} the relief leaves no time by hand"
    return text + f". Towards the {end} the relief leaves time only up to {speed} rpm by hand"


def _outwards(thread: ThreadData) -> str:
    """From the relief out, away from the headstock."""
    form = thread.form
    how = running(left_hand=form.left_hand, external=form.external, away=True).text
    return (
        f"thread away from the {'seat' if form.external else 'floor'}, {how}: turn the spindle by "
        "hand until the point stands over the relief, the lead screw's backlash taken up, feed in, "
        "then start"
    )


def _instead(thread: ThreadData, by_hand: bool) -> str:
    """Inside, outwards is the way that cannot run into the floor."""
    form = thread.form
    if form.external or form.left_hand or not by_hand:
        return ""
    return f"{_outwards(thread)}; nothing can hit the floor"


def _whole(speed: float) -> int:
    """Rounded down to 5 rev/min."""
    return int(speed / 5 + 1e-9) * 5
