"""The spigot: clamped below bore and thread, close only where the bore is true."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from mandrelgen.core.frozen import dataclass
from mandrelgen.core.tolerance import Toleranced, ceil_to, floor_to, lower_limit_text, text_of
from mandrelgen.design import centres
from mandrelgen.design.chosen_tolerances import ONE_RULE, Centring
from mandrelgen.design.draft import COMMON, Draft
from mandrelgen.design.ends import Hole, TappedEnd
from mandrelgen.design.options import Wishes
from mandrelgen.design.slender import limpness
from mandrelgen.model.characteristic import Kind
from mandrelgen.model.feature import FeatureKind
from mandrelgen.spec.pen import CentreHoles, Fit, ThreadOrder
from mandrelgen.standards import iso_286
from mandrelgen.standards.threads import ThreadLimits

GAP = {Fit.CLOSE: (0.01, "h6"), Fit.NORMAL: (0.02, "h7"), Fit.FREE: (0.05, "h8")}
LOOSE_GAP = 0.15
# A loose spigot is no fit.
LOOSE_WIDTH = 0.1
LEAD_IN = (1.0, 1.5)
# Tolerance of the chamfer's small diameter, which nothing bears on, mm.
FOOT_WIDTH = 0.2
# Whose die passes over the spigot: the customer's, which goes along or is used at home on a blank.
OWN_DIE = (ThreadOrder.MY_TOOL, ThreadOrder.BLANK)
# What a spigot must stay below the root, on diameter, for a tool that cuts the root to miss it, mm.
UNTOUCHED = 0.02
MIN_SPIGOT = 2.0
MIN_LENGTH = 2.0
BOTTOM_MARGIN = 1.0
STEP_MARGIN = 0.7
# Half the width of a small threading tool's tip, mm (from memory).
HALF_TOOL = 0.9
NOSE_CHAMFER = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class SpigotStretch:
    """One stretch of the spigot, mm."""

    size: Toleranced
    z0: float
    z1: float
    true: bool
    hole: Hole


def _die_passes(draft: Draft, cap: float) -> None:
    draft.decide(
        "spigot.die",
        "die clearance",
        f"⌀{text_of(cap)} at most",
        "the customer's die passes over the spigot, and its teeth come down to the root; a "
        "spigot that fills a larger bore needs the thread screwcut",
        COMMON,
    )


def build(
    draft: Draft,
    end: TappedEnd,
    own: ThreadLimits,
    wishes: Wishes,
    foot: float,
    z: float,
    washer: float,
) -> None:
    """Add undercut, spigot steps and nose behind a thread that ends at ``z`` with ``foot``
    (that of :func:`onto`, where it is one)."""
    if not _wanted(draft, wishes):
        draft.diameter(
            "chamfer", Toleranced.deviations(foot, -FOOT_WIDTH, 0.0), "chamfer.length", COMMON
        )
        _bare(draft, end, own, wishes, foot, z, washer)
        return
    cap = end.thread.minor.min or 0.0
    if wishes.thread_order in OWN_DIE:
        # Below the chamfer's foot, so that no groove is needed either; on a blank the maker's die
        # passes over the spigot just the same.
        cap = min(cap, foot - 0.2)
        _die_passes(draft, cap)
    groove = _groove_width(own)
    steps = _steps(draft, end, cap, z + groove, washer, wishes)
    if draft.failed:
        return
    if not steps:
        draft.warn(
            "spigot.not_possible",
            "a spigot is asked for, but the bore behind the thread is too short, too small or not "
            "known",
            "give the bore's steps (diameter, depth, how made), or leave spigot_length out",
        )
    straight = bool(steps) and (steps[0].size.upper <= foot - 0.2 or steps[0].size.nominal == foot)
    if not straight or steps[0].size.nominal != foot:  # else the spigot's diameter says it
        _foot_size(draft, own, steps, foot, z, groove)
    if straight:
        steps = (replace(steps[0], z0=z), *steps[1:])
    turn(draft, steps)
    nose(
        draft,
        wishes,
        steps[-1].size.nominal if steps else foot,
        steps[-1].z1 if steps else z,
        end.bottom_min + washer,
    )


def onto(
    draft: Draft, end: TappedEnd, own: ThreadLimits, wishes: Wishes, foot: float, z: float,
    washer: float,
) -> float | None:  # fmt: skip
    """The diameter of a spigot that the threading tool never touches, though it is no step below
    the chamfer's ``foot``: the chamfer runs down onto it, and no groove is cut; else None."""
    if not _wanted(draft, wishes) or wishes.thread_order in OWN_DIE:
        return None
    root, scratch = own.minor.min or 0.0, Draft(draft.where)
    begin = z + _groove_width(own)
    steps = _steps(scratch, end, end.thread.minor.min or 0.0, begin, washer, wishes)
    if not steps or scratch.failed or not foot - 0.2 < steps[0].size.upper <= root - UNTOUCHED:
        return None
    return steps[0].size.nominal


def _steps(
    draft: Draft, end: TappedEnd, cap: float, begin: float, washer: float, wishes: Wishes
) -> tuple[SpigotStretch, ...]:
    """The steps behind a thread; a soft washer moves the part's holes."""
    shifted = tuple(
        Hole(size=h.size, start=h.start + washer, end=h.end + washer, true=h.true, made=h.made)
        for h in end.holes
    )
    return plan(draft, shifted, cap, begin, end.bottom_min + washer - BOTTOM_MARGIN, wishes)


def _wanted(draft: Draft, wishes: Wishes) -> bool:
    """A spigot is cut where it was asked for, or where the budget shows what it buys."""
    asked = (wishes.spigot_length or 0.0) > 0 or wishes.spigot_diameter is not None
    return asked or (wishes.spigot_length is None and draft.settled.centre is Centring.SPIGOT)


def _bare(
    draft: Draft,
    end: TappedEnd,
    own: ThreadLimits,
    wishes: Wishes,
    foot: float,
    z: float,
    washer: float,
) -> None:
    """The thread's end without a spigot; several starts get a short lead-in below the root."""
    why = "asked for" if wishes.spigot_length == 0 else draft.settled.why_centre
    draft.decide("spigot1.diameter", "spigot", "none", why)
    front = z
    room = end.bottom_min + washer - BOTTOM_MARGIN - z
    if own.designation.starts > 1 and room >= LEAD_IN[0] + 0.2:
        long = min(LEAD_IN[1], floor_to(room - 0.2, 0.1))
        front = z + long
        d = draft.decide(
            "nose.end",
            "lead-in",
            f"⌀{text_of(foot)} × {text_of(long)}",
            "below the thread's root: it steadies the part while a start is found, and guides no "
            "further",
            COMMON,
        )
        draft.turn("nose", z, front, foot)
        draft.notes.append(
            f"In front of the chamfer the lead-in runs on at the chamfer's small diameter, "
            f"⌀{text_of(foot)} (0/−{text_of(FOOT_WIDTH)}), to the nose."
        )
        draft.station("nose", front)
        draft.length("nose.end", "nose", ("seat", "nose"), None, d)


def plan(
    draft: Draft, holes: tuple[Hole, ...], cap: float, z: float, limit: float, wishes: Wishes
) -> tuple[SpigotStretch, ...]:
    """Steps of the spigot from ``z`` inwards, for holes already placed on the mandrel's axis."""
    if wishes.spigot_length == 0:
        draft.decide("spigot1.diameter", "spigot", "none", "asked for")
        return ()
    steps: list[SpigotStretch] = []
    for i, hole in enumerate(holes):
        cap = min(cap, hole.size.lower)
        last = i == len(holes) - 1
        lo = max(z, steps[-1].z1 if steps else z)
        hi = min(hole.end - (BOTTOM_MARGIN if last else STEP_MARGIN), limit)
        if hi - lo < MIN_LENGTH or cap < MIN_SPIGOT:
            continue
        step = _step(hole, cap, lo, hi, wishes)
        if hole.true or not any(h.true for h in holes[i + 1 :]):
            steps.append(_shortened(step, wishes))
            break
        steps.append(SpigotStretch(size=step.size, z0=lo, z1=hi, true=False, hole=hole))
    if wishes.spigot_diameter is not None and steps:
        steps = [_forced(draft, steps[-1], cap, wishes.spigot_diameter)]
    if not steps:
        draft.decide(
            "spigot1.diameter",
            "spigot",
            "none",
            "the bore behind the thread is too short, too small or not known; thread and seat "
            "hold the part alone",
        )
    return tuple(steps)


def _step(hole: Hole, cap: float, lo: float, hi: float, wishes: Wishes) -> SpigotStretch:
    if hole.true:
        gap, klass = GAP[wishes.fit]
        size = iso_286.tolerance(floor_to(cap - gap, 0.01), klass)
    else:
        size = Toleranced.deviations(floor_to(cap - LOOSE_GAP, 0.05), -LOOSE_WIDTH, 0.0)
    return SpigotStretch(size=size, z0=lo, z1=hi, true=hole.true, hole=hole)


def _shortened(step: SpigotStretch, wishes: Wishes) -> SpigotStretch:
    """Close spigots 2 diameters long, loose ones 1, as far as the bore allows (common practice,
    no source)."""
    wanted = wishes.spigot_length or step.size.nominal * (2.0 if step.true else 1.0)
    length = floor_to(min(step.z1 - step.z0, wanted), 0.5)
    z1 = floor_to(step.z0 + max(length, MIN_LENGTH), 0.1)
    return SpigotStretch(
        size=step.size, z0=step.z0, z1=min(z1, step.z1), true=step.true, hole=step.hole
    )


def _forced(draft: Draft, step: SpigotStretch, cap: float, diameter: float) -> SpigotStretch:
    size = iso_286.tolerance(diameter, "h7")
    if size.upper > cap - 0.005:
        draft.error(
            "spigot.forced",
            f"a spigot of ⌀{text_of(diameter)} does not pass ⌀{text_of(cap)} (the smaller of bore "
            f"and thread at worst limits): {text_of(size.upper - cap + 0.005)} too large",
            f"spigot_diameter = {text_of(floor_to(cap - 0.02, 0.01))} or less, or leave it out",
        )
    return SpigotStretch(size=size, z0=step.z0, z1=step.z1, true=step.true, hole=step.hole)


def _groove_width(own: ThreadLimits) -> float:
    """Half the tool + 1 P, and half of what the lead has more than the pitch, rounded up to 0.5."""
    p, lead = float(own.designation.pitch), own.designation.lead
    return ceil_to(HALF_TOOL + p + (lead - p) / 2, 0.5)


def _foot_size(
    draft: Draft,
    own: ThreadLimits,
    steps: tuple[SpigotStretch, ...],
    foot: float,
    z: float,
    groove: float,
) -> None:
    """The chamfer's foot: an undercut if the spigot stands above the root, else a step."""
    size = Toleranced.deviations(foot, -FOOT_WIDTH, 0.0)
    root = own.minor.min or 0.0
    if not steps or steps[0].size.upper <= foot - 0.2:
        draft.diameter("chamfer", size, "chamfer.length", COMMON)
        return
    d = draft.decide(
        "runin.diameter",
        "thread undercut at the free end",
        f"⌀{text_of(foot)} × {text_of(groove)}",
        f"the spigot ⌀{text_of(steps[0].size.nominal)} is not {text_of(UNTOUCHED)} below the "
        f"screw's root ⌀{lower_limit_text(root)}, so the threading tool would score it: the groove "
        "is below the root, as wide as half the tool + 1 P, wider with the lead",
    )
    draft.station("runin.end", z + groove)
    draft.turn("runin", z, z + groove, foot)
    draft.diameter("runin", size, d, COMMON)
    draft.length(
        "runin.width",
        "runin",
        ("thread.end", "runin.end"),
        Toleranced.deviations(groove, 0.0, 0.2),
        d,
    )


def turn(draft: Draft, steps: tuple[SpigotStretch, ...]) -> None:
    """Add the spigot's stretches; the last ends at station ``nose`` (see :func:`nose`)."""
    bought = ""
    if draft.settled.centre is Centring.SPIGOT:
        bought = f"; {draft.settled.why_centre}"
    for n, step in enumerate(steps, 1):
        name = f"spigot{n}"
        last = n == len(steps)
        z1 = step.z1 - (NOSE_CHAMFER if last else 0.0)
        draft.turn(name, step.z0, z1, step.size.nominal)
        why = (
            f"the bore there is {step.hole.made} (⌀{text_of(step.hole.size.lower)} at least), so "
            "the spigot centres in it"
            if step.true
            else f"the bore there is only {step.hole.made}: neither round nor on size, so the "
            "spigot is loose and only guides"
        )
        d = draft.decide(
            f"{name}.diameter",
            "spigot",
            f"⌀{text_of(step.size.nominal)} {step.size.note or f'(0/−{text_of(LOOSE_WIDTH)})'}, "
            f"{text_of(step.z1 - step.z0)} long",
            why + "; clamped below the smaller of the bore and the thread's minor diameter it "
            "passes" + bought,
            COMMON,
        )
        source = f"ISO 286-2 {step.size.note}" if step.size.note else COMMON
        draft.diameter(name, step.size, d, source, functional=step.true)
        if not last:
            draft.station(f"{name}.end", step.z1)
            draft.length(f"{name}.end", name, ("seat", f"{name}.end"), None, d)
        if step.true:
            runout(draft, name)
            draft.need(
                f"{name}.roughness", name, Kind.ROUGHNESS, 1.6, "µm", d, "ISO 1302:2002 (Ra)"
            )
    for a, b in pairwise(steps):
        if a.size.nominal < b.size.nominal:
            raise ValueError("spigot steps must grow smaller towards the nose")


def nose(draft: Draft, wishes: Wishes, d: float, z: float, bottom: float) -> None:
    """The front end: chamfer and position."""
    spigot = draft.outer[-1].feature.kind is FeatureKind.SPIGOT
    if spigot:
        draft.turn("nose", z - NOSE_CHAMFER, z, d, d - 2 * NOSE_CHAMFER)
        draft.station("nose.chamfer", z - NOSE_CHAMFER)
        draft.station("nose", z)
        draft.chamfer(
            "nose.chamfer",
            "nose",
            ("nose.chamfer", "nose"),
            45.0,
            Toleranced.deviations(NOSE_CHAMFER, -0.2, 0.2),
            draft.decide("nose.chamfer", "nose chamfer", "0.5 × 45°", "leads the spigot in"),
        )
        size = draft.length("nose.end", "nose", ("seat", "nose"), None, "spigot1.diameter")
        if size.upper > bottom - 0.1:
            draft.error(
                "nose.bottoms",
                f"the nose reaches {text_of(size.upper)} at worst limits, the bore ends at "
                f"{text_of(bottom)}: {text_of(size.upper - bottom + 0.1)} too long",
                "a shorter spigot_length, or a deeper bore",
            )


def nose_centre(draft: Draft, wishes: Wishes, shank: float) -> None:
    """A centre hole in the nose of a finished plug or spigot: where it was asked for, else where
    the end is slender; ``shank``: what it is held by, mm."""
    if wishes.through_bore or wishes.centre_holes is CentreHoles.NONE:
        return
    if wishes.centre_holes is not None or limpness(draft.outer, shank) > 1:
        nose = draft.outer[-1]
        centres.add(draft, "nose", nose.z1, nose.d1)


def runout(draft: Draft, feature: str) -> None:
    """Run-out of a centring diameter to the shank's axis."""
    value = draft.settled.centring
    d = draft.decide(
        f"{feature}.runout",
        f"run-out of the {feature} to the shank's axis A",
        text_of(value),
        "this diameter centres the part; half of it shows as the part's eccentricity; "
        + draft.settled.why,
        ONE_RULE,
    )
    draft.need(f"{feature}.runout", feature, Kind.RUNOUT, value, "mm", d, "ISO 1101", datum="A")
